package backup_test

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// TestThereAndBack: every table reads the same after, but for what a restore says it
// changes; numbers go on where they stopped, triggers and keys work.
func TestThereAndBack(t *testing.T) {
	t.Parallel()
	url, s := filled(t)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select '\x` + strings.Repeat("61", 32) + `', min(id), now(), now() + interval '1 day' from members`)
	want := s.holds()
	made := toFile(t, url, backup.Options{})
	if made.Manifest.Photographs.Count != 3 || made.Head.Step != 6 || made.Manifest.Rows() < 200_000 {
		t.Errorf("made %+v, %d rows", made.Manifest.Photographs, made.Manifest.Rows())
	}
	if names := files(t, filepath.Dir(made.Path)); len(names) != 1 {
		t.Errorf("left beside it: %v", names)
	}
	t.Logf("%d rows in %d bytes, %v", made.Manifest.Rows(), made.Bytes, made.Took)

	other := dbtest.Empty(t)
	out := restore(t, other, made.Path, backup.Restoring{})
	o := connect(t, other)
	got := o.holds()
	for _, changed := range []string{"club", "log", "book_revision"} { // the epoch, which is of the book, and a line that says so
		if got[changed] == want[changed] {
			t.Errorf("%s is as it was", changed)
		}
		got[changed], want[changed] = "", ""
	}
	sameHoldings(t, got, want)
	if out.Removed != 0 || one[int](o, `select count(*) from sessions`) != 0 {
		t.Errorf("removed %d, or sessions came along", out.Removed)
	}
	const rest = `select (to_jsonb(c) - 'epoch')::text from club c`
	if one[string](s, rest) != one[string](o, rest) || one[string](s, `select epoch::text from club`) == one[string](o, `select epoch::text from club`) {
		t.Error("of the club not the epoch alone changed")
	}
	if a, b := one[int](s, `select count(*) from log`), one[int](o, `select count(*) from log`); b != a+1 {
		t.Errorf("%d lines in the log, then %d", a, b)
	}
	for _, table := range []string{"members", "soundings", "venues", "pictures"} {
		last := one[int64](s, `select max(id) from `+table)
		if next := one[int64](o, `select nextval(pg_get_serial_sequence($1, 'id'))`, table); next <= last {
			t.Errorf("%s: the next number is %d after %d", table, next, last)
		}
	}
	works(t, other, o)
}

// works sees that triggers and keys are back.
func works(t *testing.T, url string, o sql) {
	t.Helper()
	if err := db.CheckSchema(background(t), url); err != nil {
		t.Error(err)
	}
	for _, refused := range []string{`delete from levels`, `update soundings set depth_mm = 1`, `insert into runs (peg_id, name, distance_mm) values (999999, 'x', 1)`, `delete from picture_data`} {
		if _, err := o.conn.Exec(background(t), refused); err == nil {
			t.Errorf("%s: allowed after the restore", refused)
		}
	}
	before := one[int64](o, `select revision from book_revision`)
	o.do(`insert into notes (peg_id, at, text) select min(id), now(), 'after' from pegs`)
	if after := one[int64](o, `select revision from book_revision`); after != before+1 {
		t.Errorf("the book's revision went from %d to %d", before, after)
	}
}

// schema is what tells one schema from another: columns, constraints, indexes, triggers.
const schema = `select string_agg(line, e'\n' order by line) from (
	select conrelid::regclass || ' ' || conname || ' ' || convalidated || ' ' || pg_get_constraintdef(oid) as line from pg_constraint where connamespace = 'public'::regnamespace
	union all select indexdef from pg_indexes where schemaname = 'public'
	union all select pg_get_triggerdef(oid) || tgenabled::text from pg_trigger where not tgisinternal
	union all select table_name || ' ' || column_name || ' ' || ordinal_position::text || data_type from information_schema.columns where table_schema = 'public') s`

func TestTheSchemaIsTheSameAfter(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s := connect(t, url)
	s.do(`insert into club (name, time_zone, place) values ('A', 'UTC', 'England')`)
	made := toFile(t, url, backup.Options{})
	want := one[string](s, schema)
	s.do(`truncate club`)
	restore(t, url, made.Path, backup.Restoring{})
	if got := one[string](s, schema); got != want || len(want) < 5000 {
		t.Errorf("the schema was\n%s\nand is\n%s", want, got)
	}
}

// TestUnderLoad: what is restored is what stood at the backup's moment, whole, though
// everything went on being written; two tables that are written together agree.
func TestUnderLoad(t *testing.T) {
	t.Parallel()
	url, s := filled(t)
	stop, cancel := context.WithCancel(background(t))
	defer cancel()
	var writers sync.WaitGroup
	wrote := make([]int, 2)
	for i := range wrote {
		writers.Add(1)
		go func() {
			defer writers.Done()
			wrote[i] = writeOn(t, stop, url, uint64(i))
		}()
	}
	time.Sleep(200 * time.Millisecond)
	before := one[int](s, `select count(*) from outings where temperature_dc = 333`)
	made := toFile(t, url, backup.Options{})
	after := one[int](s, `select count(*) from outings where temperature_dc = 333`)
	cancel()
	writers.Wait()
	if after == before {
		t.Fatalf("nothing was written meanwhile: %v", wrote)
	}
	other := dbtest.Empty(t)
	out := restore(t, other, made.Path, backup.Restoring{Aside: true})
	o := connect(t, other)
	n := one[int](o, `select count(*) from outings where temperature_dc = 333`)
	if n < before || n > after {
		t.Errorf("%d outings are in it; there were %d before and %d after", n, before, after)
	}
	if one[int](o, `select count(*) from log where what = 'load'`) != n {
		t.Error("what was written in one transaction is not together")
	}
	t.Logf("%d transactions under way, %d before the moment, %d rows kept in %v", wrote[0]+wrote[1], n, out.Manifest.Rows(), made.Took)

	again := toFile(t, other, backup.Options{})
	for i, c := range made.Manifest.Tables {
		if again.Manifest.Tables[i] != c {
			t.Errorf("%+v at the backup's moment, and %+v of what was put back", c, again.Manifest.Tables[i])
		}
	}
	if again.Manifest.Photographs != made.Manifest.Photographs {
		t.Errorf("photographs %+v, then %+v", made.Manifest.Photographs, again.Manifest.Photographs)
	}
}

func writeOn(t *testing.T, ctx context.Context, url string, seed uint64) (n int) {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Error(err)
		return 0
	}
	defer conn.Close(context.Background())
	r := rand.New(rand.NewPCG(seed, 7))
	for ; ctx.Err() == nil; n++ {
		err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
			b := &pgx.Batch{}
			b.Queue(`insert into outings (peg_id, at, temperature_dc) select min(id), now(), 333 from pegs`)
			b.Queue(`insert into log (what) values ('load')`)
			b.Queue(`insert into levels (gauge_id, at, zero_id, level_mm, source) select z.gauge_id, now() - interval '40 years' + $1 * interval '1 ms', max(z.id), 900, 'board'
				from gauge_zeros z group by z.gauge_id order by z.gauge_id limit 1 on conflict do nothing`, r.IntN(1e9))
			b.Queue(`update members set seen_at = now() where id = (select min(id) from members)`)
			return tx.SendBatch(ctx, b).Close()
		})
		if err != nil && ctx.Err() == nil {
			t.Error(err)
			return n
		}
	}
	return n
}

func TestOnlyIntoAnEmptyDatabase(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s := connect(t, url)
	s.do(`insert into club (name, time_zone, place) values ('A', 'UTC', 'England')`)
	made := toFile(t, url, backup.Options{})
	want := s.holds()
	_, err := backup.Restore(background(t), url, made.Path, backup.Restoring{}, now)
	refused(t, err, club.Conflict, "holds a book already")
	sameHoldings(t, s.holds(), want)
	if err := db.CheckSchema(background(t), url); err != nil {
		t.Error(err)
	}
}

func TestNothingToKeep(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	_, err := backup.ToFile(background(t), dbtest.Empty(t), filepath.Join(dir, "x"), backup.Options{}, now)
	refused(t, err, club.Conflict, "nothing to keep")
	if names := files(t, dir); len(names) != 0 {
		t.Errorf("left behind: %v", names)
	}
}

// TestARestoreCutShort is not served, and is done again by the same command.
func TestARestoreCutShort(t *testing.T) {
	t.Parallel()
	url, s := filled(t)
	made := toFile(t, url, backup.Options{})
	want := s.holds("club", "log", "book_revision")
	_ = s.conn.Close(context.Background())
	other := dbtest.Empty(t)
	for _, after := range []time.Duration{300 * time.Millisecond, 900 * time.Millisecond, 1800 * time.Millisecond, 2700 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(background(t), after)
		_, err := backup.Restore(ctx, other, made.Path, backup.Restoring{}, now)
		cancel()
		if err == nil {
			t.Skipf("SKIPPED: this machine restores within %v", after)
		}
		t.Logf("after %v: %v", after, err)
		if one[bool](connect(t, other), `select to_regclass('club') is not null`) {
			refused(t, db.CheckSchema(background(t), other), club.Conflict, "")
		}
	}
	refused(t, db.CheckSchema(background(t), other), club.Conflict, "cut short")
	_, err := backup.ToFile(background(t), other, filepath.Join(t.TempDir(), "half"), backup.Options{}, now)
	refused(t, err, club.Conflict, "nothing whole to keep")
	restore(t, other, made.Path, backup.Restoring{})
	sameHoldings(t, connect(t, other).holds("club", "log", "book_revision"), want)
	if err := db.CheckSchema(background(t), other); err != nil {
		t.Error(err)
	}
}

// TestAnyTableIsInIt: a table that comes with a later step is in the backup without a
// word, after the one it refers to; those of the queue of jobs are not.
func TestAnyTableIsInIt(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s := connect(t, url)
	s.do(`insert into club (name, time_zone, place) values ('A', 'UTC', 'England')`)
	s.do(`create table zz_parent (id integer primary key); create table a_child (p integer references zz_parent, n integer, m integer generated always as (n * 2) stored);
		insert into zz_parent values (1), (2); insert into a_child (p, n) values (2, 5), (1, null), (1, null); insert into river_job (kind, args, max_attempts) values ('fetch', '{}', 3)`)
	made := toFile(t, url, backup.Options{})
	var names []string
	for _, table := range made.Head.Tables {
		names = append(names, table.Name)
	}
	if !slices.Contains(names, "a_child") || slices.Index(names, "a_child") < slices.Index(names, "zz_parent") || slices.Index(names, "members") > slices.Index(names, "kits") {
		t.Errorf("the tables are in the order %v", names)
	}
	for _, out := range []string{"river_job", "sessions", "tries", "ceremonies", "waiting_tables", "waiting_parts", "schema_migrations"} {
		if slices.Contains(names, out) {
			t.Errorf("%s is in it", out)
		}
	}
	for _, c := range made.Manifest.Tables {
		if c.Name == "a_child" && c.Rows != 3 {
			t.Errorf("of three rows %d", c.Rows)
		}
	}
	for _, want := range []string{"removals", "backups", "picture_data", "schema_steps"} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not in it", want)
		}
	}
	// A schema that is not the step's own is refused rather than guessed at.
	_, err := backup.Restore(background(t), dbtest.Empty(t), made.Path, backup.Restoring{}, now)
	refused(t, err, club.Invalid, "damaged")
}

// TestFromEveryEarlierStep: a backup that an earlier release made reads the same.
func TestFromEveryEarlierStep(t *testing.T) {
	t.Parallel()
	for step, script := range map[uint]string{1: "step0001.sql", 2: "step0002.sql", 3: "step0003.sql", 5: "step0005.sql"} {
		// Each gives its database back before the next takes one.
		t.Run(script, func(t *testing.T) { fromStep(t, step, script) })
	}
}

func fromStep(t *testing.T, step uint, script string) {
	but := []string{"club", "log", "book_revision", "schema_steps"}
	if step < 3 { // closures of before step 3 say that they were set when it was taken
		but = append(but, "closures")
	}
	url := dbtest.Empty(t)
	if err := db.MigrateEmpty(background(t), url, step); err != nil {
		t.Fatal(err)
	}
	s := connect(t, url)
	text, err := os.ReadFile("../testdata/" + script)
	if err != nil {
		t.Fatal(err)
	}
	s.do(string(text))
	made := toFile(t, url, backup.Options{})
	if made.Head.Step != step {
		t.Errorf("step %d says %d", step, made.Head.Step)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Fatal(err)
	}
	want := s.holds(but...)
	_ = s.conn.Close(context.Background())
	s = connect(t, url)
	for _, table := range []string{"venues", "members", "gauges", "club"} {
		s.do(`truncate ` + table + ` cascade`)
	}
	restore(t, url, made.Path, backup.Restoring{}) // goes down from the newest step first
	sameHoldings(t, s.holds(but...), want)
}
