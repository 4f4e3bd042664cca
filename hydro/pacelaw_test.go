package hydro

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// drawTimings makes up timings on a run of the model's usual nature.
func drawTimings(rng *rand.Rand, k int, wild func(i int) bool) (ts []timing, sigma float64) {
	p := OpenReach()
	sigma = p.PaceScatter * (&world{rng: rng}).errorScale()
	alpha, beta := math.Log(p.PaceGuessMPS)+2*sigma*rng.NormFloat64(), 0.7+sigma*rng.NormFloat64()
	for i := range k {
		t := timing{x: 0.4 * rng.NormFloat64(), exact: 1, weed: rng.IntN(3) == 0}
		if rng.IntN(4) == 0 {
			t.exact = 0.5
		}
		times := 1 / math.Sqrt(t.exact)
		if wild(i) {
			times *= wildPace
		}
		t.y = alpha + beta*t.x + times*sigma*rng.NormFloat64()
		ts = append(ts, t)
	}
	return ts, sigma
}

func oneInTwenty(rng *rand.Rand) func(int) bool {
	return func(int) bool { return rng.Float64() < 0.05 }
}

// Derived: taking the timings in all at once is taking them in one by one, and how
// well a nature foretold them is the product of the Student t densities of each given
// those before, up to a constant.
func TestNatureIsTheLineOneByOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 8))
	p := OpenReach()
	for k := range 12 {
		ts, _ := drawTimings(rng, k, oneInTwenty(rng))
		var first float64
		for i, n := range naturesOf(&p) {
			l, product := n.prior(&p), math.Log(n.share)
			for _, x := range ts {
				u := math.Sqrt(x.exact)
				mid, scale := l.at(x.x, 1/x.exact)
				product += distuv.StudentsT{Mu: mid, Sigma: scale, Nu: 2 * l.a}.LogProb(n.plain(&x))
				l.add(u, u*x.x, u*n.plain(&x))
			}
			got, log := n.line(&p, ts)
			for what, v := range map[string][2]float64{
				"mean 0": {got.m0, l.m0}, "mean 1": {got.m1, l.m1}, "a": {got.a, l.a}, "b": {got.b, l.b},
				"v00": {got.v00, l.v00}, "v01": {got.v01, l.v01}, "v11": {got.v11, l.v11},
			} {
				near(t, what, v[0], v[1], 1e-12)
			}
			if i == 0 {
				first = log - product
			}
			near(t, "log", log-product, first, 1e-9)
		}
	}
}

// everyWay is the exact posterior of a nature: a line and the log of its weight for
// every way in which the timings may be good or wild.
func everyWay(n *nature, p *Prior, ts []timing) (lines []line, logs []float64) {
	for way := range 1 << len(ts) {
		told := append([]timing(nil), ts...)
		log := 0.0
		for i := range told {
			if way>>i&1 == 0 {
				log += math.Log(1 - p.PaceWild)
				continue
			}
			told[i].exact /= wildPace * wildPace
			log += math.Log(p.PaceWild / wildPace)
		}
		l, evidence := n.line(p, told)
		lines, logs = append(lines, l), append(logs, evidence+log)
	}
	return lines, logs
}

// Derived: to five timings a nature's line has the mean and the variance of the whole
// sum, at every depth, and its log is the sum's.
func TestNatureToldInEveryWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(40, 80))
	p := OpenReach()
	for k := 1; k <= mostTold; k++ {
		ts, _ := drawTimings(rng, k, oneInTwenty(rng))
		for _, n := range naturesOf(&p) {
			lines, logs := everyWay(&n, &p, ts)
			got, log := n.fit(&p, ts)
			for _, x := range []float64{-1, 0, 0.5} {
				var sum, mean, square float64
				for i := range lines {
					w := math.Exp(logs[i] - log)
					mid, scale := lines[i].at(x, 1)
					sum, mean = sum+w, mean+w*mid
					square += w * (mid*mid + scale*scale*got.a/(got.a-1))
				}
				mid, scale := got.at(x, 1)
				near(t, "weights", sum, 1, 1e-9)
				near(t, "mean", mid, mean, 1e-9)
				near(t, "variance", scale*scale*got.a/(got.a-1), square-mean*mean, 1e-9)
			}
		}
	}
}

