package demo

import "math/rand/v2"

// codeLetters has no two signs that are mistaken for one another on a wet post,
// and no vowels, so that no code spells a word.
const codeLetters = "23456789BCDFGHJKMNPQRSTVWXYZ"

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
		code := make([]byte, 5)
		for i := range code {
			code[i] = codeLetters[c.r.IntN(len(codeLetters))]
		}
		if s := string(code); !c.used[s] {
			c.used[s] = true
			return s
		}
	}
}
