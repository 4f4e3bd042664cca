package db

import (
	"context"
	"errors"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// SetHazard makes a hazard of a venue, or with an id changes that one. It fails with
// club.Conflict where somebody else changed it meanwhile.
func (db *DB) SetHazard(ctx context.Context, who club.Writer, venue string, id int64, d club.HazardDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, whoGuards, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		var peg *int32
		if d.Peg.Label != "" {
			at, err := ps.at(d.Peg)
			if err != nil {
				return err
			}
			peg = &ps.all[at].ID
		}
		if id == 0 {
			// A button pressed twice makes one.
			_, err = p.do(ctx, `
				insert into hazards (venue_id, peg_id, kind, distance_mm, text) select $1, $2, $3, $4, $5
				where not exists (select from hazards where venue_id = $1 and peg_id is not distinct from $2 and kind = $3 and distance_mm is not distinct from $4 and text = $5)`,
				ps.venueID, peg, d.Kind, mmOrNull(d.DistanceM), d.Text)
		} else {
			err = ps.changeHazard(ctx, id, peg, d)
		}
		if err != nil {
			return err
		}
		return p.log(ctx, "set a hazard", ps.name+": "+d.Text)
	})
	return told(err, "SetHazard")
}

func (ps *posts) hazard(ctx context.Context, id int64) (club.OfficeHazard, error) {
	h := club.OfficeHazard{ID: id}
	var distance int32
	err := ps.p.tx.QueryRow(ctx, `
		select h.kind, coalesce(p.label, ''), coalesce(p.code, ''), coalesce(h.distance_mm, 0), h.text
		from hazards h left join pegs p on p.id = h.peg_id where h.id = $1 and h.venue_id = $2 for update of h`, id, ps.venueID).
		Scan(&h.Kind, &h.PegLabel, &h.PegCode, &distance, &h.Text)
	h.DistanceM = metres(distance)
	if errors.Is(err, pgx.ErrNoRows) {
		return h, gone("That hazard")
	}
	return h, err
}

func (ps *posts) changeHazard(ctx context.Context, id int64, peg *int32, d club.HazardDraft) error {
	was, err := ps.hazard(ctx, id)
	if err != nil {
		return err
	}
	if was.Draft().Stamp() != d.Was {
		return club.ErrStale("this hazard")
	}
	_, err = ps.p.do(ctx, `update hazards set peg_id = $2, kind = $3, distance_mm = $4, text = $5 where id = $1`, id, peg, d.Kind, mmOrNull(d.DistanceM), d.Text)
	return err
}

// DropHazard takes a hazard away, and gives what it said.
func (db *DB) DropHazard(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (string, error) {
	var text string
	err := db.setUp(ctx, who, now, whoGuards, func(p *person) error {
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		h, err := ps.hazard(ctx, id)
		if err != nil {
			return err
		}
		text = h.Text
		if _, err := p.do(ctx, `delete from hazards where id = $1`, id); err != nil {
			return err
		}
		return p.log(ctx, "took a hazard away", ps.name+": "+text)
	})
	return text, told(err, "DropHazard")
}

// AddFixture puts a match on the calendar of a venue.
func (db *DB) AddFixture(ctx context.Context, who club.Writer, venue string, d club.FixtureDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		id, name, err := p.venue(ctx, venue)
		if err != nil {
			return err
		}
		if _, err := p.do(ctx, `
			insert into fixtures (venue_id, name, starts_at, ends_at) select $1, $2, $3, $4
			where not exists (select from fixtures where venue_id = $1 and name = $2 and starts_at = $3 and ends_at = $4)`, id, d.Name, d.Starts, d.Ends); err != nil {
			return err
		}
		return p.log(ctx, "set a fixture", name+": "+d.Name)
	})
	return told(err, "AddFixture")
}

// DropFixture takes a match off the calendar, and gives its name.
func (db *DB) DropFixture(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (string, error) {
	var match string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		water, name, err := p.venue(ctx, venue)
		if err != nil {
			return err
		}
		err = p.tx.QueryRow(ctx, `delete from fixtures where id = $1 and venue_id = $2 returning name`, id, water).Scan(&match)
		if errors.Is(err, pgx.ErrNoRows) {
			return gone("That match")
		}
		if err != nil {
			return err
		}
		return p.log(ctx, "took a fixture away", name+": "+match)
	})
	return match, told(err, "DropFixture")
}

// BringFixtures brings matches of a calendar in: one whose UID is known is changed, others
// are made. It gives how many were made, and changed. A fixture of this club's own that
// comes back is known by the UID it went out with.
func (db *DB) BringFixtures(ctx context.Context, who club.Writer, venue string, all []club.Fixture, now time.Time) (made, changed int, err error) {
	err = db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		id, name, err := p.venue(ctx, venue)
		if err != nil {
			return err
		}
		for _, f := range all {
			if _, err := (club.FixtureDraft{Name: f.Name, Starts: f.Starts, Ends: f.Ends}).Checked(); err != nil {
				return err
			}
			n, m, err := p.bringFixture(ctx, id, f)
			if err != nil {
				return err
			}
			made, changed = made+n, changed+m
		}
		if made+changed == 0 {
			return nil
		}
		return p.log(ctx, "brought fixtures in", name+": "+club.Plural(made+changed, "fixture"))
	})
	return made, changed, told(err, "BringFixtures")
}

// ownUID is what a fixture that began here is called in a calendar, with the club's epoch.
const ownUID = `'fixture-' || f.id || '@' || (select epoch from club)`

func (p *person) bringFixture(ctx context.Context, venue int32, f club.Fixture) (made, changed int, err error) {
	var id int64
	var same bool
	err = p.tx.QueryRow(ctx, `
		select f.id, (f.name, f.starts_at, f.ends_at) = ($3, $4::timestamptz, $5::timestamptz) from fixtures f
		where f.venue_id = $1 and coalesce(f.uid, `+ownUID+`) = $2`, venue, f.UID, f.Name, f.Starts, f.Ends).Scan(&id, &same)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		_, err = p.do(ctx, `insert into fixtures (venue_id, name, starts_at, ends_at, uid) values ($1, $2, $3, $4, $5)`, venue, f.Name, f.Starts, f.Ends, strings.ToValidUTF8(f.UID, ""))
		return 1, 0, err
	case err != nil, same:
		return 0, 0, err
	}
	_, err = p.do(ctx, `update fixtures set name = $2, starts_at = $3, ends_at = $4 where id = $1`, id, f.Name, f.Starts, f.Ends)
	return 0, 1, err
}
