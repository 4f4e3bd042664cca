package db

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"levelpeg/club"
)

// feedWriter is a write under way, by somebody who may, at a gauge.
type feedWriter struct {
	person
	gaugeID int32
	gauge   string // its name
	zeroID  *int32 // in force; nil where the gauge has none
}

// asFeeder does a write in one transaction with the look whether the writer may.
func (db *DB) asFeeder(ctx context.Context, who club.Writer, gauge string, now time.Time, what string, do func(*feedWriter) error) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		w := &feedWriter{person: person{tx: tx, now: now}}
		if err := w.check(ctx, who, club.FeedRoles()); err != nil {
			return err
		}
		err := tx.QueryRow(ctx, `
			select g.id, g.name, (select z.id from gauge_zeros z where z.gauge_id = g.id and z.valid_from <= $2 order by z.valid_from desc limit 1)
			from gauges g where g.slug = $1 for key share of g`, gauge, now).Scan(&w.gaugeID, &w.gauge, &w.zeroID)
		if err != nil {
			return err
		}
		return do(w)
	})
	if errors.Is(err, pgx.ErrNoRows) { // of the gauge; nothing else gives none
		return db.gaugeNotFound(ctx, gauge, who.Session, now)
	}
	return closing(err, what, gauge)
}

// byMember is who writes, or null for whoever runs the program on the machine.
func (w *feedWriter) byMember() *int64 {
	if w.id == 0 {
		return nil
	}
	return &w.id
}

const feedColumns = `f.id, g.slug, f.format, f.address, f.unit, f.offset_mm, z.valid_from, f.every_s, f.columns, f.acknowledge, f.active,
	f.etag, f.modified, f.due_at, f.tried_at, f.good_at, f.newest_at, f.failures, f.why`

const feedTables = ` from feeds f join gauges g on g.id = f.gauge_id join gauge_zeros z on z.id = f.zero_id `

func scanFeed(row pgx.Row) (club.Feed, error) {
	var f club.Feed
	var offset, every int32
	var plan []byte
	var tried, good, newest *time.Time
	err := row.Scan(&f.ID, &f.Gauge, &f.Format, &f.Address, &f.Unit, &offset, &f.ZeroFrom, &every, &plan, &f.Acknowledge, &f.Active,
		&f.ETag, &f.Modified, &f.Due, &tried, &good, &newest, &f.Failures, &f.Why)
	if err != nil {
		return f, err
	}
	f.OffsetM, f.Every = metres(offset), time.Duration(every)*time.Second
	f.Tried, f.Good, f.Newest = timeOrZero(tried), timeOrZero(good), timeOrZero(newest)
	return f, json.Unmarshal(plan, &f.Plan)
}

func scanFeeds(rows pgx.Rows) ([]club.Feed, error) {
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (club.Feed, error) { return scanFeed(row) })
}

