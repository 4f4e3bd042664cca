package db

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const savedFloodsSQL = `
	select array(select day from levels_day where gauge_id = g.id and flood order by day desc limit 60),
		(select day from levels_day where gauge_id = g.id order by day limit 1)
	from gauges g where g.slug = $1`

// savedReadingsSQL gives one more than is saved, to tell whether there are older ones.
const savedReadingsSQL = `
	select l.at, l.mm, l.source from gauges g
	cross join lateral (` + currentLevels + ` and l.at <= $2 order by l.at desc limit $3) l
	where g.slug = $1 order by l.at`

const savedHoursSQL = `
	select h.hour, h.mean_mm, h.least_mm, h.most_mm, h.readings from gauges g join levels_hour h on h.gauge_id = g.id
	where g.slug = $1 and h.hour >= $2 order by h.hour`

const savedDaysSQL = `
	select d.day, d.mean_mm, d.least_mm, d.most_mm, d.readings from gauges g join levels_day d on d.gauge_id = g.id
	where g.slug = $1 and d.day >= $2 order by d.day`

// SavedVenue reads a venue to be saved on the phone of whoever asks, as it is at one
// moment.
func (db *DB) SavedVenue(ctx context.Context, slug string, session []byte, now time.Time) (club.SavedVenue, error) {
	var v club.SavedVenue
	err := pgx.BeginTxFunc(ctx, db.reads(ctx), pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		gauge, err := readSavedPegs(ctx, tx, slug, session, now, &v)
		if err != nil {
			return err
		}
		v.River.Gauge = gauge
		return readSavedRiver(ctx, tx, session, now, &v.River)
	})
	if errors.Is(err, pgx.ErrNoRows) {
		return v, db.venueNotFound(ctx, slug, session, now)
	}
	return v, fail(err, "db.SavedVenue(%q)", slug)
}

// readSavedPegs reads the venue and its pegs, and gives its gauge.
func readSavedPegs(ctx context.Context, tx pgx.Tx, slug string, session []byte, now time.Time, v *club.SavedVenue) (club.Gauge, error) {
	var row venuePegsRow
	var view club.VenueView
	b := &pgx.Batch{}
	b.Queue(venuePegsBookSQL, now, slug, session, nil).QueryRow(func(r pgx.Row) error { return r.Scan(row.targets()...) })
	b.Queue(venuePegsSQL, slug).Query(func(rows pgx.Rows) error { return scanPegLines(rows, &view) })
	b.Queue(venueAroundSQL, slug, now).Query(func(rows pgx.Rows) error { return scanVenueAround(rows, &view) })
	queueVenueNotes(b, slug, &view)
	b.Queue(venueFixturesSQL, slug, now, nil).Query(func(rows pgx.Rows) (err error) {
		v.Fixtures, err = pgx.AppendRows(v.Fixtures, rows, pgx.RowToStructByPos[club.Fixture])
		return err
	})
	if err := tx.SendBatch(ctx, b).Close(); err != nil {
		return club.Gauge{}, err
	}
	v.At, v.Club, v.Member, v.Venue = now, row.club, row.member, row.venue
	v.Hazards, v.Rules, v.Closures = view.Hazards, view.Rules, view.Closures
	v.Notes, v.Pictures = club.PostedFor(v.Member, view.Notes, view.Pictures)
	slices.SortFunc(v.Rules, func(a, b club.LevelRule) int { return cmp.Compare(a.ID, b.ID) })
	if len(view.Pegs) != len(row.books) {
		return club.Gauge{}, fmt.Errorf("%d pegs and %d books of pegs", len(view.Pegs), len(row.books))
	}
	st := row.standing.standing(now)
	views := make([]club.PegView, len(row.books))
	for i, book := range row.books {
		views[i] = book.view().SeenAt(v.Member, st, now)
		v.Pegs = append(v.Pegs, club.SavedPeg{Peg: view.Pegs[i].Peg, Runs: views[i].Runs, Notes: views[i].Notes, Pictures: views[i].Pictures, Outings: views[i].Outings, Soundings: view.Pegs[i].Soundings})
	}
	return st.Gauge, addBeside(v.Pegs, views)
}

// addBeside says of each run that a peg borrows from where it stands among the pegs.
func addBeside(pegs []club.SavedPeg, views []club.PegView) error {
	for i, view := range views {
		for _, b := range view.Beside {
			at := slices.IndexFunc(pegs, func(p club.SavedPeg) bool { return p.Order == view.Peg.Order+b.Pegs })
			run := -1
			if at >= 0 {
				run = slices.IndexFunc(pegs[at].Runs, func(r club.RunBook) bool { return r.Name == b.Name && r.DistanceM == b.DistanceM })
			}
			if run < 0 || len(pegs[at].Runs[run].Soundings) < len(b.Soundings) {
				return fmt.Errorf("peg %s borrows from a run %q that is not there", view.Peg.Code, b.Name)
			}
			pegs[i].Beside = append(pegs[i].Beside, club.SavedBeside{Peg: at, Run: run, Soundings: len(b.Soundings)})
		}
	}
	return nil
}

func readSavedRiver(ctx context.Context, tx pgx.Tx, session []byte, now time.Time, r *club.SavedRiver) error {
	var view club.GaugeView
	slug := r.Gauge.Slug
	b := &pgx.Batch{}
	queueMember(b, session, now, &view.Member)
	queueBoardPictures(b, slug, &view)
	queueLook(b, "g.slug = $1", slug, now, &r.Look)
	queueGaugeAround(b, slug, session, now, &view)
	b.Queue(savedFloodsSQL, slug).QueryRow(func(row pgx.Row) error {
		var first *time.Time
		err := row.Scan(&r.Floods, &first)
		slices.Reverse(r.Floods)
		r.First = timeOrZero(first)
		return err
	})
	b.Queue(savedReadingsSQL, slug, now, club.SavedReadings+1).Query(func(rows pgx.Rows) (err error) {
		r.Readings, err = scanReadings(rows)
		return err
	})
	b.Queue(savedHoursSQL, slug, now.Add(-club.HistoryBack)).Query(func(rows pgx.Rows) (err error) {
		hours, err := scanSavedHours(rows)
		r.Hours = func() ([]club.HourLevels, error) { return hours, nil }
		return err
	})
	b.Queue(savedDaysSQL, slug, now.AddDate(0, 0, -club.SavedDays)).Query(func(rows pgx.Rows) (err error) {
		r.Days, err = pgx.AppendRows(r.Days, rows, pgx.RowToStructByPos[club.DayLevels])
		return err
	})
	if err := tx.SendBatch(ctx, b).Close(); err != nil {
		return err
	}
	r.Zeros, r.Venues, r.Feeds, r.Board = view.Zeros, view.Venues, view.Feeds, view.Board
	if r.All = len(r.Readings) <= club.SavedReadings; !r.All {
		r.Readings = r.Readings[len(r.Readings)-club.SavedReadings:]
	}
	return nil
}

func scanSavedHours(rows pgx.Rows) ([]club.HourLevels, error) {
	var out []club.HourLevels
	var h club.HourLevels
	_, err := pgx.ForEachRow(rows, []any{&h.Hour, &h.MeanMM, &h.LeastMM, &h.MostMM, &h.Readings}, func() error {
		h.DatumM = float64(h.MeanMM) / 1000
		out = append(out, h)
		return nil
	})
	return out, err
}
