package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Pool is how the connections to the database stand.
type Pool struct {
	InUse, Idle, Most  int
	Waiting            int
	Waited, TurnedAway int64 // since the start
}

// Pool looks at the connections.
func (db *DB) Pool() Pool { return poolOf(db.pool, db.queue) }

func poolOf(pool *pgxpool.Pool, q *queue) Pool {
	s := pool.Stat()
	return Pool{
		InUse: int(s.AcquiredConns()), Idle: int(s.IdleConns()), Most: int(s.MaxConns()),
		// Those who were given one are counted no more.
		Waiting: int(q.waiting.Load()), Waited: s.EmptyAcquireCount(), TurnedAway: q.turned.Load(),
	}
}

// Watched is what whoever looks after the server wants to know of the book.
type Watched struct {
	WaitingForMending int
	Feeds             []FeedState
}

// FeedState is how a feed of levels in use stands. The times are zero where there was none.
type FeedState struct {
	ID           int64
	Gauge        string
	Good, Newest time.Time
	Failures     int
}

// Watch looks at what is to be watched.
func (db *DB) Watch(ctx context.Context) (Watched, error) {
	var w Watched
	b := &pgx.Batch{}
	b.Queue(`select count(*) from intake where state = 'needs mending'`).QueryRow(func(row pgx.Row) error {
		return row.Scan(&w.WaitingForMending)
	})
	b.Queue(`select f.id, g.slug, f.good_at, f.newest_at, f.failures from feeds f join gauges g on g.id = f.gauge_id
		where f.active and f.removed_at is null order by f.id`).Query(func(rows pgx.Rows) error {
		var f FeedState
		var good, newest *time.Time
		_, err := pgx.ForEachRow(rows, []any{&f.ID, &f.Gauge, &good, &newest, &f.Failures}, func() error {
			f.Good, f.Newest = timeOrZero(good), timeOrZero(newest)
			w.Feeds = append(w.Feeds, f)
			return nil
		})
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	return w, fail(err, "db.Watch")
}
