package db

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"github.com/golang-migrate/migrate/v4"
	pgxmigrate "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"levelpeg/club"
	"levelpeg/migrations"
)

// migrationLock is the key of the lock in the database that makes programs which
// start at once take turns.
const migrationLock = 0x1e7e1be6

// lockTimeout is how long a step waits for a table that a server beside is using, in
// milliseconds. While it waits everyone who wants the table waits behind it; so it gives up,
// and is tried again when less is going on.
const lockTimeout = "10000"

// Migrate brings the database at url up to the newest schema, under a lock. A
// step that fails, or is cut short by a kill, leaves the schema as it was and no
// mark behind: each step is one transaction that also writes its own number.
func Migrate(ctx context.Context, url string) error {
	return migrateTo(ctx, url, migrations.FS, migrations.Latest())
}

// migrateTo takes the steps in files, the newest of which is latest.
func migrateTo(ctx context.Context, url string, files fs.FS, latest uint) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return fail(err, "db.Migrate")
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, `select pg_advisory_lock($1)`, migrationLock); err != nil {
		return fail(err, "db.Migrate")
	}
	before, err := schemaState(ctx, conn)
	if err != nil {
		return fail(err, "db.Migrate")
	}
	if before.step > latest {
		return before.suits(latest)
	}
	if err := withMigrator(ctx, url, files, func(m *migrate.Migrate) error { return stepUp(m, before.step) }); err != nil {
		return stepFailed(ctx, url, files, conn, err)
	}
	return nil
}

// stepFailed clears the mark of a step that was rolled back. The library marks a
// step before it runs and never clears the mark of one that failed.
func stepFailed(ctx context.Context, url string, files fs.FS, conn *pgx.Conn, cause error) error {
	kept, err := schemaState(ctx, conn)
	if err == nil {
		err = withMigrator(ctx, url, files, func(m *migrate.Migrate) error { return clearMark(m, kept.step) })
	}
	return club.Faultf(club.KindOf(cause),
		"The database could not be brought up to date; it stands as step %d left it.", kept.step).Because(errors.Join(cause, err))
}

// stepUp clears the mark that a step cut short by a kill left, then takes the
// steps that are missing.
func stepUp(m *migrate.Migrate, have uint) error {
	if err := clearMark(m, have); err != nil {
		return err
	}
	err := m.Up()
	if errors.Is(err, migrate.ErrNoChange) {
		return nil
	}
	return err
}

func clearMark(m *migrate.Migrate, have uint) error {
	_, dirty, err := m.Version()
	if errors.Is(err, migrate.ErrNilVersion) || (err == nil && !dirty) {
		return nil
	}
	if err != nil {
		return err
	}
	version := int(have)
	if have == 0 {
		version = -1 // the library's word for "nothing yet"
	}
	return m.Force(version)
}

func withMigrator(ctx context.Context, url string, files fs.FS, do func(*migrate.Migrate) error) error {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return fail(err, "db.withMigrator")
	}
	setDefault(config.RuntimeParams, "lock_timeout", lockTimeout)
	pool := stdlib.OpenDB(*config)
	defer pool.Close()
	if err := pool.PingContext(ctx); err != nil {
		return fail(err, "db.withMigrator")
	}
	driver, err := pgxmigrate.WithInstance(pool, &pgxmigrate.Config{})
	if err != nil {
		return fail(err, "db.withMigrator")
	}
	source, err := iofs.New(files, ".")
	if err != nil {
		return fmt.Errorf("db.withMigrator: %w", err)
	}
	m, err := migrate.NewWithInstance("iofs", source, "pgx5", driver)
	if err != nil {
		return fmt.Errorf("db.withMigrator: %w", err)
	}
	defer m.Close()
	return do(m)
}

// MigrateEmpty brings a database whose rows nobody needs to just one step, up or down,
// as Migrate does.
func MigrateEmpty(ctx context.Context, url string, step uint) error {
	if step == 0 || step > migrations.Latest() {
		return fmt.Errorf("db.MigrateEmpty: step %d is not within 1 to %d", step, migrations.Latest())
	}
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return fail(err, "db.MigrateEmpty(%d)", step)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, `select pg_advisory_lock($1)`, migrationLock); err != nil {
		return fail(err, "db.MigrateEmpty(%d)", step)
	}
	have, err := schemaState(ctx, conn)
	if err != nil {
		return fail(err, "db.MigrateEmpty(%d)", step)
	}
	if have.step > migrations.Latest() {
		return have.tooNew(migrations.Latest())
	}
	err = withMigrator(ctx, url, migrations.FS, func(m *migrate.Migrate) error {
		if err := clearMark(m, have.step); err != nil {
			return err
		}
		if err := m.Migrate(step); !errors.Is(err, migrate.ErrNoChange) {
			return err
		}
		return nil
	})
	if err != nil {
		return stepFailed(ctx, url, migrations.FS, conn, err)
	}
	return nil
}

