package db

import (
	"context"
	"slices"
	"sync"
)

// turns are as many as there are connections. Whoever goes first gets the next one that
// comes free, and has some that nobody else may use; the others wait behind them, each in
// the order they came.
type turns struct {
	mu          sync.Mutex
	free        int
	kept        int             // free ones that are kept for whoever goes first
	first, rest []chan struct{} // closed when it is their turn
}

// take waits for a turn, and says whether it got one before the context ended.
func (t *turns) take(ctx context.Context, first bool) bool {
	t.mu.Lock()
	if t.free > 0 && (first || t.free > t.kept) {
		t.free--
		t.mu.Unlock()
		return true
	}
	mine, line := make(chan struct{}), t.line(first)
	*line = append(*line, mine)
	t.mu.Unlock()
	select {
	case <-mine:
		return true
	case <-ctx.Done():
		return t.leave(mine, line)
	}
}

func (t *turns) line(first bool) *[]chan struct{} {
	if first {
		return &t.first
	}
	return &t.rest
}

// leave takes somebody out of the line; where their turn has just come, they have it.
func (t *turns) leave(mine chan struct{}, line *[]chan struct{}) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.Index(*line, mine)
	if i < 0 {
		return true
	}
	*line = slices.Delete(*line, i, i+1)
	return false
}

// give passes a turn on.
func (t *turns) give() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.free++
	switch {
	case len(t.first) > 0:
		t.next(&t.first)
	case len(t.rest) > 0 && t.free > t.kept:
		t.next(&t.rest)
	}
}

func (t *turns) next(line *[]chan struct{}) {
	t.free--
	close((*line)[0])
	*line = slices.Delete(*line, 0, 1)
}
