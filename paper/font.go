package paper

import (
	_ "embed"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// The Go fonts by Bigelow & Holmes; font/LICENSE is theirs.
var (
	//go:embed font/Go-Regular.ttf
	regular []byte
	//go:embed font/Go-Bold.ttf
	bold []byte
)

const family = "go"

// drawn says which signs the font has. Both weights have the same.
var drawn = sync.OnceValue(func() func(r rune) bool {
	f, err := sfnt.Parse(regular)
	if err != nil {
		panic("paper: the embedded font: " + err.Error()) // it is ours, and a test reads it
	}
	var mu sync.Mutex
	seen := map[rune]bool{}
	return func(r rune) bool {
		mu.Lock()
		defer mu.Unlock()
		has, ok := seen[r]
		if !ok {
			var buf sfnt.Buffer
			at, err := f.GlyphIndex(&buf, r)
			has = err == nil && at != 0
			if len(seen) < signsKept {
				seen[r] = has
			}
		}
		return has
	}
})

// signsKept is how many signs are remembered: more than a club's book is written with.
const signsKept = 4096

// missing stands for a sign the font does not have.
const missing = '?'

// printable is words with nothing but signs that the font has, on one line.
func printable(words string) string {
	has := drawn()
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(words, string(missing))) {
		switch {
		case unicode.IsSpace(r) && r != '\u00A0':
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Mn):
		case r > 0xFFFF || !has(r):
			b.WriteRune(missing)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