// HoldSchema keeps the schema as it is for as long as the connection lives: whoever
// migrates waits for its end.
func HoldSchema(ctx context.Context, conn *pgx.Conn) error {
	_, err := conn.Exec(ctx, `select pg_advisory_lock_shared($1)`, migrationLock)
	return fail(err, "db.HoldSchema")
}

// SchemaStep is the newest step that the database has taken, 0 where it has taken none.
func SchemaStep(ctx context.Context, conn *pgx.Conn) (uint, error) {
	have, err := schemaState(ctx, conn)
	return have.step, fail(err, "db.SchemaStep")
}

// UnfinishedRestore is the table that stands in a database while a backup is put back
// into it, so that one cut short is neither served nor taken for a club's book.
const UnfinishedRestore = "restore_unfinished"

// restored is a fault where a backup was not put back to its end.
func restored(ctx context.Context, q querier) error {
	var unfinished bool
	err := q.QueryRow(ctx, `select to_regclass($1) is not null`, UnfinishedRestore).Scan(&unfinished)
	if err == nil && unfinished {
		return club.Faultf(club.Conflict, "A backup was being put back into this database and was cut short. Run “levelpeg restore” with the same file again.")
	}
	return err
}

// CheckSchema gives a fault whose sentence says what to do where the database at
// url is not at the schema this program was written for.
func CheckSchema(ctx context.Context, url string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return fail(err, "db.CheckSchema")
	}
	defer conn.Close(ctx)
	have, err := schemaState(ctx, conn)
	if err != nil {
		return fail(err, "db.CheckSchema")
	}
	if err := restored(ctx, conn); err != nil {
		return fail(err, "db.CheckSchema")
	}
	return have.suits(migrations.Latest())
}

// querier is what a pool, a connection and a transaction have in common.
type querier interface {
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

// steps is how far a database's schema is.
type steps struct {
	step uint // the newest it has taken, 0 where it has taken none
	from uint // the oldest whose programs can serve it
}

// schemaState reads it. Of steps that do not say from where on they are served it is their
// own; before step 6 none could.
func schemaState(ctx context.Context, q querier) (steps, error) {
	var have steps
	var there bool
	err := q.QueryRow(ctx, `select to_regclass('schema_steps') is not null`).Scan(&there)
	if err != nil || !there {
		return have, err
	}
	var step, from int64
	err = q.QueryRow(ctx, `select coalesce(max(step), 0), coalesce(max(coalesce((to_jsonb(s) ->> 'serves_from')::integer, step)), 0) from schema_steps s`).Scan(&step, &from)
	return steps{uint(step), uint(from)}, err
}

// suits gives a fault whose sentence says what to do where a program that was written for
// step want cannot serve the database.
func (have steps) suits(want uint) error {
	switch {
	case have.step == 0:
		return club.Faultf(club.Conflict, "The database is empty. Run “levelpeg migrate” to set it up, or start with --migrate.")
	case have.step < want:
		return club.Faultf(club.Conflict, "The database is at step %d and this program needs step %d. Run “levelpeg migrate”, or start with --migrate.", have.step, want)
	case have.from > want:
		return have.tooNew(want)
	}
	return nil
}

func (have steps) tooNew(want uint) error {
	return club.Faultf(club.Conflict, "The database is at step %d, newer than the step %d this program knows. Use the newer program.", have.step, want)
}

// Ready says whether the database answers, is at a schema this program can serve, and holds
// no backup that was put back by half.
func (db *DB) Ready(ctx context.Context) error {
	have, err := schemaState(ctx, db.pool)
	if err != nil {
		return fail(err, "db.Ready")
	}
	if err := restored(ctx, db.pool); err != nil {
		return fail(err, "db.Ready")
	}
	return have.suits(migrations.Latest())
}
