package club

import (
	"context"
	"sync"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/hydro"
)

// historyEnds is how long before the hour a history ends. It says how levels have gone on
// over years, so what a few hours add to it is nothing; the last days' readings come fresh
// with every forecast. What comes late within this changes no history.
const historyEnds = 4 * time.Hour

// HistoryBack is how far back a history goes: beds and banks change, and three years
// hold most of what a river does.
const HistoryBack = 3 * 366 * 24 * time.Hour

// Histories remembers the gauges' histories. Each is of whole hours, and holds until the
// hour is over or the gauge's Past has gone up; so however many servers remember one they
// remember the same. It is safe for many goroutines, and a history that many wait for is
// made once.
type Histories struct {
	kept *lru.Cache[string, *keptHistory]
}

// historiesRemembered is of how many gauges: a club has a handful, a federation a hundred, and each takes a
// megabyte or so.
const historiesRemembered = 128

type keptHistory struct {
	mu    sync.Mutex
	until time.Time
	past  int64
	is    *hydro.History
}

// NewHistories remembers none yet.
func NewHistories() *Histories {
	kept, err := lru.New[string, *keptHistory](historiesRemembered)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &Histories{kept}
}

// Of gives a gauge's history, from read where it is not remembered or the gauge's Past is
// another by now: hourly means on the datum, of HistoryBack.
func (h *Histories) Of(ctx context.Context, gauge string, past int64, now time.Time, read func(ctx context.Context, from, to time.Time) (HourMeans, error)) (*hydro.History, error) {
	k, until := h.slot(gauge), now.Truncate(time.Hour).Add(-historyEnds)
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.is != nil && k.past == past && k.until.Equal(until) {
		return k.is, nil
	}
	means, err := read(ctx, until.Add(-HistoryBack), until)
	if err != nil {
		return nil, err
	}
	levels := make([]hydro.Reading, len(means.Hours))
	for i, m := range means.Hours {
		levels[i] = hydro.Reading{At: m.Hour, LevelM: m.DatumM}
	}
	is, err := hydro.NewHistory(levels)
	if err != nil {
		return nil, err
	}
	k.is, k.until, k.past = is, until, means.Past
	return is, nil
}

func (h *Histories) slot(gauge string) *keptHistory {
	mine := &keptHistory{}
	if others, was, _ := h.kept.PeekOrAdd(gauge, mine); was {
		h.kept.Get(gauge) // it was of use just now
		return others
	}
	return mine
}
