package db

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// write puts a judged entry into its table, and gives what that changed.
func (s *settler) write(ctx context.Context, st club.Settling, now time.Time) (string, error) {
	says := st.Says
	var err error
	switch e := st.Entry; e.Kind {
	case club.LevelEntry:
		var more string
		more, err = s.level(ctx, st, now)
		says = append(says, more)
	case club.SoundingEntry:
		err = s.sounding(ctx, st)
	case club.ClosureEntry:
		var done string
		done, err = s.closure(ctx, st, now)
		says = append([]string{done}, says...)
	case club.IncidentEntry:
		var done string
		done, err = s.incident(ctx, st)
		says = append([]string{done}, says...)
	default:
		err = fmt.Errorf("entry of kind %q", e.Kind)
	}
	return strings.TrimSpace(strings.Join(says, " ")), err
}

// zeroAt is the zero of a gauge in force at a moment; its row is held, so that the two
// below write one behind the other.
func (s *settler) zeroAt(ctx context.Context, gauge string, at time.Time) (gaugeID int32, name string, zero int64, offset int32, err error) {
	err = s.tx.QueryRow(ctx, `
		select g.id, g.name, z.id, z.offset_mm from gauges g
		join lateral (select id, offset_mm from gauge_zeros where gauge_id = g.id and valid_from <= $2 order by valid_from desc limit 1) z on true
		where g.slug = $1 for no key update of g`, gauge, at).Scan(&gaugeID, &name, &zero, &offset)
	if errors.Is(err, pgx.ErrNoRows) {
		err = club.Faultf(club.Invalid, "The club has no gauge “%s”, or nobody has said where its zero was then.", gauge)
	}
	return gaugeID, name, zero, offset, err
}

// freeSecond finds the second at which a person's reading is kept: its own, or where
// another reading has that the nearest one that is free and not after now ($3). Stations
// read on the minute, so it is none on the minute: what an instrument says later of 10:00
// then corrects no person's reading of 10:00, and two phones that read one board in one
// second are both kept.
const freeSecond = `
	select t from generate_series(date_trunc('second', $2::timestamptz) - interval '10 minutes', date_trunc('second', $2::timestamptz) + interval '10 minutes', interval '1 second') t
	where t <= $3 and extract(second from t) <> 0 and not exists (select from levels l where l.gauge_id = $1 and l.at = t)
	order by abs(extract(epoch from t - $2)), t desc limit 1`

// level writes a reading of a board, and what the water looked like; it gives what other
// readings of about that time say of it.
func (s *settler) level(ctx context.Context, st club.Settling, now time.Time) (string, error) {
	e := st.Entry
	gauge, name, zero, offset, err := s.zeroAt(ctx, e.Gauge, st.At)
	if err != nil {
		return "", err
	}
	if e.Corrects != "" {
		return s.correctLevel(ctx, st, now, gauge, name, zero, offset)
	}
	var at time.Time
	if err := s.tx.QueryRow(ctx, freeSecond, gauge, st.At, now).Scan(&at); err != nil {
		return "", err
	}
	if err := s.insertLevel(ctx, gauge, at, 0, zero, new(mm(st.DatumM)-offset)); err != nil {
		return "", err
	}
	if err := s.look(ctx, gauge, st); err != nil {
		return "", err
	}
	beside, err := s.beside(ctx, gauge, at, st.DatumM)
	if err != nil {
		return "", err
	}
	return beside, logged(ctx, s.tx, s.by, "wrote a level", fmt.Sprintf("%s: %s m", name, trimmed(float64(mm(st.DatumM)-offset)/1000)))
}

func (s *settler) insertLevel(ctx context.Context, gauge int32, at time.Time, revision int, zero int64, level *int32) error {
	_, err := s.tx.Exec(ctx, `insert into levels (gauge_id, at, revision, zero_id, level_mm, source, by_member, intake_id) values ($1, $2, $3, $4, $5, 'board', $6, $7)`,
		gauge, at, revision, zero, level, s.by, s.id)
	return err
}

