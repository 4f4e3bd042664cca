package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// setupLock keeps writes that set the club up one behind the other, so that each sees
// what the one before left: which addresses, numbers and codes are taken.
const setupLock = `select pg_advisory_xact_lock(71083702)`

// setUp does a write that sets the club up, in one transaction with the look whether the
// writer has one of the roles.
func (db *DB) setUp(ctx context.Context, who club.Writer, now time.Time, roles []club.Role, do func(*person) error) error {
	return pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, setupLock); err != nil {
			return err
		}
		p := &person{tx: tx, now: now}
		if err := p.check(ctx, who, roles); err != nil {
			return err
		}
		return do(p)
	})
}

var (
	onlySecretary = []club.Role{club.Secretary}
	whoGuards     = []club.Role{club.Secretary, club.Bailiff}
)

// log writes down what was done.
func (p *person) log(ctx context.Context, what, about string) error {
	return logged(ctx, p.tx, p.id, what, about)
}

// gone is a fault for what is not there any more.
func gone(what string) error {
	return club.Faultf(club.Conflict, "%s is not there any more. Somebody took it away since this page was opened.", what)
}

// officeGaugesSQL reads the gauges with the zero in force at $1 and the latest level.
const officeGaugesSQL = `
	select g.id, g.slug, g.name, g.river, coalesce(g.flood_mm, 0), g.low_mm, g.high_mm,
		coalesce(z.id, 0), z.valid_from, coalesce(z.offset_mm, 0), coalesce(z.reason, ''), now_.at, now_.level_mm, now_.source
	from gauges g
	left join lateral (
		select * from gauge_zeros where gauge_id = g.id order by (valid_from <= $1) desc, case when valid_from <= $1 then valid_from end desc, valid_from limit 1
	) z on true
	left join lateral (
		select l.at, l.level_mm + lz.offset_mm - z.offset_mm as level_mm, l.source
		from levels l join gauge_zeros lz on lz.id = l.zero_id
		where l.gauge_id = g.id and l.at <= $1 and l.level_mm is not null
		  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
		order by l.at desc limit 1
	) now_ on true
	order by g.river, g.name, g.id`

const officeZerosSQL = `select gauge_id, id, valid_from, offset_mm, reason from gauge_zeros order by gauge_id, valid_from`

const officeVenuesSQL = `
	select v.id, v.slug, v.name, v.river, v.about, v.access, v.close_season, v.open, g.slug, g.name,
		(select count(*) from pegs p where p.venue_id = v.id),
		(select count(*) from pegs p where p.venue_id = v.id and exists (select from runs r where r.peg_id = p.id)),
		(select count(*) from pegs p join runs r on r.peg_id = p.id join soundings s on s.run_id = r.id where p.venue_id = v.id),
		(select count(*) from hazards h where h.venue_id = v.id),
		(select count(*) from level_rules r where r.venue_id = v.id),
		(select count(*) from closures c where c.venue_id = v.id and c.lifted_at is null and (c.to_at is null or c.to_at > $1)),
		(select count(*) from fixtures f where f.venue_id = v.id and f.ends_at > $1),
		(select count(*) from pegs p where p.venue_id = v.id and p.lat is not null)
	from venues v join gauges g on g.id = v.gauge_id`

// Office reads the club's gauges and venues as a secretary sees them, in one round trip.
// Who asks is the caller's to judge.
func (db *DB) Office(ctx context.Context, session []byte, now time.Time) (club.Office, error) {
	var o club.Office
	b := &pgx.Batch{}
	queueMember(b, session, now, &o.Member)
	queueClub(b, &o.Club)
	queueOfficeGauges(b, now, &o.Gauges)
	b.Queue(officeVenuesSQL+` order by v.position, v.id`, now).Query(func(rows pgx.Rows) (err error) {
		o.Venues, err = scanOfficeVenues(rows)
		return err
	})
	return o, fail(db.pool.SendBatch(ctx, b).Close(), "db.Office")
}

