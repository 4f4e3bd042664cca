package club

import (
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"levelpeg/rig"
)

var safe = regexp.MustCompile(`^[A-Za-z0-9._~-]+$`)

// sameKit checks that a kit comes back from its code, and its code from that.
func sameKit(t interface {
	Helper()
	Fatalf(string, ...any)
}, m MyKit) {
	t.Helper()
	code := m.Code()
	if !safe.MatchString(code) || len(code) >= longestCode {
		t.Fatalf("%+v has the code %q of %d bytes", m, code, len(code))
	}
	back, err := ParseMyKit(code)
	if err != nil || back.Code() != code {
		t.Fatalf("%q comes back as %q, %v", code, back.Code(), err)
	}
	a, errA := m.Kit()
	b, errB := back.Kit()
	if errA != nil || errB != nil || a.Key() != b.Key() || (a.Floats == nil) != (b.Floats == nil) ||
		!slices.Equal(a.Hooks, b.Hooks) || (a.Hooks == nil) != (b.Hooks == nil) || !slices.Equal(a.RodsFt, b.RodsFt) || (a.RodsFt == nil) != (b.RodsFt == nil) ||
		!slices.Equal(a.MainLines, b.MainLines) || (a.MainLines == nil) != (b.MainLines == nil) ||
		!slices.Equal(a.HookLengths, b.HookLengths) || (a.HookLengths == nil) != (b.HookLengths == nil) {
		t.Fatalf("the kit of %q is another when it comes back: %+v and %+v, %v, %v", code, a.Kit, b.Kit, errA, errB)
	}
}

func TestKitCodes(t *testing.T) {
	for code, want := range map[string]MyKit{
		"1":   {},
		"1~f": {Floats: []KitFloat{}},
		"1~ccounts~mul~sBB-40_4_8--64_10-0-33~o2.5-3_4~favon-short_3_3.3~fstick_4x4~lr160-2.5~h~k14_16~r11_12.5": {
			Chart: "counts", Shot: rig.Tungsten, Olivette: rig.Lead,
			Shots:     []KitShot{{"10", 0, 0.033}, {"8", Plenty, 0.064}, {"BB", 40, 0}, {"4", Plenty, 0}, {"6", 0, 0}},
			Olivettes: []KitOlivette{{4, Plenty}, {2.5, 3}},
			Floats:    []KitFloat{{"stick", 0, 4, "4"}, {"avon-short", 3.3, 0, ""}, {"avon-short", 3, 0, ""}, {"stick", 0, 4, "4"}},
			MainLines: []rig.Spool{{Kind: rig.ReelNylon, DiameterMM: 0.16, LabelKg: 2.5}}, HookLengths: []rig.Spool{},
			Hooks: []int{16, 14, 16}, RodsFt: []float64{12.5, 11},
		},
	} {
		std := StandardTackle()
		if want.Chart == "" {
			want.Chart, want.Shot, want.Olivette = std.Chart, std.Shot, std.Olivette
		}
		if got := want.Code(); got != code {
			t.Errorf("the code is %q, want %q", got, code)
		}
		sameKit(t, want)
	}
}

// Equal kits have one code, in whatever order and however often things are told.
func TestACodeIsOne(t *testing.T) {
	for other, code := range map[string]string{
		"1~cretail~mnu~s8_BB":                   "1~sBB_8",
		"1~k18_14_14":                           "1~k14_18",
		"1~o4_2.50":                             "1~o2.5_4",
		"1~fstick_5x4~favon-short_3~fstick_3x4": "1~favon-short_3~fstick_3x4_5x4",
		"1~r13.0_11":                            "1~r11_13",
		"1~s8-0_BB":                             "1~sBB",
	} {
		m, err := ParseMyKit(other)
		if err != nil || m.Code() != code {
			t.Errorf("%q is %q, want %q; %v", other, m.Code(), code, err)
		}
	}
}

