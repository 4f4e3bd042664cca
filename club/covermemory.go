package club

import (
	"crypto/sha256"
	"fmt"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/rig"
)

// CoverMemory works out which rigs cover waters and remembers the last answers, each
// a pure result of what it is asked. It is safe for many goroutines; nil remembers
// nothing.
type CoverMemory struct {
	seen *lru.Cache[[sha256.Size]byte, rig.Cover]
}

// coversRemembered is how many: before a match many ask for the same venue at the same
// hour. A cover holds a rig for every peg, some hundred kilobytes.
const coversRemembered = 24

// NewCoverMemory remembers the last covers.
func NewCoverMemory() *CoverMemory {
	seen, err := lru.New[[sha256.Size]byte, rig.Cover](coversRemembered)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &CoverMemory{seen}
}

// Cover is rig.CoverWaters.
func (m *CoverMemory) Cover(ws []rig.Water, a rig.Aim, kit Kit, most int) (rig.Cover, error) {
	if m == nil {
		return rig.CoverWaters(ws, a, kit.Kit, most)
	}
	key := sha256.Sum256(fmt.Appendf(nil, "%v|%q|%d|%s", ws, fmt.Sprint(a), most, kit.key))
	if c, ok := m.seen.Get(key); ok {
		return c, nil
	}
	defer working()()
	c, err := rig.CoverWaters(ws, a, kit.Kit, most)
	if err == nil {
		m.seen.Add(key, c)
	}
	return c, err
}
