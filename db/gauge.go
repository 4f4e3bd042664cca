package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const gaugePlaceSQL = `
	select ` + clubColumns + `, ` + standingColumns + `
	from club c cross join gauges g` + standingJoins + `
	where g.slug = $2`

const gaugeZerosSQL = `
	select z.id, z.valid_from, z.offset_mm, z.reason from gauges g join gauge_zeros z on z.gauge_id = g.id
	where g.slug = $1 order by z.valid_from`

const gaugeVenuesSQL = `
	select ` + venueColumns + ` from gauges g join venues v on v.gauge_id = g.id where g.slug = $1 order by v.position, v.id`

const gaugeRulesSQL = `
	select r.above_mm, r.below_mm, r.effect, v.name || ': ' || r.text
	from gauges g join venues v on v.gauge_id = g.id join level_rules r on r.venue_id = v.id
	where g.slug = $1 and r.peg_id is null order by coalesce(r.above_mm, r.below_mm)`

const gaugeHoursSQL = `
	select h.hour, h.least_mm, h.most_mm, h.mean_mm from gauges g join levels_hour h on h.gauge_id = g.id
	where g.slug = $1 and h.hour > $2 and h.hour <= $3 order by h.hour`

const gaugeDaysSQL = `
	select d.day, d.least_mm, d.most_mm, d.mean_mm from gauges g join levels_day d on d.gauge_id = g.id
	where g.slug = $1 and d.day > $2 and d.day <= $3 order by d.day`

// daysByHour is the longest look back that is drawn hour by hour.
const daysByHour = 45

// Gauge reads a gauge with its levels over the last days, in one round trip. It
// fails with club.NotFound for a gauge the club does not have.
func (db *DB) Gauge(ctx context.Context, slug string, days int, session []byte, now time.Time) (club.GaugeView, error) {
	v := club.GaugeView{Days: days, Step: 24 * time.Hour}
	spans := gaugeDaysSQL
	if days <= daysByHour {
		v.Step, spans = time.Hour, gaugeHoursSQL
	}
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	b.Queue(gaugePlaceSQL, now, slug).QueryRow(func(row pgx.Row) error {
		var s standingRow
		err := row.Scan(append(clubTargets(&v.Club), s.targets()...)...)
		v.Standing = s.standing(now)
		return err
	})
	b.Queue(gaugeZerosSQL, slug).Query(func(rows pgx.Rows) error { return scanZeros(rows, &v) })
	b.Queue(gaugeVenuesSQL, slug).Query(func(rows pgx.Rows) error { return scanGaugeVenues(rows, &v) })
	b.Queue(gaugeRulesSQL, slug).Query(func(rows pgx.Rows) error { return scanGaugeRules(rows, &v) })
	b.Queue(spans, slug, now.AddDate(0, 0, -days), now).Query(func(rows pgx.Rows) error { return scanSpans(rows, &v) })
	err := db.pool.SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return v, db.gaugeNotFound(ctx, slug)
	}
	return v, fail(err, "db.Gauge(%q)", slug)
}

func scanZeros(rows pgx.Rows, v *club.GaugeView) error {
	var z club.Zero
	var offset int32
	_, err := pgx.ForEachRow(rows, []any{&z.ID, &z.From, &offset, &z.Reason}, func() error {
		z.OffsetM = metres(offset)
		v.Zeros = append(v.Zeros, z)
		return nil
	})
	return err
}

func scanGaugeVenues(rows pgx.Rows, v *club.GaugeView) error {
	var venue club.Venue
	_, err := pgx.ForEachRow(rows, venueTargets(&venue), func() error {
		v.Venues = append(v.Venues, venue)
		return nil
	})
	return err
}

func scanGaugeRules(rows pgx.Rows, v *club.GaugeView) error {
	var r club.LevelRule
	var above, below *int32
	_, err := pgx.ForEachRow(rows, []any{&above, &below, &r.Effect, &r.Text}, func() error {
		r.AboveM, r.BelowM = metresPtr(above), metresPtr(below)
		v.Rules = append(v.Rules, r)
		return nil
	})
	return err
}

func scanSpans(rows pgx.Rows, v *club.GaugeView) error {
	var s club.LevelSpan
	var least, most int32
	var mean float32
	_, err := pgx.ForEachRow(rows, []any{&s.From, &least, &most, &mean}, func() error {
		s.LeastM, s.MostM, s.Mid = metres(least), metres(most), float64(mean)/1000
		v.Spans = append(v.Spans, s)
		return nil
	})
	return err
}
