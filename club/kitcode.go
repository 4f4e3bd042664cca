package club

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"levelpeg/rig"
)

// A kit's code, version 1, is "1" and then parts, each begun by "~" and a letter, in
// the order below; inside a part things are divided by "_". See docs/api.md.
//
//	c chart         left out: retail
//	m materials     of shot and of olivettes: n tin, u tungsten, l lead; left out: nu
//	s shot          size[-count[-mg of one]]; no count: plenty
//	o olivettes     grams[-count]
//	f floats        pattern_mark_mark…, a part a pattern; a mark is grams, or 4x4, 3xAAA
//	l, h            main lines, hook lengths: kind µm[-kg]; kind n, r, f, b
//	k hooks, r rods sizes, feet
//
// Of f, l, h, k and r a part that is left out says "not said", an empty one "none".
const (
	codeVersion = "1"
	// longestCode is the longest code that is read: longer than that of any kit.
	longestCode = 2000
)

var (
	materialLetters = []struct {
		of     rig.Material
		letter byte
	}{{rig.Tin, 'n'}, {rig.Tungsten, 'u'}, {rig.Lead, 'l'}}
	lineLetters = []struct {
		kind   rig.LineKind
		letter byte
	}{{rig.HookNylon, 'n'}, {rig.ReelNylon, 'r'}, {rig.Fluorocarbon, 'f'}, {rig.Braid, 'b'}}
)

// Code is a kit as a short text for addresses and cookies, of A–Z a–z 0–9 - . _ ~
// alone: equal for equal kits. It is empty for what is no kit (see Tidy).
func (m MyKit) Code() string {
	m, err := m.Tidy()
	if err != nil {
		return ""
	}
	var b strings.Builder
	b.WriteString(codeVersion)
	std := StandardTackle()
	if m.Chart != std.Chart {
		b.WriteString("~c" + m.Chart)
	}
	if m.Shot != std.Shot || m.Olivette != std.Olivette {
		b.WriteString("~m" + string([]byte{materialLetter(m.Shot), materialLetter(m.Olivette)}))
	}
	writePart(&b, 's', m.Shots, KitShot.code, false)
	writePart(&b, 'o', m.Olivettes, KitOlivette.code, false)
	m.writeFloats(&b)
	writePart(&b, 'l', m.MainLines, spoolCode, m.MainLines != nil)
	writePart(&b, 'h', m.HookLengths, spoolCode, m.HookLengths != nil)
	writePart(&b, 'k', m.Hooks, strconv.Itoa, m.Hooks != nil)
	writePart(&b, 'r', m.RodsFt, gramsText, m.RodsFt != nil)
	return b.String()
}

func writePart[T any](b *strings.Builder, letter byte, all []T, code func(T) string, said bool) {
	if len(all) == 0 && !said {
		return
	}
	b.WriteByte('~')
	b.WriteByte(letter)
	for i, v := range all {
		if i > 0 {
			b.WriteByte('_')
		}
		b.WriteString(code(v))
	}
}

func (m MyKit) writeFloats(b *strings.Builder) {
	if m.Floats != nil && len(m.Floats) == 0 {
		b.WriteString("~f")
	}
	last := ""
	for _, f := range m.Floats {
		if f.Pattern != last {
			b.WriteString("~f" + f.Pattern)
			last = f.Pattern
		}
		b.WriteString("_" + f.Mark())
	}
}

func (s KitShot) code() string {
	switch {
	case s.WeighedG != 0:
		return s.Size + "-" + countCode(s.Count) + "-" + strconv.Itoa(int(math.Round(s.WeighedG*1000)))
	case s.Count != Plenty:
		return s.Size + "-" + countCode(s.Count)
	}
	return s.Size
}

func (o KitOlivette) code() string {
	if o.Count != Plenty {
		return gramsText(o.G) + "-" + countCode(o.Count)
	}
	return gramsText(o.G)
}

func countCode(n int) string {
	if n == Plenty {
		return ""
	}
	return strconv.Itoa(n)
}

// Mark is a float's marking as a code and a form carry it: "4", "4x4", "3xAAA".
func (f KitFloat) Mark() string {
	if f.Size == "" {
		return gramsText(f.G)
	}
	return strconv.Itoa(f.N) + "x" + f.Size
}

func spoolCode(s rig.Spool) string {
	out := string(lineLetter(s.Kind)) + strconv.Itoa(int(math.Round(s.DiameterMM*1000)))
	if s.LabelKg != 0 {
		out += "-" + gramsText(s.LabelKg)
	}
	return out
}

func materialLetter(of rig.Material) byte {
	for _, m := range materialLetters {
		if m.of == of {
			return m.letter
		}
	}
	return '?' // no tidy kit has another
}

func lineLetter(kind rig.LineKind) byte {
	for _, l := range lineLetters {
		if l.kind == kind {
			return l.letter
		}
	}
	return '?' // no tidy kit has another
}

// errCode is what is said of a code that is none.
func errCode() *Fault {
	return Faultf(Invalid, "That is not a kit's code. Ask for the whole link again, or fill the kit in here.")
}

