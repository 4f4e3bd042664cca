package demo_test

import (
	"crypto/sha256"
	"encoding/gob"
	"fmt"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

// Every expectation here is derived from the package's own promises, unless a
// source stands beside it.

var london = func() *time.Location {
	l, err := time.LoadLocation("Europe/London")
	if err != nil {
		panic(err)
	}
	return l
}()

// nows are moments in every month, on 29 February, around midnight, the turn of
// the year and both changes of the clocks.
func nows() []time.Time {
	var out []time.Time
	for m := time.January; m <= time.December; m++ {
		out = append(out, time.Date(2027, m, 3+2*int(m), int(m)*2-1, 7*int(m)%60, 11, 0, time.UTC))
	}
	for _, s := range []string{
		"2028-02-29T00:03:00Z", "2028-02-29T23:59:59Z", "2026-12-31T23:58:00Z", "2027-01-01T00:00:00Z",
		"2026-10-25T00:59:00Z", "2026-10-25T01:01:00Z", "2027-03-28T00:59:59Z", "2027-03-28T01:00:00Z",
		"2026-11-25T09:03:00Z", "2027-03-15T00:04:00Z", "2027-06-16T05:06:00Z", "2031-08-31T12:15:00Z",
	} {
		t, err := time.Parse(time.RFC3339, s)
		if err != nil {
			panic(err)
		}
		out = append(out, t)
	}
	return out
}

// TestAtAnyNow holds the book of every now to all that must be true of it.
func TestAtAnyNow(t *testing.T) {
	for _, now := range nows() {
		t.Run(now.Format("2006-01-02T15:04"), func(t *testing.T) {
			b, truth := demo.MakeWithTruth(now)
			for _, check := range []func(*testing.T, time.Time, club.Book, demo.Truth){
				checkLevels,
				checkTodayIsFishable,
				checkOneLargeFlood,
				checkZeroChange,
				checkSoundingsAreHonest,
				checkRunsAreSoundedUnevenly,
				checkHazardsAndClosures,
				checkOutings,
				checkNotes,
				checkFixtures,
			} {
				check(t, now, b, truth)
			}
		})
	}
}

func hash(t *testing.T, b club.Book) string {
	t.Helper()
	h := sha256.New()
	if err := gob.NewEncoder(h).Encode(b); err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%x", h.Sum(nil))
}

func TestSameQuarterHourSameBook(t *testing.T) {
	now := time.Date(2027, 5, 4, 10, 21, 0, 0, time.UTC)
	want := hash(t, demo.Make(now))
	// The quarter turns when a reading is five minutes old: 10:15's serves 10:20 to 10:35.
	for _, same := range []time.Time{now, now.Add(-time.Minute), now.Add(13*time.Minute + 59*time.Second), now.In(london)} {
		if got := hash(t, demo.Make(same)); got != want {
			t.Errorf("at %v: another book than at %v", same, now)
		}
	}
	if hash(t, demo.Make(now.Add(15*time.Minute))) == want {
		t.Error("a quarter of an hour later: the same book, want a later one")
	}
}

func TestPegsOutliveNow(t *testing.T) {
	at := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	first, truth := demo.MakeWithTruth(time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC))
	second, later := demo.MakeWithTruth(time.Date(2027, 7, 2, 20, 0, 0, 0, time.UTC))
	for i, v := range first.Venues {
		for j, p := range v.Pegs {
			if q := second.Venues[i].Pegs[j]; p.Peg != q.Peg {
				t.Errorf("%s peg %s: %+v became %+v", v.Slug, p.Label, p.Peg, q.Peg)
			}
			for _, r := range p.Runs {
				a, _ := truth.DepthM(v.Slug, p.Label, r.Name, 0.8, at)
				b, _ := later.DepthM(v.Slug, p.Label, r.Name, 0.8, at)
				if a != b {
					t.Errorf("%s peg %s %s: bed %.3f became %.3f", v.Slug, p.Label, r.Name, a, b)
				}
			}
		}
	}
}

func TestClub(t *testing.T) {
	b := demo.Make(nows()[0])
	want := club.Club{Name: "Lathern Vale Angling Club", TimeZone: "Europe/London", Place: "England", Demo: true, Welfare: "Hana V., welfare@lathern-vale.example"}
	if b.Club != want {
		t.Errorf("club %+v, want %+v", b.Club, want)
	}
	roles := map[club.Role]int{}
	for _, m := range b.Members {
		roles[m.Role]++
		// No page shows a junior's full name (facts §2, sport safeguarding).
		if plain := regexp.MustCompile(`^[A-Z][a-z]+( [A-Z]\.)?$`); !plain.MatchString(m.Name) {
			t.Errorf("member %q: want a first name and at most an initial", m.Name)
		}
		if m.Role == club.Junior && strings.Contains(m.Name, " ") {
			t.Errorf("junior %q: want a first name only", m.Name)
		}
	}
	for role, n := range map[club.Role]int{club.Secretary: 1, club.Bailiff: 2, club.Coach: 1, club.Angler: 3, club.Junior: 1} {
		if roles[role] != n {
			t.Errorf("%d with role %s, want %d", roles[role], role, n)
		}
	}
}

