package guide

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
)

// A guide's code carries the rig itself, not what was asked for it: so it gives the same
// rig, to the gram, when rigs are one day reckoned otherwise. Its first letter is its
// version. A version's lists below are only ever added to, at the end, and a version
// that has been given out is always read.
const (
	version1 = "1"
	// longestCode is longer than that of any rig.
	longestCode = 260
)

var (
	codePatterns  = []string{"avon-long", "avon-short", "avon-slim", "balsa", "bolognese", "flat", "stick", "stubby", "waggler"}
	codeSizes     = []string{"SSG", "AAA", "AB", "BB", "1", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13"}
	codeCharts    = []string{"retail", "counts", "continental"}
	codeMaterials = []rig.Material{rig.Tin, rig.Tungsten, rig.Lead}
	codeRoles     = []rig.Role{rig.Dropper, rig.Bulk, rig.Stop, rig.Spare, rig.Strung, rig.Lock}
	codeLines     = []rig.LineKind{"", rig.HookNylon, rig.ReelNylon, rig.Fluorocarbon, rig.Braid}
	codeLies      = []string{"floating", "sinking"}
	codeBarbs     = []rig.Barb{"", rig.Barbed, rig.Barbless}
	codeWinds     = []rig.Wind{"", rig.WindFacing, rig.WindBehind, rig.WindUpstream, rig.WindDownstream}
	codeBaits     = []string{"single maggot", "double maggot", "maggot bunch", "caster", "hemp", "pellet", "redworm", "sweetcorn", "bread flake", "luncheon meat"}
)

const (
	markM      = 0.05 // weights stand on whole marks
	mostShots  = 32   // in one place
	mostWeight = 31   // kinds of weight in their places
	perG       = 1000
)

// weightCode is a weight in whole numbers.
type weightCode struct {
	olivette             bool
	size                 int // of a list, or hundredths of a gram
	material, less, role int // less: one less than how many
	at, to               int // marks
	odd                  bool
	mg                   int // where it is odd: it weighs something else than its chart says
	weighed              bool
}

func (w *weightCode) on(b *bits) {
	b.yes(&w.olivette)
	if w.olivette {
		b.n(&w.size, 12)
	} else {
		b.n(&w.size, 4)
	}
	b.n(&w.material, 2)
	b.n(&w.less, 5)
	b.n(&w.role, 3)
	b.n(&w.at, 7)
	spread := w.to != w.at
	b.yes(&spread)
	if spread {
		b.n(&w.to, 7)
	} else {
		w.to = w.at
	}
	b.yes(&w.odd)
	if w.odd {
		b.n(&w.mg, 14)
		b.yes(&w.weighed)
	}
}

// rigCode is a set-up in whole numbers: lengths in centimetres, diameters in hundredths
// of a millimetre, paces in centimetres a second, rods in tenths of a foot.
type rigCode struct {
	pattern, chart int
	inShot         bool
	marks, of      int // so many of a size
	capacity       int // or hundredths of a gram
	count          int
	weights        []weightCode

	hookLength, hookLengthMM, hookLengthOf int
	mainMM, mainOf, lies                   int
	readyTied                              bool
	barb, hook, other, bait                int
	rodLow, rodHigh                        int
	set, hold, settle                      int

	depth, pace, boil, out int
	force, wind            int
	snaggy, junior, high   bool
	hasLevel, below        bool
	level                  int
}

// on reads or writes all of it, in the order of version 1.
func (c *rigCode) on(b *bits) {
	b.n(&c.pattern, 5)
	b.n(&c.chart, 2)
	b.yes(&c.inShot)
	if c.inShot {
		b.n(&c.marks, 4)
		b.n(&c.of, 4)
	} else {
		b.n(&c.capacity, 12)
	}
	b.n(&c.count, 5)
	if b.reads {
		c.weights = make([]weightCode, c.count)
	}
	for i := range c.weights {
		c.weights[i].on(b)
	}
	for _, f := range []struct {
		v     *int
		width int
	}{
		{&c.hookLength, 8}, {&c.hookLengthMM, 6}, {&c.hookLengthOf, 3}, {&c.mainMM, 6}, {&c.mainOf, 3}, {&c.lies, 1},
		{&c.barb, 2}, {&c.hook, 5}, {&c.other, 5}, {&c.bait, 5}, {&c.rodLow, 9}, {&c.rodHigh, 9}, {&c.set, 11}, {&c.hold, 7}, {&c.settle, 7},
		{&c.depth, 10}, {&c.pace, 8}, {&c.boil, 2}, {&c.out, 6}, {&c.force, 4}, {&c.wind, 3},
	} {
		b.n(f.v, f.width)
	}
	for _, f := range []*bool{&c.readyTied, &c.snaggy, &c.junior, &c.high, &c.hasLevel} {
		b.yes(f)
	}
	if c.hasLevel {
		b.yes(&c.below)
		b.n(&c.level, 12)
	}
}

// Code is a set-up as a short text for an address, of figures and capitals alone. It
// fails with Invalid for what no code can carry.
func (s Setup) Code() (string, error) {
	c, err := s.numbers()
	if err != nil {
		return "", err
	}
	b := &bits{}
	c.on(b)
	if b.bad {
		return "", club.Faultf(club.Invalid, "This rig is outside what a guide can show.")
	}
	return b.text(version1), nil
}

// Parse reads a code, however it was typed. It fails with Invalid for what is none.
func Parse(code string) (Setup, error) {
	code = tidy(code)
	if len(code) > 0 && code[:1] != version1 && strings.Contains(letters, code[:1]) {
		return Setup{}, club.Faultf(club.Invalid, "This guide's code is newer than this program, or it is no code at all. Open the whole link again.")
	}
	b, err := unlettered(code)
	if err != nil {
		return Setup{}, err
	}
	var c rigCode
	c.on(b)
	if b.bad || len(b.all)-b.at >= perLetter {
		return Setup{}, errCode()
	}
	s, ok := c.setup()
	if !ok {
		return Setup{}, errCode()
	}
	return s, nil
}

// index is where a thing is in a list; noted as lacking where it is not.
func index[T comparable](list []T, v T, lacks *string) int {
	i := slices.Index(list, v)
	if i < 0 {
		*lacks = fmt.Sprint(v)
	}
	return i
}

func hundredths(v float64) int { return int(math.Round(v * 100)) }

func (s Setup) numbers() (rigCode, error) {
	r, w, lacks := s.Rig, s.Water, ""
	c := rigCode{
		pattern: index(codePatterns, r.Pattern, &lacks), count: len(r.Weights),
		hookLength: hundredths(r.HookLengthM), hookLengthMM: hundredths(r.HookLengthMM), hookLengthOf: index(codeLines, r.HookLengthOf, &lacks),
		mainMM: hundredths(r.MainLineMM), mainOf: index(codeLines, r.MainLineOf, &lacks), lies: index(codeLies, r.MainLine, &lacks),
		readyTied: r.ReadyTied, barb: index(codeBarbs, r.Barb, &lacks), bait: index(codeBaits, r.Bait, &lacks),
		rodLow: int(math.Round(r.RodFtLow * 10)), rodHigh: int(math.Round(r.RodFtHigh * 10)),
		set: hundredths(r.SetM), hold: hundredths(r.HoldBack), settle: min(127, int(math.Round(r.SettleS))),
		depth: hundredths(w.DepthM), pace: hundredths(w.PaceMPS), boil: w.Boil, out: int(math.Round(w.DistanceM)),
		force: w.WindForce, wind: index(codeWinds, w.Wind, &lacks), snaggy: w.Snaggy, junior: s.Junior, high: s.High,
	}
	c.hook, c.other = hookSizes(r.Hook, r.HookSize)
	if s.LevelM != nil {
		c.hasLevel, c.below, c.level = true, *s.LevelM < 0, hundredths(math.Abs(*s.LevelM))
	}
	chart, ok := c.marked(r)
	if !ok || len(r.Weights) == 0 {
		lacks = cmp.Or(lacks, r.Marking)
	}
	for _, one := range r.Weights {
		c.weights = append(c.weights, weightNumbers(one, chart, &lacks))
	}
	if lacks != "" {
		return c, club.Faultf(club.Invalid, "A guide has no picture of %q yet.", lacks)
	}
	return c, nil
}

// marked puts down the float's marking, and finds the chart it and the shot go by.
func (c *rigCode) marked(r rig.Rig) (rig.Chart, bool) {
	grams, inGrams := strings.CutSuffix(r.Marking, " g")
	for i, name := range codeCharts {
		chart, err := rig.ChartByName(name)
		if err != nil || !onChart(r, chart) {
			continue
		}
		c.chart = i
		if g, err := strconv.ParseFloat(grams, 64); inGrams && err == nil {
			c.capacity = hundredths(g)
			return chart, true
		}
		n, size, ok := marking(r.Marking)
		shot, has := chart.Size(size)
		if ok && has && math.Abs(float64(n)*shot.MassG-r.CapacityG) < 1e-6 {
			c.inShot, c.marks, c.of = true, n, slices.Index(codeSizes, shot.Name)
			return chart, c.of >= 0
		}
	}
	return rig.Chart{}, false
}

// onChart says whether each shot that nobody weighed is what a chart says.
func onChart(r rig.Rig, chart rig.Chart) bool {
	for _, w := range r.Weights {
		if w.Kind != rig.ShotKind || w.WeighedG > 0 {
			continue
		}
		if s, ok := chart.Size(w.Size); !ok || math.Abs(s.MassG-w.EachG) > 1e-9 {
			return false
		}
	}
	return true
}

// marking reads "5 × No.4" and "3 AAA".
func marking(text string) (n int, size string, ok bool) {
	fields := strings.Fields(strings.ReplaceAll(text, "×", ""))
	if len(fields) != 2 {
		return 0, "", false
	}
	n, err := strconv.Atoi(fields[0])
	return n, strings.TrimPrefix(fields[1], "No."), err == nil
}

// hookSizes are the two sizes of "14 to 16"; the second 0 where there is one alone.
func hookSizes(words string, start int) (hook, other int) {
	low, high, two := strings.Cut(words, " to ")
	if !two {
		return start, 0
	}
	a, e1 := strconv.Atoi(low)
	b, e2 := strconv.Atoi(high)
	if e1 != nil || e2 != nil {
		return start, 0
	}
	if a == start {
		return start, b
	}
	return start, a
}

func weightNumbers(w rig.Weight, chart rig.Chart, lacks *string) weightCode {
	c := weightCode{
		olivette: w.Kind == rig.Olivette, material: index(codeMaterials, w.Material, lacks), less: w.Count - 1, role: index(codeRoles, w.Role, lacks),
		at: int(math.Round(w.AtM / markM)), to: int(math.Round(w.ToM / markM)),
	}
	if c.olivette {
		c.size = hundredths(w.EachG)
		return c
	}
	c.size = index(codeSizes, strings.TrimPrefix(w.Size, "No."), lacks)
	if s, ok := chart.Size(w.Size); !ok || w.WeighedG > 0 || math.Abs(s.MassG-w.EachG) > 1e-9 {
		c.odd, c.mg, c.weighed = true, int(math.Round(w.EachG*perG)), w.WeighedG > 0
	}
	return c
}
