package backup

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"filippo.io/age"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"levelpeg/club"
	"levelpeg/db"
)

// Restoring says how a backup is put back.
type Restoring struct {
	Keys     []age.Identity
	Removals []Removal // of people, made since
	// Aside puts it back as it was, to look at it or to move a database: nobody is removed
	// again, and phones notice nothing.
	Aside bool
}

// Restored says what was put back.
type Restored struct {
	Head     Head
	Manifest Manifest
	Removed  int // people removed again
}

// Restore puts a backup back into the database at url, which holds no book: at the step
// of the schema it was made at, all or nothing, and then up to this program's. It looks at
// all of the file first, and at all that it wrote afterwards.
func Restore(ctx context.Context, url, path string, o Restoring, now time.Time) (Restored, error) {
	head, manifest, err := Verify(ctx, path, o.Keys)
	if err != nil {
		return Restored{}, err
	}
	out := Restored{Head: head, Manifest: manifest}
	conn, err := connect(ctx, url)
	if err != nil {
		return out, fmt.Errorf("backup.Restore: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := takeTurns(ctx, conn); err != nil {
		return out, err
	}
	if err := clear(ctx, conn); err != nil {
		return out, err
	}
	if err := db.MigrateEmpty(ctx, url, head.Step); err != nil {
		return out, err
	}
	if err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		return (&loader{ctx: ctx, tx: tx, head: head, manifest: manifest}).load(path, o.Keys)
	}); err != nil {
		return out, notPutBack(err)
	}
	if err := db.Migrate(ctx, url); err != nil {
		return out, err
	}
	err = pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) (err error) {
		out.Removed, err = finish(ctx, tx, head, o, now)
		return err
	})
	return out, notPutBack(err)
}

func notPutBack(err error) error {
	var f *club.Fault
	if err == nil || errors.As(err, &f) {
		return err
	}
	return club.Faultf(club.Internal, "The backup could not be put back. Nothing of it is in use; once what is wrong is mended, run the same again.").Because(err)
}

// restoreLock keeps two restores into one database apart.
const restoreLock = 0x1e7e1b0c

// takeTurns waits a while for another restore, since one that was killed goes on in
// PostgreSQL until that notices.
func takeTurns(ctx context.Context, conn *pgx.Conn) error {
	_, err := conn.Exec(ctx, `set lock_timeout = '60s'`)
	if err == nil {
		_, err = conn.Exec(ctx, `select pg_advisory_lock($1)`, restoreLock)
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) && pg.Code == lockNotAvailable {
		return club.Faultf(club.Conflict, "Another backup is being put back into this database.")
	}
	if err != nil {
		return fmt.Errorf("backup.Restore: %w", err)
	}
	return nil
}

const lockNotAvailable = "55P03" // PostgreSQL's manual, appendix A

// clear refuses a database that holds a book, and takes the rest out of one that does not
// or that an earlier restore began. From here on the database is marked as unfinished.
func clear(ctx context.Context, conn *pgx.Conn) error {
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		begun, err := exists(ctx, tx, db.UnfinishedRestore)
		if err != nil {
			return err
		}
		if !begun {
			if err := holdsNoBook(ctx, tx); err != nil {
				return err
			}
		}
		if _, err := tx.Exec(ctx, `create table if not exists `+db.UnfinishedRestore+` ()`); err != nil {
			return err
		}
		all, err := tables(ctx, tx, true)
		if err != nil || len(all) == 0 {
			return err
		}
		names := make([]string, 0, len(all))
		for _, t := range all {
			if t.Name != "schema_steps" { // it says which steps there are to go back
				names = append(names, quoted(t.Name))
			}
		}
		_, err = tx.Exec(ctx, `truncate `+strings.Join(names, ", "))
		return err
	})
}

// books are tables that have a row as soon as there is a book.
var books = []string{"club", "members", "gauges", "venues", "levels"}

func holdsNoBook(ctx context.Context, tx pgx.Tx) error {
	for _, t := range books {
		there, err := exists(ctx, tx, t)
		if err != nil {
			return err
		}
		if !there {
			continue
		}
		var filled bool
		if err := tx.QueryRow(ctx, `select exists (select from `+t+`)`).Scan(&filled); err != nil {
			return err
		}
		if filled {
			return club.Faultf(club.Conflict, "This database holds a book already. A backup goes into an empty one: give another database, or another folder with --data.")
		}
	}
	return nil
}

