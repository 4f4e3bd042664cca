package db

import (
	"context"
	"errors"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// venuePegsBookSQL is pegSQL for all the pegs of a venue, in order downstream.
var venuePegsBookSQL = `
	select ` + bookRevision + `, ` + memberColumns + `, ` + clubColumns + `, ` + venueColumns + `, ` + standingColumns + `,
		case when ` + bookRevision + ` is distinct from $4 then array(select peg_book(p.id, $1) from pegs p where p.venue_id = v.id order by p.position) end
	from book_revision b
	cross join club c
	cross join venues v
	left join venue_revisions vr on vr.venue_id = v.id
	join gauges g on g.id = v.gauge_id` + standingJoins + `
	left join lateral ` + asking("$3", "$1") + ` m on true
	where v.slug = $2 and ` + mayRead

// VenuePegs reads all that the sheets of a venue's pegs are made of in one round
// trip; and where at is a moment the gauge's readings about it, as PegAt does. It
// fails with club.NotFound for a venue the club does not have.
func (db *DB) VenuePegs(ctx context.Context, slug string, session []byte, now, at time.Time) (club.VenuePegs, []club.Reading, error) {
	known := db.venues.recall(slug)
	var row venuePegsRow
	var readings []club.Reading
	b := &pgx.Batch{}
	b.Queue(venuePegsBookSQL, now, slug, session, known.revisionOrNil()).QueryRow(func(r pgx.Row) error { return r.Scan(row.targets()...) })
	if !at.IsZero() {
		b.Queue(venueMomentSQL, slug, at, now).Query(func(rows pgx.Rows) (err error) {
			readings, err = scanReadings(rows)
			return err
		})
	}
	err := db.reads(ctx).SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return club.VenuePegs{}, nil, db.venueNotFound(ctx, slug, session, now)
	}
	if err != nil {
		return club.VenuePegs{}, nil, fail(err, "db.VenuePegs(%q)", slug)
	}
	if row.books != nil {
		known = db.keepVenue(slug, &row)
	}
	return row.onto(known, now), readings, nil
}

// venuePegsRow is venuePegsBookSQL's answer.
type venuePegsRow struct {
	pegRow
	club  club.Club
	venue club.Venue
	books []*pegBook
}

func (r *venuePegsRow) targets() []any {
	targets := append(append([]any{&r.revision}, memberTargets(&r.member)...), clubTargets(&r.club)...)
	targets = append(append(targets, venueTargets(&r.venue)...), r.standing.targets()...)
	return append(targets, &r.books)
}

func (r *venuePegsRow) onto(known *rememberedVenue, now time.Time) club.VenuePegs {
	v := club.VenuePegs{Club: r.club, Venue: r.venue, Member: r.member, Standing: r.standing.standing(now)}
	for _, p := range known.pegs {
		v.Pegs = append(v.Pegs, p.view.SeenAt(v.Member, v.Standing, now))
	}
	return v
}

// keepVenue remembers a venue's pegs, each as its own sheet will want it.
func (db *DB) keepVenue(slug string, row *venuePegsRow) *rememberedVenue {
	v := &rememberedVenue{revision: row.revision}
	for _, b := range row.books {
		p := &rememberedPeg{revision: row.revision, view: b.view()}
		v.pegs = append(v.pegs, p)
		db.pegs.keep(pegKeyOf(slug, b.Peg.Label), p)
	}
	db.venues.keep(slug, v)
	return v
}

// venueMemory remembers the pegs of the venues last asked for as a whole, as pegMemory
// does those of single ones.
type venueMemory struct {
	seen *lru.Cache[string, *rememberedVenue] // nil remembers nothing
}

// rememberedVenue is shared by readers and never changed.
type rememberedVenue struct {
	revision []int64
	pegs     []*rememberedPeg
}

// venuesRemembered is how many: a club has a handful, a federation hundreds, and each may
// hold a hundred pegs, of some 20 kB each.
const venuesRemembered = 24

func newVenueMemory(pegs int) venueMemory {
	if pegs <= 0 {
		return venueMemory{}
	}
	seen, err := lru.New[string, *rememberedVenue](venuesRemembered)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return venueMemory{seen}
}

func (m venueMemory) recall(slug string) *rememberedVenue {
	if m.seen == nil {
		return nil
	}
	v, _ := m.seen.Get(slug)
	return v
}

func (m venueMemory) keep(slug string, v *rememberedVenue) {
	if m.seen != nil {
		m.seen.Add(slug, v)
	}
}

func (v *rememberedVenue) revisionOrNil() []int64 {
	if v == nil {
		return nil
	}
	return v.revision
}
