package club

import (
	"fmt"
	"sync"
	"time"
)

// zones are the time zones looked up so far; reading one from its file for every
// page would cost more than the sums on it.
var zones sync.Map

// Zone is the time zone the club's pages speak in.
func (c Club) Zone() (*time.Location, error) {
	if loc, ok := zones.Load(c.TimeZone); ok {
		return loc.(*time.Location), nil
	}
	loc, err := time.LoadLocation(c.TimeZone)
	if err != nil {
		return nil, fmt.Errorf("club: time zone %q: %w", c.TimeZone, err)
	}
	zones.Store(c.TimeZone, loc)
	return loc, nil
}
