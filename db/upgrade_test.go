package db_test

import (
	"crypto/sha256"
	_ "embed"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/migrations"
)

// step0001 is a small club's book as the program that knew only step 1 wrote it.
//
//go:embed testdata/step0001.sql
var step0001 string

// firstSteps are the landed steps up to one.
func firstSteps(t *testing.T, last string) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		body, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		if name[:4] <= last {
			files[name] = &fstest.MapFile{Data: body}
		}
	}
	return files
}

// contents is every row of every table of step 1, but for what marks the steps and columns that came later.
const contents = `select string_agg(t::text, e'\n' order by t) from (
	select 'club ' || (to_jsonb(x) - '{id,epoch,welfare,incident_line,tiles,tiles_credit}'::text[])::text as t from club x union all select 'member ' || (to_jsonb(x) - '{sign_in,password,joined_at,left_at,seen_at,consent,consent_by,consent_at}'::text[])::text from members x
	union all select 'session ' || (to_jsonb(x) - '{own_phone,device}'::text[])::text from sessions x union all select 'gauge ' || (to_jsonb(x) - '{past}'::text[])::text from gauges x
	union all select 'zero ' || x::text from gauge_zeros x union all select 'level ' || (to_jsonb(x) - '{intake_id}'::text[])::text from levels x
	union all select 'hour ' || x::text from levels_hour x union all select 'day ' || x::text from levels_day x
	union all select 'venue ' || (to_jsonb(x) - '{open}'::text[])::text from venues x union all select 'peg ' || (to_jsonb(x) - '{lat,lon}'::text[])::text from pegs x
	union all select 'run ' || x::text from runs x union all select 'sounding ' || (to_jsonb(x) - '{intake_id,boil,note,odd}'::text[])::text from soundings x
	union all select 'hazard ' || x::text from hazards x union all select 'rule ' || (to_jsonb(x) - '{to_peg_id,from_at,to_at}'::text[])::text from level_rules x
	union all select 'closure ' || (to_jsonb(x) - '{set_at,set_by,lifted_at,lifted_by}'::text[])::text from closures x union all select 'note ' || (to_jsonb(x) - '{venue_id,approved_at,approved_by,waits,hidden_at,hidden_by,hidden_why}'::text[])::text from notes x
	union all select 'revision ' || x::text from book_revision x) t`

// pegBooks is what step 1's own function says of every peg; names that came later
// are left out.
const pegBooks = `select string_agg((j - '{fixtures,beside,outings,pictures}'::text[] || jsonb_build_object('rules', (
		select jsonb_agg(r - '{from,to}'::text[]) from jsonb_array_elements(j -> 'rules') r), 'notes', (
		select jsonb_agg(n - '{id,junior,waits,hidden,why}'::text[]) from jsonb_array_elements(nullif(j -> 'notes', 'null')) n)))::text, e'\n' order by id)
	from (select id, peg_book(id, $1)::jsonb as j from pegs) p`

// TestUpgradeFromStep1: a database that the release of step 1 filled holds every row
// after the steps since, and reads the same.
func TestUpgradeFromStep1(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	if err := db.MigrateTo(background(t), url, firstSteps(t, "0001"), 1); err != nil {
		t.Fatal(err)
	}
	s := connect(t, url)
	s.do(step0001)
	before, books := one[string](s, contents), one[string](s, pegBooks, now)
	if n := strings.Count(before, "\n"); n < 150 || !strings.Contains(books, `"Bob's own"`) {
		t.Fatalf("the old book holds %d rows", n)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Fatal(err)
	}
	if after := one[string](s, contents); after != before {
		t.Errorf("the rows were\n%s\nand are\n%s", before, after)
	}
	if after := one[string](s, pegBooks, now); after != books {
		t.Errorf("the pegs' books were\n%s\nand are\n%s", books, after)
	}
	sameRollups(s, "upgraded")

	book := open(t, url)
	v := readPeg(t, book, "3", token('a'))
	if v.Member.Name != "Ann" || len(v.Runs) != 1 || len(v.Runs[0].Soundings) != 2 || len(v.Hazards) != 1 || len(v.Rules) != 1 || len(v.Fixtures) != 0 {
		t.Errorf("the peg reads %+v", v)
	}
	if l := v.Standing.Latest; l == nil || !near(l.LevelM, 1.23) {
		t.Errorf("the latest level reads %+v", l)
	}
	h, err := book.Home(background(t), nil, now)
	if err != nil || len(h.Venues) != 2 || len(h.Venues[0].Pegs) != 5 || len(h.Venues[1].Closures) != 1 {
		t.Errorf("the list of venues reads %+v, %v", h, err)
	}
	s.do(`insert into fixtures (venue_id, name, starts_at, ends_at) select id, 'First', $1, $2 from venues where slug = 'near'`, inDays(1, 9), inDays(1, 14))
	sameNames(t, "the upgraded peg", readPeg(t, book, "3", nil).Fixtures, "First")
}

