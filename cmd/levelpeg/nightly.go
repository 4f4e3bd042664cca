package main

import (
	"context"
	"log/slog"

	"levelpeg/db/backup"
)

// nights makes backups while the server serves, where that is wanted.
type nights struct{ *backup.Nightly }

// nightly is for the private database unless it is not wanted, and for another's where a
// folder is named: whoever looks after that has ways of their own.
func (c serveCmd) nightly(url string, log *slog.Logger) nights {
	dir := c.Backups
	if dir == "" {
		dir = c.backups()
	}
	if !c.Nightly || dir == "" {
		return nights{}
	}
	return nights{backup.NewNightly(url, dir, c.BackupCopy, log)}
}

func (n nights) removed() {
	if n.Nightly != nil {
		n.Removed()
	}
}

// begin begins, and gives what ends it: a backup under way is given up.
func (n nights) begin(ctx context.Context) (end func()) {
	if n.Nightly == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		n.Run(ctx)
	}()
	return func() {
		cancel()
		<-done
	}
}
