package web

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/rig"
)

// KitPage is the page of what a person carries.
type KitPage struct {
	Shell    Shell
	Problems []string // sentences; what was typed is in the form still
	Told     string   // what has just been done, a sentence
	Was      string   // the code of the kit that was kept before this one
	Sent     string   // the code of a kit that came by the address and is not kept
	Replaces bool     // it would take the place of another
	Kept     string   // where it is kept, sentences
	Words    string   // what is in it
	Code     string   // the code of the kit that is kept; empty: none is
	Lead     []string // weights in it that may not be used
	Presets  []club.Preset
	Form     KitForm
}

// KitForm is the form, as it was typed or as a kit fills it in.
type KitForm struct {
	Makes             []Select // chart and material of shot
	OlivetteOf        Select
	Shots             []ShotRow
	OffChart          []string // sizes held that the chart lacks
	Olivettes         []OlivetteRow
	Floats            []FloatGroup
	Main, HookLengths SpoolTable
	Hooks, Rods       TickList
	None              map[string]bool // parts that there is none of
	bad               map[string]bool // fields that make no sense
	sums              club.MyKit
}

// ShotRow is a size of shot.
type ShotRow struct {
	Size, Label, Grams string
	Counts             []Option
	Weighed            string
}

// OlivetteRow is a size of olivette; one that is not usual can be changed.
type OlivetteRow struct {
	Grams  string
	Usual  bool
	Counts []Option
}

// FloatGroup is the floats of a pattern.
type FloatGroup struct {
	ID, Name, What string
	Ticks          []Tick
	Others         string
}

// SpoolTable is the lines of one use.
type SpoolTable struct {
	Part, What string
	Rows       []SpoolRow
}

// SpoolRow is a line.
type SpoolRow struct {
	Kinds  []Option
	MM, Kg string
}

// TickList is things to tick, and others to write.
type TickList struct {
	Ticks  []Tick
	Others string
}

// Tick is a box to tick.
type Tick struct {
	Name, Value, Label string
	On                 bool
}

// KitFill is what fills the page in.
type KitFill struct {
	Typed    url.Values // the form as it came; nil: Kit fills it in
	Kit      club.MyKit
	Problems []string
	Bad      []string // the fields that the problems are in
}

// NewKitPage shapes the page.
func NewKitPage(a Assets, c club.Club, m club.Member, fill KitFill) KitPage {
	p := KitPage{Shell: NewShell(a, c, m, "My kit"), Problems: fill.Problems, Words: fill.Kit.Words(), Lead: fill.Kit.UnlawfulLead(), Presets: club.Presets()}
	if len(p.Problems) > mostProblems {
		p.Problems = append(slices.Clone(p.Problems[:mostProblems]), fmt.Sprintf("And %d more like these.", len(fill.Problems)-mostProblems))
	}
	typed := fill.Typed
	if typed == nil {
		typed = kitValues(fill.Kit)
	}
	p.Form = newKitForm(typed, fill)
	return p
}

const mostProblems = 5

// kitValues is a kit as the form's fields.
func kitValues(m club.MyKit) url.Values {
	v := url.Values{"chart": {m.Chart}, "shot": {string(m.Shot)}, "olivette": {string(m.Olivette)}}
	for _, s := range m.Shots {
		v.Set("shot-"+s.Size, countValue(s.Count))
		if s.WeighedG != 0 {
			v.Set("weigh-"+s.Size, figures(s.WeighedG))
		}
	}
	for _, o := range m.Olivettes {
		v.Add("ol", figures(o.G))
		v.Add("ol-count", countValue(o.Count))
	}
	for _, f := range m.Floats {
		v.Add("float", f.Pattern+":"+f.Mark())
	}
	addSpools(v, "main", m.MainLines)
	addSpools(v, "hl", m.HookLengths)
	for _, n := range m.Hooks {
		v.Add("hook", strconv.Itoa(n))
	}
	for _, ft := range m.RodsFt {
		v.Add("rod", figures(ft))
	}
	for part, none := range map[string]bool{
		"floats": m.Floats != nil && len(m.Floats) == 0, "main": m.MainLines != nil && len(m.MainLines) == 0,
		"hl": m.HookLengths != nil && len(m.HookLengths) == 0, "hooks": m.Hooks != nil && len(m.Hooks) == 0, "rods": m.RodsFt != nil && len(m.RodsFt) == 0,
	} {
		if none {
			v.Add("none", part)
		}
	}
	return v
}

