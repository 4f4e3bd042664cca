package rig

import (
	"errors"
	"maps"
	"slices"
)

// Lack is what a kit lacks to load a float right.
type Lack struct {
	Nothing bool // the kit loads the float right as it is
	// Count of Size would do it; 0: no one size would.
	Count    int
	Kind     Kind
	Size     string // "No.8", "2.5 g"
	Material Material
	EachG    float64 // dry grams
	WeighedG float64 // one of them on the angler's own scales; 0: taken by its label
	More     bool    // the kit has some of that size already
	// ShortG is how far under the capacity the kit's own load is, and the whole
	// capacity where it has none.
	ShortG float64
}

// String says it: "two more No.8 would do it", "a 2.5 g olivette would do it",
// "nothing is missing", "no one size would do it".
func (l Lack) String() string {
	switch {
	case l.Nothing:
		return "nothing is missing"
	case l.Count == 0:
		return "no one size would do it"
	}
	return l.what() + " would do it" + l.caution()
}

func (l Lack) what() string {
	w := Weight{Kind: l.Kind, Size: l.Size, Count: l.Count}
	switch {
	case l.Kind == Olivette && l.More:
		return "another " + l.Size + " olivette"
	case l.Kind == Olivette:
		return article(l.Size + " olivette")
	case l.More:
		return countOf(l.Count, "more "+l.Size)
	}
	return w.what()
}

// caution is for lead that may not be fished with.
func (l Lack) caution() string {
	if !(Weight{Kind: l.Kind, Size: l.Size, Material: l.Material, EachG: l.EachG, WeighedG: l.WeighedG}).Unlawful() {
		return ""
	}
	return ", but lead of that size is not lawful in England and Wales: ask again with tin or tungsten"
}

// Lacks says what would have to be added to a kit for [Shot] to load a float of
// capacityG grams of lead (0.2 to 40) right, within its tolerance: the fewest
// pieces, up to 32, of one size on the kit's chart, or one olivette as sold
// ([OlivetteSteps]) where the layout may have one. Of equal numbers it is the one
// with the best load by Shot's order, and of those the lightest. It is exact, by
// search with Shot itself.
//
// A kit may be empty here. Without a material for shot it is asked about tin, and
// for olivettes tungsten. Errors are Shot's.
func Lacks(capacityG float64, l Layout, k Kit) (Lack, error) {
	if err := k.valid(); err != nil {
		return Lack{}, err
	}
	k = k.withMaterials()
	s := lackSearch{capacityG: capacityG, layout: l}
	own, err := s.shot(k)
	if err != nil {
		return Lack{}, err
	}
	if own.right {
		return Lack{Nothing: true, ShortG: own.shortG}, nil
	}
	s.best = Lack{ShortG: own.shortG}
	s.shots(k)
	if l.Style.olivettes() {
		s.olivettes(k)
	}
	return s.best, s.err
}

func (k Kit) withMaterials() Kit {
	if k.ShotMaterial == "" {
		k.ShotMaterial = Tin
	}
	if k.OlivetteMaterial == "" {
		k.OlivetteMaterial = Tungsten
	}
	return k
}

// lackSearch looks for the fewest pieces that would do.
type lackSearch struct {
	capacityG float64
	layout    Layout
	best      Lack
	bestRank  rank
	err       error
}

// answer is what Shot makes of a kit.
type answer struct {
	right  bool
	rank   rank
	shortG float64
}

// shot asks Shot. A kit that can load nothing is not right and is no error.
func (s *lackSearch) shot(k Kit) (answer, error) {
	ws, r, err := load(s.capacityG, s.layout, k)
	var no *NoRigError
	if errors.As(err, &no) {
		return answer{shortG: s.capacityG}, nil
	}
	out := answer{right: err == nil && r.beyond == 0, rank: r, shortG: s.capacityG}
	for _, w := range ws {
		out.shortG -= float64(w.Count) * w.PullEachG
	}
	return out, err
}

// lackMost is the most pieces worth buying: no load has more.
const lackMost = 2 * mostPieces

func (s *lackSearch) shots(k Kit) {
	weighed := k.weighed()
	for _, size := range slices.Backward(k.asWeighed(k.Chart.Sizes)) {
		had := k.count(size.Label())
		if had < plenty {
			s.add(k, had, Lack{
				Kind: ShotKind, Size: size.Label(), Material: k.ShotMaterial, EachG: size.MassG, WeighedG: weighed[size.Label()],
			}, lackMost)
		}
	}
}

func (s *lackSearch) olivettes(k Kit) {
	for _, g := range olivetteSteps {
		if had := k.count(gramWords(g)); had < plenty {
			s.add(k, had, Lack{Kind: Olivette, Size: gramWords(g), Material: k.OlivetteMaterial, EachG: g}, 1)
		}
	}
}

// add looks for the fewest of one size that would do and keeps it where it is
// better than what there was.
func (s *lackSearch) add(k Kit, had int, l Lack, most int) {
	if s.best.Count > 0 {
		most = min(most, s.best.Count)
	}
	if !s.could(k.with(l, had+most)) {
		return
	}
	for n := 1; n <= most && s.err == nil; n++ {
		got, err := s.shot(k.with(l, had+n))
		s.err = err
		if !got.right {
			continue
		}
		if n != s.best.Count || got.rank.before(s.bestRank) {
			l.Count, l.ShortG, l.More = n, s.best.ShortG, had > 0
			s.best, s.bestRank = l, got.rank
		}
		return
	}
}

// could says whether a kit has a right load, were there line enough. More of a
// size never takes one away, so a number that could not rules out all below it.
func (s *lackSearch) could(k Kit) bool {
	_, r, ok := compose(s.capacityG, s.layout, k, mostKinds)
	return ok && r.beyond == 0
}

// count is how many a kit has of a weight.
func (k Kit) count(label string) int {
	shots, _ := k.shots()
	if !k.has(label, shots) {
		return 0
	}
	return k.held().of(label)
}

// with is the kit with n of a weight.
func (k Kit) with(l Lack, n int) Kit {
	shots, _ := k.shots()
	if !k.has(l.Size, shots) {
		if l.Kind == Olivette {
			k.OlivettesG = append(slices.Clone(k.OlivettesG), l.EachG)
		} else {
			k.Sizes = append(slices.Clone(k.Sizes), l.Size)
		}
	}
	held := maps.Clone(k.Held)
	if held == nil {
		held = map[string]int{}
	}
	maps.DeleteFunc(held, func(name string, _ int) bool { return heldLabel(name) == l.Size })
	held[l.Size] = n
	k.Held = held
	return k
}
