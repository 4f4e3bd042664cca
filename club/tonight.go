package club

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"levelpeg/hydro"
	"levelpeg/rig"
)

// The number of rigs a page offers to tie, and what it starts with (common practice,
// no source).
const (
	TieLeast, TieMost, TieUsual = 3, 8, 5
)

// AllRuns asks for every run of every peg.
const AllRuns = "all"

// TonightAsk is what "what do I tie up tonight?" is asked. Ask.Run is the run that is
// fished at every peg, AllRuns, or empty for the one most likely to be fished at each.
type TonightAsk struct {
	Ask
	FromLabel, ToLabel string // the section that may be drawn; both empty: all of the venue
	Most               int    // how many rigs the angler will tie; 0 is TieUsual
}

// Tonight is the few rigs that cover a venue, or a section of it, at one level.
type Tonight struct {
	VenuePegs
	Asked  TonightAsk
	Now    time.Time
	Loc    *time.Location
	Level  LevelShown
	Stops  []Stop    // that hold all along: no rig is offered while one stands
	Cares  []Care    // that hold all along
	Shut   []PegWord // pegs nobody may fish then, and why
	Silent []PegWord // pegs or runs nothing can be said of, or no float fishes, and why
	Waters []PegWater
	Cover  rig.Cover // its waters are Waters, by their places
	No     string    // why the kit makes no rig at all, a sentence
	Edges  []Edge    // either end of the level's range, where that is wide
}

// Edge is what would be tied at one end of the level's range.
type Edge struct {
	LevelM float64 // on the zero in force
	Stops  []Stop  // that hold all along then
	Rigs   []rig.Tied
	Served int // how many of the waters they cover
	Of     int
}

// PegWord is a peg and a sentence about it.
type PegWord struct{ Label, Say string }

// PegWater is the water of a run that may be fished.
type PegWater struct {
	Label  string
	Run    RunSheet
	Water  rig.Water // as a rig is tied for it: to 5 cm and 0.05 m/s
	Unsure bool      // its depth wants plumbing
}

// Covers works out which rigs cover waters; see CoverMemory.
type Covers interface {
	Cover(ws []rig.Water, a rig.Aim, kit Kit, most int) (rig.Cover, error)
}

// NewTonight answers for a venue. It fails with club.Invalid for a level no board
// reads, a section that is none, a run no peg has, or tackle not known here. With no
// covers it finds the waters alone.
func NewTonight(v VenuePegs, ask TonightAsk, covers Covers) (*Tonight, error) {
	loc, err := v.Club.Zone()
	if err != nil {
		return nil, err
	}
	if ask.Most == 0 {
		ask.Most = TieUsual
	}
	ask.Tackle = ask.Tackle.keptBy(v.Member)
	t := &Tonight{VenuePegs: v, Asked: ask, Now: ask.Now, Loc: loc}
	if err := ask.check(); err != nil {
		return nil, err
	}
	kit, err := ask.Tackle.kit()
	if err != nil {
		return nil, err
	}
	if t.Level, err = showLevel(v.Standing, ask.Ask, loc); err != nil {
		return nil, err
	}
	section, err := v.section(ask.FromLabel, ask.ToLabel)
	if err != nil {
		return nil, err
	}
	sheets, err := t.sheets(section)
	if err != nil {
		return nil, err
	}
	if err := t.look(sheets); err != nil {
		return nil, err
	}
	if err := t.cover(covers, kit); err != nil {
		return nil, err
	}
	return t, t.edges(covers)
}

// wideM is how wide a level's range is for its ends to be worth an answer each.
const wideM = 0.10

// edges asks the same at either end of the level's range.
func (t *Tonight) edges(covers Covers) error {
	if !t.Level.ranged() || t.Level.Range.High-t.Level.Range.Low < wideM {
		return nil
	}
	for _, level := range []float64{t.Level.Range.Low, t.Level.Range.High} {
		level = math.Round(level*100) / 100
		ask := t.Asked
		ask.LevelM = &level // which goes before the moment
		at, err := NewTonight(t.VenuePegs, ask, covers)
		if err != nil {
			return err
		}
		t.Edges = append(t.Edges, Edge{level, at.Stops, at.Cover.Rigs, len(at.Waters) - len(at.Cover.Left), len(at.Waters)})
	}
	return nil
}

func (a TonightAsk) check() error {
	if a.Most < TieLeast || a.Most > TieMost {
		return Faultf(Invalid, "Say how many rigs you will tie, from %d to %d.", TieLeast, TieMost)
	}
	return a.Ask.check()
}

// section is the pegs from one label to another, either way round.
func (v *VenuePegs) section(from, to string) ([]PegView, error) {
	if from == "" && to == "" {
		return v.Pegs, nil
	}
	a, b, err := 0, len(v.Pegs)-1, error(nil)
	if from != "" {
		a, err = v.find(from)
	}
	if to != "" && err == nil {
		b, err = v.find(to)
	}
	if err != nil {
		return nil, err
	}
	return v.Pegs[min(a, b) : max(a, b)+1], nil
}

