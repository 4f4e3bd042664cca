package db

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// Record reads what the page of recording is made of, in one round trip.
func (db *DB) Record(ctx context.Context, session []byte, now time.Time) (club.RecordView, error) {
	var v club.RecordView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	b.Queue(`select id::text, epoch::text, incident_line from club`).Query(func(rows pgx.Rows) error {
		_, err := pgx.ForEachRow(rows, []any{&v.Key.ID, &v.Key.Epoch, &v.Incident}, func() error { return nil })
		return err
	})
	b.Queue(`select `+standingColumns+` from gauges g`+standingJoins+` order by g.name, g.id`, now).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var s standingRow
			if err := rows.Scan(s.targets()...); err != nil {
				return err
			}
			v.Gauges = append(v.Gauges, s.standing(now))
		}
		return rows.Err()
	})
	b.Queue(recordMineSQL, session, now).Query(func(rows pgx.Rows) (err error) {
		v.Mine, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.WroteLine])
		return err
	})
	b.Queue(recordPegsSQL).Query(func(rows pgx.Rows) error { return scanRecordPegs(rows, &v) })
	return v, fail(db.pool.SendBatch(ctx, b).Close(), "db.Record")
}

// ClubKey is whose a phone's entries are.
func (db *DB) ClubKey(ctx context.Context) (club.ClubKey, error) {
	var k club.ClubKey
	err := db.pool.QueryRow(ctx, `select id::text, epoch::text from club`).Scan(&k.ID, &k.Epoch)
	if errors.Is(err, pgx.ErrNoRows) {
		return k, nil // no club, so nobody's
	}
	return k, fail(err, "db.ClubKey")
}

// recordMineSQL reads what whoever asks wrote last that still holds.
var recordMineSQL = `
	with me as materialized (select m.id from ` + asking("$1", "$2") + ` m), mine as (
		select l.intake_id, 'level' as kind, l.at, g.name || ' ' || to_char(l.level_mm / 1000.0, 'FM990.00') || ' m' as words
		from me join levels l on l.by_member = me.id join gauges g on g.id = l.gauge_id
		where l.intake_id is not null and l.level_mm is not null and l.written_at > $2::timestamptz - interval '30 days'
		  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
		union all
		select s.intake_id, 'sounding', s.at, v.name || ' ' || p.label || ', ' || r.name || ' ' || to_char(s.depth_mm / 1000.0, 'FM990.00') || ' m deep'
		from me join soundings s on s.by_member = me.id join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id
		where s.intake_id is not null and s.written_at > $2::timestamptz - interval '30 days' and ` + currentSoundings + `
	) select intake_id::text, kind, at, words from mine order by at desc limit 8`

const recordPegsSQL = `
	select v.id, v.slug, v.name, g.slug, coalesce(p.label, ''), coalesce(p.code, ''),
		array(select r.name from runs r where r.peg_id = p.id order by r.distance_mm),
		avg(p.lat) over (partition by v.id), avg(p.lon) over (partition by v.id)
	from venues v join gauges g on g.id = v.gauge_id left join pegs p on p.venue_id = v.id
	order by v.position, v.id, p.position`

func scanRecordPegs(rows pgx.Rows, v *club.RecordView) error {
	for rows.Next() {
		var venue club.Venue
		var gauge string
		var peg club.RecordPeg
		var lat, lon *float64
		if err := rows.Scan(&venue.ID, &venue.Slug, &venue.Name, &gauge, &peg.Label, &peg.Code, &peg.Runs, &lat, &lon); err != nil {
			return err
		}
		if n := len(v.Venues); n == 0 || v.Venues[n-1].Venue.ID != venue.ID {
			v.Venues = append(v.Venues, club.RecordVenue{Venue: venue, Gauge: gauge})
			if lat != nil && lon != nil {
				v.Venues[len(v.Venues)-1].At = &club.Position{LatDeg: *lat, LonDeg: *lon}
			}
		}
		if peg.Code != "" {
			last := &v.Venues[len(v.Venues)-1]
			last.Pegs = append(last.Pegs, peg)
		}
	}
	return rows.Err()
}

