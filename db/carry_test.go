package db_test

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/club/exchange"
	"levelpeg/db/dbtest"
)

// plain is a carried venue without what is this club's own: numbers of rows, codes.
func plain(c club.Carried) club.Carried {
	c.Gauge.ID, c.Venue.ID, c.Gauge.Slug, c.Venue.GaugeSlug, c.Venue.Slug, c.Venue.Open = 0, 0, "", "", "", false
	for i := range c.Gauge.Zeros {
		c.Gauge.Zeros[i].ID, c.Gauge.Zeros[i].From = 0, c.Gauge.Zeros[i].From.UTC()
	}
	for i := range c.Gauge.Levels {
		c.Gauge.Levels[i].At = c.Gauge.Levels[i].At.UTC()
	}
	for i := range c.Venue.Pegs {
		p := &c.Venue.Pegs[i]
		p.ID, p.Code = 0, ""
		for j := range p.Runs {
			p.Runs[j].ID = 0
			for k := range p.Runs[j].Soundings {
				s := &p.Runs[j].Soundings[k]
				s.At, s.By = s.At.UTC(), ""
			}
		}
		for j := range p.Notes {
			p.Notes[j].At = p.Notes[j].At.UTC()
		}
	}
	for i := range c.Venue.Rules {
		c.Venue.Rules[i].ID = 0
	}
	for i := range c.Venue.Closures {
		k := &c.Venue.Closures[i]
		k.ID, k.From, k.To = 0, k.From.UTC(), k.To.UTC()
	}
	for i := range c.Venue.Fixtures {
		f := &c.Venue.Fixtures[i]
		f.ID, f.Starts, f.Ends = 0, f.Starts.UTC(), f.Ends.UTC()
	}
	return c
}

// TestAVenueGoesToAnotherClub as a file and comes back the same; its codes are kept where
// they are free, and its levels too where they are asked for.
func TestAVenueGoesToAnotherClub(t *testing.T) {
	t.Parallel()
	from := open(t, dbtest.NewDemo(t))
	url := dbtest.New(t)
	to, s := open(t, url), connect(t, url)
	s.do(`insert into club (name, time_zone, place) values ('Another club', 'Europe/Paris', 'France')`)
	ctx := background(t)
	at := &club.Position{LatDeg: 1.5, LonDeg: -2.25}
	must(t, justErr(from.SetPlaces(ctx, onMachine, "cinder-bend", []club.PegPlace{{Code: readWater(t, from, "cinder-bend").Pegs[3].Code, At: at}}, "", now)))
	carried, err := from.Carry(ctx, onMachine, "cinder-bend", true, now)
	must(t, err)
	file, err := exchange.WriteVenue(carried, exchange.Carrying{Levels: true}, now)
	must(t, err)
	for _, m := range demo.Make(dbtest.DemoNow).Members {
		if strings.Contains(string(file), m.Name) {
			t.Errorf("the file names %s", m.Name)
		}
	}
	read, err := exchange.ReadVenue(file, now)
	must(t, err)
	looked, err := to.Import(ctx, onMachine, read, true, now)
	must(t, err)
	if n := one[int](s, `select (select count(*) from venues) + (select count(*) from gauges) + (select count(*) from levels) + (select count(*) from log)`); n != 0 {
		t.Fatalf("looking made %d rows", n)
	}
	made, err := to.Import(ctx, onMachine, read, false, now)
	must(t, err)
	made.Venue.ID, made.Gauge.ID, looked.Venue.ID, looked.Gauge.ID = 0, 0, 0, 0
	if !reflect.DeepEqual(made, looked) || !made.GaugeNew || len(made.Recoded) != 0 || made.Pegs != 18 {
		t.Errorf("made %+v, and looking said %+v", made, looked)
	}
	back, err := to.Carry(ctx, onMachine, made.Venue.Slug, true, now)
	must(t, err)
	for i, p := range back.Venue.Pegs {
		if want := carried.Venue.Pegs[i].Code; p.Code != want {
			t.Errorf("peg %s has the code %s, want %s", p.Label, p.Code, want)
		}
	}
	if a, b := plain(back), plain(carried); !reflect.DeepEqual(a, b) {
		for i := range a.Venue.Pegs {
			if !reflect.DeepEqual(a.Venue.Pegs[i], b.Venue.Pegs[i]) {
				t.Errorf("peg %d is\n%+v\nand was\n%+v", i, a.Venue.Pegs[i], b.Venue.Pegs[i])
			}
		}
		a.Venue.Pegs, b.Venue.Pegs = nil, nil
		t.Errorf("%d levels and %+v\nwas %d and %+v", len(a.Gauge.Levels), a.Venue, len(b.Gauge.Levels), b.Venue)
	}
	if one[bool](s, `select open from venues`) || one[int](s, `select count(*) from soundings where by_member is not null`) != 0 {
		t.Error("it is open, or names somebody")
	}
	// Once more: the gauge is the same one, the codes are new, and nothing is lost.
	again, err := to.Import(ctx, onMachine, read, false, now)
	must(t, err)
	if again.GaugeNew || len(again.Recoded) != 18 || again.Venue.Slug != "cinder-bend-2" {
		t.Errorf("%+v", again)
	}
	if n := one[int](s, `select count(*) from levels`); n != len(carried.Gauge.Levels) {
		t.Errorf("%d levels, want %d", n, len(carried.Gauge.Levels))
	}
}

