package db_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

func TestPegReadsItAll(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, func(b *club.Book) {
		above := 1.85
		v := &b.Venues[0]
		v.Hazards = []club.Hazard{
			{Kind: club.PowerLine, PegLabel: "2", DistanceM: 40, Text: "a line"},
			{Kind: club.DeepEdge, PegLabel: "3", Text: "deep at 3"},
			{Kind: club.OtherRisk, Text: "all along"},
		}
		v.Rules = []club.LevelRule{
			{AboveM: &above, Effect: club.NoFishing, Text: "over"},
			{FromLabel: "3", ToLabel: "3", BelowM: &above, Effect: club.Caution, Text: "3 only"},
		}
	})
	v := readPeg(t, book, "2", nil)
	if v.Club.Name != "Test club" || v.Venue.Name != "Near Bank" || v.Peg.Code != "3333" || v.Upstream != "1" || v.Down != "3" {
		t.Errorf("got %+v %+v %+v between %q and %q", v.Club, v.Venue, v.Peg, v.Upstream, v.Down)
	}
	if len(v.Hazards) != 2 || v.Hazards[0].DistanceM+v.Hazards[1].DistanceM != 40 {
		t.Errorf("hazards %+v, want its own and the venue's", v.Hazards)
	}
	if len(v.Rules) != 1 || v.Rules[0].Text != "over" || *v.Rules[0].AboveM != 1.85 || v.Rules[0].BelowM != nil {
		t.Errorf("rules %+v, want the venue's", v.Rules)
	}
	if st := v.Standing; st.Gauge.FloodM != 2 || st.Zero.OffsetM != 0.12 || !st.Latest.At.Equal(hour(71)) || !st.Earlier.At.Equal(hour(68)) {
		t.Errorf("standing %+v latest %+v earlier %+v", st, st.Latest, st.Earlier)
	}
	if x := v.Runs[0].Soundings[1]; x.PaceMPS != 0.4 || x.TimedS != 12 || x.DepthM != 1.81 {
		t.Errorf("sounding %+v", x)
	}
	ends := [2]club.PegView{readPeg(t, book, "1", nil), readPeg(t, book, "15", nil)}
	if ends[0].Upstream != "" || ends[1].Down != "" {
		t.Errorf("the ends have neighbours: %q, %q", ends[0].Upstream, ends[1].Down)
	}
}

func TestLabelInEitherCase(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	for _, label := range []string{"14A", "14a"} {
		if v := readPeg(t, book, label, nil); v.Peg.Label != "14A" || len(v.Runs) != 1 || len(v.Runs[0].Soundings) != 2 {
			t.Errorf("%q gives peg %q with %d runs", label, v.Peg.Label, len(v.Runs))
		}
		found, err := book.FindPegs(background(t), label, nil, nil, now)
		if err != nil || len(found) != 1 || found[0].Label != "14A" {
			t.Errorf("FindPegs(%q) gives %v, %v", label, found, err)
		}
	}
}

func TestUnknownPegAndVenue(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	for _, c := range []struct{ venue, label, want string }{
		{"near", "4", "Near Bank has no peg 4. It has 1, 2, 3, 14A, 15."},
		{"near", "' or 1=1 --", "Near Bank has no peg ' or 1=1 --. It has 1, 2, 3, 14A, 15."},
		{"far", "1", "Far Meadow has no peg 1; it has no pegs yet."},
		{"nowhere", "1", "The club has no venue at this address. It has Near Bank, Far Meadow."},
		{"", "", "The club has no venue at this address. It has Near Bank, Far Meadow."},
	} {
		_, err := book.Peg(background(t), c.venue, c.label, nil, now)
		if club.KindOf(err) != club.NotFound || err.Error() != c.want {
			t.Errorf("%q %q: %v, want “%s”", c.venue, c.label, err, c.want)
		}
	}
	if _, err := book.Venue(background(t), "nowhere", nil, now); club.KindOf(err) != club.NotFound || !strings.Contains(err.Error(), "Near Bank, Far Meadow") {
		t.Errorf("venue: %v", err)
	}
	if _, err := book.Gauge(background(t), "nowhere", usual, nil, now); club.KindOf(err) != club.NotFound {
		t.Errorf("gauge: %v", err)
	}
}

