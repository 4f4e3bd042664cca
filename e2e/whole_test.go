package e2e

import (
	"fmt"
	"maps"
	"net/http"
	"strings"
)

// whole says what is missing of the demo at a server: every venue, every peg with
// its sheet and soundings, both pages a person starts from, and levels.
func whole(home string) error {
	all, err := asJSON[venuesJSON](home + "/venues.json")
	if err != nil {
		return err
	}
	pegs := map[string]int{}
	for _, v := range all.Venues {
		pegs[v.Slug] = len(v.Pegs)
	}
	if !all.Demo || !maps.Equal(pegs, venuePegs) {
		return fmt.Errorf("the demo (%v) has pegs %v, want %v", all.Demo, pegs, venuePegs)
	}
	page, err := get(home + "/")
	if err != nil {
		return err
	}
	if n := strings.Count(page.body, "/pegs/"); page.status != http.StatusOK || n < demoPegs {
		return fmt.Errorf("the home page has status %d and %d pegs", page.status, n)
	}
	for _, v := range all.Venues {
		for _, label := range v.Pegs {
			if err := wholeSheet(home + "/venues/" + v.Slug + "/pegs/" + label); err != nil {
				return err
			}
		}
	}
	return nil
}

// wholeSheet wants a level and soundings on some run of a peg. Not every run of the
// demo has been plumbed, but each peg has.
func wholeSheet(at string) error {
	s, err := asJSON[sheetJSON](at + ".json")
	if err != nil {
		return err
	}
	soundings := 0
	for _, r := range s.Runs {
		soundings += r.Soundings
	}
	if s.LevelM == nil || len(s.Runs) < 2 || soundings == 0 {
		return fmt.Errorf("%s has level %v, %d runs and %d soundings", at, s.LevelM, len(s.Runs), soundings)
	}
	return nil
}
