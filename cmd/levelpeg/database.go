package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"levelpeg/db"
	"levelpeg/db/private"
)

// stopWithin is how long PostgreSQL may take to write down what it holds.
const stopWithin = 30 * time.Second

// opened is the database a command works on, and how to let go of it.
type opened struct {
	url    string
	failed <-chan error // the private PostgreSQL has given up; nil for another's database
	close  func()
}

// open gives the database the settings name, starting the private PostgreSQL where
// they name none.
func (d database) open(ctx context.Context, log *slog.Logger) (opened, error) {
	if d.Database != "" {
		return opened{url: d.Database, close: func() {}}, nil
	}
	server, err := private.Start(ctx, private.Config{Dir: d.dataDir(), Log: log})
	if err != nil {
		return opened{}, err
	}
	return opened{url: server.URL(), failed: server.Failed(), close: func() {
		stop, cancel := context.WithTimeout(context.Background(), stopWithin)
		defer cancel()
		if err := server.Stop(stop); err != nil {
			log.Error("PostgreSQL did not stop cleanly", "err", err)
		}
	}}, nil
}

// openBeside is open, and where a server of ours is running on the private PostgreSQL
// already, that one's.
func (d database) openBeside(ctx context.Context, log *slog.Logger) (opened, error) {
	o, err := d.open(ctx, log)
	var inUse private.ErrInUse
	if !errors.As(err, &inUse) {
		return o, err
	}
	url, err := private.RunningURL(inUse.Dir)
	return opened{url: url, close: func() {}}, err
}

// private says whether the database is the one we run.
func (d database) private() bool { return d.Database == "" }

type migrateCmd struct {
	database
}

func (c migrateCmd) Run(ctx context.Context, log *slog.Logger) error {
	o, err := c.open(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	if err := db.Migrate(ctx, o.url); err != nil {
		return err
	}
	log.Info("the database is up to date")
	return nil
}