func TestEmptyClub(t *testing.T) {
	t.Parallel()
	book := open(t, dbtest.New(t))
	if h, err := book.Home(background(t), nil, now); err != nil || len(h.Venues) != 0 || h.Club.Name != "" {
		t.Errorf("home %+v, %v", h, err)
	}
	if _, err := book.Venue(background(t), "x", nil, now); club.KindOf(err) != club.NotFound || !strings.Contains(err.Error(), "no venues yet") {
		t.Errorf("venue: %v", err)
	}
	if s, err := book.State(background(t)); err != nil || s.HasClub || !s.LastLevel.IsZero() {
		t.Errorf("state %+v, %v", s, err)
	}
}

// TestPrivateNotes are seen by their writer, who is known by a session's hash.
func TestPrivateNotes(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	session := `insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = $4`
	hourAgo := now.Add(-time.Hour)
	s.do(session, token('a'), hourAgo, now.AddDate(0, 1, 0), "Ann")
	s.do(session, token('b'), hourAgo, now.AddDate(0, 1, 0), "Bob")
	s.do(session, token('o'), hourAgo, now, "Bob") // ends at this moment
	for _, c := range []struct {
		who    string
		hash   []byte
		member string
		notes  int
	}{
		{"a visitor", nil, "", 1},
		{"an empty session", []byte{}, "", 1},
		{"a made-up session", token('x'), "", 1},
		{"a short one", []byte("b"), "", 1},
		{"another member", token('a'), "Ann", 1},
		{"the writer", token('b'), "Bob", 2},
		{"the writer's expired session", token('o'), "", 1},
	} {
		v := readPeg(t, book, "1", c.hash)
		if len(v.Notes) != c.notes || v.Member.Name != c.member {
			t.Errorf("%s is %q and sees %d notes, want %q and %d", c.who, v.Member.Name, len(v.Notes), c.member, c.notes)
		}
		if h, err := book.Home(background(t), c.hash, now); err != nil || h.Member.Name != c.member {
			t.Errorf("%s is %q on the list of venues, %v", c.who, h.Member.Name, err)
		}
	}
	if v, err := book.Venue(background(t), "near", token('b'), now); err != nil || v.Member.Role != club.Angler {
		t.Errorf("on the venue's page the member is %+v, %v", v.Member, err)
	}
	if v, err := book.Gauge(background(t), "board", usual, token('b'), now); err != nil || v.Member.Name != "Bob" {
		t.Errorf("on the gauge's page the member is %+v, %v", v.Member, err)
	}
}

// TestClosures tries every way of closing on the sheet, the list of pegs and the
// list of venues.
func TestClosures(t *testing.T) {
	t.Parallel()
	yesterday, tomorrow := now.AddDate(0, 0, -1), now.AddDate(0, 0, 1)
	all := []string{"1", "2", "3", "14A", "15"}
	for _, c := range []struct {
		name    string
		closure club.Closure
		listed  []string // pegs on whose sheets it stands
		closed  []string // pegs marked closed now
	}{
		{"one peg", club.Closure{FromLabel: "2", ToLabel: "2", From: yesterday}, []string{"2"}, []string{"2"}},
		{"a span", club.Closure{FromLabel: "2", ToLabel: "14A", From: yesterday, To: tomorrow}, []string{"2", "3", "14A"}, []string{"2", "3", "14A"}},
		{"a span turned round", club.Closure{FromLabel: "14A", ToLabel: "2", From: yesterday}, []string{"2", "3", "14A"}, []string{"2", "3", "14A"}},
		{"the venue", club.Closure{From: yesterday}, all, all},
		{"past", club.Closure{From: yesterday.AddDate(0, 0, -1), To: yesterday}, nil, nil},
		{"over at this moment", club.Closure{From: yesterday, To: now}, nil, nil},
		{"from this moment", club.Closure{From: now}, all, all},
		{"to come", club.Closure{FromLabel: "1", ToLabel: "1", From: tomorrow}, []string{"1"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.closure.Reason = "work"
			book, _ := smallDB(t, func(b *club.Book) { b.Venues[0].Closures = []club.Closure{c.closure} })
			v, err := book.Venue(background(t), "near", nil, now)
			if err != nil {
				t.Fatal(err)
			}
			for _, line := range v.Pegs {
				peg := readPeg(t, book, line.Peg.Label, nil)
				if (len(peg.Closures) > 0) != slices.Contains(c.listed, line.Peg.Label) {
					t.Errorf("peg %s has the closures %+v", line.Peg.Label, peg.Closures)
				}
				if line.Closed != slices.Contains(c.closed, line.Peg.Label) {
					t.Errorf("peg %s is marked closed: %v", line.Peg.Label, line.Closed)
				}
				for _, x := range peg.Closures {
					if x.Reason != "work" || !x.From.Equal(c.closure.From) || !x.To.Equal(c.closure.To) {
						t.Errorf("peg %s has the closure %+v", line.Peg.Label, x)
					}
				}
			}
			h, err := book.Home(background(t), nil, now)
			if err != nil {
				t.Fatal(err)
			}
			if (len(h.Venues[0].Closures) > 0) != (c.listed != nil) {
				t.Errorf("the list of venues has %+v", h.Venues[0].Closures)
			}
			for _, tag := range h.Venues[0].Pegs {
				if tag.Closed != slices.Contains(c.closed, tag.Label) {
					t.Errorf("peg %s is marked closed on the list of venues: %v", tag.Label, tag.Closed)
				}
			}
		})
	}
}