func (s *settler) look(ctx context.Context, gauge int32, st club.Settling) error {
	e := st.Entry
	if e.Colour == "" && e.TemperatureC == nil {
		return nil
	}
	var tenths *int16
	if e.TemperatureC != nil {
		tenths = new(int16(math.Round(*e.TemperatureC * 10)))
	}
	_, err := s.tx.Exec(ctx, `insert into looks (gauge_id, at, by_member, colour, temperature_dc, intake_id) values ($1, $2, $3, nullif($4, ''), $5, $6)`,
		gauge, st.At, s.by, string(e.Colour), tenths, s.id)
	return err
}

// besideWithin and agreeMM are how near in time two readings of one board are held side by
// side, and how near they are to be said to agree: a centimetre of reading for each.
const (
	besideWithin = "15 minutes"
	agreeMM      = 20
)

// beside says how the readings others took within minutes go with this one.
func (s *settler) beside(ctx context.Context, gauge int32, at time.Time, datumM float64) (string, error) {
	rows, err := s.tx.Query(ctx, `
		select l.at, l.level_mm + z.offset_mm, l.level_mm, coalesce(l.by_member = $3, false) from levels l join gauge_zeros z on z.id = l.zero_id
		where l.gauge_id = $1 and l.at between $2::timestamptz - interval '`+besideWithin+`' and $2::timestamptz + interval '`+besideWithin+`' and l.source = 'board'
		  and l.level_mm is not null and l.intake_id is distinct from $4::uuid
		  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
		order by l.at desc limit 3`, gauge, at, s.by, s.id)
	if err != nil {
		return "", err
	}
	var out []string
	var when time.Time
	var mmDatum, onBoard int32
	var own bool
	_, err = pgx.ForEachRow(rows, []any{&when, &mmDatum, &onBoard, &own}, func() error {
		who := "Somebody else"
		if own {
			who = "You"
		}
		gap := int(math.Round(at.Sub(when).Abs().Minutes()))
		out = append(out, besideWords(who, trimmed(metres(onBoard)), gap, at.Before(when), mm(datumM)-mmDatum))
		return nil
	})
	return strings.Join(out, " "), err
}

func besideWords(who, level string, minutes int, later bool, by int32) string {
	when := "in the same minute"
	switch {
	case minutes > 0 && later:
		when = fmt.Sprintf("%d min later", minutes)
	case minutes > 0:
		when = fmt.Sprintf("%d min before", minutes)
	}
	if by <= agreeMM && by >= -agreeMM {
		return fmt.Sprintf("%s read %s m %s: they agree.", who, level, when)
	}
	return fmt.Sprintf("%s read %s m %s: they do not agree, and both are kept. Look at the board once more.", who, level, when)
}

func trimmed(m float64) string { return fmt.Sprintf("%.2f", m) }

// errOthers is said to whoever would put right what is not theirs to.
func errOthers() error {
	return club.Faultf(club.Forbidden, "Only who wrote it, a secretary or a bailiff may put that right.")
}

