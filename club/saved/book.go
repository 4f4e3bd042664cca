// Package saved answers from venues that were saved on a phone, as PostgreSQL does on the
// server: where nothing new has come since, every answer is the same.
package saved

import (
	"context"
	"slices"
	"strings"
	"time"

	"levelpeg/club"
)

// Book is what a phone has saved of a club's book. It does not change.
type Book struct {
	venues []*venue // the newest first
}

type venue struct {
	club.SavedVenue
	views []club.PegView
}

// New makes a book of saved venues.
func New(all ...club.SavedVenue) *Book {
	b := &Book{}
	for _, v := range all {
		b.venues = append(b.venues, &venue{v, v.PegViews()})
	}
	slices.SortStableFunc(b.venues, func(a, b *venue) int { return b.At.Compare(a.At) })
	return b
}

// noSignal is the fault for what was not saved.
func noSignal(what string) error {
	return club.Faultf(club.NoSignal, "%s needs signal: it is not saved on this phone.", what)
}

// noZero is said of a venue whose gauge's zeros are all still to begin.
func noZero(name string) error {
	return club.Faultf(club.NotFound, "%s cannot be shown yet: no zero of its gauge has begun, so no level can be read.", name)
}

func (b *Book) find(slug string) (*venue, error) {
	for _, v := range b.venues {
		if v.Venue.Slug == slug {
			return v, nil
		}
	}
	return nil, noSignal("This water")
}

// standing is a venue with how its gauge stands.
func (b *Book) standing(slug string, now time.Time) (*venue, club.Standing, error) {
	v, err := b.find(slug)
	if err != nil {
		return nil, club.Standing{}, err
	}
	st, ok := v.River.Standing(now)
	if !ok {
		return nil, st, noZero(v.Venue.Name)
	}
	return v, st, nil
}

// Asker is the club and whoever saved.
func (b *Book) Asker(context.Context, []byte, time.Time) (club.Club, club.Member, error) {
	if len(b.venues) == 0 {
		return club.Club{}, club.Member{}, nil
	}
	return b.venues[0].Club, b.venues[0].Member, nil
}

// Home is the venues that were saved.
func (b *Book) Home(ctx context.Context, session []byte, now time.Time) (club.Home, error) {
	var h club.Home
	h.Club, h.Member, _ = b.Asker(ctx, session, now)
	for _, v := range b.venues {
		view, ok := v.View(now)
		if !ok {
			continue
		}
		card := club.VenueCard{Venue: view.Venue, Standing: view.Standing, Closures: view.Closures, Rules: view.Rules}
		for _, l := range view.Pegs {
			card.Pegs = append(card.Pegs, club.PegTag{Label: l.Peg.Label, Code: l.Peg.Code})
		}
		if len(view.Fixtures) > 0 {
			card.Next = &view.Fixtures[0]
		}
		card.Mark(now)
		h.Venues = append(h.Venues, card)
	}
	return h, nil
}

// Venue is a venue's page.
func (b *Book) Venue(_ context.Context, slug string, _ []byte, now time.Time) (club.VenueView, error) {
	v, err := b.find(slug)
	if err != nil {
		return club.VenueView{}, err
	}
	view, ok := v.View(now)
	if !ok {
		return view, noZero(v.Venue.Name)
	}
	return view, nil
}

// nearLabels is how many of a venue's pegs the page for a wrong number names.
const nearLabels = 6

// Peg is all that a peg's sheet is made of.
func (b *Book) Peg(_ context.Context, slug, label string, _ []byte, now time.Time) (club.PegView, error) {
	v, st, err := b.standing(slug, now)
	if err != nil {
		return club.PegView{}, err
	}
	i := slices.IndexFunc(v.views, func(p club.PegView) bool { return strings.EqualFold(p.Peg.Label, label) })
	if i < 0 {
		labels := make([]string, len(v.Pegs))
		for k, p := range v.Pegs {
			labels[k] = p.Label
		}
		return club.PegView{}, club.PegNotFound(v.Venue.Name, slug, label, club.NearestLabels(labels, label, nearLabels))
	}
	return v.views[i].SeenAt(v.Member, st, now), nil
}

