package main

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/handlers/measure"
)

// measures are what this server counts, with what it asks the book and the crowd.
func measures(ctx context.Context, book *db.DB, c *crowd) *measure.Measures {
	return measure.New(measure.Source{
		Pool: func() measure.Pool {
			p := book.Pool()
			return measure.Pool{InUse: p.InUse, Idle: p.Idle, Most: p.Most, Waiting: p.Waiting, Waited: p.Waited, TurnedAway: p.TurnedAway}
		},
		Copy: func() (measure.Copy, bool) {
			c, there := book.Copy()
			return measure.Copy{Behind: c.Behind, Known: c.Known, Reads: c.Reads, InUse: c.InUse}, there
		},
		Book: func(ctx context.Context) (measure.Book, error) {
			w, err := book.Watch(ctx)
			out := measure.Book{WaitingForMending: w.WaitingForMending}
			for _, f := range w.Feeds {
				out.Feeds = append(out.Feeds, measure.Feed{ID: int64(f.ID), Gauge: f.Gauge, Good: f.Good, Newest: f.Newest, Failures: f.Failures})
			}
			return out, err
		},
		Crowd:   c.count,
		Serving: func() bool { return ctx.Err() == nil },
		LastBackup: func(ctx context.Context) (time.Time, error) {
			b, err := book.Backups(ctx)
			return b.Good, err
		},
	})
}

// measuresWithin is how long whoever reads the measures may take to ask and to listen.
const measuresWithin = 15 * time.Second

// serveMeasures serves the measures at an address of their own, until it is closed. An
// empty address serves none.
func serveMeasures(address string, m *measure.Measures, log *slog.Logger) (close func(), err error) {
	if address == "" {
		return func() {}, nil
	}
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return nil, club.Faultf(club.Conflict, "Cannot serve the measures at %s.", address).Because(err)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", m.Handler())
	server := &http.Server{Handler: mux, ReadHeaderTimeout: headerWithin, ReadTimeout: measuresWithin, WriteTimeout: measuresWithin,
		IdleTimeout: idleFor, MaxHeaderBytes: headerBytes, ErrorLog: quietLog(log)}
	go func() { _ = server.Serve(listener) }() // it ends when it is closed
	log.Info("measures", "at", "http://"+listener.Addr().String()+"/metrics")
	return func() { _ = server.Close() }, nil
}
