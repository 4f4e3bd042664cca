package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const clubSQL = `select ` + clubColumns + ` from club c`

var homeVenuesSQL = `
	select ` + venueColumns + `, ` + standingColumns + `
	from venues v join gauges g on g.id = v.gauge_id` + standingJoins + `
	where v.open or ` + signedIn("$2", "$1") + `
	order by v.position, v.id`

const homePegsSQL = `select venue_id, label, code from pegs order by venue_id, position`

const homeRulesSQL = `
	select ` + ruleColumns + ` from level_rules r` + rulePegs + `
	where r.to_at is null or r.to_at > $1
	order by r.venue_id, r.id`

const homeClosuresSQL = `
	select ` + closureColumns + ` from closures c` + closurePegs + `
	where c.lifted_at is null and (c.to_at is null or c.to_at > $1)
	order by c.venue_id, c.from_at, c.id`

const homeFixturesSQL = `
	select distinct on (venue_id) venue_id, name, starts_at, ends_at from fixtures
	where ends_at > $1 order by venue_id, starts_at, id`

// Home reads the list of venues with their pegs, in one round trip.
func (db *DB) Home(ctx context.Context, session []byte, now time.Time) (club.Home, error) {
	var h club.Home
	// A venue's place on the list. One whose gauge has no zero in force yet, that is not
	// for this reader, or that came while we were reading, has none.
	at := map[int64]int{}
	b := &pgx.Batch{}
	queueMember(b, session, now, &h.Member)
	queueClub(b, &h.Club)
	b.Queue(homeVenuesSQL, now, session).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			card, err := scanVenueCard(rows, now)
			if err != nil {
				return err
			}
			at[card.Venue.ID] = len(h.Venues)
			h.Venues = append(h.Venues, card)
		}
		return rows.Err()
	})
	b.Queue(homePegsSQL).Query(func(rows pgx.Rows) error {
		var venue int64
		var tag club.PegTag
		_, err := pgx.ForEachRow(rows, []any{&venue, &tag.Label, &tag.Code}, func() error {
			if i, ok := at[venue]; ok {
				h.Venues[i].Pegs = append(h.Venues[i].Pegs, tag)
			}
			return nil
		})
		return err
	})
	queueHomeRules(b, &h, at, now)
	queueHomeClosures(b, &h, at, now)
	queueHomeFixtures(b, &h, at, now)
	err := db.reads(ctx).SendBatch(ctx, b).Close()
	for i := range h.Venues {
		h.Venues[i].Mark(now)
	}
	return h, fail(err, "db.Home")
}

// queueClub reads the club's settings; a database without a club leaves them empty.
func queueClub(b *pgx.Batch, c *club.Club) {
	b.Queue(clubSQL).Query(func(rows pgx.Rows) error {
		_, err := pgx.ForEachRow(rows, clubTargets(c), func() error { return nil })
		return err
	})
}

func scanVenueCard(rows pgx.Rows, now time.Time) (club.VenueCard, error) {
	var card club.VenueCard
	var s standingRow
	if err := rows.Scan(append(venueTargets(&card.Venue), s.targets()...)...); err != nil {
		return card, err
	}
	card.Standing = s.standing(now)
	return card, nil
}

func queueHomeRules(b *pgx.Batch, h *club.Home, at map[int64]int, now time.Time) {
	b.Queue(homeRulesSQL, now).Query(func(rows pgx.Rows) error {
		return scanRules(rows, func(venue int64, r club.LevelRule) {
			if i, ok := at[venue]; ok {
				h.Venues[i].Rules = append(h.Venues[i].Rules, r)
			}
		})
	})
}

func queueHomeClosures(b *pgx.Batch, h *club.Home, at map[int64]int, now time.Time) {
	b.Queue(homeClosuresSQL, now).Query(func(rows pgx.Rows) error {
		return scanClosures(rows, func(venue int64, c club.Closure) {
			if i, ok := at[venue]; ok {
				h.Venues[i].Closures = append(h.Venues[i].Closures, c)
			}
		})
	})
}

func queueHomeFixtures(b *pgx.Batch, h *club.Home, at map[int64]int, now time.Time) {
	b.Queue(homeFixturesSQL, now).Query(func(rows pgx.Rows) error {
		var venue int64
		var f club.Fixture
		_, err := pgx.ForEachRow(rows, []any{&venue, &f.Name, &f.Starts, &f.Ends}, func() error {
			if i, ok := at[venue]; ok {
				next := f
				h.Venues[i].Next = &next
			}
			return nil
		})
		return err
	})
}
