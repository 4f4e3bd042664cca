package club

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"levelpeg/rig"
)

// MyKit is what a person carries. Weights and floats that are not listed they do not
// have; of floats, lines, hooks and rods a nil list says that they have not said, and
// whatever is made is taken. [MyKit.Code] carries it in an address or a cookie.
type MyKit struct {
	Chart          string // a chart's name
	Shot, Olivette rig.Material
	Shots          []KitShot
	Olivettes      []KitOlivette
	Floats         []KitFloat
	MainLines      []rig.Spool
	HookLengths    []rig.Spool
	Hooks          []int     // by their numbers
	RodsFt         []float64 // by their lengths
}

// Plenty is a count of what nobody counted.
const Plenty = -1

// KitShot is a size of shot.
type KitShot struct {
	Size     string  // "SSG", "8"; one of ShotSizes
	Count    int     // 0 to rig.HeldMost, or Plenty; 0 keeps only what it weighs
	WeighedG float64 // one of them on their own scales, to 1 mg; 0: not weighed
}

// KitOlivette is a size of olivette.
type KitOlivette struct {
	G     float64 // dry, to 1 mg
	Count int     // 1 to rig.HeldMost, or Plenty
}

// KitFloat is a float by what is printed on it: grams of lead, or so many shot of a
// size, whose grams are the chart's.
type KitFloat struct {
	Pattern string
	G       float64 // to 0.01 g; 0: it is marked in shot
	N       int
	Size    string
}

// Bounds of a kit. Floats and lines are bounded as rig bounds them.
const (
	weighLowG, weighHighG       = 0.001, 10
	olivetteLowG, olivetteHighG = 0.05, 40
	floatLowG, floatHighG       = 0.2, 40
	floatShotsMost              = 20
	lineLowMM, lineHighMM       = 0.04, 0.60
	lineLowKg, lineHighKg       = 0.1, 50
	HookLargest, HookFinest     = 4, 22
	rodLowFt, rodHighFt         = 5, 50

	olivettesMost = 40
	floatsMost    = 90
	spoolsMost    = 12
	rodsMost      = 12
)

