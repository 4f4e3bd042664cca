package rig

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// avon is a 4 g Avon of common practice: an olivette between two stops, four
// droppers.
func avon() Rig {
	return Rig{
		Pattern: "avon-short", Marking: "4 g", Name: "4 g short-bodied Avon", SetM: 1.80, HoldBack: 0.3, HookSize: 14,
		HookLengthM: 0.15, HookLengthMM: 0.14, MainLineMM: 0.2, MainLine: "floating",
		Weights: []Weight{
			{Kind: ShotKind, Size: "No.8", Count: 4, AtM: 0.2, ToM: 0.3, Role: Dropper},
			{Kind: ShotKind, Size: "No.8", Count: 1, AtM: 0.6, ToM: 0.6, Role: Stop},
			{Kind: Olivette, Size: "3 g", Count: 1, AtM: 0.6, ToM: 0.6, Role: Bulk},
			{Kind: ShotKind, Size: "No.8", Count: 1, AtM: 0.6, ToM: 0.6, Role: Stop},
		},
	}
}

// shotted is a float with a bulk of shot.
func shotted() Rig {
	r := avon()
	r.Weights = []Weight{
		{Kind: ShotKind, Size: "No.8", Count: 5, AtM: 0.2, ToM: 0.4, Role: Dropper},
		{Kind: ShotKind, Size: "No.1", Count: 8, AtM: 0.7, ToM: 0.7, Role: Bulk},
	}
	return r
}

// altered is a rig with weights and all else of its own, changed by f.
func altered(r Rig, f func(*Rig)) Rig {
	r.Weights = slices.Clone(r.Weights)
	f(&r)
	return r
}

func TestDiffWords(t *testing.T) {
	for name, c := range map[string]struct {
		from  Rig
		to    func(*Rig)
		want  string
		hands int
	}{
		"nothing": {avon(), func(*Rig) {}, "", 0},
		"up a size": {shotted(), func(r *Rig) {
			r.Marking, r.Name, r.SetM = "5 g", "5 g short-bodied Avon", 2.1
			r.Weights[1].Count = 11
			r.Weights = append(r.Weights, Weight{Kind: ShotKind, Size: "No.8", Count: 2, AtM: 0.7, ToM: 0.7, Role: Bulk})
		}, "5 g float for the 4 g; add three No.1 and two No.8 to the bulk, 70 cm above the hook; set it 30 cm deeper, at 2.10 m", 7},
		"droppers up": {shotted(), func(r *Rig) { r.Weights[0].AtM, r.Weights[0].ToM = 0.4, 0.6 },
			"droppers up 20 cm, to between 40 cm and 60 cm above the hook", 1},
		"too far to slide": {shotted(), func(r *Rig) { r.Weights[1].AtM, r.Weights[1].ToM = 1.05, 1.05 },
			"move the bulk to 1.05 m above the hook", 8},
		"bulk with its stops": {avon(), func(r *Rig) {
			for i := 1; i < 4; i++ {
				r.Weights[i].AtM, r.Weights[i].ToM = 0.7, 0.7
			}
		}, "bulk with stops up 10 cm, to 70 cm above the hook", 1},
		"bulk with a dropper": {avon(), func(r *Rig) {
			r.Weights[0].Count, r.Weights[0].ToM = 3, 0.25
			r.Weights = append(r.Weights, r.Weights[3])
			copy(r.Weights[2:], r.Weights[1:4])
			r.Weights[1] = Weight{Kind: ShotKind, Size: "No.8", Count: 1, AtM: 0.4, ToM: 0.4, Role: Dropper}
			for i := 2; i < 5; i++ {
				r.Weights[i].AtM, r.Weights[i].ToM = 0.7, 0.7
			}
		}, "bulk with stops and one No.8 of the droppers up 10 cm, to 70 cm above the hook", 1},
		"a dropper to the bulk": {shotted(), func(r *Rig) {
			r.Weights[0].Count, r.Weights[0].ToM = 4, 0.35
			r.Weights = append(r.Weights, Weight{Kind: ShotKind, Size: "No.8", Count: 1, AtM: 0.7, ToM: 0.7, Role: Bulk})
		}, "move one No.8 from the droppers to the bulk, 70 cm above the hook", 1},
		"another olivette": {avon(), func(r *Rig) { r.Weights[2].Size = "4 g" },
			"take the 3 g olivette off the bulk, the shot below it opened first; thread the 4 g olivette on for the bulk, 60 cm above the hook; " +
				"set four No.8 back where they had been, between 20 cm and 30 cm above the hook; set one No.8 back where it had been, 60 cm above the hook", 7},
		"a longer hook length carries the weights up": {shotted(), func(r *Rig) {
			r.HookLengthM, r.SetM = 0.25, 1.9
			for i := range r.Weights {
				r.Weights[i].AtM, r.Weights[i].ToM = r.Weights[i].AtM+0.1, r.Weights[i].ToM+0.1
			}
		}, "hook length of 25 cm of 0.14 mm for the 15 cm of 0.14 mm", 1},
		"a barbless hook": {shotted(), func(r *Rig) { r.Barb, r.HookLengthOf = Barbless, HookNylon }, "14 barbless hook for the 14", 1},
		"hook length and hook": {shotted(), func(r *Rig) { r.HookLengthOf, r.HookSize = Fluorocarbon, 18 },
			"hook length of 15 cm of 0.14 mm fluorocarbon with an 18 hook for the 15 cm of 0.14 mm with a 14 hook", 1},
		"hook, bait and holding back": {altered(shotted(), func(r *Rig) { r.Bait = "hemp" }), func(r *Rig) { r.HookSize, r.Bait, r.HoldBack = 18, "caster", 0 },
			"18 hook for the 14; caster for the hemp; hold back not at all, not about a third", 1},
	} {
		got := Diff(c.from, altered(c.from, c.to))
		if s := strings.Join(got.Words(), "; "); s != c.want || got.Hands() != c.hands {
			t.Errorf("%s: %d hands, want %d\n got %s\nwant %s", name, got.Hands(), c.hands, s, c.want)
		}
	}
}