// Board reads a gauge about a moment. It fails with club.Invalid for a gauge the club does
// not have, or one with no zero at the moment.
func (db *DB) Board(ctx context.Context, gauge string, at, now time.Time) (club.BoardView, error) {
	var v club.BoardView
	var zero *int64
	var from *time.Time
	var offset *int32
	b := &pgx.Batch{}
	b.Queue(`select g.id, g.slug, g.name, g.past, z.id, z.valid_from, z.offset_mm from gauges g
		left join lateral (select id, valid_from, offset_mm from gauge_zeros where gauge_id = g.id and valid_from <= $2 order by valid_from desc limit 1) z on true
		where g.slug = $1`, gauge, at).QueryRow(func(row pgx.Row) error {
		return row.Scan(&v.Gauge.ID, &v.Gauge.Slug, &v.Gauge.Name, &v.Past, &zero, &from, &offset)
	})
	b.Queue(gaugeMomentSQL, gauge, at, now).Query(func(rows pgx.Rows) (err error) {
		v.Readings, err = scanReadings(rows)
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		return v, club.Faultf(club.Invalid, "The club has no gauge “%s”. Choose one of the list.", gauge)
	}
	if err != nil {
		return v, fail(err, "db.Board(%q)", gauge)
	}
	if zero == nil {
		return v, club.Faultf(club.Invalid, "Nobody has said where the zero of %s was then.", v.Gauge.Name)
	}
	v.Zero = club.Zero{ID: *zero, From: *from, OffsetM: metresOrZero(offset)}
	return v, nil
}

// Corrected is what an entry put in the book, to be corrected by another. It fails with
// club.Invalid for one that put in nothing that can be.
func (db *DB) Corrected(ctx context.Context, id string) (club.Corrected, error) {
	var c club.Corrected
	var mm, depth, pace *int32
	err := db.pool.QueryRow(ctx, `
		select 'level', g.slug, '', '', '', '', l.at, l.level_mm + z.offset_mm, null::integer, null::integer, coalesce(l.by_member, 0)
		from levels l join gauges g on g.id = l.gauge_id join gauge_zeros z on z.id = l.zero_id where l.intake_id = $1
		union all
		select 'sounding', g.slug, v.slug, p.label, r.name, p.code, s.at, s.level_mm + z.offset_mm, s.depth_mm, s.pace_mmps, coalesce(s.by_member, 0)
		from soundings s join gauge_zeros z on z.id = s.zero_id join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id
		join venues v on v.id = p.venue_id join gauges g on g.id = v.gauge_id where s.intake_id = $1
		limit 1`, id).Scan(&c.Kind, &c.Gauge, &c.Venue, &c.Label, &c.Run, &c.Code, &c.At, &mm, &depth, &pace, &c.By)
	if errors.Is(err, pgx.ErrNoRows) {
		return c, club.Faultf(club.Invalid, "There is no level and no sounding of that number to put right.")
	}
	c.DatumM, c.DepthM, c.PaceMPS = metresOrZero(mm), metresOrZero(depth), metresOrZero(pace)
	return c, fail(err, "db.Corrected(%s)", id)
}

// settler is an entry being settled, its row held.
type settler struct {
	tx     pgx.Tx
	id     string
	by     int64
	name   string
	role   club.Role
	result intakeResult
}

// SettleEntry puts an entry that was taken in into the book, or says that it needs
// mending, and keeps that with it. One that another request put in the book meanwhile is
// left as that did. It fails with a fault, and changes nothing, where the entry cannot go
// in as it is.
func (db *DB) SettleEntry(ctx context.Context, id string, st club.Settling, now time.Time) (club.EntryAnswer, error) {
	out := club.EntryAnswer{ID: id}
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		s := &settler{tx: tx, id: id}
		var gone bool
		err := tx.QueryRow(ctx, `select i.state, i.why, i.result, coalesce(m.id, 0), coalesce(m.name, ''), coalesce(m.role, ''), m.id is null or m.left_at is not null
			from intake i left join members m on m.id = i.member_id where i.id = $1 for update of i`, id).
			Scan(&out.State, &out.Why, &s.result, &s.by, &s.name, &s.role, &gone)
		if err != nil {
			return err
		}
		if out.State != club.EntryReceived {
			out.Says, out.Ask, out.Odd = s.result.Says, s.result.Ask, s.result.Odd
			return nil
		}
		if out.Why = st.Mending; out.Why != "" {
			out.State, out.Ask = club.NeedsMending, st.Ask
			return s.flip(ctx, out)
		}
		if gone || !st.Entry.Kind.MayWrite(s.role) {
			return club.ErrMayNotWrite(st.Entry.Kind)
		}
		if out.Says, err = s.write(ctx, st, now); err != nil {
			return err
		}
		out.State, out.Odd = club.InTheBook, st.Odd
		return s.flip(ctx, out)
	})
	return out, told(err, "SettleEntry")
}

func (s *settler) flip(ctx context.Context, a club.EntryAnswer) error {
	s.result.Says, s.result.Ask, s.result.Odd = a.Says, a.Ask, a.Odd
	result, err := json.Marshal(s.result)
	if err != nil {
		return err
	}
	_, err = s.tx.Exec(ctx, `update intake set state = $2, why = $3, result = $4 where id = $1 and state = 'received'`, s.id, a.State, a.Why, result)
	return err
}