func exists(ctx context.Context, tx pgx.Tx, table string) (there bool, err error) {
	err = tx.QueryRow(ctx, `select to_regclass($1) is not null`, table).Scan(&there)
	return there, err
}

// loader puts rows back in one transaction, at the step they were written at.
type loader struct {
	ctx      context.Context
	tx       pgx.Tx
	head     Head
	manifest Manifest
	undo     []string // statements that put back what was taken away for loading
	lines    map[string][]byte
	pending  []byte // photographs' rows to be copied
}

func (l *loader) load(path string, keys []age.Identity) error {
	if err := l.prepare(); err != nil {
		return err
	}
	head, manifest, err := read(l.ctx, path, keys, visitor{part: l.part, photograph: l.photograph})
	if err != nil {
		return err
	}
	if err := l.manifest.same(manifest); err != nil || !head.MadeAt.Equal(l.head.MadeAt) {
		return damaged(errors.Join(errors.New("the file changed while it was read"), err))
	}
	if err := l.flush(); err != nil {
		return err
	}
	if len(l.lines) > 0 {
		return damaged(fmt.Errorf("%d photographs are not in it", len(l.lines)))
	}
	for _, s := range l.head.Sequences {
		if err := l.do(`select setval($1::regclass, $2)`, quoted(s.Name), s.Last); err != nil {
			return fmt.Errorf("sequence %s: %w", s.Name, err)
		}
	}
	for _, statement := range l.undo {
		if err := l.do(statement); err != nil {
			return fmt.Errorf("%s: %w", statement, err)
		}
	}
	return l.compare()
}

func (l *loader) do(statement string, args ...any) error {
	_, err := l.tx.Exec(l.ctx, statement, args...)
	return err
}

// prepare takes away what would work on each row, to be put back when all are there:
// foreign keys, indexes that nothing stands on, and triggers, which would change what
// they once changed already.
func (l *loader) prepare() error {
	if err := l.sameTables(); err != nil {
		return err
	}
	if err := l.do(`set local maintenance_work_mem = '128MB'`); err != nil {
		return err
	}
	var triggers []string
	for _, t := range l.head.Tables {
		if err := l.do(`truncate ` + quoted(t.Name) + ` cascade`); err != nil {
			return err
		}
		triggers = append(triggers, `alter table `+quoted(t.Name)+` enable trigger user`)
		if err := l.do(`alter table ` + quoted(t.Name) + ` disable trigger user`); err != nil {
			return err
		}
	}
	for _, query := range []string{foreignKeysSQL, indexesSQL} {
		if err := l.takeAway(query); err != nil {
			return err
		}
	}
	slices.Reverse(l.undo) // indexes first: foreign keys are looked up by them
	l.undo = append(l.undo, triggers...)
	return nil
}

// These list what is taken away: a statement that does so, and one that puts it back.
const (
	foreignKeysSQL = `
		select format('alter table %s drop constraint %I', k.conrelid::regclass, k.conname),
			format('alter table %s add constraint %I %s', k.conrelid::regclass, k.conname, pg_get_constraintdef(k.oid))
		from pg_constraint k join pg_class c on c.oid = k.conrelid
		where k.contype = 'f' and k.connamespace = current_schema()::regnamespace and c.relname not like 'river\_%'
		order by c.relname desc, k.conname desc`
	indexesSQL = `
		select format('drop index %s', i.indexrelid::regclass), pg_get_indexdef(i.indexrelid)
		from pg_index i join pg_class c on c.oid = i.indrelid
		where c.relnamespace = current_schema()::regnamespace and c.relname not like 'river\_%' and c.relname <> 'schema_migrations'
		  and not exists (select from pg_constraint k where k.conindid = i.indexrelid)
		order by c.relname desc, i.indexrelid::regclass::text desc`
)

func (l *loader) takeAway(query string) error {
	rows, err := l.tx.Query(l.ctx, query)
	if err != nil {
		return err
	}
	pairs, err := pgx.CollectRows(rows, pgx.RowToStructByPos[struct{ Drop, Make string }])
	if err != nil {
		return err
	}
	for _, p := range pairs {
		if err := l.do(p.Drop); err != nil {
			return fmt.Errorf("%s: %w", p.Drop, err)
		}
		l.undo = append(l.undo, p.Make)
	}
	return nil
}

