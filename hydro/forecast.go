package hydro

import (
	"errors"
	"fmt"
	"time"
)

// ErrTooFar says that a moment is too far ahead to say anything of a level.
var ErrTooFar = errors.New("hydro: too far ahead to foresee a level")

// ForecastMost is how far past the last reading a level is foreseen.
const ForecastMost = 14 * 24 * time.Hour

// Foreseen is a level at a moment to come.
type Foreseen struct {
	At time.Time
	Figure
}

// Forecast foresees the level at a moment after the last of the recent readings (the
// last day or more, in any order; of two at one time the later in the list counts).
//
// The present is the level x, its change r in an hour over the last three hours, its
// change over a day and the time of year, from means over the last hours; x is the last
// reading, smoothed within its own error. With H the hours to the moment and b the river's
// base (the level it is below 2 % of the time) the river, if it goes on as it does,
// changes by
//
//	g = r·3 h·(1 − e^(−H/3 h))               where it rises
//	g = −(x − b)·(1 − e^(−H·|r| ÷ (x − b)))  where it falls: a recession
//
// The hours i of the history and of the recent readings that were most like the present
// say how it goes on. Each gives a level
//
//	y_i(H) + ρ·(x − y_i(0)) + λ·(g − g_i)
//
// in which ρ and λ, how much of a level and of its trend is carried over so many hours,
// are the slopes of a weighted regression on those hours, drawn to ρ₀ and λ₀ as if one
// more spell of 2·H hours had said so, or three where the history is short of 400 days and
// has most to show yet. λ₀ is what came of g at all hours of the history and of the last
// days, drawn in its turn to ½·24 h ÷ (24 h + H). ρ₀ is 1 (the level stays as it is) where
// the history is short, and goes over to the share of a level's distance from what is
// usual at the time of year that the history has left after H. To those hours is added,
// for as many spells, the level x + (ρ₀ − 1)·(x − usual) + λ₀·g with a spread of Student's
// t: that of the last days' own changes, the history's, and 2 cm times √H. Mid is the
// weighted median of all, Low and High are the 10 % and 90 % points with a reading's
// scatter added, and what lines between the readings of a board hide (√(σ²·H·(1 − H/G)), σ
// the river's roughness, G the hours between readings). A change of less than a board's error is hardly told: c becomes
// c³ ÷ (c² + (0.5 cm)²).
//
// So a thin history gives "as it is now" with a learnt spread, none a wide range, and a
// long one goes over into what the gauge usually does at the time of year. The range never
// narrows with H. Mid is never below the lowest the river was read, Low never more below
// it than (what it was seen to move between + 0.3 m)·10 days ÷ (10 days + the days read).
//
// The recession is the exponential one of any hydrology handbook; neighbours in the record
// (analogs), local regression on them and shrinkage are methods of long standing (all from
// memory). The widths, the spells and the halves are the project's own, set by how invented
// rivers went (the tests name them), the demo's among them, with the errors on one real
// flood in view: tests on those three are no independent proof.
//
// Errors: ErrNoLevels with no reading; ErrTooFar more than 14 days after the last; a
// level out of its range, by name. A moment at or before the last reading is LevelAt's.
func (h *History) Forecast(recent []Reading, at time.Time) (Figure, error) {
	f, err := h.fan(recent, []time.Time{at})
	if err != nil {
		return Figure{}, err
	}
	return f[0].Figure, nil
}

// Now is a level as it stands.
type Now struct {
	Figure
	Age time.Duration // of the last reading; 0 where that is later than now
}

// LevelNow is the level now: the last of the recent readings, and with its age what the
// river has made of it by Forecast, its range growing. Errors are those of Forecast.
func (h *History) LevelNow(recent []Reading, now time.Time) (Now, error) {
	rs, err := sorted(recent)
	if err != nil {
		return Now{}, err
	}
	f, err := h.Forecast(rs, now)
	if err != nil {
		return Now{}, err
	}
	return Now{f, max(0, now.Sub(rs[len(rs)-1].At))}, nil
}

// Fan foresees the level every step after the last of the recent readings, until a
// moment, which it includes. Errors are those of Forecast; a step under a minute is one
// of a minute.
func (h *History) Fan(recent []Reading, until time.Time, step time.Duration) ([]Foreseen, error) {
	rs, err := someSorted(recent)
	if err != nil {
		return nil, err
	}
	last := rs[len(rs)-1].At
	if err := notTooFar(last, until); err != nil {
		return nil, err
	}
	step = max(step, time.Minute)
	var times []time.Time
	for at := last.Add(step); at.Before(until); at = at.Add(step) {
		times = append(times, at)
	}
	return h.fan(rs, append(times, until))
}

func someSorted(recent []Reading) ([]Reading, error) {
	rs, err := sorted(recent)
	if err == nil && len(rs) == 0 {
		err = ErrNoLevels
	}
	return rs, err
}

func notTooFar(last, at time.Time) error {
	if at.Sub(last) <= ForecastMost {
		return nil
	}
	return fmt.Errorf("%w: %s is more than %.0f days after the last reading, %s", ErrTooFar,
		stamp(at), ForecastMost.Hours()/24, stamp(last))
}

func (h *History) fan(recent []Reading, times []time.Time) ([]Foreseen, error) {
	rs, err := someSorted(recent)
	if err != nil {
		return nil, err
	}
	var o *origin
	out := make([]Foreseen, len(times))
	for i, at := range times {
		f := Figure{}
		switch ahead := at.Sub(rs[len(rs)-1].At); {
		case ahead <= 0:
			f, err = LevelAt(rs, at)
		case ahead > ForecastMost:
			err = notTooFar(rs[len(rs)-1].At, at)
		default:
			if o == nil {
				o = h.originOf(rs)
			}
			f = o.after(hours(ahead))
		}
		if err != nil {
			return nil, err
		}
		out[i] = Foreseen{at, f}
	}
	return out, nil
}
