package db

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// standsOrComes leaves out of closures c what was lifted or is over at $2.
const standsOrComes = `c.lifted_at is null and (c.to_at is null or c.to_at > $2)`

const closurePegs = `
	left join pegs a on a.id = c.from_peg_id
	left join pegs b on b.id = c.to_peg_id`

// closureColumns are what scanClosures takes.
const closureColumns = `c.venue_id, c.id, coalesce(a.label, ''), coalesce(b.label, ''), c.from_at, c.to_at, c.reason`

const rulePegs = `
	left join pegs a on a.id = r.peg_id
	left join pegs b on b.id = r.to_peg_id`

// ruleColumns are what scanRules takes.
const ruleColumns = `r.venue_id, r.id, coalesce(a.label, ''), coalesce(b.label, a.label, ''), r.above_mm, r.below_mm, r.effect, r.text, r.from_at, r.to_at`

func scanClosures(rows pgx.Rows, take func(venue int64, c club.Closure)) error {
	var venue int64
	var c club.Closure
	var to *time.Time
	_, err := pgx.ForEachRow(rows, []any{&venue, &c.ID, &c.FromLabel, &c.ToLabel, &c.From, &to, &c.Reason}, func() error {
		c.To = timeOrZero(to)
		take(venue, c)
		return nil
	})
	return err
}

func scanRules(rows pgx.Rows, take func(venue int64, r club.LevelRule)) error {
	var venue int64
	var r club.LevelRule
	var above, below *int32
	var from, to *time.Time
	_, err := pgx.ForEachRow(rows, []any{&venue, &r.ID, &r.FromLabel, &r.ToLabel, &above, &below, &r.Effect, &r.Text, &from, &to}, func() error {
		r.AboveM, r.BelowM, r.From, r.To = metresPtr(above), metresPtr(below), timeOrZero(from), timeOrZero(to)
		take(venue, r)
		return nil
	})
	return err
}

func insertClosure(ctx context.Context, tx pgx.Tx, venueID int32, from, to *int32, c club.Closure, by *int64) (id int64, err error) {
	err = tx.QueryRow(ctx, `
		insert into closures (venue_id, from_peg_id, to_peg_id, from_at, to_at, reason, set_by) values ($1, $2, $3, $4, $5, $6, $7) returning id`,
		venueID, from, to, c.From, timeOrNull(c.To), c.Reason, by).Scan(&id)
	return id, err
}

func insertRule(ctx context.Context, tx pgx.Tx, venueID int32, from, to *int32, r club.LevelRule) (id int64, err error) {
	if from != nil && to != nil && *from == *to {
		to = nil
	}
	err = tx.QueryRow(ctx, `
		insert into level_rules (venue_id, peg_id, to_peg_id, above_mm, below_mm, effect, text, from_at, to_at)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id`,
		venueID, from, to, mmPtr(r.AboveM), mmPtr(r.BelowM), r.Effect, r.Text, timeOrNull(r.From), timeOrNull(r.To)).Scan(&id)
	return id, err
}

// closer is a write under way, by somebody who may, at a venue.
type closer struct {
	tx      pgx.Tx
	by      *int64 // nil for whoever runs the program on the machine
	name    string
	venue   string
	venueID int32
	offsetM float64 // of the zero in force
	hasZero bool
}

// asCloser does a write in one transaction with the look whether the writer may: a
// session that ends, or a role that changes, meanwhile waits for the write. Writes at
// one venue wait for each other, so that one sees what the other set.
func (db *DB) asCloser(ctx context.Context, who club.Writer, venue string, now time.Time, do func(*closer) error) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		c := &closer{tx: tx}
		if err := c.check(ctx, who, now); err != nil {
			return err
		}
		if err := c.goTo(ctx, venue, now); err != nil {
			return err
		}
		return do(c)
	})
	if errors.Is(err, pgx.ErrNoRows) { // of the venue; nothing else of a write gives none
		return db.venueNotFound(ctx, venue, who.Session, now)
	}
	return err
}

// goTo takes up a venue. Who else writes there waits.
func (c *closer) goTo(ctx context.Context, venue string, now time.Time) error {
	var offset *int32
	err := c.tx.QueryRow(ctx, `
		select v.id, v.name, (select z.offset_mm from gauge_zeros z where z.gauge_id = v.gauge_id and z.valid_from <= $2 order by z.valid_from desc limit 1)
		from venues v where v.slug = $1 for no key update of v`, venue, now).Scan(&c.venueID, &c.venue, &offset)
	c.offsetM, c.hasZero = metresOrZero(offset), offset != nil
	return err
}

