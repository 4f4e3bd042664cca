package parse

import (
	"errors"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
)

// Problem is something in a form that makes no sense: in which field, and a sentence.
type Problem struct{ Field, Say string }

// kitForm reads a form into a kit.
type kitForm struct {
	url.Values
	kit      club.MyKit
	problems []Problem
}

// NotWhole is what is said of a form some of whose fields did not come.
const NotWhole = "The form did not come whole, so nothing was saved. Look it through and save it once more."

// Kit reads the form of a kit. What makes no sense is left out of the kit and is among
// the problems.
func Kit(form url.Values) (club.MyKit, []Problem) {
	f := kitForm{Values: form, kit: club.SupposedKit()}
	f.kit.Shots, f.kit.Olivettes = nil, nil
	if lost := f.lost(); lost != "" {
		f.problems = append(f.problems, Problem{lost, NotWhole})
	}
	f.makes()
	f.shots()
	f.olivettes()
	f.floats()
	f.kit.MainLines = f.spools("main", "main line", func(m *club.MyKit, s []rig.Spool) { m.MainLines = s })
	f.kit.HookLengths = f.spools("hl", "hook length", func(m *club.MyKit, s []rig.Spool) { m.HookLengths = s })
	f.hooks()
	f.rods()
	return f.kit, f.problems
}

// lost is a field that every browser sends and that did not come.
func (f *kitForm) lost() string {
	names := []string{"chart", "shot", "olivette", "main-kind", "main-mm", "main-kg", "hl-kind", "hl-mm", "hl-kg", "ol", "ol-count", "hooks", "rods", "whole"}
	for _, s := range club.ShotSizes() {
		names = append(names, "shot-"+s, "weigh-"+s)
	}
	for _, p := range rig.Patterns() {
		names = append(names, "floats-"+p.ID)
	}
	for _, n := range names {
		if !f.Has(n) {
			return n
		}
	}
	return ""
}

// say keeps a problem with a field.
func (f *kitForm) say(field string, err error) {
	var fault *club.Fault
	if errors.As(err, &fault) {
		f.problems = append(f.problems, Problem{field, fault.Say})
	}
}

func (f *kitForm) sayf(field, format string, args ...any) {
	f.say(field, club.Faultf(club.Invalid, format, args...))
}

// sound says whether a kit that has only what put puts into it is one, and keeps why
// it is not.
func (f *kitForm) sound(field string, put func(*club.MyKit)) bool {
	alone := club.SupposedKit()
	alone.Shots, alone.Olivettes = nil, nil
	put(&alone)
	_, err := alone.Tidy()
	f.say(field, err)
	return err == nil
}

func (f *kitForm) makes() {
	t, err := Tackle(f.Values)
	for _, name := range []string{"chart", "shot", "olivette"} {
		_, bad := Tackle(url.Values{name: f.Values[name]})
		if f.Has(name) && bad != nil {
			f.say(name, bad)
		}
	}
	if err == nil {
		t = t.Spelt()
		f.kit.Chart, f.kit.Shot, f.kit.Olivette = t.Chart, t.Shot, t.Olivette
	}
}

func (f *kitForm) shots() {
	for _, size := range club.ShotSizes() {
		s := club.KitShot{Size: size}
		count, okCount := f.count("shot-"+size, f.Get("shot-"+size), s.Label()+" shot")
		grams, okGrams := f.number("weigh-"+size, f.Get("weigh-"+size), s.Label()+", your own weight", "grams, such as 0.41")
		s.Count, s.WeighedG = count, grams
		if okCount && okGrams && f.sound("weigh-"+size, func(m *club.MyKit) { m.Shots = []club.KitShot{s} }) && (s.Count != 0 || s.WeighedG != 0) {
			f.kit.Shots = append(f.kit.Shots, s)
		}
	}
}

// count reads how many there are: empty is none.
func (f *kitForm) count(field, text, what string) (int, bool) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return 0, true
	case text == "plenty":
		return club.Plenty, true
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > rig.HeldMost {
		f.sayf(field, "%s: “%s” is not how many there are. Choose a number up to %d, or plenty.", what, short(text), rig.HeldMost)
		return 0, false
	}
	return n, true
}

// number reads a decimal; an empty one is 0.
func (f *kitForm) number(field, text, what, such string) (float64, bool) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, true
	}
	v, ok := decimalOf(text)
	if !ok || v <= 0 {
		f.sayf(field, "%s: “%s” was not understood. Write %s.", what, short(text), such)
		return 0, false
	}
	return v, true
}

