package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// AddVenue makes a venue, the last on the list, and gives its place in addresses.
func (db *DB) AddVenue(ctx context.Context, who club.Writer, d club.VenueDraft, now time.Time) (club.Venue, error) {
	var v club.Venue
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		gauge, err := p.gaugeID(ctx, d.Gauge)
		if err != nil {
			return err
		}
		v = club.Venue{Name: d.Name, River: d.River}
		if v.Slug, err = p.freeSlug(ctx, "venues", d.Name, "water"); err != nil {
			return err
		}
		err = p.tx.QueryRow(ctx, `
			insert into venues (slug, name, river, gauge_id, position, about, access, close_season, open)
			values ($1, $2, $3, $4, (select coalesce(max(position), 0) + 1 from venues), $5, $6, $7, $8) returning id`,
			v.Slug, d.Name, d.River, gauge, d.About, d.Access, d.CloseSeason, d.Open).Scan(&v.ID)
		if err != nil {
			return err
		}
		return p.log(ctx, "made a water", d.Name)
	})
	return v, told(err, "AddVenue")
}

func (p *person) gaugeID(ctx context.Context, slug string) (id int32, err error) {
	err = p.tx.QueryRow(ctx, `select id from gauges where slug = $1 for share`, slug).Scan(&id)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, club.Faultf(club.Invalid, "The club has no such gauge. Choose one from the list.")
	}
	return id, err
}

// ChangeVenue changes a venue. It fails with club.Conflict where somebody else did
// meanwhile, and where what stands on its gauge's zero would come to stand on another's.
func (db *DB) ChangeVenue(ctx context.Context, who club.Writer, slug string, d club.VenueDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		id, _, err := p.venue(ctx, slug)
		if err != nil {
			return err
		}
		was, on, err := p.venueDraft(ctx, id)
		if err != nil {
			return err
		}
		if was.Stamp() != d.Was {
			return club.ErrStale("this water")
		}
		if was.Gauge != d.Gauge && on {
			return club.Faultf(club.Conflict, "The soundings and level rules of this water stand on the levels of its gauge, so it keeps that one.")
		}
		gauge, err := p.gaugeID(ctx, d.Gauge)
		if err != nil {
			return err
		}
		if _, err := p.do(ctx, `update venues set name = $2, river = $3, gauge_id = $4, about = $5, access = $6, close_season = $7, open = $8 where id = $1`,
			id, d.Name, d.River, gauge, d.About, d.Access, d.CloseSeason, d.Open); err != nil {
			return err
		}
		return p.log(ctx, "changed a water", d.Name)
	})
	return told(err, "ChangeVenue")
}

// venueDraft is a venue as its form has it, and whether anything stands on the datum of
// its gauge.
func (p *person) venueDraft(ctx context.Context, id int32) (d club.VenueDraft, on bool, err error) {
	err = p.tx.QueryRow(ctx, `
		select v.name, v.river, g.slug, v.about, v.access, v.close_season, v.open,
			exists (select from pegs p join runs r on r.peg_id = p.id join soundings s on s.run_id = r.id where p.venue_id = v.id)
			or exists (select from level_rules r where r.venue_id = v.id)
		from venues v join gauges g on g.id = v.gauge_id where v.id = $1`, id).
		Scan(&d.Name, &d.River, &d.Gauge, &d.About, &d.Access, &d.CloseSeason, &d.Open, &on)
	return d, on, err
}

// MoveVenue moves a venue one place up the club's list, or down.
func (db *DB) MoveVenue(ctx context.Context, who club.Writer, slug string, up bool, now time.Time) (name string, err error) {
	err = db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		id, called, err := p.venue(ctx, slug)
		if err != nil {
			return err
		}
		name = called
		// Places are counted anew, so that two which shared one are told apart.
		_, err = p.do(ctx, `
			with placed as (select id, row_number() over (order by position, id) as n from venues),
			mine as (select n from placed where id = $1),
			moved as (select p.id, case when p.id = $1 then p.n + $2 when p.n = mine.n + $2 then mine.n else p.n end as n from placed p, mine
				where mine.n + $2 between 1 and (select count(*) from placed))
			update venues v set position = m.n from moved m where m.id = v.id and v.position <> m.n`, id, step(up))
		if err != nil {
			return err
		}
		return p.log(ctx, "moved a water on the list", name)
	})
	return name, told(err, "MoveVenue")
}

func step(up bool) int {
	if up {
		return -1
	}
	return 1
}
