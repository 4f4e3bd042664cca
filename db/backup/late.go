package backup

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"
)

// late is what is known of a second place that has not got the last night. Only the
// goroutine that makes the nights uses it.
type late struct {
	away  bool      // it was not there when it was last looked for
	tried time.Time // when it was last copied to in the daytime
}

// copy copies a night to the second place.
func (n *Nightly) copy(ctx context.Context, name string, loc *time.Location) error {
	return (&second{ctx: ctx, from: n.Dir, dir: n.Copy, to: n.CopyTo, zone: loc, log: n.Log}).take(name)
}

// catchUp copies the last good night to the second place if that has not got it: at once
// where it was not there and is now, as with a disk that is put in by day, and else every
// hour.
func (n *Nightly) catchUp(ctx context.Context, conn *pgx.Conn, now time.Time, loc *time.Location) error {
	if n.Copy == "" {
		return nil
	}
	if !isThere(n.Copy) {
		n.late.away = true
		return nil
	}
	if !n.late.away && now.Sub(n.late.tried) < tryAgain {
		return nil
	}
	id, name, err := n.notCopied(ctx, conn)
	if err != nil || name == "" {
		return err
	}
	n.late = late{tried: now}
	err = n.copyLate(ctx, name, loc)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	_, recordErr := conn.Exec(ctx, `update backups set copied = $2, copy_why = $3 where id = $1`, id, err == nil, sentence(err))
	return recordErr
}

func (n *Nightly) copyLate(ctx context.Context, name string, loc *time.Location) error {
	if err := n.copy(ctx, name, loc); err != nil {
		n.Log.Error("the backup is still not in the second place", "dir", n.Copy, "err", err)
		return err
	}
	n.Log.Info("the second place has the backup now", "dir", n.Copy, "file", name)
	if err := errors.Join(prune(ctx, n.Copy, n.Dir, loc), n.tellClear()); err != nil {
		n.Log.Warn("old backups could not be taken away", "err", err)
	}
	return nil
}

// notCopied is the last good night that another place has not got and this server's folder
// has; no name: there is none.
func (n *Nightly) notCopied(ctx context.Context, conn *pgx.Conn) (id int64, name string, err error) {
	var copied *bool
	err = conn.QueryRow(ctx, `select id, file, copied from backups where kind = 'nightly' and why = '' order by began_at desc limit 1`).Scan(&id, &name, &copied)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, "", nil
	}
	if err != nil || copied != nil && *copied || !isThere(filepath.Join(n.Dir, name)) {
		return 0, "", err
	}
	return id, name, nil
}
