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

// How long a request waits for a connection, and how many of a kind wait at most. A connection is
// in use for some milliseconds; where none comes free for so long the database is stuck,
// and one more in the queue would only wait to be told so. Each kind has a queue of its own, so
// that a crowd of one turns nobody else away.
const (
	waitWithin = 3 * time.Second
	mostWait   = 100
)

// errBusy is of a request that got no connection.
var errBusy = errors.New("no connection to the database came free in time")

// queue keeps the wait for a connection short, in time and in number, leaves one for the
// others where all of one kind are in use, and lets those who write down what was recorded
// go before those who read. The pool tells it of every wait.
type queue struct {
	waiting atomic.Int64
	turned  atomic.Int64
	within  time.Duration
	most    int64 // of a lane
	places  int   // of a lane: the connections that it has at most

	lanes sync.Map // by name, a *lane
	held  sync.Map // by connection, the wait that got it
	turns turns
}

// lane is of requests of one kind. Those of no kind are of one too, which may use every
// connection.
type lane struct {
	waiting atomic.Int64
	places  chan struct{} // one is taken by whoever has a connection, or is next to get one
}

func newQueue(conns int32) *queue {
	return &queue{within: waitWithin, most: mostWait, places: max(1, int(conns)-1), turns: turns{free: int(conns)}}
}

// keepFirst adds one connection for what was recorded, however long those who read hold
// theirs, and gives how many that is more.
func (q *queue) keepFirst() int32 {
	q.turns.free++
	q.turns.kept++
	return 1
}

// wait is the context of one wait. It ends as its parent does, after a while, or at once
// where too many wait already, and then with errBusy.
type wait struct {
	context.Context
	parent context.Context
	done   context.CancelFunc
	lane   *lane
	placed bool // a place of the lane is taken
	turn   bool // and a turn
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
	q.waiting.Add(1)
	l, within := q.laneOf(ctx), q.within
	if l.waiting.Add(1) > q.most {
		within = 0
	}
	limited, cancel := context.WithTimeout(ctx, within)
	w := wait{Context: limited, parent: ctx, done: cancel, lane: l}
	if l.places != nil {
		select {
		case l.places <- struct{}{}:
			w.placed = true
		case <-limited.Done(): // the pool sees it too, and gives no connection
			return w
		}
	}
	w.turn = q.turns.take(limited, club.GoesFirst(ctx))
	return w
}

// laneOf is the lane that a context's request is in.
func (q *queue) laneOf(ctx context.Context) *lane {
	name := club.Lane(ctx)
	if found, ok := q.lanes.Load(name); ok {
		return found.(*lane)
	}
	l := &lane{}
	if name != "" {
		l.places = make(chan struct{}, q.places)
	}
	found, _ := q.lanes.LoadOrStore(name, l)
	return found.(*lane)
}

// TraceAcquireEnd ends it. The place in the lane and the turn are kept as long as the
// connection.
func (q *queue) TraceAcquireEnd(ctx context.Context, _ *pgxpool.Pool, data pgxpool.TraceAcquireEndData) {
	defer q.waiting.Add(-1) // last: whoever sees fewer waiting finds room in the lane
	if errors.Is(data.Err, errBusy) {
		q.turned.Add(1)
	}
	w, ok := ctx.Value(waitKey{}).(wait)
	if !ok {
		return
	}
	w.done()
	w.lane.waiting.Add(-1)
	if data.Conn == nil {
		q.giveBack(w)
		return
	}
	q.held.Store(data.Conn, w)
}

// TraceRelease gives them back.
func (q *queue) TraceRelease(_ *pgxpool.Pool, data pgxpool.TraceReleaseData) {
	if w, ok := q.held.LoadAndDelete(data.Conn); ok {
		q.giveBack(w.(wait))
	}
}

func (q *queue) giveBack(w wait) {
	if w.turn {
		q.turns.give()
	}
	if w.placed {
		<-w.lane.places
	}
}

// TraceQueryStart and TraceQueryEnd are there because a pool's tracer is a connection's
// as well; they do nothing.
func (q *queue) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	return ctx
}
func (q *queue) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}
