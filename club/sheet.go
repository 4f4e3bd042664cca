package club

import (
	"math"
	"strings"
	"time"

	"levelpeg/hydro"
	"levelpeg/rig"
)

// Ask is what a sheet is asked.
type Ask struct {
	LevelM *float64   // on the zero in force; nil is the latest level read
	At     time.Time  // the moment the sheet is for; zero is now. A level that is asked for goes before it
	River  River      // levels about At; needed where At is set
	Fits   *FitMemory // nil fits anew
	Run    string     // slug of a run's name; empty is the one we would choose
	Tackle Tackle
	Hold   *int    // one of HoldBacks; nil is the first rig's own
	Own    Own     // what the reader found on the peg
	Wind   Breeze  // as it blows
	Aim    rig.Aim // what is fished for, and with
	Now    time.Time
}

// The levels a sheet can be asked for, on the zero in force. No board is read
// outside them.
const (
	MinLevelM = -20.0
	MaxLevelM = 50.0
)

// RiseM is how far the river rises in "and if it rises".
const RiseM = 0.30

// Sheet is what a peg's page says at one level.
type Sheet struct {
	PegView
	Now    time.Time
	Loc    *time.Location
	Level  LevelShown
	Stops  []Stop // the first is the sheet's first line; no rig is offered while one stands
	Cares  []Care
	Runs   []RunSheet
	Chosen int // index of the run the rigs are for; -1 where there is none
	Tackle Tackle
	Hold   *int // the hold-back that was asked for; nil is the first rig's own
	Own    Own
	Wind   Breeze
	Blows  rig.Wind // where the wind blows at the peg; empty where none was given
	Aim    rig.Aim
	Answer Answer
	Hang   *Hang // of the first rig; nil where there is none
	// Fuller is the rig a full box would have, where the reader's own kit has none.
	Fuller *rig.Rig
}

// LevelShown is the level a sheet answers for.
type LevelShown struct {
	Known  bool
	Asked  bool    // the reader chose it; otherwise it is the latest read, or that of At
	LevelM float64 // on the zero in force
	// At is the moment that was asked for, zero where none was. Then Range is the
	// level's, and where Known is false Why says why, in a sentence.
	At     time.Time
	Coming bool // At is still to come, so the level is foreseen and not read
	Range  hydro.Figure
	Why    string
	Now    *Level // the latest read; nil where there is none
	Age    time.Duration
	Trend  hydro.Trend
	Moving bool // Trend is known
}

// RunSheet is one run at the sheet's level.
type RunSheet struct {
	RunBook
	Slug    string
	Basis   hydro.Basis
	Plumbed bool // there is a depth to show, if only a borrowed one
	Depth   hydro.Figure
	Bed     hydro.Figure // height on the datum: level − depth at the sheet's level, and where it was sounded when there is none
	Dry     bool         // the level is at or under the bed
	Pace    hydro.Figure
	Timed   bool // the pace rests on a timed float of this run; otherwise it is a guess
	Word    string
	Above   bool // the level is higher than anything sounded here
	Below   bool // the level is lower than anything sounded here
	Flooded bool // a flood that may have moved the bed came after every sounding
	Ours    Ours // what of it is the reader's own
}

// Rigs suggests rigs for a run's water; see RigMemory.
type Rigs interface {
	Answer(now, risen *rig.Water, aim rig.Aim, kit Kit) (Answer, error)
}

// NewSheet answers for a peg. It fails with club.Invalid for a level no board
// reads, a run the peg does not have, or tackle or a hold-back not known here.
func NewSheet(v PegView, ask Ask, rigs Rigs) (*Sheet, error) {
	if err := ask.check(); err != nil {
		return nil, err
	}
	loc, err := v.Club.Zone()
	if err != nil {
		return nil, err
	}
	level, err := showLevel(v.Standing, ask, loc)
	if err != nil {
		return nil, err
	}
	s, err := newSheet(v, ask, level)
	if err != nil {
		return nil, err
	}
	if err := s.suggest(ask.Fits, rigs); err != nil {
		return nil, err
	}
	s.Cares = s.cares()
	return s, nil
}

// newSheet is a sheet at a level without its rigs and cares.
func newSheet(v PegView, ask Ask, level LevelShown) (*Sheet, error) {
	loc, err := v.Club.Zone()
	if err != nil {
		return nil, err
	}
	s := &Sheet{PegView: v, Now: ask.Now, Loc: loc, Level: level, Chosen: -1, Tackle: ask.Tackle.keptBy(v.Member), Hold: ask.Hold, Own: ask.Own, Wind: ask.Wind, Aim: ask.Aim}
	s.Blows, _ = ask.Wind.On(v.Peg)
	s.Stops = v.stops(s.Level.at(), s.When(), loc)
	if s.Runs, err = ask.Fits.runs(&s.PegView, s.Now, s.Level.Known, s.Level.onDatum(v.Standing.Zero.OffsetM)); err != nil {
		return nil, err
	}
	if s.Chosen, err = s.choose(ask.Run); err != nil {
		return nil, err
	}
	s.takeOwn(ask.Own)
	return s, nil
}

