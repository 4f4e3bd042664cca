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

// Histories remembers the gauges' histories. It is told of nothing: what it remembers
// is let go when it is old. It is safe for many goroutines, and a history that many wait
// for is made once.
type Histories struct {
	mu   sync.Mutex
	kept map[int64]*keptHistory
}

type keptHistory struct {
	mu   sync.Mutex
	made time.Time
	is   *hydro.History
}

// NewHistories remembers none yet.
func NewHistories() *Histories { return &Histories{kept: map[int64]*keptHistory{}} }

// Of gives a gauge's history, from read where it is not remembered: hourly means on the
// datum, in order.
func (h *Histories) Of(ctx context.Context, gauge int64, now time.Time, read func(context.Context) ([]hydro.Reading, error)) (*hydro.History, error) {
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
	is, err := hydro.NewHistory(hours)
	if err != nil {
		return nil, err
	}
	k.is, k.made = is, now
	return is, nil
}

func (h *Histories) slot(gauge int64) *keptHistory {
	h.mu.Lock()
	defer h.mu.Unlock()
	k := h.kept[gauge]
	if k == nil {
		k = &keptHistory{}
		h.kept[gauge] = k
	}
	return k
}
