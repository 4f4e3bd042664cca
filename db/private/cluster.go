package private

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sys/unix"
)

const (
	superuser = "postgres"
	appName   = "levelpeg" // the program's role and its database
)

// makeCluster makes a new cluster beside its place and moves it there when it is
// whole and on the disk, so that one cut short is never taken for one.
func (s *Server) makeCluster(ctx context.Context) error {
	if err := s.clearInit(ctx); err != nil {
		return err
	}
	if err := ownFolder(s.places.init, s.user); err != nil {
		return err
	}
	said, err := s.user.output(ctx, "/", s.bin.path("initdb"), s.initArgs()...)
	if ctx.Err() != nil {
		return fmt.Errorf("making the database in %s: %w", s.places.dir, ctx.Err())
	}
	if err != nil {
		return s.orNoRoom(said, fmt.Errorf("the database could not be made in %s (%w): %s", s.places.dir, err, lastLine(said)))
	}
	if err := os.Rename(s.places.init, s.places.data); err != nil {
		return fmt.Errorf("the new database could not be put in place: %w", err)
	}
	return syncFolder(s.places.dir)
}

// clearInit throws away what an interrupted makeCluster left.
func (s *Server) clearInit(ctx context.Context) error {
	for _, pid := range residents(s.places.init) {
		if err := endResident(ctx, s.places.init, pid, grace{unix.SIGKILL, 5 * time.Second}); err != nil {
			return err
		}
	}
	if err := os.RemoveAll(s.places.init); err != nil {
		return fmt.Errorf("the remains of an unfinished start cannot be cleared: %w", err)
	}
	return nil
}

// initArgs asks for a cluster in locale C, whose order no system library can
// change under an index, that trusts whoever can enter the socket's folder and
// nobody else. A killed initdb must not clean up: by then the folder may be its
// successor's.
func (s *Server) initArgs() []string {
	args := []string{
		"--pgdata=" + s.places.init, "--username=" + superuser,
		"--encoding=UTF8", "--locale=C",
		"--auth-local=trust", "--auth-host=reject",
		"--no-clean", "--no-instructions",
	}
	if s.fast {
		args = append(args, "--no-sync")
	}
	return args
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func lastLine(text string) string {
	text = strings.TrimSpace(text)
	return text[strings.LastIndexByte(text, '\n')+1:]
}

// ensure sees that the program's role and database exist. It is done at every
// start, because an earlier one may have been killed between the two.
func (s *Server) ensure(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	conn, err := pgx.Connect(ctx, s.places.url(superuser, "postgres"))
	if err != nil {
		return fmt.Errorf("PostgreSQL is ready but cannot be reached: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	err = createMissing(ctx, conn,
		`SELECT EXISTS (SELECT FROM pg_roles WHERE rolname = $1)`,
		`CREATE ROLE levelpeg LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE`)
	if err != nil {
		return fmt.Errorf("making the role %s: %w", appName, err)
	}
	err = createMissing(ctx, conn,
		`SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)`,
		`CREATE DATABASE levelpeg OWNER levelpeg TEMPLATE template0
			ENCODING 'UTF8' LOCALE_PROVIDER libc LC_COLLATE 'C' LC_CTYPE 'C'`)
	if err != nil {
		return fmt.Errorf("making the database %s: %w", appName, err)
	}
	return nil
}

// createMissing runs create unless exists finds the program's name.
func createMissing(ctx context.Context, conn *pgx.Conn, exists, create string) error {
	var found bool
	if err := conn.QueryRow(ctx, exists, appName).Scan(&found); err != nil || found {
		return err
	}
	_, err := conn.Exec(ctx, create)
	return err
}