// shotSizes are the sizes of every chart, heaviest first.
var shotSizes = func() []string {
	grams := map[string]float64{}
	var out []string
	for _, c := range rig.Charts() {
		for _, s := range c.Sizes {
			if _, have := grams[s.Name]; !have {
				grams[s.Name] = s.MassG
				out = append(out, s.Name)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(sizeRank(a), sizeRank(b)) })
	return out
}()

// sizeRank puts the sizes that are letters first, and the numbers after them.
func sizeRank(name string) int {
	if n, err := strconv.Atoi(name); err == nil {
		return n + 100
	}
	return slices.Index([]string{"SSG", "AAA", "AB", "BB"}, name)
}

// ShotSizes are the sizes of shot of every chart, heaviest first.
func ShotSizes() []string { return slices.Clone(shotSizes) }

// olivetteSizes are those sold, and those of the standard kit beyond them.
var olivetteSizes = func() []float64 {
	out := append(rig.OlivetteSteps(), rig.StandardKit().OlivettesG...)
	slices.Sort(out)
	return slices.Compact(out)
}()

// OlivetteSizes are the olivettes that are usual, grams, lightest first.
func OlivetteSizes() []float64 { return slices.Clone(olivetteSizes) }

// Label is the size as it is said: "No.8", "BB".
func (s KitShot) Label() string { return rig.ShotSize{Name: s.Size}.Label() }

// on is a float's load on a chart, in grams of lead; not there where the chart lacks
// the size it is marked in.
func (f KitFloat) on(c rig.Chart) (float64, bool) {
	if f.Size == "" {
		return f.G, true
	}
	s, ok := c.Size(f.Size)
	return float64(f.N) * s.MassG, ok
}

// Marking is what is printed on it: "4 g", "4 × No.4", "3 AAA".
func (f KitFloat) Marking() string {
	if f.Size == "" {
		return gramsText(f.G) + " g"
	}
	sep, label := " ", rig.ShotSize{Name: f.Size}.Label()
	if label != f.Size {
		sep = " × "
	}
	return strconv.Itoa(f.N) + sep + label
}

// gramsText is a number in as few figures as will do.
func gramsText(g float64) string { return strconv.FormatFloat(g, 'f', -1, 64) }

// round is v to so many places.
func round(v float64, places int) float64 {
	p := math.Pow10(places)
	return math.Round(v*p) / p
}

// Tidy gives the one form that equal kits have: in order, each thing once, rounded
// to what a code carries. It fails with Invalid for what is no kit.
func (m MyKit) Tidy() (MyKit, error) {
	out := m
	out.Shots, out.Olivettes = slices.Clone(m.Shots), slices.Clone(m.Olivettes)
	out.Floats, out.Hooks, out.RodsFt = slices.Clone(m.Floats), slices.Clone(m.Hooks), slices.Clone(m.RodsFt)
	out.MainLines, out.HookLengths = slices.Clone(m.MainLines), slices.Clone(m.HookLengths)
	for _, step := range []func() error{out.tidyMakes, out.tidyShots, out.tidyOlivettes, out.tidyFloats,
		func() error { return tidySpools(&out.MainLines, "main lines") },
		func() error { return tidySpools(&out.HookLengths, "hook lengths") }, out.tidyHooks, out.tidyRods} {
		if err := step(); err != nil {
			return MyKit{}, err
		}
	}
	return out, nil
}

func (m *MyKit) tidyMakes() error {
	if _, err := rig.ChartByName(m.Chart); err != nil {
		return Faultf(Invalid, "%s is not a chart of shot sizes known here.", quoted(m.Chart))
	}
	for _, of := range []rig.Material{m.Shot, m.Olivette} {
		if !slices.Contains(Materials(), of) {
			return Faultf(Invalid, "%s is not a material that weights are made of here: they are of tin, tungsten or lead.", quoted(string(of)))
		}
	}
	return nil
}

func (m *MyKit) tidyShots() error {
	seen := map[string]bool{}
	var out []KitShot
	for _, s := range m.Shots {
		if !slices.Contains(shotSizes, s.Size) {
			return Faultf(Invalid, "%s is not a size of shot known here.", quoted(s.Size))
		}
		if seen[s.Size] {
			return Faultf(Invalid, "%s shot is in the kit twice.", s.Label())
		}
		seen[s.Size] = true
		if err := inCount(s.Label()+" shot", s.Count, 0); err != nil {
			return err
		}
		if s.WeighedG != 0 {
			s.WeighedG = round(s.WeighedG, 3)
			if err := s.checkWeighed(); err != nil {
				return err
			}
		}
		if s.Count != 0 || s.WeighedG != 0 {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b KitShot) int {
		return cmp.Compare(slices.Index(shotSizes, a.Size), slices.Index(shotSizes, b.Size))
	})
	m.Shots = out
	return nil
}

// checkWeighed refuses what cannot be one shot of the size: under half or over double
// of what the charts say, as where ten were weighed together.
func (s KitShot) checkWeighed() error {
	low, high := math.Inf(1), 0.0
	for _, c := range rig.Charts() {
		if size, ok := c.Size(s.Size); ok {
			low, high = min(low, size.MassG), max(high, size.MassG)
		}
	}
	if s.WeighedG >= max(weighLowG, low/2) && s.WeighedG <= min(weighHighG, 2*high) {
		return nil
	}
	about := gramsText(low)
	if high > low {
		about += " to " + gramsText(high)
	}
	return Faultf(Invalid, "One %s cannot weigh %.4g g: by the charts it is %s g. Write what a single shot weighs, in grams.", s.Label(), s.WeighedG, about)
}

func (m *MyKit) tidyOlivettes() error {
	seen := map[float64]bool{}
	for i := range m.Olivettes {
		o := &m.Olivettes[i]
		o.G = round(o.G, 3)
		if err := inBounds("An olivette of", o.G, olivetteLowG, olivetteHighG, "g"); err != nil {
			return err
		}
		if seen[o.G] {
			return Faultf(Invalid, "The olivette of %s g is in the kit twice.", gramsText(o.G))
		}
		seen[o.G] = true
		if err := inCount(fmt.Sprintf("olivettes of %s g", gramsText(o.G)), o.Count, 1); err != nil {
			return err
		}
	}
	slices.SortFunc(m.Olivettes, func(a, b KitOlivette) int { return cmp.Compare(a.G, b.G) })
	if len(m.Olivettes) == 0 {
		m.Olivettes = nil
	}
	return tooMany("sizes of olivette", len(m.Olivettes), olivettesMost)
}

func (m *MyKit) tidyFloats() error {
	for i := range m.Floats {
		f := &m.Floats[i]
		f.G = round(f.G, 2)
		if err := f.check(); err != nil {
			return err
		}
	}
	slices.SortFunc(m.Floats, compareFloats)
	m.Floats = slices.Compact(m.Floats)
	return tooMany("floats", len(m.Floats), floatsMost)
}

func compareFloats(a, b KitFloat) int {
	return cmp.Or(cmp.Compare(a.Pattern, b.Pattern), cmp.Compare(slices.Index(shotSizes, b.Size), slices.Index(shotSizes, a.Size)),
		cmp.Compare(a.N, b.N), cmp.Compare(a.G, b.G))
}

// check says what is wrong with a float: its load must be one a float has on every
// chart, since the chart may be changed.
func (f KitFloat) check() error {
	p, ok := pattern(f.Pattern)
	if !ok {
		return Faultf(Invalid, "%s is not a kind of float known here.", quoted(f.Pattern))
	}
	if f.Size == "" {
		if f.N != 0 {
			return Faultf(Invalid, "A %s is marked in grams or in shot, not both.", p.Name)
		}
		return inBounds("A "+p.Name+" of", f.G, floatLowG, floatHighG, "g")
	}
	if f.G != 0 || f.N < 1 || f.N > floatShotsMost || !slices.Contains(shotSizes, f.Size) {
		return Faultf(Invalid, "That is not how a %s is marked: so many shot of a size, 1 to %d.", p.Name, floatShotsMost)
	}
	for _, c := range rig.Charts() {
		if g, ok := f.on(c); ok && (g < floatLowG || g > floatHighG) {
			return Faultf(Invalid, "A %s of %s takes more or less than any float here: they take %g to %g g.", p.Name, f.Marking(), floatLowG, float64(floatHighG))
		}
	}
	return nil
}

func pattern(id string) (rig.Pattern, bool) {
	all := rig.Patterns()
	i := slices.IndexFunc(all, func(p rig.Pattern) bool { return p.ID == id })
	if i < 0 {
		return rig.Pattern{}, false
	}
	return all[i], true
}

func tidySpools(all *[]rig.Spool, what string) error {
	for i := range *all {
		s := &(*all)[i]
		if !slices.Contains(rig.LineKinds(), s.Kind) {
			return Faultf(Invalid, "%s is not a kind of line known here.", quoted(string(s.Kind)))
		}
		s.DiameterMM, s.LabelKg = round(s.DiameterMM, 3), round(s.LabelKg, 2)
		if err := inBounds("A line of", s.DiameterMM, lineLowMM, lineHighMM, "mm"); err != nil {
			return err
		}
		if s.LabelKg != 0 {
			if err := inBounds("A line of", s.LabelKg, lineLowKg, lineHighKg, "kg"); err != nil {
				return err
			}
		} else if s.Kind == rig.Braid {
			return Faultf(Invalid, "Braid of %s mm needs the kg on its label: nothing here knows what braid holds.", gramsText(s.DiameterMM))
		}
	}
	slices.SortFunc(*all, func(a, b rig.Spool) int {
		return cmp.Or(cmp.Compare(a.DiameterMM, b.DiameterMM), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.LabelKg, b.LabelKg))
	})
	*all = slices.Compact(*all)
	return tooMany(what, len(*all), spoolsMost)
}

