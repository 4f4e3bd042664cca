package guide

import (
	"hash/crc32"
	"strings"

	"levelpeg/club"
)

// letters are those of a code: figures and capitals without I, L, O and U, which are
// misread.
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const perLetter = 5

// bits are read from or written to, so that one description of a code serves both ways.
type bits struct {
	all   []bool
	at    int
	reads bool
	bad   bool // it ran out of bits, or a number is too big for its own
}

// n reads or writes a whole number from 0 in so many bits.
func (b *bits) n(v *int, width int) {
	if b.reads {
		*v = b.take(width)
		return
	}
	b.bad = b.bad || *v < 0 || *v >= 1<<width
	for i := width - 1; i >= 0; i-- {
		b.all = append(b.all, *v>>i&1 == 1)
	}
}

func (b *bits) take(width int) int {
	v := 0
	for range width {
		if b.at >= len(b.all) {
			b.bad = true
			return 0
		}
		v <<= 1
		if b.all[b.at] {
			v |= 1
		}
		b.at++
	}
	return v
}

func (b *bits) yes(v *bool) {
	n := 0
	if *v {
		n = 1
	}
	b.n(&n, 1)
	*v = n == 1
}

// checkLetters are how many letters at the end guard the rest.
const checkLetters = 4

// text is the bits as letters, with letters at the end that guard them.
func (b *bits) text(version string) string {
	for len(b.all)%perLetter != 0 {
		b.all = append(b.all, false)
	}
	var out strings.Builder
	out.WriteString(version)
	r := bits{all: b.all, reads: true}
	for r.at < len(r.all) {
		out.WriteByte(letters[r.take(perLetter)])
	}
	return out.String() + guard(out.String())
}

// guard is a checksum of the letters before it, 20 bits of CRC-32.
func guard(text string) string {
	sum := crc32.ChecksumIEEE([]byte(text))
	out := make([]byte, checkLetters)
	for i := range out {
		out[i] = letters[sum>>(perLetter*i)&31]
	}
	return string(out)
}

// tidy is a code as it is written: in capitals, without spaces and dashes, with the
// figures that were misread as letters.
func tidy(code string) string {
	return strings.NewReplacer("O", "0", "I", "1", "L", "1", " ", "", "-", "").Replace(strings.ToUpper(code))
}

// unlettered is the bits of a tidy code after its version and before its guard.
func unlettered(code string) (*bits, error) {
	if len(code) < len(version1)+checkLetters+1 || len(code) > longestCode {
		return nil, errCode()
	}
	body, end := code[:len(code)-checkLetters], code[len(code)-checkLetters:]
	if guard(body) != end {
		return nil, errCode()
	}
	b := &bits{reads: true}
	for _, c := range body[len(version1):] {
		v := strings.IndexRune(letters, c)
		if v < 0 {
			return nil, errCode()
		}
		for i := perLetter - 1; i >= 0; i-- {
			b.all = append(b.all, v>>i&1 == 1)
		}
	}
	return b, nil
}

func errCode() *club.Fault {
	return club.Faultf(club.Invalid, "That is not a guide's code, or a letter of it is wrong. Open the whole link again, or go to the rig and start its guide there.")
}