func TestNewMainLineSetsEverythingAgain(t *testing.T) {
	to := altered(avon(), func(r *Rig) { r.MainLineMM = 0.22 })
	got := Diff(avon(), to)
	// One for the line, two for the olivette, one for each of six shot.
	if got.Hands() != 9 {
		t.Errorf("%d hands: %q", got.Hands(), got.Words())
	}
}

func TestLockGoesWithTheFloat(t *testing.T) {
	lock := func(setM float64) Rig {
		return Rig{SetM: setM, Weights: []Weight{{Kind: ShotKind, Size: "AAA", Count: 2, AtM: setM, ToM: setM, Role: Lock}}}
	}
	if got := Diff(lock(1.5), lock(2)); len(got) != 1 || got[0].Kind != SetDepth || got.Hands() != 1 {
		t.Errorf("%q", got.Words())
	}
}

// replay makes the moves on a rig's weights as they are made on the bank, and says
// what is wrong with them. What it leaves is laid out from the loop up.
func replay(a, b Rig, ms Moves) (line []Piece, problem string) {
	for _, p := range laidOut(a).line {
		p.Piece.FromM = fromLoop(p.FromM, a)
		line = append(line, p.Piece)
	}
	take := func(p Piece) bool {
		i := slices.IndexFunc(line, func(q Piece) bool {
			return q.Kind == p.Kind && q.Size == p.Size && q.Material == p.Material && q.FromM == fromLoop(p.FromM, a)
		})
		if i < 0 {
			return false
		}
		line = slices.Delete(line, i, i+1)
		return true
	}
	put := func(p Piece) {
		p.FromM = fromLoop(p.ToM, b)
		line = append(line, p)
		slices.SortStableFunc(line, func(x, y Piece) int { return int(math.Copysign(1, x.FromM-y.FromM+1e-12)) })
	}
	for _, kind := range []MoveKind{Reset, TakeOff, Slide, Thread} {
		for _, m := range ms {
			if m.Kind != kind || m.Role == Lock {
				continue
			}
			for _, p := range m.Pieces {
				if kind == Thread {
					for _, q := range line {
						if q.FromM < fromLoop(p.ToM, b)-1e-9 {
							return nil, "an olivette threaded past " + q.Size
						}
					}
					continue
				}
				if !take(p) {
					return nil, string(kind) + " of a " + p.Size + " that is not there"
				}
			}
			if kind == Slide && passes(line, m, a, b) {
				return nil, "a slide past another weight"
			}
			if kind == Slide || kind == Thread {
				for _, p := range m.Pieces {
					put(p)
				}
			}
		}
	}
	for _, m := range ms {
		for _, p := range m.Pieces {
			if m.Kind == Add || m.Kind == Reset {
				if m.ToRole != Lock {
					put(p)
				}
			}
		}
	}
	return line, ""
}

