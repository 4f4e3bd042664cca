package web

import (
	"strconv"

	"levelpeg/club"
)

// KitHelpPage is which one thing more would help a kit most.
type KitHelpPage struct {
	Shell   Shell
	Problem string
	No      string
	Kit     string
	KitSays string
	Over    string // the waters it was weighed against
	Answer  string
	Rows    []AidRow
	Venues  []SpanLink // one venue alone, or all
}

// AidRow is one addition.
type AidRow struct{ Name, Says string }

// NewKitHelpPage shapes the answer for the page.
func NewKitHelpPage(a Assets, h *club.KitHelp, home club.Home, t club.Tackle) KitHelpPage {
	p := KitHelpPage{Shell: NewShell(a, h.Club, h.Member, "What would help my kit most"), No: h.No}
	if h.No == "" {
		p.Kit, p.KitSays = h.Kit.Words(), kitSays[t.From]
		if p.KitSays == "" {
			p.KitSays = kitSays[club.KitMember]
		}
	}
	var names []string
	for _, v := range h.Venues {
		names = append(names, v.Name)
	}
	if h.Swims > 0 {
		p.Over = "Weighed against " + count(h.Swims, "different water") + " of " + joined(names) + ", at the boards' latest levels."
		p.Answer = "Nothing you lack would make your kit right for more of these waters."
	}
	for i, aid := range h.Aids {
		row := AidRow{capital(aid.Name), "right for " + strconv.Itoa(aid.Waters) + " more of the " + strconv.Itoa(h.Swims)}
		if i == 0 {
			p.Answer = row.Name + " would help most: " + row.Says + "."
			continue
		}
		p.Rows = append(p.Rows, row)
	}
	for _, v := range home.Venues {
		href := "/kit/help" + queryOf([]Pair{{"venue", v.Venue.Slug}}, shotPairsOf(t))
		p.Venues = append(p.Venues, SpanLink{Label: v.Venue.Name, Href: href, Chosen: len(h.Venues) == 1 && h.Venues[0].Slug == v.Venue.Slug})
	}
	p.Venues = append(p.Venues, SpanLink{Label: "All", Href: "/kit/help" + queryOf(shotPairsOf(t)), Chosen: len(h.Venues) != 1})
	return p
}
