package club

import (
	"errors"
	"fmt"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/hydro"
)

// BesideRun is a run of a peg beside, on the same bank, whose bed may tell something of
// one that nobody has plumbed.
type BesideRun struct {
	RunBook
	Pegs  int   // how many pegs away downstream; below 0 upstream
	Reach Reach // of its own peg
}

// fewSoundings is with how many of its own a run needs nothing of its neighbours.
const fewSoundings = 3

// FitMemory remembers what was fitted to the runs of the pegs last asked for, and what
// that said at the levels last asked for. It knows a
// peg's book by where it lies in memory, so it helps where books are remembered, and it
// never answers for another. It is safe for many goroutines; nil remembers nothing.
type FitMemory struct {
	seen *lru.Cache[fitKey, []*hydro.Run]
	said *lru.Cache[saidKey, []said]
}

type saidKey struct {
	fitKey
	level hydro.Figure // on the datum
}

// said is what a run says at a level: at is its depth where the level is exactly its
// middle, depth and pace are for the whole of its range.
type said struct{ at, depth, pace hydro.Figure }

type fitKey struct {
	book   *RunBook // keeps the book in memory, so that no other can lie there
	floods uint64   // a sum over all of them: a level put right may move one long ago
	hour   int64    // seconds since 1970; beds drift by the year: an hour is nothing
}

