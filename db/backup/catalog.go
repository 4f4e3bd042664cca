package backup

import (
	"context"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
)

// The table whose bytes are photographs, each known by its SHA-256.
const (
	pictures   = "picture_data"
	pictureKey = "hash"
	pictureIn  = "data"
)

// passing are tables of what passes: people sign in again, tries are counted anew, and what waited to be kept is sent again.
var passing = []string{"sessions", "ceremonies", "tries", "waiting_tables", "waiting_parts"}

// tools are those of programs that keep their own accounts: the migration library's mark,
// and the queue of jobs.
func isTools(table string) bool {
	return table == "schema_migrations" || table == "restore_unfinished" || strings.HasPrefix(table, "river_")
}

// tablesSQL lists every table with its columns and what orders its rows: the primary key,
// text by its bytes; or else everything in it. Columns that are worked out are left out.
const tablesSQL = `
	select c.relname,
		(select array_agg(a.attname::text order by a.attnum) from pg_attribute a
		 where a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped and a.attgenerated = ''),
		coalesce((select string_agg(quote_ident(a.attname) || case when a.attcollation <> 0 then ' collate "C"' else '' end, ', ' order by k.place)
		 from pg_index i cross join unnest(i.indkey) with ordinality k (attnum, place)
		 join pg_attribute a on a.attrelid = i.indrelid and a.attnum = k.attnum
		 where i.indrelid = c.oid and i.indisprimary), quote_ident(c.relname) || '::text collate "C"'),
		coalesce((select array_agg(distinct f.relname::text) from pg_constraint k join pg_class f on f.oid = k.confrelid
		 where k.conrelid = c.oid and k.contype = 'f' and k.confrelid <> c.oid), '{}')
	from pg_class c
	where c.relkind = 'r' and c.relnamespace = current_schema()::regnamespace
	order by c.relname`

// tables lists what a backup holds, each table after those it refers to.
func tables(ctx context.Context, tx pgx.Tx, everything bool) ([]Table, error) {
	rows, err := tx.Query(ctx, tablesSQL)
	if err != nil {
		return nil, err
	}
	var all []Table
	refers := map[string][]string{}
	var t Table
	var to []string
	_, err = pgx.ForEachRow(rows, []any{&t.Name, &t.Columns, &t.Order, &to}, func() error {
		if isTools(t.Name) || !everything && slices.Contains(passing, t.Name) {
			return nil
		}
		if t.Name == pictures {
			t.Columns = slices.DeleteFunc(t.Columns, func(c string) bool { return c == pictureIn })
		}
		all, refers[t.Name] = append(all, t), slices.Clone(to)
		t.Columns, to = nil, nil
		return nil
	})
	return inOrder(all, refers), err
}

// inOrder puts each table after those it refers to; those that refer to one another in a
// ring come by name.
func inOrder(all []Table, refers map[string][]string) []Table {
	var out []Table
	for len(all) > 0 {
		next := slices.IndexFunc(all, func(t Table) bool {
			return !slices.ContainsFunc(all, func(o Table) bool { return slices.Contains(refers[t.Name], o.Name) })
		})
		next = max(next, 0)
		out = append(out, all[next])
		all = slices.Delete(all, next, next+1)
	}
	return out
}

// sequences gives the last number of each sequence that gave one.
func sequences(ctx context.Context, tx pgx.Tx) ([]Sequence, error) {
	rows, err := tx.Query(ctx, `
		select sequencename::text, last_value from pg_sequences
		where schemaname = current_schema() and sequencename not like 'river\_%' and last_value is not null
		order by sequencename`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[Sequence])
}

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }

func (t Table) columns() string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = quoted(c)
	}
	return strings.Join(names, ", ")
}

// copyOut is the statement that writes a table's rows.
func (t Table) copyOut() string {
	return "copy (select " + t.columns() + " from " + quoted(t.Name) + " order by " + t.Order + ") to stdout"
}

// plainly are the settings under which every server writes the same rows the same way.
var plainly = map[string]string{
	"client_encoding": "UTF8", "DateStyle": "ISO, YMD", "IntervalStyle": "postgres", "TimeZone": "UTC",
	"extra_float_digits": "1", "bytea_output": "hex", "application_name": "levelpeg backup",
	"statement_timeout": "0", "lock_timeout": "0", "idle_in_transaction_session_timeout": "0",
	"work_mem": "64MB", "jit": "off",
	"client_connection_check_interval": "1s", // of a program that was killed nothing goes on for long
}

// connect opens a connection for copying.
func connect(ctx context.Context, url string) (*pgx.Conn, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	for name, value := range plainly {
		cfg.RuntimeParams[name] = value
	}
	return pgx.ConnectConfig(ctx, cfg)
}
