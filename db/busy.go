package db

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"levelpeg/club"
)

// How long a request waits for a connection, and how many wait at most. A connection is
// in use for some milliseconds; where none comes free for so long the database is stuck,
// and one more in the queue would only wait to be told so.
const (
	waitWithin = 3 * time.Second
	mostWait   = 200
)

// errBusy is of a request that got no connection.
var errBusy = errors.New("no connection to the database came free in time")

// queue keeps the wait for a connection short, in time and in number, and leaves one for
// the others where all of one kind are in use. The pool tells it of every wait.
type queue struct {
	waiting atomic.Int64
	turned  atomic.Int64
	within  time.Duration
	most    int64
	lane    int // connections that requests of one kind have at most; 0: there are no lanes

	lanes sync.Map // by name, a channel with a place for each connection
	held  sync.Map // by connection, the channel of its lane
}

func newQueue(conns int32) *queue {
	return &queue{within: waitWithin, most: mostWait, lane: int(conns) - 1}
}

// wait is the context of one wait. It ends as its parent does, after a while, or at once
// where too many wait already, and then with errBusy.
type wait struct {
	context.Context
	parent context.Context
	done   context.CancelFunc
	lane   chan struct{} // a place in it is taken; nil for none
}

// Err gives errBusy where it was the wait that took too long and not the request.
func (w wait) Err() error {
	err := w.Context.Err()
	if err != nil && w.parent.Err() == nil {
		return errBusy
	}
	return err
}

type waitKey struct{}

// Value gives the wait itself to whoever ends it.
func (w wait) Value(key any) any {
	if key == (waitKey{}) {
		return w
	}
	return w.Context.Value(key)
}

// TraceAcquireStart begins a wait.
func (q *queue) TraceAcquireStart(ctx context.Context, _ *pgxpool.Pool, _ pgxpool.TraceAcquireStartData) context.Context {
	within := q.within
	if q.waiting.Add(1) > q.most {
		within = 0
	}
	limited, cancel := context.WithTimeout(ctx, within)
	return wait{limited, ctx, cancel, q.enter(limited, club.Lane(ctx))}
}

// enter takes a place in a lane; nil where there is none to take, or none came free.
func (q *queue) enter(ctx context.Context, name string) chan struct{} {
	if name == "" || q.lane < 1 {
		return nil
	}
	found, ok := q.lanes.Load(name)
	if !ok {
		found, _ = q.lanes.LoadOrStore(name, make(chan struct{}, q.lane))
	}
	lane := found.(chan struct{})
	select {
	case lane <- struct{}{}:
		return lane
	case <-ctx.Done(): // the pool sees it too, and gives no connection
		return nil
	}
}

// TraceAcquireEnd ends it. The place in the lane is kept as long as the connection.
func (q *queue) TraceAcquireEnd(ctx context.Context, _ *pgxpool.Pool, data pgxpool.TraceAcquireEndData) {
	q.waiting.Add(-1)
	if errors.Is(data.Err, errBusy) {
		q.turned.Add(1)
	}
	w, ok := ctx.Value(waitKey{}).(wait)
	if !ok {
		return
	}
	w.done()
	switch {
	case w.lane == nil:
	case data.Conn == nil:
		<-w.lane
	default:
		q.held.Store(data.Conn, w.lane)
	}
}

// TraceRelease gives the place back.
func (q *queue) TraceRelease(_ *pgxpool.Pool, data pgxpool.TraceReleaseData) {
	if lane, ok := q.held.LoadAndDelete(data.Conn); ok {
		<-lane.(chan struct{})
	}
}

// TraceQueryStart and TraceQueryEnd are there because a pool's tracer is a connection's
// as well; they do nothing.
func (q *queue) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	return ctx
}
func (q *queue) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}
