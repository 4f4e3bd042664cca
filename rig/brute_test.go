package rig

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// The rule of Shot's own comment, by plain loops over every count of every
// choice of sizes. It shares no code with the search.

// bruteSize is a size a kit holds: millionths of a gram of lead, and how many.
type bruteSize struct {
	g    float64
	pull int
	held int
}

func bruteSizes(m Material, grams []float64, held []int) []bruteSize {
	density := map[Material]float64{Lead: 11.34, Tin: 7.29, Tungsten: 19.25}[m] // handbook values
	var out []bruteSize
	for i, g := range grams {
		pull := g * (1 - 1/density) / (1 - 1/11.34)
		out = append(out, bruteSize{g, int(math.Round(pull * 1e6)), held[i]})
	}
	return out
}

// bruteCase is a float to load.
type bruteCase struct {
	capacity        int
	style           Style
	low, high, bulk float64 // bounds of droppers and of a bulk's shot
	shot, olivettes []bruteSize
}

// score is what loads are compared by: beyond right, sizes, pieces, off. Its
// first is -1 where there is no load.
type score [4]int

func (a score) worse(b score) bool {
	if a[0] < 0 || b[0] < 0 {
		return a[0] < 0 && b[0] >= 0
	}
	for i := range a {
		if a[i] != b[i] {
			return a[i] > b[i]
		}
	}
	return false
}

func bruteScore(capacity, sizes, pieces, pull int) score {
	short := capacity - pull
	right := max(capacity/50, 50000)
	off := short
	if off < 0 {
		off = -off
	}
	return score{max(short-right, 0), sizes, pieces, off}
}

// trial is a load: n small, e extra and m main ones.
type trial struct {
	s, x, h bruteSize // h: the heaviest
	n, e, m int
}

func (t trial) pull() int { return t.n*t.s.pull + t.e*t.x.pull + t.m*t.h.pull }

// allowed is what the comment on Shot says of each layout. set is a style, and
// "any" or "any olivette" for the last resort; olivette says what h is.
func (c bruteCase) allowed(set string, t trial, olivette bool) bool {
	dropper := func(b bruteSize) bool { return b.g >= c.low-1e-9 && b.g <= c.high+1e-9 }
	bulky := func(b bruteSize) bool { return c.bulk == 0 || b.g <= c.bulk+1e-9 }
	string4 := func(b bruteSize) bool { return b.g >= c.low-1e-9 && b.g <= 0.21+1e-9 }
	one, mid := t.m == 0, t.e > 0
	atHalf := 2*(t.m*t.h.pull+t.e*t.x.pull) >= c.capacity-1 && t.m*t.h.pull+t.e*t.x.pull <= c.capacity
	full := func(limit int) bool {
		return t.pull()+t.s.pull > c.capacity+10000 || t.n+t.e+t.m+1 > limit || t.n+1 > t.s.held
	}
	fivePercent := func(n int) bool { return n*t.s.pull >= c.capacity/20 }
	switch set {
	case "any olivette":
		return olivette && !one && t.m == 1 && t.n >= 2 && t.e <= 3 && full(32)
	case "any":
		return !olivette && t.n >= 1 && t.m <= 16 && t.e <= 3
	}
	if t.n+t.e+t.m > 16 {
		return false
	}
	droppers := 3
	if c.style == BulkSpread {
		droppers = 4
	}
	switch set {
	case "olivette":
		return olivette && t.m == 1 && dropper(t.s) && t.n >= droppers+2 && fivePercent(t.n-2) &&
			(!mid || bulky(t.x) && t.e <= 2) && atHalf && full(16)
	case "bulk", "double", "spread":
		if olivette {
			return false
		}
		if one {
			return set != "spread" && dropper(t.s) && t.n >= 6
		}
		return dropper(t.s) && t.n >= droppers && fivePercent(t.n) && bulky(t.h) && (set != "double" || t.m >= 2) &&
			(!mid || bulky(t.x) && t.e <= 2) && atHalf
	case "strung":
		if one {
			return !olivette && string4(t.s) && t.n >= 3
		}
		return !olivette && dropper(t.s) && string4(t.h) && t.m >= 2 && (!mid || bulky(t.x) && t.e <= 2) && atHalf
	case "tapering":
		return !olivette && !one && string4(t.s) && string4(t.h) && t.n >= 2 && t.m >= 2 &&
			(!mid || string4(t.x) && t.e >= 2 && t.e <= 4) && atHalf
	case "float":
		lock := t.m * t.h.pull
		return !olivette && !one && dropper(t.s) && bulky(t.h) && t.m >= 2 && (mid || t.n >= 2) && (!mid || dropper(t.x) && t.e <= 6) &&
			2*lock >= c.capacity-1 && lock <= c.capacity*3/4 && (mid || fivePercent(t.n))
	}
	panic(set)
}