// The whole answer against the whole sum over natures and ways, by gonum's exact
// Student t: how far the median and the ends of the range lie apart in logs, on average.
func TestPaceAgainstTheWholeSum(t *testing.T) {
	p := OpenReach()
	runs, _ := count()
	draws := 10 + runs/1000
	for _, c := range []struct {
		what string
		wild func(rng *rand.Rand) func(int) bool
		most float64
	}{
		{"one in twenty wild", oneInTwenty, 0.02},
		{"the first wild", func(*rand.Rand) func(int) bool { return func(i int) bool { return i == 0 } }, 0.04},
	} {
		rng := rand.New(rand.NewPCG(3, 33))
		for _, k := range []int{1, 2, 4, 7} {
			var apart tally
			for range draws {
				ts, _ := drawTimings(rng, k, c.wild(rng))
				x := 0.4 * rng.NormFloat64()
				law := lawOf(ts, false, &p)
				s := law.met(x, 0, 0)
				var lines []line
				var logs []float64
				for _, n := range naturesOf(&p) {
					ls, ws := everyWay(&n, &p, ts)
					lines, logs = append(lines, ls...), append(logs, ws...)
				}
				want := metFigure(lines, logs, x)
				apart.add(s.point(-z90, 0.1) - want.Low)
				apart.add(s.point(0, 0.5) - want.Mid)
				apart.add(s.point(z90, 0.9) - want.High)
			}
			t.Logf("%s, %d timings: apart by %.4f on average", c.what, k, apart.mean())
			if apart.mean() > c.most {
				t.Errorf("%s, %d timings: %.4f apart", c.what, k, apart.mean())
			}
		}
	}
}

// metFigure is mixedFigure with the scatter of a pace as met.
func metFigure(lines []line, logs []float64, x float64) Figure {
	noisy := make([]line, len(lines))
	for i, l := range lines {
		mid, scale := l.at(x, 1)
		noisy[i] = line{m0: mid, v00: scale * scale, a: l.a, b: l.a}
	}
	return mixedFigure(noisy, logs, 0)
}

// One timing wrong by four times, slow or fast, among so many good ones: what the
// answer moves by, against a plain line's.
func TestAnOddTimingDoesNotRuinIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 55))
	for _, k := range []int{4, 6, 10, 20} {
		for _, times := range []float64{0.25, 4} {
			var moved, plain tally
			for range 100 {
				var s []Sounding
				for range k {
					d := math.Exp(0.4 * rng.NormFloat64())
					s = append(s, Sounding{At: today, LevelM: d, DepthM: d, PaceMPS: 0.5 * math.Pow(d, 0.7) * math.Exp(0.25*rng.NormFloat64())})
				}
				spoilt := append([]Sounding(nil), s...)
				spoilt[0].PaceMPS *= times
				moved.add(movedBy(t, s, spoilt, OpenReach()))
				plain.add(movedBy(t, s, spoilt, following()))
			}
			t.Logf("%2d timings, one %g times: moved by %.3f in logs, a plain line by %.3f", k, times, moved.mean(), plain.mean())
			if moved.mean() > 0.6*plain.mean() {
				t.Errorf("%d timings, one %g times: moved by %.3f, a plain line by %.3f", k, times, moved.mean(), plain.mean())
			}
		}
	}
}

func movedBy(t *testing.T, before, after []Sounding, p Prior) float64 {
	a, b := mustFit(t, before, nil, p), mustFit(t, after, nil, p)
	return math.Log(b.paceAt(Figure{1, 1, 1}).Mid / a.paceAt(Figure{1, 1, 1}).Mid)
}

// A single line's middle and scale are its own (derived), and a mixture's have its mean
// and variance.
func TestPaceLawInOne(t *testing.T) {
	p := following()
	rng := rand.New(rand.NewPCG(6, 66))
	ts, _ := drawTimings(rng, 5, oneInTwenty(rng))
	law := lawOf(ts, false, &p)
	mid, scale := law.at(0.3, 1)
	wantMid, wantScale := law.line[0].at(0.3, 1)
	near(t, "middle", mid, wantMid, 1e-12)
	near(t, "scale", scale, wantScale, 1e-12)
	p = OpenReach()
	law = lawOf(ts, true, &p)
	var mean, square float64
	for i := range law.n {
		m, s := law.line[i].at(0.3, 0)
		mean += law.share[i] * m
		square += law.share[i] * (m*m + s*s*law.a/(law.a-1))
	}
	mid, scale = law.at(0.3, 0)
	near(t, "mean", mid, mean, 1e-12)
	near(t, "variance", scale*scale*law.a/(law.a-1), square-mean*mean, 1e-12)
}
