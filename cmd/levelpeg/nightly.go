package main

import (
	"context"
	"log/slog"

	"levelpeg/club"
	"levelpeg/db/backup"
)

// nights makes backups while the server serves, where that is wanted.
type nights struct{ *backup.Nightly }

// nightly is for the private database unless it is not wanted, and for another's where a
// folder is named: whoever looks after that has ways of their own.
func (c serveCmd) nightly(url string, log *slog.Logger) (nights, error) {
	dir := c.Backups
	if dir == "" {
		dir = c.backups()
	}
	if !c.Nightly || dir == "" {
		return nights{}, nil
	}
	n := backup.NewNightly(url, dir, c.BackupCopy, log)
	var err error
	n.CopyTo, err = backup.ParseRecipients(c.BackupCopyRecipient)
	return nights{n}, err
}

// checkCopy looks at whom the second place is encrypted to: it is not to lie there in the
// clear because of a slip.
func (c serveCmd) checkCopy() error {
	if len(c.BackupCopyRecipient) > 0 && c.BackupCopy == "" {
		return club.Faultf(club.Invalid, "--backup-copy-recipient says to whom the second place of backups is encrypted, and there is none: give --backup-copy, too.")
	}
	_, err := backup.ParseRecipients(c.BackupCopyRecipient)
	return err
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
