package db_test

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

func readWater(t *testing.T, book *db.DB, slug string) club.OfficeWater {
	t.Helper()
	w, err := book.OfficeWater(background(t), slug, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func readOffice(t *testing.T, book *db.DB) club.Office {
	t.Helper()
	o, err := book.Office(background(t), nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// labelsOf are what a water's posts say, going downstream.
func labelsOf(w club.OfficeWater) string {
	var out []string
	for _, k := range w.Pegs {
		out = append(out, k.Label)
	}
	return strings.Join(out, " ")
}

// must fails the test for an error.
func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// wantFault wants a fault of a kind that says some words.
func wantFault(t *testing.T, err error, kind club.Kind, words string) {
	t.Helper()
	if club.KindOf(err) != kind || err == nil || !strings.Contains(err.Error(), words) {
		t.Errorf("%v, want a fault of kind %d that says “%s”", err, kind, words)
	}
}

func TestAClubFromNothing(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	book, s := open(t, url), connect(t, url)
	ctx := background(t)
	gauge := club.GaugeDraft{Name: "Mill  Bridge", River: "Water", LowM: 0.3, HighM: 1.5}
	_, err := book.AddGauge(ctx, onMachine, gauge, now)
	wantFault(t, err, club.Conflict, "in the settings first")
	s.do(`insert into club (name, time_zone, place) values ('Test club', 'Europe/London', 'England')`)
	if water, steps := readOffice(t, book).Steps(); water != "" || steps[0].Done || steps[0].Href != "/setup/gauges/new" {
		t.Errorf("%+v", steps)
	}
	g, err := book.AddGauge(ctx, onMachine, gauge, now)
	must(t, err)
	if g.Slug != "mill-bridge" || g.Name != "Mill Bridge" {
		t.Errorf("%+v", g)
	}
	second, err := book.AddGauge(ctx, onMachine, gauge, now)
	if must(t, err); second.Slug != "mill-bridge-2" {
		t.Errorf("a second one is at %q", second.Slug)
	}
	v, err := book.AddVenue(ctx, onMachine, club.VenueDraft{Name: "Écluse Reach", River: "Water", Gauge: g.Slug, CloseSeason: true}, now)
	if must(t, err); v.Slug != "ecluse-reach" {
		t.Errorf("the water is at %q", v.Slug)
	}
	if one[bool](s, `select open from venues`) {
		t.Error("a new water begins open to visitors")
	}
	_, err = book.AddVenue(ctx, onMachine, club.VenueDraft{Name: "New", River: "Water", Gauge: "nowhere"}, now)
	wantFault(t, err, club.Invalid, "no such gauge")
	said, err := book.AddStretch(ctx, onMachine, v.Slug, club.StretchDraft{First: 1, Last: 40, Bank: club.LeftBank, FirstDeg: 350, LastDeg: 29}, now)
	if must(t, err); said != "40 pegs made: going downstream 1 to 40." {
		t.Error(said)
	}
	w := readWater(t, book, v.Slug)
	codes := map[string]bool{}
	for i, k := range w.Pegs {
		if k.Label != fmt.Sprint(i+1) || k.Order != i+1 || k.BearingDeg != (350+i)%360 || k.Bank != club.LeftBank || !near(k.MarkHeightM, 2) {
			t.Errorf("peg %d is %+v", i+1, k.Peg)
		}
		if codes[k.Code] || !regexp.MustCompile(`^[2-9A-HJKMNP-Z]{4,8}$`).MatchString(k.Code) {
			t.Errorf("peg %s has the code %q", k.Label, k.Code)
		}
		codes[k.Code] = true
	}
	_, _, err = book.AddRuns(ctx, onMachine, "nowhere", club.RunSetDraft{Runs: club.UsualRuns()}, now)
	wantFault(t, err, club.NotFound, "no water")
	runs, pegs, err := book.AddRuns(ctx, onMachine, v.Slug, club.RunSetDraft{Runs: club.UsualRuns()}, now)
	if must(t, err); runs != 160 || pegs != 40 {
		t.Errorf("%d runs at %d pegs", runs, pegs)
	}
	if runs, _, err = book.AddRuns(ctx, onMachine, v.Slug, club.RunSetDraft{Runs: append(club.UsualRuns(), club.Run{Name: "far", DistanceM: 20})}, now); err != nil || runs != 40 {
		t.Errorf("once more: %d, %v", runs, err)
	}
	// One level and one sounding, and the sheet answers.
	s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source) select g.id, $1, z.id, 700, 'board' from gauges g join gauge_zeros z on z.gauge_id = g.id where g.slug = 'mill-bridge'`, now.Add(-time.Hour))
	s.do(`insert into soundings (run_id, zero_id, at, level_mm, depth_mm) select r.id, z.id, $1, 700, 1500 from pegs p join runs r on r.peg_id = p.id, gauges g join gauge_zeros z on z.gauge_id = g.id
		where p.label = '7' and r.name = 'two rods' and g.slug = 'mill-bridge'`, now.Add(-time.Hour))
	peg, err := book.Peg(ctx, v.Slug, "7", nil, now)
	wantFault(t, err, club.Forbidden, "only members")
	d := readWater(t, book, v.Slug).Venue.Draft()
	d.Was, d.Open = d.Stamp(), true
	must(t, book.ChangeVenue(ctx, onMachine, v.Slug, d, now))
	if peg, err = book.Peg(ctx, v.Slug, "7", nil, now); err != nil || peg.Standing.Latest == nil || len(peg.Runs) != 5 {
		t.Fatalf("%v, %+v", err, peg.Runs)
	}
	water, steps := readOffice(t, book).Steps()
	if step := club.NextStep(steps); water != "Écluse Reach" || step != nil {
		t.Errorf("%s: %+v is not done", water, step)
	}
	if n := one[int](s, `select count(*) from log`); n != 7 {
		t.Errorf("%d lines in the log", n)
	}
}

// TestStaleForms: what somebody else changed meanwhile is not undone.
func TestStaleForms(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	w := readWater(t, book, "near")
	peg := w.Pegs[0]
	run := peg.Runs[0]
	must(t, book.SetHazard(ctx, onMachine, "near", 0, club.HazardDraft{Kind: club.DeepEdge, Text: "Deep here"}, now))
	h := readWater(t, book, "near").Hazards[0]
	for _, c := range []struct {
		name   string
		change func(was string) error
	}{
		{"gauge", func(was string) error {
			d := w.Gauge.Draft()
			d.Name, d.Was = "Other "+was[:4], or(was, d.Stamp())
			return book.ChangeGauge(ctx, onMachine, "board", d, now)
		}},
		{"venue", func(was string) error {
			d := w.Venue.Draft()
			d.About, d.Was = "x"+was, or(was, d.Stamp())
			return book.ChangeVenue(ctx, onMachine, "near", d, now)
		}},
		{"peg", func(was string) error {
			d := peg.Draft(w.Gauge.Zero)
			d.Access, d.Was = "x"+was, or(was, d.Stamp())
			return book.ChangePeg(ctx, onMachine, "near", peg.Code, d, now)
		}},
		{"run", func(was string) error {
			d := run.Draft()
			d.Bottom, d.Was = "x"+was, or(was, d.Stamp())
			return book.SetRun(ctx, onMachine, "near", peg.Code, run.ID, d, now)
		}},
		{"hazard", func(was string) error {
			d := h.Draft()
			d.Text, d.Was = "x"+was, or(was, d.Stamp())
			return book.SetHazard(ctx, onMachine, "near", h.ID, d, now)
		}},
		{"zero", func(was string) error {
			z := w.Gauge.Zeros[1]
			d := z.Fix()
			d.Reason, d.Was = "x"+was, or(was, d.Stamp())
			return book.FixZero(ctx, onMachine, "board", z.ID, d, now)
		}},
		{"places", func(was string) error {
			_, err := book.SetPlaces(ctx, onMachine, "near", []club.PegPlace{{Code: peg.Code, At: &club.Position{LatDeg: 1, LonDeg: 2}}}, or(was, w.PlacesStamp()), now)
			return err
		}},
		{"pegs", func(was string) error {
			_, err := book.AddBetween(ctx, onMachine, "near", club.BetweenDraft{Label: "B", Was: or(was, w.PegsStamp())}, now)
			return err
		}},
	} {
		wantFault(t, c.change("stale"), club.Conflict, "Somebody changed")
		if err := c.change("    "); err != nil {
			t.Errorf("%s, not stale: %v", c.name, err)
		}
		wantFault(t, c.change("    "), club.Conflict, "Somebody changed")
	}
	if n := one[int](s, `select count(*) from pegs where label = 'B'`); n != 1 {
		t.Errorf("%d pegs B", n)
	}
}

// or is was, or for blanks the stamp that is right.
func or(was, right string) string {
	if strings.TrimSpace(was) == "" {
		return right
	}
	return was
}

// TestOnlySecretariesSetUp: every other role and nobody at all are refused, but for
// hazards, which a bailiff may set; and nothing is written.
func TestOnlySecretariesSetUp(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	w := readWater(t, book, "near")
	code := w.Pegs[0].Code
	writes := map[string]func(who club.Writer) error{
		"AddGauge": func(who club.Writer) error {
			_, err := book.AddGauge(ctx, who, club.GaugeDraft{Name: "g", River: "r", HighM: 1}, now)
			return err
		},
		"ChangeGauge": func(who club.Writer) error {
			return book.ChangeGauge(ctx, who, "board", club.GaugeDraft{Name: "g", River: "r", HighM: 1}, now)
		},
		"MoveZero": func(who club.Writer) error {
			_, err := book.MoveZero(ctx, who, "board", club.ZeroDraft{From: now, Reason: "x"}, now)
			return err
		},
		"FixZero": func(who club.Writer) error {
			return book.FixZero(ctx, who, "board", w.Gauge.Zeros[1].ID, club.ZeroFix{Reason: "x"}, now)
		},
		"AddVenue": func(who club.Writer) error {
			_, err := book.AddVenue(ctx, who, club.VenueDraft{Name: "v", River: "r", Gauge: "board"}, now)
			return err
		},
		"ChangeVenue": func(who club.Writer) error {
			return book.ChangeVenue(ctx, who, "near", club.VenueDraft{Name: "v", River: "r", Gauge: "board"}, now)
		},
		"MoveVenue": func(who club.Writer) error { _, err := book.MoveVenue(ctx, who, "far", true, now); return err },
		"AddStretch": func(who club.Writer) error {
			_, err := book.AddStretch(ctx, who, "near", club.StretchDraft{First: 50, Last: 51, Bank: club.LeftBank}, now)
			return err
		},
		"AddBetween": func(who club.Writer) error {
			_, err := book.AddBetween(ctx, who, "near", club.BetweenDraft{Label: "Z"}, now)
			return err
		},
		"Renumber": func(who club.Writer) error {
			_, err := book.Renumber(ctx, who, "near", club.RenumberDraft{From: club.PegRef{Label: "1"}, First: 90}, now)
			return err
		},
		"ChangePeg": func(who club.Writer) error {
			return book.ChangePeg(ctx, who, "near", code, club.PegDraft{Label: "Z", Bank: club.LeftBank, Reach: club.OpenReach}, now)
		},
		"DropPeg": func(who club.Writer) error { _, err := book.DropPeg(ctx, who, "near", code, now); return err },
		"SetPlaces": func(who club.Writer) error {
			_, err := book.SetPlaces(ctx, who, "near", []club.PegPlace{{Code: code, At: &club.Position{}}}, "", now)
			return err
		},
		"AddRuns": func(who club.Writer) error {
			_, _, err := book.AddRuns(ctx, who, "near", club.RunSetDraft{Runs: club.UsualRuns()}, now)
			return err
		},
		"SetRun": func(who club.Writer) error {
			return book.SetRun(ctx, who, "near", code, 0, club.RunDraft{Name: "far", DistanceM: 30}, now)
		},
		"DropRun": func(who club.Writer) error {
			_, err := book.DropRun(ctx, who, "near", code, w.Pegs[0].Runs[0].ID, now)
			return err
		},
		"AddFixture": func(who club.Writer) error {
			return book.AddFixture(ctx, who, "near", club.FixtureDraft{Name: "m", Starts: now, Ends: now.Add(time.Hour)}, now)
		},
		"DropFixture": func(who club.Writer) error { _, err := book.DropFixture(ctx, who, "near", 1, now); return err },
		"BringFixtures": func(who club.Writer) error {
			_, _, err := book.BringFixtures(ctx, who, "near", []club.Fixture{{UID: "u", Name: "m", Starts: now, Ends: now.Add(time.Hour)}}, now)
			return err
		},
		"Carry":  func(who club.Writer) error { _, err := book.Carry(ctx, who, "near", false, now); return err },
		"Import": func(who club.Writer) error { _, err := book.Import(ctx, who, club.Carried{}, true, now); return err },
	}
	hazard := func(who club.Writer) error {
		return book.SetHazard(ctx, who, "near", 0, club.HazardDraft{Kind: club.Wading, Text: "Deep"}, now)
	}
	drop := func(who club.Writer) error { _, err := book.DropHazard(ctx, who, "near", 1, now); return err }
	before := one[string](s, everything)
	late := now.Add(time.Hour)
	people := map[string]club.Writer{"nobody": {}, "bailiff": s.signIn('b', club.Bailiff, late), "coach": s.signIn('c', club.Coach, late),
		"member": s.signIn('m', club.Angler, late), "junior": s.signIn('j', club.Junior, late), "a secretary whose session is over": s.signIn('o', club.Secretary, now.Add(-time.Minute))}
	for role, who := range people {
		for name, write := range writes {
			if err := write(who); club.KindOf(err) != club.Forbidden {
				t.Errorf("%s as %s: %v", name, role, err)
			}
		}
		if err := hazard(who); (role == "bailiff") != (err == nil) {
			t.Errorf("a hazard as %s: %v", role, err)
		}
		if err := drop(who); (role == "bailiff") != (err == nil) {
			t.Errorf("a hazard away as %s: %v", role, err)
		}
	}
	if after := one[string](s, everything); after != before {
		t.Errorf("something was written:\n%s\nand was\n%s", after, before)
	}
}

// everything is what setting up writes, but for hazards.
const everything = `select concat((select string_agg(x::text, '' order by id) from gauges x), (select string_agg(x::text, '' order by id) from gauge_zeros x),
	(select string_agg(x::text, '' order by id) from venues x), (select string_agg(x::text, '' order by id) from pegs x), (select string_agg(x::text, '' order by id) from runs x),
	(select string_agg(x::text, '' order by id) from fixtures x), (select count(*) from levels), (select count(*) from soundings), (select count(*) from closures))`

// TestAZeroMoves: no bed moves for it, whenever it is written down, and what was read
// since then is read on the new board.
func TestAZeroMoves(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	// Two days ago the board went 20 cm down: for the same water it reads 20 cm more.
	from := now.Add(-48 * time.Hour)
	s.do(`insert into soundings (run_id, zero_id, at, level_mm, depth_mm) select min(id), 2, $1, 1300, 1700 from runs`, now.Add(-24*time.Hour))
	before := readPeg(t, book, "1", nil)
	last, zero := *before.Standing.Latest, before.Standing.Zero.OffsetM
	said, err := book.MoveZero(ctx, onMachine, "board", club.ZeroDraft{From: from, OldM: 0.50, NewM: 0.70, Reason: "Moved down"}, now)
	must(t, err)
	if !strings.Contains(said, "48 levels and 1 sounding since then") && !strings.Contains(said, "47 levels and 1 sounding since then") {
		t.Error(said)
	}
	after := readPeg(t, book, "1", nil)
	if off := after.Standing.Zero.OffsetM; !near(off, zero-0.20) {
		t.Errorf("the zero is at %g, and was at %g", off, zero)
	}
	// The board of today still reads what it read, which is 20 cm less water than was thought.
	if got := after.Standing.Latest; !near(got.LevelM, last.LevelM) || !got.At.Equal(last.At) {
		t.Errorf("the board reads %+v, and read %+v", got, last)
	}
	// Soundings of before have their bed, the one since is 20 cm lower on the datum.
	for i, x := range before.Runs[0].Soundings {
		y := after.Runs[0].Soundings[i]
		moved := 0.0
		if !x.At.Before(from) {
			moved = 0.20
		}
		if math.Abs(x.LevelM-moved-y.LevelM) > 1e-9 || x.DepthM != y.DepthM {
			t.Errorf("sounding %v was %+v and is %+v", x.At, x, y)
		}
	}
	if n := one[int](s, `select count(*) from levels where revision = 0`); n != 72 {
		t.Errorf("%d levels are as they were written", n)
	}
	_, err = book.MoveZero(ctx, onMachine, "board", club.ZeroDraft{From: from, OldM: 0.5, NewM: 0.7, Reason: "Moved down"}, now)
	wantFault(t, err, club.Conflict, "at that very time already")
	_, err = book.MoveZero(ctx, onMachine, "board", club.ZeroDraft{From: now.AddDate(-10, 0, 0), OldM: 0.5, NewM: 0.7, Reason: "x"}, now)
	wantFault(t, err, club.Invalid, "after it was put up")
	_, err = book.MoveZero(ctx, onMachine, "board", club.ZeroDraft{From: now, OldM: 40, NewM: -19, Reason: "x"}, now)
	wantFault(t, err, club.Invalid, "Look at both readings again")
	// Putting it right moves what is read by it.
	o := readOffice(t, book)
	g := o.Gauges[slices.IndexFunc(o.Gauges, func(g club.OfficeGauge) bool { return g.Slug == "board" })]
	fix := g.Zero.Fix()
	fix.OffsetM, fix.Was = 0.12, g.Zero.Fix().Stamp()
	must(t, book.FixZero(ctx, onMachine, "board", g.Zero.ID, fix, now))
	back := readPeg(t, book, "1", nil)
	for i, x := range before.Runs[0].Soundings {
		if y := back.Runs[0].Soundings[i]; !near(x.LevelM, y.LevelM) {
			t.Errorf("put right, the sounding of %v is at %g, and was at %g", x.At, y.LevelM, x.LevelM)
		}
	}
	wantFault(t, book.FixZero(ctx, onMachine, "board", g.Zeros[0].ID, fix, now), club.Invalid, "it stays as it is")
	wantFault(t, book.FixZero(ctx, onMachine, "other", g.Zero.ID, fix, now), club.NotFound, "no such zero")
	// The gauge's own form is on the board of today.
	d := readWater(t, book, "near").Gauge.Draft()
	if !near(d.LowM, 0.5-0.12) || !near(*d.FloodM, 2-0.12) {
		t.Errorf("%+v", d)
	}
}

// TestRenumbering keeps codes and what was written, and two pegs may change places.
func TestRenumbering(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	ctx := background(t)
	codes := func() (out []string) {
		for _, k := range readWater(t, book, "near").Pegs {
			out = append(out, k.Code)
		}
		return out
	}
	before := codes()
	said, err := book.Renumber(ctx, onMachine, "near", club.RenumberDraft{From: club.PegRef{Label: "15"}, To: club.PegRef{Label: "1"}, First: 5, Falling: true}, now)
	if must(t, err); said != "5 pegs renumbered: going downstream 5 to 1. Their codes are as they were." {
		t.Error(said)
	}
	if got := labelsOf(readWater(t, book, "near")); got != "5 4 3 2 1" || !slices.Equal(codes(), before) {
		t.Errorf("%s, codes %v", got, codes())
	}
	if v := readPeg(t, book, "5", nil); v.Peg.Code != before[0] || len(v.Runs[0].Soundings) != 2 || len(v.Notes) != 1 {
		t.Errorf("%+v", v.Peg)
	}
	_, err = book.Renumber(ctx, onMachine, "near", club.RenumberDraft{From: club.PegRef{Label: "5"}, To: club.PegRef{Label: "4"}, First: 2}, now)
	wantFault(t, err, club.Conflict, "Near Bank has pegs with these numbers already: 2, 3.")
	_, err = book.Renumber(ctx, onMachine, "near", club.RenumberDraft{From: club.PegRef{Label: "9"}, First: 2}, now)
	wantFault(t, err, club.Conflict, "has no peg 9 now")
	_, err = book.Renumber(ctx, onMachine, "near", club.RenumberDraft{From: club.PegRef{Label: "5"}, To: club.PegRef{Label: "1"}, First: 4, Falling: true}, now)
	wantFault(t, err, club.Invalid, "from 4 to 0")
	// One between the first two, and one above all.
	must(t, justErr(book.AddBetween(ctx, onMachine, "near", club.BetweenDraft{After: club.PegRef{Label: "5", Code: before[0]}, Label: "5a"}, now)))
	must(t, justErr(book.AddBetween(ctx, onMachine, "near", club.BetweenDraft{Label: "6"}, now)))
	_, err = book.AddBetween(ctx, onMachine, "near", club.BetweenDraft{After: club.PegRef{Label: "5"}, Label: "5A"}, now)
	wantFault(t, err, club.Conflict, "has a peg 5A already")
	if got := labelsOf(readWater(t, book, "near")); got != "6 5 5a 4 3 2 1" {
		t.Error(got)
	}
	_, err = book.AddStretch(ctx, onMachine, "near", club.StretchDraft{First: 6, Last: 8, Bank: club.LeftBank}, now)
	wantFault(t, err, club.Conflict, "has a peg 6 already")
	must(t, justErr(book.AddStretch(ctx, onMachine, "near", club.StretchDraft{First: 10, Last: 12, Upstream: true, Above: true, Bank: club.RightBank, FirstDeg: 10, LastDeg: 20}, now)))
	w := readWater(t, book, "near")
	if got := labelsOf(w); got != "12 11 10 6 5 5a 4 3 2 1" || w.Pegs[0].BearingDeg != 20 || w.Pegs[2].BearingDeg != 10 {
		t.Errorf("%s, %+v", got, w.Pegs[0])
	}
	for i, k := range w.Pegs {
		if k.Order != i+1 {
			t.Errorf("peg %s has the place %d", k.Label, k.Order)
		}
	}
}

func justErr[T any](_ T, err error) error { return err }

// TestTakingPegsAway: only those of which nothing was written go, and no other peg ever
// gets their code.
func TestTakingPegsAway(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	must(t, justErr(book.AddBetween(ctx, onMachine, "near", club.BetweenDraft{After: club.PegRef{Label: "2"}, Label: "2A"}, now)))
	fresh := readWater(t, book, "near").Pegs[2]
	_, err := book.DropPeg(ctx, onMachine, "far", fresh.Code, now)
	wantFault(t, err, club.NotFound, "no peg with the code")
	said, err := book.DropPeg(ctx, onMachine, "near", fresh.Code, now)
	if must(t, err); !strings.Contains(said, "is taken away") {
		t.Error(said)
	}
	s.refused(uniqueViolation, `insert into pegs (venue_id, code, label, position, bank, bearing_deg, mark_height_mm) values (1, $1, 'X', 99, 'left', 0, 0)`, fresh.Code)
	said, err = book.DropPeg(ctx, onMachine, "near", "4444", now)
	if must(t, err); !strings.Contains(said, "closed for good") {
		t.Error(said)
	}
	must(t, justErr(book.DropPeg(ctx, onMachine, "near", "4444", now)))
	w := readWater(t, book, "near")
	if got := labelsOf(w); got != "1 2 3 14A 15" || !w.Pegs[2].Gone || w.Pegs[1].Gone {
		t.Errorf("%s, %+v", got, w.Pegs[2])
	}
	if v := readPeg(t, book, "3", nil); len(v.Closures) != 1 || v.Closures[0].Reason != club.ClosedForGood {
		t.Errorf("%+v", v.Closures)
	}
	_, err = book.DropRun(ctx, onMachine, "near", "2222", w.Pegs[0].Runs[0].ID, now)
	wantFault(t, err, club.Conflict, "was sounded, so it stays")
	_, err = book.DropRun(ctx, onMachine, "near", "3333", w.Pegs[0].Runs[0].ID, now)
	wantFault(t, err, club.Conflict, "not there any more")
	wantFault(t, book.SetRun(ctx, onMachine, "near", "2222", 0, club.RunDraft{Name: "INSIDE", DistanceM: 9}, now), club.Conflict, "has a run “inside” already")
	wantFault(t, book.SetRun(ctx, onMachine, "near", "2222", 0, club.RunDraft{Name: "near", DistanceM: 3}, now), club.Conflict, "that far out already")
	must(t, book.SetRun(ctx, onMachine, "near", "2222", 0, club.RunDraft{Name: "far", DistanceM: 9}, now))
	id := readWater(t, book, "near").Pegs[0].Runs[1].ID
	must(t, justErr(book.DropRun(ctx, onMachine, "near", "2222", id, now)))
}

// TestAVenueKeepsItsGauge where soundings stand on its levels.
func TestAVenueKeepsItsGauge(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	ctx := background(t)
	for slug, kept := range map[string]bool{"near": true, "far": false} {
		d := readWater(t, book, slug).Venue.Draft()
		d.Was = d.Stamp()
		if d.Gauge = "other"; !kept {
			d.Gauge = "board"
		}
		err := book.ChangeVenue(ctx, onMachine, slug, d, now)
		if kept {
			wantFault(t, err, club.Conflict, "keeps that one")
		} else if err != nil {
			t.Error(err)
		}
	}
	if name, err := book.MoveVenue(ctx, onMachine, "far", true, now); err != nil || name != "Far Meadow" || readOffice(t, book).Venues[0].Slug != "far" {
		t.Errorf("%v, %+v", err, readOffice(t, book).Venues)
	}
	must(t, justErr(book.MoveVenue(ctx, onMachine, "far", true, now))) // it is the first already
	must(t, justErr(book.MoveVenue(ctx, onMachine, "far", false, now)))
	if readOffice(t, book).Venues[1].Slug != "far" {
		t.Error("it did not move down")
	}
}

// TestTwoSecretariesAtOnce make pegs of one water: each number once, no error but a
// sentence.
func TestTwoSecretariesAtOnce(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			_, err := book.AddStretch(context.Background(), onMachine, "far", club.StretchDraft{First: 1 + i/2*10, Last: 10 + i/2*10, Bank: club.LeftBank}, now)
			if err != nil && club.KindOf(err) != club.Conflict {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if n, places := one[int](s, `select count(*) from pegs where venue_id = 2`), one[int](s, `select max(position) from pegs where venue_id = 2`); n != 40 || places != 40 {
		t.Errorf("%d pegs in %d places", n, places)
	}
}

// TestWhereThePegsAre is read by those who may see the water.
func TestWhereThePegsAre(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	at := &club.Position{LatDeg: 52.5, LonDeg: -1.25}
	n, err := book.SetPlaces(ctx, onMachine, "near", []club.PegPlace{{Code: "2222", At: at}, {Code: "3333"}}, "", now)
	if must(t, err); n != 1 {
		t.Errorf("%d moved", n)
	}
	if v := readVenue(t, book, "near"); v.Pegs[0].Peg.At == nil || *v.Pegs[0].Peg.At != *at || v.Pegs[1].Peg.At != nil {
		t.Errorf("%+v", v.Pegs[0].Peg.At)
	}
	_, err = book.SetPlaces(ctx, onMachine, "near", []club.PegPlace{{Code: "3333", At: at}, {Code: "ZZZZ", At: at}}, "", now)
	wantFault(t, err, club.Conflict, "Nothing was changed")
	_, err = book.SetPlaces(ctx, onMachine, "near", []club.PegPlace{{Code: "3333", At: &club.Position{LatDeg: math.NaN()}}}, "", now)
	wantFault(t, err, club.Invalid, "No place on the earth")
	if n := one[int](s, `select count(*) from pegs where lat is not null`); n != 1 {
		t.Errorf("%d pegs are placed", n)
	}
	s.refused(checkViolation, `update pegs set lat = 1, lon = null where code = '3333'`)
	s.refused(checkViolation, `update pegs set lat = 91, lon = 0 where code = '3333'`)
	s.refused(checkViolation, `update pegs set lat = 'NaN', lon = 0 where code = '3333'`)
	s.do(`update venues set open = false`)
	if _, err := book.Venue(ctx, "near", nil, now); club.KindOf(err) != club.Forbidden {
		t.Errorf("a visitor reads where the pegs of a closed water are: %v", err)
	}
}
