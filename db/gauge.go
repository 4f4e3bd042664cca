package db

import (
	"context"
	"errors"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

var gaugePlaceSQL = lookSQL + `
	select ` + clubColumns + `, ` + standingColumns + `, look.since, look.upto, look.first
	from club c cross join gauges g join look on look.gauge_id = g.id` + standingJoins + `
	where g.slug = $2 and (exists (select from venues v where v.gauge_id = g.id and v.open) or ` + signedIn("$6", "$1") + `)`

const gaugeZerosSQL = `
	select z.id, z.valid_from, z.offset_mm, z.reason from gauges g join gauge_zeros z on z.gauge_id = g.id
	where g.slug = $1 order by z.valid_from`

var gaugeVenuesSQL = `
	select ` + venueColumns + ` from gauges g join venues v on v.gauge_id = g.id
	where g.slug = $1 and (v.open or ` + signedIn("$2", "$3") + `) order by v.position, v.id`

const gaugeRulesSQL = `
	select ` + ruleColumns + `
	from gauges g join venues v on v.gauge_id = g.id join level_rules r on r.venue_id = v.id` + rulePegs + `
	where g.slug = $1 and (r.to_at is null or r.to_at > $2) order by coalesce(r.above_mm, r.below_mm), r.id`

const gaugeClosuresSQL = `
	select ` + closureColumns + `
	from gauges g join venues v on v.gauge_id = g.id join closures c on c.venue_id = v.id` + closurePegs + `
	where g.slug = $1 and ` + standsOrComes + ` order by c.from_at, c.id`

// Gauge reads a gauge with the history that is asked for, in one round trip. It
// fails with club.NotFound for a gauge the club does not have.
func (db *DB) Gauge(ctx context.Context, slug string, look club.LookBack, session []byte, now time.Time) (club.GaugeView, error) {
	v := club.GaugeView{Span: look.Span, By: look.Span.By}
	b := &pgx.Batch{}
	queueGauge(b, slug, look, session, now, &v)
	err := db.reads(ctx).SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return v, db.gaugeNotFound(ctx, slug, session, now)
	}
	return v, fail(err, "db.Gauge(%q)", slug)
}

func queueGauge(b *pgx.Batch, slug string, look club.LookBack, session []byte, now time.Time, v *club.GaugeView) {
	queueMember(b, session, now, &v.Member)
	queueBoardPictures(b, slug, v)
	queueLook(b, "g.slug = $1", slug, now, &v.Look)
	b.Queue(gaugePlaceSQL, append(lookArgs(slug, look, now), session)...).QueryRow(func(row pgx.Row) error {
		var s standingRow
		var first *time.Time
		targets := append(clubTargets(&v.Club), s.targets()...)
		err := row.Scan(append(targets, &v.From, &v.To, &first)...)
		v.Standing, v.First = s.standing(now), timeOrZero(first)
		if v.To.Equal(now.Truncate(time.Microsecond)) {
			v.To = now // PostgreSQL keeps no less than microseconds
		}
		return err
	})
	queueGaugeAround(b, slug, session, now, v)
	queueHistory(b, slug, look, now, v)
	b.Queue(gaugeMomentSQL, slug, now, now).Query(func(rows pgx.Rows) (err error) {
		v.Recent, err = scanReadings(rows)
		return err
	})
}

// queueGaugeAround reads a gauge's zeros, its feeds, and its venues with what is said of
// them.
func queueGaugeAround(b *pgx.Batch, slug string, session []byte, now time.Time, v *club.GaugeView) {
	b.Queue(gaugeZerosSQL, slug).Query(func(rows pgx.Rows) error { return scanZeros(rows, v) })
	b.Queue(gaugeVenuesSQL, slug, session, now).Query(func(rows pgx.Rows) error { return scanGaugeVenues(rows, v) })
	venue := func(id int64) *club.GaugeVenue {
		i := slices.IndexFunc(v.Venues, func(x club.GaugeVenue) bool { return x.ID == id })
		if i < 0 {
			return nil // it is not for this reader, or came while we were reading
		}
		return &v.Venues[i]
	}
	b.Queue(gaugeRulesSQL, slug, now).Query(func(rows pgx.Rows) error {
		return scanRules(rows, func(id int64, r club.LevelRule) {
			if x := venue(id); x != nil {
				x.Rules = append(x.Rules, r)
			}
		})
	})
	b.Queue(gaugeClosuresSQL, slug, now).Query(func(rows pgx.Rows) error {
		return scanClosures(rows, func(id int64, c club.Closure) {
			if x := venue(id); x != nil {
				x.Closures = append(x.Closures, c)
			}
		})
	})
	b.Queue(feedNotesSQL, slug).Query(func(rows pgx.Rows) (err error) {
		v.Feeds, err = scanFeedNotes(rows)
		return err
	})
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
		v.Venues = append(v.Venues, club.GaugeVenue{Venue: venue})
		return nil
	})
	return err
}