// best is the best load of a set.
func (c bruteCase) best(set string) score {
	best := score{-1}
	offer := func(t trial, sizes int, olivette bool) {
		if t.n+t.e+t.m > 32 || t.pull() > c.capacity+10000 || !c.allowed(set, t, olivette) {
			return
		}
		if got := bruteScore(c.capacity, sizes, t.n+t.e+t.m, t.pull()); best.worse(got) {
			best = got
		}
	}
	with := func(h bruteSize, olivette bool) {
		for m := 1; m <= min(16, h.held); m++ {
			for _, s := range c.shot {
				for n := 1; n <= min(32, s.held) && s.pull < h.pull; n++ {
					offer(trial{s: s, h: h, n: n, m: m}, 2, olivette)
					for _, x := range c.shot {
						for e := 1; e <= min(6, x.held) && x.pull > s.pull && x.pull < h.pull; e++ {
							offer(trial{s, x, h, n, e, m}, 3, olivette)
						}
					}
				}
			}
		}
	}
	for _, s := range c.shot {
		for n := 1; n <= min(32, s.held); n++ {
			offer(trial{s: s, n: n}, 1, false)
		}
		with(s, false)
	}
	for _, h := range c.olivettes {
		with(h, true)
	}
	return best
}

// answer tries the sets in the order of the comment on Shot.
func (c bruteCase) answer() score {
	sets := map[Style][]string{
		OlivetteBulk: {"olivette", "bulk", "any olivette", "any"}, ShotBulk: {"bulk", "any"}, DoubleBulk: {"double", "any"},
		BulkSpread: {"olivette", "spread", "any olivette", "any"}, StrungOut: {"strung", "any"}, Tapering: {"tapering", "any"},
		AtFloat: {"float", "any"},
	}[c.style]
	best := score{-1}
	for _, set := range sets {
		got := c.best(set)
		if got[0] >= 0 && (best[0] < 0 || got[0] < best[0]) {
			best = got
		}
		if best[0] == 0 {
			break
		}
	}
	return best
}

// randomKit is a small one, up to four sizes of shot and three olivettes, in the
// terms of Shot and in those of the brute force.
func randomKit(r *rand.Rand, held bool) (Kit, Layout, bruteCase) {
	count := func() int { return 1 << 20 }
	k := Kit{Chart: Chart{Name: "made up"}, Held: map[string]int{}}
	k.ShotMaterial, k.OlivetteMaterial = []Material{Lead, Tin, Tungsten}[r.IntN(3)], []Material{Lead, Tungsten}[r.IntN(2)]
	if held {
		count = func() int { return r.IntN(20) }
	}
	var grams, ol []float64
	var nGrams, nOl []int
	g := 0.02 + 0.05*r.Float64()
	for i := range 1 + r.IntN(4) {
		grams, nGrams = append(grams, math.Round(g*1000)/1000), append(nGrams, count())
		k.Chart.Sizes = append([]ShotSize{{Name: fmt.Sprint(9 - i), MassG: grams[i]}}, k.Chart.Sizes...)
		if held {
			k.Held[fmt.Sprint(9-i)] = nGrams[i]
		}
		g *= 1.2 + r.Float64()
	}
	for _, quarters := range r.Perm(16)[:r.IntN(4)] {
		ol, nOl = append(ol, float64(1+quarters)/4), append(nOl, count()%3)
		if !held {
			nOl[len(nOl)-1] = 1
		} else {
			k.Held[gramWords(ol[len(ol)-1])] = nOl[len(nOl)-1]
		}
	}
	k.OlivettesG = ol
	l := Layout{Style: Styles()[r.IntN(len(Styles()))], SetM: 6, HookLengthM: 0.2, BulkM: 2, DropperLowG: 0.02, DropperHighG: 0.03 + 0.25*r.Float64()}
	if r.IntN(3) == 0 {
		l.BulkHighG = 0.1 + 0.4*r.Float64()
	}
	c := bruteCase{style: l.Style, low: l.DropperLowG, high: l.DropperHighG, bulk: l.BulkHighG}
	c.shot, c.olivettes = bruteSizes(k.ShotMaterial, grams, nGrams), bruteSizes(k.OlivetteMaterial, ol, nOl)
	return k, l, c
}

