package db

import (
	"bufio"
	"context"
	"encoding/binary"
	"io"
	"math"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// incoming is a merge under way: levels of one gauge from elsewhere, that are staged and
// then written where they are new or differ.
type incoming struct {
	gaugeID int32
	zeroID  *int32 // the zero all are above; nil: the one in force at the time of each
	source  club.Source
	by      *int64
}

// mergeLock is the first key of the lock that makes merges into one gauge take turns; the
// second is the gauge.
const mergeLock = 0x1e7e1be7

// feeder gives levels one by one to put, and fails with what put fails with.
type feeder func(put func(at time.Time, levelM float64) error) error

// merge stages what feed gives in a table of this transaction's own, and writes a new
// revision for what is new or differs, by time. What a person read or withdrew at the
// board is left where an instrument says otherwise. It fails with what feed fails with,
// and then nothing is written.
func (in incoming) merge(ctx context.Context, tx pgx.Tx, feed feeder) (club.Merged, error) {
	if _, err := tx.Exec(ctx, `
		set local statement_timeout = 0;
		set local work_mem = '32MB';
		set local plan_cache_mode = auto;
		create temporary table incoming (at timestamptz not null, mm integer not null, n integer not null) on commit drop`); err != nil {
		return club.Merged{}, err
	}
	if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock($1, $2)`, mergeLock, in.gaugeID); err != nil {
		return club.Merged{}, err
	}
	st, err := stage(ctx, tx, feed)
	if err != nil || st.rows == 0 {
		return club.Merged{}, err
	}
	if _, err := tx.Exec(ctx, `analyze incoming`); err != nil {
		return club.Merged{}, err
	}
	return in.write(ctx, tx, st)
}

// staged says what went into the staging table.
type staged struct {
	rows           int
	rising         bool // each later than the one before, so that none is there twice
	oldest, newest time.Time
}

// mergeSQL: $1 gauge, $2 source, $3 by, $4 zero or null, $5 and $6 the span. The zero in
// force at the time, or the first one for what was read before it.
const mergeZeros = `
	zeros as (
		select z.id, z.offset_mm, case when row_number() over w = 1 then '-infinity' else z.valid_from end as since,
		       coalesce(lead(z.valid_from) over w, 'infinity') as until
		from gauge_zeros z where z.gauge_id = $1 and ($4::int is null or z.id = $4)
		window w as (order by z.valid_from)
	)`

const mergeThere = `,
	there as (
		select distinct on (l.at) l.at, l.revision, l.level_mm + z.offset_mm as datum, l.source
		from levels l join gauge_zeros z on z.id = l.zero_id
		where l.gauge_id = $1 and l.at between $5 and $6
		order by l.at, l.revision desc
	)`

// mergeKept is of what is there: withdrawn, or read by a person where an instrument
// says otherwise.
const mergeKept = `(t.datum is null or t.source = 'board' and $2 = 'station' and t.datum <> i.mm + z.offset_mm)`

func (in incoming) write(ctx context.Context, tx pgx.Tx, st staged) (club.Merged, error) {
	out := club.Merged{Newest: st.newest}
	args := []any{in.gaugeID, string(in.source), in.by, in.zeroID, st.oldest, st.newest}
	var found bool
	err := tx.QueryRow(ctx, `select exists (select from levels where gauge_id = $1 and at between $2 and $3)`, in.gaugeID, st.oldest, st.newest).Scan(&found)
	if err != nil {
		return out, err
	}
	from := `incoming i`
	if !st.rising {
		from = `(select distinct on (at) at, mm from incoming order by at, n desc) i`
		if err := tx.QueryRow(ctx, `select count(distinct at) from incoming`).Scan(&st.rows); err != nil {
			return out, err
		}
	}
	if !found {
		tag, err := tx.Exec(ctx, `with`+mergeZeros+`
			insert into levels (gauge_id, at, zero_id, level_mm, source, by_member)
			select $1, i.at, z.id, i.mm, $2, $3 from `+from+` join zeros z on i.at >= z.since and i.at < z.until
			where $5::timestamptz <= $6::timestamptz on conflict do nothing`, args...)
		out.New = int(tag.RowsAffected())
		out.Same = st.rows - out.New
		return out, err
	}
	err = tx.QueryRow(ctx, `with`+mergeZeros+mergeThere+`
		select count(*) filter (where `+mergeKept+`) from `+from+`
		join zeros z on i.at >= z.since and i.at < z.until join there t on t.at = i.at where $3::bigint is null or true`, args...).Scan(&out.Kept)
	if err != nil {
		return out, err
	}
	err = tx.QueryRow(ctx, `with`+mergeZeros+mergeThere+`, written as (
			insert into levels (gauge_id, at, revision, zero_id, level_mm, source, by_member)
			select $1, i.at, coalesce(t.revision + 1, 0), z.id, i.mm, $2, $3
			from `+from+` join zeros z on i.at >= z.since and i.at < z.until left join there t on t.at = i.at
			where t.at is null or t.datum <> i.mm + z.offset_mm and not `+mergeKept+` and t.revision < 32767
			on conflict do nothing returning revision
		) select count(*) filter (where revision = 0), count(*) filter (where revision > 0) from written`, args...).Scan(&out.New, &out.Corrected)
	out.Same = st.rows - out.New - out.Corrected - out.Kept
	return out, err
}

// postgresEpoch is 2000-01-01, which PostgreSQL counts microseconds from, in those since 1970.
const postgresEpoch = 946684800 * 1000000

// copyHeader begins the binary form of COPY. Source: PostgreSQL's manual, COPY, "Binary format".
const copyHeader = "PGCOPY\n\xff\r\n\x00\x00\x00\x00\x00\x00\x00\x00\x00"

// stage copies what feed gives into the staging table, in memory that does not grow with
// it: one goroutine reads and encodes while PostgreSQL takes what came before.
func stage(ctx context.Context, tx pgx.Tx, feed feeder) (staged, error) {
	st := staged{rising: true}
	pr, pw := io.Pipe()
	fed := make(chan error, 1)
	go func() {
		err := encode(pw, feed, &st)
		pw.CloseWithError(err) // nil is the end
		fed <- err
	}()
	_, err := tx.Conn().PgConn().CopyFrom(ctx, pr, `copy incoming from stdin (format binary)`)
	pr.CloseWithError(io.ErrClosedPipe) // the feeder hears of a copy that failed
	if failed := <-fed; failed != nil && failed != io.ErrClosedPipe {
		return st, failed
	}
	return st, err
}

const copyBuffer = 64 << 10

func encode(w io.Writer, feed feeder, st *staged) error {
	out := bufio.NewWriterSize(w, copyBuffer)
	if _, err := out.WriteString(copyHeader); err != nil {
		return err
	}
	var row [30]byte
	binary.BigEndian.PutUint16(row[0:], 3)
	binary.BigEndian.PutUint32(row[2:], 8)
	binary.BigEndian.PutUint32(row[14:], 4)
	binary.BigEndian.PutUint32(row[22:], 4)
	err := feed(func(at time.Time, levelM float64) error {
		if st.rows == math.MaxInt32 {
			return club.Faultf(club.Invalid, "That is more levels than can be taken at once.")
		}
		st.note(at)
		binary.BigEndian.PutUint64(row[6:], uint64(at.UnixMicro()-postgresEpoch))
		binary.BigEndian.PutUint32(row[18:], uint32(mm(levelM)))
		binary.BigEndian.PutUint32(row[26:], uint32(int32(st.rows)))
		_, err := out.Write(row[:])
		return err
	})
	if err != nil {
		return err
	}
	if _, err := out.Write([]byte{0xff, 0xff}); err != nil {
		return err
	}
	return out.Flush()
}

func (st *staged) note(at time.Time) {
	if st.rows++; st.rows == 1 {
		st.oldest, st.newest = at, at
		return
	}
	if !at.After(st.newest) {
		st.rising = false
	} else {
		st.newest = at
	}
	if at.Before(st.oldest) {
		st.oldest = at
	}
}