// TestGaugeWithoutAZero is one whose first zero is yet to come: its venue cannot be
// read, and the others must not suffer for it.
func TestGaugeWithoutAZero(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, func(b *club.Book) {
		peg := b.Venues[0].Pegs[0]
		peg.Code, peg.Label, peg.Runs, peg.Notes = "9999", "77", nil, nil
		b.Venues[1].Pegs = []club.PegBook{peg}
	})
	s.do(`update gauge_zeros set valid_from = $1 where gauge_id = (select id from gauges where slug = 'other')`, now.AddDate(0, 0, 1))
	h, err := book.Home(background(t), nil, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range h.Venues {
		for _, p := range v.Pegs {
			if v.Venue.Slug == "near" && p.Label == "77" {
				t.Error("the other venue's peg stands on this one's list")
			}
		}
	}
	s.do(`update gauge_zeros set valid_from = $1 where gauge_id = (select id from gauges where slug = 'board') and offset_mm = 0`, now.AddDate(0, 0, 2))
	s.do(`update gauge_zeros set valid_from = $1 where gauge_id = (select id from gauges where slug = 'board') and offset_mm > 0`, now.AddDate(0, 0, 3))
	if h, err := book.Home(background(t), nil, now); err != nil || len(h.Venues) > 2 {
		t.Errorf("with no zero in force anywhere: %d venues, %v", len(h.Venues), err)
	}
}

// TestPegOfAGaugeWithoutAZero must not say that the peg is not there: it is.
func TestPegOfAGaugeWithoutAZero(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	s.do(`update gauge_zeros set valid_from = valid_from + interval '20 years'`)
	_, err := book.Peg(background(t), "near", "2", nil, now)
	if err == nil || strings.Contains(err.Error(), "has no peg 2") {
		t.Errorf("got %v", err)
	}
	_, err = book.Venue(background(t), "near", nil, now)
	if err == nil || strings.Contains(err.Error(), "no venue at this address") {
		t.Errorf("got %v", err)
	}
	_, err = book.Gauge(background(t), "board", usual, nil, now)
	if err == nil || strings.Contains(err.Error(), "no gauge at this address") {
		t.Errorf("got %v", err)
	}
}

// TestBesideRuns: the sounded runs of the pegs beside on the same bank come only with a
// peg that has a run with few soundings.
func TestBesideRuns(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	for _, label := range []string{"1", "3", "14A"} {
		v := readPeg(t, book, label, nil)
		few := false
		for _, r := range v.Runs {
			few = few || len(r.Soundings) < 3
		}
		want := 0
		if few {
			want = one[int](s, `select count(*) from pegs p join pegs n on n.venue_id = p.venue_id and n.bank = p.bank and n.id <> p.id
				and abs(n.position - p.position) <= 3 join runs r on r.peg_id = n.id
				where p.id = $1 and exists (select from soundings where run_id = r.id)`, v.Peg.ID)
		}
		if len(v.Beside) != want {
			t.Errorf("peg %s: %d runs beside, want %d", label, len(v.Beside), want)
		}
		for _, b := range v.Beside {
			if b.Pegs == 0 || b.Pegs < -3 || b.Pegs > 3 || len(b.Soundings) == 0 || b.DistanceM == 0 || b.Reach == "" {
				t.Errorf("peg %s: beside it %+v", label, b)
			}
		}
		t.Logf("peg %s: %d runs beside", label, want)
	}
}
