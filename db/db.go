// Package db keeps the club's book in PostgreSQL. One file a noun, SQL inline
// where it is used; every error is wrapped with the function's name and its key
// arguments, and one a person can do something about is a *club.Fault.
package db

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/puddle/v2"

	"levelpeg/club"
)

// DB is the book in one PostgreSQL database. It is safe for many goroutines.
type DB struct {
	pool   *pgxpool.Pool
	queue  *queue
	copy   *follower // nil: there is none, and all is read where it is written
	end    func()    // of following it
	pegs   pegMemory
	venues venueMemory

	removed func()
}

// Options are what a deployment may set. The zero value serves.
type Options struct {
	MaxConns int32
	// Remember is how many pegs' books to remember; 0 remembers none.
	Remember int
	// Dial replaces the way connections are made; nil is the usual way.
	Dial pgconn.DialFunc
	// ReadFrom is the address of a copy that follows the database and is read from where
	// club.MayBeBehind allows; empty: there is none. Told is told what keeps it from being
	// read from, and nil when it is.
	ReadFrom string
	Told     func(error)
	// Removed is called after a member was removed; nil does nothing. It must not wait.
	Removed func()
}

const (
	defaultConns     = 4 // of which one kind of request has three; more gains nothing on a small machine, and costs PostgreSQL memory
	statementTimeout = "5000"
	connectTimeout   = 5 * time.Second
)

// Open makes a pool for the database at url. It does not wait for the database
// to answer: a server starts, says that the book is out of reach, and serves as
// soon as it is back.
func Open(ctx context.Context, url string, o Options) (*DB, error) {
	cfg, err := config(url, o)
	if err != nil {
		return nil, err
	}
	q := newQueue(cfg.MaxConns)
	cfg.ConnConfig.Tracer = q
	cfg.MaxConns += q.keepFirst()
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("db.Open: %w", err)
	}
	if o.Removed == nil {
		o.Removed = func() {}
	}
	db := &DB{pool: pool, queue: q, pegs: newPegMemory(o.Remember), venues: newVenueMemory(o.Remember), removed: o.Removed, end: func() {}}
	if o.ReadFrom == "" {
		return db, nil
	}
	if db.copy, err = openCopy(ctx, o.ReadFrom, o); err != nil {
		pool.Close()
		return nil, err
	}
	db.startFollowing(o.Told)
	return db, nil
}

// config is what every connection to a database of the book is made by.
func config(url string, o Options) (*pgxpool.Config, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fail(err, "db.Open")
	}
	cfg.MaxConns = defaultConns
	if o.MaxConns > 0 {
		cfg.MaxConns = o.MaxConns
	}
	if o.Dial != nil {
		cfg.ConnConfig.DialFunc = o.Dial
	}
	cfg.ConnConfig.ConnectTimeout = connectTimeout
	setDefault(cfg.ConnConfig.RuntimeParams, "application_name", "levelpeg")
	setDefault(cfg.ConnConfig.RuntimeParams, "statement_timeout", statementTimeout)
	// Plans of our small look-ups never change with their arguments; saying so
	// keeps PostgreSQL from planning each of them five times anew.
	setDefault(cfg.ConnConfig.RuntimeParams, "plan_cache_mode", "force_generic_plan")
	// Compiling a plan to machine code takes a second; ours run for a fraction of a
	// millisecond, but a table that has not been counted yet makes them look long.
	setDefault(cfg.ConnConfig.RuntimeParams, "jit", "off")
	cfg.AfterConnect = prepareHot
	return cfg, nil
}

// Close waits for work under way and closes the pools.
func (db *DB) Close() {
	db.end()
	if db.copy != nil {
		db.copy.pool.Close()
	}
	db.pool.Close()
}

// Ping says whether the database answers.
func (db *DB) Ping(ctx context.Context) error {
	return fail(db.pool.Ping(ctx), "db.Ping")
}

// prepareHot prepares the statement of the hottest page, so that such a page costs
// one round trip from a connection's first use. On a database whose schema is not
// there yet it does nothing: the statement is then prepared when used.
func prepareHot(ctx context.Context, conn *pgx.Conn) error {
	_, err := conn.Prepare(ctx, pegSQL, pegSQL)
	var pg *pgconn.PgError
	if errors.As(err, &pg) && (pg.Code == undefinedTable || pg.Code == undefinedFunction) {
		return nil
	}
	return err
}

func setDefault(m map[string]string, key, value string) {
	if _, ok := m[key]; !ok {
		m[key] = value
	}
}

// Codes of PostgreSQL's own errors that we tell apart.
const (
	undefinedTable    = "42P01"
	undefinedFunction = "42883"
	// serializationFailure is, of a copy that follows another, also that a statement was in the
	// way of its catching up.
	serializationFailure = "40001"
	classConnection      = "08"
	classResources       = "53"
	diskFull             = "53100"
	classIntervention    = "57" // shut down, starting up, cancelled
)

// fail wraps err with where it happened, and makes a fault of a database that is
// out of reach. It gives nil for nil.
func fail(err error, format string, args ...any) error {
	if err == nil {
		return nil
	}
	wrapped := fmt.Errorf(format+": %w", append(args, err)...)
	var address *pgconn.ParseConfigError
	if errors.As(err, &address) {
		return club.Faultf(club.Invalid, "The database address cannot be read.").Because(wrapped)
	}
	if errors.Is(err, errBusy) {
		return club.Faultf(club.Unavailable, "Too many are asking the book at once. Try again in a few seconds.").Because(wrapped)
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) && pg.Code == diskFull {
		return club.NoRoom().Because(wrapped)
	}
	if outOfReach(err) {
		return club.Faultf(club.Unavailable, "The book is out of reach for the moment. Try again in a little while.").Because(wrapped)
	}
	return wrapped
}

func outOfReach(err error) bool {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		if pg.Code == serializationFailure {
			return true
		}
		switch pg.Code[:2] {
		case classConnection, classResources, classIntervention:
			return true
		}
		return false
	}
	var connect *pgconn.ConnectError
	var network net.Error
	return errors.As(err, &connect) || errors.As(err, &network) ||
		pgconn.SafeToRetry(err) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, context.DeadlineExceeded) || errors.Is(err, io.ErrUnexpectedEOF) ||
		errors.Is(err, io.EOF) || errors.Is(err, puddle.ErrClosedPool)
}
