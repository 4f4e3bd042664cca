package club

import "slices"

// PostedFor is what a reader sees of notes and photographs: a visitor is told no member's
// name. What is remembered stays as it is.
func PostedFor(m Member, notes []Note, pictures []Picture) ([]Note, []Picture) {
	notes = without(notes, func(n Note) bool { return !n.SeenBy(m) })
	pictures = without(pictures, func(p Picture) bool { return !p.SeenBy(m) })
	if m.ID != 0 {
		return notes, pictures
	}
	notes, pictures = slices.Clone(notes), slices.Clone(pictures)
	for i := range notes {
		notes[i].Author, notes[i].AuthorID = "", 0
	}
	for i := range pictures {
		pictures[i].Author, pictures[i].AuthorID = "", 0
	}
	return notes, pictures
}

// without is all but what goes; what is remembered stays as it is, and nil is all gone.
func without[T any](all []T, goes func(T) bool) []T {
	if !slices.ContainsFunc(all, goes) {
		return all
	}
	if left := slices.DeleteFunc(slices.Clone(all), goes); len(left) > 0 {
		return left
	}
	return nil
}
