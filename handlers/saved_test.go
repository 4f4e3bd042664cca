package handlers_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/club/saved"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
	"levelpeg/web/markdown"
)

// later is when the phone is asked: the book has nothing new since it was saved.
var later = dbtest.DemoNow.Add(50 * time.Minute)

// savedPair is the server and a phone that saved a venue from it a while ago, for a member
// or for a visitor.
func savedPair(t *testing.T, venue string, role club.Role) (server, phone site, cookie string, file []byte) {
	t.Helper()
	address := dbtest.NewDemo(t)
	conn := recordsAt(t, address)
	conn.more()
	saving := siteAt(t, address, nil)
	if role != "" {
		conn.session("saver", role)
		cookie = conn.cookie("saver")
		conn.do(`insert into kits (member_id, kit) select member_id, $1 from sessions where token_hash is not null order by created_at desc limit 1`, littleKit)
		conn.do(`insert into notes (peg_id, author_id, at, text, private) select p.id, s.member_id, $1, 'Mine alone: the roots are two rods down.', true from pegs p, sessions s where p.label = '14'`, dbtest.DemoNow.Add(-100*time.Hour))
		conn.do(`insert into notes (peg_id, author_id, at, text, private) select p.id, (select max(id) from members), $1, 'Of somebody else alone.', true from pegs p where p.label = '14'`, dbtest.DemoNow.Add(-100*time.Hour))
	}
	a := saving.get("/venues/"+venue+"/saved.json", "Cookie", cookie)
	if a.status != 200 {
		t.Fatalf("saving: %d %.300s", a.status, a.body)
	}
	v, err := exchange.ReadSaved([]byte(a.body))
	if err != nil {
		t.Fatal(err)
	}
	server = siteAt(t, address, func(c *handlers.Config) { c.Now = func() time.Time { return later } })
	phone = serveWith(t, nil, func(c *handlers.Config) {
		c.Book, c.Saved = nil, saved.New(v)
		c.Now = func() time.Time { return later }
	})
	return server, phone, cookie, []byte(a.body)
}

var savedAside = regexp.MustCompile(`(?s)<aside class="saved[^"]*".*?</aside>`)

// same asks both for an address.
func (s site) same(phone site, path, cookie string) {
	s.Helper()
	want, got := s.get(path, "Cookie", cookie), phone.get(path, "Cookie", cookie)
	said := savedAside.FindString(got.body)
	if strings.HasPrefix(want.header.Get("Content-Type"), "text/html") && want.status < 300 && !strings.Contains(said, "No signal: saved") {
		s.Errorf("%s: it does not say what was saved when: %q", path, said)
	}
	body := strings.Replace(got.body, said, "", 1)
	if got.status != want.status || got.header.Get("Content-Type") != want.header.Get("Content-Type") || body != want.body {
		i := 0
		for i < len(body) && i < len(want.body) && body[i] == want.body[i] {
			i++
		}
		i = max(0, i-80)
		s.Errorf("%s: the phone answers %d, the server %d; from %d on\n%.300s\nserver:\n%.300s", path, got.status, want.status, i, body[min(i, len(body)):], want.body[min(i, len(want.body)):])
	}
}