// check fails with club.Forbidden for whoever may not write.
func (c *closer) check(ctx context.Context, who club.Writer, now time.Time) error {
	if who.OnMachine {
		return nil
	}
	var id int64
	var role club.Role
	err := c.tx.QueryRow(ctx, `
		select m.id, m.name, m.role from sessions s join members m on m.id = s.member_id
		where s.token_hash = $1 and s.expires_at > $2 and m.left_at is null for share of s, m`, who.Session, now).Scan(&id, &c.name, &role)
	if errors.Is(err, pgx.ErrNoRows) || err == nil && !role.MayClose() {
		return club.ErrMayNotClose()
	}
	c.by = &id
	return err
}

// logged writes down what was done at the venue.
func (c *closer) logged(ctx context.Context, what, about string) error {
	by := int64(0)
	if c.by != nil {
		by = *c.by
	}
	return logged(ctx, c.tx, by, what, c.venue+", "+about)
}

// peg is the peg somebody means; nil for the whole venue. One that is not there, or is
// another one by now, is a sentence.
func (c *closer) peg(ctx context.Context, ref club.PegRef) (*int32, string, error) {
	if ref.Label == "" {
		return nil, "", nil
	}
	rows, err := c.tx.Query(ctx, `select id, label, code from pegs where venue_id = $1 order by position for share`, c.venueID)
	if err != nil {
		return nil, "", err
	}
	type peg struct {
		ID          int32
		Label, Code string
	}
	pegs, err := pgx.CollectRows(rows, pgx.RowToStructByPos[peg])
	if err != nil {
		return nil, "", err
	}
	at := slices.IndexFunc(pegs, func(p peg) bool { return strings.EqualFold(p.Label, ref.Label) })
	if ref.Code != "" && (at < 0 || pegs[at].Code != ref.Code) {
		is := "it is not at this water any more"
		if moved := slices.IndexFunc(pegs, func(p peg) bool { return p.Code == ref.Code }); moved >= 0 {
			is = "it is peg " + pegs[moved].Label + " now"
		}
		return nil, "", club.Faultf(club.Conflict, "Peg %s was renumbered since this page was opened: %s. Choose again.", ref.Label, is)
	}
	if at < 0 {
		labels := make([]string, len(pegs))
		for i, p := range pegs {
			labels[i] = p.Label
		}
		return nil, "", club.Faultf(club.Invalid, "%s has no peg %s. It has %s.", c.venue, ref.Label, strings.Join(club.NearestLabels(labels, ref.Label, nearLabels), ", "))
	}
	return &pegs[at].ID, pegs[at].Label, nil
}

// span is both ends.
func (c *closer) span(ctx context.Context, from, to club.PegRef) (a, b *int32, labels [2]string, err error) {
	if a, labels[0], err = c.peg(ctx, from); err != nil {
		return nil, nil, labels, err
	}
	b, labels[1], err = c.peg(ctx, to)
	return a, b, labels, err
}

// closing wraps what a write ended with; a sentence stays one.
func closing(err error, what, venue string) error {
	var f *club.Fault
	if errors.As(err, &f) {
		return err
	}
	return fail(err, "db.%s(%q)", what, venue)
}

// sameClosure finds the closure that says the same: a button pressed twice sets one.
const sameClosure = `
	select ` + closureColumns + ` from closures c` + closurePegs + `
	where c.venue_id = $1 and ` + standsOrComes + ` and c.from_peg_id is not distinct from $3 and c.to_peg_id is not distinct from $4
	  and c.reason = $5 and c.to_at is not distinct from $6 and (c.from_at between $7::timestamptz - interval '1 minute' and $7::timestamptz + interval '1 minute' or c.from_at <= $2 and $7 <= $2)
	order by c.id limit 1`

// sameRule finds the rule that says the same.
const sameRule = `
	select ` + ruleColumns + ` from level_rules r` + rulePegs + `
	where r.venue_id = $1 and r.peg_id is not distinct from $2 and coalesce(r.to_peg_id, r.peg_id) is not distinct from $3
	  and r.above_mm is not distinct from $4 and r.below_mm is not distinct from $5 and r.effect = $6 and r.text = $7
	  and r.from_at is not distinct from $8 and r.to_at is not distinct from $9
	order by r.id limit 1`

// SetClosure closes a peg, a span of pegs or a venue, and gives the closure as it is
// kept, which is the one there was where it says the same. It fails with club.Forbidden for a writer who may not, club.Invalid for what
// makes no sense, and club.Conflict where a peg was renumbered meanwhile.
func (db *DB) SetClosure(ctx context.Context, who club.Writer, venue string, d club.ClosureDraft, now time.Time) (club.Closure, error) {
	var out club.Closure
	err := db.asCloser(ctx, who, venue, now, func(c *closer) (err error) {
		out, err = c.set(ctx, d, now)
		return err
	})
	return out, closing(err, "SetClosure", venue)
}

