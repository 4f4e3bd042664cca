package hydro

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"
)

// nashua reads US Geological Survey field measurements, station 01096500, first 150
// rows by date. Mean depth stands for level and depth both (a bed at 0), and mean
// velocity for pace.
func nashua(t *testing.T) []Sounding {
	t.Helper()
	f, err := os.Open("../../shared/data/usgs_01096500_nashua_to_row150.csv")
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("SKIPPED: the open data are not beside the repository, so nothing was checked against a real river: ", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var s []Sounding
	for _, row := range rows[1:] {
		at, err1 := time.Parse(time.DateOnly, row[1])
		depth, err2 := strconv.ParseFloat(row[3], 64)
		pace, err3 := strconv.ParseFloat(row[4], 64)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		s = append(s, Sounding{At: at, LevelM: depth, DepthM: depth, PaceMPS: pace, TimedS: 40})
	}
	return s
}

// guessers are ways to say a pace from earlier soundings.
var guessers = []struct {
	name string
	pace func(t *testing.T, earlier []Sounding, now Sounding) float64
}{
	{"this package", func(t *testing.T, s []Sounding, now Sounding) float64 {
		r, err := Fit(s, nil, now.At, OpenReach())
		if err != nil {
			t.Fatal(err)
		}
		return paceAt(t, r, now.LevelM).Mid
	}},
	{"nearest depth's", func(_ *testing.T, s []Sounding, now Sounding) float64 {
		best := s[0]
		for _, x := range s {
			if math.Abs(x.DepthM-now.DepthM) < math.Abs(best.DepthM-now.DepthM) {
				best = x
			}
		}
		return best.PaceMPS
	}},
	{"same as last", func(_ *testing.T, s []Sounding, _ Sounding) float64 {
		last := s[0]
		for _, x := range s {
			if x.At.After(last.At) {
				last = x
			}
		}
		return last.PaceMPS
	}},
}

// The scatter in the prior was taken from this same station, so this is a check on
// real scatter and not an independent trial.
func TestPaceAtARealStation(t *testing.T) {
	all := nashua(t)
	const draws = 200
	rng := rand.New(rand.NewPCG(1096500, 150))
	t.Logf("mean absolute error of pace, m/s, %d draws; USGS 01096500", draws)
	for _, k := range []int{1, 3, 8} {
		sum := make([]float64, len(guessers))
		var held int
		for range draws {
			earlier, now := drawEarlier(rng, all, k)
			for i, g := range guessers {
				sum[i] += math.Abs(g.pace(t, earlier, now)-now.PaceMPS) / draws
			}
			r, err := Fit(earlier, nil, now.At, OpenReach())
			if err != nil {
				t.Fatal(err)
			}
			if f := paceAt(t, r, now.LevelM); f.Low <= now.PaceMPS && now.PaceMPS <= f.High {
				held++
			}
		}
		for i, g := range guessers {
			t.Logf("%d earlier: %-16s %.3f", k, g.name, sum[i])
		}
		t.Logf("%d earlier: the 80 %% range held %.0f %%", k, 100*float64(held)/draws)
		if sum[0] > sum[1] {
			t.Errorf("%d earlier: error %.3f m/s, the nearest depth's reading does %.3f", k, sum[0], sum[1])
		}
	}
}

// drawEarlier draws a measurement and k different ones from before it.
func drawEarlier(rng *rand.Rand, all []Sounding, k int) (earlier []Sounding, now Sounding) {
	at := k + rng.IntN(len(all)-k)
	for _, i := range rng.Perm(at)[:k] {
		earlier = append(earlier, all[i])
	}
	return earlier, all[at]
}