// NewFitMemory remembers the runs of up to size pegs; 0 remembers none.
func NewFitMemory(size int) *FitMemory {
	if size <= 0 {
		return nil
	}
	seen, err := lru.New[fitKey, []*hydro.Run](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	figures, err := lru.New[saidKey, []said](size)
	if err != nil {
		panic(err)
	}
	return &FitMemory{seen, figures}
}

// runs reads a peg's runs at a level on the datum; with no level known, the beds alone.
func (m *FitMemory) runs(v *PegView, now time.Time, known bool, level hydro.Figure) ([]RunSheet, error) {
	fitted, err := m.of(v, now)
	if err != nil {
		return nil, err
	}
	var figures []said
	if known {
		if figures, err = m.figures(v, fitted, now, level); err != nil {
			return nil, err
		}
	}
	runs := make([]RunSheet, len(fitted))
	for i, f := range fitted {
		r := &runs[i]
		*r = RunSheet{RunBook: v.Runs[i], Slug: Slug(v.Runs[i].Name), Basis: f.Basis()}
		r.Flooded = r.Basis.Soundings > 0 && r.Basis.SinceFlood == 0
		r.Timed = r.Basis.Timed > 0
		if r.Basis.Soundings == 0 && r.Basis.Borrowed == 0 {
			continue
		}
		if known {
			r.take(f, figures[i], level)
		}
		if known && !r.Dry {
			continue
		}
		if r.Bed, err = f.Bed(); err != nil {
			return nil, fmt.Errorf("club: peg %s, %s: %w", v.Peg.Code, r.Name, err)
		}
	}
	return runs, nil
}

// figures is what fitted runs say at a level, in their order.
func (m *FitMemory) figures(v *PegView, fitted []*hydro.Run, now time.Time, level hydro.Figure) ([]said, error) {
	if m == nil || len(fitted) == 0 {
		return figuresOf(v, fitted, level)
	}
	key := saidKey{keyOf(v, now), level}
	if figures, ok := m.said.Get(key); ok {
		return figures, nil
	}
	figures, err := figuresOf(v, fitted, level)
	if err == nil {
		m.said.Add(key, figures)
	}
	return figures, err
}

func figuresOf(v *PegView, fitted []*hydro.Run, level hydro.Figure) ([]said, error) {
	out := make([]said, len(fitted))
	for i, f := range fitted {
		err := out[i].ask(f, level)
		if err != nil && !errors.Is(err, hydro.ErrNotPlumbed) {
			return nil, fmt.Errorf("club: peg %s, %s: %w", v.Peg.Code, v.Runs[i].Name, err)
		}
	}
	return out, nil
}

func (s *said) ask(f *hydro.Run, level hydro.Figure) (err error) {
	if s.at, err = f.Depth(level.Mid); err != nil {
		return err
	}
	if s.depth, err = f.DepthAtLevel(level); err != nil {
		return err
	}
	s.pace, err = f.PaceAtLevel(level)
	return err
}

func keyOf(v *PegView, now time.Time) fitKey {
	key := fitKey{book: &v.Runs[0], hour: now.Truncate(time.Hour).Unix()}
	for _, at := range v.Standing.Floods {
		key.floods = key.floods*1099511628211 + uint64(at.Unix()) + 1
	}
	return key
}

// of fits each of a peg's runs, in their order.
func (m *FitMemory) of(v *PegView, now time.Time) ([]*hydro.Run, error) {
	if m == nil || len(v.Runs) == 0 {
		return v.fitRuns(now)
	}
	key := keyOf(v, now)
	if runs, ok := m.seen.Get(key); ok {
		return runs, nil
	}
	runs, err := v.fitRuns(now)
	if err == nil {
		m.seen.Add(key, runs)
	}
	return runs, err
}

// fitRuns fits each run to its own soundings, and those that have few to what their
// neighbours say as well.
func (v *PegView) fitRuns(now time.Time) ([]*hydro.Run, error) {
	own := make([]*hydro.Run, len(v.Runs))
	few := false
	for i, r := range v.Runs {
		f, err := hydro.Fit(soundingsOf(r), v.Standing.Floods, now, priorOf(r, v.Peg.Reach))
		if err != nil {
			return nil, fmt.Errorf("club: peg %s, %s: %w", v.Peg.Code, r.Name, err)
		}
		own[i] = f
		few = few || len(r.Soundings) < fewSoundings
	}
	if !few {
		return own, nil
	}
	beside, err := v.fitBeside(now)
	if err != nil {
		return nil, err
	}
	out := make([]*hydro.Run, len(own))
	for i, r := range v.Runs {
		out[i] = own[i]
		if len(r.Soundings) >= fewSoundings {
			continue
		}
		if out[i], err = v.borrow(i, own, beside, now); err != nil {
			return nil, fmt.Errorf("club: peg %s, %s, borrowing: %w", v.Peg.Code, r.Name, err)
		}
	}
	return out, nil
}

// borrow fits a run to its own few soundings and its neighbours'.
func (v *PegView) borrow(run int, own, beside []*hydro.Run, now time.Time) (*hydro.Run, error) {
	r := v.Runs[run]
	var from []hydro.Neighbour
	for i, f := range own {
		if i != run {
			from = append(from, hydro.Neighbour{Run: f, OutM: v.Runs[i].DistanceM - r.DistanceM})
		}
	}
	for i, f := range beside {
		from = append(from, hydro.Neighbour{Run: f, OutM: v.Beside[i].DistanceM - r.DistanceM, Pegs: v.Beside[i].Pegs})
	}
	prior, err := hydro.Borrow(from, priorOf(r, v.Peg.Reach))
	if err != nil {
		return nil, err
	}
	return hydro.Fit(soundingsOf(r), v.Standing.Floods, now, prior)
}

func (v *PegView) fitBeside(now time.Time) ([]*hydro.Run, error) {
	out := make([]*hydro.Run, len(v.Beside))
	for i, b := range v.Beside {
		f, err := hydro.Fit(soundingsOf(b.RunBook), v.Standing.Floods, now, priorOf(b.RunBook, b.Reach))
		if err != nil {
			return nil, fmt.Errorf("club: beside peg %s, %s: %w", v.Peg.Code, b.Name, err)
		}
		out[i] = f
	}
	return out, nil
}

func priorOf(r RunBook, reach Reach) hydro.Prior {
	prior := hydro.OpenReach()
	if reach == PastWeir {
		prior = hydro.PastWeir()
	}
	if r.SteepSide {
		prior = prior.Steep()
	}
	return prior
}

func soundingsOf(r RunBook) []hydro.Sounding {
	out := make([]hydro.Sounding, len(r.Soundings))
	for i, x := range r.Soundings {
		out[i] = hydro.Sounding{At: x.At, LevelM: x.LevelM, DepthM: x.DepthM, PaceMPS: x.PaceMPS, TimedS: x.TimedS}
	}
	return out
}