func TestWhatIsNoCode(t *testing.T) {
	for _, code := range []string{
		"", "0", "2~sBB", "1~", "1~~", "1~x", "1~sBB~sAAA", "1~s", "1~o", "1~s2", "1~sBB-1001", "1~sBB--x", "1~sBB-3-0", "1~sBB-3-10001", "1~sBB-", "1~s8--640", "1~s8--20", "1~sBB-3-", "1~sBB_BB",
		"1~cbrass", "1~mxx", "1~mn", "1~mnul", "1~o0", "1~o41", "1~o2-0", "1~o2_2", "1~o1e1", "1~oNaN", "1~oInf", "1~o-2", "1~fplug_3", "1~fstick", "1~fstick_", "1~fstick_0", "1~fstick_41",
		"1~fstick_3x13", "1~fstick_21x4", "1~fstick_3x99", "1~f~f", "1~f~fstick_4x4", "1~fstick_4x4~f", "1~lq160", "1~lr", "1~lr39", "1~lr601", "1~lr160-0", "1~lr160-51", "1~hb120", "1~l_",
		"1~k3", "1~k23", "1~k", "1~kx", "1~r4", "1~r51", "1~r-13", "1~r0x10", "1~r1e1", "1~s" + strings.Repeat("8_", 2000), "1~r" + strings.Join(strings.Split("5 6 7 8 9 10 11 12 13 14 15 16 17", " "), "_"),
		"1~sBB\x00", "1~sＢＢ", " 1~sBB", "1~sBB ", "1~sBB~", "<script>", "1~k14%20",
	} {
		m, err := ParseMyKit(code)
		if code == "1~k" { // none, which is a kit
			if err != nil || m.Hooks == nil || len(m.Hooks) != 0 {
				t.Errorf("%q: %+v, %v", code, m, err)
			}
			continue
		}
		if KindOf(err) != Invalid || err.(*Fault).Say == "" || len(err.(*Fault).Say) > 300 {
			t.Errorf("%.40q: %+v, %v", code, m, err)
		}
	}
}

func TestWhatIsNoKit(t *testing.T) {
	for name, change := range map[string]func(*MyKit){
		"NaN of shot":     func(m *MyKit) { m.Shots = []KitShot{{"8", 1, math.NaN()}} },
		"Inf of olivette": func(m *MyKit) { m.Olivettes = []KitOlivette{{math.Inf(1), 1}} },
		"NaN of float":    func(m *MyKit) { m.Floats = []KitFloat{{"stick", math.NaN(), 0, ""}} },
		"both marks":      func(m *MyKit) { m.Floats = []KitFloat{{"stick", 3, 3, "4"}} },
		"NaN of line":     func(m *MyKit) { m.MainLines = []rig.Spool{{Kind: rig.ReelNylon, DiameterMM: math.NaN()}} },
		"NaN of rod":      func(m *MyKit) { m.RodsFt = []float64{math.NaN()} },
		"braid, no label": func(m *MyKit) { m.HookLengths = []rig.Spool{{Kind: rig.Braid, DiameterMM: 0.1}} },
		"no chart":        func(m *MyKit) { m.Chart = "" },
		"gold":            func(m *MyKit) { m.Shot = "gold" },
		"minus two shot":  func(m *MyKit) { m.Shots = []KitShot{{"8", -2, 0}} },
	} {
		m := SupposedKit()
		change(&m)
		if _, err := m.Tidy(); KindOf(err) != Invalid {
			t.Errorf("%s is taken: %v", name, err)
		}
		if _, err := m.Kit(); KindOf(err) != Invalid || m.Code() != "" {
			t.Errorf("%s makes a kit: %q, %v", name, m.Code(), err)
		}
	}
}

