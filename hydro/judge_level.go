package hydro

import "time"

// How far outside its range a level must be to be called odd: times the distance from
// the middle to that side of the central 80 %, and never less than oddLevelLeastM. A normal
// error goes so far once in ten thousand; what rivers do has longer tails, and a spate
// brings a foot of water within hours, which nobody should be asked about. From memory.
const (
	oddLevelTimes  = 3.0
	oddLevelLeastM = 0.30
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
	side := expected.High - expected.Mid
	if j.By < 0 {
		side = expected.Mid - expected.Low
	}
	j.Odd = max(j.By, -j.By) > max(oddLevelTimes*side, oddLevelLeastM)
	return j, nil
}

func (h *History) expect(rs []Reading, at time.Time) (Figure, error) {
	if len(rs) > 0 && at.After(rs[len(rs)-1].At) {
		return h.Forecast(rs, at)
	}
	return LevelAt(rs, at)
}
