package db

import (
	"context"
	"time"
)

// State is what a database holds, in the large.
type State struct {
	HasClub   bool
	Demo      bool
	LastLevel time.Time // of the newest level; zero where there is none
}

// State looks at what the database holds.
func (db *DB) State(ctx context.Context) (State, error) {
	var s State
	var last *time.Time
	err := db.pool.QueryRow(ctx, `
		select exists (select from club), exists (select from club where demo),
			(select max(l.at) from gauges g cross join lateral
				(select at from levels where gauge_id = g.id order by at desc limit 1) l)`).Scan(&s.HasClub, &s.Demo, &last)
	s.LastLevel = timeOrZero(last)
	return s, fail(err, "db.State")
}
