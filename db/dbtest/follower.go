package dbtest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"

	"levelpeg/db"
	"levelpeg/db/private"
)

// Follower is a PostgreSQL that follows another, as a copy to be read from does.
type Follower struct {
	admin *pgx.Conn
	of    *private.Server
}

// Follow gives the address of a database that holds the demo and what else with puts there, in
// a PostgreSQL of its own, and a follower of it. Its own, because a follower has to take in all that is written there: of
// the one that every other test writes to, that can be more than it keeps up with.
func Follow(t testing.TB, with func(at string)) (string, *Follower) {
	t.Helper()
	s, end, err := startPrivate()
	orSkip(t, err)
	t.Cleanup(end)
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	name := s.nextName("followed")
	if err := s.copy(ctx, name, "template0"); err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	at := s.url(name)
	if err := errors.Join(db.Migrate(ctx, at), load(ctx, at)); err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	with(at)
	return at, s.follower(t)
}

// follower copies the whole cluster, and has the copy follow it.
func (s *server) follower(t testing.TB) *Follower {
	t.Helper()
	dir, err := Folder()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := s.copyCluster(filepath.Join(dir, "data")); err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	f := &Follower{}
	if f.of, err = private.Start(ctx, private.Config{Dir: dir, Fast: true}); err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	t.Cleanup(func() { f.Stop(t) })
	f.connect(t)
	return f
}

// copyCluster copies the whole cluster while it runs, as one that follows it.
func (s *server) copyCluster(to string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	conn, err := pgx.Connect(ctx, s.admin.String())
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	var bin, from string
	if err := conn.QueryRow(ctx, `select setting from pg_config() where name = 'BINDIR'`).Scan(&bin); err != nil {
		return err
	}
	if err := conn.QueryRow(ctx, `show data_directory`).Scan(&from); err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, filepath.Join(bin, "pg_basebackup"), "--dbname="+libpq(s.admin), "--pgdata="+to,
		"--write-recovery-conf", "--wal-method=stream", "--checkpoint=fast", "--no-sync")
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("pg_basebackup: %w: %s", err, said)
	}
	return giveTo(to, from)
}

// libpq is an address as PostgreSQL's own programs read it: a plus is no space to them.
func libpq(u url.URL) string {
	u.RawQuery = strings.ReplaceAll(u.RawQuery, "+", "%20")
	return u.String()
}

// giveTo gives a folder to whom another belongs.
func giveTo(dir, like string) error {
	info, err := os.Stat(like)
	if err != nil {
		return err
	}
	own := info.Sys().(*syscall.Stat_t)
	return filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Lchown(path, int(own.Uid), int(own.Gid))
	})
}

// connect is for what the tests ask of the follower itself.
func (f *Follower) connect(t testing.TB) {
	t.Helper()
	u, err := url.Parse(f.of.URL())
	if err != nil {
		t.Fatal(err)
	}
	u.User, u.Path = url.User("postgres"), "/postgres"
	if f.admin, err = pgx.Connect(context.Background(), u.String()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.admin.Close(context.Background()) })
}

// URL is the address at the follower of a database that this package gave.
func (f *Follower) URL(t testing.TB, database string) string {
	t.Helper()
	at, err := url.Parse(f.of.URL())
	if err != nil {
		t.Fatal(err)
	}
	of, err := url.Parse(database)
	if err != nil {
		t.Fatal(err)
	}
	at.Path = of.Path
	return libpq(*at)
}

// Hold keeps the follower from catching up until Release.
func (f *Follower) Hold(t testing.TB)    { f.do(t, `select pg_wal_replay_pause()`) }
func (f *Follower) Release(t testing.TB) { f.do(t, `select pg_wal_replay_resume()`) }

func (f *Follower) do(t testing.TB, sql string) {
	t.Helper()
	if _, err := f.admin.Exec(context.Background(), sql); err != nil {
		t.Fatal(err)
	}
}

// Stop ends the follower; it may be called again.
func (f *Follower) Stop(t testing.TB) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := f.of.Stop(ctx); err != nil {
		t.Error(err)
	}
}