func addSpools(v url.Values, part string, all []rig.Spool) {
	for _, s := range all {
		v.Add(part+"-kind", string(s.Kind))
		v.Add(part+"-mm", figures(s.DiameterMM))
		kg := ""
		if s.LabelKg != 0 {
			kg = figures(s.LabelKg)
		}
		v.Add(part+"-kg", kg)
	}
}

func countValue(n int) string {
	switch n {
	case club.Plenty:
		return "plenty"
	case 0:
		return ""
	}
	return strconv.Itoa(n)
}

func figures(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func newKitForm(v url.Values, fill KitFill) KitForm {
	f := KitForm{sums: fill.Kit, OffChart: fill.Kit.OffChart(), None: map[string]bool{}, bad: map[string]bool{}}
	for _, part := range v["none"] {
		f.None[part] = true
	}
	for _, field := range fill.Bad {
		f.bad[field] = true
	}
	f.Makes = []Select{
		{"chart", "Chart of sizes", chartOptions(v.Get("chart"))},
		{"shot", "What the shot is of", materialOptions(rig.Material(v.Get("shot")))},
	}
	f.OlivetteOf = Select{"olivette", "What the olivettes are of", materialOptions(rig.Material(v.Get("olivette")))}
	f.Shots = shotRows(v)
	f.Olivettes = olivetteRows(v)
	f.Floats = floatGroups(v)
	f.Main = SpoolTable{"main", "main line", spoolRows(v, "main", rig.ReelNylon)}
	f.HookLengths = SpoolTable{"hl", "hook length", spoolRows(v, "hl", rig.HookNylon)}
	f.Hooks = TickList{ticks("hook", usualHooks, v["hook"], func(s string) string { return s }), v.Get("hooks")}
	f.Rods = TickList{ticks("rod", usualRods, v["rod"], func(s string) string { return s + " ft" }), v.Get("rods")}
	return f
}

var (
	usualHooks = []string{"22", "20", "18", "16", "14", "12", "10", "8", "6", "4"}
	usualRods  = []string{"10", "11", "12", "13", "14", "15", "16", "17", "20"}
)

func shotRows(v url.Values) []ShotRow {
	chart, err := rig.ChartByName(v.Get("chart"))
	if err != nil {
		chart = rig.ChartRetail
	}
	var out []ShotRow
	for _, name := range club.ShotSizes() {
		row := ShotRow{Size: name, Label: rig.ShotSize{Name: name}.Label(), Grams: "not on this chart", Counts: countOptions(v.Get("shot-" + name)), Weighed: v.Get("weigh-" + name)}
		if s, ok := chart.Size(name); ok {
			row.Grams = grams(s.MassG)
		}
		out = append(out, row)
	}
	return out
}

// counts are how many there may be, as the form offers it.
var counts = func() []string {
	out := []string{"", "plenty"}
	for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100} {
		out = append(out, strconv.Itoa(n))
	}
	return out
}()

func countOptions(now string) []Option {
	var out []Option
	all := counts
	if !slices.Contains(all, now) {
		all = append(slices.Clone(all), now)
	}
	for _, c := range all {
		o := Option{Value: c, Label: c, Chosen: c == now}
		if c == "" {
			o.Label = "none"
		}
		out = append(out, o)
	}
	return out
}

// spare is how many empty rows a table has for more.
const spare = 2

// mostRows bounds the rows of a table that are shown again.
const mostRows = 62

func olivetteRows(v url.Values) []OlivetteRow {
	var out []OlivetteRow
	usual := map[string]int{}
	for _, g := range club.OlivetteSizes() {
		usual[figures(g)] = len(out)
		out = append(out, OlivetteRow{figures(g), true, countOptions("")})
	}
	for i, g := range v["ol"] {
		count := at(v["ol-count"], i)
		place, is := usual[g]
		switch {
		case is && count == "":
		case is && out[place].Counts[0].Chosen:
			out[place].Counts = countOptions(count)
		case g != "" && len(out) < mostRows:
			out = append(out, OlivetteRow{g, false, countOptions(count)})
		}
	}
	for range spare {
		out = append(out, OlivetteRow{"", false, countOptions("")})
	}
	return out
}

