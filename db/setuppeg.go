package db

import (
	"context"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// ChangePeg changes one peg. It fails with club.Conflict where somebody else did
// meanwhile.
func (db *DB) ChangePeg(ctx context.Context, who club.Writer, venue, code string, d club.PegDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		at, err := ps.coded(code)
		if err != nil {
			return err
		}
		was, err := ps.draft(ctx, at)
		if err != nil {
			return err
		}
		if was.Stamp() != d.Was {
			return club.ErrStale("this peg")
		}
		rest := &posts{name: ps.name, all: append(append([]post{}, ps.all[:at]...), ps.all[at+1:]...)}
		if err := rest.taken([]string{d.Label}); err != nil {
			return err
		}
		lat, lon := latLon(d.At)
		if _, err := p.do(ctx, `update pegs set label = $2, bank = $3, bearing_deg = $4, reach = $5, access = $6, mark_height_mm = $7, lat = $8, lon = $9 where id = $1`,
			ps.all[at].ID, d.Label, d.Bank, d.BearingDeg, d.Reach, d.Access, mm(d.MarkM)+ps.offset, lat, lon); err != nil {
			return err
		}
		return p.log(ctx, "changed a peg", ps.name+": "+d.Label)
	})
	return told(err, "ChangePeg")
}

func latLon(at *club.Position) (lat, lon *float64) {
	if at == nil {
		return nil, nil
	}
	return &at.LatDeg, &at.LonDeg
}

// coded is the place of the peg with a code.
func (ps *posts) coded(code string) (int, error) {
	for i, k := range ps.all {
		if k.Code == strings.ToUpper(code) {
			return i, nil
		}
	}
	return 0, club.Faultf(club.NotFound, "%s has no peg with the code “%.12s”.", ps.name, code)
}

func (ps *posts) draft(ctx context.Context, at int) (club.PegDraft, error) {
	var k club.OfficePeg
	var row pegRest
	err := ps.p.tx.QueryRow(ctx, `select `+pegColumns+` from pegs p where p.id = $1`, ps.all[at].ID).Scan(row.targets(&k.Peg)...)
	row.onto(&k.Peg)
	return k.Draft(club.Zero{OffsetM: metres(ps.offset)}), err
}

// DropPeg takes a peg away where nothing was ever sounded; otherwise it closes it for
// good, and the peg stays in the book. The sentence says which.
func (db *DB) DropPeg(ctx context.Context, who club.Writer, venue, code string, now time.Time) (string, error) {
	var done string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		at, err := ps.coded(code)
		if err != nil {
			return err
		}
		k := ps.all[at]
		var kept bool
		if err := p.tx.QueryRow(ctx, pegIsKept, k.ID).Scan(&kept); err != nil {
			return err
		}
		if !kept {
			done = "Peg " + k.Label + " is taken away. Its code " + k.Code + " is never given to another."
			if _, err := p.do(ctx, `delete from pegs where id = $1`, k.ID); err != nil {
				return err
			}
			if err := ps.count(ctx); err != nil {
				return err
			}
			return p.log(ctx, "took a peg away", ps.name+": "+k.Label)
		}
		done = "Peg " + k.Label + " is closed for good. What was written of it stays in the book; its closure can be lifted."
		if _, err := p.do(ctx, `
			insert into closures (venue_id, from_peg_id, to_peg_id, from_at, reason, set_by)
			select $1, $2, $2, $3, $4, nullif($5::bigint, 0)
			where not exists (select from closures where from_peg_id = $2 and to_peg_id = $2 and lifted_at is null and to_at is null and reason = $4)`,
			ps.venueID, k.ID, now, club.ClosedForGood, p.id); err != nil {
			return err
		}
		return p.log(ctx, "closed a peg for good", ps.name+": "+k.Label)
	})
	return done, told(err, "DropPeg")
}

// pegIsKept says whether anything was written of a peg that must not go with it.
const pegIsKept = `
	select exists (select from runs r join soundings s on s.run_id = r.id where r.peg_id = $1)
	    or exists (select from notes where peg_id = $1) or exists (select from outings where peg_id = $1)
	    or exists (select from pictures where peg_id = $1) or exists (select from incidents where peg_id = $1)
	    or exists (select from closures where from_peg_id = $1 or to_peg_id = $1) or exists (select from level_rules where peg_id = $1 or to_peg_id = $1)`

// SetPlaces writes down where pegs are. Those it does not name stay where they were. Was,
// unless it is empty, is the stamp of the places the writer saw.
func (db *DB) SetPlaces(ctx context.Context, who club.Writer, venue string, places []club.PegPlace, was string, now time.Time) (int, error) {
	moved := 0
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		if err := ps.samePlaces(ctx, was); err != nil {
			return err
		}
		for _, place := range places {
			if place.At != nil {
				if err := place.At.Check(); err != nil {
					return err
				}
			}
			at, err := ps.coded(place.Code)
			if err != nil {
				return club.Faultf(club.Conflict, "%s has no peg with the code “%.12s”. Nothing was changed.", ps.name, place.Code)
			}
			lat, lon := latLon(place.At)
			n, err := p.do(ctx, `update pegs set lat = $2, lon = $3 where id = $1 and (lat is distinct from $2 or lon is distinct from $3)`, ps.all[at].ID, lat, lon)
			if err != nil {
				return err
			}
			moved += int(n)
		}
		if moved == 0 {
			return nil
		}
		return p.log(ctx, "placed pegs on the map", ps.name+": "+club.Plural(moved, "peg"))
	})
	return moved, told(err, "SetPlaces")
}

// samePlaces is a fault where the pegs are elsewhere than the writer saw.
func (ps *posts) samePlaces(ctx context.Context, was string) error {
	if was == "" {
		return nil
	}
	rows, err := ps.p.tx.Query(ctx, `select code, lat, lon from pegs where venue_id = $1 order by position`, ps.venueID)
	if err != nil {
		return err
	}
	var places []club.PegPlace
	var code string
	var lat, lon *float64
	if _, err := pgx.ForEachRow(rows, []any{&code, &lat, &lon}, func() error {
		var k club.Peg
		(&pegRest{lat: lat, lon: lon}).onto(&k)
		places = append(places, club.PegPlace{Code: code, At: k.At})
		return nil
	}); err != nil {
		return err
	}
	if club.StampPlaces(places) != was {
		return club.ErrStale("where the pegs are")
	}
	return nil
}
