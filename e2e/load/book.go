package main

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"

	"github.com/jackc/pgx/v5"
)

// book is what the tool knows of the filled book, to ask for it.
type book struct {
	pegs   []peg // in the order of how often they are asked for
	venues []venue
	gauges []gauge
	guides []string // addresses of guides, and of their steps
	steps  []string
}

type peg struct {
	ID                 int
	Venue, Label, Code string
	Open               bool // to visitors
	Gauge              string
}

type venue struct {
	Slug, Name string
	Open       bool
}

type gauge struct {
	Slug        string
	LowM, HighM float64 // the ordinary range, on the board
	LevelM      float64 // the latest, on the board
}

// readBook reads what there is to ask for.
func readBook(ctx context.Context, conn *pgx.Conn, seed uint64) (*book, error) {
	b := &book{}
	var err error
	if b.pegs, err = rowsOf[peg](ctx, conn, `select p.id, v.slug, p.label, p.code, v.open, g.slug from pegs p join venues v on v.id = p.venue_id join gauges g on g.id = v.gauge_id order by p.id`); err != nil {
		return nil, err
	}
	if b.venues, err = rowsOf[venue](ctx, conn, `select slug, name, open from venues order by id`); err != nil {
		return nil, err
	}
	b.gauges, err = rowsOf[gauge](ctx, conn, `select g.slug, (g.low_mm - z.offset_mm) / 1000.0, (g.high_mm - z.offset_mm) / 1000.0, l.mm / 1000.0
		from gauges g
		cross join lateral (select id, offset_mm from gauge_zeros where gauge_id = g.id order by valid_from desc limit 1) z
		cross join lateral (select level_mm + y.offset_mm - z.offset_mm as mm from levels l join gauge_zeros y on y.id = l.zero_id where l.gauge_id = g.id order by at desc limit 1) l
		order by g.id`)
	// Those asked for most lie anywhere in the book, the same ones for one seed.
	r := rand.New(rand.NewPCG(seed, 1))
	r.Shuffle(len(b.pegs), func(i, j int) { b.pegs[i], b.pegs[j] = b.pegs[j], b.pegs[i] })
	r.Shuffle(len(b.venues), func(i, j int) { b.venues[i], b.venues[j] = b.venues[j], b.venues[i] })
	return b, err
}

func rowsOf[T any](ctx context.Context, conn *pgx.Conn, query string, args ...any) ([]T, error) {
	rows, err := conn.Query(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[T])
}

// reader is one who asks. It is not for several goroutines at once.
type reader struct {
	*book
	*rand.Rand
	often *rand.Zipf
}

// popularity: of five pegs that are asked for four are by Zipf's law, the r-th with
// a weight of (8 + r) to the power of −1.2, and one is any of them.
const (
	zipfPower = 1.2
	zipfHead  = 8
)

func newReader(b *book, seed, n uint64) *reader {
	r := rand.New(rand.NewPCG(seed, 1000+n))
	return &reader{book: b, Rand: r, often: rand.NewZipf(r, zipfPower, zipfHead, uint64(len(b.pegs)-1))}
}

// anyPeg is a peg that somebody asks for.
func (r *reader) anyPeg() peg {
	if r.IntN(5) == 0 {
		return r.pegs[r.IntN(len(r.pegs))]
	}
	return r.pegs[r.often.Uint64()]
}

// openPeg is a peg that a visitor may see.
func (r *reader) openPeg() peg {
	for range 1000 {
		if p := r.anyPeg(); p.Open {
			return p
		}
	}
	return r.pegs[slices.IndexFunc(r.pegs, func(p peg) bool { return p.Open })]
}

func (r *reader) openVenue() venue {
	slug := r.openPeg().Venue
	return r.venues[slices.IndexFunc(r.venues, func(v venue) bool { return v.Slug == slug })]
}

func (r *reader) anyGauge() gauge { return r.gauges[r.IntN(len(r.gauges))] }

// gaugeOf is the gauge with a slug.
func (r *reader) gaugeOf(slug string) gauge {
	return r.gauges[slices.IndexFunc(r.gauges, func(g gauge) bool { return cmp.Compare(g.Slug, slug) == 0 })]
}

// member is the session of anyone of the club.
func (r *reader) member() string { return token(1 + r.IntN(membersAll)) }

// bailiff is the session of a bailiff.
func (r *reader) bailiff() string { return token(secretaries + 1 + r.IntN(bailiffs)) }