// sameTables sees that the schema has the tables and columns the backup has: it is at the
// same step.
func (l *loader) sameTables() error {
	have, err := tables(l.ctx, l.tx, l.head.Everything)
	if err != nil {
		return err
	}
	same := slices.EqualFunc(have, l.head.Tables, func(a, b Table) bool { return a.Name == b.Name && slices.Equal(a.Columns, b.Columns) })
	if !same {
		return damaged(fmt.Errorf("its tables are not those of step %d", l.head.Step))
	}
	l.head.Tables = have // their order of rows is SQL: it is not taken from a file
	return nil
}

// part copies rows in. Those of photographs wait for their bytes.
func (l *loader) part(t Table, rows []byte) error {
	if t.Name == pictures {
		return l.keepLines(t, rows)
	}
	_, err := l.tx.Conn().PgConn().CopyFrom(l.ctx, bytes.NewReader(rows), "copy "+quoted(t.Name)+" ("+t.columns()+") from stdin")
	return err
}

// keepLines keeps the rows of photographs by their hashes.
func (l *loader) keepLines(t Table, rows []byte) error {
	at := slices.Index(t.Columns, pictureKey)
	if l.lines == nil {
		l.lines = map[string][]byte{}
	}
	for _, line := range bytes.Split(bytes.TrimSuffix(rows, []byte("\n")), []byte("\n")) {
		fields := bytes.Split(line, []byte("\t"))
		if at < 0 || len(fields) != len(t.Columns) {
			return damaged(fmt.Errorf("the row %.100q of %s", line, t.Name))
		}
		l.lines[string(bytes.TrimPrefix(fields[at], []byte(`\\x`)))] = bytes.Clone(line)
	}
	return nil
}

func (l *loader) photograph(sum, data []byte) error {
	name := hex.EncodeToString(sum)
	line, ok := l.lines[name]
	if !ok {
		return damaged(fmt.Errorf("the photograph %s is in no row", name))
	}
	delete(l.lines, name)
	l.pending = append(append(append(l.pending, line...), '\t'), `\\x`...)
	l.pending = append(hex.AppendEncode(l.pending, data), '\n')
	if len(l.pending) < partBytes {
		return nil
	}
	return l.flush()
}

func (l *loader) flush() error {
	if len(l.pending) == 0 {
		return nil
	}
	t := l.head.Tables[slices.IndexFunc(l.head.Tables, func(t Table) bool { return t.Name == pictures })]
	_, err := l.tx.Conn().PgConn().CopyFrom(l.ctx, bytes.NewReader(l.pending), "copy "+pictures+" ("+t.columns()+", "+pictureIn+") from stdin")
	l.pending = l.pending[:0]
	return err
}

// compare reads everything again and holds it against what the backup says.
func (l *loader) compare() error {
	got, err := contents(l.ctx, l.tx, l.head.Tables)
	if err != nil {
		return err
	}
	if err := l.manifest.same(got); err != nil {
		return fmt.Errorf("what was written does not read as the backup has it: %w", err)
	}
	names := make([]string, len(l.head.Tables))
	for i, t := range l.head.Tables {
		names[i] = quoted(t.Name)
	}
	return l.do(`analyze ` + strings.Join(names, ", "))
}

// contents reads tables as a backup does, and their photographs.
func contents(ctx context.Context, tx pgx.Tx, all []Table) (Manifest, error) {
	var m Manifest
	for _, t := range all {
		p := &parts{sum: sha256.New()}
		if _, err := tx.Conn().PgConn().CopyTo(ctx, p, t.copyOut()); err != nil {
			return m, fmt.Errorf("table %s: %w", t.Name, err)
		}
		m.Tables = append(m.Tables, p.content(t.Name))
		if t.Name != pictures {
			continue
		}
		err := tx.QueryRow(ctx, `select count(*), coalesce(sum(octet_length(data)), 0) from picture_data where sha256(data) = hash`).Scan(&m.Photographs.Count, &m.Photographs.Bytes)
		if err != nil {
			return m, err
		}
	}
	return m, nil
}
