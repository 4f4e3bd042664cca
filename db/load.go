package db

import (
	"context"
	"fmt"
	"math"
	"sort"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// LoadDemo fills the database with an invented club's book, in one transaction.
// It replaces an earlier demo, and refuses (club.Conflict) a database that holds a
// real club.
func (db *DB) LoadDemo(ctx context.Context, b club.Book) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		// A few seconds of writing, so the time limit of page queries is lifted.
		if _, err := tx.Exec(ctx, `set local statement_timeout = 0`); err != nil {
			return err
		}
		if err := clearDemo(ctx, tx); err != nil {
			return err
		}
		return loadBook(ctx, tx, b)
	})
	if club.KindOf(err) == club.Conflict {
		return err
	}
	return fail(err, "db.LoadDemo")
}

func clearDemo(ctx context.Context, tx pgx.Tx) error {
	var real bool
	err := tx.QueryRow(ctx, `
		select exists (select from club where not demo)
		    or (not exists (select from club) and (exists (select from gauges) or exists (select from members)))`).Scan(&real)
	if err != nil {
		return err
	}
	if real {
		return club.Faultf(club.Conflict, "This database holds a real club's book. The demo goes into an empty database.")
	}
	_, err = tx.Exec(ctx, `truncate venue_revisions, club, members, sessions, gauges, gauge_zeros, levels, levels_hour, levels_day,
		venues, pegs, runs, soundings, hazards, level_rules, closures, notes, fixtures, outings, kits, peg_codes_gone,
		passkeys, ceremonies, invitations, tries, log, intake, looks, incidents, picture_data, pictures, feeds, loggers, waiting_tables, waiting_parts`)
	return err
}

// loader carries what rows written earlier are known by.
type loader struct {
	tx      pgx.Tx
	members map[string]int64
	gauges  map[string]gaugeIDs
}

type gaugeIDs struct {
	id    int32
	zeros []zeroID
}

type zeroID struct {
	id   int32
	from time.Time
}

// zeroAt is the zero in force at a time: the last that began at or before it.
func (g gaugeIDs) zeroAt(at time.Time) (int32, error) {
	n := sort.Search(len(g.zeros), func(i int) bool { return g.zeros[i].from.After(at) })
	if n == 0 {
		return 0, fmt.Errorf("no zero is in force at %s", at.Format(time.RFC3339))
	}
	return g.zeros[n-1].id, nil
}

func loadBook(ctx context.Context, tx pgx.Tx, b club.Book) error {
	l := loader{tx: tx, members: map[string]int64{}, gauges: map[string]gaugeIDs{}}
	if _, err := tx.Exec(ctx, `insert into club (name, time_zone, place, demo, welfare, incident_line) values ($1, $2, $3, $4, $5, $6)`,
		b.Club.Name, b.Club.TimeZone, b.Club.Place, b.Club.Demo, b.Club.Welfare, b.Incident); err != nil {
		return err
	}
	for _, m := range b.Members {
		if err := l.member(ctx, m); err != nil {
			return fmt.Errorf("member %s: %w", m.Name, err)
		}
	}
	for _, g := range b.Gauges {
		if err := l.gauge(ctx, g); err != nil {
			return fmt.Errorf("gauge %s: %w", g.Slug, err)
		}
	}
	for i, v := range b.Venues {
		if err := l.venue(ctx, i+1, v); err != nil {
			return fmt.Errorf("venue %s: %w", v.Slug, err)
		}
	}
	return nil
}

func (l *loader) member(ctx context.Context, m club.Member) error {
	var id int64
	err := l.tx.QueryRow(ctx, `insert into members (name, role) values ($1, $2) returning id`, m.Name, m.Role).Scan(&id)
	l.members[m.Name] = id
	return err
}

func (l *loader) gauge(ctx context.Context, g club.GaugeBook) error {
	var ids gaugeIDs
	err := l.tx.QueryRow(ctx, `
		insert into gauges (slug, name, river, flood_mm, low_mm, high_mm) values ($1, $2, $3, $4, $5, $6) returning id`,
		g.Slug, g.Name, g.River, mmOrNull(g.FloodM), mm(g.LowM), mm(g.HighM)).Scan(&ids.id)
	if err != nil {
		return err
	}
	for _, z := range g.Zeros {
		zero := zeroID{from: z.From}
		err := l.tx.QueryRow(ctx, `
			insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) values ($1, $2, $3, $4) returning id`,
			ids.id, z.From, mm(z.OffsetM), z.Reason).Scan(&zero.id)
		if err != nil {
			return err
		}
		ids.zeros = append(ids.zeros, zero)
	}
	l.gauges[g.Slug] = ids
	return l.levels(ctx, ids, g.Levels)
}

