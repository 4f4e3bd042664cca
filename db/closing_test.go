package db_test

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

func readVenue(t *testing.T, book *db.DB, slug string) club.VenueView {
	t.Helper()
	v, err := book.Venue(background(t), slug, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// signIn gives a member of the small book, of a role, a session.
func (s sql) signIn(letter byte, role club.Role, until time.Time) club.Writer {
	s.Helper()
	name := "member " + string(letter)
	s.do(`insert into members (name, role) values ($1, $2)`, name, role)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = $4`,
		token(letter), now.Add(-24*time.Hour), until, name)
	return club.Writer{Session: token(letter)}
}

// onMachine is whoever runs the program where the book is kept.
var onMachine = club.Writer{OnMachine: true}

func pegs(from, to string) (a, b club.PegRef) {
	return club.PegRef{Label: from}, club.PegRef{Label: to}
}

// closedWith lists the pegs whose sheets, of two DBs, one of which remembers, have a
// closure, and checks that the lists of pegs mark the same.
func closedWith(t *testing.T, books ...*db.DB) string {
	t.Helper()
	var out []string
	for i, book := range books {
		var closed, marked []string
		for _, l := range readVenue(t, book, "near").Pegs {
			if len(readPeg(t, book, l.Peg.Label, nil).Closures) > 0 {
				closed = append(closed, l.Peg.Label)
			}
			if l.Closed {
				marked = append(marked, l.Peg.Label)
			}
		}
		if !slices.Equal(closed, marked) || i > 0 && !slices.Equal(closed, out) {
			t.Errorf("closed on their sheets are %v, in the list %v, in the other DB %v", closed, marked, out)
		}
		out = closed
	}
	return strings.Join(out, " ")
}

// TestSetAndLift: what is set is read everywhere at once, and what is lifted nowhere;
// its row stays, with who did it.
func TestSetAndLift(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	remembers, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 2, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(remembers.Close)
	bailiff, secretary := s.signIn('e', club.Bailiff, now.Add(time.Hour)), s.signIn('f', club.Secretary, now.Add(time.Hour))
	for _, c := range []struct{ from, to, closed string }{
		{"2", "", "2"}, {"2", "14a", "2 3 14A"}, {"14A", "2", "2 3 14A"}, {"15", "15", "15"}, {"", "", "1 2 3 14A 15"},
	} {
		d := club.ClosureDraft{Reason: " Tree \n down "}
		d.From, d.To = pegs(c.from, c.to)
		set, err := book.SetClosure(background(t), bailiff, "near", d, now)
		if err != nil || set.Reason != "Tree down" || !set.From.Equal(now) || set.SetBy != "member e" {
			t.Fatalf("%+v: %+v, %v", c, set, err)
		}
		if got := closedWith(t, book, remembers); got != c.closed {
			t.Errorf("%s to %s closes %s, want %s", c.from, c.to, got, c.closed)
		}
		if k := readVenue(t, book, "near").Closures[0]; k.ID != set.ID || k.SetBy != "member e" {
			t.Errorf("the venue reads %+v", k)
		}
		h, err := book.Home(background(t), nil, now)
		if err != nil || len(h.Venues[0].Closures) != 1 || h.Venues[0].Closures[0].ID != set.ID {
			t.Errorf("the list of venues reads %+v, %v", h.Venues[0].Closures, err)
		}
		g, err := book.Gauge(background(t), "board", usual, nil, now)
		if err != nil || len(g.Venues[0].Closures) != 1 || g.Venues[0].Closures[0].ID != set.ID {
			t.Errorf("the gauge reads %+v, %v", g.Venues[0].Closures, err)
		}
		was, err := book.LiftClosure(background(t), secretary, "near", set.ID, now.Add(time.Minute))
		if err != nil || was.FromLabel != set.FromLabel || was.ToLabel != set.ToLabel {
			t.Errorf("lifted %+v, %v", was, err)
		}
		if got := closedWith(t, book, remembers); got != "" {
			t.Errorf("after it was lifted %s are closed", got)
		}
		if _, err := book.LiftClosure(background(t), secretary, "near", set.ID, now); club.KindOf(err) != club.Conflict {
			t.Errorf("lifted twice: %v", err)
		}
	}
	if n := one[int](s, `select count(*) from closures c join members a on a.id = c.set_by join members b on b.id = c.lifted_by
		where a.name = 'member e' and b.name = 'member f' and c.lifted_at is not null and c.reason = 'Tree down'`); n != 5 {
		t.Errorf("%d of the five closures are kept with who set and who lifted them", n)
	}
}

// TestWhoMayClose tries every role and every kind of session on every write.
func TestWhoMayClose(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	writes := map[string]func(club.Writer) error{
		"SetClosure": func(w club.Writer) error {
			_, err := book.SetClosure(background(t), w, "near", club.ClosureDraft{Reason: "x"}, now)
			return err
		},
		"LiftClosure": func(w club.Writer) error {
			id := one[int64](s, `insert into closures (venue_id, from_at, reason) select id, $1, 'y' from venues where slug = 'near' returning id`, now)
			_, err := book.LiftClosure(background(t), w, "near", id, now)
			return err
		},
		"SetRule": func(w club.Writer) error {
			_, err := book.SetRule(background(t), w, "near", club.RuleDraft{LevelM: 1, Effect: club.Caution, Text: "x"}, now)
			return err
		},
		"DropRule": func(w club.Writer) error {
			id := one[int64](s, `insert into level_rules (venue_id, above_mm, effect, text) select id, 1, 'caution', 'y' from venues where slug = 'near' returning id`)
			_, err := book.DropRule(background(t), w, "near", id, now)
			return err
		},
	}
	rows := `select (select count(*) from closures where reason = 'x' or lifted_at is not null) + (select count(*) from level_rules where text = 'x')`
	for i, c := range []struct {
		who string
		w   club.Writer
		may bool
	}{
		{"a visitor", club.Writer{}, false},
		{"a made-up session", club.Writer{Session: token('z')}, false},
		{"a coach", s.signIn('g', club.Coach, now.Add(time.Hour)), false},
		{"a member", s.signIn('h', club.Angler, now.Add(time.Hour)), false},
		{"a junior", s.signIn('i', club.Junior, now.Add(time.Hour)), false},
		{"a bailiff whose session is over", s.signIn('j', club.Bailiff, now), false},
		{"a bailiff", s.signIn('k', club.Bailiff, now.Add(time.Hour)), true},
		{"a secretary", s.signIn('l', club.Secretary, now.Add(time.Hour)), true},
		{"the machine", onMachine, true},
	} {
		for name, write := range writes {
			before := one[int](s, rows)
			err := write(c.w)
			if c.may && err != nil || !c.may && club.KindOf(err) != club.Forbidden {
				t.Errorf("%d: %s of %s: %v", i, name, c.who, err)
			}
			if wrote := one[int](s, rows) - before; !c.may && wrote != 0 {
				t.Errorf("%s of %s wrote %d rows", name, c.who, wrote)
			}
		}
	}
	// One whose role was taken away a moment ago.
	s.do(`update members set role = 'member' where name = 'member k'`)
	if err := writes["SetClosure"](club.Writer{Session: token('k')}); club.KindOf(err) != club.Forbidden {
		t.Errorf("a bailiff no longer: %v", err)
	}
}

// TestTheSessionIsSeenInTheWrite: a session that ends while a write waits for it ends
// before the write or after it, and is never half seen.
func TestTheSessionIsSeenInTheWrite(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	bailiff := s.signIn('e', club.Bailiff, now.Add(time.Hour))
	tx, err := s.conn.Begin(background(t))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(background(t), `delete from sessions where token_hash = $1`, token('e')); err != nil {
		t.Fatal(err)
	}
	var wrote sync.WaitGroup
	wrote.Go(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
		defer cancel()
		if _, err := book.SetClosure(ctx, bailiff, "near", club.ClosureDraft{Reason: "x"}, now); club.KindOf(err) != club.Forbidden {
			t.Errorf("a write that waited for a session to end: %v", err)
		}
	})
	time.Sleep(100 * time.Millisecond)
	if err := tx.Commit(background(t)); err != nil {
		t.Fatal(err)
	}
	wrote.Wait()
	if n := one[int](s, `select count(*) from closures`); n != 0 {
		t.Errorf("%d closures were set", n)
	}
}

// TestWhatMakesNoSense is a sentence, and nothing is written.
func TestWhatMakesNoSense(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	closure := club.ClosureDraft{Reason: "x"}
	rule := club.RuleDraft{LevelM: 1, Effect: club.Caution, Text: "x"}
	for _, c := range []struct {
		kind club.Kind
		want string
		set  func(*club.ClosureDraft)
	}{
		{club.Invalid, "Near Bank has no peg 4. It has 1, 2, 3, 14A, 15.", func(d *club.ClosureDraft) { d.From, d.To = pegs("4", "") }},
		{club.Invalid, "no peg ' or 1=1 --", func(d *club.ClosureDraft) { d.From, d.To = pegs("1", "' or 1=1 --") }},
		{club.Invalid, "begins at", func(d *club.ClosureDraft) { d.From, d.To = pegs("", "2") }},
		{club.Invalid, "ends before it begins", func(d *club.ClosureDraft) { d.Starts, d.Ends = now.Add(2*time.Hour), now.Add(time.Hour) }},
		{club.Invalid, "ends before it begins", func(d *club.ClosureDraft) { d.Ends = now }},
		{club.Invalid, "over already", func(d *club.ClosureDraft) { d.Starts, d.Ends = now.Add(-2*time.Hour), now.Add(-time.Hour) }},
		{club.Invalid, "ten years", func(d *club.ClosureDraft) { d.Ends = now.AddDate(200, 0, 0) }},
		{club.Invalid, "ten years", func(d *club.ClosureDraft) { d.Starts = now.AddDate(-1000, 0, 0) }},
		{club.Invalid, "why it is closed", func(d *club.ClosureDraft) { d.Reason = " \n\t" }},
		{club.Invalid, "501 signs", func(d *club.ClosureDraft) { d.Reason = strings.Repeat("é", 501) }},
		{club.Conflict, "Peg 2 was renumbered since this page was opened: it is peg 3 now.", func(d *club.ClosureDraft) { d.From = club.PegRef{Label: "2", Code: "4444"} }},
		{club.Conflict, "not at this water any more", func(d *club.ClosureDraft) { d.From = club.PegRef{Label: "99", Code: "9999"} }},
	} {
		d := closure
		c.set(&d)
		if _, err := book.SetClosure(background(t), onMachine, "near", d, now); club.KindOf(err) != c.kind || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want “%s”", d, err, c.want)
		}
	}
	for _, c := range []struct {
		want string
		set  func(*club.RuleDraft)
	}{
		{"No board reads", func(d *club.RuleDraft) { d.LevelM = 50.01 }},
		{"No board reads", func(d *club.RuleDraft) { d.LevelM = -20.01 }},
		{"no peg 4", func(d *club.RuleDraft) { d.From, d.To = pegs("4", "") }},
		{"stops fishing or asks for care", func(d *club.RuleDraft) { d.Effect = "shut" }},
		{"what happens at that level", func(d *club.RuleDraft) { d.Text = "" }},
		{"ends before it begins", func(d *club.RuleDraft) { d.Starts, d.Ends = now.Add(2*time.Hour), now.Add(time.Hour) }},
	} {
		d := rule
		c.set(&d)
		if _, err := book.SetRule(background(t), onMachine, "near", d, now); club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want “%s”", d, err, c.want)
		}
	}
	for _, slug := range []string{"nowhere", ""} {
		if _, err := book.SetClosure(background(t), onMachine, slug, closure, now); club.KindOf(err) != club.NotFound || !strings.Contains(err.Error(), "Near Bank, Far Meadow") {
			t.Errorf("at %q: %v", slug, err)
		}
	}
	if n := one[int](s, `select (select count(*) from closures) + (select count(*) from level_rules)`); n != 0 {
		t.Errorf("%d rows were written", n)
	}
	long := closure
	long.Reason = strings.Repeat("é", 500)
	if _, err := book.SetClosure(background(t), onMachine, "near", long, now); err != nil {
		t.Errorf("500 signs: %v", err)
	}
	// A closure is lifted at its own water alone.
	id := readVenue(t, book, "near").Closures[0].ID
	if _, err := book.LiftClosure(background(t), onMachine, "far", id, now); club.KindOf(err) != club.Conflict {
		t.Errorf("lifted from another water: %v", err)
	}
}

// TestRulesOfSpansAndTimes: a rule is kept on the datum whatever board it was read on,
// and is read by the pegs it covers until its time is over.
func TestRulesOfSpansAndTimes(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	remembers, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 2, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(remembers.Close)
	for _, c := range []struct{ from, to, covered string }{
		{"", "", "1 2 3 14A 15"}, {"3", "", "3"}, {"3", "3", "3"}, {"2", "14A", "2 3 14A"}, {"14A", "2", "2 3 14A"},
	} {
		d := club.RuleDraft{LevelM: 1.10, Effect: club.NoFishing, Text: "over", Starts: now.Add(-time.Hour), Ends: now.Add(time.Hour)}
		d.From, d.To = pegs(c.from, c.to)
		set, err := book.SetRule(background(t), onMachine, "near", d, now)
		if err != nil || !near(*set.AboveM, 1.22) || set.BelowM != nil { // the board was replaced 12 cm higher
			t.Fatalf("%+v: %+v, %v", c, set, err)
		}
		for _, at := range []struct {
			when time.Time
			has  bool
		}{{now, true}, {now.Add(59 * time.Minute), true}, {now.Add(time.Hour), false}} {
			for name, b := range map[string]*db.DB{"reads": book, "remembers": remembers} {
				var got []string
				for _, label := range []string{"1", "2", "3", "14A", "15"} {
					v, err := b.Peg(background(t), "near", label, nil, at.when)
					if err != nil {
						t.Fatal(err)
					}
					if len(v.Rules) == 1 && near(*v.Rules[0].AboveM, 1.22) && v.Rules[0].From.Equal(d.Starts) && v.Rules[0].To.Equal(d.Ends) {
						got = append(got, label)
					}
				}
				if all := strings.Join(got, " "); at.has && all != c.covered || !at.has && all != "" {
					t.Errorf("%s to %s, %s at %v: %s, want %s", c.from, c.to, name, at.when, all, c.covered)
				}
			}
			v, err := book.Venue(background(t), "near", nil, at.when)
			if err != nil || (len(v.Rules) == 1) != at.has {
				t.Errorf("the venue at %v: %+v, %v", at.when, v.Rules, err)
			}
		}
		// The level is 1.23 on the board, so the pegs of a span are marked.
		for _, l := range readVenue(t, book, "near").Pegs {
			if want := c.from != "" && slices.Contains(strings.Fields(c.covered), l.Peg.Label); l.NoFishing != want {
				t.Errorf("%s to %s: peg %s is marked %v", c.from, c.to, l.Peg.Label, l.NoFishing)
			}
		}
		was, err := book.DropRule(background(t), onMachine, "near", set.ID, now)
		if err != nil || was.FromLabel != set.FromLabel || was.ToLabel != set.ToLabel || len(readVenue(t, book, "near").Rules) != 0 {
			t.Errorf("dropped %+v, %v", was, err)
		}
		if _, err := book.DropRule(background(t), onMachine, "near", set.ID, now); club.KindOf(err) != club.Conflict {
			t.Errorf("dropped twice: %v", err)
		}
	}
	below, err := book.SetRule(background(t), onMachine, "near", club.RuleDraft{LevelM: 0.5, Below: true, Effect: club.Caution, Text: "stones"}, now)
	if err != nil || below.AboveM != nil || !near(*below.BelowM, 0.62) {
		t.Errorf("%+v, %v", below, err)
	}
}

// TestOutings come with the level of their hour, newest first, of the last year; and
// without who fished.
func TestOutings(t *testing.T) {
	t.Parallel()
	warm := 11.5
	book, s := smallDB(t, func(b *club.Book) {
		b.Venues[0].Pegs[0].Outings = []club.Outing{
			{At: now.AddDate(-1, 0, -1), Colour: club.Thick},
			{At: now.AddDate(0, -6, 0), Colour: club.Clear},
			{At: hour(3).Add(20 * time.Minute), Colour: club.Tinged, TemperatureC: &warm},
			{At: hour(5)},
		}
	})
	got := readPeg(t, book, "1", nil).Outings
	if len(got) != 3 || !got[0].At.Equal(hour(5)) || got[0].Colour != "" || got[0].TemperatureC != nil || got[2].LevelM != nil {
		t.Fatalf("%+v", got)
	}
	// The third hour's board reads 1.03, on a zero 12 cm up.
	if o := got[1]; o.Colour != club.Tinged || *o.TemperatureC != 11.5 || o.LevelM == nil || !near(float64(float32(*o.LevelM)), float64(float32(1.15))) {
		t.Errorf("%+v", o)
	}
	s.do(`insert into outings (peg_id, at, by_member) select p.id, $1::timestamptz - interval '1 hour' * g, m.id
		from pegs p, members m, generate_series(1, 70) g where p.label = '2' and m.name = 'Bob'`, now)
	if n := len(readPeg(t, book, "2", nil).Outings); n != club.OutingsMost {
		t.Errorf("%d outings, want %d", n, club.OutingsMost)
	}
	if n := one[int](s, `select count(*) from outings where by_member is not null and peg_id = 1`); n != 0 {
		t.Errorf("the loader wrote who fished %d times", n)
	}
}

// TestPressedTwice, or by two at once, sets one closure and one rule.
func TestPressedTwice(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			d := club.ClosureDraft{From: club.PegRef{Label: "2"}, Reason: "Tree down"}
			if set, err := book.SetClosure(background(t), onMachine, "near", d, now.Add(time.Duration(i)*time.Second)); err != nil || set.ID != 1 {
				t.Errorf("%+v, %v", set, err)
			}
			r := club.RuleDraft{From: club.PegRef{Label: "2"}, LevelM: 1.1, Effect: club.Caution, Text: "Mud", Ends: now.Add(time.Hour)}
			if set, err := book.SetRule(background(t), onMachine, "near", r, now); err != nil || set.ID != 1 || !near(*set.AboveM, 1.22) {
				t.Errorf("%+v, %v", set, err)
			}
		})
	}
	all.Wait()
	if n := one[int](s, `select (select count(*) from closures) * 10 + (select count(*) from level_rules)`); n != 11 {
		t.Errorf("closures and rules: %d", n)
	}
	// Another peg, reason, end or beginning is another closure, and so is one after it was lifted.
	for i, d := range []club.ClosureDraft{
		{From: club.PegRef{Label: "3"}, Reason: "Tree down"}, {Reason: "Tree down"}, {From: club.PegRef{Label: "2"}, To: club.PegRef{Label: "3"}, Reason: "Tree down"},
		{From: club.PegRef{Label: "2"}, Reason: "Works"}, {From: club.PegRef{Label: "2"}, Reason: "Tree down", Ends: now.Add(time.Hour)},
		{From: club.PegRef{Label: "2"}, Reason: "Tree down", Starts: now.Add(time.Hour)},
	} {
		if set, err := book.SetClosure(background(t), onMachine, "near", d, now.Add(time.Minute)); err != nil || set.ID == 1 {
			t.Errorf("%d: %+v, %v", i, set, err)
		}
	}
	if _, err := book.LiftClosure(background(t), onMachine, "near", 1, now.Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	if set, err := book.SetClosure(background(t), onMachine, "near", club.ClosureDraft{From: club.PegRef{Label: "2"}, Reason: "Tree down"}, now.Add(time.Minute)); err != nil || set.ID == 1 {
		t.Errorf("after it was lifted: %+v, %v", set, err)
	}
}