// anyKit draws a kit that may hold the most of everything.
func anyKit(t *rapid.T) MyKit {
	count := rapid.OneOf(rapid.Just(Plenty), rapid.IntRange(1, rig.HeldMost))
	spool := rapid.Custom(func(t *rapid.T) rig.Spool {
		return rig.Spool{Kind: rapid.SampledFrom(rig.LineKinds()).Draw(t, "kind"), DiameterMM: float64(rapid.IntRange(40, 600).Draw(t, "µm")) / 1000,
			LabelKg: float64(rapid.IntRange(10, 5000).Draw(t, "dag")) / 100}
	})
	m := MyKit{Chart: rapid.SampledFrom(rig.Charts()).Draw(t, "chart").Name,
		Shot: rapid.SampledFrom(Materials()).Draw(t, "shot"), Olivette: rapid.SampledFrom(Materials()).Draw(t, "olivette")}
	for _, size := range rapid.SliceOfDistinct(rapid.SampledFrom(ShotSizes()), rapid.ID[string]).Draw(t, "sizes") {
		share := rapid.SampledFrom([]float64{0, 0.6, 0.97, 1, 1.3, 1.9}).Draw(t, "share of the chart's weight")
		m.Shots = append(m.Shots, KitShot{size, count.Draw(t, "count"), share * m.shotG(size)})
	}
	for _, g := range rapid.SliceOfNDistinct(rapid.IntRange(50, 40000), 0, olivettesMost, rapid.ID[int]).Draw(t, "olivettes") {
		m.Olivettes = append(m.Olivettes, KitOlivette{float64(g) / 1000, count.Draw(t, "count")})
	}
	var every []KitFloat
	for _, p := range rig.Patterns() {
		every = append(append(every, FloatsOf(p)...), KitFloat{Pattern: p.ID, G: 3.35}, KitFloat{Pattern: p.ID, G: 12.05})
	}
	if rapid.Bool().Draw(t, "floats said") {
		m.Floats = rapid.SliceOfN(rapid.SampledFrom(every), 0, floatsMost).Draw(t, "floats")
	}
	if rapid.Bool().Draw(t, "lines said") {
		m.MainLines = rapid.SliceOfN(spool, 0, spoolsMost).Draw(t, "main")
		m.HookLengths = rapid.SliceOfN(spool, 0, spoolsMost).Draw(t, "hook lengths")
	}
	if rapid.Bool().Draw(t, "hooks said") {
		m.Hooks = rapid.SliceOfN(rapid.IntRange(HookLargest, HookFinest), 0, 30).Draw(t, "hooks")
		m.RodsFt = rapid.SliceOfN(rapid.Map(rapid.IntRange(50, 500), func(n int) float64 { return float64(n) / 10 }), 0, rodsMost).Draw(t, "rods")
	}
	return m
}

func TestAnyKitComesBack(t *testing.T) {
	rounds := 1
	if os.Getenv("LEVELPEG_LONG") != "" {
		rounds = 20
	}
	for range rounds {
		rapid.Check(t, func(t *rapid.T) { sameKit(t, anyKit(t)) })
	}
}

// The longest code of all is short enough for an address and a cookie.
func TestTheFullestKitIsShort(t *testing.T) {
	m := MyKit{Chart: "continental", Shot: rig.Lead, Olivette: rig.Lead}
	for _, s := range ShotSizes() {
		m.Shots = append(m.Shots, KitShot{s, rig.HeldMost, 1.7 * m.shotG(s)})
	}
	for i := range olivettesMost {
		m.Olivettes = append(m.Olivettes, KitOlivette{10.001 + float64(i)/2, rig.HeldMost})
	}
	for _, p := range rig.Patterns() {
		for i := range floatsMost / len(rig.Patterns()) {
			m.Floats = append(m.Floats, KitFloat{Pattern: p.ID, G: 10.01 + float64(i)})
		}
	}
	for i := range spoolsMost {
		m.MainLines = append(m.MainLines, rig.Spool{Kind: rig.Braid, DiameterMM: 0.5 + float64(i)/1000, LabelKg: 11.11})
	}
	m.HookLengths = m.MainLines
	for n := HookLargest; n <= HookFinest; n++ {
		m.Hooks = append(m.Hooks, n)
	}
	for i := range rodsMost {
		m.RodsFt = append(m.RodsFt, 10.5+float64(i))
	}
	sameKit(t, m)
	t.Logf("the fullest kit is %d bytes, everything %d", len(m.Code()), len(everything().Code()))
}

