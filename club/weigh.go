package club

import (
	"fmt"
	"math"
	"strings"
	"time"

	"levelpeg/hydro"
)

// Weighed is what was made of a reading before it is written down.
type Weighed struct {
	Odd  []string // what is unlike the others; empty: nothing
	Says string   // what writing it down changes
}

// WeighLevel holds a level on the datum against what the gauge's readings lead to expect of
// its moment.
func (b BoardView) WeighLevel(h *hydro.History, at time.Time, datumM float64) (Weighed, error) {
	rs := make([]hydro.Reading, 0, len(b.Readings))
	for _, r := range b.Readings {
		if !r.At.Equal(at) {
			rs = append(rs, hydro.Reading{At: r.At, LevelM: r.DatumM})
		}
	}
	j, err := h.JudgeLevel(rs, hydro.Reading{At: at, LevelM: datumM})
	if err != nil {
		return Weighed{}, fmt.Errorf("club: %s: %w", b.Gauge.Slug, err)
	}
	var out Weighed
	if j.Odd {
		out.Odd = []string{fmt.Sprintf("%s is %s than was expected, %s to %s", m2(datumM-b.Zero.OffsetM), byWords(j.By, "higher", "lower"),
			m2(j.Expected.Low-b.Zero.OffsetM), m2(j.Expected.High-b.Zero.OffsetM))}
	}
	return out, nil
}

// LastBefore is the newest reading that is not after a moment; nil for none.
func (b BoardView) LastBefore(at time.Time) *Reading {
	for i := len(b.Readings) - 1; i >= 0; i-- {
		if !b.Readings[i].At.After(at) {
			return &b.Readings[i]
		}
	}
	return nil
}

// staleForSounding is how old the last reading may be for a sounding to be put down at it.
const staleForSounding = 6 * time.Hour

// LevelFor is the level on the datum to put a sounding down at: between two readings what
// runs between them, after the last one that one where it is fresh. False where nothing
// honest can be said.
func (b BoardView) LevelFor(at time.Time) (float64, bool) {
	rs := make([]hydro.Reading, len(b.Readings))
	for i, r := range b.Readings {
		rs[i] = hydro.Reading{At: r.At, LevelM: r.DatumM}
	}
	if f, err := hydro.LevelAt(rs, at); err == nil {
		return math.Round(f.Mid*100) / 100, true
	}
	if last := b.LastBefore(at); last != nil && at.Sub(last.At) <= staleForSounding {
		return last.DatumM, true
	}
	return 0, false
}

// WeighSounding holds a sounding, its level on the datum, against what is known of its run,
// and says what it changes at today's level. without is a sounding it takes the place of.
func (v *PegView) WeighSounding(run string, s Sounding, without *Sounding, now time.Time) (Weighed, error) {
	at := v.runNamed(run)
	if at < 0 {
		return Weighed{}, v.noRun(run)
	}
	v = v.with(at, nil, without)
	before, err := v.fitRuns(now)
	if err != nil {
		return Weighed{}, err
	}
	out, err := weighed(before[at], s)
	if err != nil {
		return out, fmt.Errorf("club: peg %s, %s: %w", v.Peg.Code, run, err)
	}
	after, err := v.with(at, &s, nil).fitRuns(now)
	if err != nil {
		return out, err
	}
	out.Says = v.changes(v.Runs[at].Name, before[at], after[at], s)
	return out, nil
}

func weighed(f *hydro.Run, s Sounding) (Weighed, error) {
	x := hydro.Sounding{At: s.At, LevelM: s.LevelM, DepthM: s.DepthM, PaceMPS: s.PaceMPS, TimedS: s.TimedS}
	var out Weighed
	j, err := f.JudgeDepth(x)
	if err != nil {
		return out, err
	}
	if j.Odd {
		out.Odd = append(out.Odd, fmt.Sprintf("%s is %s than %s, %s to %s at this level", m2(s.DepthM), byWords(j.By, "deeper", "shallower"), againstWords(j.Against), m2(j.Expected.Low), m2(j.Expected.High)))
	}
	if s.PaceMPS == 0 {
		return out, nil
	}
	if j, err = f.JudgePace(x); err != nil {
		return out, err
	}
	if j.Odd {
		how := "faster"
		if j.By < 0 {
			how = "slower"
		}
		out.Odd = append(out.Odd, fmt.Sprintf("%.2f m/s is %s than was expected, %.2f to %.2f", s.PaceMPS, how, j.Expected.Low, j.Expected.High))
	}
	return out, nil
}

