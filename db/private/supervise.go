package private

import (
	"context"
	"errors"
	"fmt"
	"time"
)

const (
	maxFailures = 3
	settled     = 5 * time.Second // a postgres that took connections this long was no failure
	firstDelay  = 100 * time.Millisecond
	fullDelay   = 5 * time.Second // between tries on a full disk
)

// supervise keeps a postgres running until the context ends or three in a row
// have failed: never took connections, or not for long. One that has taken some is not
// given up for a full disk: it is tried until there is room again.
func (s *Server) supervise(ctx context.Context) {
	defer close(s.done)
	failures := 0
	for {
		lived, err := s.serve(ctx)
		if ctx.Err() != nil {
			s.endErr = err
			return
		}
		failures++
		if lived >= settled {
			failures = 0
		}
		delay := firstDelay << (2 * failures) // 0.1, 0.4, 1.6 s
		if failures == maxFailures {
			if !s.waitsForRoom(err) {
				s.giveUp(err)
				return
			}
			failures--
			delay = fullDelay
		}
		s.log.Warn("PostgreSQL is down and will be started again", "failures", failures, "cause", err)
		sleep(ctx, delay)
	}
}

// waitsForRoom says whether a full disk is why a postgres that has served is down.
func (s *Server) waitsForRoom(err error) bool {
	var full ErrNoRoom
	select {
	case <-s.isReady:
		return errors.As(err, &full)
	default:
		return false
	}
}

func (s *Server) giveUp(cause error) {
	s.failed <- fmt.Errorf("PostgreSQL failed %d times in a row in %s, the last time so: %w", maxFailures, s.places.dir, cause)
	close(s.failed)
}

func sleep(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// serve runs one postgres from its start to its end, and tells how long it took
// connections and why it ended. When the context ended it, the error is only
// that it would not.
func (s *Server) serve(ctx context.Context) (time.Duration, error) {
	if err := clearLeftovers(ctx, s.places); err != nil {
		return 0, unlessAsked(ctx, err)
	}
	c, err := s.launch()
	if err != nil {
		return 0, unlessAsked(ctx, err)
	}
	lived, cause := s.attend(ctx, c)
	s.pid.Store(0)
	if err := c.end(s.hurry); err != nil {
		return lived, err
	}
	return lived, unlessAsked(ctx, cause)
}

func unlessAsked(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// attend watches over a postgres for as long as it should run.
func (s *Server) attend(ctx context.Context, c *child) (time.Duration, error) {
	s.pid.Store(int64(c.process.Pid))
	if err := s.await(ctx, c, "ready", 10*time.Millisecond); err != nil {
		return 0, err
	}
	if err := s.ensure(ctx); err != nil {
		return 0, err
	}
	since := time.Now()
	s.ready()
	err := s.await(ctx, c, "stopping", time.Second)
	if err == nil {
		err = errors.New("PostgreSQL was told by somebody else to stop")
	}
	return time.Since(since), err
}

// await looks at postmaster.pid until our postgres says the status there. A
// start may take long after a crash, so it is waited for as long as it lives.
func (s *Server) await(ctx context.Context, c *child, status string, every time.Duration) error {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-c.ended:
			return s.orNoRoom(c.journal.lastWords(), c.unasked())
		case <-tick.C:
			if f := readPidFile(s.places.data); f.pid == c.process.Pid && f.status == status {
				return nil
			}
		}
	}
}
