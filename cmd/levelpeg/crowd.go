package main

import (
	"context"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"levelpeg/handlers/measure"
)

// crowd keeps the connections from outside to so many. One more and one that has done
// nothing for long is shut in its place, so that many who say nothing, or say it slowly,
// keep nobody out.
type crowd struct {
	most int
	shut atomic.Int64

	mu     sync.Mutex
	guests map[net.Conn]*guest
}

// guest is one connection.
type guest struct {
	since   atomic.Int64 // nanoseconds of the clock: it came, or was answered last
	serving atomic.Bool  // a request of its is being answered
}

func newCrowd(most int) *crowd { return &crowd{most: most, guests: map[net.Conn]*guest{}} }

type guestKey struct{}

// meet and watch are for http.Server's ConnContext and ConnState.
func (c *crowd) meet(ctx context.Context, conn net.Conn) context.Context {
	g := &guest{}
	g.since.Store(time.Now().UnixNano())
	c.mu.Lock()
	var leaver net.Conn
	if len(c.guests) >= c.most {
		leaver = c.idlest()
		delete(c.guests, leaver)
	}
	c.guests[conn] = g
	c.mu.Unlock()
	if leaver != nil {
		c.shut.Add(1)
		_ = leaver.Close() // it may just have gone
	}
	return context.WithValue(ctx, guestKey{}, g)
}

func (c *crowd) watch(conn net.Conn, state http.ConnState) {
	if state != http.StateClosed && state != http.StateHijacked {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.guests, conn)
}

// looked is how many connections are looked at to find one that has been idle for long. A
// map gives them in no order, so it is nearly the longest.
const looked = 64

// idlest is one of those that have been idle longest; nil where every one that was looked
// at is being answered.
func (c *crowd) idlest() net.Conn {
	var found net.Conn
	var since int64
	n := 0
	for conn, g := range c.guests {
		if n++; n > looked {
			break
		}
		if at := g.since.Load(); !g.serving.Load() && (found == nil || at < since) {
			found, since = conn, at
		}
	}
	return found
}

// served marks a connection while a request of its is being answered.
func (c *crowd) served(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if g, ok := r.Context().Value(guestKey{}).(*guest); ok {
			g.serving.Store(true)
			defer func() {
				g.since.Store(time.Now().UnixNano())
				g.serving.Store(false)
			}()
		}
		next.ServeHTTP(w, r)
	})
}

func (c *crowd) count() measure.Crowd {
	c.mu.Lock()
	defer c.mu.Unlock()
	return measure.Crowd{Open: len(c.guests), Shut: c.shut.Load()}
}
