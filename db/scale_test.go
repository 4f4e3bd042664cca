package db_test

import (
	"context"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// scaleGauges at 15 minutes for scaleYears are seven million levels.
const (
	scaleGauges = 10
	scaleYears  = 20
)

// TestLevelsAtScale measures what a gauge's page costs the database at every span,
// among seven million levels, and prints it:
//
//	LEVELPEG_SCALE=1 go test ./db -run LevelsAtScale -v -timeout 30m
//
// It takes a few minutes and 1.2 GB in the temporary folder. LEVELPEG_SCALE=plans
// prints the plans, too. It asserts what does not depend on the machine: that a page
// has its levels, and no more than it may carry.
func TestLevelsAtScale(t *testing.T) {
	want := os.Getenv("LEVELPEG_SCALE")
	if want == "" {
		t.Skip("SKIPPED: it takes minutes; LEVELPEG_SCALE=1 runs it")
	}
	url := dbtest.New(t)
	s := connect(t, url)
	fillScale(s)
	book, conn := open(t, url), s.asServed()
	for _, to := range []time.Time{{}, now.AddDate(-9, -4, 0)} {
		for _, span := range club.Spans() {
			measureSpan(s, book, conn, club.LookBack{Span: span, To: to}, want == "plans")
		}
	}
	measureReads(s, book)
}

// fillScale writes the levels as they come, all gauges a quarter of an hour at a
// time, so that one gauge's lie as far apart as they do in life; by COPY, with the
// rollups made by one statement each and not by the trigger.
func fillScale(s sql) {
	s.Helper()
	began := time.Now()
	s.do(`insert into club (name, time_zone, place) values ('Scale', 'Europe/London', 'England')`)
	s.do(`insert into gauges (slug, name, river, low_mm, high_mm, flood_mm) select 'g' || i, 'Gauge ' || i, 'River ' || i, 400, 1400, 2500
		from generate_series(1, $1) i`, scaleGauges)
	s.do(`insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason)
		select id, '2000-01-01'::timestamptz, 0, 'first' from gauges union all select id, '2015-06-01', 120, 'new board' from gauges`)
	s.do(`insert into venues (slug, name, river, gauge_id, position) select 'v' || id, 'Venue ' || id, river, id, id from gauges`)
	s.do(`insert into level_rules (venue_id, above_mm, effect, text) select id, 1800, 'no fishing', 'Too high.' from venues`)
	s.do(`alter table levels disable trigger user`)
	s.copyLevels()
	s.do(`alter table levels enable trigger user`)
	s.do(`insert into levels_hour (gauge_id, hour, least_mm, most_mm, mean_mm, readings)
		select l.gauge_id, date_trunc('hour', l.at, 'UTC'), min(level_mm + offset_mm), max(level_mm + offset_mm), avg(level_mm + offset_mm), count(*)
		from levels l join gauge_zeros z on z.id = l.zero_id group by 1, 2 order by 2, 1`)
	s.do(`insert into levels_day (gauge_id, day, least_mm, most_mm, mean_mm, readings, flood)
		select gauge_id, date_trunc('day', hour, 'UTC'), min(least_mm), max(most_mm), sum(mean_mm * readings) / sum(readings), sum(readings), max(most_mm) > 2500
		from levels_hour group by 1, 2 order by 2, 1`)
	s.do(`analyze`)
	s.Logf("%d levels, %d hours, %d days, %s, made in %v", one[int](s, `select count(*) from levels`), one[int](s, `select count(*) from levels_hour`),
		one[int](s, `select count(*) from levels_day`), one[string](s, `select pg_size_pretty(pg_database_size(current_database()))`), time.Since(began).Round(time.Second))
}

// copyLevels makes a river that rises in a day and falls in ten, every third week.
func (s sql) copyLevels() {
	s.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Minute)
	defer cancel()
	zeros := one[[]int32](s, `select array_agg(id order by valid_from, gauge_id) from gauge_zeros`)
	moved := time.Date(2015, 6, 1, 0, 0, 0, 0, time.UTC)
	at, n := now.Truncate(15*time.Minute).AddDate(-scaleYears, 0, 0), 0
	_, err := s.conn.CopyFrom(ctx, pgx.Identifier{"levels"}, []string{"gauge_id", "at", "zero_id", "level_mm", "source"}, pgx.CopyFromFunc(func() ([]any, error) {
		gauge := n % scaleGauges
		if n++; gauge == 0 {
			at = at.Add(15 * time.Minute)
		}
		if at.After(now) {
			return nil, nil
		}
		zero := zeros[gauge]
		if !at.Before(moved) {
			zero = zeros[scaleGauges+gauge]
		}
		hour := (at.Unix()/3600 + int64(gauge)*31) % (21 * 24)
		mm := 700 + gauge*7 + n%3
		if hour < 24 {
			mm += int(hour) * 40
		} else if hour < 264 {
			mm += int(264-hour) * 4
		}
		return []any{gauge + 1, at, zero, mm, "station"}, nil
	}))
	if err != nil {
		s.Fatal(err)
	}
}

