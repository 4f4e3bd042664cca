package db

import (
	"strings"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/club"
)

// pegBook is what the database's function peg_book gives, as it comes.
type pegBook struct {
	Club struct {
		Name, Zone, Place string
		Demo              bool
	}
	Venue struct {
		ID                               int64
		Slug, Name, River, About, Access string
		Season                           bool
	}
	Peg struct {
		ID                               int64
		Code, Label, Bank, Reach, Access string
		Order, Bearing                   int
		Mark                             int32
	}
	Up, Down string
	Runs     []struct {
		ID            int64
		Name, Bottom  string
		Distance      int32
		Boil          int
		Steep, Snaggy bool
		Soundings     []soundingRow
	}
	Hazards []struct {
		Own        bool
		Kind, Text string
		Distance   *int32
	}
	Rules []struct {
		Own          bool
		Above, Below *int32
		Effect, Text string
		From, To     *micros
	}
	Closures []struct {
		Own    bool
		From   micros
		To     *micros
		Reason string
	}
	Beside []struct {
		Pegs        int
		Name, Reach string
		Distance    int32
		Steep       bool
		Soundings   []soundingRow
	}
	Fixtures []struct {
		Name     string
		From, To micros
	}
	Outings []struct {
		At                 micros
		Colour             *string
		Temperature, Level *float64
	}
	Notes    []noteRow
	Pictures []pictureRow
}

type soundingRow struct {
	At           micros
	Level, Depth int32
	Pace, Timed  *int32
}

func soundingsOf(rows []soundingRow) []club.Sounding {
	var out []club.Sounding
	for _, s := range rows {
		out = append(out, club.Sounding{At: s.At.time(), LevelM: metres(s.Level), DepthM: metres(s.Depth),
			PaceMPS: metresOrZero(s.Pace), TimedS: metresOrZero(s.Timed)})
	}
	return out
}

// micros is a time in microseconds since 1970, as PostgreSQL keeps it.
type micros float64

func (m micros) time() time.Time { return time.UnixMicro(int64(m)).UTC() }

// timeOrZero is the zero time for none.
func (m *micros) timeOrZero() time.Time {
	if m == nil {
		return time.Time{}
	}
	return m.time()
}

// view turns what the book holds into the domain's words.
func (b *pegBook) view() club.PegView {
	v := club.PegView{
		Club: club.Club{Name: b.Club.Name, TimeZone: b.Club.Zone, Place: b.Club.Place, Demo: b.Club.Demo},
		Venue: club.Venue{ID: b.Venue.ID, Slug: b.Venue.Slug, Name: b.Venue.Name, River: b.Venue.River,
			About: b.Venue.About, Access: b.Venue.Access, CloseSeason: b.Venue.Season},
		Peg: club.Peg{ID: b.Peg.ID, Code: b.Peg.Code, Label: b.Peg.Label, Order: b.Peg.Order, Bank: club.Bank(b.Peg.Bank),
			BearingDeg: b.Peg.Bearing, Reach: club.Reach(b.Peg.Reach), Access: b.Peg.Access, MarkHeightM: metres(b.Peg.Mark)},
		Upstream: b.Up, Down: b.Down,
	}
	b.addRuns(&v)
	b.addAround(&v)
	b.addOutings(&v)
	v.Notes, v.Pictures = notesOf(b.Notes), picturesOf(b.Pictures)
	return v
}

func (b *pegBook) addRuns(v *club.PegView) {
	for _, r := range b.Runs {
		run := club.RunBook{Run: club.Run{ID: r.ID, Name: r.Name, DistanceM: metres(r.Distance), Boil: r.Boil,
			SteepSide: r.Steep, Snaggy: r.Snaggy, Bottom: r.Bottom}}
		run.Soundings = soundingsOf(r.Soundings)
		v.Runs = append(v.Runs, run)
	}
	for _, r := range b.Beside {
		v.Beside = append(v.Beside, club.BesideRun{Pegs: r.Pegs, Reach: club.Reach(r.Reach),
			RunBook: club.RunBook{Run: club.Run{Name: r.Name, DistanceM: metres(r.Distance), SteepSide: r.Steep}, Soundings: soundingsOf(r.Soundings)}})
	}
}

func (b *pegBook) addAround(v *club.PegView) {
	label := func(own bool) string {
		if own {
			return b.Peg.Label
		}
		return ""
	}
	for _, h := range b.Hazards {
		v.Hazards = append(v.Hazards, club.Hazard{Kind: club.HazardKind(h.Kind), PegLabel: label(h.Own), DistanceM: metresOrZero(h.Distance), Text: h.Text})
	}
	for _, r := range b.Rules {
		v.Rules = append(v.Rules, club.LevelRule{FromLabel: label(r.Own), ToLabel: label(r.Own), AboveM: metresPtr(r.Above), BelowM: metresPtr(r.Below),
			Effect: club.Effect(r.Effect), Text: r.Text, From: r.From.timeOrZero(), To: r.To.timeOrZero()})
	}
	for _, c := range b.Closures {
		v.Closures = append(v.Closures, club.Closure{FromLabel: label(c.Own), ToLabel: label(c.Own), From: c.From.time(), To: c.To.timeOrZero(), Reason: c.Reason})
	}
	for _, f := range b.Fixtures {
		v.Fixtures = append(v.Fixtures, club.Fixture{Name: f.Name, Starts: f.From.time(), Ends: f.To.time()})
	}
}

func (b *pegBook) addOutings(v *club.PegView) {
	for _, o := range b.Outings {
		out := club.Outing{At: o.At.time()}
		if o.Colour != nil {
			out.Colour = club.Colour(*o.Colour)
		}
		if o.Temperature != nil {
			out.TemperatureC = new(*o.Temperature / 10)
		}
		if o.Level != nil {
			out.LevelM = new(*o.Level / 1000)
		}
		v.Outings = append(v.Outings, out)
	}
}

// pegMemory remembers what the book holds of the pegs last asked for. What is
// remembered is used only where the book's revision, read anew for every sheet, is
// still the one it was read at; so it needs telling of nothing, and many servers
// may each have their own.
type pegMemory struct {
	seen *lru.Cache[pegKey, *rememberedPeg] // nil remembers nothing
}

type pegKey struct{ venue, label string }

func pegKeyOf(venue, label string) pegKey { return pegKey{venue, strings.ToLower(label)} }

// rememberedPeg is shared by readers and never changed: Notes and Pictures hold
// what only some may see, and Standing and Member are empty.
type rememberedPeg struct {
	revision []int64
	view     club.PegView
}

func newPegMemory(size int) pegMemory {
	if size <= 0 {
		return pegMemory{}
	}
	seen, err := lru.New[pegKey, *rememberedPeg](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return pegMemory{seen}
}

// recall gives nil for a peg that is not remembered.
func (m pegMemory) recall(k pegKey) *rememberedPeg {
	if m.seen == nil {
		return nil
	}
	p, _ := m.seen.Get(k)
	return p
}

func (m pegMemory) keep(k pegKey, p *rememberedPeg) {
	if m.seen != nil {
		m.seen.Add(k, p)
	}
}

func (p *rememberedPeg) revisionOrNil() []int64 {
	if p == nil {
		return nil
	}
	return p.revision
}
