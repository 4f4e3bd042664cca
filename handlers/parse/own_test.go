package parse_test

import (
	"math"
	"net/url"
	"testing"

	"pgregory.net/rapid"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/rig"
)

func query(t *testing.T, text string) url.Values {
	t.Helper()
	q, err := url.ParseQuery(text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// A foot is 0.3048 m exactly.
func TestOwnDepth(t *testing.T) {
	for text, want := range map[string]float64{
		"2.20": 2.2, "2,2": 2.2, "2.2 m": 2.2, "2.2m": 2.2, " 2 ": 2, "7 ft 3 in": 2.21, "7ft": 2.13, `6'10"`: 2.08, "6' 6": 1.98, "6’6”": 1.98, "7 FT 3": 2.21, ".5": 0.5,
	} {
		o, err := parse.Own(url.Values{"depth": {text}})
		if err != nil || o.DepthM == nil || math.Abs(*o.DepthM-want) > 1e-9 {
			t.Errorf("%q: %v, %v, want %v", text, o.DepthM, err, want)
		}
	}
	for _, text := range []string{"x", "0", "-1", "31", "7 ft 13 in", "1e1", "NaN", "7ft3in2", "99999", "2.2 km", "\x00", "2 ft 3 ft", "'"} {
		o, err := parse.Own(url.Values{"depth": {text}})
		if club.KindOf(err) != club.Invalid || !o.IsZero() || len([]rune(err.Error())) > 250 {
			t.Errorf("%q: %+v, %v, want a refusal", text, o, err)
		}
	}
	if o, err := parse.Own(url.Values{"depth": {""}, "pace": {" "}, "over": {""}, "secs": {""}, "boil": {""}, "out": {""}}); err != nil || !o.IsZero() {
		t.Errorf("an empty form: %+v, %v", o, err)
	}
}

// 4.026 m in 4.5 s is 0.895 m/s: hydrometry guides on timing pace by float.
func TestOwnPace(t *testing.T) {
	o, err := parse.Own(query(t, "over=4.026&secs=4.5"))
	if v, ok := o.Measured(); err != nil || !ok || math.Abs(v-0.895) > 0.0005 {
		t.Errorf("%v, %v, %v", v, ok, err)
	}
	if o, err := parse.Own(query(t, "pace=0.45&boil=2&out=9.5")); err != nil || *o.PaceMPS != 0.45 || *o.Boil != 2 || *o.OutM != 9.5 {
		t.Errorf("%+v, %v", o, err)
	}
	for text, want := range map[string]club.Feel{"slower": club.Slower, "faster": club.Faster} {
		if o, err := parse.Own(url.Values{"pace": {text}}); err != nil || o.Feel != want {
			t.Errorf("%s: %+v, %v", text, o, err)
		}
	}
	for _, text := range []string{"pace=quick", "pace=7", "pace=-0.1", "over=5", "secs=9", "over=5&secs=x", "over=5&secs=0.1", "over=500&secs=60", "over=20&secs=1", "pace=0.4&over=5&secs=11",
		"pace=slower&over=5&secs=11", "boil=4", "boil=-1", "boil=1.5", "boil=rough", "out=-1", "out=500", "out=x"} {
		o, err := parse.Own(query(t, text))
		if club.KindOf(err) != club.Invalid || !o.IsZero() {
			t.Errorf("%s: %+v, %v, want a refusal", text, o, err)
		}
	}
	// What is right beside what is wrong is kept.
	if o, err := parse.Own(query(t, "depth=2.2&boil=rough")); club.KindOf(err) != club.Invalid || o.DepthM == nil || *o.DepthM != 2.2 {
		t.Errorf("%+v, %v", o, err)
	}
}

func TestBreezeAndAim(t *testing.T) {
	if b, err := parse.Breeze(query(t, "wind=SW&force=4")); err != nil || b != (club.Breeze{From: "SW", Force: 4}) {
		t.Errorf("%+v, %v", b, err)
	}
	if b, err := parse.Breeze(query(t, "wind=&force=")); err != nil || b != (club.Breeze{}) {
		t.Errorf("%+v, %v", b, err)
	}
	for _, text := range []string{"wind=SW", "force=4", "wind=gale&force=8", "wind=SW&force=9", "wind=SW&force=-1", "wind=SW&force=x", "wind=sw&force=3"} {
		if b, err := parse.Breeze(query(t, text)); club.KindOf(err) != club.Invalid || b != (club.Breeze{}) {
			t.Errorf("%s: %+v, %v, want a refusal", text, b, err)
		}
	}
	if a, err := parse.Aim(query(t, "fish=chub&bait=bread+flake")); err != nil || a != (rig.Aim{Fish: "chub", Bait: "bread flake"}) {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err := parse.Aim(query(t, "junior=1")); err != nil || a != (rig.Aim{Junior: true}) {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err := parse.Aim(query(t, "junior=yes")); club.KindOf(err) != club.Invalid || a != (rig.Aim{}) {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err := parse.Aim(query(t, "fish=&bait=")); err != nil || a != (rig.Aim{}) {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err := parse.Aim(query(t, "fish=whale&bait=caster")); club.KindOf(err) != club.Invalid || a != (rig.Aim{Bait: "caster"}) {
		t.Errorf("%+v, %v", a, err)
	}
}

// TestOwnOfAnything: what is taken can be asked of a sheet, and nothing panics.
func TestOwnOfAnything(t *testing.T) {
	text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[+-]?[0-9.,eEftin'" ]{0,9}`), rapid.SampledFrom([]string{"slower", "faster", "NaN", "Inf"}))
	rapid.Check(t, func(t *rapid.T) {
		q := url.Values{}
		for _, name := range []string{"depth", "pace", "over", "secs", "boil", "out"} {
			q.Set(name, text.Draw(t, name))
		}
		o, _ := parse.Own(q)
		if err := o.Check(); err != nil {
			t.Fatalf("%v is taken as %+v: %v", q, o, err)
		}
	})
}
