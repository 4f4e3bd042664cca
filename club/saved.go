package club

import "time"

// SavedNote says what was saved of a venue, and when.
type SavedNote struct {
	At    time.Time // zero where nothing is saved
	Loc   *time.Location
	Level *Level // the latest then; nil where none was read
}
