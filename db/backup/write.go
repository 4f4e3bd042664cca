package backup

import (
	"archive/tar"
	"bytes"
	"context"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"io"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
)

// readme stands first in every backup, for whoever finds one without its program.
//
//go:embed README.txt
var readme []byte

// partBytes is about how much of a table's rows a member of the tar holds: its length
// stands before it, so it is gathered first.
const partBytes = 4 << 20

// Names in the tar.
const (
	readmeName   = "README.txt"
	headName     = "backup.json"
	listName     = "photographs.txt"
	tableFolder  = "tables/"
	photoFolder  = "photographs/"
	manifestName = "manifest.json"
)

// Write writes the book at url as it is at one moment, however much is written to it
// meanwhile.
func Write(ctx context.Context, url string, w io.Writer, o Options, now time.Time) (Head, Manifest, error) {
	conn, err := connect(ctx, url)
	if err != nil {
		return Head{}, Manifest{}, fmt.Errorf("backup.Write: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := db.HoldSchema(ctx, conn); err != nil { // before the moment is chosen
		return Head{}, Manifest{}, err
	}
	f, err := newFrameWriter(w, o.Recipients)
	if err != nil {
		return Head{}, Manifest{}, fmt.Errorf("backup.Write: %w", err)
	}
	b := &writer{ctx: ctx, o: o, out: tar.NewWriter(f)}
	b.head = Head{Format: Format, MadeAt: now.UTC().Truncate(time.Microsecond), Photographs: inside, Everything: o.Everything}
	if o.Photographs != nil {
		b.head.Photographs = beside
	}
	err = pgx.BeginTxFunc(ctx, conn, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		b.tx = tx
		return b.write()
	})
	if err != nil {
		f.Encoder.Close() // lets its memory go; what was written is thrown away
		return Head{}, Manifest{}, fmt.Errorf("backup.Write: %w", err)
	}
	if err := b.out.Close(); err != nil {
		return Head{}, Manifest{}, fmt.Errorf("backup.Write: %w", err)
	}
	if err := f.Close(); err != nil {
		return Head{}, Manifest{}, fmt.Errorf("backup.Write: %w", err)
	}
	return b.head, b.manifest, nil
}

type writer struct {
	ctx      context.Context
	tx       pgx.Tx
	o        Options
	out      *tar.Writer
	head     Head
	manifest Manifest
	photos   [][]byte // their hashes
}