// changes is "Inside run now 1.62 m, was 1.70", at today's level where one is known, else
// at the sounding's.
func (v *PegView) changes(run string, before, after *hydro.Run, s Sounding) string {
	level, when := s.LevelM, "at that level"
	if v.Standing.Latest != nil {
		level, when = v.Standing.Latest.LevelM+v.Standing.Zero.OffsetM, "at today's level"
	}
	is, err := after.Depth(level)
	if err != nil {
		return ""
	}
	words := upperFirst(run) + " run now " + depthWords(is.Mid) + " " + when
	if was, err := before.Depth(level); err == nil {
		words += ", was " + strings.TrimSuffix(depthWords(was.Mid), " m")
	} else {
		words += "; nobody had plumbed it"
	}
	if s.PaceMPS > 0 {
		if p, err := after.Pace(level); err == nil {
			words += fmt.Sprintf("; pace now %.2f m/s", p.Mid)
			if q, err := before.Pace(level); err == nil && before.Basis().Timed > 0 {
				words += fmt.Sprintf(", was %.2f", q.Mid)
			}
		}
	}
	return words + "."
}

func depthWords(m float64) string {
	if m <= 0 {
		return "dry"
	}
	return m2(m)
}

// runNamed is the run's place; -1 where the peg has none of that name.
func (v *PegView) runNamed(name string) int {
	for i, r := range v.Runs {
		if strings.EqualFold(r.Name, name) || Slug(r.Name) == name {
			return i
		}
	}
	return -1
}

func (v *PegView) noRun(name string) error {
	names := make([]string, len(v.Runs))
	for i, r := range v.Runs {
		names[i] = r.Name
	}
	if len(names) == 0 {
		return Faultf(Invalid, "Peg %s has no runs in the book yet. A secretary sets them up.", v.Peg.Label)
	}
	return Faultf(Invalid, "Peg %s has no run of that name. It has %s.", v.Peg.Label, strings.Join(names, ", "))
}

// RunName is a run of the peg as the book names it.
func (v *PegView) RunName(name string) (string, error) {
	if i := v.runNamed(name); i >= 0 {
		return v.Runs[i].Name, nil
	}
	return "", v.noRun(name)
}

// with is the view with a sounding more on a run, or one less. What is remembered stays as
// it is.
func (v *PegView) with(run int, more, less *Sounding) *PegView {
	runs := append([]RunBook(nil), v.Runs...)
	var all []Sounding
	for _, s := range runs[run].Soundings {
		if less == nil || !s.At.Equal(less.At) || s.DepthM != less.DepthM {
			all = append(all, s)
		}
	}
	if more != nil {
		all = append(all, *more)
	}
	runs[run].Soundings = all
	out := *v
	out.Runs = runs
	return &out
}

func againstWords(n int) string {
	if n == 0 {
		return "the runs beside it lead to expect"
	}
	if n == 1 {
		return "the last one says"
	}
	return fmt.Sprintf("the last %d say", n)
}

// m2 is metres to the centimetre.
func m2(m float64) string {
	if math.Abs(m) < 0.005 {
		m = 0
	}
	return strings.Replace(fmt.Sprintf("%.2f m", m), "-", "−", 1)
}

func byWords(by float64, more, less string) string {
	if by < 0 {
		more, by = less, -by
	}
	return m2(by) + " " + more
}

// LevelSays is what writing a level down changes: "Teasel Bridge 1.24 m at 14:05, was 1.18
// at 07:30." levelM is on the board; was is what it puts right, or the zero one.
func (b BoardView) LevelSays(levelM float64, at time.Time, was Corrected, loc *time.Location) string {
	words := b.Gauge.Name + " " + m2(levelM)
	if was.Kind != "" {
		return words + ", put right: it said " + m2(was.DatumM-b.Zero.OffsetM) + "."
	}
	if n := len(b.Readings); n > 0 && b.Readings[n-1].At.After(at) {
		return words + " at " + at.In(loc).Format(closureTime) + "; the newest stays " + m2(b.Readings[n-1].DatumM-b.Zero.OffsetM) + "."
	}
	words += " now"
	if last := b.LastBefore(at); last != nil {
		words += ", was " + strings.TrimSuffix(m2(last.DatumM-b.Zero.OffsetM), " m") + " " + spanOfTime(at.Sub(last.At)) + " before"
	}
	return words + "."
}