func (l *loader) levels(ctx context.Context, ids gaugeIDs, levels []club.Level) error {
	columns := []string{"gauge_id", "at", "zero_id", "level_mm", "source"}
	_, err := l.tx.CopyFrom(ctx, pgx.Identifier{"levels"}, columns, pgx.CopyFromSlice(len(levels), func(i int) ([]any, error) {
		zero, err := ids.zeroAt(levels[i].At)
		return []any{ids.id, levels[i].At, zero, mm(levels[i].LevelM), string(levels[i].Source)}, err
	}))
	return err
}

func (l *loader) venue(ctx context.Context, position int, v club.VenueBook) error {
	gauge, ok := l.gauges[v.GaugeSlug]
	if !ok {
		return fmt.Errorf("gauge %q is not in the book", v.GaugeSlug)
	}
	var id int32
	err := l.tx.QueryRow(ctx, `
		insert into venues (slug, name, river, gauge_id, position, about, access, close_season, open)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id`,
		v.Slug, v.Name, v.River, gauge.id, position, v.About, v.Access, v.CloseSeason, v.Open).Scan(&id)
	if err != nil {
		return err
	}
	pegs := pegIDs{}
	for _, p := range v.Pegs {
		pegID, err := l.peg(ctx, id, gauge, p)
		if err != nil {
			return fmt.Errorf("peg %s: %w", p.Label, err)
		}
		pegs[p.Label] = pegID
	}
	return l.venueRules(ctx, id, pegs, v)
}

func (l *loader) peg(ctx context.Context, venueID int32, gauge gaugeIDs, p club.PegBook) (int32, error) {
	var id int32
	lat, lon := latLon(p.At)
	err := l.tx.QueryRow(ctx, `
		insert into pegs (venue_id, code, label, position, bank, bearing_deg, reach, access, mark_height_mm, lat, lon)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) returning id`,
		venueID, p.Code, p.Label, p.Order, p.Bank, p.BearingDeg, p.Reach, p.Access, mm(p.MarkHeightM), lat, lon).Scan(&id)
	if err != nil {
		return 0, err
	}
	for _, r := range p.Runs {
		if err := l.run(ctx, id, gauge, r); err != nil {
			return 0, fmt.Errorf("run %s: %w", r.Name, err)
		}
	}
	if err := l.outings(ctx, id, p.Outings); err != nil {
		return 0, fmt.Errorf("outings: %w", err)
	}
	for _, n := range p.Notes {
		_, err := l.tx.Exec(ctx, `
			insert into notes (peg_id, author_id, at, text, low_mm, high_mm, private) values ($1, $2, $3, $4, $5, $6, $7)`,
			id, l.by(n.Author), n.At, n.Text, mmPtr(n.LowM), mmPtr(n.HighM), n.Private)
		if err != nil {
			return 0, fmt.Errorf("note: %w", err)
		}
	}
	return id, nil
}

func (l *loader) run(ctx context.Context, pegID int32, gauge gaugeIDs, r club.RunBook) error {
	var id int32
	err := l.tx.QueryRow(ctx, `
		insert into runs (peg_id, name, distance_mm, boil, steep_side, snaggy, bottom)
		values ($1, $2, $3, $4, $5, $6, $7) returning id`,
		pegID, r.Name, mm(r.DistanceM), r.Boil, r.SteepSide, r.Snaggy, r.Bottom).Scan(&id)
	if err != nil {
		return err
	}
	columns := []string{"run_id", "zero_id", "at", "level_mm", "depth_mm", "pace_mmps", "timed_ms", "by_member"}
	_, err = l.tx.CopyFrom(ctx, pgx.Identifier{"soundings"}, columns, pgx.CopyFromSlice(len(r.Soundings), func(i int) ([]any, error) {
		s := r.Soundings[i]
		zero, err := gauge.zeroAt(s.At)
		return []any{id, zero, s.At, mm(s.LevelM), mm(s.DepthM), mmOrNull(s.PaceMPS), mmOrNull(s.TimedS), l.by(s.By)}, err
	}))
	return err
}

