package web

import (
	"net/url"
	"strconv"

	"github.com/a-h/templ"
)

// SetupPage is a page that sets something up: what there is of it, and forms.
type SetupPage struct {
	Shell         Shell
	Heading       string
	Said, Problem string
	Lead          []string
	Steps         []StepLine
	Parts         []SetupPart
	Next          *SpanLink // what a water lacks that has no sheet yet
	Back          SpanLink
}

// StepLine is a step of setting a club up.
type StepLine struct {
	Name, Href, Says string
	Done, Next       bool
}

// SetupPart is a part of such a page: words, a list, a form, links, in this order.
type SetupPart struct {
	ID, Heading string
	Fold        string // what is said where it is folded; empty: it is not
	Unfolded    bool
	Text        []string
	Code        string // to be copied as it stands
	Map         *MapBox
	Lines       []SetupLine
	Form        *SetupForm
	Links       []SpanLink
}

// SetupLine is a thing in a list, with buttons.
type SetupLine struct {
	Name, Says, Href string
	Acts             []SetupAct
}

// SetupAct is a button of a thing in a list.
type SetupAct struct{ Label, Href, Name, Value string }

// SetupForm is a form. Was is the stamp of what it shows.
type SetupForm struct {
	Action, Was string
	Fields      []SetupField
	Places      []PlaceRow
	Carried     string // a file that was looked at
	Upload      bool
	Buttons     []SetupButton
}

// SetupButton sends a form.
type SetupButton struct{ Label, Name, Value string }

func (f SetupForm) encoding() templ.Attributes {
	if f.Upload {
		return templ.Attributes{"enctype": "multipart/form-data"}
	}
	return nil
}

// SetupField is a field of a form.
type SetupField struct {
	ID, Name, Label, Value, Help string
	Kind                         string // number, area, check, choice, time, file; empty: a line of text
	Choices                      []Choice
	Most                         int    // signs
	Required, Checked, Signed    bool   // a number that is Signed may be below nought
	Accept                       string // of a file
}

func (x SetupField) helpID() string { return x.ID + "-how" }

func (x SetupField) describedBy() templ.Attributes {
	if x.Help == "" {
		return nil
	}
	return templ.Attributes{"aria-describedby": x.helpID()}
}

// longestField is how many signs a field takes that says nothing of it.
const longestField = 80

func (x SetupField) most() string {
	if x.Most > 0 {
		return strconv.Itoa(x.Most)
	}
	return strconv.Itoa(longestField)
}

// PlaceRow is where a peg is, as it is typed.
type PlaceRow struct{ Code, Label, Lat, Lon, Href string }

// Fill is what fills the forms of such a page in: of the form that was sent, what was
// typed, so that nothing is lost.
type Fill struct {
	Form          string
	Values        url.Values
	Said, Problem string
}

// sent says whether a form is the one that was sent.
func (f Fill) sent(form string) bool { return f.Form != "" && f.Form == form }

// value is what a field of a form shows: what was typed, or else what is kept.
func (f Fill) value(form, name, kept string) string {
	if f.sent(form) {
		return f.Values.Get(name)
	}
	return kept
}

func (f Fill) line(form, name, label, kept string) SetupField {
	return SetupField{ID: form + "-" + name, Name: name, Label: label, Value: f.value(form, name, kept), Required: true}
}

func (f Fill) number(form, name, label, kept, help string) SetupField {
	x := f.line(form, name, label, kept)
	x.Kind, x.Help = "number", help
	return x
}

// signed is a number that may be below nought, for which some phones' keys for decimals
// have no sign.
func (f Fill) signed(form, name, label, kept, help string) SetupField {
	x := f.number(form, name, label, kept, help)
	x.Signed = true
	return x
}

func (x SetupField) keys() string {
	if x.Signed {
		return "text"
	}
	return "decimal"
}

func (f Fill) area(form, name, label, kept string) SetupField {
	x := f.line(form, name, label, kept)
	x.Kind, x.Most, x.Required = "area", 2000, false
	return x
}

func (f Fill) time(form, name, label, help string) SetupField {
	x := f.line(form, name, label, "")
	x.Kind, x.Help = "time", help
	return x
}

func (f Fill) check(form, name, label string, kept bool) SetupField {
	if f.sent(form) {
		kept = f.Values.Get(name) != ""
	}
	return SetupField{ID: form + "-" + name, Name: name, Label: label, Kind: "check", Checked: kept}
}

func (f Fill) choice(form, name, label, kept string, all []Choice) SetupField {
	chosen := f.value(form, name, kept)
	for i := range all {
		all[i].Chosen = all[i].Value == chosen
	}
	return SetupField{ID: form + "-" + name, Name: name, Label: label, Kind: "choice", Choices: all}
}

// optional is a field that may stay empty.
func optional(x SetupField, help string) SetupField {
	x.Required, x.Help = false, help
	return x
}

func file(form, name, label, accept, help string) SetupField {
	return SetupField{ID: form + "-" + name, Name: name, Label: label, Kind: "file", Accept: accept, Help: help}
}

func button(label string) []SetupButton { return []SetupButton{{Label: label}} }
