package handlers

import (
	"context"
	"net/http"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// longestFind is the longest text the box takes.
const longestFind = 80

// find leads from what was typed into the box to the one peg or venue that answers,
// or offers those that do. On a venue's page a number alone means a peg of it.
func (s *server) find(w http.ResponseWriter, r *http.Request) error {
	typed := strings.TrimSpace(text(r.URL.Query().Get("q")))
	if len([]rune(typed)) > longestFind {
		return club.Faultf(club.Invalid, "That is too long for a peg. Write its number, or a venue and a number.")
	}
	want, here := club.ParseWanted(typed), r.URL.Query().Get("venue")
	if want.Label == "" && len(want.Words) == 0 {
		return club.Faultf(club.Invalid, "Write a peg's number, or a venue and a number.")
	}
	if want.Label != "" && len(want.Words) == 0 && here != "" {
		http.Redirect(w, r, "/venues/"+club.Slug(here)+"/pegs/"+want.Label, http.StatusSeeOther)
		return nil
	}
	if want.Label == "" && len(want.Words) == 1 {
		// A lasting code, as it stands on a peg's page or post.
		venue, label, err := s.read.PegByCode(r.Context(), want.Words[0], session(r), s.now())
		if err == nil {
			http.Redirect(w, r, "/venues/"+venue+"/pegs/"+label, http.StatusSeeOther)
			return nil
		}
		if club.KindOf(err) != club.NotFound {
			return err
		}
	}
	found, err := s.lookFor(r.Context(), want, session(r))
	if err != nil {
		return err
	}
	if len(found) == 1 {
		http.Redirect(w, r, foundHref(found[0]), http.StatusSeeOther)
		return nil
	}
	return s.offer(w, r, typed, found)
}

func (s *server) lookFor(ctx context.Context, want club.Wanted, session []byte) ([]club.Found, error) {
	if want.Label == "" {
		return s.read.FindVenues(ctx, want.Words, session, s.now())
	}
	found, err := s.read.FindPegs(ctx, want.Label, want.Words, session, s.now())
	if err != nil || len(found) > 0 || len(want.Words) == 0 {
		return found, err
	}
	venues, err := s.read.FindVenues(ctx, want.Words, session, s.now())
	if len(venues) == 1 {
		// The peg's address says that the venue has no such peg, and names its nearest.
		venues[0].Label = want.Label
	}
	return venues, err
}

func foundHref(f club.Found) string {
	if f.Label == "" {
		return "/venues/" + f.VenueSlug
	}
	return "/venues/" + f.VenueSlug + "/pegs/" + f.Label
}

func (s *server) offer(w http.ResponseWriter, r *http.Request, typed string, found []club.Found) error {
	p := web.PlainPage{Heading: "Which one?", Say: "More than one answers to “" + typed + "”."}
	code := http.StatusOK
	if len(found) == 0 {
		code, p.Heading, p.Say = http.StatusNotFound, "Not in the book", "No peg or venue answers to “"+typed+"”. Write a peg's number, or a venue and a number."
	}
	said, loc := club.Home{}, time.UTC
	if len(found) > 0 {
		var err error
		if said, err = s.read.Home(r.Context(), session(r), s.now()); err != nil {
			return err
		}
		loc = zone(said.Club)
	}
	for _, f := range found {
		label := f.VenueName
		if f.Label != "" {
			label += ", peg " + f.Label
		}
		p.Links = append(p.Links, web.SpanLink{Label: label, Href: foundHref(f), Stop: strings.Join(said.Stops(f, s.now(), loc), " ")})
	}
	p.Shell = web.NewShell(s.assets, club.Club{}, said.Member, p.Heading)
	if len(found) == 0 {
		p.Shell = p.Shell.Unasked(session(r) != nil)
	}
	p.Shell.Find = typed
	return render(r.Context(), w, code, web.Plain(p))
}
