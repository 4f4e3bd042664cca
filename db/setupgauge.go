package db

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// AddGauge makes a gauge with its first zero, and gives its place in addresses.
func (db *DB) AddGauge(ctx context.Context, who club.Writer, d club.GaugeDraft, now time.Time) (club.Gauge, error) {
	var g club.Gauge
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked(now)
		if err != nil {
			return err
		}
		if _, err := p.clubZone(ctx); err != nil {
			return err
		}
		g = club.Gauge{Name: d.Name, River: d.River}
		if g.Slug, err = p.freeSlug(ctx, "gauges", d.Name, "gauge"); err != nil {
			return err
		}
		err = p.tx.QueryRow(ctx, `
			with g as (insert into gauges (slug, name, river, flood_mm, low_mm, high_mm) values ($1, $2, $3, $4, $5, $6) returning id)
			insert into gauge_zeros (gauge_id, valid_from, offset_mm) select id, $7, 0 from g returning gauge_id`,
			g.Slug, d.Name, d.River, mmPtr(d.FloodM), mm(d.LowM), mm(d.HighM), d.Since).Scan(&g.ID)
		if err != nil {
			return err
		}
		return p.log(ctx, "made a gauge", d.Name)
	})
	return g, told(err, "AddGauge")
}

// freeSlug is a name's place in an address that nothing in the table has.
func (p *person) freeSlug(ctx context.Context, table, name, instead string) (string, error) {
	rows, err := p.tx.Query(ctx, `select slug from `+pgx.Identifier{table}.Sanitize())
	if err != nil {
		return "", err
	}
	taken, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return "", err
	}
	is := map[string]bool{"new": true} // where one is made
	for _, s := range taken {
		is[s] = true
	}
	return club.FreeSlug(name, instead, func(s string) bool { return is[s] }), nil
}

// gauge reads a gauge that is to be changed, and waits for whoever else changes it.
func (p *person) gauge(ctx context.Context, slug string) (club.OfficeGauge, error) {
	if _, err := p.do(ctx, `select from gauges where slug = $1 for update`, slug); err != nil {
		return club.OfficeGauge{}, err
	}
	var all []club.OfficeGauge
	b := &pgx.Batch{}
	queueOfficeGauges(b, p.now, &all)
	if err := p.tx.SendBatch(ctx, b).Close(); err != nil {
		return club.OfficeGauge{}, err
	}
	for _, g := range all {
		if g.Slug == slug {
			return g, nil
		}
	}
	return club.OfficeGauge{}, club.Faultf(club.NotFound, "The club has no gauge at this address.")
}

// ChangeGauge changes a gauge. It fails with club.Conflict where somebody else did
// meanwhile. The draft's levels are on the board's zero in force.
func (db *DB) ChangeGauge(ctx context.Context, who club.Writer, slug string, d club.GaugeDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked(now)
		if err != nil {
			return err
		}
		g, err := p.gauge(ctx, slug)
		if err != nil {
			return err
		}
		if g.Draft().Stamp() != d.Was {
			return club.ErrStale("this gauge")
		}
		on := func(m float64) int32 { return mm(m + g.Zero.OffsetM) }
		var flood *int32
		if d.FloodM != nil {
			f := on(*d.FloodM)
			flood = &f
		}
		if _, err := p.do(ctx, `update gauges set name = $2, river = $3, low_mm = $4, high_mm = $5, flood_mm = $6 where id = $1`,
			g.ID, d.Name, d.River, on(d.LowM), on(d.HighM), flood); err != nil {
			return err
		}
		return p.log(ctx, "changed a gauge", d.Name)
	})
	return told(err, "ChangeGauge")
}

// restated is what the readings since a new zero are read on from then: those of levels
// are written once more as corrections, and soundings superseded. What was written stays.
// A feed's station did not move with the board: what it sent stays on the zero it was set
// against.
const restatedLevels = `
	insert into levels (gauge_id, at, revision, zero_id, level_mm, source, by_member, intake_id, written_at)
	select l.gauge_id, l.at, l.revision + 1, $2, l.level_mm, l.source, l.by_member, l.intake_id, $5
	from levels l
	where l.gauge_id = $1 and l.at >= $3 and ($4::timestamptz is null or l.at < $4) and l.level_mm is not null
	  and not (l.source = 'station' and exists (select from feeds f where f.gauge_id = l.gauge_id and f.zero_id = l.zero_id and f.newest_at is not null))
	  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)`