// PegAt is Peg with the gauge's readings about a moment.
func (b *Book) PegAt(ctx context.Context, slug, label string, session []byte, now, at time.Time) (club.PegView, []club.Reading, error) {
	p, err := b.Peg(ctx, slug, label, session, now)
	if err != nil {
		return p, nil, err
	}
	readings, err := b.about(slug, at, now)
	return p, readings, err
}

func (b *Book) about(slug string, at, now time.Time) ([]club.Reading, error) {
	v, err := b.find(slug)
	if err != nil {
		return nil, err
	}
	readings, ok := v.River.About(at, now)
	if !ok {
		return nil, noSignal("An hour so long ago")
	}
	return readings, nil
}

// VenuePegs is every peg of a venue as Peg gives it.
func (b *Book) VenuePegs(_ context.Context, slug string, _ []byte, now, at time.Time) (club.VenuePegs, []club.Reading, error) {
	v, st, err := b.standing(slug, now)
	if err != nil {
		return club.VenuePegs{}, nil, err
	}
	out := club.VenuePegs{Club: v.Club, Member: v.Member, Venue: v.Venue, Standing: st}
	for _, p := range v.views {
		out.Pegs = append(out.Pegs, p.SeenAt(v.Member, st, now))
	}
	if at.IsZero() {
		return out, nil, nil
	}
	readings, err := b.about(slug, at, now)
	return out, readings, err
}

// PegByCode gives the venue and the label of a saved peg with a permanent code.
func (b *Book) PegByCode(_ context.Context, code string, _ []byte, _ time.Time) (slug, label string, err error) {
	for _, v := range b.venues {
		for _, p := range v.Pegs {
			if p.Code == strings.ToUpper(code) {
				return v.Venue.Slug, p.Label, nil
			}
		}
	}
	return "", "", noSignal("A peg with another code")
}

// FindPegs gives the saved pegs with a label, at venues that every word fits.
func (b *Book) FindPegs(_ context.Context, label string, words []string, _ []byte, _ time.Time) ([]club.Found, error) {
	var out []club.Found
	for _, v := range b.venues {
		for _, p := range v.Pegs {
			if strings.EqualFold(p.Label, label) && fits(v, words) {
				out = append(out, club.Found{VenueSlug: v.Venue.Slug, VenueName: v.Venue.Name, Label: p.Label})
			}
		}
	}
	return known(out)
}

// FindVenues gives the saved venues that every word fits.
func (b *Book) FindVenues(_ context.Context, words []string, _ []byte, _ time.Time) ([]club.Found, error) {
	var out []club.Found
	for _, v := range b.venues {
		if len(words) > 0 && fits(v, words) {
			out = append(out, club.Found{VenueSlug: v.Venue.Slug, VenueName: v.Venue.Name})
		}
	}
	return known(out)
}

// known is what was found, where anything was: what is not saved may be elsewhere.
func known(found []club.Found) ([]club.Found, error) {
	if len(found) == 0 {
		return nil, noSignal("A peg or a water that you have not saved")
	}
	return found, nil
}

func fits(v *venue, words []string) bool {
	in := strings.ToLower(v.Venue.Name + " " + v.Venue.River + " " + v.Venue.Slug)
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(in, strings.ToLower(w)) })
}

// About is what was saved for an address: of its venue or its gauge's, or the newest.
func (b *Book) About(path string) club.SavedNote {
	for _, v := range b.venues {
		if under(path, "/venues/"+v.Venue.Slug) || under(path, "/gauges/"+v.River.Gauge.Slug) {
			return v.note()
		}
	}
	if len(b.venues) == 0 || strings.HasPrefix(path, "/venues/") || strings.HasPrefix(path, "/gauges/") {
		return club.SavedNote{}
	}
	n := b.venues[0].note()
	n.Level = nil
	return n
}

func under(path, of string) bool {
	rest, ok := strings.CutPrefix(path, of)
	return ok && (rest == "" || rest[0] == '/' || rest[0] == '.')
}

func (v *venue) note() club.SavedNote {
	loc, err := v.Club.Zone()
	if err != nil {
		loc = time.UTC
	}
	n := club.SavedNote{At: v.At, Loc: loc}
	if st, ok := v.River.Standing(v.At); ok {
		n.Level = st.Latest
	}
	return n
}
