package main

import (
	"fmt"
	"net/url"
	"strings"
	"time"

	"levelpeg/club"
)

// ask is one request that a reader makes, and what the answer has to be.
type ask struct {
	path   string
	token  string // of a session; empty: a visitor
	status int    // 0: 200
	wants  string // stands in the body, or in where it leads to
}

// kind is a kind of request, its share of all, and how one is made.
type kind struct {
	name  string
	share int
	make  func(r *reader) ask
}

// kinds are the mix, in parts of a thousand.
func kinds() []kind {
	return []kind{
		{"sheet, visitor", 220, func(r *reader) ask { p := r.openPeg(); return ask{path: p.path(), wants: p.words()} }},
		{"sheet, member", 200, func(r *reader) ask { p := r.anyPeg(); return ask{path: p.path(), token: r.member(), wants: p.words()} }},
		{"sheet at a level", 100, sheetAtLevel},
		{"sheet at an hour", 20, sheetAtHour},
		{"sheet as JSON", 60, func(r *reader) ask {
			p := r.openPeg()
			return ask{path: p.path() + ".json", wants: `"code":"` + p.Code + `"`}
		}},
		{"venue", 80, func(r *reader) ask { v := r.openVenue(); return ask{path: "/venues/" + v.Slug, wants: v.Name} }},
		{"gauge, a recent span", 50, func(r *reader) ask { return gaugeAt(r, 0, 4) }},
		{"gauge, a year and more", 30, func(r *reader) ask { return gaugeAt(r, 4, 8) }},
		{"what to tie tonight", 12, func(r *reader) ask {
			v := r.openVenue()
			return ask{path: "/venues/" + v.Slug + "/tonight", token: r.member(), wants: v.Name}
		}},
		{"find: a peg of a venue", 20, findPeg},
		{"find: a number alone", 10, func(r *reader) ask {
			p := r.openPeg()
			return ask{path: "/find?q=" + p.Label, wants: "Which one?"}
		}},
		{"find: a venue", 10, findVenue},
		{"a peg's code", 10, func(r *reader) ask { p := r.openPeg(); return ask{path: "/p/" + p.Code, status: 302, wants: p.path()} }},
		{"home", 40, func(r *reader) ask { return ask{path: "/", token: r.sometimes(), wants: "Federation of the Load"} }},
		{"guide", 35, func(r *reader) ask { return ask{path: r.guides[r.IntN(len(r.guides))], wants: "</html>"} }},
		{"guide, a step", 60, func(r *reader) ask { return ask{path: r.steps[r.IntN(len(r.steps))], wants: "</html>"} }},
		{"venue as JSON", 10, func(r *reader) ask {
			v := r.openVenue()
			return ask{path: "/venues/" + v.Slug + ".json", wants: `"slug":"` + v.Slug + `"`}
		}},
		{"gauge as JSON", 10, func(r *reader) ask {
			a := gaugeAt(r, 0, 8)
			return ask{path: strings.Replace(a.path, "?", ".json?", 1), wants: `"gauge"`}
		}},
		{"tonight as JSON", 2, func(r *reader) ask {
			v := r.openVenue()
			return ask{path: "/venues/" + v.Slug + "/tonight.json", wants: `"rigs"`}
		}},
		{"all venues as JSON", 2, func(r *reader) ask { return ask{path: "/venues.json", wants: `"venues"`} }},
		{"notes of a peg", 7, func(r *reader) ask { p := r.openPeg(); return ask{path: p.path() + "/notes", wants: p.Label} }},
		{"page of recording", 5, func(r *reader) ask { return ask{path: "/record", token: r.bailiff(), wants: "</html>"} }},
		{"venue for a phone", 2, func(r *reader) ask {
			v := r.openVenue()
			return ask{path: "/venues/" + v.Slug + "/saved.json", wants: v.Name}
		}},
		{"card of a peg, PDF", 4, func(r *reader) ask { p := r.openPeg(); return ask{path: p.path() + ".pdf", wants: "%PDF-"} }},
		{"what to tie, PDF", 1, func(r *reader) ask {
			v := r.openVenue()
			return ask{path: "/venues/" + v.Slug + "/tonight.pdf", wants: "%PDF-"}
		}},
	}
}

func (p peg) path() string { return "/venues/" + p.Venue + "/pegs/" + p.Label }

// words stand on a peg's sheet and on no other's.
func (p peg) words() string { return p.Code }

// sometimes is a session every second time.
func (r *reader) sometimes() string {
	if r.IntN(2) == 0 {
		return ""
	}
	return r.member()
}

func sheetAtLevel(r *reader) ask {
	p := r.openPeg()
	g := r.gaugeOf(p.Gauge)
	level := g.LowM + float64(r.IntN(1+int((g.HighM-g.LowM)*100)))/100
	return ask{path: fmt.Sprintf("%s?level=%.2f", p.path(), level), wants: p.words()}
}

// sheetAtHour is of an hour of the next two days.
func sheetAtHour(r *reader) ask {
	p := r.openPeg()
	at := time.Now().UTC().Truncate(time.Hour).Add(time.Duration(1+r.IntN(48)) * time.Hour)
	return ask{path: p.path() + "?at=" + url.QueryEscape(at.Format(time.RFC3339)), wants: p.words()}
}

// gaugeAt is of one of the spans that a page offers, from shortest to longest.
func gaugeAt(r *reader, from, upto int) ask {
	g, spans := r.anyGauge(), club.Spans()
	return ask{path: "/gauges/" + g.Slug + "?span=" + spans[from+r.IntN(upto-from)].Slug, wants: "Board " + strings.TrimPrefix(g.Slug, "board-")}
}

func findPeg(r *reader) ask {
	p := r.openPeg()
	return ask{path: "/find?q=" + url.QueryEscape(strings.ReplaceAll(p.Venue, "-", " ")+" "+p.Label), status: 303, wants: p.path()}
}

func findVenue(r *reader) ask {
	v := r.openVenue()
	return ask{path: "/find?q=" + url.QueryEscape(v.Name), status: 303, wants: "/venues/" + v.Slug}
}

// chooser picks kinds by their shares.
type chooser struct {
	kinds []kind
	total int
}

func newChooser(all []kind, only string) (chooser, error) {
	var c chooser
	for _, k := range all {
		if only == "" || k.name == only {
			c.kinds = append(c.kinds, k)
			c.total += k.share
		}
	}
	if c.total == 0 {
		return c, fmt.Errorf("no kind of page is called %q", only)
	}
	return c, nil
}

// pick gives the kind that n, of 0 up to total, falls to.
func (c chooser) pick(n int) int {
	for i, k := range c.kinds {
		if n -= k.share; n < 0 {
			return i
		}
	}
	return len(c.kinds) - 1
}