// passes says whether a group that slides goes past any of the other weights.
func passes(others []Piece, m Move, a, b Rig) bool {
	return slices.ContainsFunc(m.Pieces, func(p Piece) bool {
		was, now := fromLoop(p.FromM, a), fromLoop(p.ToM, b)
		return slices.ContainsFunc(others, func(o Piece) bool {
			return o.FromM > min(was, now)+1e-9 && o.FromM < max(was, now)-1e-9
		})
	})
}

func fromLoop(m float64, r Rig) float64 { return math.Round((m-r.HookLengthM)/placeM) * placeM }

// counted is how many of each weight lie at each place.
func tally(ps []Piece) map[Piece]int {
	out := map[Piece]int{}
	for _, p := range ps {
		out[Piece{Kind: p.Kind, Size: p.Size, Material: p.Material, FromM: p.FromM}]++
	}
	return out
}

func checkDiff(a, b Rig) string {
	ms := Diff(a, b)
	line, problem := replay(a, b, ms)
	if problem != "" {
		return problem
	}
	var want []Piece
	for _, p := range laidOut(b).line {
		p.Piece.FromM = fromLoop(p.FromM, b)
		want = append(want, p.Piece)
	}
	got, is := tally(line), tally(want)
	for k, n := range is {
		if got[k] != n {
			return "does not come to the weights of the second"
		}
	}
	if len(line) != len(want) {
		return "leaves weights on"
	}
	rebuild := len(laidOut(a).all()) + len(laidOut(b).all())
	for _, m := range ms {
		if len(m.Pieces) == 0 {
			rebuild += m.Hands
		}
		if m.Words() == "" || m.Hands < 0 {
			return "a move with no words"
		}
	}
	if ms.Hands() > rebuild {
		return "is more than to strip and rebuild"
	}
	return ""
}

func TestDiffOfSuggestions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Rig {
			w := Water{DepthM: rapid.Float64Range(0.5, 4).Draw(t, name+" depth"), PaceMPS: rapid.Float64Range(0, 1).Draw(t, name+" pace")}
			rs, err := Suggest(w, Aim{}, StandardKit())
			if err != nil {
				t.Skip(err)
			}
			return rs[rapid.IntRange(0, len(rs)-1).Draw(t, name+" rig")]
		}
		a, b := draw("from"), draw("to")
		if ms := Diff(a, a); len(ms) != 0 {
			t.Fatalf("%s to itself: %q", a.Name, ms.Words())
		}
		if bad := checkDiff(a, b); bad != "" {
			t.Fatalf("%s to %s %s: %q", a.Name, b.Name, bad, Diff(a, b).Words())
		}
	})
}

