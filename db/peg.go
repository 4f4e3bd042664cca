package db

import (
	"context"
	"errors"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// currentSoundings leaves out of soundings s what was superseded or withdrawn.
const currentSoundings = `not s.withdrawn and not exists (select from soundings n where n.supersedes = s.id)`

// pegSQL reads, in one statement and so from one moment, who asks, where the gauge
// stands, and the book's revision; and the peg's book itself unless the revision is
// the one that is remembered already ($5).
var pegSQL = `
	select b.revision, ` + memberColumns + `, ` + standingColumns + `,
		case when b.revision is distinct from $5 then peg_book(p.id, $1) end
	from book_revision b
	cross join venues v
	join pegs p on p.venue_id = v.id
	join gauges g on g.id = v.gauge_id` + standingJoins + `
	left join lateral ` + asking("$4", "$1") + ` m on true
	where v.slug = $2 and lower(p.label) = lower($3) and ` + mayRead

// Peg reads all that a peg's sheet is made of, the session's member included, in
// one round trip. It fails with club.NotFound for a venue or a peg the club does
// not have; the sentence then names the pegs nearest in the venue.
func (db *DB) Peg(ctx context.Context, venue, label string, session []byte, now time.Time) (club.PegView, error) {
	key := pegKeyOf(venue, label)
	known := db.pegs.recall(key)
	row, err := db.readPeg(ctx, key, session, now, known.revisionOrNil())
	if errors.Is(err, pgx.ErrNoRows) {
		return club.PegView{}, db.pegNotFound(ctx, venue, label, session, now)
	}
	if err != nil {
		return club.PegView{}, fail(err, "db.Peg(%q, %q)", venue, label)
	}
	return db.pegOf(key, known, row, now), nil
}

// PegAt is Peg with its gauge's readings about a moment, oldest first and none after
// now, still in one round trip.
func (db *DB) PegAt(ctx context.Context, venue, label string, session []byte, now, at time.Time) (club.PegView, []club.Reading, error) {
	key := pegKeyOf(venue, label)
	known := db.pegs.recall(key)
	var row pegRow
	var readings []club.Reading
	b := &pgx.Batch{}
	b.Queue(pegSQL, now, key.venue, key.label, session, known.revisionOrNil()).QueryRow(func(r pgx.Row) error { return r.Scan(row.targets()...) })
	b.Queue(venueMomentSQL, key.venue, at, now).Query(func(rows pgx.Rows) (err error) {
		readings, err = scanReadings(rows)
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return club.PegView{}, nil, db.pegNotFound(ctx, venue, label, session, now)
	}
	if err != nil {
		return club.PegView{}, nil, fail(err, "db.PegAt(%q, %q, %v)", venue, label, at)
	}
	return db.pegOf(key, known, &row, now), readings, nil
}

// pegOf is a peg of what was read of it and what is remembered.
func (db *DB) pegOf(key pegKey, known *rememberedPeg, row *pegRow, now time.Time) club.PegView {
	if row.book != nil {
		known = &rememberedPeg{revision: row.revision, view: row.book.view()}
		db.pegs.keep(key, known)
	}
	return row.onto(known.view, now)
}

// pegRow is pegSQL's answer.
type pegRow struct {
	revision int64
	member   club.Member
	standing standingRow
	book     *pegBook
}

func (db *DB) readPeg(ctx context.Context, key pegKey, session []byte, now time.Time, revision *int64) (*pegRow, error) {
	var r pegRow
	err := db.pool.QueryRow(ctx, pegSQL, now, key.venue, key.label, session, revision).Scan(r.targets()...)
	return &r, err
}

func (r *pegRow) targets() []any {
	targets := append([]any{&r.revision}, memberTargets(&r.member)...)
	return append(append(targets, r.standing.targets()...), &r.book)
}

// onto completes what the book holds of a peg with what this reader sees now.
func (r *pegRow) onto(v club.PegView, now time.Time) club.PegView {
	return seenBy(v, r.member, r.standing.standing(now), now)
}

func seenBy(v club.PegView, m club.Member, st club.Standing, now time.Time) club.PegView {
	v.Member, v.Standing = m, st
	v.Notes = without(v.Notes, func(n club.Note) bool { return !n.SeenBy(m) })
	v.Pictures = without(v.Pictures, func(p club.Picture) bool { return !p.SeenBy(m) })
	v.Notes, v.Pictures = named(v.Notes, v.Pictures, m)
	// What is remembered was read a while ago, and what ends with time may have since.
	v.Closures = without(v.Closures, func(c club.Closure) bool { return !c.To.IsZero() && !c.To.After(now) })
	v.Rules = without(v.Rules, func(r club.LevelRule) bool { return !r.To.IsZero() && !r.To.After(now) })
	v.Fixtures = without(v.Fixtures, func(f club.Fixture) bool { return !f.Ends.After(now) })
	since := now.AddDate(-1, 0, 0)
	v.Outings = without(v.Outings, func(o club.Outing) bool { return !o.At.After(since) })
	return v
}

// named is what a reader sees of notes and photographs: a visitor is told no member's
// name. What is remembered stays as it is.
func named(notes []club.Note, pictures []club.Picture, m club.Member) ([]club.Note, []club.Picture) {
	if m.ID != 0 {
		return notes, pictures
	}
	notes, pictures = slices.Clone(notes), slices.Clone(pictures)
	for i := range notes {
		notes[i].Author, notes[i].AuthorID = "", 0
	}
	for i := range pictures {
		pictures[i].Author, pictures[i].AuthorID = "", 0
	}
	return notes, pictures
}

// without is all but what goes; what is remembered stays as it is, and nil is all gone.
func without[T any](all []T, goes func(T) bool) []T {
	if !slices.ContainsFunc(all, goes) {
		return all
	}
	if left := slices.DeleteFunc(slices.Clone(all), goes); len(left) > 0 {
		return left
	}
	return nil
}