// check says what is wrong with what is asked, but for the level and the run.
func (a Ask) check() error {
	if err := checkHold(a.Hold); err != nil {
		return err
	}
	if err := a.Own.Check(); err != nil {
		return err
	}
	return a.Wind.Check()
}

func showLevel(st Standing, ask Ask, loc *time.Location) (LevelShown, error) {
	l := LevelShown{Now: st.Latest}
	if st.Latest != nil {
		l.Known, l.LevelM = true, st.Latest.LevelM
		l.Age = max(0, ask.Now.Sub(st.Latest.At))
	}
	if st.Latest != nil && st.Earlier != nil {
		trend, err := hydro.TrendOf(st.Latest.LevelM, st.Earlier.LevelM, st.Latest.At.Sub(st.Earlier.At))
		if err == nil {
			l.Trend, l.Moving = trend, true
		}
	}
	if ask.LevelM != nil {
		if math.IsNaN(*ask.LevelM) || *ask.LevelM < MinLevelM || *ask.LevelM > MaxLevelM {
			return l, Faultf(Invalid, "A level is metres on the board, from %g to %g.", MinLevelM, MaxLevelM)
		}
		l.Known, l.Asked, l.LevelM = true, true, *ask.LevelM
		return l, nil
	}
	if !ask.At.IsZero() {
		return levelAtMoment(l, st, ask, loc)
	}
	return l, nil
}

// ranged says whether the level is a figure with a range, and not one that was read or
// chosen.
func (l LevelShown) ranged() bool { return l.Known && !l.Asked && !l.At.IsZero() }

// onDatum is the level with its range, on the datum.
func (l LevelShown) onDatum(offsetM float64) hydro.Figure {
	if !l.ranged() {
		return hydro.Figure{Mid: l.LevelM + offsetM, Low: l.LevelM + offsetM, High: l.LevelM + offsetM}
	}
	return hydro.Figure{Mid: l.Range.Mid + offsetM, Low: l.Range.Low + offsetM, High: l.Range.High + offsetM}
}

// When is the moment the sheet is for.
func (s *Sheet) When() time.Time {
	if s.Level.At.IsZero() {
		return s.Now
	}
	return s.Level.At
}

// at is the level on the zero in force, nil where none is known.
func (l LevelShown) at() *float64 {
	if !l.Known {
		return nil
	}
	return &l.LevelM
}

// DatumM is the sheet's level on the datum.
func (s *Sheet) DatumM() float64 { return s.Level.LevelM + s.Standing.Zero.OffsetM }

// take fills what the run says at a level on the datum, whose range is in depth and pace.
func (r *RunSheet) take(f *hydro.Run, is said, level hydro.Figure) {
	r.Depth, r.Plumbed, r.Dry = is.depth, true, is.depth.Mid < dryM
	r.Below, r.Above = f.Beyond(level.Mid)
	if r.Dry {
		return
	}
	// Where the surface does not rise evenly with the gauge, the bed seems to lie
	// elsewhere at every level: it is given where this level and depth put it, so
	// that the two always add up.
	r.Bed = hydro.Figure{Mid: level.Mid - is.at.Mid, Low: level.Mid - is.at.High, High: level.Mid - is.at.Low}
	r.Pace, r.Word = is.pace, hydro.PaceWord(is.pace.Mid)
}

// dryM is the depth under which a run is called dry: less than a float can stand in.
const dryM = 0.05

// choose gives the run the rigs are for: the one asked for, or the one most likely
// to be fished, by how well it is known.
func (s *Sheet) choose(slug string) (int, error) {
	best, bestScore := -1, math.Inf(-1)
	names := make([]string, 0, len(s.Runs))
	for i := range s.Runs {
		r := &s.Runs[i]
		if slug != "" && r.Slug == slug {
			return i, nil
		}
		names = append(names, r.Slug)
		if s.Aim.Junior && r.DistanceM > rig.JuniorReachM {
			continue
		}
		if score := r.appeal(s.Level.Known && s.DatumM() > s.Standing.Gauge.HighM); score > bestScore {
			best, bestScore = i, score
		}
	}
	if slug == "" && best < 0 && s.Own.DepthM != nil {
		return s.usual(), nil
	}
	if slug != "" {
		return -1, Faultf(Invalid, "This peg has no run called “%s”. It has: %s.", slug, strings.Join(names, ", "))
	}
	return best, nil
}

