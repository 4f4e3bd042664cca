package db

import (
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// MigrateTo is migrateTo, for tests that bring steps of their own.
var MigrateTo = migrateTo

// CompareSchema is compareSchema.
var CompareSchema = compareSchema

// GaugeStatements are those of a gauge's page, for a test that looks at their plans.
func GaugeStatements(slug string, look club.LookBack, now time.Time) []*pgx.QueuedQuery {
	b := &pgx.Batch{}
	queueGauge(b, slug, look, []byte("nobody's token, of 32 bytes long."), now, &club.GaugeView{})
	return b.QueuedQueries
}
