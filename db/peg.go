package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// currentSoundings leaves out of soundings s what was superseded or withdrawn.
const currentSoundings = `not s.withdrawn and not exists (select from soundings n where n.supersedes = s.id)`

// bookRevision is the book's own revision, and that of a venue's soundings.
const bookRevision = `array[b.revision, coalesce(vr.revision, 0)]`

// pegSQL reads, in one statement and so from one moment, who asks, where the gauge
// stands, and the book's revision; and the peg's book itself unless the revision is
// the one that is remembered already ($5).
var pegSQL = `
	select ` + bookRevision + `, ` + memberColumns + `, ` + standingColumns + `,
		case when ` + bookRevision + ` is distinct from $5 then peg_book(p.id, $1) end
	from book_revision b
	cross join venues v
	left join venue_revisions vr on vr.venue_id = v.id
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
	err := db.reads(ctx).SendBatch(ctx, b).Close()
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
	revision []int64
	member   club.Member
	standing standingRow
	book     *pegBook
}

func (db *DB) readPeg(ctx context.Context, key pegKey, session []byte, now time.Time, revision []int64) (*pegRow, error) {
	var r pegRow
	err := db.reads(ctx).QueryRow(ctx, pegSQL, now, key.venue, key.label, session, revision).Scan(r.targets()...)
	return &r, err
}

func (r *pegRow) targets() []any {
	targets := append([]any{&r.revision}, memberTargets(&r.member)...)
	return append(append(targets, r.standing.targets()...), &r.book)
}

// onto completes what the book holds of a peg with what this reader sees now.
func (r *pegRow) onto(v club.PegView, now time.Time) club.PegView {
	return v.SeenAt(r.member, r.standing.standing(now), now)
}
