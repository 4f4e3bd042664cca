package db

import (
	"slices"
	"time"

	"levelpeg/club"
)

func metres(mm int32) float64 { return float64(mm) / 1000 }

func metresOrZero(mm *int32) float64 {
	if mm == nil {
		return 0
	}
	return metres(*mm)
}

func metresPtr(mm *int32) *float64 {
	if mm == nil {
		return nil
	}
	m := metres(*mm)
	return &m
}

func timeOrZero(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return *t
}

// clubTargets are where clubColumns are scanned to.
func clubTargets(c *club.Club) []any {
	return []any{&c.Name, &c.TimeZone, &c.Place, &c.Demo}
}

// venueTargets are where venueColumns are scanned to.
func venueTargets(v *club.Venue) []any {
	return []any{&v.ID, &v.Slug, &v.Name, &v.River, &v.About, &v.Access, &v.CloseSeason}
}

// standingRow is standingColumns as they come.
type standingRow struct {
	gauge            club.Gauge
	flood            *int32
	low, high        int32
	zero             club.Zero
	offset           int32
	nowAt, agoAt     *time.Time
	nowMM, agoMM     *int32
	nowFrom, agoFrom *string
	floodDays        []time.Time
	past             int64
}

func (s *standingRow) targets() []any {
	return []any{
		&s.gauge.ID, &s.gauge.Slug, &s.gauge.Name, &s.gauge.River, &s.flood, &s.low, &s.high,
		&s.zero.ID, &s.zero.From, &s.offset, &s.zero.Reason,
		&s.nowAt, &s.nowMM, &s.nowFrom, &s.agoAt, &s.agoMM, &s.agoFrom, &s.floodDays, &s.past,
	}
}

func (s *standingRow) standing(now time.Time) club.Standing {
	s.gauge.FloodM = metresOrZero(s.flood)
	s.gauge.LowM, s.gauge.HighM = metres(s.low), metres(s.high)
	s.zero.OffsetM = metres(s.offset)
	slices.Reverse(s.floodDays) // they come newest first
	return club.Standing{
		Gauge: s.gauge, Zero: s.zero,
		Latest:  levelOrNil(s.nowAt, s.nowMM, s.nowFrom),
		Earlier: levelOrNil(s.agoAt, s.agoMM, s.agoFrom),
		Floods:  club.FloodEvents(s.floodDays, now),
		Past:    s.past,
	}
}

func levelOrNil(at *time.Time, mm *int32, source *string) *club.Level {
	if at == nil || mm == nil || source == nil {
		return nil
	}
	return &club.Level{At: *at, LevelM: metres(*mm), Source: club.Source(*source)}
}

// pegRest is what of pegColumns is kept otherwise than a peg has it.
type pegRest struct {
	mark     int32
	lat, lon *float64
}

// targets are where pegColumns are scanned to.
func (r *pegRest) targets(p *club.Peg) []any {
	return []any{&p.ID, &p.Code, &p.Label, &p.Order, &p.Bank, &p.BearingDeg, &p.Reach, &p.Access, &r.mark, &r.lat, &r.lon}
}

func (r *pegRest) onto(p *club.Peg) {
	p.MarkHeightM = metres(r.mark)
	if r.lat != nil && r.lon != nil {
		p.At = &club.Position{LatDeg: *r.lat, LonDeg: *r.lon}
	}
}