// ParseMyKit reads a code. It fails with Invalid for what is none, and for a kit out
// of bounds; see MyKit.Tidy.
func ParseMyKit(code string) (MyKit, error) {
	parts := strings.Split(code, "~")
	if len(code) > longestCode || parts[0] != codeVersion {
		return MyKit{}, errCode()
	}
	std := StandardTackle()
	m := MyKit{Chart: std.Chart, Shot: std.Shot, Olivette: std.Olivette}
	seen := ""
	for _, part := range parts[1:] {
		if part == "" {
			return MyKit{}, errCode()
		}
		letter, rest := part[:1], part[1:]
		again := strings.Contains(seen, letter)
		if again && (letter != "f" || rest == "" || len(m.Floats) == 0) || !m.readPart(letter, rest) {
			return MyKit{}, errCode()
		}
		seen += letter
	}
	return m.Tidy()
}

// readPart reads one part; false where it makes no sense.
func (m *MyKit) readPart(letter, rest string) bool {
	ok := true
	switch letter {
	case "c":
		m.Chart = rest
	case "m":
		ok = m.readMaterials(rest)
	case "s":
		m.Shots, ok = readAll(rest, readShot)
		ok = ok && len(m.Shots) > 0
	case "o":
		m.Olivettes, ok = readAll(rest, readOlivette)
		ok = ok && len(m.Olivettes) > 0
	case "f":
		ok = m.readFloats(rest)
	case "l":
		m.MainLines, ok = readAll(rest, readSpool)
	case "h":
		m.HookLengths, ok = readAll(rest, readSpool)
	case "k":
		m.Hooks, ok = readAll(rest, readWhole)
	case "r":
		m.RodsFt, ok = readAll(rest, readNumber)
	default:
		ok = false
	}
	return ok
}

func readAll[T any](text string, read func(string) (T, bool)) ([]T, bool) {
	out := []T{}
	if text == "" {
		return out, true
	}
	for one := range strings.SplitSeq(text, "_") {
		v, ok := read(one)
		if !ok {
			return nil, false
		}
		out = append(out, v)
	}
	return out, true
}

func (m *MyKit) readMaterials(text string) bool {
	if len(text) != 2 {
		return false
	}
	m.Shot, m.Olivette = "", ""
	for _, l := range materialLetters {
		if text[0] == l.letter {
			m.Shot = l.of
		}
		if text[1] == l.letter {
			m.Olivette = l.of
		}
	}
	return m.Shot != "" && m.Olivette != ""
}

func (m *MyKit) readFloats(text string) bool {
	if text == "" {
		m.Floats = []KitFloat{}
		return true
	}
	id, marks, some := strings.Cut(text, "_")
	if !some {
		return false
	}
	all, ok := readAll(marks, func(mark string) (KitFloat, bool) { return ParseMark(id, mark) })
	m.Floats = append(m.Floats, all...)
	return ok && len(all) > 0
}

// ParseMark reads a float's marking as KitFloat.Mark gives it; false where it is none.
func ParseMark(patternID, mark string) (KitFloat, bool) {
	n, size, inShot := strings.Cut(mark, "x")
	f := KitFloat{Pattern: patternID, Size: size}
	var ok bool
	if inShot {
		f.N, ok = readWhole(n)
	} else {
		f.G, ok = readNumber(mark)
	}
	return f, ok && f.check() == nil
}

func readShot(text string) (KitShot, bool) {
	fields := strings.Split(text, "-")
	s := KitShot{Size: fields[0], Count: Plenty}
	ok := len(fields) <= 3
	if len(fields) > 1 && (fields[1] != "" || len(fields) == 2) {
		var is bool
		s.Count, is = readWhole(fields[1])
		ok = ok && is
	}
	if len(fields) == 3 {
		mg, is := readWhole(fields[2])
		s.WeighedG, ok = float64(mg)/1000, ok && is && mg > 0
	}
	return s, ok
}

func readOlivette(text string) (KitOlivette, bool) {
	grams, count, counted := strings.Cut(text, "-")
	o := KitOlivette{Count: Plenty}
	var ok bool
	if o.G, ok = readNumber(grams); ok && counted {
		o.Count, ok = readWhole(count)
	}
	return o, ok
}

func readSpool(text string) (rig.Spool, bool) {
	if text == "" {
		return rig.Spool{}, false
	}
	s := rig.Spool{}
	for _, l := range lineLetters {
		if l.letter == text[0] {
			s.Kind = l.kind
		}
	}
	um, kg, label := strings.Cut(text[1:], "-")
	n, ok := readWhole(um)
	s.DiameterMM = float64(n) / 1000
	if ok && label {
		s.LabelKg, ok = readNumber(kg)
		ok = ok && s.LabelKg > 0
	}
	return s, ok && s.Kind != ""
}

var (
	whole    = regexp.MustCompile(`^[0-9]{1,5}$`)
	decimals = regexp.MustCompile(`^[0-9]{1,3}(\.[0-9]{1,3})?$`)
)

func readWhole(text string) (int, bool) {
	n, err := strconv.Atoi(text)
	return n, err == nil && whole.MatchString(text)
}

func readNumber(text string) (float64, bool) {
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && decimals.MatchString(text)
}

// floatMarked is a float of a pattern's own list by its marking.
func floatMarked(id string, f rig.MarkedFloat) (KitFloat, bool) {
	if grams, ok := strings.CutSuffix(f.Marking, " g"); ok {
		return ParseMark(id, grams)
	}
	fields := strings.Fields(strings.ReplaceAll(f.Marking, "×", ""))
	if len(fields) != 2 {
		return KitFloat{}, false
	}
	return ParseMark(id, fields[0]+"x"+strings.TrimPrefix(fields[1], "No."))
}