func (m *MyKit) tidyHooks() error {
	for _, n := range m.Hooks {
		if err := inBounds("A hook of size", float64(n), HookLargest, HookFinest, ""); err != nil {
			return err
		}
	}
	slices.Sort(m.Hooks)
	m.Hooks = slices.Compact(m.Hooks)
	return nil
}

func (m *MyKit) tidyRods() error {
	for i := range m.RodsFt {
		m.RodsFt[i] = round(m.RodsFt[i], 1)
		if err := inBounds("A rod of", m.RodsFt[i], rodLowFt, rodHighFt, "ft"); err != nil {
			return err
		}
	}
	slices.Sort(m.RodsFt)
	m.RodsFt = slices.Compact(m.RodsFt)
	return tooMany("rods", len(m.RodsFt), rodsMost)
}

func inCount(what string, n, least int) error {
	if n == Plenty || n >= least && n <= rig.HeldMost {
		return nil
	}
	return Faultf(Invalid, "%d %s cannot be counted here: write %d to %d, or plenty.", n, what, least, rig.HeldMost)
}

func inBounds(what string, v, low, high float64, unit string) error {
	if v >= low && v <= high {
		return nil
	}
	return Faultf(Invalid, "%s is outside what there is here: %g to %g%s.", strings.TrimSpace(fmt.Sprintf("%s %.4g %s", what, v, unit)), low, high, strings.TrimRight(" "+unit, " "))
}

func tooMany(what string, n, most int) error {
	if n <= most {
		return nil
	}
	return Faultf(Invalid, "That is %d %s: a kit here holds up to %d.", n, what, most)
}

// quoted keeps what is said back readable, however much was sent.
func quoted(s string) string {
	if r := []rune(s); len(r) > 30 {
		s = string(r[:30]) + "…"
	}
	return "“" + s + "”"
}
