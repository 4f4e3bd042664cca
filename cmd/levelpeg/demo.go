package main

import (
	"context"
	"log/slog"
	"runtime/debug"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/db"
)

type demoCmd struct {
	database
}

func (c demoCmd) Run(ctx context.Context, log *slog.Logger) error {
	o, err := c.open(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	if c.private() {
		err = db.Migrate(ctx, o.url)
	} else {
		err = db.CheckSchema(ctx, o.url)
	}
	if err != nil {
		return err
	}
	book, err := db.Open(ctx, o.url, db.Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer book.Close()
	return makeDemo(ctx, book, log)
}

func makeDemo(ctx context.Context, book *db.DB, log *slog.Logger) error {
	start := time.Now()
	if err := book.LoadDemo(ctx, demo.Make(start)); err != nil {
		return err
	}
	log.Info("the demo club is made; every water, level and name in it is invented", "took", time.Since(start).Round(time.Millisecond))
	return nil
}

// demoGoesOld is how old a demo's newest level may be before the demo is made
// afresh: its days are counted from the day it was made.
const demoGoesOld = 12 * time.Hour

// ensureDemo makes the demo club in an empty database, and afresh where it has
// gone old. It has a connection of its own, since one that has written two hundred
// thousand levels keeps the memory it took, as does a heap.
func ensureDemo(ctx context.Context, url string, log *slog.Logger) error {
	book, err := db.Open(ctx, url, db.Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer debug.FreeOSMemory()
	defer book.Close()
	state, err := book.State(ctx)
	switch {
	case err != nil:
		return err
	case state.HasClub && !state.Demo:
		return club.Faultf(club.Conflict, "This database holds a real club's book. Start without --demo to serve it.")
	case state.HasClub && time.Since(state.LastLevel) < demoGoesOld:
		return nil
	}
	return makeDemo(ctx, book, log)
}