// at is the i-th of what came for a repeated field; empty where it did not come.
func at(all []string, i int) string {
	if i < len(all) {
		return all[i]
	}
	return ""
}

func floatGroups(v url.Values) []FloatGroup {
	var out []FloatGroup
	for _, p := range rig.Patterns() {
		g := FloatGroup{ID: p.ID, Name: capital(p.Name), What: p.What, Others: v.Get("floats-" + p.ID)}
		all := club.FloatsOf(p)
		for _, value := range v["float"] {
			id, mark, _ := strings.Cut(value, ":")
			if f, ok := club.ParseMark(id, mark); ok && id == p.ID && !slices.Contains(all, f) && len(all) < mostRows {
				all = append(all, f)
			}
		}
		for _, f := range all {
			value := p.ID + ":" + f.Mark()
			g.Ticks = append(g.Ticks, Tick{"float", value, f.Marking(), slices.Contains(v["float"], value)})
		}
		out = append(out, g)
	}
	return out
}

func spoolRows(v url.Values, part string, usual rig.LineKind) []SpoolRow {
	kinds, mms, kgs := v[part+"-kind"], v[part+"-mm"], v[part+"-kg"]
	var out []SpoolRow
	for i := range min(mostRows, max(len(mms), len(kgs))) {
		if at(mms, i) != "" || at(kgs, i) != "" {
			out = append(out, SpoolRow{kindOptions(rig.LineKind(at(kinds, i))), at(mms, i), at(kgs, i)})
		}
	}
	for range spare {
		out = append(out, SpoolRow{Kinds: kindOptions(usual)})
	}
	return out
}

func kindOptions(now rig.LineKind) []Option {
	var out []Option
	for _, k := range rig.LineKinds() {
		label := capital(string(k))
		if k == rig.HookNylon {
			label = "Hook nylon" // a phone's column has no room for more
		}
		out = append(out, Option{string(k), label, k == now})
	}
	return out
}

// ticks are the usual ones, and after them those that were ticked beside them.
func ticks(name string, usual, ticked []string, label func(string) string) []Tick {
	var out []Tick
	for _, u := range usual {
		out = append(out, Tick{name, u, label(u), slices.Contains(ticked, u)})
	}
	for _, t := range ticked {
		_, err := strconv.ParseFloat(t, 64)
		if err == nil && len(t) < 6 && !slices.ContainsFunc(out, func(o Tick) bool { return o.Value == t }) && len(out) < mostRows {
			out = append(out, Tick{name, t, label(t), true})
		}
	}
	return out
}

// Bad says whether a field makes no sense as it was typed.
func (f KitForm) Bad(field string) bool { return f.bad[field] }

func (f KitForm) invalid(field string) templ.Attributes { return invalid(f.bad[field]) }

func invalid(is bool) templ.Attributes {
	if is {
		return templ.Attributes{"aria-invalid": "true"}
	}
	return nil
}

// open says whether a part is open: where something in it makes no sense.
func (f KitForm) open(fields ...string) bool {
	for bad := range f.bad {
		for _, field := range fields {
			if bad == field || strings.HasPrefix(bad, field+"-") {
				return true
			}
		}
	}
	return false
}

// leadLine names what may not be used, and the law.
func (p KitPage) leadLine() string {
	return "Your " + strings.Join(p.Lead, ", ") + ": that is lead. " + leadRule + " Use tin or tungsten of that size."
}

// link is the address that shows the kit that is kept.
func (p KitPage) link() string { return "/kit?kit=" + p.Code }

func olivetteName(o OlivetteRow) string {
	if !o.Usual {
		return "the weight beside"
	}
	return o.Grams + " g"
}

func offChart(sizes []string) string {
	return strings.Join(sizes, ", ") + ": kept in your kit, and left out of the sums while this chart is chosen."
}
