package db_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/migrations"
)

// withStep is the landed steps and one more of the test's own.
func withStep(t *testing.T, up string) (files fstest.MapFS, latest uint) {
	t.Helper()
	files, latest = fstest.MapFS{}, migrations.Latest()+1
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		body, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: body}
	}
	step := fmt.Sprintf("begin;\ninsert into schema_steps (step, serves_from) values (%d, %d);\n%s\ncommit;\n", latest, latest, up)
	files[fmt.Sprintf("%04d_next.up.sql", latest)] = &fstest.MapFile{Data: []byte(step)}
	files[fmt.Sprintf("%04d_next.down.sql", latest)] = &fstest.MapFile{Data: []byte("begin;\ncommit;\n")}
	return maps.Clone(files), latest
}

// withCompatible is withStep, of a step that programs of this one can serve.
func withCompatible(t *testing.T, up string) (files fstest.MapFS, latest uint) {
	t.Helper()
	files, latest = withStep(t, up)
	name := fmt.Sprintf("%04d_next.up.sql", latest)
	says := strings.Replace(string(files[name].Data), fmt.Sprintf("(%d, %d)", latest, latest), fmt.Sprintf("(%d, %d)", latest, latest-1), 1)
	files[name] = &fstest.MapFile{Data: []byte(says)}
	return files, latest
}

// marks is what the migration library remembers.
func marks(s sql) string {
	s.Helper()
	return one[string](s, `select coalesce((select version || ' ' || dirty from schema_migrations), 'nothing')`)
}

func step(s sql) int { return one[int](s, `select coalesce(max(step), 0) from schema_steps`) }

func TestFailingStepLeavesTheOldState(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s, have := connect(t, url), migrations.Latest()
	files, latest := withStep(t, "create table half_done (n integer);\nselect 1 / 0;")
	err := db.MigrateTo(background(t), url, files, latest)
	var f *club.Fault
	if !errors.As(err, &f) || !strings.Contains(f.Say, fmt.Sprintf("it stands as step %d left it", have)) {
		t.Fatalf("got %v, want a sentence that names step %d", err, have)
	}
	if !strings.Contains(err.Error(), "division by zero") {
		t.Errorf("%v does not say what was wrong", err)
	}
	if got, want := marks(s), fmt.Sprintf("%d false", have); got != want {
		t.Errorf("the mark is %q, want %q", got, want)
	}
	if step(s) != int(have) || one[bool](s, `select to_regclass('half_done') is not null`) {
		t.Error("the failed step left something behind")
	}
	if err := db.CheckSchema(background(t), url); err != nil {
		t.Errorf("the schema is no longer good: %v", err)
	}
	files, latest = withStep(t, "create table whole (n integer);")
	if err := db.MigrateTo(background(t), url, files, latest); err != nil || step(s) != int(latest) {
		t.Errorf("mended, the step gives %v and leaves step %d", err, step(s))
	}
}

func TestFailingFirstStepLeavesAnEmptyDatabase(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	files := fstest.MapFS{
		"0001_first.up.sql":   {Data: []byte("begin;\ncreate table schema_steps (step integer);\nselect 1 / 0;\ncommit;\n")},
		"0001_first.down.sql": {Data: []byte("begin;\ncommit;\n")},
	}
	if err := db.MigrateTo(background(t), url, files, 1); err == nil {
		t.Fatal("the failing step passed")
	}
	if got := marks(connect(t, url)); got != "nothing" {
		t.Errorf("the mark is %q, want nothing", got)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Errorf("and then the real steps: %v", err)
	}
}

// TestStepCutShort has a step's connection ended from outside while it runs, as a
// kill would.
func TestStepCutShort(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s, have := connect(t, url), migrations.Latest()
	files, latest := withStep(t, "create table half_done (n integer);\nselect pg_sleep(60);")
	ended := make(chan error, 1)
	go func() { ended <- db.MigrateTo(context.WithoutCancel(background(t)), url, files, latest) }()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if one[int](s, `select count(pg_terminate_backend(pid)) from pg_stat_activity
			where datname = current_database() and query like '%pg_sleep(60)%' and pid <> pg_backend_pid()`) > 0 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("the step was never seen running")
		}
	}
	if err := <-ended; err == nil {
		t.Fatal("a step that was cut short passed")
	}
	if got, want := marks(s), fmt.Sprintf("%d false", have); got != want || one[bool](s, `select to_regclass('half_done') is not null`) {
		t.Errorf("the mark is %q, want %q and no table", got, want)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Errorf("the next start: %v", err)
	}
}

// TestMarkLeftByAKill writes the marks that a kill of the whole program leaves.
func TestMarkLeftByAKill(t *testing.T) {
	t.Parallel()
	latest := int(migrations.Latest())
	t.Run("the step was rolled back", func(t *testing.T) {
		url := dbtest.Empty(t)
		s := connect(t, url)
		s.do(`create table schema_migrations (version bigint not null primary key, dirty boolean not null)`)
		s.do(`insert into schema_migrations values (1, true)`)
		if err := db.Migrate(background(t), url); err != nil {
			t.Fatal(err)
		}
		if got, want := marks(s), fmt.Sprintf("%d false", latest); got != want || step(s) != latest {
			t.Errorf("the mark is %q at step %d, want %q", got, step(s), want)
		}
	})
	t.Run("the step had committed", func(t *testing.T) {
		url := dbtest.New(t)
		s := connect(t, url)
		s.do(`update schema_migrations set dirty = true`)
		if err := db.Migrate(background(t), url); err != nil {
			t.Fatal(err)
		}
		if got, want := marks(s), fmt.Sprintf("%d false", latest); got != want || step(s) != latest {
			t.Errorf("the mark is %q at step %d, want %q", got, step(s), want)
		}
	})
}

