package db

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// peg reads the id and the label of a peg that is to be changed, by its code.
func (p *person) peg(ctx context.Context, venue, code string) (id int32, label string, err error) {
	if _, _, err := p.venue(ctx, venue); err != nil {
		return 0, "", err
	}
	err = p.tx.QueryRow(ctx, `select p.id, p.label from pegs p join venues v on v.id = p.venue_id where v.slug = $1 and p.code = upper($2) for update of p`, venue, code).Scan(&id, &label)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, "", club.Faultf(club.NotFound, "This water has no peg with the code “%.12s”.", code)
	}
	return id, label, err
}

// AddRuns gives every peg of a venue the same runs, but for those whose name or distance
// a peg has already. It gives how many it made, and at how many pegs.
func (db *DB) AddRuns(ctx context.Context, who club.Writer, venue string, d club.RunSetDraft, now time.Time) (runs, pegs int, err error) {
	err = db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		ps, err := p.posts(ctx, venue, "")
		if err != nil {
			return err
		}
		if len(ps.all) == 0 {
			return club.Faultf(club.Invalid, "%s has no pegs yet. Make its pegs first.", ps.name)
		}
		for _, k := range ps.all {
			n, err := p.addMissing(ctx, k.ID, d.Runs)
			if err != nil {
				return err
			}
			if runs += n; n > 0 {
				pegs++
			}
		}
		return p.log(ctx, "made runs", ps.name+": "+club.Plural(runs, "run")+" at "+club.Plural(pegs, "peg"))
	})
	return runs, pegs, told(err, "AddRuns")
}

func (p *person) addMissing(ctx context.Context, peg int32, runs []club.Run) (int, error) {
	has, err := p.runsOf(ctx, peg)
	if err != nil {
		return 0, err
	}
	n := 0
	for _, r := range runs {
		if len(has)+n >= club.RunsMost || clash(has, r.Name, r.DistanceM, 0) != nil {
			continue
		}
		if _, err := p.do(ctx, `insert into runs (peg_id, name, distance_mm) values ($1, $2, $3)`, peg, r.Name, mm(r.DistanceM)); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

func (p *person) runsOf(ctx context.Context, peg int32) ([]club.Run, error) {
	rows, err := p.tx.Query(ctx, `select id, name, distance_mm, boil, steep_side, snaggy, bottom from runs where peg_id = $1 order by distance_mm for update`, peg)
	if err != nil {
		return nil, err
	}
	var out []club.Run
	var r club.Run
	var distance int32
	_, err = pgx.ForEachRow(rows, []any{&r.ID, &r.Name, &distance, &r.Boil, &r.SteepSide, &r.Snaggy, &r.Bottom}, func() error {
		r.DistanceM = metres(distance)
		out = append(out, r)
		return nil
	})
	return out, err
}

// clash is a fault where another run than id has a name or a distance.
func clash(has []club.Run, name string, distanceM float64, id int64) error {
	for _, r := range has {
		switch {
		case r.ID == id:
		case strings.EqualFold(r.Name, name):
			return club.Faultf(club.Conflict, "The peg has a run “%s” already.", r.Name)
		case math.Abs(r.DistanceM-distanceM) < 0.0005:
			return club.Faultf(club.Conflict, "The peg's run “%s” is that far out already.", r.Name)
		}
	}
	return nil
}

// SetRun makes a run of a peg, or with an id changes that one. It fails with
// club.Conflict where somebody else changed it meanwhile.
func (db *DB) SetRun(ctx context.Context, who club.Writer, venue, code string, id int64, d club.RunDraft, now time.Time) error {
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		peg, label, err := p.peg(ctx, venue, code)
		if err != nil {
			return err
		}
		has, err := p.runsOf(ctx, peg)
		if err != nil {
			return err
		}
		if err := clash(has, d.Name, d.DistanceM, id); err != nil {
			return err
		}
		if id == 0 {
			if len(has) >= club.RunsMost {
				return club.ErrRunsMost()
			}
			_, err = p.do(ctx, `insert into runs (peg_id, name, distance_mm, boil, steep_side, snaggy, bottom) values ($1, $2, $3, $4, $5, $6, $7)`,
				peg, d.Name, mm(d.DistanceM), d.Boil, d.SteepSide, d.Snaggy, d.Bottom)
		} else {
			err = p.changeRun(ctx, has, id, d)
		}
		if err != nil {
			return err
		}
		return p.log(ctx, "set a run", "peg "+label+", "+d.Name)
	})
	return told(err, "SetRun")
}

func (p *person) changeRun(ctx context.Context, has []club.Run, id int64, d club.RunDraft) error {
	at := slices.IndexFunc(has, func(r club.Run) bool { return r.ID == id })
	if at < 0 {
		return gone("That run")
	}
	if has[at].Draft().Stamp() != d.Was {
		return club.ErrStale("this run")
	}
	_, err := p.do(ctx, `update runs set name = $2, distance_mm = $3, boil = $4, steep_side = $5, snaggy = $6, bottom = $7 where id = $1`,
		id, d.Name, mm(d.DistanceM), d.Boil, d.SteepSide, d.Snaggy, d.Bottom)
	return err
}

// DropRun takes a run away that was never sounded.
func (db *DB) DropRun(ctx context.Context, who club.Writer, venue, code string, id int64, now time.Time) (string, error) {
	var name string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		peg, label, err := p.peg(ctx, venue, code)
		if err != nil {
			return err
		}
		var sounded bool
		err = p.tx.QueryRow(ctx, `select name, exists (select from soundings s where s.run_id = r.id) from runs r where r.id = $1 and r.peg_id = $2`, id, peg).Scan(&name, &sounded)
		switch {
		case errors.Is(err, pgx.ErrNoRows):
			return gone("That run")
		case err != nil:
			return err
		case sounded:
			return club.Faultf(club.Conflict, "The run “%s” was sounded, so it stays in the book.", name)
		}
		if _, err := p.do(ctx, `delete from runs where id = $1`, id); err != nil {
			return err
		}
		return p.log(ctx, "took a run away", "peg "+label+", "+name)
	})
	return name, told(err, "DropRun")
}