// step0002 is a small club's book as the program that knew steps 1 and 2 wrote it.
//
//go:embed testdata/step0002.sql
var step0002 string

// contents2 is every row of every table of step 2, as contents.
const contents2 = `select (` + contents + `) || (select string_agg('fixture ' || (to_jsonb(x) - '{uid}'::text[])::text, e'\n' order by id) from fixtures x)`

// pegBooks2 is what step 2's own function says of every peg, as pegBooks.
const pegBooks2 = `select string_agg((j - '{outings,pictures}'::text[] || jsonb_build_object('rules', (
		select jsonb_agg(r - '{from,to}'::text[]) from jsonb_array_elements(j -> 'rules') r), 'notes', (
		select jsonb_agg(n - '{id,junior,waits,hidden,why}'::text[]) from jsonb_array_elements(nullif(j -> 'notes', 'null')) n)))::text, e'\n' order by id)
	from (select id, peg_book(id, $1)::jsonb as j from pegs) p`

// TestUpgradeFromStep2: what stood before the steps since still stands, closures that
// nobody lifted and rules without a time among them.
func TestUpgradeFromStep2(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	if err := db.MigrateTo(background(t), url, firstSteps(t, "0002"), 2); err != nil {
		t.Fatal(err)
	}
	s := connect(t, url)
	s.do(step0002)
	before, books := one[string](s, contents2), one[string](s, pegBooks2, now)
	if n := strings.Count(before, "\n"); n < 70 || !strings.Contains(books, `"Work party."`) {
		t.Fatalf("the old book holds %d rows", n)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Fatal(err)
	}
	if after := one[string](s, contents2); after != before {
		t.Errorf("the rows were\n%s\nand are\n%s", before, after)
	}
	if after := one[string](s, pegBooks2, now); after != books {
		t.Errorf("the pegs' books were\n%s\nand are\n%s", books, after)
	}
	sameRollups(s, "upgraded")

	book := open(t, url)
	for label, want := range map[string]struct{ closures, rules int }{"1": {1, 1}, "2": {0, 2}, "3": {1, 1}, "15": {1, 2}} {
		v := readPeg(t, book, label, token('a'))
		if len(v.Closures) != want.closures || len(v.Rules) != want.rules || len(v.Fixtures) != 1 || len(v.Outings) != 0 || v.Member.Name != "Ann" {
			t.Errorf("peg %s reads %+v", label, v)
		}
	}
	v := readVenue(t, book, "near")
	if len(v.Closures) != 2 || v.Closures[0].SetBy != "" || v.Rules[0].FromLabel != "" || v.Rules[1].FromLabel != "2" || v.Rules[1].ToLabel != "2" || !v.Rules[1].From.IsZero() {
		t.Errorf("the venue reads %+v, %+v", v.Closures, v.Rules)
	}
	if _, err := book.LiftClosure(background(t), club.Writer{Session: token('a')}, "near", v.Closures[0].ID, now); err != nil {
		t.Error(err)
	}
	if left := readPeg(t, book, "1", nil).Closures; len(left) != 0 {
		t.Errorf("what was lifted after the upgrade still stands: %+v", left)
	}
}

// step0003 is a small club's book as the program that knew steps 1 to 3 wrote it.
//
//go:embed testdata/step0003.sql
var step0003 string

// contents3 is every row of every table of step 3 with all its columns, as contents.
const contents3 = `select string_agg(t::text, e'\n' order by t) from (
	select 'rest ' || c.c as t from (` + contents2 + `) as c(c)
	union all select 'closure ' || (to_jsonb(x))::text from closures x union all select 'rule ' || to_jsonb(x)::text from level_rules x
	union all select 'kit ' || to_jsonb(x)::text from kits x union all select 'outing ' || to_jsonb(x)::text from outings x) t`

// pegBooks3 is what step 3's own function says of every peg, as pegBooks.
const pegBooks3 = `select string_agg((j - '{pictures}'::text[] || jsonb_build_object('notes', (
		select jsonb_agg(n - '{id,junior,waits,hidden,why}'::text[]) from jsonb_array_elements(nullif(j -> 'notes', 'null')) n)))::text, e'\n' order by id)
	from (select id, peg_book(id, $1)::jsonb as j from pegs) p`

