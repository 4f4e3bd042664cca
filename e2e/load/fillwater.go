package main

import (
	"fmt"
	"time"
)

// riverSQL is the level of a gauge above its first zero at a time, in mm: higher in winter,
// and every third week a rise of a day that falls in ten, now and then over 2.2 m.
const riverSQL = `
	create or replace function pg_temp.river_mm(gauge integer, at timestamptz) returns integer language sql immutable as $$
		select 650 + gauge % 13 * 7 + (150 * cos(extract(epoch from at) / 31557600.0 * 6.283185))::integer
			+ (250 + (k * 1103515245 % 1024)^2 / 1024 * 1.6)::integer * least(h, 24) * greatest(264 - h, 0) / (24 * 264)
		from (select ((extract(epoch from at)::bigint + gauge * 111600) / 3600 % 504)::integer as h, (extract(epoch from at)::bigint + gauge * 111600) / 1814400 + gauge * 7 as k) x
	$$`

// bedSQL is how high a run's bed is above the gauge's first zero, in mm.
const bedSQL = `
	create or replace function pg_temp.bed_mm(run integer) returns integer language sql immutable as $$
		select -400 - (run::bigint * 48271 % 1400)::integer
	$$`

// levels writes the levels as they come, all gauges a quarter of an hour at a time, so
// that one gauge's lie as far apart as they do in life; of each month, which whole hours
// and days make up, the hours in the same statement, and the days of all in one.
func (f filling) levels() error {
	if err := f.do(riverSQL); err != nil {
		return err
	}
	since, said := f.size.since(f.now), time.Now()
	total := f.size.Levels
	for from := 0; from < total; {
		at := since.Add(time.Duration(from/f.size.gauges()) * readingsApart)
		month := time.Date(at.Year(), at.Month()+monthsOfLevels, 1, 0, 0, 0, 0, time.UTC)
		upto := min(total, int(month.Sub(since)/readingsApart)*f.size.gauges())
		if err := f.write(since, from, upto); err != nil {
			return err
		}
		if from = upto; time.Since(said) > 20*time.Second {
			said = time.Now()
			f.say("filling: %d levels", from)
		}
	}
	return f.do(`insert into levels_day (gauge_id, day, least_mm, most_mm, mean_mm, readings, flood)
		select h.gauge_id, date_trunc('day', hour, 'UTC') as day, min(least_mm), max(most_mm), sum(mean_mm * readings) / sum(readings), sum(readings), max(most_mm) > min(g.flood_mm)
		from levels_hour h join gauges g on g.id = h.gauge_id group by 1, 2 order by 2, 1`)
}

// write writes readings by number, from and upto, and their hours.
func (f filling) write(since time.Time, from, upto int) error {
	return f.do(`with fresh as (
			insert into levels (gauge_id, at, zero_id, level_mm, source, written_at)
			select x.gauge, x.at, z.id, pg_temp.river_mm(x.gauge, x.at) - z.offset_mm + x.n * 7919 % 7, 'station', x.at + interval '9 minutes'
			from (select n, (n % $4::bigint)::integer + 1 as gauge, $1::timestamptz + n / $4::bigint * interval '15 minutes' as at from generate_series($2::bigint, $3::bigint - 1) n offset 0) x
			join gauge_zeros z on z.id = x.gauge + case when x.at >= $5::timestamptz then $4::integer else 0 end
			returning gauge_id, at, zero_id, level_mm)
		insert into levels_hour (gauge_id, hour, least_mm, most_mm, mean_mm, readings)
		select l.gauge_id, date_trunc('hour', l.at, 'UTC') as hour, min(level_mm + offset_mm), max(level_mm + offset_mm), avg(level_mm + offset_mm), count(*)
		from fresh l join gauge_zeros z on z.id = l.zero_id group by 1, 2 order by 2, 1`,
		since, from, upto, f.size.gauges(), f.moved(since))
}

// moved is when every board was replaced.
func (f filling) moved(since time.Time) time.Time {
	return since.Add(f.now.Sub(since) / 2).Truncate(24 * time.Hour)
}

// soundings writes the soundings as they came, so that one run's lie far apart.
func (f filling) soundings() error {
	if err := f.do(bedSQL); err != nil {
		return err
	}
	since, begins := f.now.Add(-soundingsBack), f.size.since(f.now)
	if since.Before(begins) {
		since = begins
	}
	runs, gauges := f.size.runs(), f.size.gauges()
	// The n-th is of run (n·7919) mod runs, whatever the size, so that each has as many as any other.
	return f.do(fmt.Sprintf(`insert into soundings (run_id, zero_id, at, level_mm, depth_mm, pace_mmps, timed_ms, by_member, written_at)
		select x.run, z.id, x.at, m.mm - z.offset_mm, greatest(100, m.mm - pg_temp.bed_mm(x.run) + x.noise),
			case when x.n %% 3 > 0 then least(2500, 150 + (x.run * 31 %% 300) + greatest(0, m.mm - 500) / 3 + x.noise) end, case when x.n %% 3 > 0 then 12000 + x.n %% 9000 end,
			1 + x.n %% %d, x.at + interval '3 hours'
		from (select n, (1 + n * 7919 %% $3::bigint)::integer as run, $1::timestamptz + ($2::timestamptz - $1::timestamptz) * (n::double precision / $4::bigint) as at, (n * 104729 %% 101)::integer - 50 as noise
			from generate_series(0, $4::bigint - 1) n offset 0) x
		join runs r on r.id = x.run join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id
		join gauge_zeros z on z.id = v.gauge_id + case when x.at >= $5::timestamptz then $6::integer else 0 end
		cross join lateral (select pg_temp.river_mm(v.gauge_id, x.at) as mm) m
		order by x.at`, membersAll), since, f.now.Add(-time.Hour), runs, f.size.Soundings, f.moved(begins), gauges)
}

// catchUp writes the levels that would have come since the folder was filled, as they come
// in life: in small pieces, through the triggers.
func (f filling) catchUp() error {
	if err := f.do(riverSQL); err != nil {
		return err
	}
	if err := f.do(`insert into levels (gauge_id, at, zero_id, level_mm, source)
		select g.id, t, z.id, pg_temp.river_mm(g.id, t) - z.offset_mm, 'station'
		from gauges g
		cross join lateral (select max(at) as at from levels where gauge_id = g.id and source = 'station') last
		cross join lateral generate_series(last.at + interval '15 minutes', $1::timestamptz, interval '15 minutes') t
		cross join lateral (select id, offset_mm from gauge_zeros where gauge_id = g.id order by valid_from desc limit 1) z
		order by t, g.id`, f.now); err != nil {
		return err
	}
	return f.do(`analyze levels`)
}