var unambiguous = regexp.MustCompile(`^[2-9A-HJKMNP-Z]{5}$`)

func TestPegs(t *testing.T) {
	b := demo.Make(nows()[0])
	codes, pegs, pastWeir := map[string]bool{}, 0, 0
	for _, v := range b.Venues {
		labels := map[string]bool{}
		for i, p := range v.Pegs {
			pegs++
			if !unambiguous.MatchString(p.Code) || codes[p.Code] {
				t.Errorf("%s peg %s: code %q is ambiguous or used twice", v.Slug, p.Label, p.Code)
			}
			if labels[p.Label] || p.Order != i+1 {
				t.Errorf("%s peg %s: label twice, or order %d at place %d", v.Slug, p.Label, p.Order, i+1)
			}
			if p.Reach == club.PastWeir {
				pastWeir++
			}
			codes[p.Code], labels[p.Label] = true, true
			checkPeg(t, b, v, i)
		}
		if !v.CloseSeason || v.About == "" || v.Access == "" {
			t.Errorf("%s: close season %v, about %q, access %q", v.Slug, v.CloseSeason, v.About, v.Access)
		}
	}
	if len(b.Venues) != 3 || pegs < 64 || pastWeir < 3 {
		t.Errorf("%d venues, %d pegs, %d past a weir; want 3, 64 or more, 3 or more", len(b.Venues), pegs, pastWeir)
	}
}

func checkPeg(t *testing.T, b club.Book, v club.VenueBook, i int) {
	t.Helper()
	p, g := v.Pegs[i], gaugeOf(t, b, v.GaugeSlug)
	if p.BearingDeg < 0 || p.BearingDeg > 359 {
		t.Errorf("%s peg %s: bearing %d", v.Slug, p.Label, p.BearingDeg)
	}
	if i > 0 {
		// No bend turns by more than 50° from one peg to the next.
		if turn := (p.BearingDeg - v.Pegs[i-1].BearingDeg + 540) % 360; turn < 130 || turn > 230 {
			t.Errorf("%s peg %s: the flow turns by %d° from the peg above", v.Slug, p.Label, turn-180)
		}
	}
	if above := p.MarkHeightM - g.LowM; above < 0.6 || p.MarkHeightM-g.HighM > 1.6 {
		t.Errorf("%s peg %s: mark %.2f m is not on a bank", v.Slug, p.Label, p.MarkHeightM)
	}
	if n := len(p.Runs); n < 3 || n > 4 {
		t.Errorf("%s peg %s: %d runs", v.Slug, p.Label, n)
	}
	for j, r := range p.Runs {
		if r.Boil < 0 || r.Boil > 3 || r.Bottom == "" || j > 0 && r.DistanceM <= p.Runs[j-1].DistanceM {
			t.Errorf("%s peg %s: run %+v", v.Slug, p.Label, r.Run)
		}
	}
}

func gaugeOf(t *testing.T, b club.Book, slug string) club.GaugeBook {
	t.Helper()
	i := slices.IndexFunc(b.Gauges, func(g club.GaugeBook) bool { return g.Slug == slug })
	if i < 0 {
		t.Fatalf("no gauge %q", slug)
	}
	return b.Gauges[i]
}

func TestMakeIsQuickAndSmall(t *testing.T) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	start := time.Now()
	b := demo.Make(nows()[0])
	took := time.Since(start)
	runtime.GC()
	runtime.ReadMemStats(&after)
	kept := float64(after.HeapAlloc-before.HeapAlloc) / 1e6
	t.Logf("%d levels in %v; %.0f MB kept, %.0f MB allocated", len(b.Gauges[0].Levels)+len(b.Gauges[1].Levels), took,
		kept, float64(after.TotalAlloc-before.TotalAlloc)/1e6)
	if took > 1500*time.Millisecond || kept > 40 {
		t.Errorf("took %v and keeps %.0f MB, want at most 1.5 s and 40 MB", took, kept)
	}
	runtime.KeepAlive(b)
}

func BenchmarkMake(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		demo.Make(time.Date(2027, 5, 4, 10, 21, 0, 0, time.UTC))
	}
}