func (b *writer) write() error {
	if err := b.look(); err != nil {
		return err
	}
	if err := b.begin(); err != nil {
		return err
	}
	for _, t := range b.head.Tables {
		if err := b.table(t); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	for _, sum := range b.photos {
		if err := b.photograph(sum); err != nil {
			return fmt.Errorf("photograph %x: %w", sum, err)
		}
	}
	return b.asJSON(manifestName, b.manifest)
}

// look finds out what there is.
func (b *writer) look() (err error) {
	if b.head.Step, err = db.SchemaStep(b.ctx, b.tx.Conn()); err != nil {
		return err
	}
	if b.head.Step == 0 {
		return club.Faultf(club.Conflict, "This database is empty: there is nothing to keep.")
	}
	half, err := exists(b.ctx, b.tx, db.UnfinishedRestore)
	if err != nil {
		return err
	}
	if half {
		return club.Faultf(club.Conflict, "A backup was being put back into this database and was cut short: there is nothing whole to keep.")
	}
	// Clubs got their number at a later step than the first.
	err = b.tx.QueryRow(b.ctx, `
		select current_setting('server_version'), coalesce(min(to_jsonb(c) ->> 'name'), ''), coalesce(min(to_jsonb(c) ->> 'id'), '') from club c`).
		Scan(&b.head.PostgreSQL, &b.head.Club, &b.head.ClubID)
	if err != nil {
		return err
	}
	if b.head.Tables, err = tables(b.ctx, b.tx, b.o.Everything); err != nil {
		return err
	}
	if b.head.Sequences, err = sequences(b.ctx, b.tx); err != nil {
		return err
	}
	return b.listPhotographs()
}

func (b *writer) listPhotographs() error {
	var there bool
	if err := b.tx.QueryRow(b.ctx, `select to_regclass($1) is not null`, pictures).Scan(&there); err != nil || !there {
		return err
	}
	rows, err := b.tx.Query(b.ctx, `select hash from picture_data order by hash`)
	if err != nil {
		return err
	}
	b.photos, err = pgx.CollectRows(rows, pgx.RowTo[[]byte])
	return err
}

func (b *writer) begin() error {
	if err := b.member(readmeName, readme); err != nil {
		return err
	}
	if err := b.asJSON(headName, b.head); err != nil {
		return err
	}
	var list bytes.Buffer
	for _, sum := range b.photos {
		fmt.Fprintf(&list, "%x\n", sum)
	}
	return b.member(listName, list.Bytes())
}

func (b *writer) asJSON(name string, v any) error {
	body, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	return b.member(name, append(body, '\n'))
}

func (b *writer) member(name string, body []byte) error {
	h := &tar.Header{Name: name, Mode: 0o600, Size: int64(len(body)), ModTime: b.head.MadeAt.Truncate(time.Second), Format: tar.FormatPAX}
	if err := b.out.WriteHeader(h); err != nil {
		return err
	}
	_, err := b.out.Write(body)
	return err
}

// table writes a table's rows, a few megabytes a member.
func (b *writer) table(t Table) error {
	p := &parts{write: func(n int, rows []byte) error { return b.member(partName(t.Name, n), rows) }, sum: sha256.New()}
	if _, err := b.tx.Conn().PgConn().CopyTo(b.ctx, p, t.copyOut()); err != nil {
		return err
	}
	if err := p.flush(len(p.buffer)); err != nil {
		return err
	}
	b.manifest.Tables = append(b.manifest.Tables, p.content(t.Name))
	return nil
}

func partName(table string, n int) string {
	return fmt.Sprintf("%s%s/%06d.copy", tableFolder, table, n)
}

// parts counts and sums rows, and cuts them between two into parts.
type parts struct {
	write  func(n int, rows []byte) error // nil: they are only counted
	sum    hash.Hash
	rows   int64
	bytes  int64
	buffer []byte
	n      int
}

func (p *parts) Write(b []byte) (int, error) {
	p.sum.Write(b)
	p.rows += int64(bytes.Count(b, []byte{'\n'}))
	p.bytes += int64(len(b))
	if p.write == nil {
		return len(b), nil
	}
	p.buffer = append(p.buffer, b...)
	if len(p.buffer) >= partBytes {
		if end := bytes.LastIndexByte(p.buffer, '\n') + 1; end > 0 {
			if err := p.flush(end); err != nil {
				return 0, err
			}
		}
	}
	return len(b), nil
}

func (p *parts) flush(end int) error {
	if end == 0 {
		return nil
	}
	p.n++
	if err := p.write(p.n, p.buffer[:end]); err != nil {
		return err
	}
	p.buffer = append(p.buffer[:0], p.buffer[end:]...)
	return nil
}

func (p *parts) content(table string) Content {
	return Content{Name: table, Rows: p.rows, Bytes: p.bytes, SHA256: hex.EncodeToString(p.sum.Sum(nil))}
}

// photograph puts one where it belongs. The folder's own is believed when it is as it was
// written, which is looked at for all of them in the course of some nights.
func (b *writer) photograph(sum []byte) error {
	if s := b.o.Photographs; s != nil {
		if n, ok := s.has(sum, b.head.MadeAt); ok {
			b.count(n)
			return nil
		}
	}
	var data []byte
	if err := b.tx.QueryRow(b.ctx, `select data from picture_data where hash = $1`, sum).Scan(&data); err != nil {
		return err
	}
	if got := sha256.Sum256(data); !bytes.Equal(got[:], sum) {
		return fmt.Errorf("what the book has of it is not it: its bytes give %x", got)
	}
	b.count(int64(len(data)))
	if s := b.o.Photographs; s != nil {
		return s.put(sum, data)
	}
	return b.member(photoFolder+hex.EncodeToString(sum), data)
}

func (b *writer) count(n int64) {
	b.manifest.Photographs.Count++
	b.manifest.Photographs.Bytes += n
}