// TestUpgradeFromStep3: kits, outings, closures that were lifted and rules that have a
// time read as they did.
func TestUpgradeFromStep3(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	if err := db.MigrateTo(background(t), url, firstSteps(t, "0003"), 3); err != nil {
		t.Fatal(err)
	}
	s := connect(t, url)
	s.do(step0003)
	before, books := one[string](s, contents3), one[string](s, pegBooks3, now)
	if n := strings.Count(before, "\n"); n < 120 || !strings.Contains(books, `"Work party."`) || !strings.Contains(books, `"thick"`) {
		t.Fatalf("the old book holds %d rows: %s", n, books)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Fatal(err)
	}
	if after := one[string](s, contents3); after != before {
		t.Errorf("the rows were\n%s\nand are\n%s", before, after)
	}
	if after := one[string](s, pegBooks3, now); after != books {
		t.Errorf("the pegs' books were\n%s\nand are\n%s", books, after)
	}
	sameRollups(s, "upgraded")
	book := open(t, url)
	for label, want := range map[string]struct{ closures, rules, outings int }{"1": {0, 1, 1}, "2": {1, 2, 0}, "3": {1, 2, 1}, "15": {0, 1, 0}} {
		v := readPeg(t, book, label, token('a'))
		if len(v.Closures) != want.closures || len(v.Rules) != want.rules || len(v.Fixtures) != 1 || len(v.Outings) != want.outings || v.Member.Name != "Ann" || v.Member.Kit != "s.1-2-3" {
			t.Errorf("peg %s reads %+v", label, v)
		}
	}
}

// step0005 is the made-up club's book, made small, as the program that knew steps 1 to 5
// wrote it with its members' sessions, links, entries, notes, photographs, feeds and loggers.
//
//go:embed testdata/step0005.sql
var step0005 string

// tablesNow are the tables of a step, but for those that mark steps and revisions and those of the
// library of jobs.
const tablesNow = `select array_agg(table_name::text order by table_name) from information_schema.tables
	where table_schema = 'public' and table_type = 'BASE TABLE' and table_name !~ '^(schema_|river_|book_revision$)'`

// rowsOf is every row of a table, but for columns that came later.
func (s sql) rowsOf(table string) string {
	s.Helper()
	return one[string](s, `select coalesce(string_agg(r, e'\n' order by r), '') from (select (to_jsonb(x) - '{past}'::text[])::text as r from `+table+` x) t`)
}

// TestUpgradeFromStep5: what members, phones and instruments wrote stands, whole, and reads as
// it did.
func TestUpgradeFromStep5(t *testing.T) {
	t.Parallel()
	url, at := dbtest.Empty(t), dbtest.DemoNow
	if err := db.MigrateTo(background(t), url, firstSteps(t, "0005"), 5); err != nil {
		t.Fatal(err)
	}
	s := connect(t, url)
	s.do(step0005)
	const books = `select string_agg(peg_book(id, $1)::text, e'\n' order by id) from pegs`
	before, read := map[string]string{}, one[string](s, books, at)
	empty := []string{}
	for _, table := range one[[]string](s, tablesNow) {
		if before[table] = s.rowsOf(table); before[table] == "" {
			empty = append(empty, table)
		}
	}
	if want := []string{"ceremonies", "passkeys", "peg_codes_gone", "tries"}; !slices.Equal(empty, want) {
		t.Fatalf("the old book has nothing in %v, want %v", empty, want)
	}
	if err := db.Migrate(background(t), url); err != nil {
		t.Fatal(err)
	}
	for table, rows := range before {
		if after := s.rowsOf(table); after != rows {
			t.Errorf("the rows of %s were\n%s\nand are\n%s", table, rows, after)
		}
	}
	if after := one[string](s, books, at); after != read {
		t.Errorf("the pegs' books were\n%s\nand are\n%s", read, after)
	}
	sameRollups(s, "upgraded")

	book := open(t, url)
	angler := sha256.Sum256([]byte(club.Angler))
	v, err := book.Peg(background(t), "sallow-reach", "14", angler[:], at)
	if err != nil || v.Member.Role != club.Angler || v.Member.Kit == "" || len(v.Pictures) != 1 || len(v.Closures) == 0 || v.Closures[0].Reason != "A tree is down" {
		t.Errorf("the peg reads %+v, %v", v, err)
	}
	// A sounding that is written now raises its own venue's revision, and is read.
	run := one[int](s, `select r.id from runs r join pegs p on p.id = r.peg_id where p.code = $1 order by r.distance_mm limit 1`, v.Peg.Code)
	had := len(v.Runs[0].Soundings)
	s.do(`insert into soundings (run_id, zero_id, at, level_mm, depth_mm) select $1, max(zero_id), $2, 900, 1111 from soundings where run_id = $1`, run, at.Add(-time.Minute))
	if v, err = book.Peg(background(t), "sallow-reach", "14", angler[:], at); err != nil || len(v.Runs[0].Soundings) != had+1 {
		t.Errorf("the run has %d soundings, and had %d; %v", len(v.Runs[0].Soundings), had, err)
	}
}