// scoreOf adds up a load as Shot gives it.
func scoreOf(ws []Weight, capacity int) score {
	sizes := map[string]bool{}
	pieces, pull := 0, 0
	for _, w := range ws {
		sizes[w.Size] = true
		pieces += w.Count
		pull += w.Count * int(math.Round(w.PullEachG*1e6))
	}
	return bruteScore(capacity, len(sizes), pieces, pull)
}

func TestShottingAgainstBruteForce(t *testing.T) {
	for name, held := range map[string]bool{"plenty": false, "held": true} {
		t.Run(name, func(t *testing.T) { againstBrute(t, held) })
	}
}

func againstBrute(t *testing.T, held bool) {
	n := 500
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 10000
	}
	r := rand.New(rand.NewPCG(1, 2))
	solved, right, better := 0, 0, 0
	for i := range n {
		k, l, c := randomKit(r, held)
		capacityG := math.Round((0.3+4*r.Float64())*1000) / 1000
		c.capacity = int(math.Round(capacityG * 1e6))
		want := c.answer()
		ws, err := Shot(capacityG, l, k)
		if (err == nil) != (want[0] >= 0) {
			t.Fatalf("kit %d: %v, brute force %v: %g g, %+v, %+v", i, err, want, capacityG, l, k)
		}
		if err != nil {
			continue
		}
		got := scoreOf(ws, c.capacity)
		if got.worse(want) {
			t.Fatalf("kit %d: %v, brute force %v: %g g, %+v, %+v: %v", i, got, want, capacityG, l, k, ws)
		}
		if err := checkHeld(ws, capacityG, k); err != nil {
			t.Fatalf("kit %d: %v", i, err)
		}
		solved++
		if got[0] == 0 {
			right++
		}
		if want.worse(got) {
			better++
		}
	}
	t.Logf("%d kits, %d with a load, %d of them right; %d not worse, %d better than brute force", n, solved, right, solved, better)
	if better > 0 {
		t.Errorf("%d loads are better than the comment allows", better)
	}
	if right < n/4 {
		t.Errorf("only %d of %d kits had anything to compare", right, n)
	}
}

// checkHeld holds a load to the float and the kit.
func checkHeld(ws []Weight, capacityG float64, k Kit) error {
	used, pullG := map[string]int{}, 0.0
	for _, w := range ws {
		used[w.Size] += w.Count
		pullG += float64(w.Count) * w.PullEachG
	}
	if pullG > capacityG+0.01+1e-6 {
		return fmt.Errorf("%.4f g on a float of %.4f", pullG, capacityG)
	}
	for name, n := range k.Held {
		label := name
		if _, err := fmt.Sscanf(name, "%d", new(int)); err == nil && name[len(name)-1] != 'g' {
			label = "No." + name
		}
		if used[label] > n {
			return fmt.Errorf("%d %s used of %d held", used[label], label, n)
		}
	}
	return nil
}
