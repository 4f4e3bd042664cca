package db

import (
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// lookSQL says what history is asked for, as one row: of the gauge with the slug $2,
// up to $3, or to $4 on the club's clock, or to now ($1) and never later, and $5
// back; from its first day where $5 is null. It is worked out once, and not anew for
// every row that it is compared with.
const lookSQL = `
	with look as materialized (
		select g.id as gauge_id, u.upto, f.day as first,
			coalesce((u.upto at time zone 'UTC' - $5::text::interval) at time zone 'UTC', f.day, u.upto) as since
		from club c cross join gauges g
		cross join lateral (select least(coalesce($3, $4::timestamp at time zone c.time_zone), $1::timestamptz) as upto) u
		left join lateral (select day from levels_day where gauge_id = g.id order by day limit 1) f on true
		where g.slug = $2
	)`

func lookArgs(slug string, look club.LookBack, now time.Time) []any {
	var back *string
	if look.Span.Back != "" {
		back = &look.Span.Back
	}
	return []any{now, slug, timeOrNull(look.To), timeOrNull(look.ToClock), back}
}

// readingsSQL gives the readings themselves, of each its highest revision. Those of
// one piece of the time, a 720th of it, become one, so that an instrument
// which writes every minute fills no page.
const readingsSQL = lookSQL + `
	select min(l.at), min(l.mm), max(l.mm), avg(l.mm)::real, count(*)::integer
	from look cross join lateral (
		select distinct on (l.at) l.at, l.level_mm + z.offset_mm as mm
		from levels l join gauge_zeros z on z.id = l.zero_id
		where l.gauge_id = look.gauge_id and l.at > look.since and l.at <= look.upto
		order by l.at, l.revision desc
	) l
	where l.mm is not null
	group by date_bin((look.upto - look.since) / 720, l.at, look.since)
	order by 1`

const hoursSQL = lookSQL + `
	select date_bin($6::text::interval, h.hour, timestamptz '2000-01-01 00:00Z') as start,
		min(h.least_mm), max(h.most_mm), (sum(h.mean_mm * h.readings) / sum(h.readings))::real, sum(h.readings)::integer
	from look join levels_hour h on h.gauge_id = look.gauge_id and h.hour >= look.since and h.hour < look.upto
	group by start order by start`

// daysSQL takes so many days together ($6), within a month; 31 is the month and 366
// the year. Where $6 is null the length of the history decides, so that at most 800
// pieces come of 66 years: 732 single days, 11 years of 72 pieces, 22 of 36, 66 of 12.
const daysSQL = lookSQL + `
	select p.start, min(d.least_mm), max(d.most_mm), (sum(d.mean_mm * d.readings) / sum(d.readings))::real,
		sum(d.readings)::integer, k.days
	from look
	cross join lateral (select coalesce($6::integer, case
		when look.upto - look.since < interval '732 days' then 1
		when look.upto - look.since < interval '4017 days' then 5
		when look.upto - look.since < interval '8035 days' then 10
		when look.upto - look.since < interval '24106 days' then 31
		else 366 end) as days) k
	join levels_day d on d.gauge_id = look.gauge_id and d.day >= look.since and d.day < look.upto
	cross join lateral (select d.day at time zone 'UTC' as day) u
	cross join lateral (select case
		when k.days = 366 then date_trunc('year', u.day)
		else date_trunc('month', u.day) + make_interval(days => k.days *
			least((date_part('day', u.day)::integer - 1) / k.days, 31 / k.days - 1))
		end at time zone 'UTC' as start) p
	group by p.start, k.days order by p.start`

// daysOf is how many days daysSQL takes together for a grain.
var daysOf = map[club.Grain]int32{club.ByDay: 1, club.ByFiveDays: 5, club.ByTenDays: 10, club.ByMonth: 31, club.ByYear: 366}

// queueHistory adds the history that is asked for to a page's own batch.
func queueHistory(b *pgx.Batch, slug string, look club.LookBack, now time.Time, v *club.GaugeView) {
	args := lookArgs(slug, look, now)
	scan := func(rows pgx.Rows) error { return scanSpans(rows, v, nil) }
	switch look.Span.By {
	case club.ByReading:
		b.Queue(readingsSQL, args...).Query(scan)
	case club.ByHour, club.ByTwoHours:
		b.Queue(hoursSQL, append(args, look.Span.By.Length().String())...).Query(scan)
	default:
		var days *int32
		if n, ok := daysOf[look.Span.By]; ok {
			days = &n
		}
		b.Queue(daysSQL, append(args, days)...).Query(func(rows pgx.Rows) error { return scanDays(rows, v) })
	}
}

func scanDays(rows pgx.Rows, v *club.GaugeView) error {
	var days int32
	if err := scanSpans(rows, v, []any{&days}); err != nil {
		return err
	}
	for grain, n := range daysOf {
		if n == days {
			v.By = grain
		}
	}
	return nil
}

// scanSpans scans the pieces of a history, and what stands after them in a row into
// the targets of more.
func scanSpans(rows pgx.Rows, v *club.GaugeView, more []any) error {
	var s club.LevelSpan
	var least, most int32
	var mean float32
	_, err := pgx.ForEachRow(rows, append([]any{&s.From, &least, &most, &mean, &s.Readings}, more...), func() error {
		s.LeastM, s.MostM, s.Mid = metres(least), metres(most), float64(mean)/1000
		v.Spans = append(v.Spans, s)
		return nil
	})
	return err
}