// correctLevel writes the next revision of a reading, which keeps what it was with who and
// when. Where the time was wrong the reading is withdrawn and stands anew at the right one.
func (s *settler) correctLevel(ctx context.Context, st club.Settling, now time.Time, gauge int32, name string, zero int64, offset int32) (string, error) {
	var at time.Time
	var oldZero int64
	var newest int
	var by int64
	err := s.tx.QueryRow(ctx, `
		select l.at, l.zero_id, coalesce(l.by_member, 0), (select max(n.revision) from levels n where n.gauge_id = l.gauge_id and n.at = l.at)
		from levels l where l.intake_id = $1 and l.gauge_id = $2 order by l.at desc, l.revision desc limit 1`, st.Entry.Corrects, gauge).Scan(&at, &oldZero, &by, &newest)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", club.Faultf(club.Invalid, "There is no level of that number to put right.")
	}
	if err != nil {
		return "", err
	}
	if by != s.by && !s.role.MayClose() {
		return "", errOthers()
	}
	moved := !st.Entry.Withdraw && !st.Entry.At.IsZero() && st.At.Sub(at).Abs() >= time.Minute
	value := new(mm(st.DatumM) - offset)
	if st.Entry.Withdraw || moved {
		value = nil
	} else {
		oldZero = zero
	}
	if err := s.insertLevel(ctx, gauge, at, newest+1, oldZero, value); err != nil {
		return "", err
	}
	if moved {
		if err := s.tx.QueryRow(ctx, freeSecond, gauge, st.At, now).Scan(&at); err != nil {
			return "", err
		}
		if err := s.insertLevel(ctx, gauge, at, 0, zero, new(mm(st.DatumM)-offset)); err != nil {
			return "", err
		}
	}
	if err := s.look(ctx, gauge, st); err != nil {
		return "", err
	}
	return "", logged(ctx, s.tx, s.by, "put a level right", name)
}

// sounding writes a depth, and the pace where it was timed.
func (s *settler) sounding(ctx context.Context, st club.Settling) error {
	if st.Entry.Corrects != "" {
		return s.correctSounding(ctx, st)
	}
	e := st.Entry
	var run int32
	var venue, label, gauge string
	err := s.tx.QueryRow(ctx, `
		select r.id, v.name, p.label, g.slug from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id join gauges g on g.id = v.gauge_id
		where p.code = $1 and r.name = $2 for share of r, p, v`, e.PegCode, e.Run).Scan(&run, &venue, &label, &gauge)
	if errors.Is(err, pgx.ErrNoRows) {
		return club.Faultf(club.Conflict, "That peg or run is not in the book any more. Choose again.")
	}
	if err != nil {
		return err
	}
	_, _, zero, offset, err := s.zeroAt(ctx, gauge, st.At)
	if err != nil {
		return err
	}
	if err := s.insertSounding(ctx, run, zero, offset, st, nil, false); err != nil {
		return err
	}
	return logged(ctx, s.tx, s.by, "wrote a sounding", fmt.Sprintf("%s, peg %s, %s: %s m", venue, label, e.Run, trimmed(e.DepthM)))
}