func (v *VenuePegs) find(label string) (int, error) {
	i := slices.IndexFunc(v.Pegs, func(p PegView) bool { return strings.EqualFold(p.Peg.Label, label) })
	if i < 0 {
		return 0, Faultf(Invalid, "There is no peg “%s” here: its pegs go from %s to %s.", label, v.Pegs[0].Peg.Label, v.Pegs[len(v.Pegs)-1].Peg.Label)
	}
	return i, nil
}

// sheets are the sheets of pegs without their rigs.
func (t *Tonight) sheets(pegs []PegView) ([]*Sheet, error) {
	ask := t.Asked.Ask
	ask.Run, ask.Own = "", Own{}
	var out []*Sheet
	for _, p := range pegs {
		s, err := newSheet(p, ask, t.Level)
		if err != nil {
			return nil, err
		}
		s.Cares = s.cares()
		out = append(out, s)
	}
	return out, nil
}

// look sorts what the sheets say: what holds all along, pegs that are shut, and the
// waters that may be fished.
func (t *Tonight) look(sheets []*Sheet) error {
	if len(sheets) == 0 {
		return nil
	}
	t.Stops = common(sheets, func(s *Sheet) []Stop { return s.Stops })
	t.Cares = common(sheets, func(s *Sheet) []Care { return s.Cares })
	for _, s := range sheets {
		if len(s.Stops) > 0 {
			t.Shut = append(t.Shut, PegWord{s.Peg.Label, s.Stops[0].Text})
			continue
		}
		t.waters(s)
	}
	if run := t.Asked.Run; run != "" && run != AllRuns && !t.hasRun(run) {
		return Faultf(Invalid, "No peg here has a run called “%s”.", run)
	}
	return nil
}

func (t *Tonight) hasRun(slug string) bool {
	return slices.ContainsFunc(t.Pegs, func(p PegView) bool {
		return slices.ContainsFunc(p.Runs, func(r RunBook) bool { return Slug(r.Name) == slug })
	})
}

// common is what every sheet says.
func common[T comparable](sheets []*Sheet, of func(*Sheet) []T) []T {
	var out []T
	for _, x := range of(sheets[0]) {
		if !slices.ContainsFunc(sheets, func(s *Sheet) bool { return !slices.Contains(of(s), x) }) {
			out = append(out, x)
		}
	}
	return out
}

// waters are those of a peg's runs that are asked for.
func (t *Tonight) waters(s *Sheet) {
	var of []int
	switch run := t.Asked.Run; {
	case run == "" && s.Chosen >= 0:
		of = []int{s.Chosen}
	case run != "":
		for i := range s.Runs {
			if run == AllRuns || s.Runs[i].Slug == run {
				of = append(of, i)
			}
		}
	}
	if len(of) == 0 {
		t.Silent = append(t.Silent, PegWord{s.Peg.Label, s.silence()})
		return
	}
	for _, i := range of {
		t.water(s, &s.Runs[i])
	}
}

// silence is why a peg has no run to fish, a sentence.
func (s *Sheet) silence() string {
	switch {
	case !s.Level.Known:
		return "The level then is not known."
	case len(s.Runs) == 0:
		return "It has no runs in the book yet."
	}
	return "No run here that was asked for is plumbed and deep enough for a float."
}

func (t *Tonight) water(s *Sheet, r *RunSheet) {
	say := ""
	switch {
	case !r.Plumbed:
		say = "Nobody has plumbed it yet."
	case r.Dry:
		say = "It is dry then, or too shallow for a float."
	default:
		w := coarse(s.blown(r.water()))
		if say = unfishable(w); say == "" {
			t.Waters = append(t.Waters, PegWater{Label: s.Peg.Label, Run: *r, Water: w, Unsure: r.Unsure()})
			return
		}
	}
	t.Silent = append(t.Silent, PegWord{s.Peg.Label, fmt.Sprintf("%s: %s", r.Name, say)})
}

// cover fills Cover, unless something forbids fishing all along.
func (t *Tonight) cover(covers Covers, kit Kit) error {
	if len(t.Waters) == 0 || len(t.Stops) > 0 || covers == nil {
		return nil
	}
	ws := make([]rig.Water, len(t.Waters))
	for i := range t.Waters {
		ws[i] = t.Waters[i].Water
	}
	var err error
	if t.Cover, err = covers.Cover(ws, t.Asked.Aim, kit, t.Asked.Most); err == nil {
		return nil
	}
	if t.No = noRig(err); t.No == "" {
		return fmt.Errorf("club: what to tie at %s: %w", t.Venue.Slug, err)
	}
	return nil
}

// Depths is from the shallowest to the deepest of the waters.
func (t *Tonight) Depths() hydro.Figure {
	var f hydro.Figure
	for i, w := range t.Waters {
		if d := w.Water.DepthM; i == 0 || d < f.Low {
			f.Low = d
		}
		f.High = max(f.High, w.Water.DepthM)
	}
	return f
}

// When is the moment that is asked about.
func (t *Tonight) When() time.Time {
	if t.Level.At.IsZero() {
		return t.Now
	}
	return t.Level.At
}
