package private

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/jackc/pgx/v5"
)

// carryRow brings the table that the tests write from one cluster to the other.
func carryRow(ctx context.Context, oldURL, newURL string) error {
	from, err := pgx.Connect(ctx, oldURL)
	if err != nil {
		return err
	}
	defer from.Close(ctx)
	var v string
	if err := from.QueryRow(ctx, `select v from kept`).Scan(&v); err != nil {
		return err
	}
	to, err := pgx.Connect(ctx, newURL)
	if err != nil {
		return err
	}
	defer to.Close(ctx)
	_, err = to.Exec(ctx, `create table kept as select $1::text || ', moved' as v`, v)
	return err
}

// withRow is a folder whose cluster has a row in it.
func withRow(t *testing.T) Config {
	t.Helper()
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	tell(t, s.URL(), `create table kept as select 'written'::text as v`)
	mustStop(t, s)
	return cfg
}

func kept(t *testing.T, cfg Config) string {
	t.Helper()
	s := mustStart(t, cfg)
	defer mustStop(t, s)
	return ask(t, s.URL(), `select v from kept`)
}

// thesePrograms is the newest PostgreSQL there is. Where only one major version is
// installed the move is to the same one, which is the same but for the version.
func thesePrograms(t *testing.T) string {
	t.Helper()
	if dir := os.Getenv("PG_BINDIR"); dir != "" {
		return dir
	}
	return newestFirst("/usr/lib/postgresql")[0]
}

func TestMove(t *testing.T) {
	needPostgres(t)
	cfg := withRow(t)
	out, err := Move(testContext(t), cfg, thesePrograms(t), carryRow)
	if err != nil {
		t.Fatal(err)
	}
	if out.From < leastMajor || out.To < out.From || filepath.Dir(out.Kept) != cfg.Dir {
		t.Errorf("moved %+v", out)
	}
	if v := kept(t, cfg); v != "written, moved" {
		t.Errorf("the new data says %q", v)
	}
	if _, err := os.Stat(filepath.Join(cfg.Dir, "upgrade")); err == nil {
		t.Error("the folder it worked in is left")
	}
	// The old data is as it was, and serves again when put back.
	if err := errors.Join(os.RemoveAll(filepath.Join(cfg.Dir, "data")), os.Rename(out.Kept, filepath.Join(cfg.Dir, "data"))); err != nil {
		t.Fatal(err)
	}
	if v := kept(t, cfg); v != "written" {
		t.Errorf("the old data says %q", v)
	}
}

// TestAMoveThatFails leaves everything as it was, whatever fails; and the next one works.
func TestAMoveThatFails(t *testing.T) {
	needPostgres(t)
	cfg := withRow(t)
	spoilt := errors.New("no")
	if _, err := Move(testContext(t), cfg, thesePrograms(t), func(context.Context, string, string) error { return spoilt }); !errors.Is(err, spoilt) {
		t.Errorf("got %v", err)
	}
	var none ErrNoPostgres
	if _, err := Move(testContext(t), cfg, t.TempDir(), carryRow); !errors.As(err, &none) {
		t.Errorf("with no programs: %v", err)
	}
	ctx, cancel := context.WithCancel(testContext(t))
	if _, err := Move(ctx, cfg, thesePrograms(t), func(context.Context, string, string) error { cancel(); return ctx.Err() }); err == nil {
		t.Error("a move that was given up passed")
	}
	if v := kept(t, cfg); v != "written" {
		t.Errorf("the data says %q", v)
	}
	// What a move that was killed leaves: a half-made folder.
	if err := os.MkdirAll(filepath.Join(cfg.Dir, "upgrade", "data"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(cfg.Dir, "upgrade", "data", "PG_VERSION"), []byte("15\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Move(testContext(t), cfg, thesePrograms(t), carryRow); err != nil {
		t.Error(err)
	}
	if v := kept(t, cfg); v != "written, moved" {
		t.Errorf("the new data says %q", v)
	}
}

func TestAMoveInUseOrOfNothing(t *testing.T) {
	needPostgres(t)
	cfg := withRow(t)
	s := mustStart(t, cfg)
	var inUse ErrInUse
	if _, err := Move(testContext(t), cfg, thesePrograms(t), carryRow); !errors.As(err, &inUse) {
		t.Errorf("beside a running one: %v", err)
	}
	mustStop(t, s)
	empty := quickConfig(t, openDir(t))
	if _, err := Move(testContext(t), empty, thesePrograms(t), carryRow); err == nil {
		t.Error("nothing was moved")
	}
	if _, err := os.Stat(filepath.Join(empty.Dir, "data")); err == nil {
		t.Error("a database was made where there was none")
	}
}
