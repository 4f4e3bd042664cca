package demo

import (
	"math/rand/v2"

	"levelpeg/club"
)

// coder gives out permanent peg codes, each once.
type coder struct {
	r    *rand.Rand
	used map[string]bool
}

func newCoder() *coder {
	return &coder{r: stream("codes"), used: map[string]bool{}}
}

func (c *coder) next() string {
	for {
		if s := club.NewCode(c.r.IntN); !c.used[s] {
			c.used[s] = true
			return s
		}
	}
}