// measureSpan runs a page's statements as the page does and under EXPLAIN ANALYZE,
// and prints the slowest and the middle of what PostgreSQL says they took together.
func measureSpan(s sql, book *db.DB, conn *pgx.Conn, look club.LookBack, plans bool) {
	s.Helper()
	const runs = 21
	trips := make([]time.Duration, runs)
	var v club.GaugeView
	for i := range trips {
		began := time.Now()
		var err error
		if v, err = book.Gauge(background(s.T), "g3", look, nil, now); err != nil {
			s.Fatal(err)
		}
		trips[i] = time.Since(began)
	}
	if len(v.Spans) > mostPoints || len(v.Spans) < 12 || v.Standing.Latest == nil {
		s.Errorf("%s: %d points, standing %+v", look.Span.Slug, len(v.Spans), v.Standing)
	}
	took := make([]float64, runs)
	for _, q := range db.GaugeStatements("g3", look, now) {
		for i, ms := range explained(s, conn, q, runs, plans) {
			took[i] += ms
		}
	}
	slices.Sort(took)
	slices.Sort(trips[1:])
	when := "now"
	if !look.To.IsZero() {
		when = look.To.Format(time.DateOnly)
	}
	s.Logf("%-4s to %-10s  %4d points by %-8s  database %6.2f ms, slowest of %d %6.2f ms; first round trip %v, then %v",
		look.Span.Slug, when, len(v.Spans), v.By, took[runs/2], runs, took[runs-1], trips[0].Round(10*time.Microsecond), trips[1+runs/2].Round(10*time.Microsecond))
}

// asServed is a connection with the settings that the server's own have.
func (s sql) asServed() *pgx.Conn {
	s.Helper()
	cfg := s.conn.Config().Copy()
	cfg.RuntimeParams["plan_cache_mode"], cfg.RuntimeParams["jit"] = "force_generic_plan", "off"
	conn, err := pgx.ConnectConfig(background(s.T), cfg)
	if err != nil {
		s.Fatal(err)
	}
	s.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}

// explained is how many milliseconds PostgreSQL takes to plan and to run a statement,
// prepared as the server has it prepared, time after time.
func explained(s sql, conn *pgx.Conn, q *pgx.QueuedQuery, runs int, show bool) []float64 {
	s.Helper()
	ctx := background(s.T)
	args := make([]string, len(q.Arguments))
	for i, a := range q.Arguments {
		args[i] = literal(a)
	}
	if _, err := conn.Exec(ctx, "prepare measured as "+q.SQL); err != nil {
		s.Fatalf("%s: %v", q.SQL, err)
	}
	out := make([]float64, runs)
	for i := range out {
		rows, err := conn.Query(ctx, "explain (analyze, buffers, timing off) execute measured("+strings.Join(args, ", ")+")", pgx.QueryExecModeSimpleProtocol)
		if err != nil {
			s.Fatal(err)
		}
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			s.Fatalf("%s: %v", q.SQL, err)
		}
		if show && i == runs-1 {
			s.Logf("%s\n%s", strings.TrimSpace(q.SQL), strings.Join(lines, "\n"))
		}
		out[i] = planned(lines)
	}
	if _, err := conn.Exec(ctx, "deallocate measured"); err != nil {
		s.Fatal(err)
	}
	return out
}

// planned adds up the two times at the end of a plan.
func planned(lines []string) float64 {
	var total, ms float64
	for _, line := range lines {
		for _, what := range []string{"Planning Time: %g ms", "Execution Time: %g ms"} {
			if _, err := fmt.Sscanf(strings.TrimSpace(line), what, &ms); err == nil {
				total += ms
			}
		}
	}
	return total
}

// literal writes an argument out, since EXECUTE takes none from outside.
func literal(arg any) string {
	switch a := arg.(type) {
	case nil:
		return "null"
	case []byte:
		return fmt.Sprintf(`'\x%x'`, a)
	case time.Time:
		return "'" + a.Format(time.RFC3339Nano) + "'"
	}
	if v := reflect.ValueOf(arg); v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return "null"
		}
		return literal(v.Elem().Interface())
	}
	return fmt.Sprintf("'%v'", arg)
}

// measureReads prints what the reads for the sums take, over the wire.
func measureReads(s sql, book *db.DB) {
	s.Helper()
	for name, read := range map[string]func() (int, error){
		"Hours, three years": func() (int, error) {
			v, err := book.Hours(background(s.T), "g3", now.AddDate(-3, 0, 0), now)
			return len(v.Hours), err
		},
		"Hours, the last 30 hours": func() (int, error) {
			v, err := book.Hours(background(s.T), "g3", now.Add(-30*time.Hour), now)
			return len(v.Hours), err
		},
	} {
		var took []time.Duration
		rows := 0
		for range 21 {
			began := time.Now()
			n, err := read()
			if err != nil || n == 0 {
				s.Fatalf("%s: %d rows, %v", name, n, err)
			}
			took, rows = append(took, time.Since(began)), n
		}
		first := took[0]
		slices.Sort(took)
		s.Logf("%-24s %5d rows  %v a round trip, the first %v", name, rows, took[10].Round(10*time.Microsecond), first.Round(10*time.Microsecond))
	}
}
