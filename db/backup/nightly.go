package backup

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"sync/atomic"
	"time"

	"filippo.io/age"
	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// Nightly makes a backup every night. Of several servers on one database one makes it.
type Nightly struct {
	URL  string
	Dir  string // of the backups
	Copy string // the second place; empty: none
	Log  *slog.Logger
	// CopyTo are those to whom the second place is encrypted; none: it is in the clear.
	CopyTo []*age.X25519Recipient

	changed chan struct{}
	tried   atomic.Int64 // when it last was, in Unix seconds: the book may be too ill to note it
	late    late
}

// NewNightly makes one that has not begun.
func NewNightly(url, dir, second string, log *slog.Logger) *Nightly {
	return &Nightly{URL: url, Dir: dir, Copy: second, Log: log, changed: make(chan struct{}, 1)}
}

// Removed says that somebody was removed, so that it is written down beside the backups
// before the database can be lost. It does not wait.
func (n *Nightly) Removed() {
	select {
	case n.changed <- struct{}{}:
	default:
	}
}

// When backups are made: at night, or as soon after as the machine runs again.
const (
	nightHour   = 2
	nightMinute = 30
	lookEvery   = time.Minute
	settleFirst = 10 * time.Minute // a server that has just started has better to do
	tryAgain    = time.Hour
	firstWithin = time.Hour // of a club that has none yet
)

// Run makes backups until the context ends.
func (n *Nightly) Run(ctx context.Context) {
	if n.Copy == "" {
		n.Log.Warn("backups have no second place: a lost disk takes them along. Give one with --backup-copy", "dir", n.Dir)
	}
	began := time.Now()
	n.keepRemovals(ctx)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-n.changed:
			n.keepRemovals(ctx)
		case <-tick.C:
			n.keepRemovals(ctx) // of those, too, whom another server removed
			if time.Since(began) < settleFirst {
				continue
			}
			if _, err := n.IfDue(ctx, began, time.Now()); err != nil && ctx.Err() == nil {
				n.Log.Error("no backup was made", "err", err)
			}
		}
	}
}

func (n *Nightly) keepRemovals(ctx context.Context) {
	err := makeFolder(n.Dir)
	if err == nil {
		err = KeepRemovals(ctx, n.URL, filepath.Join(n.Dir, RemovalsName))
	}
	if err != nil && ctx.Err() == nil {
		n.Log.Error("the list of removed members is not up to date", "err", err)
	}
}

// nightlyLock keeps two servers from making the night's backup at once.
const nightlyLock = 0x1e7e1b17