func (c *closer) set(ctx context.Context, d club.ClosureDraft, now time.Time) (club.Closure, error) {
	var out club.Closure
	d, err := d.Checked(now)
	if err != nil {
		return out, err
	}
	from, to, labels, err := c.span(ctx, d.From, d.To)
	if err != nil {
		return out, err
	}
	out = club.Closure{FromLabel: labels[0], ToLabel: labels[1], From: d.Starts, To: d.Ends, Reason: d.Reason, SetBy: c.name}
	rows, err := c.tx.Query(ctx, sameClosure, c.venueID, now, from, to, out.Reason, timeOrNull(out.To), out.From)
	if err != nil {
		return out, err
	}
	if err := scanClosures(rows, func(_ int64, was club.Closure) { out = was }); err != nil || out.ID != 0 {
		return out, err
	}
	if out.ID, err = insertClosure(ctx, c.tx, c.venueID, from, to, out, c.by); err != nil {
		return out, err
	}
	return out, c.logged(ctx, "closed pegs", club.SpanWords(out.FromLabel, out.ToLabel)+": "+out.Reason)
}

// LiftClosure opens again what a closure closed; its row is kept, with who lifted it. It
// fails with club.Conflict for one that does not stand or come any more.
func (db *DB) LiftClosure(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.Closure, error) {
	var out club.Closure
	err := db.asCloser(ctx, who, venue, now, func(c *closer) error {
		rows, err := c.tx.Query(ctx, `
			with c as (
				update closures c set lifted_at = $2, lifted_by = $3
				where c.id = $1 and c.venue_id = $4 and `+standsOrComes+` returning *
			) select `+closureColumns+` from c`+closurePegs, id, now, c.by, c.venueID)
		if err != nil {
			return err
		}
		if err := scanClosures(rows, func(_ int64, was club.Closure) { out = was }); err != nil {
			return err
		}
		if out.ID == 0 {
			return club.Faultf(club.Conflict, "That closure was lifted or is over already.")
		}
		return c.logged(ctx, "lifted a closure", club.SpanWords(out.FromLabel, out.ToLabel)+": "+out.Reason)
	})
	return out, closing(err, "LiftClosure", venue)
}

// SetRule sets a level rule, and gives it as it is kept: the draft's level is on the
// board's zero in force, the rule's on the datum. It fails as SetClosure does.
func (db *DB) SetRule(ctx context.Context, who club.Writer, venue string, d club.RuleDraft, now time.Time) (club.LevelRule, error) {
	var out club.LevelRule
	err := db.asCloser(ctx, who, venue, now, func(c *closer) error {
		d, err := d.Checked(now)
		if err != nil {
			return err
		}
		if !c.hasZero {
			return noZero(c.venue)
		}
		from, to, labels, err := c.span(ctx, d.From, d.To)
		if err != nil {
			return err
		}
		out = club.LevelRule{FromLabel: labels[0], ToLabel: labels[1], Effect: d.Effect, Text: d.Text, From: d.Starts, To: d.Ends}
		if level := d.LevelM + c.offsetM; d.Below {
			out.BelowM = &level
		} else {
			out.AboveM = &level
		}
		rows, err := c.tx.Query(ctx, sameRule, c.venueID, from, to, mmPtr(out.AboveM), mmPtr(out.BelowM), out.Effect, out.Text, timeOrNull(out.From), timeOrNull(out.To))
		if err != nil {
			return err
		}
		if err := scanRules(rows, func(_ int64, was club.LevelRule) { out = was }); err != nil || out.ID != 0 {
			return err
		}
		if out.ID, err = insertRule(ctx, c.tx, c.venueID, from, to, out); err != nil {
			return err
		}
		return c.logged(ctx, "set a level rule", club.SpanWords(out.FromLabel, out.ToLabel)+": "+out.Text)
	})
	return out, closing(err, "SetRule", venue)
}

// DropRule takes a level rule away, and gives what it was. It fails with club.Conflict
// for one that is not there any more.
func (db *DB) DropRule(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.LevelRule, error) {
	var out club.LevelRule
	err := db.asCloser(ctx, who, venue, now, func(c *closer) error {
		rows, err := c.tx.Query(ctx, `
			with r as (delete from level_rules where id = $1 and venue_id = $2 returning *)
			select `+ruleColumns+` from r`+rulePegs, id, c.venueID)
		if err != nil {
			return err
		}
		if err := scanRules(rows, func(_ int64, was club.LevelRule) { out = was }); err != nil {
			return err
		}
		if out.ID == 0 {
			return club.Faultf(club.Conflict, "That rule was taken away already.")
		}
		return c.logged(ctx, "took a level rule away", club.SpanWords(out.FromLabel, out.ToLabel)+": "+out.Text)
	})
	return out, closing(err, "DropRule", venue)
}
