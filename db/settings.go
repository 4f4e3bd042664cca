package db

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

func insertClub(ctx context.Context, tx pgx.Tx, d club.ClubDraft) error {
	d, err := d.Checked()
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `insert into club (name, time_zone, place, welfare, incident_line) values ($1, $2, $3, $4, $5)`, d.Name, d.TimeZone, d.Place, d.Welfare, d.Incident)
	return err
}

// Settings reads the club's settings in one round trip.
func (db *DB) Settings(ctx context.Context, session []byte, now time.Time) (club.ClubView, error) {
	var v club.ClubView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	queueTiles(b, &v.Tiles)
	queueBackups(b, &v.Backups)
	b.Queue(`select welfare, incident_line from club`).Query(func(rows pgx.Rows) error {
		_, err := pgx.ForEachRow(rows, []any{&v.Club.Welfare, &v.Incident}, func() error { return nil })
		return err
	})
	b.Queue(`select slug, name, open from venues order by position, id`).Query(func(rows pgx.Rows) (err error) {
		v.Venues, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.VenueOpen])
		return err
	})
	return v, fail(db.pool.SendBatch(ctx, b).Close(), "db.Settings")
}

// ChangeSettings keeps the club's settings, and which venues visitors may see. Only a
// secretary may.
func (db *DB) ChangeSettings(ctx context.Context, who club.Writer, d club.ClubDraft, now time.Time) error {
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary}, func(p *person) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		if err := p.sameSettings(ctx, d.Was); err != nil {
			return err
		}
		if _, err := p.do(ctx, `update club set name = $1, time_zone = $2, place = $3, welfare = $4, incident_line = $5, tiles = $6, tiles_credit = $7`,
			d.Name, d.TimeZone, d.Place, d.Welfare, d.Incident, d.Tiles.Address, d.Tiles.Credit); err != nil {
			return err
		}
		open := slices.Clone(d.Open)
		if open == nil {
			open = []string{}
		}
		if _, err := p.do(ctx, `update venues set open = slug = any($1) where open <> (slug = any($1))`, open); err != nil {
			return err
		}
		return logged(ctx, p.tx, p.id, "changed settings", "")
	})
	return told(err, "ChangeSettings")
}

// sameSettings is a fault where somebody changed the settings since the writer saw them.
func (p *person) sameSettings(ctx context.Context, was string) error {
	if was == "" {
		return nil
	}
	var d club.ClubDraft
	err := p.tx.QueryRow(ctx, `
		select c.name, c.time_zone, c.place, c.welfare, c.incident_line, c.tiles, c.tiles_credit,
			array(select slug from venues where open order by position, id)
		from club c for update of c`).
		Scan(&d.Name, &d.TimeZone, &d.Place, &d.Welfare, &d.Incident, &d.Tiles.Address, &d.Tiles.Credit, &d.Open)
	if err == nil && d.Stamp() != was {
		return club.ErrStale("the settings")
	}
	return err
}