// Feeds reads where a gauge's levels come from, for a secretary. It fails with
// club.Forbidden for everyone else, and club.NotFound for a gauge that is not there.
func (db *DB) Feeds(ctx context.Context, gauge string, session []byte, now time.Time) (club.FeedsView, error) {
	var v club.FeedsView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	b.Queue(`select `+clubColumns+`, g.id, g.slug, g.name, g.river, coalesce(z.offset_mm, 0), coalesce(z.valid_from, 'epoch')
		from club c cross join gauges g left join lateral (
			select * from gauge_zeros z where z.gauge_id = g.id and z.valid_from <= $2 order by z.valid_from desc limit 1) z on true
		where g.slug = $1`, gauge, now).QueryRow(func(row pgx.Row) error {
		var offset int32
		err := row.Scan(append(clubTargets(&v.Club), &v.Gauge.ID, &v.Gauge.Slug, &v.Gauge.Name, &v.Gauge.River, &offset, &v.Zero.From)...)
		v.Zero.OffsetM = metres(offset)
		return err
	})
	b.Queue(`select `+feedColumns+feedTables+`where g.slug = $1 and f.removed_at is null order by f.id`, gauge).Query(func(rows pgx.Rows) (err error) {
		v.Feeds, err = scanFeeds(rows)
		return err
	})
	b.Queue(`select encode(l.token_hash, 'hex'), l.name, l.made_at, l.used_at, l.revoked_at is not null from loggers l join gauges g on g.id = l.gauge_id
		where g.slug = $1 order by l.revoked_at is not null, l.made_at`, gauge).Query(func(rows pgx.Rows) error {
		var l club.Logger
		var used *time.Time
		_, err := pgx.ForEachRow(rows, []any{&l.ID, &l.Name, &l.MadeAt, &used, &l.Revoked}, func() error {
			l.UsedAt = timeOrZero(used)
			v.Loggers = append(v.Loggers, l)
			return nil
		})
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	switch {
	case err != nil && !errors.Is(err, pgx.ErrNoRows):
		return v, fail(err, "db.Feeds(%q)", gauge)
	case !v.Member.Role.MayFeed():
		return club.FeedsView{}, club.ErrMayNotFeed()
	case err != nil:
		return v, db.gaugeNotFound(ctx, gauge, session, now)
	}
	return v, nil
}

// AddFeed begins a feed, or goes on with one that was removed, and gives its id. Its
// offset is above the zero in force. It fails with club.Forbidden, club.Invalid, and
// club.Conflict for an address that the gauge has already.
func (db *DB) AddFeed(ctx context.Context, who club.Writer, gauge string, d club.FeedDraft, now time.Time) (id int64, err error) {
	err = db.asFeeder(ctx, who, gauge, now, "AddFeed", func(w *feedWriter) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		if w.zeroID == nil {
			return noZero(w.gauge)
		}
		plan, err := json.Marshal(d.Plan)
		if err != nil {
			return err
		}
		err = w.tx.QueryRow(ctx, `
			insert into feeds (gauge_id, format, address, unit, offset_mm, zero_id, every_s, columns, acknowledge, due_at)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
			on conflict (gauge_id, address) do update set format = excluded.format, unit = excluded.unit, offset_mm = excluded.offset_mm,
				zero_id = excluded.zero_id, every_s = excluded.every_s, columns = excluded.columns, acknowledge = excluded.acknowledge,
				due_at = excluded.due_at, active = true, removed_at = null, etag = '', modified = '', failures = 0, why = '',
				tried_at = null, good_at = null
			where feeds.removed_at is not null
			returning id`,
			w.gaugeID, d.Format, d.Address, d.Unit, mm(d.OffsetM), w.zeroID, int(d.Every.Seconds()), plan, d.Acknowledge, now).Scan(&id)
		if errors.Is(err, pgx.ErrNoRows) {
			return club.Faultf(club.Conflict, "%s has a feed from that address already.", w.gauge)
		}
		if err != nil {
			return err
		}
		return w.log(ctx, "added a feed", fmt.Sprintf("A feed of %s from %s.", w.gauge, d.Address))
	})
	return id, err
}

// changeFeed does one update of a feed; $1 is the feed, $2 the gauge. It fails with
// club.Conflict for a feed that is not there any more.
func (db *DB) changeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time, what, set string, args ...any) error {
	return db.asFeeder(ctx, who, gauge, now, what, func(w *feedWriter) error {
		var address string
		err := w.tx.QueryRow(ctx, `update feeds set `+set+` where id = $1 and gauge_id = $2 and removed_at is null returning address`,
			append([]any{id, w.gaugeID}, args...)...).Scan(&address)
		if errors.Is(err, pgx.ErrNoRows) {
			return noFeed()
		}
		if err != nil {
			return err
		}
		return w.log(ctx, what+" a feed", fmt.Sprintf("The feed of %s from %s.", w.gauge, address))
	})
}

