package db

import (
	"context"
	"crypto/rand"
	"errors"
	"io"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/klauspost/compress/zstd"

	"levelpeg/club"
)

// partBytes is of a waiting table what one row holds, before it is compressed. A slow
// sender fills it while no connection is held, and writing it takes milliseconds.
const partBytes = 256 << 10

// packer and unpacker work on whole parts, and keep nothing between two.
var (
	packer = sync.OnceValues(func() (*zstd.Encoder, error) {
		return zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithWindowSize(partBytes))
	})
	unpacker = sync.OnceValues(func() (*zstd.Decoder, error) {
		return zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(partBytes))
	})
)

// TakeTable keeps a table of a gauge's levels for its sender's session, until it is kept,
// dropped or old. It fails with club.Forbidden for a session that is none, with
// club.Unavailable where too many wait, and with what from fails with.
func (db *DB) TakeTable(ctx context.Context, session []byte, gauge, name string, from io.Reader, now time.Time) (club.WaitingTable, error) {
	t := club.WaitingTable{ID: rand.Text(), Name: name}
	if err := db.tidyTables(ctx, t.ID, now); err != nil {
		return t, fail(err, "db.TakeTable(%q)", gauge)
	}
	tag, err := db.pool.Exec(ctx, `insert into waiting_tables (id, gauge_id, token_hash, name, came_at)
		select $1, g.id, s.token_hash, $4, $5 from gauges g cross join sessions s where g.slug = $2 and s.token_hash = $3`, t.ID, gauge, session, name, now)
	if err != nil {
		return t, fail(err, "db.TakeTable(%q)", gauge)
	}
	if tag.RowsAffected() == 0 {
		return t, club.ErrSignInFirst()
	}
	if t.Bytes, err = db.takeParts(ctx, t.ID, from, now); err == nil {
		_, err = db.pool.Exec(ctx, `update waiting_tables set whole = true where id = $1`, t.ID)
		err = fail(err, "db.TakeTable(%q)", gauge)
	}
	if err != nil {
		dropping, cancel := context.WithTimeout(context.WithoutCancel(ctx), connectTimeout)
		defer cancel()
		_ = db.DropTable(dropping, t.ID) // it goes by itself where this fails
	}
	return t, err
}

// takeParts keeps what from gives, part by part.
func (db *DB) takeParts(ctx context.Context, id string, from io.Reader, now time.Time) (total int64, err error) {
	pack, err := packer()
	if err != nil {
		return 0, err
	}
	part, packed := make([]byte, partBytes), []byte(nil)
	for n := 0; ; n++ {
		size, err := fill(part, from)
		last := err == io.EOF
		if err != nil && !last {
			return total, err
		}
		if size > 0 {
			packed = pack.EncodeAll(part[:size], packed[:0])
			if err := db.takePart(ctx, id, n, packed, size, now); err != nil {
				return total, fail(err, "db.takeParts(%d)", n)
			}
			total += int64(size)
		}
		if last {
			return total, nil
		}
	}
}

// fill reads until a part is full, or as far as it goes. Other than io.ReadFull it tells the
// end from a form that was cut short.
func fill(part []byte, from io.Reader) (n int, err error) {
	for n < len(part) && err == nil {
		var more int
		more, err = from.Read(part[n:])
		n += more
	}
	return n, err
}

func (db *DB) takePart(ctx context.Context, id string, n int, packed []byte, size int, now time.Time) error {
	tag, err := db.pool.Exec(ctx, `
		with part as (insert into waiting_parts (table_id, n, data) select id, $2, $3 from waiting_tables where id = $1)
		update waiting_tables set bytes = bytes + $4 where id = $1`, id, n, packed, size)
	if err != nil {
		return err
	}
	if tag.RowsAffected() == 0 {
		return club.Faultf(club.Unavailable, "Too many files wait to be kept. Send it again in a little while.")
	}
	return db.tidyTables(ctx, id, now)
}

// TidyTables lets go of the tables that waited too long, and of the oldest where all are
// too much.
func (db *DB) TidyTables(ctx context.Context, now time.Time) error {
	return fail(db.tidyTables(ctx, "", now), "db.TidyTables")
}

// tidyTables spares one that is coming.
func (db *DB) tidyTables(ctx context.Context, coming string, now time.Time) error {
	_, err := db.pool.Exec(ctx, `
		delete from waiting_tables t using (
			select id, came_at, sum(bytes) over (order by id = $1 desc, came_at desc, id) as with_newer from waiting_tables
		) w where w.id = t.id and t.id <> $1 and (w.came_at <= $2 or w.with_newer > $3)`, coming, now.Add(-club.TableWaitsFor), int64(club.TablesMost))
	return err
}

// WaitingTable gives a session its own table of a gauge. It fails with club.NotFound where
// there is none.
func (db *DB) WaitingTable(ctx context.Context, id, gauge string, session []byte, now time.Time) (club.WaitingTable, error) {
	t := club.WaitingTable{ID: id}
	err := db.pool.QueryRow(ctx, `
		select t.name, t.bytes from waiting_tables t join gauges g on g.id = t.gauge_id
		where t.id = $1 and g.slug = $2 and t.token_hash = $3 and t.came_at > $4 and t.whole`, id, gauge, session, now.Add(-club.TableWaitsFor)).Scan(&t.Name, &t.Bytes)
	if errors.Is(err, pgx.ErrNoRows) {
		return t, club.ErrNoTable()
	}
	return t, fail(err, "db.WaitingTable(%q)", gauge)
}

// ReadTable reads a waiting table from its beginning, and holds no connection between two
// reads. It fails with club.NotFound for one that goes meanwhile.
func (db *DB) ReadTable(ctx context.Context, t club.WaitingTable) io.Reader {
	return &partReader{ctx: ctx, db: db, table: t}
}

// DropTable lets go of one.
func (db *DB) DropTable(ctx context.Context, id string) error {
	_, err := db.pool.Exec(ctx, `delete from waiting_tables where id = $1`, id)
	return fail(err, "db.DropTable")
}

// partReader reads one part after another.
type partReader struct {
	ctx   context.Context
	db    *DB
	table club.WaitingTable
	n     int
	read  int64
	part  []byte
	left  []byte // of part
}

func (r *partReader) Read(into []byte) (int, error) {
	for len(r.left) == 0 {
		if r.read >= r.table.Bytes {
			return 0, io.EOF
		}
		if err := r.next(); err != nil {
			return 0, err
		}
	}
	n := copy(into, r.left)
	r.left, r.read = r.left[n:], r.read+int64(n)
	return n, nil
}

// next reads a part and unpacks it before the connection is let go: its bytes are in the
// connection's own buffer.
func (r *partReader) next() error {
	unpack, err := unpacker()
	if err != nil {
		return err
	}
	rows, err := r.db.pool.Query(r.ctx, `select data from waiting_parts where table_id = $1 and n = $2`, r.table.ID, r.n)
	if err != nil {
		return fail(err, "db.ReadTable(%d)", r.n)
	}
	var packed pgtype.DriverBytes
	tag, err := pgx.ForEachRow(rows, []any{&packed}, func() (err error) {
		r.part, err = unpack.DecodeAll(packed, r.part[:0])
		return err
	})
	if err != nil {
		return fail(err, "db.ReadTable(%d)", r.n)
	}
	if tag.RowsAffected() == 0 {
		return club.ErrNoTable()
	}
	r.left, r.n = r.part, r.n+1
	return nil
}