func FuzzParseMyKit(f *testing.F) {
	for _, p := range Presets() {
		f.Add(p.Kit.Code())
	}
	f.Add("1~ccounts~mul~sBB-40_8--64~o2.5-3~favon-short_3.3~fstick_4x4~lr160-2.5~hf120~k14~r12.5")
	f.Fuzz(func(t *testing.T, code string) {
		m, err := ParseMyKit(code)
		if err == nil {
			sameKit(t, m)
		} else if KindOf(err) != Invalid {
			t.Fatalf("%q: %v", code, err)
		}
	})
}

// TestPresets: each is a kit, written in full, and a rig can be tied from those that
// have any float and weight.
func TestPresets(t *testing.T) {
	for _, p := range Presets() {
		sameKit(t, p.Kit)
		tidy, err := p.Kit.Tidy()
		if err != nil || len(tidy.Floats) != len(p.Kit.Floats) || len(p.Kit.UnlawfulLead()) > 0 {
			t.Errorf("%s: %v, %+v", p.Name, err, p.Kit)
		}
		for _, f := range tidy.Floats {
			if in, _ := pattern(f.Pattern); !slices.Contains(FloatsOf(in), f) {
				t.Errorf("%s has a %s of %s, which none is usually", p.Name, f.Pattern, f.Marking())
			}
		}
		k, err := p.Kit.Kit()
		if err != nil {
			t.Fatal(err)
		}
		rigs, err := rig.Suggest(rig.Water{DepthM: 1.5, PaceMPS: 0.5, DistanceM: 6}, rig.Aim{}, k.Kit)
		if p.ID == "nothing" {
			if err == nil {
				t.Errorf("of nothing the %s is tied", rigs[0].Name)
			}
			continue
		}
		if err != nil || len(rigs) == 0 {
			t.Errorf("%s ties nothing for 1.5 m at 0.5 m/s: %v", p.Name, err)
		}
	}
	if _, err := PresetKit("nowhere"); KindOf(err) != Invalid {
		t.Errorf("%v", err)
	}
	if m, err := PresetKit("junior"); err != nil || m.Words() != "3 floats, 3 sizes of tin shot, 1 size of tungsten olivette, 2 main lines, 2 hook lengths, hooks 14, 16 and 18, 1 rod: 11 ft (3.4 m)" {
		t.Errorf("%q, %v", m.Words(), err)
	}
}

// What a sheet supposes of someone who has said nothing is the standard kit.
func TestSupposedKitIsTheStandardOne(t *testing.T) {
	k, err := SupposedKit().Kit()
	if err != nil {
		t.Fatal(err)
	}
	std := rig.StandardKit()
	if k.Chart.Name != std.Chart.Name || !slices.Equal(k.Sizes, std.Sizes) || !slices.Equal(k.OlivettesG, std.OlivettesG) || k.Floats != nil || k.Hooks != nil || len(k.Held) != 0 {
		t.Errorf("%+v", k.Kit)
	}
}

