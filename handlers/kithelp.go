package handlers

import (
	"errors"
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// venuesMost is how many venues a kit is weighed against: those that are asked for, or
// the first of the club's.
const venuesMost = 12

// kitHelp says which one thing more would help a kit most, over the venues that a query
// names, or all of them.
func (s *server) kitHelp(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	aim, badAim := parse.Aim(q)
	tackle, badKit := kitIn(r, q, club.Tackle{})
	problem := errors.Join(badAim, badKit)
	home, err := s.read.Home(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	var vs []club.VenuePegs
	for _, slug := range venuesOf(home, q["venue"]) {
		v, _, err := s.read.VenuePegs(r.Context(), slug, session(r), s.now(), time.Time{})
		if err != nil {
			return err
		}
		vs = append(vs, v)
	}
	help, err := club.NewKitHelp(vs, club.Ask{Tackle: tackle, Aim: aim, Fits: s.fits, Now: s.now()})
	if err != nil {
		return err
	}
	help.Club, help.Member = home.Club, home.Member
	code, page := http.StatusOK, web.NewKitHelpPage(s.assets, help, home, tackle)
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)
	}
	return render(r.Context(), w, code, web.KitHelp(page))
}

// venuesOf are the venues asked for that there are, or all.
func venuesOf(home club.Home, asked []string) []string {
	want := map[string]bool{}
	for _, slug := range asked {
		want[slug] = true
	}
	var out, all []string
	for _, v := range home.Venues {
		all = append(all, v.Venue.Slug)
		if want[v.Venue.Slug] {
			out = append(out, v.Venue.Slug)
		}
	}
	if len(out) == 0 {
		out = all
	}
	return out[:min(len(out), venuesMost)]
}