func TestTwoMigrateAtOnce(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	ended := make(chan error)
	for range 2 {
		go func() { ended <- db.Migrate(context.Background(), url) }()
	}
	for range 2 {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
	if err := db.CheckSchema(background(t), url); err != nil {
		t.Error(err)
	}
	if n := one[int](connect(t, url), `select count(*) from schema_steps`); n != int(migrations.Latest()) {
		t.Errorf("%d steps are written down", n)
	}
}

func TestCheckSchemaSentences(t *testing.T) {
	t.Parallel()
	latest := migrations.Latest()
	for _, c := range []struct {
		name, change, want string
		make               func(testing.TB) string
	}{
		{"empty", ``, "The database is empty. Run “levelpeg migrate”", dbtest.Empty},
		{"newer", `insert into schema_steps values (99, now(), 99)`, fmt.Sprintf("at step 99, newer than the step %d this program knows. Use the newer program.", latest), dbtest.New},
		{"a backup put back by half", `create table restore_unfinished ()`, "A backup was being put back into this database and was cut short.", dbtest.New},
	} {
		t.Run(c.name, func(t *testing.T) {
			url := c.make(t)
			s := connect(t, url)
			if c.change != "" {
				s.do(c.change)
			}
			book := open(t, url)
			for name, err := range map[string]error{"CheckSchema": db.CheckSchema(background(t), url), "Ready": book.Ready(background(t))} {
				if club.KindOf(err) != club.Conflict || !strings.Contains(err.Error(), c.want) {
					t.Errorf("%s: %v, want “%s”", name, err, c.want)
				}
			}
		})
	}
	t.Run("newer is not migrated", func(t *testing.T) {
		url := dbtest.New(t)
		connect(t, url).do(`insert into schema_steps values (99, now(), 99)`)
		if err := db.Migrate(background(t), url); club.KindOf(err) != club.Conflict {
			t.Errorf("got %v, want a refusal", err)
		}
	})
	t.Run("older", func(t *testing.T) {
		err := db.SchemaSuits(3, 3, 5)
		if club.KindOf(err) != club.Conflict || !strings.Contains(err.Error(), "at step 3 and this program needs step 5. Run “levelpeg migrate”") {
			t.Errorf("got %v", err)
		}
	})
	t.Run("the older program after a newer one's step", func(t *testing.T) {
		url := dbtest.New(t)
		files, next := withStep(t, "create table more (n integer);")
		if err := db.MigrateTo(background(t), url, files, next); err != nil {
			t.Fatal(err)
		}
		err := db.CheckSchema(background(t), url)
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("at step %d, newer", next)) {
			t.Errorf("got %v", err)
		}
	})
}

// TestOldAndNewSideBySide: while a newer program's step is taken a program of before serves
// on, starts anew, and writes what the newer one reads; where the step says that it cannot,
// it says so and is not ready.
func TestOldAndNewSideBySide(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	// What a step that only adds may do: a column with a default, a table, a function's new names.
	files, next := withCompatible(t, `
		alter table soundings add column silt_mm integer not null default 0;
		create table silts (sounding_id integer);
		alter table levels add column seen_by text;`)
	if err := db.MigrateTo(background(t), url, files, next); err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"CheckSchema": db.CheckSchema(background(t), url), "Ready": book.Ready(background(t)), "Migrate": db.Migrate(background(t), url),
	} {
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got := step(s); got != int(next) {
		t.Errorf("the older program's migrating left step %d", got)
	}
	closed, err := book.SetClosure(background(t), onMachine, "sallow-reach", club.ClosureDraft{Reason: "A tree is down"}, now)
	if err != nil {
		t.Fatalf("the older program cannot write: %v", err)
	}
	if v, err := book.Peg(background(t), "sallow-reach", "14", nil, now); err != nil || len(v.Closures) == 0 {
		t.Errorf("%v, %d closures after %+v", err, len(v.Closures), closed)
	}
	s.do(`update schema_steps set serves_from = $1 where step = $1`, next)
	for name, err := range map[string]error{"CheckSchema": db.CheckSchema(background(t), url), "Ready": book.Ready(background(t))} {
		if club.KindOf(err) != club.Conflict || !strings.Contains(err.Error(), "newer than the step") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestAStepWaitsForNobodyForLong: a step that wants a table which somebody keeps gives up,
// leaves the old state, and is taken when it is tried again.
func TestAStepWaitsForNobodyForLong(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s, keeper := connect(t, url), connect(t, url)
	keeper.do(`begin`)
	keeper.do(`select count(*) from levels`)
	files, next := withStep(t, `alter table levels add column more integer;`)
	hasty := url + "&lock_timeout=200"
	err := db.MigrateTo(background(t), hasty, files, next)
	var f *club.Fault
	if !errors.As(err, &f) || !strings.Contains(f.Say, fmt.Sprintf("it stands as step %d left it", next-1)) || !strings.Contains(err.Error(), "lock timeout") {
		t.Fatalf("got %v", err)
	}
	if got, mark := step(s), marks(s); got != int(next-1) || mark != fmt.Sprintf("%d false", next-1) {
		t.Errorf("step %d, mark %q", got, mark)
	}
	keeper.do(`rollback`)
	if err := db.MigrateTo(background(t), hasty, files, next); err != nil || step(s) != int(next) {
		t.Errorf("tried again: %v, step %d", err, step(s))
	}
}
