package club

import (
	"context"
	"sync"
	"time"

	"levelpeg/hydro"
)

// historyAge is how long a gauge's history is remembered. It says how levels have gone
// on over years, so what an hour adds to it is nothing; the last days' readings come
// fresh with every forecast.
const historyAge = time.Hour

// HistoryBack is how far back a history goes: beds and banks change, and three years
// hold most of what a river does.
const HistoryBack = 3 * 366 * 24 * time.Hour

// Histories remembers the gauges' histories. It is told of nothing: what it remembers
// is let go when it is old. It is safe for many goroutines, and a history that many wait
// for is made once.
type Histories struct {
	mu   sync.Mutex
	kept map[string]*keptHistory
}

type keptHistory struct {
	mu   sync.Mutex
	made time.Time
	is   *hydro.History
}

// NewHistories remembers none yet.
func NewHistories() *Histories { return &Histories{kept: map[string]*keptHistory{}} }

// Of gives a gauge's history, from read where it is not remembered: hourly means on the
// datum, of the last HistoryBack.
func (h *Histories) Of(ctx context.Context, gauge string, now time.Time, read func(context.Context) ([]HourMean, error)) (*hydro.History, error) {
	k := h.slot(gauge)
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.is != nil && now.Sub(k.made).Abs() < historyAge {
		return k.is, nil
	}
	hours, err := read(ctx)
	if err != nil {
		return nil, err
	}
	levels := make([]hydro.Reading, len(hours))
	for i, m := range hours {
		levels[i] = hydro.Reading{At: m.Hour, LevelM: m.DatumM}
	}
	is, err := hydro.NewHistory(levels)
	if err != nil {
		return nil, err
	}
	k.is, k.made = is, now
	return is, nil
}

func (h *Histories) slot(gauge string) *keptHistory {
	h.mu.Lock()
	defer h.mu.Unlock()
	k := h.kept[gauge]
	if k == nil {
		k = &keptHistory{}
		h.kept[gauge] = k
	}
	return k
}
