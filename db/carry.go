package db

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sort"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// carrying is how long an export or an import may take.
const carrying = `set local statement_timeout = '120s'`

const carriedRunsSQL = `
	select p.code, r.id, r.name, r.distance_mm, r.boil, r.steep_side, r.snaggy, r.bottom
	from pegs p join runs r on r.peg_id = p.id where p.venue_id = $1 order by p.position, r.distance_mm`

const carriedSoundingsSQL = `
	select r.id, s.at, s.level_mm + z.offset_mm, s.depth_mm, s.pace_mmps, s.timed_ms, coalesce(m.name, '')
	from pegs p join runs r on r.peg_id = p.id join soundings s on s.run_id = r.id join gauge_zeros z on z.id = s.zero_id
	left join members m on m.id = s.by_member and m.role <> 'junior'
	where p.venue_id = $1 and ` + currentSoundings + ` order by s.at, s.id`

const carriedNotesSQL = `
	select p.code, n.at, n.text, n.low_mm, n.high_mm from pegs p join notes n on n.peg_id = p.id
	where p.venue_id = $1 and not n.private and not n.waits and n.hidden_at is null order by n.at, n.id`

const carriedHazardsSQL = `
	select h.kind, coalesce(p.label, ''), coalesce(h.distance_mm, 0), h.text from hazards h left join pegs p on p.id = h.peg_id where h.venue_id = $1 order by h.id`

const carriedRulesSQL = `select ` + ruleColumns + ` from level_rules r` + rulePegs + ` where r.venue_id = $1 and (r.to_at is null or r.to_at > $2) order by r.id`

const carriedClosuresSQL = `select ` + closureColumns + ` from closures c` + closurePegs + ` where c.venue_id = $1 and ` + standsOrComes + ` order by c.from_at, c.id`

const carriedFixturesSQL = `
	select f.id, coalesce(f.uid, ` + ownUID + `), f.name, f.starts_at, f.ends_at from fixtures f where f.venue_id = $1 order by f.starts_at, f.id`

// Carry reads a venue as it is carried to another club; with levels, all those of its
// gauge. What was corrected is as it was corrected. It fails with club.Forbidden for a
// writer who is no secretary.
func (db *DB) Carry(ctx context.Context, who club.Writer, slug string, levels bool, now time.Time) (club.Carried, error) {
	var out club.Carried
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) (err error) {
		if _, err := p.do(ctx, carrying); err != nil {
			return err
		}
		out, err = p.carry(ctx, slug, levels)
		return err
	})
	return out, told(err, "Carry")
}

func (p *person) carry(ctx context.Context, slug string, levels bool) (club.Carried, error) {
	var out club.Carried
	id, _, err := p.venue(ctx, slug)
	if err != nil {
		return out, err
	}
	v := &out.Venue
	err = p.tx.QueryRow(ctx, `select `+venueColumns+`, v.open, g.slug from venues v join gauges g on g.id = v.gauge_id where v.id = $1`, id).
		Scan(append(venueTargets(&v.Venue), &v.Open, &v.GaugeSlug)...)
	if err != nil {
		return out, err
	}
	g, err := p.gauge(ctx, v.GaugeSlug)
	if err != nil {
		return out, err
	}
	out.Gauge = club.GaugeBook{Gauge: g.Gauge, Zeros: g.Zeros}
	if levels {
		if out.Gauge.Levels, err = p.carriedLevels(ctx, g); err != nil {
			return out, err
		}
	}
	b := &pgx.Batch{}
	queueCarried(b, id, p.now, g.Zeros, v)
	return out, p.tx.SendBatch(ctx, b).Close()
}

// onZero turns a level on the datum to the zero in force at a time; the first one's
// before any.
func onZero(zeros []club.Zero, at time.Time, datumMM int32) float64 {
	n := sort.Search(len(zeros), func(i int) bool { return zeros[i].From.After(at) })
	if n == 0 {
		return metres(datumMM)
	}
	return metres(datumMM - mm(zeros[n-1].OffsetM))
}