// asked is a random address of a venue.
func asked(rng *rand.Rand, venue string, labels []string) string {
	q := url.Values{}
	switch rng.IntN(3) {
	case 0:
		q.Set("level", fmt.Sprintf("%.2f", 0.2+1.9*rng.Float64()))
	case 1:
		q.Set("at", later.Add(time.Duration(rng.IntN(26*24*60)-13*24*60)*time.Minute).Format("2006-01-02T15:04"))
	}
	pick := func(name string, from ...string) {
		if rng.IntN(3) == 0 {
			q.Set(name, from[rng.IntN(len(from))])
		}
	}
	pick("run", "inside", "rod-length", "two-rods", "middle")
	pick("depth", "2.20", "0.9", "1.45", "3.1", "deep")
	pick("pace", "slower", "0.35", "faster", "0.8")
	pick("kit", littleKit, emptyKit, "none", "1~s4_8~fstick_5x4~h~r13")
	pick("hold", "0", "25", "50", "100")
	pick("wind", "SW", "N", "E")
	pick("force", "3", "5")
	pick("fish", "chub", "roach", "bream")
	pick("chart", "counts", "continental")
	path := "/venues/" + venue + "/pegs/" + labels[rng.IntN(len(labels))]
	switch rng.IntN(12) {
	case 0:
		path += ".json"
	case 1:
		path = "/venues/" + venue + "/tonight"
	case 2:
		path = "/rig"
		q.Del("level")
		q.Del("at")
		q.Del("run")
	}
	return path + "?" + q.Encode()
}

// TestPhoneAnswersAsTheServer: random addresses of pegs, levels, hours, own depths and
// kits, and every other page that can be saved, byte for byte.
func TestPhoneAnswersAsTheServer(t *testing.T) {
	t.Parallel()
	for _, of := range []struct {
		venue string
		role  club.Role
	}{{"sallow-reach", ""}, {"sallow-reach", club.Angler}, {"sallow-reach", club.Bailiff}, {"cinder-bend", club.Junior}} {
		t.Run(of.venue+" "+string(of.role), func(t *testing.T) {
			t.Parallel()
			server, phone, cookie, file := savedPair(t, of.venue, of.role)
			server.T, phone.T = t, t
			v, err := exchange.ReadSaved(file)
			if err != nil {
				t.Fatal(err)
			}
			var labels []string
			for _, p := range v.Pegs {
				labels = append(labels, p.Label)
			}
			rng := rand.New(rand.NewPCG(7, 4))
			for range 100 {
				server.same(phone, asked(rng, of.venue, labels), cookie)
			}
			base := "/venues/" + of.venue
			for _, label := range labels {
				server.same(phone, base+"/pegs/"+label, cookie)
			}
			gauge := "/gauges/" + v.River.Gauge.Slug
			for _, path := range []string{base, base + ".json", base + "?at=2025-10-25T10:00", base + "/closures", base + "/closures?peg=14", base + "/tonight", base + "/tonight.json", base + "/tonight.txt", base + "/tonight?run=all&at=2025-10-21T10:00",
				base + "/pegs/999", "/rig", "/rig.json?depth=2.2&pace=0.5", "/words", "/knots", "/guide/none", "/kit", "/kit.json", "/kit?kit=" + littleKit, "/p/" + v.Pegs[0].Code, gauge, gauge + ".json",
				gauge + "?span=6h", gauge + "?span=10d", gauge + "?span=6w", gauge + "?span=1y", gauge + "?span=2d&to=2025-10-10T10:00"} {
				server.same(phone, path, cookie)
			}
			for _, path := range []string{base + "/tonight", "/rig?depth=2.2&pace=0.5"} {
				if server.sameGuides(phone, path, cookie) == 0 {
					t.Errorf("%s leads to no guide", path)
				}
			}
			for _, label := range labels[:6] {
				server.sameGuides(phone, base+"/pegs/"+label, cookie)
			}
		})
	}
}

