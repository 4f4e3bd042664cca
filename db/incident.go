package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const incidentsSQL = `
	(select i.id, v.slug, v.name, coalesce(p.label, ''), i.kind, i.text, i.at, coalesce(m.name, ''), i.closed_at, coalesce(k.name, '')
	from incidents i join venues v on v.id = i.venue_id left join pegs p on p.id = i.peg_id
	left join members m on m.id = i.by_member left join members k on k.id = i.closed_by
	where i.closed_at is null order by i.at desc, i.id desc)
	union all
	(select i.id, v.slug, v.name, coalesce(p.label, ''), i.kind, i.text, i.at, coalesce(m.name, ''), i.closed_at, coalesce(k.name, '')
	from incidents i join venues v on v.id = i.venue_id left join pegs p on p.id = i.peg_id
	left join members m on m.id = i.by_member left join members k on k.id = i.closed_by
	where i.closed_at is not null order by i.at desc, i.id desc limit $1)`

// Incidents reads what is wrong on the waters, in one round trip. It fails with
// club.Forbidden for whoever is no bailiff and no secretary.
func (db *DB) Incidents(ctx context.Context, session []byte, now time.Time) (club.IncidentsView, error) {
	var v club.IncidentsView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	b.Queue(incidentsSQL, club.IncidentsShown).Query(func(rows pgx.Rows) error {
		var i club.Incident
		var closed *time.Time
		_, err := pgx.ForEachRow(rows, []any{&i.ID, &i.VenueSlug, &i.VenueName, &i.PegLabel, &i.Kind, &i.Text, &i.At, &i.By, &closed, &i.ClosedBy}, func() error {
			if i.Closed = timeOrZero(closed); i.Closed.IsZero() {
				v.Standing = append(v.Standing, i)
			} else {
				v.Closed = append(v.Closed, i)
			}
			return nil
		})
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	if err == nil && !v.Member.Role.MayClose() {
		return club.IncidentsView{}, club.ErrOnly(club.Secretary, club.Bailiff)
	}
	return v, fail(err, "db.Incidents")
}

// CloseIncident says that an incident is dealt with. It fails with club.Forbidden for
// whoever is no bailiff and no secretary, and club.Conflict where it is closed already or
// there is none.
func (db *DB) CloseIncident(ctx context.Context, who club.Writer, id int64, now time.Time) error {
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary, club.Bailiff}, func(p *person) error {
		var about string
		rows, err := p.tx.Query(ctx, `
			with i as (update incidents set closed_at = $2, closed_by = nullif($3::bigint, 0) where id = $1 and closed_at is null returning *)
			select v.name || coalesce(', peg ' || p.label, '') || ': ' || i.kind from i join venues v on v.id = i.venue_id left join pegs p on p.id = i.peg_id`, id, now, p.id)
		if err != nil {
			return err
		}
		tag, err := pgx.ForEachRow(rows, []any{&about}, func() error { return nil })
		if err != nil {
			return err
		}
		if tag.RowsAffected() == 0 {
			return club.Faultf(club.Conflict, "That incident is closed already.")
		}
		return logged(ctx, p.tx, p.id, "closed an incident", about)
	})
	return told(err, "CloseIncident")
}

// queueLook adds to a batch the newest look at the water of a gauge; where is a condition
// that finds the gauge g by $1.
func queueLook(b *pgx.Batch, where, slug string, now time.Time, into **club.Look) {
	b.Queue(`
		select l.at, coalesce(l.colour, ''), l.temperature_dc / 10.0::float8
		from gauges g join looks l on l.gauge_id = g.id
		where `+where+` and l.at <= $2 and l.at > $3 order by l.at desc limit 1`, slug, now, now.Add(-club.LookLasts)).Query(func(rows pgx.Rows) error {
		var l club.Look
		_, err := pgx.ForEachRow(rows, []any{&l.At, &l.Colour, &l.WaterDeg}, func() error {
			seen := l
			*into = &seen
			return nil
		})
		return err
	})
}