func (p *person) carriedLevels(ctx context.Context, g club.OfficeGauge) ([]club.Level, error) {
	rows, err := p.tx.Query(ctx, `select l.at, l.mm, l.source from gauges g cross join lateral (`+currentLevels+`) l where g.id = $1 order by l.at`, g.ID)
	if err != nil {
		return nil, err
	}
	readings, err := scanReadings(rows)
	out := make([]club.Level, len(readings))
	for i, r := range readings {
		out[i] = club.Level{At: r.At, LevelM: onZero(g.Zeros, r.At, mm(r.DatumM)), Source: r.Source}
	}
	return out, err
}

// queueCarried reads what belongs to a venue, but for its gauge.
func queueCarried(b *pgx.Batch, id int32, now time.Time, zeros []club.Zero, v *club.VenueBook) {
	pegs := map[string]int{}
	runs := map[int64][2]int{}
	b.Queue(`select `+pegColumns+` from pegs p where p.venue_id = $1 order by p.position`, id).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var p club.PegBook
			var rest pegRest
			if err := rows.Scan(rest.targets(&p.Peg)...); err != nil {
				return err
			}
			rest.onto(&p.Peg)
			pegs[p.Code] = len(v.Pegs)
			v.Pegs = append(v.Pegs, p)
		}
		return rows.Err()
	})
	b.Queue(carriedRunsSQL, id).Query(func(rows pgx.Rows) error {
		var code string
		var r club.Run
		var distance int32
		_, err := pgx.ForEachRow(rows, []any{&code, &r.ID, &r.Name, &distance, &r.Boil, &r.SteepSide, &r.Snaggy, &r.Bottom}, func() error {
			r.DistanceM = metres(distance)
			k := &v.Pegs[pegs[code]]
			runs[r.ID] = [2]int{pegs[code], len(k.Runs)}
			k.Runs = append(k.Runs, club.RunBook{Run: r})
			return nil
		})
		return err
	})
	b.Queue(carriedSoundingsSQL, id).Query(func(rows pgx.Rows) error {
		var run int64
		var s club.Sounding
		var level, depth int32
		var pace, timed *int32
		_, err := pgx.ForEachRow(rows, []any{&run, &s.At, &level, &depth, &pace, &timed, &s.By}, func() error {
			s.LevelM, s.DepthM, s.PaceMPS, s.TimedS = onZero(zeros, s.At, level), metres(depth), metresOrZero(pace), metresOrZero(timed)
			at := runs[run]
			r := &v.Pegs[at[0]].Runs[at[1]]
			r.Soundings = append(r.Soundings, s)
			return nil
		})
		return err
	})
	queueCarriedAround(b, id, now, pegs, v)
}

func queueCarriedAround(b *pgx.Batch, id int32, now time.Time, pegs map[string]int, v *club.VenueBook) {
	b.Queue(carriedNotesSQL, id).Query(func(rows pgx.Rows) error {
		var code string
		var n club.Note
		var low, high *int32
		_, err := pgx.ForEachRow(rows, []any{&code, &n.At, &n.Text, &low, &high}, func() error {
			n.LowM, n.HighM = metresPtr(low), metresPtr(high)
			k := &v.Pegs[pegs[code]]
			k.Notes = append(k.Notes, n)
			return nil
		})
		return err
	})
	b.Queue(carriedHazardsSQL, id).Query(func(rows pgx.Rows) error {
		var h club.Hazard
		var distance int32
		_, err := pgx.ForEachRow(rows, []any{&h.Kind, &h.PegLabel, &distance, &h.Text}, func() error {
			h.DistanceM = metres(distance)
			v.Hazards = append(v.Hazards, h)
			return nil
		})
		return err
	})
	b.Queue(carriedRulesSQL, id, now).Query(func(rows pgx.Rows) error {
		return scanRules(rows, func(_ int64, r club.LevelRule) { v.Rules = append(v.Rules, r) })
	})
	b.Queue(carriedClosuresSQL, id, now).Query(func(rows pgx.Rows) error {
		return scanClosures(rows, func(_ int64, c club.Closure) { v.Closures = append(v.Closures, c) })
	})
	b.Queue(carriedFixturesSQL, id).Query(func(rows pgx.Rows) (err error) {
		v.Fixtures, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.Fixture])
		return err
	})
}

// errLookedAt ends the transaction of a preview.
var errLookedAt = errors.New("looked at")