// TestPhoneKeepsToItsOwn: what is not saved, or writes, says that it needs signal; and a
// file holds nothing of other members'.
func TestPhoneKeepsToItsOwn(t *testing.T) {
	t.Parallel()
	_, phone, _, file := savedPair(t, "sallow-reach", club.Angler)
	phone.T = t
	for _, path := range []string{"/venues/tansy-meadow", "/venues/sallow-reach.pdf", "/venues/sallow-reach/pegs/14.pdf", "/venues/sallow-reach/tonight.pdf", "/venues/sallow-reach/notes", "/venues/sallow-reach/map", "/guide/none.pdf", "/pictures/" + strings.Repeat("a", 64), "/venues/tansy-meadow/pegs/1.json", "/me", "/members", "/sign-in", "/nothing", "/gauges/cinder-lane", "/gauges/teasel-bridge?span=20y", "/find?q=meadow",
		"/venues/sallow-reach/pegs/14?at=2019-06-20T10:00", "/p/NONE"} {
		a := phone.want(path, 503, "needs signal")
		if strings.Contains(a.header.Get("Content-Type"), "html") && !strings.Contains(a.body, `href="/record"`) {
			t.Errorf("%s leads to no page for the bank", path)
		}
	}
	for _, path := range []string{"/kit", "/venues/sallow-reach/closures", "/sign-out"} {
		if a := phone.post(path, url.Values{}); a.status != 503 || !strings.Contains(a.body, "nothing was changed") {
			t.Errorf("POST %s: %d %.200s", path, a.status, a.body)
		}
	}
	if strings.Contains(string(file), "somebody else alone") || !strings.Contains(string(file), "Mine alone") {
		t.Error("the file's notes are not the reader's")
	}
	if a := phone.get("/"); a.status != 200 || !strings.Contains(a.body, "/venues/sallow-reach") || strings.Contains(a.body, "/venues/tansy-meadow") {
		t.Errorf("the waters: %d %.300s", a.status, a.body)
	}
	phone.want("/find?q=14", 303)
}

// TestSavedVenueHoldsPosts: where its pegs are, notes, photographs, feeds and a look at the
// water are in the file as this reader may see them, and on the phone's pages.
func TestSavedVenueHoldsPosts(t *testing.T) {
	t.Parallel()
	for role, want := range map[club.Role]struct{ has, lacks []string }{
		"":           {[]string{"Reeds", "Picture 1"}, []string{"Picture 0", "Picture 2", "Picture 3", "Picture 4", "waits = true", "hidden_at", `"by":`, `"by_id":`, `"why":`}},
		club.Angler:  {[]string{"Reeds", "Picture 0", "Picture 1", "Picture 4", `"by":`}, []string{"Picture 2", "Picture 3", "waits = true", "hidden_at", `"why":`}},
		club.Bailiff: {[]string{"Reeds", "Picture 2", "Picture 3", "waits = true", "hidden_at", `"why":`}, nil},
	} {
		t.Run("for "+string(role), func(t *testing.T) {
			t.Parallel()
			_, phone, cookie, file := savedPair(t, "sallow-reach", role)
			phone.T = t
			for _, w := range want.has {
				if !strings.Contains(string(file), w) {
					t.Errorf("the file lacks %q", w)
				}
			}
			for _, w := range want.lacks {
				if strings.Contains(string(file), w) {
					t.Errorf("the file has %q", w)
				}
			}
			v, err := exchange.ReadSaved(file)
			if err != nil {
				t.Fatal(err)
			}
			if len(v.Marked) == 0 {
				t.Error("no note has its HTML with it")
			}
			for text, html := range v.Marked {
				if html != markdown.HTML(text) {
					t.Errorf("%q comes as %q", text, html)
				}
			}
			shown := map[string][]string{
				"/venues/sallow-reach":          {"/venues/sallow-reach/map", "<em>far</em>", "Picture 1", "a tinge"},
				"/venues/sallow-reach/pegs/14":  {"<em>far</em>", "Picture 1 &amp; "},
				"/gauges/" + v.River.Gauge.Slug: {"Levels from elsewhere are stale", "Board of Rivers", "Older levels by others", "a tinge"},
			}
			for path, words := range shown {
				a := phone.get(path, "Cookie", cookie)
				for _, w := range words {
					if !strings.Contains(a.body, w) {
						t.Errorf("%s lacks %q", path, w)
					}
				}
			}
		})
	}
}

