package db

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// posts are a venue's pegs under way, in order downstream.
type posts struct {
	p       *person
	venueID int32
	name    string
	all     []post
	topMM   int32 // of the gauge's ordinary range
	offset  int32 // of the zero in force
}

type post struct {
	ID          int32
	Label, Code string
	Bank        club.Bank
	BearingDeg  int
	Reach       club.Reach
	MarkMM      int32
}

// posts reads a venue's pegs that are to be changed. Was, unless it is empty, is the
// stamp of the pegs the writer saw.
func (p *person) posts(ctx context.Context, slug, was string) (*posts, error) {
	id, name, err := p.venue(ctx, slug)
	if err != nil {
		return nil, err
	}
	out := &posts{p: p, venueID: id, name: name}
	err = p.tx.QueryRow(ctx, `
		select g.high_mm, coalesce((select z.offset_mm from gauge_zeros z where z.gauge_id = g.id order by (z.valid_from <= $2) desc, case when z.valid_from <= $2 then z.valid_from end desc, z.valid_from limit 1), 0)
		from venues v join gauges g on g.id = v.gauge_id where v.id = $1`, id, p.now).Scan(&out.topMM, &out.offset)
	if err != nil {
		return nil, err
	}
	rows, err := p.tx.Query(ctx, `select id, label, code, bank, bearing_deg, reach, mark_height_mm from pegs where venue_id = $1 order by position for update`, id)
	if err != nil {
		return nil, err
	}
	if out.all, err = pgx.CollectRows(rows, pgx.RowToStructByPos[post]); err != nil {
		return nil, err
	}
	refs := make([]club.PegRef, len(out.all))
	for i, k := range out.all {
		refs[i] = club.PegRef{Label: k.Label, Code: k.Code}
	}
	if was != "" && club.StampPegs(refs) != was {
		return nil, club.ErrStale("the pegs of this water")
	}
	return out, nil
}

// at is the place of a peg somebody means.
func (ps *posts) at(ref club.PegRef) (int, error) {
	for i, k := range ps.all {
		if strings.EqualFold(k.Label, ref.Label) && (ref.Code == "" || k.Code == ref.Code) {
			return i, nil
		}
	}
	return 0, club.Faultf(club.Conflict, "%s has no peg %s now. Choose again.", ps.name, ref.Label)
}

// taken is a fault where labels are those of pegs there are.
func (ps *posts) taken(labels []string) error {
	is := map[string]bool{}
	for _, k := range ps.all {
		is[strings.ToLower(k.Label)] = true
	}
	var both []string
	for _, l := range labels {
		if is[strings.ToLower(l)] {
			both = append(both, l)
		}
	}
	switch {
	case len(both) == 0:
		return nil
	case len(both) == 1:
		return club.Faultf(club.Conflict, "%s has a peg %s already.", ps.name, both[0])
	case len(both) > 6:
		both = append(both[:6], "…")
	}
	return club.Faultf(club.Conflict, "%s has pegs with these numbers already: %s.", ps.name, strings.Join(both, ", "))
}

// newCode draws a code that no peg has and none ever had.
func (p *person) newCode(ctx context.Context) (string, error) {
	for range 100 {
		code := club.NewCode(rand.IntN)
		free, err := p.codeFree(ctx, code)
		if err != nil || free {
			return code, err
		}
	}
	return "", errors.New("no free code was drawn")
}

func (p *person) codeFree(ctx context.Context, code string) (free bool, err error) {
	err = p.tx.QueryRow(ctx, `select not exists (select from pegs where code = $1) and not exists (select from peg_codes_gone where code = $1)`, code).Scan(&free)
	return free, err
}

// markAboveTopMM is how far over the top of the ordinary range a bank is taken to stand
// where nobody has said.
const markAboveTopMM = 500

// put puts pegs in, so that the first of them has the place at, from 0.
func (ps *posts) put(ctx context.Context, at int, pegs []club.Peg, mark int32) error {
	if _, err := ps.p.do(ctx, `update pegs set position = position + $3 where venue_id = $1 and position > $2`, ps.venueID, at, len(pegs)); err != nil {
		return err
	}
	for i, k := range pegs {
		code, err := ps.p.newCode(ctx)
		if err != nil {
			return err
		}
		if _, err := ps.p.do(ctx, `
			insert into pegs (venue_id, code, label, position, bank, bearing_deg, reach, mark_height_mm) values ($1, $2, $3, $4, $5, $6, $7, $8)`,
			ps.venueID, code, k.Label, at+i+1, k.Bank, k.BearingDeg, k.Reach, mark); err != nil {
			return err
		}
	}
	return nil
}

// count counts the venue's positions anew, from 1, where a peg that was taken away left
// a gap.
func (ps *posts) count(ctx context.Context) error {
	_, err := ps.p.do(ctx, `
		update pegs p set position = n.n from (select id, row_number() over (order by position) as n from pegs where venue_id = $1) n
		where p.id = n.id and p.position <> n.n`, ps.venueID)
	return err
}

