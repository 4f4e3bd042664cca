package hydro

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// nashua reads US Geological Survey field measurements, station 01096500, first 150
// rows by date. Mean depth stands for level and depth both (a bed at 0), and mean
// velocity for pace.
func nashua(t *testing.T) (s []Sounding) {
	t.Helper()
	for _, row := range openData(t, "usgs_01096500_nashua_to_row150.csv") {
		at, err := time.Parse(time.DateOnly, row[1])
		if err != nil {
			t.Fatal(err)
		}
		depth := number(t, row[3])
		s = append(s, Sounding{At: at, LevelM: depth, DepthM: depth, PaceMPS: number(t, row[4]), TimedS: 40})
	}
	return s
}

// bigChannel reads US Geological Survey gaugings of another river, as collected in
// the ratingcurve package. They have a stage in feet and a discharge, and neither
// depth nor velocity: here the bed lies at the gauge's zero and the channel is 60 m
// wide with upright sides, both made up, so that only the shape is real.
func bigChannel(t *testing.T) (s []Sounding) {
	t.Helper()
	const footM, widthM = 0.3048, 60
	for _, row := range openData(t, "usgs_gaugings_co_channel.csv") {
		at, err := time.Parse(time.DateTime, strings.TrimSuffix(row[0][:19], " "))
		if err != nil {
			t.Fatal(err)
		}
		depth := number(t, row[1]) * footM
		discharge := number(t, row[2]) * footM * footM * footM
		s = append(s, Sounding{At: at, LevelM: depth, DepthM: depth, PaceMPS: discharge / (widthM * depth), TimedS: 40})
	}
	return s
}

// rivals are other ways to say a pace at a depth from soundings.
var rivals = []struct {
	name string
	pace func(drawn []Sounding, depthM float64) float64
}{
	{"nearest depth's", func(s []Sounding, depthM float64) float64 {
		best := s[0]
		for _, x := range s {
			if math.Abs(x.DepthM-depthM) < math.Abs(best.DepthM-depthM) {
				best = x
			}
		}
		return best.PaceMPS
	}},
	{"mean of the drawn", func(s []Sounding, _ float64) float64 {
		_, pace := meansOf(s)
		return pace
	}},
	// In raw units. One sounding, or all at one depth, give their mean at every depth.
	// A line that runs below 0 is left there.
	{"least squares", func(s []Sounding, depthM float64) float64 {
		depth, pace := meansOf(s)
		var xx, xy float64
		for _, v := range s {
			xx += (v.DepthM - depth) * (v.DepthM - depth)
			xy += (v.DepthM - depth) * (v.PaceMPS - pace)
		}
		if xx == 0 {
			return pace
		}
		return pace + xy/xx*(depthM-depth)
	}},
}

func meansOf(s []Sounding) (depth, pace float64) {
	for i, v := range s {
		depth += (v.DepthM - depth) / float64(i+1)
		pace += (v.PaceMPS - pace) / float64(i+1)
	}
	return depth, pace
}

// paceScore is how a table's row came out.
type paceScore struct {
	ours   float64   // mean absolute error of the median, m/s
	rivals []float64 // in the order of rivals
	held   float64   // share within the 80 % range
}

// backtest draws k soundings at random, so many times, and says the pace of all the
// others at their depth, in their season: weed's, or the rest of the year. The depth
// is taken as known, so that it is pace alone that is judged.
func backtest(t *testing.T, all []Sounding, k, draws int, p Prior) paceScore {
	rng := rand.New(rand.NewPCG(1096500, uint64(k)))
	winter, summer := day(2030, 1, 1), day(2030, 7, 1)
	sc := paceScore{rivals: make([]float64, len(rivals))}
	var n float64
	for range draws {
		perm := rng.Perm(len(all))
		var drawn []Sounding
		for _, i := range perm[:k] {
			drawn = append(drawn, all[i])
		}
		laws := map[bool]*Run{false: fitAt(t, drawn, winter, p), true: fitAt(t, drawn, summer, p)}
		for _, i := range perm[k:] {
			x := all[i]
			f := laws[inWeed(x.At)].paceAt(Figure{x.DepthM, x.DepthM, x.DepthM})
			n++
			sc.ours += math.Abs(f.Mid - x.PaceMPS)
			if f.Low <= x.PaceMPS && x.PaceMPS <= f.High {
				sc.held++
			}
			for j := range rivals {
				sc.rivals[j] += math.Abs(rivals[j].pace(drawn, x.DepthM) - x.PaceMPS)
			}
		}
	}
	sc.ours, sc.held = sc.ours/n, sc.held/n
	for j := range sc.rivals {
		sc.rivals[j] /= n
	}
	return sc
}

func fitAt(t *testing.T, s []Sounding, now time.Time, p Prior) *Run {
	t.Helper()
	r, err := Fit(s, nil, now, p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const backtestDraws = 500

func logHeader(t *testing.T, what string) {
	t.Logf("%s, %d draws: mean absolute error on the rest, m/s", what, backtestDraws)
	t.Logf("%3s %13s %16s %18s %14s %10s", "k", "this package", rivals[0].name, rivals[1].name, rivals[2].name, "80 % held")
}

func logScore(t *testing.T, k int, s paceScore) {
	t.Logf("%3d %13.3f %16.3f %18.3f %14.3f %9.1f%%", k, s.ours, s.rivals[0], s.rivals[1], s.rivals[2], 100*s.held)
}

// The scatter in the prior was taken from this same station, so this is a check on
// real scatter and not an independent trial.
func TestPaceAtARealStation(t *testing.T) {
	all := nashua(t)
	logHeader(t, "USGS 01096500, depth to mean velocity")
	for _, k := range []int{1, 2, 3, 5, 8} {
		s := backtest(t, all, k, backtestDraws, OpenReach())
		logScore(t, k, s)
		for j, rival := range s.rivals {
			if s.ours > rival {
				t.Errorf("%d drawn: error %.3f m/s, %s does %.3f", k, s.ours, rivals[j].name, rival)
			}
			if k <= 2 && s.ours > 0.8*rival {
				t.Errorf("%d drawn: error %.3f m/s is not clearly better than %s, %.3f", k, s.ours, rivals[j].name, rival)
			}
		}
		if s.held < 0.76 || s.held > 0.86 {
			t.Errorf("%d drawn: the 80 %% range held %.1f %%", k, 100*s.held)
		}
	}
}

// Its discharges are nearly a rating's, with next to no scatter, so a straight line
// through three is hard to beat, and is not beaten.
func TestPaceInABigChannel(t *testing.T) {
	all := bigChannel(t)
	logHeader(t, "USGS gaugings of a big channel, 15 rows, width and bed made up")
	for _, k := range []int{1, 2, 3, 5, 8} {
		s := backtest(t, all, k, backtestDraws, OpenReach())
		logScore(t, k, s)
		if s.ours > s.rivals[0] || s.ours > s.rivals[1] {
			t.Errorf("%d drawn: error %.3f m/s, %s %.3f, %s %.3f", k, s.ours, rivals[0].name, s.rivals[0], rivals[1].name, s.rivals[1])
		}
		if s.held < 0.76 {
			t.Errorf("%d drawn: the 80 %% range held %.1f %%", k, 100*s.held)
		}
	}
}