// TestSavedVenueIsForItsReaders: a visitor saves what is open alone.
func TestSavedVenueIsForItsReaders(t *testing.T) {
	t.Parallel()
	s, conn := peopleSite(t)
	conn.do(`update venues set open = false where slug = 'cinder-bend'`)
	s.want("/venues/cinder-bend/saved.json", 403, "error")
	s.want("/venues/none/saved.json", 404, "error")
	a := s.want("/venues/sallow-reach/saved.json", 200)
	if a.header.Get("Cache-Control") != "no-store" {
		t.Errorf("it may be kept: %q", a.header.Get("Cache-Control"))
	}
	for _, bad := range []string{"{", `{"levelpeg_saved":2}`, `{"levelpeg_saved":1,"pegs":[{"beside":[[4,0,1]]}],"club":{"time_zone":"UTC"}}`} {
		if _, err := exchange.ReadSaved([]byte(bad)); err == nil {
			t.Errorf("%s is taken for a saved venue", bad)
		}
	}
	if _, err := saved.New().Venue(context.Background(), "x", nil, later); club.KindOf(err) != club.NoSignal {
		t.Error(err)
	}
}

// TestSavedVenueIsSmall: a venue of 60 pegs with a hundred soundings each comes over the
// wire in 300 kB at most. The demo's has 27 pegs with fewer: they are taken again with
// other numbers, and more.
func TestSavedVenueIsSmall(t *testing.T) {
	t.Parallel()
	_, _, _, file := savedPair(t, "sallow-reach", club.Angler)
	v, err := exchange.ReadSaved(file)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(6, 0))
	had := len(v.Pegs)
	for i := range had {
		v.Pegs[i] = otherPeg(v.Pegs[i], i, rng)
	}
	for i := had; i < 60; i++ {
		v.Pegs = append(v.Pegs, otherPeg(v.Pegs[i%had], i, rng))
	}
	big, err := exchange.WriteSaved(v)
	if err != nil {
		t.Fatal(err)
	}
	hours, err := v.River.Hours()
	if err != nil {
		t.Fatal(err)
	}
	soundings := 0
	for _, p := range v.Pegs {
		for _, r := range p.Runs {
			soundings += len(r.Soundings)
		}
	}
	server := httptest.NewServer(handlers.Squeezed(func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write(big) }))
	defer server.Close()
	wire := site{t, "", nil}.get(server.URL, "Accept-Encoding", "gzip")
	t.Logf("%d pegs, %d soundings, %d readings, %d hours, %d days: %d bytes, %d over the wire", len(v.Pegs), soundings, len(v.River.Readings), len(hours), len(v.River.Days), len(big), len(wire.body))
	if most := 300_000; len(wire.body) > most || wire.header.Get("Content-Encoding") != "gzip" {
		t.Errorf("%d bytes over the wire, and at most %d are wanted", len(wire.body), most)
	}
}

// otherPeg is a peg with its own number and readings of its own.
func otherPeg(p club.SavedPeg, i int, rng *rand.Rand) club.SavedPeg {
	p.Label, p.Code, p.Order = fmt.Sprint(100+i), fmt.Sprintf("X%03d", i), 1000+i
	p.Runs = slices.Clone(p.Runs)
	for k := range p.Runs {
		r := &p.Runs[k]
		r.Soundings = slices.Clone(r.Soundings)
		for n := len(r.Soundings); n > 0 && len(r.Soundings) < 100/len(p.Runs); {
			r.Soundings = append(r.Soundings, r.Soundings[rng.IntN(n)])
		}
		for j := range r.Soundings {
			s := &r.Soundings[j]
			s.At = s.At.Add(time.Duration(rng.IntN(100000)) * time.Second)
			s.DepthM, s.LevelM = s.DepthM+float64(rng.IntN(30))/100, s.LevelM+float64(rng.IntN(30))/100
			if s.PaceMPS > 0 {
				s.PaceMPS = float64(200+rng.IntN(700)) / 1000
			}
		}
	}
	return p
}
