package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// The reads below are for what the sums make of a gauge's past. Each takes its gauge
// from the query around it (g), so that a page which knows its gauge only by a venue
// can have them in its own statement or batch.

// currentLevels are the readings of gauge g on the datum, of each its highest
// revision, and none that was withdrawn.
const currentLevels = `
	select l.at, l.level_mm + z.offset_mm as mm, l.source
	from levels l join gauge_zeros z on z.id = l.zero_id
	where l.gauge_id = g.id and l.level_mm is not null
	  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)`

const hourMeansSQL = `
	select h.hour, h.mean_mm
	from gauges g left join levels_hour h on h.gauge_id = g.id and h.hour >= $2 and h.hour < $3
	where g.slug = $1 order by h.hour`

// What is read of gauge g about a moment $2: the readings from three days before it, or
// before now ($3) where it is to come, to a day after, since it is known to half a day
// only; and three more on either side, however far.
const momentLevels = `
	cross join (select least($2::timestamptz, $3::timestamptz) as at) t
	cross join lateral (
		(` + currentLevels + ` and l.at between t.at - interval '3 days' and least($3, t.at + interval '1 day'))
		union all (` + currentLevels + ` and l.at < t.at - interval '3 days' order by l.at desc limit 3)
		union all (` + currentLevels + ` and l.at > t.at + interval '1 day' and l.at <= $3 order by l.at limit 3)
	) l`

const venueMomentSQL = `
	select l.at, l.mm, l.source from venues v join gauges g on g.id = v.gauge_id` + momentLevels + ` where v.slug = $1 order by l.at`

const gaugeMomentSQL = `
	select l.at, l.mm, l.source from gauges g` + momentLevels + ` where g.slug = $1 order by l.at`

func scanReadings(rows pgx.Rows) ([]club.Reading, error) {
	var out []club.Reading
	var at *time.Time
	var mm *int32
	var source *string
	_, err := pgx.ForEachRow(rows, []any{&at, &mm, &source}, func() error {
		if at != nil && mm != nil {
			out = append(out, club.Reading{At: *at, DatumM: metres(*mm), Source: club.Source(*source)})
		}
		return nil
	})
	return out, err
}

// Hours gives the mean of every hour that has a reading, of those that begin at from
// or later and before to, oldest first.
func (db *DB) Hours(ctx context.Context, gauge string, from, to time.Time) ([]club.HourMean, error) {
	rows, err := db.reads(ctx).Query(ctx, hourMeansSQL, gauge, from, to)
	if err != nil {
		return nil, fail(err, "db.Hours(%q)", gauge)
	}
	var out []club.HourMean
	var hour *time.Time
	var mean *float32
	tag, err := pgx.ForEachRow(rows, []any{&hour, &mean}, func() error {
		if hour != nil {
			out = append(out, club.HourMean{Hour: *hour, DatumM: float64(*mean) / 1000})
		}
		return nil
	})
	if err == nil && tag.RowsAffected() == 0 {
		return nil, club.Faultf(club.NotFound, "The club has no gauge at this address.")
	}
	return out, fail(err, "db.Hours(%q, %v, %v)", gauge, from, to)
}
