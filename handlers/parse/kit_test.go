package parse_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/rig"
)

// emptyForm is the kit's form with nothing filled in.
func emptyForm() url.Values {
	v := url.Values{"chart": {"retail"}, "shot": {"tin"}, "olivette": {"tungsten"}, "whole": {"1"}}
	for _, n := range []string{"main-kind", "main-mm", "main-kg", "hl-kind", "hl-mm", "hl-kg", "ol", "ol-count", "hooks", "rods"} {
		v.Set(n, "")
	}
	for _, s := range club.ShotSizes() {
		v.Set("shot-"+s, "")
		v.Set("weigh-"+s, "")
	}
	for _, p := range rig.Patterns() {
		v.Set("floats-"+p.ID, "")
	}
	return v
}

func TestKit(t *testing.T) {
	t.Parallel()
	for fields, code := range map[string]string{
		"": "1",
		"none=floats&none=main&none=hl&none=hooks&none=rods": "1~f~l~h~k~r",
		// What is told goes before the box for none.
		"none=floats&none=hooks&none=rods&float=stick:4x4&hook=14&rods=13":                     "1~fstick_4x4~k14~r13",
		"shot-BB=plenty&shot-8=40&weigh-8=0,064&weigh-AAA=.81":                                 "1~sAAA-0-810_BB_8-40-64",
		"chart=counts&shot=lead&olivette=tin&shot-7=3":                                         "1~ccounts~mln~s7-3",
		"ol=2.5&ol-count=3&ol=&ol-count=&ol=4&ol-count=&ol=3,3&ol-count=plenty":                "1~o2.5-3_3.3",
		"floats-avon-short=3.3 g; 3.5g, 7 and 8":                                               "1~favon-short_3.3_3.5_7_8",
		"hook=16&hook=14&hooks=15 13":                                                          "1~k13_14_15_16",
		"rod=13&rods=11.5, 23 ft":                                                              "1~r11.5_13_23",
		"main-kind=reel nylon&main-mm=0,16&main-kg=2,5&main-kind=reel nylon&main-mm=&main-kg=": "1~lr160-2.5",
		"hl-kind=fluorocarbon&hl-mm=.12&hl-kg=":                                                "1~hf120",
	} {
		form := emptyForm()
		told, err := url.ParseQuery(strings.ReplaceAll(strings.ReplaceAll(fields, ";", "%3B"), " ", "+"))
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range told {
			form[k] = v
		}
		kit, problems := parse.Kit(form)
		if len(problems) > 0 || kit.Code() != code {
			t.Errorf("%s: %q, want %q; %v", fields, kit.Code(), code, problems)
		}
	}
}

// Where a part makes no sense the others are still read.
func TestKitKeepsWhatMakesSense(t *testing.T) {
	t.Parallel()
	form := emptyForm()
	form.Set("shot-BB", "plenty")
	form.Set("weigh-8", "heavy")
	form["hook"] = []string{"14"}
	form.Set("rods", "long")
	kit, problems := parse.Kit(form)
	var fields []string
	for _, p := range problems {
		fields = append(fields, p.Field)
	}
	if kit.Code() != "1~sBB~k14" || !slices.Equal(fields, []string{"weigh-8", "rods"}) {
		t.Errorf("%q, %v", kit.Code(), problems)
	}
}

// Whatever is sent, what is read is a kit, and where nothing is wrong with the form the
// kit has a code.
func FuzzKit(f *testing.F) {
	f.Add("chart=counts&shot-8=40&weigh-8=0.064&float=stick:4x4&hooks=15 13", true)
	f.Add("ol=2.5&ol-count=3&main-kind=braid&main-mm=0.1&main-kg=5&none=rods", true)
	f.Add("ol=2.5&ol-count=3&ol=2.50&ol-count=plenty", true)
	f.Add("float=stick:x&rod=1e9&hook=-1&floats-stick=NaN, Inf", false)
	f.Fuzz(func(t *testing.T, query string, whole bool) {
		form, err := url.ParseQuery(query)
		if err != nil {
			return
		}
		if whole {
			for k, v := range emptyForm() {
				if !form.Has(k) {
					form[k] = v
				}
			}
		}
		kit, problems := parse.Kit(form)
		if code := kit.Code(); code == "" {
			t.Fatalf("%q is read as %+v, which is no kit; %v", query, kit, problems)
		}
		if !whole && len(problems) == 0 && len(form) < 10 {
			t.Fatalf("%q is taken for a whole form", query)
		}
		for _, p := range problems {
			if p.Say == "" || p.Field == "" || len(p.Say) > 400 {
				t.Fatalf("%q: %+v", query, p)
			}
		}
	})
}