func queueOfficeGauges(b *pgx.Batch, now time.Time, into *[]club.OfficeGauge) {
	at := map[int64]int{}
	b.Queue(officeGaugesSQL, now).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			g, err := scanOfficeGauge(rows)
			if err != nil {
				return err
			}
			at[g.ID] = len(*into)
			*into = append(*into, g)
		}
		return rows.Err()
	})
	b.Queue(officeZerosSQL).Query(func(rows pgx.Rows) error {
		var gauge int64
		var z club.Zero
		var offset int32
		_, err := pgx.ForEachRow(rows, []any{&gauge, &z.ID, &z.From, &offset, &z.Reason}, func() error {
			if i, ok := at[gauge]; ok {
				z.OffsetM = metres(offset)
				(*into)[i].Zeros = append((*into)[i].Zeros, z)
			}
			return nil
		})
		return err
	})
}

func scanOfficeGauge(rows pgx.Rows) (club.OfficeGauge, error) {
	var g club.OfficeGauge
	var flood, low, high, offset int32
	var from, at *time.Time
	var level *int32
	var source *string
	err := rows.Scan(&g.ID, &g.Slug, &g.Name, &g.River, &flood, &low, &high, &g.Zero.ID, &from, &offset, &g.Zero.Reason, &at, &level, &source)
	g.FloodM, g.LowM, g.HighM = metres(flood), metres(low), metres(high)
	g.Zero.From, g.Zero.OffsetM = timeOrZero(from), metres(offset)
	g.Last = levelOrNil(at, level, source)
	return g, err
}

func scanOfficeVenues(rows pgx.Rows) ([]club.OfficeVenue, error) {
	var out []club.OfficeVenue
	for rows.Next() {
		var v club.OfficeVenue
		if err := rows.Scan(append(append(venueTargets(&v.Venue), &v.Open, &v.GaugeSlug, &v.GaugeName), &v.Pegs, &v.PegsWithRuns, &v.Soundings,
			&v.Hazards, &v.Rules, &v.Closures, &v.Next, &v.Placed)...); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

const officePegsSQL = `
	select ` + pegColumns + `,
		(select count(*) from runs r join soundings s on s.run_id = r.id where r.peg_id = p.id),
		exists (select from closures c where c.from_peg_id = p.id and c.to_peg_id = p.id and c.lifted_at is null and c.to_at is null and c.reason = $2)
	from venues v join pegs p on p.venue_id = v.id where v.slug = $1 order by p.position`

const officeRunsSQL = `
	select p.code, r.id, r.name, r.distance_mm, r.boil, r.steep_side, r.snaggy, r.bottom, (select count(*) from soundings s where s.run_id = r.id)
	from venues v join pegs p on p.venue_id = v.id join runs r on r.peg_id = p.id where v.slug = $1 order by p.position, r.distance_mm`

const officeHazardsSQL = `
	select h.id, h.kind, coalesce(p.label, ''), coalesce(p.code, ''), coalesce(h.distance_mm, 0), h.text
	from venues v join hazards h on h.venue_id = v.id left join pegs p on p.id = h.peg_id where v.slug = $1 order by h.id`

const officeFixturesSQL = `
	select f.id, coalesce(f.uid, ''), f.name, f.starts_at, f.ends_at
	from venues v join fixtures f on f.venue_id = v.id where v.slug = $1 order by f.starts_at desc, f.id desc`

// OfficeWater reads all that is set up of a venue, in one round trip. It fails with
// club.NotFound for one the club does not have. Who asks is the caller's to judge.
func (db *DB) OfficeWater(ctx context.Context, slug string, session []byte, now time.Time) (club.OfficeWater, error) {
	var w club.OfficeWater
	var found []club.OfficeVenue
	b := &pgx.Batch{}
	queueMember(b, session, now, &w.Member)
	queueClub(b, &w.Club)
	queueTiles(b, &w.Tiles)
	queueOfficeGauges(b, now, &w.Gauges)
	b.Queue(officeVenuesSQL+` where v.slug = $2`, now, slug).Query(func(rows pgx.Rows) (err error) {
		found, err = scanOfficeVenues(rows)
		return err
	})
	b.Queue(officePegsSQL, slug, club.ClosedForGood).Query(func(rows pgx.Rows) error { return scanOfficePegs(rows, &w) })
	b.Queue(officeRunsSQL, slug).Query(func(rows pgx.Rows) error { return scanOfficeRuns(rows, &w) })
	b.Queue(officeHazardsSQL, slug).Query(func(rows pgx.Rows) error { return scanOfficeHazards(rows, &w) })
	b.Queue(officeFixturesSQL, slug).Query(func(rows pgx.Rows) (err error) {
		w.Fixtures, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.Fixture])
		return err
	})
	if err := db.pool.SendBatch(ctx, b).Close(); err != nil {
		return w, fail(err, "db.OfficeWater(%q)", slug)
	}
	if len(found) == 0 {
		return w, db.venueNotFound(ctx, slug, session, now)
	}
	w.Venue = found[0]
	for _, g := range w.Gauges {
		if g.Slug == w.Venue.GaugeSlug {
			w.Gauge = g
		}
	}
	return w, nil
}

