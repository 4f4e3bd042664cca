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

// PegByCode gives the venue's slug and the label of the peg with a permanent code. It
// fails with club.Forbidden for a visitor to a water that is not open.
func (db *DB) PegByCode(ctx context.Context, code string, session []byte, now time.Time) (venue, label string, err error) {
	var may bool
	err = db.reads(ctx).QueryRow(ctx, `
		select v.slug, p.label, v.open or `+signedIn("$2", "$3")+`
		from pegs p join venues v on v.id = p.venue_id where p.code = upper($1)`, code, session, now).Scan(&venue, &label, &may)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", "", club.Faultf(club.NotFound, "No peg has the code “%s”.", code)
	}
	if err == nil && !may {
		return "", "", club.ErrMembersOnly()
	}
	return venue, label, fail(err, "db.PegByCode(%q)", code)
}

// FindPegs gives the pegs with a label, at venues whose name, river or slug
// contains every one of the words; no words is every venue that the reader may see. At
// most 50.
func (db *DB) FindPegs(ctx context.Context, label string, words []string, session []byte, now time.Time) ([]club.Found, error) {
	rows, err := db.reads(ctx).Query(ctx, `
		select v.slug, v.name, p.label
		from pegs p join venues v on v.id = p.venue_id
		where lower(p.label) = lower($1) and (v.open or `+signedIn("$3", "$4")+`)
		  and not exists (
			select from unnest($2::text[]) as w(word)
			where strpos(lower(v.name || ' ' || v.river || ' ' || v.slug), lower(word)) = 0)
		order by v.position, v.id limit 50`, label, words, session, now)
	if err != nil {
		return nil, fail(err, "db.FindPegs")
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[club.Found])
	return found, fail(err, "db.FindPegs")
}

// FindVenues gives the venues whose name, river or slug contains every one of the
// words, and at least one, of those the reader may see. At most 50.
func (db *DB) FindVenues(ctx context.Context, words []string, session []byte, now time.Time) ([]club.Found, error) {
	rows, err := db.reads(ctx).Query(ctx, `
		select v.slug, v.name, ''
		from venues v
		where cardinality($1::text[]) > 0 and (v.open or `+signedIn("$2", "$3")+`) and not exists (
			select from unnest($1::text[]) as w(word)
			where strpos(lower(v.name || ' ' || v.river || ' ' || v.slug), lower(word)) = 0)
		order by v.position, v.id limit 50`, words, session, now)
	if err != nil {
		return nil, fail(err, "db.FindVenues")
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[club.Found])
	return found, fail(err, "db.FindVenues")
}

// nearLabels is how many of a venue's pegs the page for a wrong number names.
const nearLabels = 6

// pegNotFound is the fault for a venue or a peg that is not there, which names
// what is nearest; and for a water that is not this reader's.
func (db *DB) pegNotFound(ctx context.Context, venue, label string, session []byte, now time.Time) error {
	var name string
	var labels []string
	err := db.reads(ctx).QueryRow(ctx, `
		select v.name, array_agg(p.label order by p.position) filter (where p.id is not null)
		from venues v left join pegs p on p.venue_id = v.id
		where v.slug = $1 and (v.open or `+signedIn("$2", "$3")+`) group by v.id`, venue, session, now).Scan(&name, &labels)
	if errors.Is(err, pgx.ErrNoRows) {
		return db.venueNotFound(ctx, venue, session, now)
	}
	if err != nil {
		return fail(err, "db.pegNotFound(%q, %q)", venue, label)
	}
	if slices.ContainsFunc(labels, func(l string) bool { return strings.EqualFold(l, label) }) {
		return noZero(name)
	}
	return club.PegNotFound(name, venue, label, club.NearestLabels(labels, label, nearLabels))
}

func (db *DB) venueNotFound(ctx context.Context, slug string, session []byte, now time.Time) error {
	var names []string
	var there string
	var shut bool
	err := db.reads(ctx).QueryRow(ctx, `
		select coalesce(array_agg(name order by position) filter (where open or seen), '{}'),
			coalesce(max(name) filter (where slug = $1), ''), coalesce(bool_or(slug = $1 and not open and not seen), false)
		from venues cross join (select `+signedIn("$2", "$3")+` as seen) t`, slug, session, now).Scan(&names, &there, &shut)
	switch {
	case err != nil:
		return fail(err, "db.venueNotFound(%q)", slug)
	case shut:
		return club.ErrMembersOnly()
	case there != "":
		return noZero(there)
	case len(names) == 0:
		return club.Faultf(club.NotFound, "The club has no venues yet that you may see.")
	}
	return club.Faultf(club.NotFound, "The club has no venue at this address. It has %s.", strings.Join(names, ", "))
}

func (db *DB) gaugeNotFound(ctx context.Context, slug string, session []byte, now time.Time) error {
	var there string
	var shut bool
	err := db.reads(ctx).QueryRow(ctx, `
		select coalesce(max(g.name), ''), coalesce(bool_and(not exists (select from venues v where v.gauge_id = g.id and v.open)), false) and not `+signedIn("$2", "$3")+`
		from gauges g where g.slug = $1`, slug, session, now).Scan(&there, &shut)
	switch {
	case err != nil:
		return fail(err, "db.gaugeNotFound(%q)", slug)
	case shut:
		return club.ErrMembersOnly()
	case there != "":
		return noZero(there)
	}
	return club.Faultf(club.NotFound, "The club has no gauge at this address.")
}

// noZero is the fault for what is in the book and cannot be read yet: a page's
// look-up leaves out a gauge none of whose zeros has begun.
func noZero(name string) error {
	return club.Faultf(club.NotFound, "%s cannot be shown yet: no zero of its gauge has begun, so no level can be read.", name)
}
