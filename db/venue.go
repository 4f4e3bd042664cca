package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

var venuePlaceSQL = `
	select ` + clubColumns + `, ` + venueColumns + `, ` + standingColumns + `
	from club c cross join venues v join gauges g on g.id = v.gauge_id` + standingJoins + `
	where v.slug = $2 and (v.open or ` + signedIn("$3", "$1") + `)`

// venuePegsSQL counts each peg's soundings by itself, in the order their index has them.
const venuePegsSQL = `
	select ` + pegColumns + `, (select count(*) from runs where peg_id = p.id), c.soundings, c.last
	from venues v
	join pegs p on p.venue_id = v.id
	cross join lateral (
		select count(s.id) as soundings, max(s.at) as last
		from runs r join soundings s on s.run_id = r.id and ` + currentSoundings + ` where r.peg_id = p.id
	) c
	where v.slug = $1
	order by p.position`

const venueAroundSQL = `
	select 'hazard', h.id, h.kind, h.distance_mm, null::integer, h.text, null::timestamptz, null::timestamptz, coalesce(p.label, ''), '', ''
	from venues v join hazards h on h.venue_id = v.id left join pegs p on p.id = h.peg_id where v.slug = $1
	union all
	select 'rule', r.id, r.effect, r.above_mm, r.below_mm, r.text, r.from_at, r.to_at, coalesce(a.label, ''), coalesce(b.label, a.label, ''), ''
	from venues v join level_rules r on r.venue_id = v.id and (r.to_at is null or r.to_at > $2)` + rulePegs + `
	where v.slug = $1
	union all
	select 'closure', c.id, '', null, null, c.reason, c.from_at, c.to_at, coalesce(a.label, ''), coalesce(b.label, ''), coalesce(m.name, '')
	from venues v
	join closures c on c.venue_id = v.id and ` + standsOrComes + closurePegs + `
	left join members m on m.id = c.set_by
	where v.slug = $1
	order by 1, 7 nulls first, 2`

const venueFixturesSQL = `
	select 0::bigint, '', f.name, f.starts_at, f.ends_at from venues v join fixtures f on f.venue_id = v.id
	where v.slug = $1 and f.ends_at > $2 order by f.starts_at, f.id limit $3`

// Venue reads a venue with its pegs in one round trip. It fails with club.NotFound
// for one the club does not have; the sentence names those it has. A visitor may read
// none that is not open: that is club.Forbidden, as of every read here.
func (db *DB) Venue(ctx context.Context, slug string, session []byte, now time.Time) (club.VenueView, error) {
	var v club.VenueView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	b.Queue(venuePlaceSQL, now, slug, session).QueryRow(func(row pgx.Row) error {
		var s standingRow
		targets := append(clubTargets(&v.Club), venueTargets(&v.Venue)...)
		err := row.Scan(append(targets, s.targets()...)...)
		v.Standing = s.standing(now)
		return err
	})
	b.Queue(venuePegsSQL, slug).Query(func(rows pgx.Rows) error { return scanPegLines(rows, &v) })
	b.Queue(venueAroundSQL, slug, now).Query(func(rows pgx.Rows) error { return scanVenueAround(rows, &v) })
	queueVenueNotes(b, slug, &v)
	queueLook(b, "g.id = (select v.gauge_id from venues v where v.slug = $1)", slug, now, &v.Look)
	b.Queue(venueFixturesSQL, slug, now, club.FixturesShown).Query(func(rows pgx.Rows) (err error) {
		v.Fixtures, err = pgx.AppendRows(v.Fixtures, rows, pgx.RowToStructByPos[club.Fixture])
		return err
	})
	err := db.reads(ctx).SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return v, db.venueNotFound(ctx, slug, session, now)
	}
	v.Notes, v.Pictures = club.PostedFor(v.Member, v.Notes, v.Pictures)
	v.Mark(now)
	return v, fail(err, "db.Venue(%q)", slug)
}

func scanPegLines(rows pgx.Rows, v *club.VenueView) error {
	for rows.Next() {
		var l club.PegLine
		var rest pegRest
		var last *time.Time
		if err := rows.Scan(append(rest.targets(&l.Peg), &l.Runs, &l.Soundings, &last)...); err != nil {
			return err
		}
		rest.onto(&l.Peg)
		l.Last = timeOrZero(last)
		v.Pegs = append(v.Pegs, l)
	}
	return rows.Err()
}

func scanVenueAround(rows pgx.Rows, v *club.VenueView) error {
	for rows.Next() {
		var id int64
		var what, kind, text, from, to, by string
		var a, b *int32
		var start, end *time.Time
		if err := rows.Scan(&what, &id, &kind, &a, &b, &text, &start, &end, &from, &to, &by); err != nil {
			return err
		}
		switch what {
		case "hazard":
			v.Hazards = append(v.Hazards, club.Hazard{Kind: club.HazardKind(kind), PegLabel: from, DistanceM: metresOrZero(a), Text: text})
		case "rule":
			v.Rules = append(v.Rules, club.LevelRule{ID: id, FromLabel: from, ToLabel: to, AboveM: metresPtr(a), BelowM: metresPtr(b),
				Effect: club.Effect(kind), Text: text, From: timeOrZero(start), To: timeOrZero(end)})
		case "closure":
			v.Closures = append(v.Closures, club.Closure{ID: id, FromLabel: from, ToLabel: to, From: *start, To: timeOrZero(end), Reason: text, SetBy: by})
		}
	}
	return rows.Err()
}