func TestKitOfAMyKit(t *testing.T) {
	m, err := ParseMyKit("1~sBB-40_8--64~favon-short_3~fstick_4x4~k") // the example of docs/api.md
	if err != nil || m.Words() != "2 floats, 2 sizes of tin shot, no olivettes, no hooks" || m.Shots[1].WeighedG != 0.064 {
		t.Errorf("%q, %v", m.Words(), err)
	}
	m, err = ParseMyKit("1~ccounts~mlu~sSSG-0-1900_AB-3_8--64_11~o2.5-3_4~fstick_4x4~favon-short_3.3~k")
	if err != nil {
		t.Fatal(err)
	}
	k, err := m.Kit()
	if err != nil {
		t.Fatal(err)
	}
	// No.11 is not on the chart of counts, and no SSG are held.
	if !slices.Equal(k.Sizes, []string{"AB", "8"}) || len(k.Held) != 2 || k.Held["AB"] != 3 || k.Held["2.5 g"] != 3 || len(k.WeighedG) != 1 || k.WeighedG["8"] != 0.064 {
		t.Errorf("%+v", k.Kit)
	}
	// 4 × No.4 of the old counts, 0.167 g each (rig/chart.go).
	if len(k.Floats) != 2 || math.Abs(k.Floats[1].CapacityG-0.668) > 1e-9 || k.Floats[0].CapacityG != 3.3 {
		t.Errorf("%+v", k.Floats)
	}
	if k.Hooks == nil || len(k.Hooks) != 0 || k.RodsFt != nil || k.MainLines != nil {
		t.Errorf("none and not said are mixed up: %+v", k.Kit)
	}
	if got := m.OffChart(); !slices.Equal(got, []string{"No.11"}) {
		t.Errorf("off the chart: %v", got)
	}
}

// A kit that is nearly or quite empty is answered with a sentence, or with a rig.
func TestAnEmptyKitIsAnswered(t *testing.T) {
	for code, rigs := range map[string]bool{"1": false, "1~o2": false, nothing().Code(): false, "1~sBB~f": false, "1~sSSG-1~fflat_3": false, "1~s8-0-64": false, "1~s8~fstick_4x4": true} {
		m, err := ParseMyKit(code)
		if err != nil {
			t.Fatal(err)
		}
		k, err := m.Kit()
		if err != nil {
			t.Fatal(err)
		}
		a, err := NewRigMemory(0).Answer(&rig.Water{DepthM: 1.5, PaceMPS: 0.5, DistanceM: 6}, nil, rig.Aim{}, k)
		if err != nil || (len(a.Rigs) > 0) != rigs || (a.No == "") != rigs {
			t.Errorf("%s: %d rigs, %q, %v", code, len(a.Rigs), a.No, err)
		}
	}
}

// Lead: SI 1986/1992 and the rod fishing rules of gov.uk, as rig.Law has them.
func TestUnlawfulLead(t *testing.T) {
	for code, want := range map[string]string{
		"1~sSSG_BB_8_10":         "",
		"1~mlu~sSSG_BB-0-400_8":  "SSG",
		"1~mlu~s7_8_9":           "No.7",
		"1~mlu~s8--61_9--60":     "No.8",
		"1~mul~sSSG~o2_28.35_29": "2 g olivette, 28.35 g olivette",
		"1~ccounts~mlu~s7--58":   "",
	} {
		m, err := ParseMyKit(code)
		if got := strings.Join(m.UnlawfulLead(), ", "); err != nil || got != want {
			t.Errorf("%s: %q, want %q; %v", code, got, want, err)
		}
	}
}

func TestKitWords(t *testing.T) {
	for code, want := range map[string]string{
		"1":                           "any float that is made, no shot, no olivettes",
		"1~f~k~r~l~h":                 "no floats, no shot, no olivettes, no main lines, no hook lengths, no hooks, no rods",
		"1~fstick_4x4~sBB_8-3~r13_15": "1 float, 2 sizes of tin shot, no olivettes, 2 rods: 13 and 15 ft (4.0 and 4.6 m)",
		"1~lr160":                     "any float that is made, no shot, no olivettes, 1 main line, any hook length",
	} {
		m, err := ParseMyKit(code)
		if err != nil || m.Words() != want {
			t.Errorf("%s: %q, want %q; %v", code, m.Words(), want, err)
		}
	}
}