const restatedSoundings = `
	insert into soundings (run_id, zero_id, at, level_mm, depth_mm, pace_mmps, timed_ms, by_member, written_at, supersedes, intake_id, boil, note, odd)
	select s.run_id, $2, s.at, s.level_mm, s.depth_mm, s.pace_mmps, s.timed_ms, s.by_member, greatest($5, s.at), s.id, s.intake_id, s.boil, s.note, s.odd
	from soundings s join gauge_zeros z on z.id = s.zero_id
	where z.gauge_id = $1 and s.at >= $3 and ($4::timestamptz is null or s.at < $4) and ` + currentSoundings

// restating is more than a page may take.
const restating = `set local statement_timeout = '60s'`

// MoveZero starts a new zero of a gauge. What was read since then is taken as read on the
// new board, and the sentence says how much that is. No bed moves for it.
func (db *DB) MoveZero(ctx context.Context, who club.Writer, slug string, d club.ZeroDraft, now time.Time) (string, error) {
	var done string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked(now)
		if err != nil {
			return err
		}
		g, err := p.gauge(ctx, slug)
		if err != nil {
			return err
		}
		zero, until, err := nextZero(g, d)
		if err != nil {
			return err
		}
		var id int32
		if err := p.tx.QueryRow(ctx, `insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) values ($1, $2, $3, $4) returning id`,
			g.ID, zero.From, mm(zero.OffsetM), zero.Reason).Scan(&id); err != nil {
			return err
		}
		if _, err := p.do(ctx, restating); err != nil {
			return err
		}
		levels, err := p.do(ctx, restatedLevels, g.ID, id, zero.From, timeOrNull(until), now)
		if err != nil {
			return err
		}
		soundings, err := p.do(ctx, restatedSoundings, g.ID, id, zero.From, timeOrNull(until), now)
		if err != nil {
			return err
		}
		done = fmt.Sprintf("%s has a new zero. %s and %s since then are taken as read on the new board. No bed moved.", g.Name,
			club.Plural(int(levels), "level"), club.Plural(int(soundings), "sounding"))
		return p.log(ctx, "moved a gauge's zero", g.Name+": "+zero.Reason)
	})
	return done, told(err, "MoveZero")
}

// nextZero is the zero a draft means, and when the one after it begins.
func nextZero(g club.OfficeGauge, d club.ZeroDraft) (club.Zero, time.Time, error) {
	var before *club.Zero
	var until time.Time
	for i, z := range g.Zeros {
		switch {
		case z.From.Equal(d.From):
			return club.Zero{}, until, club.Faultf(club.Conflict, "A zero of this gauge begins at that very time already.")
		case z.From.Before(d.From):
			before = &g.Zeros[i]
		case until.IsZero():
			until = z.From
		}
	}
	if before == nil {
		return club.Zero{}, until, club.Faultf(club.Invalid, "The gauge's first zero begins later than that. A board is moved after it was put up.")
	}
	z := club.Zero{From: d.From, OffsetM: before.OffsetM + d.OldM - d.NewM, Reason: d.Reason}
	if z.OffsetM < club.MinLevelM || z.OffsetM > -club.MinLevelM {
		return z, until, club.Faultf(club.Invalid, "That would put the zero %.2f m from the first one. Look at both readings again.", z.OffsetM)
	}
	return z, until, nil
}

// FixZero puts right the height and the words of a zero that is not the first.
func (db *DB) FixZero(ctx context.Context, who club.Writer, slug string, id int64, d club.ZeroFix, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		g, err := p.gauge(ctx, slug)
		if err != nil {
			return err
		}
		for i, z := range g.Zeros {
			switch {
			case z.ID != id:
				continue
			case i == 0:
				return club.Faultf(club.Invalid, "The first zero is what all the others are measured from: it stays as it is.")
			case z.Fix().Stamp() != d.Was:
				return club.ErrStale("this zero")
			}
			if _, err := p.do(ctx, restating); err != nil {
				return err
			}
			if _, err := p.do(ctx, `update gauge_zeros set offset_mm = $2, reason = $3 where id = $1`, id, mm(d.OffsetM), d.Reason); err != nil {
				return err
			}
			return p.log(ctx, "put a zero right", g.Name+": "+d.Reason)
		}
		return club.Faultf(club.NotFound, "The gauge has no such zero.")
	})
	return told(err, "FixZero")
}

// venue reads the id of a venue that is to be changed, and waits for whoever else
// changes it.
func (p *person) venue(ctx context.Context, slug string) (id int32, name string, err error) {
	err = p.tx.QueryRow(ctx, `select id, name from venues where slug = $1 for update`, slug).Scan(&id, &name)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, "", club.Faultf(club.NotFound, "The club has no water at this address.")
	}
	return id, name, err
}
