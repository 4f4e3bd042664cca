package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// MigrateTo is migrateTo, for tests that bring steps of their own.
var MigrateTo = migrateTo

// SchemaSuits says whether a program of step want can serve a database that is at a step,
// and can be served from another on.
func SchemaSuits(step, from, want uint) error { return steps{step, from}.suits(want) }

// GaugeStatements are those of a gauge's page, for a test that looks at their plans.
func GaugeStatements(slug string, look club.LookBack, now time.Time) []*pgx.QueuedQuery {
	b := &pgx.Batch{}
	queueGauge(b, slug, look, []byte("nobody's token, of 32 bytes long."), now, &club.GaugeView{})
	return b.QueuedQueries
}

// ErrBusy is errBusy.
var ErrBusy = errBusy

// SetWaits says how long requests wait for a connection, and how many.
func (db *DB) SetWaits(within time.Duration, most int64) {
	db.queue.within, db.queue.most = within, most
}

// PlacesHeld are the places in lanes that connections hold.
func (db *DB) PlacesHeld() (n int) {
	db.queue.held.Range(func(any, any) bool { n++; return true })
	return n
}

// Run runs a statement.
func (db *DB) Run(ctx context.Context, sql string) error {
	_, err := db.pool.Exec(ctx, sql)
	return err
}