func decimalOf(text string) (float64, bool) {
	if !decimal.MatchString(text) {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

func (f *kitForm) olivettes() {
	grams, counts := f.Values["ol"], f.Values["ol-count"]
	var out []club.KitOlivette
	for i := range min(len(grams), mostRows) {
		count, okCount := f.count("ol", at(counts, i), "Olivettes of "+short(grams[i])+" g")
		g, okGrams := f.number("ol", grams[i], "An olivette", "its grams, such as 2.5")
		o := club.KitOlivette{G: g, Count: count}
		switch {
		case !okCount || !okGrams || o.Count == 0:
		case g == 0:
			f.sayf("ol", "Write what the olivette you added weighs, in grams, or choose none of it.")
		case f.sound("ol", func(m *club.MyKit) { m.Olivettes = []club.KitOlivette{o} }):
			out = append(out, o)
		}
	}
	f.rows("ol", len(grams))
	if f.sound("ol", func(m *club.MyKit) { m.Olivettes = slices.Clone(out) }) {
		f.kit.Olivettes = out
	}
}

// mostRows is the most rows of a table in the form that are read.
const mostRows = 60

func (f *kitForm) rows(field string, n int) {
	if n > mostRows {
		f.sayf(field, "That is %d rows: the form has up to %d.", n, mostRows)
	}
}

// at is the i-th of what came for a repeated field; empty where it did not come.
func at(all []string, i int) string {
	if i < len(all) {
		return all[i]
	}
	return ""
}

// none says whether the box for "none at all" of a part is ticked.
func (f *kitForm) none(part string) bool { return slices.Contains(f.Values["none"], part) }

// listOf is what was told of a part: nil where nothing was, empty where it was none.
func listOf[T any](f *kitForm, part string, told []T) []T {
	if len(told) == 0 && f.none(part) {
		return []T{}
	}
	return told
}

func (f *kitForm) floats() {
	var out []club.KitFloat
	for i, v := range f.Values["float"] {
		id, mark, _ := strings.Cut(v, ":")
		k, ok := club.ParseMark(id, mark)
		if !ok || i > 2*mostRows {
			f.sayf("floats", "“%s” is not a float known here.", short(v))
			break
		}
		out = append(out, k)
	}
	for _, p := range rig.Patterns() {
		for _, g := range f.list("floats-"+p.ID, "Other sizes of "+p.Name, "grams with a space between, such as 3.5 7", "g") {
			k := club.KitFloat{Pattern: p.ID, G: g}
			if f.sound("floats-"+p.ID, func(m *club.MyKit) { m.Floats = []club.KitFloat{k} }) {
				out = append(out, k)
			}
		}
	}
	if f.sound("floats", func(m *club.MyKit) { m.Floats = slices.Clone(out) }) {
		f.kit.Floats = listOf(f, "floats", out)
	}
}

const longestList = 120

var between = regexp.MustCompile(`[\s;]+|,\s+|,$`)

// list reads numbers with something between them. A comma alone may be a decimal
// comma or may not, so it is asked about.
func (f *kitForm) list(field, what, such, unit string) []float64 {
	text := strings.TrimSpace(f.Get(field))
	if len(text) > longestList {
		f.sayf(field, "%s: that is too long. Write %s.", what, such)
		return nil
	}
	var out []float64
	for _, word := range between.Split(text, -1) {
		word = strings.TrimSuffix(word, unit)
		if word == "" || word == "and" {
			continue
		}
		v, ok := decimalOf(word)
		if !ok || strings.Contains(word, ",") || v <= 0 {
			f.sayf(field, "%s: “%s” was not understood. Write %s.", what, short(word), such)
			return nil
		}
		out = append(out, v)
	}
	return out
}

func (f *kitForm) spools(part, what string, put func(*club.MyKit, []rig.Spool)) []rig.Spool {
	kinds, mms, kgs := f.Values[part+"-kind"], f.Values[part+"-mm"], f.Values[part+"-kg"]
	n := max(len(kinds), len(mms), len(kgs))
	f.rows(part+"-mm", n)
	var out []rig.Spool
	for i := range min(n, mostRows) {
		mmText, kgText := strings.TrimSpace(at(mms, i)), strings.TrimSpace(at(kgs, i))
		if mmText == "" && kgText == "" {
			continue
		}
		mm, okMM := f.number(part+"-mm", mmText, "The "+what+"'s thickness", "it in millimetres, such as 0.16")
		kg, okKg := f.number(part+"-kg", kgText, "What the label of the "+what+" says", "it in kilograms, such as 2.5, or leave it empty")
		s := rig.Spool{Kind: rig.LineKind(at(kinds, i)), DiameterMM: mm, LabelKg: kg}
		switch {
		case !okMM || !okKg:
		case mmText == "":
			f.sayf(part+"-mm", "How thick is the %s of %s kg? Write it in millimetres, such as 0.16.", what, short(kgText))
		case f.sound(part+"-mm", func(m *club.MyKit) { put(m, []rig.Spool{s}) }):
			out = append(out, s)
		}
	}
	if !f.sound(part+"-mm", func(m *club.MyKit) { put(m, slices.Clone(out)) }) {
		return nil
	}
	return listOf(f, part, out)
}

func (f *kitForm) hooks() {
	var out []int
	for i, v := range f.Values["hook"] {
		n, err := strconv.Atoi(v)
		if err != nil || i > mostRows {
			f.sayf("hooks", "“%s” is not a size of hook.", short(v))
			break
		}
		out = append(out, n)
	}
	for _, v := range f.list("hooks", "Other hooks", "sizes with a space between, such as 13 15", "") {
		if v != math.Trunc(v) {
			f.sayf("hooks", "%g is not a size of hook: those are whole numbers.", v)
			return
		}
		out = append(out, int(v))
	}
	if f.sound("hooks", func(m *club.MyKit) { m.Hooks = slices.Clone(out) }) {
		f.kit.Hooks = listOf(f, "hooks", out)
	}
}

func (f *kitForm) rods() {
	var out []float64
	for i, v := range f.Values["rod"] {
		ft, ok := decimalOf(v)
		if !ok || i > mostRows {
			f.sayf("rods", "“%s” is not the length of a rod.", short(v))
			break
		}
		out = append(out, ft)
	}
	out = append(out, f.list("rods", "Other rods", "feet with a space between, such as 11.5 23", "ft")...)
	if f.sound("rods", func(m *club.MyKit) { m.RodsFt = slices.Clone(out) }) {
		f.kit.RodsFt = listOf(f, "rods", out)
	}
}
