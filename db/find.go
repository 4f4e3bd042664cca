package db

import (
	"context"
	"errors"
	"strings"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// PegByCode gives the venue's slug and the label of the peg with a permanent code.
func (db *DB) PegByCode(ctx context.Context, code string) (venue, label string, err error) {
	err = db.pool.QueryRow(ctx, `
		select v.slug, p.label from pegs p join venues v on v.id = p.venue_id where p.code = upper($1)`, code).Scan(&venue, &label)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", "", club.Faultf(club.NotFound, "No peg has the code “%s”.", code)
	}
	return venue, label, fail(err, "db.PegByCode(%q)", code)
}

// FindPegs gives the pegs with a label, at venues whose name, river or slug
// contains every one of the words; no words is every venue. At most 50.
func (db *DB) FindPegs(ctx context.Context, label string, words []string) ([]club.Found, error) {
	rows, err := db.pool.Query(ctx, `
		select v.slug, v.name, p.label
		from pegs p join venues v on v.id = p.venue_id
		where lower(p.label) = lower($1)
		  and not exists (
			select from unnest($2::text[]) as w(word)
			where strpos(lower(v.name || ' ' || v.river || ' ' || v.slug), lower(word)) = 0)
		order by v.position, v.id limit 50`, label, words)
	if err != nil {
		return nil, fail(err, "db.FindPegs(%q)", label)
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[club.Found])
	return found, fail(err, "db.FindPegs(%q)", label)
}

// FindVenues gives the venues whose name, river or slug contains every one of the
// words, and at least one. At most 50.
func (db *DB) FindVenues(ctx context.Context, words []string) ([]club.Found, error) {
	rows, err := db.pool.Query(ctx, `
		select v.slug, v.name, ''
		from venues v
		where cardinality($1::text[]) > 0 and not exists (
			select from unnest($1::text[]) as w(word)
			where strpos(lower(v.name || ' ' || v.river || ' ' || v.slug), lower(word)) = 0)
		order by v.position, v.id limit 50`, words)
	if err != nil {
		return nil, fail(err, "db.FindVenues")
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[club.Found])
	return found, fail(err, "db.FindVenues")
}

// nearLabels is how many of a venue's pegs the page for a wrong number names.
const nearLabels = 6

// pegNotFound is the fault for a venue or a peg that is not there, which names
// what is nearest.
func (db *DB) pegNotFound(ctx context.Context, venue, label string) error {
	var name string
	var labels []string
	err := db.pool.QueryRow(ctx, `
		select v.name, array_agg(p.label order by p.position) filter (where p.id is not null)
		from venues v left join pegs p on p.venue_id = v.id
		where v.slug = $1 group by v.id`, venue).Scan(&name, &labels)
	if errors.Is(err, pgx.ErrNoRows) {
		return db.venueNotFound(ctx, venue)
	}
	if err != nil {
		return fail(err, "db.pegNotFound(%q, %q)", venue, label)
	}
	return club.PegNotFound(name, venue, label, club.NearestLabels(labels, label, nearLabels))
}

func (db *DB) venueNotFound(ctx context.Context, slug string) error {
	var names []string
	err := db.pool.QueryRow(ctx, `select coalesce(array_agg(name order by position), '{}') from venues`).Scan(&names)
	if err != nil {
		return fail(err, "db.venueNotFound(%q)", slug)
	}
	if len(names) == 0 {
		return club.Faultf(club.NotFound, "The club has no venues yet.")
	}
	return club.Faultf(club.NotFound, "The club has no venue at this address. It has %s.", strings.Join(names, ", "))
}
