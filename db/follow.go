package db

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"levelpeg/club"
)

// reads is what a page that only reads asks: the pool of the database itself, or that of
// the copy which follows it.
type reads interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
	SendBatch(ctx context.Context, b *pgx.Batch) pgx.BatchResults
	BeginTx(ctx context.Context, o pgx.TxOptions) (pgx.Tx, error)
}

// reads is where a request reads: from the copy where its context says that this will do
// and the copy is not behind, and else from the database itself.
func (db *DB) reads(ctx context.Context) reads {
	if c := db.copy; c != nil && club.BehindWillDo(ctx) && c.behind() <= club.MostBehind {
		c.used.Add(1)
		return c.pool
	}
	return db.pool
}

// follower is a copy of the database that PostgreSQL keeps up with it by itself.
type follower struct {
	pool  *pgxpool.Pool
	queue *queue
	used  atomic.Int64

	began time.Time
	// upTo is a moment, counted from began by this process's own clock: all that was
	// committed by then is in the copy. 0: not known. So no two machines' clocks are
	// compared, and a copy that nobody looks at any more falls behind by itself.
	upTo atomic.Int64
	said string // what was last told of it; of the one goroutine that follows
}

// never is how far behind a copy is that nothing is known of.
const never = time.Duration(math.MaxInt64)

// behind is how old what the copy holds may be, at most.
func (f *follower) behind() time.Duration {
	upTo := f.upTo.Load()
	if upTo == 0 {
		return never
	}
	return time.Since(f.began) - time.Duration(upTo)
}

const (
	lookEvery  = time.Second
	lookWithin = 3 * time.Second
)

// seen is how far the database was at a moment.
type seen struct {
	at  time.Duration
	lsn string
}

// follow compares the copy with the database, over and over, until the context ends. It
// keeps what it saw of the database until the copy has got there. tell is called with what
// keeps the copy from being read from, once for each time that this changes; nil when it is.
func (db *DB) follow(ctx context.Context, tell func(error)) {
	var ahead []seen
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		var err error
		if ahead, err = db.compare(ctx, ahead); ctx.Err() != nil {
			return
		}
		db.copy.report(err, tell)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// startFollowing follows the copy until the book is closed.
func (db *DB) startFollowing(tell func(error)) {
	if tell == nil {
		tell = func(error) {}
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		db.follow(ctx, tell)
	}()
	db.end = func() {
		cancel()
		<-done
	}
}

// mostAhead is how many of its own looks at the database are kept: of a copy that is
// farther behind, those in between tell nothing.
const mostAhead = 60

func (db *DB) compare(ctx context.Context, ahead []seen) ([]seen, error) {
	ctx, cancel := context.WithTimeout(ctx, lookWithin)
	defer cancel()
	s := seen{at: time.Since(db.copy.began)}
	var id string
	err := db.pool.QueryRow(ctx, `select pg_current_wal_flush_lsn()::text, coalesce((select id::text from club), '')`).Scan(&s.lsn, &id)
	if err != nil {
		return ahead, fmt.Errorf("the database itself: %w", err)
	}
	if ahead = append(ahead, s); len(ahead) > mostAhead {
		ahead = append(ahead[:1], ahead[2:]...)
	}
	there, err := db.copy.has(ctx, ahead, id)
	if err != nil {
		return ahead, err
	}
	if there > 0 {
		db.copy.upTo.Store(int64(ahead[there-1].at))
	}
	return ahead[there:], nil
}

// has is how many of the moments, oldest first, the copy has got to.
func (f *follower) has(ctx context.Context, ahead []seen, id string) (int, error) {
	at := make([]string, len(ahead))
	for i, s := range ahead {
		at[i] = s.lsn
	}
	var follows bool
	var there int
	var own string
	err := f.pool.QueryRow(ctx, `
		select pg_is_in_recovery(), (select count(*) from unnest($1::text[]) as a (lsn) where a.lsn::pg_lsn <= pg_last_wal_replay_lsn()),
			coalesce((select id::text from club), '')`, at).Scan(&follows, &there, &own)
	switch {
	case err != nil:
		return 0, err
	case !follows:
		return 0, errors.New("it follows no other PostgreSQL")
	case own != id: // whatever it has got to: places in two clusters' logs say nothing of each other
		return 0, errors.New("it holds another club's book, or none yet")
	}
	return there, nil
}

// report tells of a change, and no more than that.
func (f *follower) report(err error, tell func(error)) {
	said := ""
	if err == nil && f.behind() > club.MostBehind {
		err = fmt.Errorf("it is more than %v behind", club.MostBehind)
	}
	if err != nil {
		said = err.Error()
	}
	if said != f.said {
		f.said = said
		tell(err)
	}
}

// openCopy makes the pool of the copy at url. As with the database itself, nothing waits for it to
// answer.
func openCopy(ctx context.Context, url string, o Options) (*follower, error) {
	cfg, err := config(url, o)
	if err != nil {
		return nil, err
	}
	f := &follower{queue: newQueue(cfg.MaxConns), began: time.Now()}
	cfg.ConnConfig.Tracer = f.queue
	if f.pool, err = pgxpool.NewWithConfig(ctx, cfg); err != nil {
		return nil, fmt.Errorf("db.Open: %w", err)
	}
	return f, nil
}

// Copy is how the copy that is read from stands.
type Copy struct {
	Pool
	Behind time.Duration // how old what it holds may be, at most
	Known  bool          // how far it is behind
	Reads  int64         // since the start
}

// Copy looks at the copy; false where there is none.
func (db *DB) Copy() (Copy, bool) {
	if db.copy == nil {
		return Copy{}, false
	}
	behind := db.copy.behind()
	return Copy{Pool: poolOf(db.copy.pool, db.copy.queue), Behind: behind, Known: behind != never, Reads: db.copy.used.Load()}, true
}