// TestCarriedReadings are on the zero in force when they were read.
func TestCarriedReadings(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	s.do(`update venues set open = false`)
	if _, err := book.VenueReadings(ctx, "near", nil, now); club.KindOf(err) != club.Forbidden {
		t.Errorf("a visitor: %v", err)
	}
	ann := s.signIn('a', club.Angler, now.Add(time.Hour))
	pegs, err := book.VenueReadings(ctx, "near", ann.Session, now)
	must(t, err)
	if got := pegs[0].Runs[0].Soundings; len(got) != 2 || !near(got[0].LevelM, 1.20) || !near(got[1].LevelM, 1.08) {
		t.Errorf("%+v", got)
	}
	n := 0
	must(t, book.GaugeLevels(ctx, "board", hour(10), hour(20), func(l club.Level, datum float64) error {
		if want := 1 + float64((10+n)%24)/100; !near(l.LevelM, want) || !near(datum, want+0.12) || !l.At.Equal(hour(10+n)) {
			t.Errorf("level %d is %+v, %g on the datum", n, l, datum)
		}
		n++
		return nil
	}))
	if n != 10 {
		t.Errorf("%d levels", n)
	}
	err = book.GaugeLevels(ctx, "nowhere", hour(1), hour(2), nil)
	wantFault(t, err, club.NotFound, "no gauge")
}

// TestACalendarTwice makes each match once, and one that comes home is the club's own.
func TestACalendarTwice(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	must(t, book.AddFixture(ctx, onMachine, "near", club.FixtureDraft{Name: "Own", Starts: now.Add(time.Hour), Ends: now.Add(6 * time.Hour)}, now))
	_, out, err := book.VenueCalendar(ctx, "near", nil, now)
	must(t, err)
	theirs := club.Fixture{UID: "a@elsewhere", Name: "Away", Starts: now.Add(30 * time.Hour), Ends: now.Add(35 * time.Hour)}
	all := append(out, theirs)
	for i, want := range [][2]int{{1, 0}, {0, 0}} {
		made, changed, err := book.BringFixtures(ctx, onMachine, "near", all, now)
		if must(t, err); made != want[0] || changed != want[1] {
			t.Errorf("time %d: %d made, %d changed", i, made, changed)
		}
	}
	all[0].Starts, all[1].Name = all[0].Starts.Add(time.Hour), "Away again"
	if made, changed, err := book.BringFixtures(ctx, onMachine, "near", all, now); err != nil || made != 0 || changed != 2 {
		t.Errorf("moved: %d made, %d changed, %v", made, changed, err)
	}
	// Another water's calendar has events of the same UID all the same.
	if made, _, err := book.BringFixtures(ctx, onMachine, "far", []club.Fixture{theirs}, now); err != nil || made != 1 {
		t.Errorf("%d, %v", made, err)
	}
	if n := one[int](s, `select count(*) from fixtures`); n != 3 {
		t.Errorf("%d fixtures", n)
	}
	w := readWater(t, book, "near")
	_, err = book.DropFixture(ctx, onMachine, "far", w.Fixtures[0].ID, now)
	wantFault(t, err, club.Conflict, "not there any more")
	must(t, justErr(book.DropFixture(ctx, onMachine, "near", w.Fixtures[0].ID, now)))
}
