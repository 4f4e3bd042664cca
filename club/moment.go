package club

import (
	"errors"
	"fmt"
	"time"

	"levelpeg/hydro"
)

// River is what is known of a gauge's levels about a moment, on its datum.
type River struct {
	// Readings are those around a moment that is past, and the last few days' for one
	// to come, oldest first.
	Readings []Reading
	// History is how the gauge has gone on before; nil where that is not known.
	History *hydro.History
}

// at is the level at a moment on the datum. What lies after the last reading is foreseen
// even where it is past by now.
func (r *River) at(at time.Time) (hydro.Figure, error) {
	readings := readingsOf(r.Readings)
	if n := len(readings); n > 0 && at.After(readings[n-1].At) {
		return r.History.Forecast(readings, at)
	}
	return hydro.LevelAt(readings, at)
}

func readingsOf(rs []Reading) []hydro.Reading {
	out := make([]hydro.Reading, len(rs))
	for i, x := range rs {
		out[i] = hydro.Reading{At: x.At, LevelM: x.DatumM}
	}
	return out
}

// fanPoints is how many levels to come a gauge's page draws.
const fanPoints = 24

// Foresee fills Expected: as far ahead as a drawing of the span has room for, and not
// past a fortnight. Where nothing was read lately nothing is foreseen.
func (v *GaugeView) Foresee(h *hydro.History, now time.Time) error {
	ahead := min(v.To.Sub(v.From)/3, fanMost)
	fan, err := h.Fan(readingsOf(v.Recent), now.Add(ahead), ahead/fanPoints)
	if errors.Is(err, hydro.ErrNoLevels) || errors.Is(err, hydro.ErrTooFar) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("club: levels to come of %s: %w", v.Standing.Gauge.Slug, err)
	}
	for _, p := range fan {
		v.Expected = append(v.Expected, FanPoint{At: p.At, MidM: p.Mid, LowM: p.Low, HighM: p.High})
	}
	return nil
}

// fanMost leaves room for a last reading that is some days old.
const fanMost = 10 * 24 * time.Hour

// momentFormat is how a page names a moment.
const momentFormat = "Mon 2 January 2006, 15:04"

// The moments a sheet can be asked for: as far back as anybody wrote a level down, and
// as far ahead as a club's calendar goes.
const (
	momentsBack  = 200 * 366 * 24 * time.Hour
	momentsAhead = 2 * 366 * 24 * time.Hour
)

// CheckMoment says what is wrong with a moment that a sheet is asked for.
func CheckMoment(at, now time.Time) error {
	if at.Before(now.Add(-momentsBack)) || at.After(now.Add(momentsAhead)) {
		return Faultf(Invalid, "%s is too far from now: ask for a day in the last two hundred years or the next two.", at.Format("2 January 2006"))
	}
	return nil
}

// levelAtMoment is the level at the moment asked for, read or foreseen, with its range.
// Where nothing honest can be said of it, Why says so and the level is not known.
func levelAtMoment(l LevelShown, st Standing, ask Ask, loc *time.Location) (LevelShown, error) {
	l.Known, l.LevelM, l.At, l.Coming = false, 0, ask.At, ask.At.After(ask.Now)
	f, err := ask.River.at(ask.At)
	if l.Why = unknownLevel(err, l.Coming, loc); l.Why != "" {
		return l, nil
	}
	if err != nil {
		return l, fmt.Errorf("club: level of %s at %s: %w", st.Gauge.Slug, ask.At.Format(time.RFC3339), err)
	}
	off := st.Zero.OffsetM
	l.Known, l.LevelM = true, f.Mid-off
	l.Range = hydro.Figure{Mid: f.Mid - off, Low: f.Low - off, High: f.High - off}
	return l, nil
}

// unknownLevel is why nothing is said of a level at a moment, a sentence; empty for an
// error that is ours, or none.
func unknownLevel(err error, coming bool, loc *time.Location) string {
	var gap *hydro.GapError
	switch {
	case errors.As(err, &gap):
		return fmt.Sprintf("Nobody read the board from %s to %s, so the level between is not known.",
			gap.From.In(loc).Format(momentFormat), gap.To.In(loc).Format(momentFormat))
	case errors.Is(err, hydro.ErrTooFar):
		return "That is too far ahead to say anything of the level. Ask again nearer the day, or for the level you expect."
	case errors.Is(err, hydro.ErrNoLevels) && coming:
		return "Nobody has read the board lately, so there is nothing to foresee the level from. Read it, or ask for the level you expect."
	case errors.Is(err, hydro.ErrNoLevels):
		return "Nobody had read the board by then, so the level is not known."
	}
	return ""
}

// mayStop gives the rules that stop fishing within the level's range though not at
// its middle.
func (s *Sheet) mayStop() []Care {
	if !s.Level.ranged() {
		return nil
	}
	off := s.Standing.Zero.OffsetM
	var out []Care
	for _, r := range s.Rules {
		if r.Effect == NoFishing && !r.Holds(s.When(), s.DatumM()) && (r.Holds(s.When(), s.Level.Range.Low+off) || r.Holds(s.When(), s.Level.Range.High+off)) {
			out = append(out, Care{"It may be stopped by then", r.Words(off) + " The level may pass that."})
		}
	}
	return out
}
