package db_test

import (
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

func TestFind(t *testing.T) {
	t.Parallel()
	book := open(t, dbtest.NewDemo(t))
	for _, c := range []struct {
		label string
		words []string
		want  string // venue slugs and labels
	}{
		{"14", nil, "sallow-reach 14, tansy-meadow 14, cinder-bend 14"},
		{"14a", nil, "sallow-reach 14A"},
		{"14", []string{"SALLOW"}, "sallow-reach 14"},
		{"14", []string{"bend", "cinder"}, "cinder-bend 14"},
		{"14", []string{"Lathern"}, "sallow-reach 14, tansy-meadow 14"},
		{"14", []string{"%"}, ""},
		{"14", []string{"nowhere"}, ""},
		{"999", nil, ""},
		{"", []string{"quenning"}, "cinder-bend "},
		{"", []string{"e"}, "sallow-reach , tansy-meadow , cinder-bend "},
		{"", nil, ""},
	} {
		look := func() ([]club.Found, error) { return book.FindPegs(background(t), c.label, c.words, nil, now) }
		if c.label == "" {
			look = func() ([]club.Found, error) { return book.FindVenues(background(t), c.words, nil, now) }
		}
		found, err := look()
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range found {
			got = append(got, f.VenueSlug+" "+f.Label)
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%q %q finds %q, want %q", c.label, c.words, got, c.want)
		}
	}
}

func TestPegByCode(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, func(b *club.Book) { b.Venues[0].Pegs[3].Code = "BCDF" })
	for _, code := range []string{"BCDF", "bcdf", "bCdF"} {
		if venue, label, err := book.PegByCode(background(t), code, nil, now); err != nil || venue != "near" || label != "14A" {
			t.Errorf("%q leads to %q %q, %v", code, venue, label, err)
		}
	}
	for _, code := range []string{"", "BCDG", "BCDF ", "BCDF'"} {
		if _, _, err := book.PegByCode(background(t), code, nil, now); club.KindOf(err) != club.NotFound {
			t.Errorf("%q: %v, want not found", code, err)
		}
	}
}