// usualOutM is where most float fishing on a river is done: about a rod length out
// (common practice, no source).
const usualOutM = 4.0

// usual is the run nearest a rod length out; -1 where there is none.
func (s *Sheet) usual() int {
	at, nearest := -1, math.Inf(1)
	for i := range s.Runs {
		if off := math.Abs(s.Runs[i].DistanceM - usualOutM); off < nearest {
			at, nearest = i, off
		}
	}
	return at
}

// appeal ranks a run for the first look: one that holds a float, whose depth is
// known closely and whose pace was timed, and that is deep; a far one a little less,
// and in high water much less. Common practice, no source. A run that cannot be
// fished with a float at all is never chosen.
func (r *RunSheet) appeal(high bool) float64 {
	if !r.Plumbed || r.Dry || r.Depth.Mid < rig.DepthLeastM {
		return math.Inf(-1)
	}
	const deepEnoughM, roughM = 2.5, 0.30
	score := math.Min(r.Depth.Mid, deepEnoughM) / deepEnoughM
	score -= math.Min((r.Depth.High-r.Depth.Low)/2, roughM) / roughM
	if r.Timed {
		score += 0.5
	}
	if high {
		return score - r.DistanceM/5
	}
	return score - math.Max(0, r.DistanceM-9)/20
}

// suggest fills Answer, unless something forbids fishing or nothing is known.
func (s *Sheet) suggest(m *FitMemory, rigs Rigs) error {
	kit, err := s.Tackle.kit()
	if err != nil {
		return err
	}
	if s.Chosen < 0 || len(s.Stops) > 0 || !s.Runs[s.Chosen].Plumbed || s.Runs[s.Chosen].Dry {
		return nil
	}
	run := &s.Runs[s.Chosen]
	if run.Ours.Depth && !run.paced() && !run.Ours.Pace {
		s.Answer.No = "Say how fast it runs as well: nobody has timed this run. Time a float for ten seconds or more."
		return nil
	}
	up, err := s.risen(m)
	if err != nil {
		return err
	}
	now := s.blown(run.water())
	if s.Answer, err = rigs.Answer(&now, up, s.Aim, kit); err != nil {
		return err
	}
	if len(s.Answer.Rigs) == 0 {
		s.Fuller, err = fuller(s.Tackle, rigs, &now, s.Aim)
		return err
	}
	s.Hang, err = hang(&s.Answer.Rigs[0], s.Answer.For, s.Hold)
	return err
}

// fuller is the first rig of the standard kit, where it was a reader's own that has none.
func fuller(t Tackle, rigs Rigs, w *rig.Water, aim rig.Aim) (*rig.Rig, error) {
	if t.Kit == "" {
		return nil, nil
	}
	kit, err := StandardTackle().kit()
	if err != nil {
		return nil, err
	}
	a, err := rigs.Answer(w, nil, aim, kit)
	if err != nil || len(a.Rigs) == 0 {
		return nil, err
	}
	return &a.Rigs[0], nil
}

// risen is the chosen run with the river up by RiseM; nil where the club's rule stops
// fishing before that, which is told instead of a rig for it.
func (s *Sheet) risen(m *FitMemory) (*rig.Water, error) {
	run := &s.Runs[s.Chosen]
	if !s.Level.Known {
		up := s.blown(run.ownRise(RunSheet{}))
		return &up, nil
	}
	up30 := s.DatumM() + RiseM
	risen, err := m.runs(&s.PegView, s.Now, true, hydro.Figure{Mid: up30, Low: up30, High: up30})
	if err != nil || len(ruleStops(s.Rules, s.When(), up30, s.Standing.Zero.OffsetM)) > 0 {
		return nil, err
	}
	up := risen[s.Chosen].water()
	if run.Ours.Any() {
		up = run.ownRise(risen[s.Chosen])
	}
	up.Boil, up.DistanceM = run.Boil, run.DistanceM
	up = s.blown(up)
	return &up, nil
}

// blown is a water with the wind of the sheet.
func (s *Sheet) blown(w rig.Water) rig.Water {
	if s.Blows != "" {
		w.Wind, w.WindForce = s.Blows, s.Wind.Force
	}
	return w
}

// water is the run as a rig sees it.
func (r *RunSheet) water() rig.Water {
	return rig.Water{DepthM: r.Depth.Mid, PaceMPS: r.Pace.Mid, Boil: r.Boil, DistanceM: r.DistanceM, Snaggy: r.Snaggy}
}

// Slug makes a name fit for an address: "Two rods" is "two-rods".
func Slug(name string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(name), func(c rune) bool {
		return (c < 'a' || c > 'z') && (c < '0' || c > '9')
	}), "-")
}

// staleLevel is how old the latest reading may be before the sheet says so.
const staleLevel = 24 * time.Hour
