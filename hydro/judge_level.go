package hydro

import (
	"math"
	"time"
)

// How far outside its range a level must be to be called odd: times the distance from
// the middle to that side of the central 80 %, and never less than oddLevelLeastM; above,
// never less than a spate may bring, which starts from nothing: oddRiseM an hour since the
// last reading, to oddRiseMostM, so that a metre read wrong is asked about. A normal error
// goes three times so far once in ten thousand; what rivers do has longer tails. From
// memory, but for the spate: that came after a real flood (USGS 08068500, November 2011),
// which rose half a metre in six hours, was asked about 15 times in 260.
const (
	oddLevelTimes  = 3.0
	oddLevelLeastM = 0.30
	oddRiseM       = 0.10
	oddRiseMostM   = 0.90
)

// JudgeLevel holds a new reading against what the last readings and the history would
// have said of that moment: by Forecast after the last of them, by LevelAt between two.
// Odd is only a question to whoever wrote it: a level is never refused for it. By is the
// level less the middle of what was expected, in metres. Against counts the readings it
// was held against; with none of the fortnight before, nothing is odd.
//
// Errors: a level out of its range, by name.
func (h *History) JudgeLevel(recent []Reading, r Reading) (Judgement, error) {
	if _, err := sorted([]Reading{r}); err != nil {
		return Judgement{}, err
	}
	rs, err := sorted(recent)
	if err != nil {
		return Judgement{}, err
	}
	expected, err := h.expect(rs, r.At)
	if err != nil {
		return Judgement{}, nil // nothing to hold it against
	}
	j := Judgement{Expected: expected, By: r.LevelM - expected.Mid, Against: len(rs)}
	j.Odd = math.Abs(j.By) > oddPast(expected, j.By, r.At.Sub(rs[len(rs)-1].At))
	return j, nil
}

// oddPast is how far from what was expected a level is odd, so long after the last reading.
func oddPast(expected Figure, by float64, after time.Duration) float64 {
	if by < 0 {
		return max(oddLevelTimes*(expected.Mid-expected.Low), oddLevelLeastM)
	}
	spate := min(oddRiseM*hours(after), oddRiseMostM)
	return max(oddLevelTimes*(expected.High-expected.Mid), oddLevelLeastM, spate)
}

func (h *History) expect(rs []Reading, at time.Time) (Figure, error) {
	if len(rs) > 0 && at.After(rs[len(rs)-1].At) {
		return h.Forecast(rs, at)
	}
	return LevelAt(rs, at)
}