// random lays out up to n weights of a few sizes, low on the line.
func random(r *rand.Rand, n int) Rig {
	var out Rig
	sizes := []Weight{
		{Kind: ShotKind, Size: "No.8", EachG: 0.06}, {Kind: ShotKind, Size: "No.8", EachG: 0.06}, {Kind: ShotKind, Size: "No.4", EachG: 0.2},
		{Kind: Olivette, Size: "2 g", EachG: 2}, {Kind: Olivette, Size: "3 g", EachG: 3},
	}
	for range r.IntN(n + 1) {
		w := sizes[r.IntN(len(sizes))]
		w.Count, w.AtM, w.Role = 1, float64(r.IntN(10))/20, Bulk
		w.ToM = w.AtM
		out.Weights = append(out.Weights, w)
	}
	return out
}

func TestDiffAgainstBruteForce(t *testing.T) {
	n := 500
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 15000
	}
	r := rand.New(rand.NewPCG(3, 4))
	hands := 0
	for i := range n {
		a, b := random(r, 5), random(r, 5)
		if r.IntN(3) > 0 { // near one another, for groups that slide and slide apart
			b = nudged(r, a)
		}
		got, want := Diff(a, b).Hands(), leastHands(a, b)
		if got != want {
			t.Fatalf("pair %d: %d hands, brute force %d\nfrom %+v\nto   %+v\n%q", i, got, want, a.Weights, b.Weights, Diff(a, b).Words())
		}
		if bad := checkDiff(a, b); bad != "" {
			t.Fatalf("pair %d %s: %q", i, bad, Diff(a, b).Words())
		}
		hands += got
	}
	if hands < n {
		t.Errorf("only %d hand movements in %d pairs: too easy to prove anything", hands, n)
	}
}

// nudged is a rig with groups of its weights slid, one perhaps gone and one new.
func nudged(r *rand.Rand, a Rig) Rig {
	b := altered(a, func(*Rig) {})
	by := []int{0, 1, 2, 6, 7, -1, -2}
	d := by[r.IntN(len(by))]
	for i := range b.Weights {
		if r.IntN(3) == 0 {
			d = by[r.IntN(len(by))]
		}
		b.Weights[i].AtM = max(math.Round(b.Weights[i].AtM*20)+float64(d), 0) / 20
		b.Weights[i].ToM = b.Weights[i].AtM
	}
	if len(b.Weights) > 0 && r.IntN(3) == 0 {
		b.Weights = slices.Delete(b.Weights, 0, 1)
	}
	if len(b.Weights) < 5 && r.IntN(3) == 0 {
		b.Weights = append(b.Weights, random(r, 1).Weights...)
	}
	return b
}

func FuzzDiff(f *testing.F) {
	f.Add(0.2, 0.3, 4, 0.6, 0.6, 1, 0.15, 0.2, 1.8, true)
	f.Add(math.NaN(), math.Inf(1), -4, 1e300, -1.0, 1<<40, math.NaN(), math.Inf(-1), math.NaN(), false)
	f.Fuzz(func(t *testing.T, at1, to1 float64, n1 int, at2, to2 float64, n2 int, loop1, loop2, setM float64, swap bool) {
		kind := ShotKind
		if swap {
			kind = Olivette
		}
		a := Rig{HookLengthM: loop1, SetM: setM, MainLineMM: setM, Weights: []Weight{
			{Kind: ShotKind, Size: "No.8", Count: n1, AtM: at1, ToM: to1, Role: Dropper}, {Kind: kind, Size: "2 g", Count: n2, AtM: at2, ToM: to2, Role: Bulk}}}
		b := Rig{HookLengthM: loop2, SetM: setM, MainLineMM: setM, Weights: []Weight{
			{Kind: kind, Size: "2 g", Count: n1, AtM: at1, ToM: to1, Role: Bulk}, {Kind: ShotKind, Size: "No.8", Count: n2, AtM: to2, ToM: at2, Role: Lock}}}
		if ms := Diff(a, a); len(ms) != 0 {
			t.Fatalf("to itself: %q", ms.Words())
		}
		for _, m := range Diff(a, b) {
			if m.Words() == "" || m.Hands < 0 || len(m.Pieces) > 0 && m.Count != len(m.Pieces) {
				t.Fatalf("%+v", m)
			}
		}
	})
}