func (s *settler) insertSounding(ctx context.Context, run int32, zero int64, offset int32, st club.Settling, supersedes *int64, withdrawn bool) error {
	e := st.Entry
	var pace, timed *int32
	if e.PaceMPS > 0 {
		pace, timed = new(max(1, mm(e.PaceMPS))), mmOrNull(e.TimedS)
	}
	_, err := s.tx.Exec(ctx, `insert into soundings (run_id, zero_id, at, level_mm, depth_mm, pace_mmps, timed_ms, by_member, supersedes, withdrawn, intake_id, boil, note, odd)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		run, zero, st.At, mm(st.DatumM)-offset, mm(e.DepthM), pace, timed, s.by, supersedes, withdrawn, s.id, e.Boil, e.Note, st.Odd)
	return err
}

// correctSounding writes a sounding that supersedes the newest of those that began with
// the entry's.
func (s *settler) correctSounding(ctx context.Context, st club.Settling) error {
	var id, zero, by int64
	var run, level, depth, offset int32
	var at time.Time
	var withdrawn bool
	var venue, label, name, gauge string
	err := s.tx.QueryRow(ctx, `
		with recursive chain as (
			select s.*, 0 as step from soundings s where s.intake_id = $1
			union all select n.*, c.step + 1 from chain c join soundings n on n.supersedes = c.id
		)
		select c.id, c.run_id, c.zero_id, c.at, c.level_mm, c.depth_mm, c.withdrawn, coalesce(c.by_member, 0), v.name, p.label, r.name, g.slug, z.offset_mm
		from chain c join runs r on r.id = c.run_id join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id join gauges g on g.id = v.gauge_id
		join gauge_zeros z on z.id = c.zero_id order by c.step desc limit 1`, st.Entry.Corrects).
		Scan(&id, &run, &zero, &at, &level, &depth, &withdrawn, &by, &venue, &label, &name, &gauge, &offset)
	if errors.Is(err, pgx.ErrNoRows) {
		return club.Faultf(club.Invalid, "There is no sounding of that number to put right.")
	}
	if err != nil {
		return err
	}
	if by != s.by && !s.role.MayClose() {
		return errOthers()
	}
	if _, err := s.tx.Exec(ctx, `select from soundings where id = $1 for update`, id); err != nil {
		return err
	}
	if st.Entry.Withdraw {
		st.At, st.DatumM, st.Entry.DepthM, st.Entry.PaceMPS = at, metres(level+offset), metres(depth), 0
	} else if _, _, zero, offset, err = s.zeroAt(ctx, gauge, st.At); err != nil {
		return err
	}
	if err := s.insertSounding(ctx, run, zero, offset, st, &id, st.Entry.Withdraw); err != nil {
		return err
	}
	return logged(ctx, s.tx, s.by, "put a sounding right", fmt.Sprintf("%s, peg %s, %s", venue, label, name))
}

// closure closes a peg or a whole water, as the page of closures does.
func (s *settler) closure(ctx context.Context, st club.Settling, now time.Time) (string, error) {
	e := st.Entry
	_, slug, ref, err := s.place(ctx, e)
	if err != nil {
		return "", err
	}
	loc, err := s.zone(ctx)
	if err != nil {
		return "", err
	}
	c := &closer{tx: s.tx, by: &s.by, name: s.name}
	if err := c.goTo(ctx, slug, now); err != nil {
		return "", err
	}
	set, err := c.set(ctx, club.ClosureDraft{From: ref, Starts: st.At, Ends: e.Ends.In(loc), Reason: e.Reason}, now)
	if err != nil {
		return "", err
	}
	return set.Done(now, loc), nil
}

// place is the venue, and the peg where one is meant.
func (s *settler) place(ctx context.Context, e club.Entry) (peg *int32, venue string, ref club.PegRef, err error) {
	var label string
	err = s.tx.QueryRow(ctx, `
		select v.slug, p.id, coalesce(p.label, '') from venues v left join pegs p on p.venue_id = v.id and p.code = $1
		where case when $1 = '' then v.slug = $2 else p.id is not null end`, e.PegCode, e.Venue).Scan(&venue, &peg, &label)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, "", ref, club.Faultf(club.Invalid, "That peg or water is not in the book. Choose again.")
	}
	if peg != nil {
		ref = club.PegRef{Label: label, Code: e.PegCode}
	}
	return peg, venue, ref, err
}

func (s *settler) zone(ctx context.Context) (*time.Location, error) {
	var c club.Club
	if err := s.tx.QueryRow(ctx, `select time_zone from club`).Scan(&c.TimeZone); err != nil {
		return nil, err
	}
	return c.Zone()
}

// incident writes down what is wrong on the water.
func (s *settler) incident(ctx context.Context, st club.Settling) (string, error) {
	e := st.Entry
	peg, slug, ref, err := s.place(ctx, e)
	if err != nil {
		return "", err
	}
	text := e.Text
	if text == "" {
		text = string(e.Incident)
	}
	var name, line string
	err = s.tx.QueryRow(ctx, `
		with i as (insert into incidents (venue_id, peg_id, kind, text, at, by_member, intake_id) select id, $2, $3, $4, $5, $6, $7 from venues where slug = $1 returning venue_id)
		select v.name, c.incident_line from i join venues v on v.id = i.venue_id cross join club c`, slug, peg, e.Incident, text, st.At, s.by, s.id).Scan(&name, &line)
	if err != nil {
		return "", err
	}
	says := "Written down for the club: " + string(e.Incident) + " at " + name + "."
	if line != "" {
		says += " Now tell " + line + "."
	}
	return says, logged(ctx, s.tx, s.by, "wrote down an incident", name+", "+club.SpanWords(ref.Label, ref.Label)+": "+string(e.Incident))
}