// ChangeFeed sets a feed anew; was is the stamp of what its writer saw. One that now
// speaks of something else is fetched at once and whole, and one whose height is another
// is above the zero in force. It fails with club.Conflict where somebody else changed it
// meanwhile, or where the gauge has that address already.
func (db *DB) ChangeFeed(ctx context.Context, who club.Writer, gauge string, id int64, was string, d club.FeedDraft, now time.Time) error {
	return db.asFeeder(ctx, who, gauge, now, "ChangeFeed", func(w *feedWriter) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		old, err := scanFeed(w.tx.QueryRow(ctx, `select `+feedColumns+feedTables+`where f.id = $1 and f.gauge_id = $2 and f.removed_at is null for update of f`, id, w.gaugeID))
		switch {
		case errors.Is(err, pgx.ErrNoRows):
			return noFeed()
		case err != nil:
			return err
		case old.Draft().Stamp() != was:
			return club.ErrStale("this feed")
		}
		plan, err := json.Marshal(d.Plan)
		if err != nil {
			return err
		}
		_, err = w.tx.Exec(ctx, `
			update feeds set format = $2, address = $3, unit = $4, zero_id = case when offset_mm = $5 then zero_id else $6 end, offset_mm = $5,
				every_s = $7, columns = $8, acknowledge = $9, due_at = $10, etag = '', modified = '', failures = 0, why = '', tried_at = null, good_at = null
			where id = $1`, id, d.Format, d.Address, d.Unit, mm(d.OffsetM), w.zeroID, int(d.Every.Seconds()), plan, d.Acknowledge, now)
		if unique(err, "feeds_gauge_id_address_key") {
			return club.Faultf(club.Conflict, "%s has, or had, another feed from that address. Remove this one and add that one anew.", w.gauge)
		}
		if err != nil {
			return err
		}
		return w.log(ctx, "changed a feed", fmt.Sprintf("The feed of %s, now from %s.", w.gauge, d.Address))
	})
}

func noFeed() *club.Fault { return club.Faultf(club.Conflict, "That feed was removed already.") }

// PauseFeed stops fetching a feed until it goes on.
func (db *DB) PauseFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return db.changeFeed(ctx, who, gauge, id, now, "paused", `active = false`)
}

// ResumeFeed lets it go on, at once.
func (db *DB) ResumeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return db.changeFeed(ctx, who, gauge, id, now, "went on with", `active = true, due_at = $3, failures = 0`, now)
}

// RemoveFeed ends a feed. Its levels stay, and its row for their acknowledgement.
func (db *DB) RemoveFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return db.changeFeed(ctx, who, gauge, id, now, "removed", `removed_at = $3, active = false`, now)
}

// HurryFeed makes a feed due now, whatever it waits for. A paused one it refuses.
func (db *DB) HurryFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return db.asFeeder(ctx, who, gauge, now, "HurryFeed", func(w *feedWriter) error {
		var active bool
		err := w.tx.QueryRow(ctx, `
			update feeds set due_at = least(due_at, $3) where id = $1 and gauge_id = $2 and removed_at is null returning active`,
			id, w.gaugeID, now).Scan(&active)
		switch {
		case errors.Is(err, pgx.ErrNoRows):
			return noFeed()
		case err == nil && !active:
			return club.Faultf(club.Conflict, "That feed is paused. Let it go on first.")
		}
		return err
	})
}