// outings are written without who fished: a book does not say.
func (l *loader) outings(ctx context.Context, pegID int32, all []club.Outing) error {
	columns := []string{"peg_id", "at", "colour", "temperature_dc", "written_at"}
	_, err := l.tx.CopyFrom(ctx, pgx.Identifier{"outings"}, columns, pgx.CopyFromSlice(len(all), func(i int) ([]any, error) {
		o := all[i]
		return []any{pegID, o.At, textOrNull(string(o.Colour)), tenths(o.TemperatureC), o.At}, nil
	}))
	return err
}

// tenths is tenths of a degree.
func tenths(c *float64) *int16 {
	if c == nil {
		return nil
	}
	return new(int16(math.Round(*c * 10)))
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// pegIDs finds a venue's pegs by their labels.
type pegIDs map[string]int32

// find is nil for the empty label, which means the whole venue. A label that is
// not there is an error: taken for the whole venue it would close it.
func (p pegIDs) find(label string) (*int32, error) {
	if label == "" {
		return nil, nil
	}
	id, ok := p[label]
	if !ok {
		return nil, fmt.Errorf("peg %q is not in the book", label)
	}
	return &id, nil
}

func (l *loader) venueRules(ctx context.Context, venueID int32, pegs pegIDs, v club.VenueBook) error {
	for _, h := range v.Hazards {
		if err := l.hazard(ctx, venueID, pegs, h); err != nil {
			return fmt.Errorf("hazard: %w", err)
		}
	}
	for _, r := range v.Rules {
		if err := l.levelRule(ctx, venueID, pegs, r); err != nil {
			return fmt.Errorf("level rule: %w", err)
		}
	}
	for _, c := range v.Closures {
		if err := l.closure(ctx, venueID, pegs, c); err != nil {
			return fmt.Errorf("closure: %w", err)
		}
	}
	for _, f := range v.Fixtures {
		if err := l.fixture(ctx, venueID, f); err != nil {
			return fmt.Errorf("fixture %s: %w", f.Name, err)
		}
	}
	return nil
}

func (l *loader) fixture(ctx context.Context, venueID int32, f club.Fixture) error {
	_, err := l.tx.Exec(ctx, `insert into fixtures (venue_id, name, starts_at, ends_at, uid) values ($1, $2, $3, $4, $5)`,
		venueID, f.Name, f.Starts, f.Ends, textOrNull(f.UID))
	return err
}

func (l *loader) hazard(ctx context.Context, venueID int32, pegs pegIDs, h club.Hazard) error {
	peg, err := pegs.find(h.PegLabel)
	if err != nil {
		return err
	}
	_, err = l.tx.Exec(ctx, `insert into hazards (venue_id, peg_id, kind, distance_mm, text) values ($1, $2, $3, $4, $5)`,
		venueID, peg, h.Kind, mmOrNull(h.DistanceM), h.Text)
	return err
}

func (l *loader) levelRule(ctx context.Context, venueID int32, pegs pegIDs, r club.LevelRule) error {
	from, err := pegs.find(r.FromLabel)
	if err != nil {
		return err
	}
	to, err := pegs.find(r.ToLabel)
	if err != nil {
		return err
	}
	_, err = insertRule(ctx, l.tx, venueID, from, to, r)
	return err
}

func (l *loader) closure(ctx context.Context, venueID int32, pegs pegIDs, c club.Closure) error {
	from, err := pegs.find(c.FromLabel)
	if err != nil {
		return err
	}
	to, err := pegs.find(c.ToLabel)
	if err != nil {
		return err
	}
	_, err = insertClosure(ctx, l.tx, venueID, from, to, c, l.by(c.SetBy))
	return err
}

// by is the member's id, nil for a name that is not a member's.
func (l *loader) by(name string) *int64 {
	if id, ok := l.members[name]; ok {
		return &id
	}
	return nil
}

// mm is whole thousandths: metres to millimetres, seconds to milliseconds.
func mm(m float64) int32 { return int32(math.Round(m * 1000)) }

// mmOrNull is mm, and null for a zero that means "not measured".
func mmOrNull(m float64) *int32 {
	if m == 0 {
		return nil
	}
	v := mm(m)
	return &v
}

func mmPtr(m *float64) *int32 {
	if m == nil {
		return nil
	}
	v := mm(*m)
	return &v
}

func timeOrNull(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
