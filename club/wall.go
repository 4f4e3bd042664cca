package club

import "time"

// Wall is a moment as a person writes it: by the clock on the club's wall, unless it
// came with a zone of its own. The zero Wall is none.
type Wall struct {
	Clock time.Time // where Zoned is false its date and time of day are the wall's, whatever its zone
	Zoned bool
}

// IsZero says whether there is none.
func (w Wall) IsZero() bool { return w.Clock.IsZero() }

// In is the moment, by the clock of loc. Where clocks were put forward over it, or back
// so that it comes twice, it is right by one of the two times of year.
func (w Wall) In(loc *time.Location) time.Time {
	if w.Zoned || w.IsZero() {
		return w.Clock
	}
	c := w.Clock
	return time.Date(c.Year(), c.Month(), c.Day(), c.Hour(), c.Minute(), c.Second(), 0, loc)
}
