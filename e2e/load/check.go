package main

import "fmt"

// check looks whether the book holds what was asked for, hangs together, and has rollups
// that agree with its levels.
func (f filling) check() error {
	for _, c := range []struct {
		what, query string
		want        int
	}{
		{"levels", `select count(*) from levels`, f.size.Levels},
		{"soundings", `select count(*) from soundings`, f.size.Soundings},
		{"pegs", `select count(*) from pegs`, f.size.Pegs},
		{"runs", `select count(*) from runs`, f.size.runs()},
		{"venues", `select count(*) from venues`, f.size.venues()},
		{"members with a session", `select count(*) from members m join sessions s on s.member_id = m.id`, membersAll},
		{"readings in hours", `select sum(readings) from levels_hour`, f.size.Levels},
		{"readings in days", `select sum(readings) from levels_day`, f.size.Levels},
		{"soundings on the zero of another gauge, of some runs", `select count(*) from soundings s join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id
			join gauge_zeros z on z.id = s.zero_id where s.run_id % 97 = 0 and z.gauge_id <> v.gauge_id`, 0},
		{"runs without a sounding, of some", `select count(*) from runs r where id % 97 = 0 and not exists (select from soundings s where s.run_id = r.id)`, f.bare()},
		{"hours that do not agree, of some", hoursDisagree, 0},
		{"days that do not agree, of some", daysDisagree, 0},
	} {
		var got *int
		if err := f.conn.QueryRow(f.ctx, c.query).Scan(&got); err != nil {
			return fmt.Errorf("counting %s: %w", c.what, err)
		}
		if got == nil || *got != c.want {
			return fmt.Errorf("%s: %v, want %d", c.what, got, c.want)
		}
	}
	return nil
}

// bare is how many of the runs that are looked at have no sounding: none, where there are
// at least as many soundings as runs.
func (f filling) bare() int {
	if f.size.Soundings >= f.size.runs() {
		return 0
	}
	n := 0
	sounded := map[int]bool{}
	for i := range f.size.Soundings {
		sounded[1+i*7919%f.size.runs()] = true
	}
	for run := 97; run <= f.size.runs(); run += 97 {
		if !sounded[run] {
			n++
		}
	}
	return n
}

// The hours of a hundred days, and two hundred days, each counted anew from what it is of.
const (
	hoursDisagree = `
		select count(*) from (select h.* from (select gauge_id, day from levels_day order by md5(gauge_id || ' ' || day) limit 100) d join levels_hour h on h.gauge_id = d.gauge_id and h.hour >= d.day and h.hour < d.day + interval '24 hours') h
		cross join lateral (
			select min(level_mm + offset_mm) as least, max(level_mm + offset_mm) as most, avg(level_mm + offset_mm) as mean, count(*) as n
			from levels l join gauge_zeros z on z.id = l.zero_id and z.gauge_id = l.gauge_id
			where l.gauge_id = h.gauge_id and l.at >= h.hour and l.at < h.hour + interval '1 hour'
		) c
		where (h.least_mm, h.most_mm, h.readings) is distinct from (c.least, c.most, c.n::integer) or abs(h.mean_mm - c.mean) > 0.01`
	daysDisagree = `
		select count(*) from (select * from levels_day order by md5(gauge_id || ' ' || day) limit 200) d join gauges g on g.id = d.gauge_id
		cross join lateral (
			select min(level_mm + offset_mm) as least, max(level_mm + offset_mm) as most, avg(level_mm + offset_mm) as mean, count(*) as n
			from levels l join gauge_zeros z on z.id = l.zero_id and z.gauge_id = l.gauge_id
			where l.gauge_id = d.gauge_id and l.at >= d.day and l.at < d.day + interval '24 hours'
		) c
		where (d.least_mm, d.most_mm, d.readings) is distinct from (c.least, c.most, c.n::integer) or abs(d.mean_mm - c.mean) > 0.05 or d.flood <> (c.most > g.flood_mm)`
)