// Import brings a carried venue in, and gives what that made. With look it makes nothing,
// and gives what it would. Only a secretary may.
func (db *DB) Import(ctx context.Context, who club.Writer, c club.Carried, look bool, now time.Time) (club.Imported, error) {
	var out club.Imported
	err := db.setUp(ctx, who, now, onlySecretary, func(p *person) error {
		if _, err := p.do(ctx, carrying); err != nil {
			return err
		}
		if _, err := p.clubZone(ctx); err != nil {
			return err
		}
		var err error
		if out, err = p.bring(ctx, c); err != nil {
			return err
		}
		if look {
			return errLookedAt
		}
		return p.log(ctx, "brought a water in", out.Venue.Name)
	})
	if errors.Is(err, errLookedAt) {
		return out, nil
	}
	return out, told(err, "Import")
}

func (p *person) bring(ctx context.Context, c club.Carried) (club.Imported, error) {
	out := counted(c)
	l := loader{tx: p.tx, members: map[string]int64{}, gauges: map[string]gaugeIDs{}}
	var err error
	if out.Gauge, out.GaugeNew, err = p.bringGauge(ctx, &l, c.Gauge); err != nil {
		return out, err
	}
	v := c.Venue
	v.GaugeSlug, v.Open = out.Gauge.Slug, false
	if v.Slug, err = p.freeSlug(ctx, "venues", cmp.Or(v.Slug, v.Name), "water"); err != nil {
		return out, err
	}
	out.Venue = v.Venue
	v.Pegs = append([]club.PegBook{}, v.Pegs...)
	for i := range v.Pegs {
		k := &v.Pegs[i]
		free := false
		if k.Code != "" {
			if free, err = p.codeFree(ctx, k.Code); err != nil {
				return out, err
			}
		}
		if !free {
			if k.Code, err = p.newCode(ctx); err != nil {
				return out, err
			}
			out.Recoded = append(out.Recoded, club.PegRef{Label: k.Label, Code: k.Code})
		}
	}
	var position int
	if err := p.tx.QueryRow(ctx, `select coalesce(max(position), 0) + 1 from venues`).Scan(&position); err != nil {
		return out, err
	}
	if err := l.venue(ctx, position, v); err != nil {
		return out, fmt.Errorf("venue %s: %w", v.Slug, err)
	}
	return out, nil
}

// counted is how much of everything a carried venue has.
func counted(c club.Carried) club.Imported {
	out := club.Imported{Pegs: len(c.Venue.Pegs), Hazards: len(c.Venue.Hazards), Rules: len(c.Venue.Rules), Closures: len(c.Venue.Closures),
		Fixtures: len(c.Venue.Fixtures), Levels: len(c.Gauge.Levels)}
	for _, p := range c.Venue.Pegs {
		out.Notes += len(p.Notes)
		out.Runs += len(p.Runs)
		for _, r := range p.Runs {
			out.Sounded += len(r.Soundings)
		}
	}
	return out
}

// bringGauge finds the gauge of a carried venue, which is the club's own where its name,
// its river and its zeros are the same, and else makes it.
func (p *person) bringGauge(ctx context.Context, l *loader, g club.GaugeBook) (club.Gauge, bool, error) {
	var all []club.OfficeGauge
	b := &pgx.Batch{}
	queueOfficeGauges(b, p.now, &all)
	if err := p.tx.SendBatch(ctx, b).Close(); err != nil {
		return club.Gauge{}, false, err
	}
	for _, own := range all {
		if own.Name == g.Name && own.River == g.River && sameZeros(own.Zeros, g.Zeros) {
			ids := gaugeIDs{id: int32(own.ID)}
			for _, z := range own.Zeros {
				ids.zeros = append(ids.zeros, zeroID{int32(z.ID), z.From})
			}
			l.gauges[own.Slug] = ids
			return own.Gauge, false, nil
		}
	}
	slug, err := p.freeSlug(ctx, "gauges", cmp.Or(g.Slug, g.Name), "gauge")
	if err != nil {
		return club.Gauge{}, false, err
	}
	g.Slug = slug
	return g.Gauge, true, l.gauge(ctx, g)
}

func sameZeros(a, b []club.Zero) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !a[i].From.Equal(b[i].From) || mm(a[i].OffsetM) != mm(b[i].OffsetM) {
			return false
		}
	}
	return true
}