// DueFeeds lists the feeds to fetch now.
func (db *DB) DueFeeds(ctx context.Context, now time.Time) ([]int64, error) {
	rows, err := db.pool.Query(ctx, `select id from feeds where active and removed_at is null and due_at <= $1 order by due_at limit 1000`, now)
	if err != nil {
		return nil, fail(err, "db.DueFeeds")
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	return ids, fail(err, "db.DueFeeds")
}

// Feed reads one to fetch. It fails with club.NotFound for one that is paused or removed.
func (db *DB) Feed(ctx context.Context, id int64) (club.Feed, error) {
	f, err := scanFeed(db.pool.QueryRow(ctx, `select `+feedColumns+feedTables+`where f.id = $1 and f.active and f.removed_at is null`, id))
	if errors.Is(err, pgx.ErrNoRows) {
		return f, club.Faultf(club.NotFound, "There is no such feed, or it is paused.")
	}
	return f, fail(err, "db.Feed(%d)", id)
}

// KeepFetched merges what a feed brought, and notes how it went. A feed that was paused,
// removed or changed since it was read keeps nothing.
func (db *DB) KeepFetched(ctx context.Context, f club.Feed, got club.Fetched, next, now time.Time) (club.Merged, error) {
	var out club.Merged
	plan, err := json.Marshal(f.Plan)
	if err != nil {
		return out, fail(err, "db.KeepFetched(%d)", f.ID)
	}
	err = pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		in := incoming{source: club.Station}
		var zero int32
		err := tx.QueryRow(ctx, `
			select gauge_id, zero_id from feeds where id = $1 and active and removed_at is null
			and address = $2 and format = $3 and unit = $4 and offset_mm = $5 and columns = $6 for update`,
			f.ID, f.Address, f.Format, f.Unit, mm(f.OffsetM), plan).Scan(&in.gaugeID, &zero)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		in.zeroID = &zero
		if got.Problem != "" {
			_, err = tx.Exec(ctx, `update feeds set tried_at = $2, failures = failures + 1, why = $3, due_at = $4 where id = $1`, f.ID, now, got.Problem, next)
			return err
		}
		if got.NotChanged {
			_, err = tx.Exec(ctx, `update feeds set tried_at = $2, good_at = $2, failures = 0, due_at = $3 where id = $1`, f.ID, now, next)
			return err
		}
		out, err = in.merge(ctx, tx, func(put func(time.Time, float64) error) error {
			for _, l := range got.Levels {
				if err := put(l.At, l.LevelM); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update feeds set tried_at = $2, good_at = $2, failures = 0, why = $3, due_at = $4, etag = $5, modified = $6,
				newest_at = greatest(newest_at, $7) where id = $1`,
			f.ID, now, got.Remark, next, got.ETag, got.Modified, timeOrNull(out.Newest))
		return err
	})
	return out, fail(err, "db.KeepFetched(%d)", f.ID)
}

// ImportLevels merges a table's levels, which are above the zero in force at the time of
// each. It fails with club.Forbidden for whoever may not, and with what rows fails with;
// then nothing was written.
func (db *DB) ImportLevels(ctx context.Context, who club.Writer, gauge string, source club.Source, now time.Time,
	rows func(put func(at time.Time, levelM float64) error) error) (club.Merged, error) {
	var out club.Merged
	err := db.asFeeder(ctx, who, gauge, now, "ImportLevels", func(w *feedWriter) error {
		if w.zeroID == nil {
			return noZero(w.gauge)
		}
		in := incoming{gaugeID: w.gaugeID, source: source, by: w.byMember()}
		var err error
		if out, err = in.merge(ctx, w.tx, rows); err != nil {
			return err
		}
		return w.log(ctx, "took levels in", fmt.Sprintf("A table into %s. %s", w.gauge, out.Says()))
	})
	return out, err
}

// MakeLogger lets an instrument post with the token of a hash.
func (db *DB) MakeLogger(ctx context.Context, who club.Writer, gauge, name string, hash []byte, now time.Time) error {
	return db.asFeeder(ctx, who, gauge, now, "MakeLogger", func(w *feedWriter) error {
		name, err := club.LoggerName(name)
		if err != nil {
			return err
		}
		if _, err := w.tx.Exec(ctx, `insert into loggers (token_hash, gauge_id, name, made_by, made_at) values ($1, $2, $3, $4, $5)`,
			hash, w.gaugeID, name, w.byMember(), now); err != nil {
			return err
		}
		return w.log(ctx, "made a logger", fmt.Sprintf("The logger “%s” of %s.", name, w.gauge))
	})
}

// EndLogger ends a logger's token. It fails with club.Conflict for one that is ended.
func (db *DB) EndLogger(ctx context.Context, who club.Writer, gauge string, hash []byte, now time.Time) error {
	return db.asFeeder(ctx, who, gauge, now, "EndLogger", func(w *feedWriter) error {
		var name string
		err := w.tx.QueryRow(ctx, `update loggers set revoked_at = $3 where token_hash = $1 and gauge_id = $2 and revoked_at is null returning name`,
			hash, w.gaugeID, now).Scan(&name)
		if errors.Is(err, pgx.ErrNoRows) {
			return club.Faultf(club.Conflict, "That logger's token was withdrawn already.")
		}
		if err != nil {
			return err
		}
		return w.log(ctx, "ended a logger", fmt.Sprintf("The logger “%s” of %s.", name, w.gauge))
	})
}

// Logger says whether an instrument may post with the token of a hash: it fails with
// club.Forbidden for one that is not known or was ended.
func (db *DB) Logger(ctx context.Context, token []byte) error {
	var known bool
	err := db.pool.QueryRow(ctx, `select exists (select from loggers where token_hash = $1 and revoked_at is null)`, token).Scan(&known)
	if err == nil && !known {
		return errNoLogger()
	}
	return fail(err, "db.Logger")
}

func errNoLogger() *club.Fault {
	return club.Faultf(club.Forbidden, "The token is not known, or was withdrawn.")
}

// LoggerLevels merges what an instrument posts, above the zero in force at the time of
// each. It fails with club.Forbidden for a token that is not known or was ended.
func (db *DB) LoggerLevels(ctx context.Context, token []byte, levels []club.Level, now time.Time) (club.Merged, error) {
	var out club.Merged
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		in := incoming{source: club.Station}
		err := tx.QueryRow(ctx, `update loggers set used_at = $2 where token_hash = $1 and revoked_at is null returning gauge_id`, token, now).Scan(&in.gaugeID)
		if errors.Is(err, pgx.ErrNoRows) {
			return errNoLogger()
		}
		if err != nil {
			return err
		}
		var zero bool
		if err := tx.QueryRow(ctx, `select exists (select from gauge_zeros where gauge_id = $1)`, in.gaugeID).Scan(&zero); err != nil {
			return err
		}
		if !zero {
			return noZero("The gauge")
		}
		out, err = in.merge(ctx, tx, func(put func(time.Time, float64) error) error {
			for _, l := range levels {
				if err := put(l.At, l.LevelM); err != nil {
					return err
				}
			}
			return nil
		})
		return err
	})
	var pg *pgconn.PgError
	if err != nil && !errors.As(err, &pg) && club.KindOf(err) != club.Internal {
		return out, err
	}
	return out, fail(err, "db.LoggerLevels")
}

// feedNotesSQL is what every reader of a gauge is told of its feeds.
const feedNotesSQL = `
	select f.acknowledge, f.active, f.every_s, f.tried_at, f.newest_at, f.removed_at is not null
	from gauges g join feeds f on f.gauge_id = g.id
	where g.slug = $1 and (f.removed_at is null or f.newest_at is not null) order by f.id`

func scanFeedNotes(rows pgx.Rows) ([]club.FeedNote, error) {
	var out []club.FeedNote
	var f club.Feed
	var every int32
	var removed bool
	var tried, newest *time.Time
	_, err := pgx.ForEachRow(rows, []any{&f.Acknowledge, &f.Active, &every, &tried, &newest, &removed}, func() error {
		f.Every, f.Tried, f.Newest = time.Duration(every)*time.Second, timeOrZero(tried), timeOrZero(newest)
		out = append(out, club.FeedNote{Feed: f, Removed: removed})
		return nil
	})
	return out, err
}