// AddStretch makes a whole stretch of pegs at once.
func (db *DB) AddStretch(ctx context.Context, who club.Writer, venue string, d club.StretchDraft, now time.Time) (string, error) {
	var done string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		ps, err := p.posts(ctx, venue, d.Was)
		if err != nil {
			return err
		}
		pegs := d.Pegs()
		labels := make([]string, len(pegs))
		for i, k := range pegs {
			labels[i] = k.Label
		}
		if err := ps.taken(labels); err != nil {
			return err
		}
		if err := ps.count(ctx); err != nil {
			return err
		}
		at, mark := len(ps.all), ps.topMM+markAboveTopMM
		if d.Above {
			at = 0
		}
		if d.MarkM != nil {
			mark = mm(*d.MarkM) + ps.offset
		}
		if err := ps.put(ctx, at, pegs, mark); err != nil {
			return err
		}
		done = fmt.Sprintf("%s made: going downstream %s to %s.", club.Plural(len(pegs), "peg"), labels[0], labels[len(labels)-1])
		return p.log(ctx, "made pegs", ps.name+": "+labels[0]+" to "+labels[len(labels)-1])
	})
	return done, told(err, "AddStretch")
}

// AddBetween puts one peg in between others, with the bank and the bearing of its
// neighbours.
func (db *DB) AddBetween(ctx context.Context, who club.Writer, venue string, d club.BetweenDraft, now time.Time) (string, error) {
	var label string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		var err error
		if label, err = club.CheckLabel(d.Label); err != nil {
			return err
		}
		ps, err := p.posts(ctx, venue, d.Was)
		if err != nil {
			return err
		}
		at := 0
		if d.After.Label != "" {
			if at, err = ps.at(d.After); err != nil {
				return err
			}
			at++
		}
		if err := ps.taken([]string{label}); err != nil {
			return err
		}
		if err := ps.count(ctx); err != nil {
			return err
		}
		peg, mark := ps.between(at)
		peg.Label = label
		if err := ps.put(ctx, at, []club.Peg{peg}, mark); err != nil {
			return err
		}
		return p.log(ctx, "made a peg", ps.name+": "+label)
	})
	return label, told(err, "AddBetween")
}

// between is a peg at a place, made of those on either side of it.
func (ps *posts) between(at int) (club.Peg, int32) {
	if len(ps.all) == 0 {
		return club.Peg{Bank: club.RightBank, Reach: club.OpenReach}, ps.topMM + markAboveTopMM
	}
	up, down := ps.all[max(at-1, 0)], ps.all[min(at, len(ps.all)-1)]
	return club.Peg{Bank: up.Bank, Reach: up.Reach, BearingDeg: club.BearingBetween(up.BearingDeg, down.BearingDeg, 1, 2)}, (up.MarkMM + down.MarkMM) / 2
}

// Renumber gives the pegs of a span new numbers; their codes stay.
func (db *DB) Renumber(ctx context.Context, who club.Writer, venue string, d club.RenumberDraft, now time.Time) (string, error) {
	var done string
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		ps, err := p.posts(ctx, venue, d.Was)
		if err != nil {
			return err
		}
		from, err := ps.at(d.From)
		if err != nil {
			return err
		}
		to := from
		if d.To.Label != "" {
			if to, err = ps.at(d.To); err != nil {
				return err
			}
		}
		from, to = min(from, to), max(from, to)
		numbers, err := d.Numbers(to - from + 1)
		if err != nil {
			return err
		}
		if err := ps.relabel(ctx, from, to, numbers); err != nil {
			return err
		}
		done = fmt.Sprintf("%s renumbered: going downstream %s to %s. Their codes are as they were.", club.Plural(len(numbers), "peg"), numbers[0], numbers[len(numbers)-1])
		return p.log(ctx, "renumbered pegs", ps.name+": "+numbers[0]+" to "+numbers[len(numbers)-1])
	})
	return done, told(err, "Renumber")
}

// relabel writes new labels on pegs, by way of labels that no post has: two may change
// places.
func (ps *posts) relabel(ctx context.Context, from, to int, labels []string) error {
	rest := &posts{name: ps.name, all: append(append([]post{}, ps.all[:from]...), ps.all[to+1:]...)}
	if err := rest.taken(labels); err != nil {
		return err
	}
	ids := make([]int32, 0, to-from+1)
	for _, k := range ps.all[from : to+1] {
		ids = append(ids, k.ID)
	}
	if _, err := ps.p.do(ctx, `update pegs set label = 'zz' || lpad(to_hex(id), 6, '0') where id = any($1)`, ids); err != nil {
		return err
	}
	_, err := ps.p.do(ctx, `update pegs p set label = n.label from unnest($1::int[], $2::text[]) as n(id, label) where p.id = n.id`, ids, labels)
	return err
}