// IfDue makes tonight's backup, unless it is made, made by another server now, not due yet,
// or there is no club to keep. Where none is due the last goes to a second place that has
// not got it. began is when this server did.
func (n *Nightly) IfDue(ctx context.Context, began, now time.Time) (*Made, error) {
	conn, err := connect(ctx, n.URL)
	if err != nil {
		return nil, fmt.Errorf("backup.IfDue: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	var mine bool
	if err := conn.QueryRow(ctx, `select pg_try_advisory_lock($1)`, nightlyLock).Scan(&mine); err != nil || !mine {
		return nil, err
	}
	var zone string
	var good, tried *time.Time
	err = conn.QueryRow(ctx, `
		select c.time_zone, (select max(began_at) from backups where kind = 'nightly' and why = ''), (select max(began_at) from backups where kind = 'nightly')
		from club c where not c.demo`).Scan(&zone, &good, &tried)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("backup.IfDue: %w", err)
	}
	loc, err := time.LoadLocation(zone)
	if err != nil {
		loc = time.UTC
	}
	if !due(good, tried, began, now, loc) || now.Unix()-n.tried.Load() < int64(tryAgain.Seconds()) {
		return nil, n.catchUp(ctx, conn, now, loc)
	}
	n.tried.Store(now.Unix())
	made, err := n.make(ctx, conn, now, loc)
	return &made, err
}

// due says whether a backup is: the night has come since the last good one, or there was
// none and this server has run for a while; and none was tried just now.
func due(good, tried *time.Time, began, now time.Time, loc *time.Location) bool {
	if tried != nil && now.Sub(*tried) < tryAgain {
		return false
	}
	local := now.In(loc)
	night := time.Date(local.Year(), local.Month(), local.Day(), nightHour, nightMinute, 0, 0, loc)
	if night.After(now) {
		night = time.Date(local.Year(), local.Month(), local.Day()-1, nightHour, nightMinute, 0, 0, loc)
	}
	if good != nil {
		return good.Before(night)
	}
	return began.Before(night) || now.Sub(began) >= firstWithin
}

// make makes the night's backup, copies it, takes away what is not kept, and writes down
// how it went.
func (n *Nightly) make(ctx context.Context, conn *pgx.Conn, now time.Time, loc *time.Location) (Made, error) {
	at := now.UTC().Truncate(time.Second)
	made, err := n.write(ctx, at)
	var copyErr error
	if err == nil {
		if n.Copy != "" {
			copyErr = n.copy(ctx, nameOf(at), loc)
		}
		if pruneErr := n.prune(ctx, loc, copyErr == nil); pruneErr != nil {
			n.Log.Warn("old backups could not be taken away", "err", pruneErr)
		}
	}
	if ctx.Err() != nil {
		return made, ctx.Err()
	}
	if copyErr != nil {
		n.Log.Error("the backup is not in the second place", "dir", n.Copy, "err", copyErr)
	}
	run := run{kind: "nightly", began: now, made: made, err: err, second: n.Copy != "", copyErr: copyErr}
	if recordErr := run.record(ctx, conn); recordErr != nil {
		n.Log.Error("the backup was not written down", "err", recordErr)
	}
	if err == nil {
		n.Log.Info("backup made", "file", made.Path, "bytes", made.Bytes, "photographs", made.Manifest.Photographs.Count, "took", made.Took.Round(time.Millisecond))
	}
	return made, err
}

func (n *Nightly) write(ctx context.Context, at time.Time) (Made, error) {
	store := &Store{Dir: filepath.Join(n.Dir, photosName)}
	if err := makeFolder(store.Dir); err != nil {
		return Made{}, explained(err, n.Dir)
	}
	if err := tidy(n.Dir, abandoned); err != nil {
		return Made{}, explained(err, n.Dir)
	}
	if err := KeepRemovals(ctx, n.URL, filepath.Join(n.Dir, RemovalsName)); err != nil {
		return Made{}, explained(err, n.Dir)
	}
	return ToFile(ctx, n.URL, filepath.Join(n.Dir, nameOf(at)), Options{Photographs: store}, at)
}

func (n *Nightly) prune(ctx context.Context, loc *time.Location, second bool) error {
	err := prune(ctx, n.Dir, n.Dir, loc)
	if second && n.Copy != "" {
		err = errors.Join(err, prune(ctx, n.Copy, n.Dir, loc), n.tellClear())
	}
	return err
}

// tellClear says how much lies in the clear in a second place that is encrypted, from before
// that was asked for.
func (n *Nightly) tellClear() error {
	if len(n.CopyTo) == 0 {
		return nil
	}
	left, err := clearLeft(n.Copy)
	if left > 0 {
		n.Log.Warn("files of before lie in the second place in the clear: the first place has them no longer, or not as they were written", "dir", n.Copy, "files", left)
	}
	return err
}

// run is a backup that was made or tried, as it is written down.
type run struct {
	kind    string
	began   time.Time
	made    Made
	err     error
	second  bool // there is a second place
	copyErr error
}

func (r run) record(ctx context.Context, conn *pgx.Conn) error {
	var copied *bool
	if r.second && r.err == nil {
		ok := r.copyErr == nil
		copied = &ok
	}
	name := filepath.Base(r.made.Path)
	if r.made.Path == "" {
		name = nameOf(r.began)
	}
	_, err := conn.Exec(ctx, `
		insert into backups (kind, began_at, ended_at, file, bytes, why, copied, copy_why)
		values ($1, $2, $3, $4, $5, $6, $7, $8)`,
		r.kind, r.began, r.began.Add(max(r.made.Took, 0)), name, r.made.Bytes, sentence(r.err), copied, sentence(r.copyErr))
	if err == nil { // what is older than anything kept tells nobody anything
		_, err = conn.Exec(ctx, `delete from backups where began_at < $1::timestamptz - interval '400 days'`, r.began)
	}
	return err
}

// Record writes down a backup that was made by hand, so that the pages know of it.
func Record(ctx context.Context, url string, made Made, now time.Time) error {
	conn, err := connect(ctx, url)
	if err != nil {
		return fmt.Errorf("backup.Record: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return run{kind: "by hand", began: now, made: made}.record(ctx, conn)
}

// sentence is what a page may say of an error: nothing where there is none.
func sentence(err error) string {
	var f *club.Fault
	switch {
	case err == nil:
		return ""
	case errors.As(err, &f):
		return f.Say
	}
	return "Something went wrong; the server's log says what."
}
