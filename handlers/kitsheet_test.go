package handlers_test

import (
	"encoding/json"
	"html"
	"strings"
	"testing"
)

// The kits of these tests: nothing at all; one float and one size of shot, with the wrong
// rod and no hook length; all that a float here takes, spelt out; and a weighed one.
const (
	emptyKit   = "1~f~l~h~k~r"
	littleKit  = "1~s4~fstick_5x4~lr160-2.5~h~k10~r5"
	fullKit    = "1~sSSG_AAA_BB_1_4_6_8_10~o0.5_0.75_1_1.25_1.5_1.75_2_2.25_2.5_3_4_5_6"
	weighedKit = "1~mlu~sBB_4_8--65~fstick_4x4_5x4_6x4~favon-short_3"
)

// TestKitsOnEveryPage: with a kit of almost nothing, with an empty one and with
// everything each page has sensible words and a way on, and never a fault of ours.
func TestKitsOnEveryPage(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	pages := map[string]string{"sheet": sheetOfPeg14 + "?", "own": "/rig?depth=1.8&pace=0.5&", "tonight": tonight + "?"}
	for name, path := range pages {
		for kit, words := range map[string][]string{
			emptyKit:   {"The kit holds no shot", "The kit in this address", `href="/kit"`, "kit=none"},
			littleKit:  {"5 × No.4 stick", "You have no hook length", "You have no rod of 13", "Change my kit"},
			fullKit:    {"any float that is made", `class="rigc"`, "Change my kit"},
			weighedKit: {`class="rigc"`, "3 sizes of lead shot"},
			"none":     {`class="rigc"`},
		} {
			a := s.get(path + "kit=" + kit)
			body := html.UnescapeString(a.body)
			if a.status != 200 {
				t.Errorf("%s with %s: %d", name, kit, a.status)
			}
			for _, w := range words {
				if !strings.Contains(body, w) {
					t.Errorf("%s with %s does not say “%s”", name, kit, w)
				}
			}
			if kit == emptyKit && strings.Contains(body, `class="rigc"`) {
				t.Errorf("%s: a rig from an empty kit", name)
			}
			if kit == fullKit && strings.Contains(body, "You have no") {
				t.Errorf("%s: something is missing from everything", name)
			}
		}
		if a := s.get(path + "kit=brass"); a.status != 400 || !strings.Contains(a.body, `role="alert"`) {
			t.Errorf("%s with no kit at all: %d", name, a.status)
		}
	}
	s.want(sheetOfPeg14+"?kit="+emptyKit, 200, "With a full box it would be a ", "change my kit")
	a := s.want(sheetOfPeg14+"?kit="+littleKit, 200)
	if !strings.Contains(a.body, `href="?run=inside&amp;kit=`+littleKit+`"`) {
		t.Error("a link to another run loses the kit of the address")
	}
}

// TestKitAsJSON: a program is told what the kit lacks and what a full box would have.
func TestKitAsJSON(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	var said struct {
		Shot struct {
			Kit     string
			KitFrom string `json:"kit_from"`
		}
		Rigs []struct {
			Name  string
			Lacks []struct{ What, Say string } `json:"kit_lacks"`
		}
		NoRig string                 `json:"no_rig_because"`
		Full  *struct{ Name string } `json:"with_a_full_box"`
	}
	ask := func(path string, header ...string) {
		t.Helper()
		said.Rigs, said.NoRig, said.Full, said.Shot.Kit, said.Shot.KitFrom = nil, "", nil, "", ""
		a := s.get(path, header...)
		if err := json.Unmarshal([]byte(a.body), &said); a.status != 200 || err != nil {
			t.Fatalf("%d, %v: %.300s", a.status, err, a.body)
		}
	}
	sheet := "/venues/sallow-reach/pegs/14.json"
	ask(sheet + "?kit=" + littleKit)
	if len(said.Rigs) != 1 || said.Rigs[0].Name != "5 × No.4 stick" || len(said.Rigs[0].Lacks) < 3 || said.Shot.KitFrom != "address" {
		t.Errorf("%+v", said)
	}
	ask(sheet + "?kit=" + emptyKit)
	if len(said.Rigs) != 0 || said.Full == nil || said.NoRig == "" {
		t.Errorf("%+v", said)
	}
	ask(sheet, "Cookie", "levelpeg_kit="+littleKit)
	if len(said.Rigs) != 1 || said.Shot.KitFrom != "phone" {
		t.Errorf("by the cookie: %+v", said)
	}
	ask(sheet+"?kit=none", "Cookie", "levelpeg_kit="+littleKit)
	if len(said.Rigs) < 2 || said.Shot.Kit != "" {
		t.Errorf("with none: %+v", said)
	}
	ask(sheet, "Cookie", "levelpeg_kit=brass")
	if len(said.Rigs) < 2 || said.Shot.Kit != "" {
		t.Errorf("by a cookie that is no kit: %+v", said)
	}
}

// TestKitHelp: one more thing, weighed against the waters.
func TestKitHelp(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	s.want("/kit/help", 200, "You have not said what you carry yet", `href="/kit"`)
	s.want("/kit/help?kit="+littleKit, 200, "would help most: right for ", "Sallow Reach, Tansy Meadow and Cinder Bend", "Next best", `href="/kit/help?venue=tansy-meadow&amp;kit=`+littleKit)
	s.want("/kit/help?venue=sallow-reach&kit="+littleKit, 200, "different waters of Sallow Reach, at")
	s.want("/kit/help?kit="+fullKit, 200, "Nothing you lack")
	s.want("/kit/help?kit="+emptyKit, 200)
	s.want("/kit/help?kit=brass&fish=whale&venue=nowhere", 400, `role="alert"`, "is not a fish")
}