// VenueReadings reads the pegs of a venue with all that was sounded on them.
func (db *DB) VenueReadings(ctx context.Context, slug string, session []byte, now time.Time) ([]club.PegBook, error) {
	var v club.VenueBook
	err := db.reading(ctx, slug, session, now, func(tx pgx.Tx, id int32, gauge int64) error {
		var zeros []club.Zero
		b := &pgx.Batch{}
		queueZeros(b, gauge, &zeros)
		if err := tx.SendBatch(ctx, b).Close(); err != nil {
			return err
		}
		b = &pgx.Batch{}
		queueCarried(b, id, now, zeros, &v)
		return tx.SendBatch(ctx, b).Close()
	})
	return v.Pegs, err
}

func queueZeros(b *pgx.Batch, gauge int64, into *[]club.Zero) {
	b.Queue(`select id, valid_from, offset_mm, reason from gauge_zeros where gauge_id = $1 order by valid_from`, gauge).Query(func(rows pgx.Rows) error {
		var z club.Zero
		var offset int32
		_, err := pgx.ForEachRow(rows, []any{&z.ID, &z.From, &offset, &z.Reason}, func() error {
			z.OffsetM = metres(offset)
			*into = append(*into, z)
			return nil
		})
		return err
	})
}

// VenueCalendar reads the fixtures of a venue, past ones too, each with its UID, and the
// venue's name. A visitor may read those of an open venue.
func (db *DB) VenueCalendar(ctx context.Context, slug string, session []byte, now time.Time) (name string, fixtures []club.Fixture, err error) {
	err = db.reading(ctx, slug, session, now, func(tx pgx.Tx, id int32, _ int64) error {
		if err := tx.QueryRow(ctx, `select name from venues where id = $1`, id).Scan(&name); err != nil {
			return err
		}
		rows, err := tx.Query(ctx, carriedFixturesSQL, id)
		if err != nil {
			return err
		}
		fixtures, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.Fixture])
		return err
	})
	return name, fixtures, err
}

// reading does reads of one venue from one moment, for somebody who may see it.
func (db *DB) reading(ctx context.Context, slug string, session []byte, now time.Time, do func(tx pgx.Tx, id int32, gauge int64) error) error {
	err := pgx.BeginTxFunc(ctx, db.reads(ctx), pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		var id int32
		var gauge int64
		err := tx.QueryRow(ctx, `select v.id, v.gauge_id from venues v where v.slug = $1 and (v.open or `+signedIn("$2", "$3")+`)`, slug, session, now).Scan(&id, &gauge)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, carrying); err != nil {
			return err
		}
		return do(tx, id, gauge)
	})
	if errors.Is(err, pgx.ErrNoRows) {
		return db.venueNotFound(ctx, slug, session, now)
	}
	return fail(err, "db.reading(%q)", slug)
}

// GaugeLevels gives the levels of a gauge from one moment to another, oldest first, one at
// a time: on the zero in force when each was read, and on the datum. Who asks is
// the caller's to judge. It keeps a connection until the last was taken.
func (db *DB) GaugeLevels(ctx context.Context, slug string, from, to time.Time, each func(l club.Level, datumM float64) error) error {
	err := pgx.BeginTxFunc(ctx, db.pool, pgx.TxOptions{AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		var gauge int64
		if err := tx.QueryRow(ctx, `select id from gauges where slug = $1`, slug).Scan(&gauge); err != nil {
			return err
		}
		var zeros []club.Zero
		b := &pgx.Batch{}
		queueZeros(b, gauge, &zeros)
		if err := tx.SendBatch(ctx, b).Close(); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, carrying); err != nil {
			return err
		}
		rows, err := tx.Query(ctx, `select l.at, l.mm, l.source from gauges g cross join lateral (`+currentLevels+` and l.at >= $2 and l.at < $3) l where g.id = $1 order by l.at`, gauge, from, to)
		if err != nil {
			return err
		}
		var at time.Time
		var mm int32
		var source club.Source
		_, err = pgx.ForEachRow(rows, []any{&at, &mm, &source}, func() error {
			return each(club.Level{At: at, LevelM: onZero(zeros, at, mm), Source: source}, metres(mm))
		})
		return err
	})
	if errors.Is(err, pgx.ErrNoRows) {
		return club.Faultf(club.NotFound, "The club has no gauge at this address.")
	}
	return fail(err, "db.GaugeLevels(%q)", slug)
}
