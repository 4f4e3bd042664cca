package club

import (
	"cmp"
	"errors"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/rig"
)

// Tackle is what a sheet supposes someone has: their kit, where they have said; or the
// shot and the olivettes of the standard kit, or of those that were asked for. An empty
// part is the standard kit's.
type Tackle struct {
	Chart    string // a chart's name
	Shot     rig.Material
	Olivette rig.Material
	Kit      string // a kit's code; it goes before the rest
	From     KitFrom
}

// KitFrom is where a kit came from.
type KitFrom string

// Where a kit comes from; empty: there is none.
const (
	KitAsked  KitFrom = "address" // what is asked for goes before what is kept
	KitOff    KitFrom = "none"    // none is to be gone by, whatever is kept
	KitMember KitFrom = "member"
	KitPhone  KitFrom = "phone"
)

var standardTackle = func() Tackle {
	k := rig.StandardKit()
	return Tackle{Chart: k.Chart.Name, Shot: k.ShotMaterial, Olivette: k.OlivetteMaterial}
}()

// StandardTackle is what the standard kit has, spelt out.
func StandardTackle() Tackle { return standardTackle }

// Spelt is t with the standard kit's parts in place of the empty ones, or the kit's own.
func (t Tackle) Spelt() Tackle {
	if m := t.MyKit(); m != nil {
		t.Chart, t.Shot, t.Olivette = m.Chart, m.Shot, m.Olivette
	}
	t.Chart, t.Shot, t.Olivette = cmp.Or(t.Chart, standardTackle.Chart), cmp.Or(t.Shot, standardTackle.Shot), cmp.Or(t.Olivette, standardTackle.Olivette)
	return t
}

// keptBy is the tackle as a member has it: by their own kit, unless the address says
// otherwise. A kit kept that cannot be read is as good as not there.
func (t Tackle) keptBy(m Member) Tackle {
	if m.Kit != "" && t.From != KitAsked && t.From != KitOff && kitByCode(m.Kit).err == nil {
		t.Kit, t.From = m.Kit, KitMember
	}
	if t.From == KitPhone && kitByCode(t.Kit).err != nil {
		t.Kit, t.From = "", ""
	}
	return t
}

// MyKit is the kit in it; nil where there is none.
func (t Tackle) MyKit() *MyKit {
	if t.Kit == "" {
		return nil
	}
	k := kitByCode(t.Kit)
	if k.err != nil {
		return nil
	}
	return &k.mine
}

// Materials are what shot and olivettes may be of, the lawful ones first.
func Materials() []rig.Material { return []rig.Material{rig.Tin, rig.Tungsten, rig.Lead} }

// kits are those of every tackle without a kit that there is, so that a kit's key is
// worked out once.
var kits = everyKit()

func everyKit() map[Tackle]Kit {
	out := map[Tackle]Kit{}
	for _, chart := range rig.Charts() {
		for _, shot := range Materials() {
			for _, olivette := range Materials() {
				k := rig.StandardKit()
				k.Chart, k.ShotMaterial, k.OlivetteMaterial = chart, shot, olivette
				out[Tackle{Chart: chart.Name, Shot: shot, Olivette: olivette}] = NewKit(k)
			}
		}
	}
	return out
}

// kit is what rigs are worked out from.
func (t Tackle) kit() (Kit, error) {
	if t.Kit != "" {
		k := kitByCode(t.Kit)
		return k.kit, k.err
	}
	t.From = ""
	k, ok := kits[t.Spelt()]
	if !ok {
		return Kit{}, Faultf(Invalid, "No such chart or material of shot is known here.")
	}
	return k, nil
}

// readKit is what a code says.
type readKit struct {
	mine MyKit
	kit  Kit
	err  error
}

// kitsRead remembers what the codes last seen say: a code is read for every page of the
// one who carries it.
var kitsRead = func() *lru.Cache[string, *readKit] {
	seen, err := lru.New[string, *readKit](256)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return seen
}()

func kitByCode(code string) *readKit {
	if k, ok := kitsRead.Get(code); ok {
		return k
	}
	k := &readKit{}
	if k.mine, k.err = ParseMyKit(code); k.err == nil {
		k.kit, k.err = k.mine.Kit()
	}
	kitsRead.Add(code, k)
	return k
}

// noRig is the sentence of a NoRigError; empty for any other error, or none.
func noRig(err error) string {
	var none *rig.NoRigError
	if errors.As(err, &none) {
		return none.Why
	}
	return ""
}