// Tiles reads where a map's tiles come from.
func (db *DB) Tiles(ctx context.Context) (club.Tiles, error) {
	var t club.Tiles
	b := &pgx.Batch{}
	queueTiles(b, &t)
	return t, fail(db.pool.SendBatch(ctx, b).Close(), "db.Tiles")
}

func queueTiles(b *pgx.Batch, t *club.Tiles) {
	b.Queue(`select tiles, tiles_credit from club`).Query(func(rows pgx.Rows) error {
		_, err := pgx.ForEachRow(rows, []any{&t.Address, &t.Credit}, func() error { return nil })
		return err
	})
}

func scanOfficePegs(rows pgx.Rows, w *club.OfficeWater) error {
	for rows.Next() {
		var p club.OfficePeg
		var row pegRest
		if err := rows.Scan(append(row.targets(&p.Peg), &p.Soundings, &p.Gone)...); err != nil {
			return err
		}
		row.onto(&p.Peg)
		w.Pegs = append(w.Pegs, p)
	}
	return rows.Err()
}

func scanOfficeRuns(rows pgx.Rows, w *club.OfficeWater) error {
	var code string
	var r club.OfficeRun
	var distance int32
	_, err := pgx.ForEachRow(rows, []any{&code, &r.ID, &r.Name, &distance, &r.Boil, &r.SteepSide, &r.Snaggy, &r.Bottom, &r.Soundings}, func() error {
		r.DistanceM = metres(distance)
		for i := range w.Pegs {
			if w.Pegs[i].Code == code {
				w.Pegs[i].Runs = append(w.Pegs[i].Runs, r)
			}
		}
		return nil
	})
	return err
}

func scanOfficeHazards(rows pgx.Rows, w *club.OfficeWater) error {
	var h club.OfficeHazard
	var distance int32
	_, err := pgx.ForEachRow(rows, []any{&h.ID, &h.Kind, &h.PegLabel, &h.PegCode, &distance, &h.Text}, func() error {
		h.DistanceM = metres(distance)
		w.Hazards = append(w.Hazards, h)
		return nil
	})
	return err
}

// clubZone is the club's time zone; UTC for one this machine does not know.
func (p *person) clubZone(ctx context.Context) (*time.Location, error) {
	var c club.Club
	err := p.tx.QueryRow(ctx, `select time_zone from club`).Scan(&c.TimeZone)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, club.Faultf(club.Conflict, "Write the club's name and its time zone in the settings first.")
	}
	if err != nil {
		return nil, err
	}
	if loc, err := c.Zone(); err == nil {
		return loc, nil
	}
	return time.UTC, nil
}
