package main

import (
	"bytes"
	"context"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

// The shares are parts of a thousand, and each kind comes as often as its share says.
func TestSharesOfKinds(t *testing.T) {
	all := kinds()
	c, err := newChooser(all, "")
	if err != nil {
		t.Fatal(err)
	}
	if c.total != 1000 {
		t.Errorf("the shares are %d parts in all, want 1000", c.total)
	}
	got := make([]int, len(all))
	for n := range c.total {
		got[c.pick(n)]++
	}
	for i, k := range all {
		if got[i] != k.share {
			t.Errorf("%s: %d, want %d", k.name, got[i], k.share)
		}
	}
	if one, err := newChooser(all, "home"); err != nil || len(one.kinds) != 1 {
		t.Errorf("home alone: %d kinds, %v", len(one.kinds), err)
	}
	if _, err := newChooser(all, "no such page"); err == nil {
		t.Error("a kind that there is not is chosen")
	}
}

// Pegs that are asked for often are asked for often, and every other one now and then.
func TestPopularity(t *testing.T) {
	k := &book{pegs: make([]peg, 20_000)}
	for i := range k.pegs {
		k.pegs[i].ID = i
	}
	r, times := newReader(k, 1, 1), make([]int, len(k.pegs))
	const asked = 400_000
	for range asked {
		times[r.anyPeg().ID]++
	}
	top, never := 0, 0
	for i, n := range times {
		if i < 200 {
			top += n
		}
		if n == 0 {
			never++
		}
	}
	// Derived: of Zipf's law over the ranks 0 to 19,999 with weights (8 + r)^−1.2 the first 200 have 0.64.
	sum, first := 0.0, 0.0
	for i := range k.pegs {
		w := math.Pow(zipfHead+float64(i), -zipfPower)
		if sum += w; i < 200 {
			first += w
		}
	}
	want := 0.8*first/sum + 0.2*200/20_000
	if share := float64(top) / asked; math.Abs(share-want) > 0.01 {
		t.Errorf("the first 200 have %.3f of what is asked, want %.3f", share, want)
	}
	// Each is asked for at least 4 times in the mean; e^−4 of them never, 366, and fewer by Zipf's part.
	if never > 366+60 {
		t.Errorf("%d of the pegs were never asked for", never)
	}
}

func TestSizes(t *testing.T) {
	s := size{Pegs: 20_000, Soundings: 2_000_000, Levels: 7_000_000}
	if s.venues() != 200 || s.gauges() != 100 || s.runs() != 70_000 || s.rounds() != 70_000 {
		t.Errorf("%d venues, %d gauges, %d runs, %d rounds", s.venues(), s.gauges(), s.runs(), s.rounds())
	}
	now := time.Date(2026, 11, 26, 10, 7, 0, 0, time.UTC)
	if got, want := s.since(now), now.Add(-7*time.Minute).Add(-69_999*15*time.Minute); !got.Equal(want) {
		t.Errorf("it begins at %v, want %v", got, want)
	}
	roles := map[string]int{}
	for m := 1; m <= membersAll; m++ {
		roles[role(m)]++
	}
	if roles["bailiff"] != bailiffs || roles["secretary"] != secretaries || roles["junior"] != juniors {
		t.Errorf("roles %v", roles)
	}
	if role(secretaries+1) != "bailiff" || role(secretaries+bailiffs) != "bailiff" || token(1) == token(2) {
		t.Error("the sessions of bailiffs are not bailiffs'")
	}
}

// What is not as it should be is told.
func TestWhatIsWrong(t *testing.T) {
	res := func(code int, location string) *http.Response {
		return &http.Response{StatusCode: code, Header: http.Header{"Location": {location}}}
	}
	for _, c := range []struct {
		a    ask
		res  *http.Response
		body string
		want string
	}{
		{ask{wants: "peg"}, res(200, ""), "a peg", ""},
		{ask{wants: "peg"}, res(200, ""), "a post", "has no"},
		{ask{wants: "peg"}, res(200, ""), "", "empty"},
		{ask{wants: "peg"}, res(503, ""), "a peg", "503, want 200"},
		{ask{status: 303, wants: "/a"}, res(303, "/a"), "", ""},
		{ask{status: 303, wants: "/a"}, res(303, "/b"), "", "leads to /b"},
		{ask{status: 303, wants: "/a"}, res(200, ""), "a", "200, want 303"},
	} {
		got := c.a.wrong(c.res, []byte(c.body), true)
		if (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("%+v answered with %d and %q: %q, want %q", c.a, c.res.StatusCode, c.body, got, c.want)
		}
	}
}

// A small book is filled, hangs together, and has what there is to ask for; the levels that
// come after it go through the triggers.
func TestFillASmallBook(t *testing.T) {
	ctx := context.Background()
	conn, err := master(ctx, dbtest.New(t))
	if err != nil {
		t.Skipf("SKIPPED: filling takes a superuser: %v", err)
	}
	defer conn.Close(ctx)
	var out bytes.Buffer
	now := time.Now().UTC().Truncate(time.Minute)
	f := filling{ctx: ctx, conn: conn, size: size{Pegs: 250, Soundings: 9000, Levels: 12_001}, now: now, out: &out}
	if err := f.all(); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	k, err := readBook(ctx, conn, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(k.pegs) != 250 || len(k.venues) != 3 || len(k.gauges) != 2 {
		t.Errorf("%d pegs, %d venues, %d gauges", len(k.pegs), len(k.venues), len(k.gauges))
	}
	if runs, err := readSounded(ctx, conn, k); err != nil || len(runs) < 100 {
		t.Errorf("%d runs to sound, %v", len(runs), err)
	}
	f.now = now.Add(2 * time.Hour)
	if err := f.catchUp(); err != nil {
		t.Fatal(err)
	}
	var readings, hours int
	if err := conn.QueryRow(ctx, `select (select count(*) from levels), (select sum(readings) from levels_hour)`).Scan(&readings, &hours); err != nil {
		t.Fatal(err)
	}
	if more := readings - 12_001; more != 16 && more != 17 || hours != readings {
		t.Errorf("two hours later there are %d readings, and %d in hours", readings, hours)
	}
}

// Every span that a gauge's page offers is asked for.
func TestGaugesAreAskedForAtEverySpan(t *testing.T) {
	r := newReader(&book{pegs: make([]peg, 1), gauges: []gauge{{Slug: "board-1"}}}, 1, 1)
	r.book.pegs = []peg{{Open: true}}
	seen := map[string]bool{}
	for range 300 {
		for _, a := range []ask{gaugeAt(r, 0, 4), gaugeAt(r, 4, 8)} {
			seen[a.path] = true
		}
	}
	if len(seen) != len(club.Spans()) {
		t.Errorf("%d spans are asked for, want %d", len(seen), len(club.Spans()))
	}
}
