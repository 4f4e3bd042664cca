package backup_test

import (
	"context"
	"io/fs"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// TestMonthAtScale measures a month of nightly backups of a large club: 5 venues, 200 pegs,
// 800 runs, 20,000 soundings, 7 million levels, 500 members and 2,000 photographs of
// 200 kB; and what it takes to write all of it to one file and to put that back:
//
//	LEVELPEG_SCALE=1 go test ./db/backup -run MonthAtScale -v -timeout 90m
//
// It takes half an hour and 5 GB in the temporary folder. It asserts what does not depend
// on the machine: that photographs lie there once, and that what is put back is the same.
func TestMonthAtScale(t *testing.T) {
	if os.Getenv("LEVELPEG_SCALE") == "" {
		t.Skip("SKIPPED: it takes half an hour; LEVELPEG_SCALE=1 runs it")
	}
	ctx, cancel := context.WithTimeout(context.Background(), 80*time.Minute)
	defer cancel()
	url := dbtest.New(t)
	s := connectFor(t, ctx, url)
	r := rand.NewChaCha8([32]byte{5})
	s.fillScale(ctx, r)
	n := backup.NewNightly(url, filepath.Join(t.TempDir(), "backups"), t.TempDir(), slog.New(slog.DiscardHandler))
	before, added := int64(0), 2000
	for night := range 30 {
		if night > 0 {
			s.day(ctx, r, night)
			added += 2
		}
		began := time.Now()
		made, err := n.Make(ctx, now.AddDate(0, 0, night))
		if err != nil {
			t.Fatal(err)
		}
		took := time.Since(began)
		all, kept := folderSize(t, n.Dir)
		t.Logf("night %2d: %v (%v of it the file), file %.1f MB, folder %.1f MB (%+.1f), %d backups, %d photographs", night+1, took.Round(100*time.Millisecond), made.Took.Round(100*time.Millisecond),
			mb(made.Bytes), mb(all), mb(all-before), kept, made.Manifest.Photographs.Count)
		before = all
		if got := len(photos(t, n.Dir)); got != added || made.Manifest.Photographs.Count != added {
			t.Errorf("%d photographs lie there and %d are in the backup, want %d", got, made.Manifest.Photographs.Count, added)
		}
	}
	began := time.Now()
	whole, err := backup.ToFile(ctx, url, filepath.Join(t.TempDir(), "whole"), backup.Options{}, now)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("all in one file: %.1f MB in %v, %d rows", mb(whole.Bytes), time.Since(began).Round(100*time.Millisecond), whole.Manifest.Rows())
	began = time.Now()
	if _, _, err := backup.Verify(ctx, whole.Path, nil); err != nil {
		t.Fatal(err)
	}
	t.Logf("looked through in %v", time.Since(began).Round(100*time.Millisecond))
	began = time.Now()
	other := dbtest.Empty(t)
	if _, err := backup.Restore(ctx, other, whole.Path, backup.Restoring{Aside: true}, now); err != nil {
		t.Fatal(err)
	}
	t.Logf("put back and read again in %v", time.Since(began).Round(100*time.Millisecond))
}

func mb(n int64) float64 { return float64(n) / 1e6 }

func connectFor(t *testing.T, ctx context.Context, url string) sql {
	t.Helper()
	s := connect(t, url)
	s.run(ctx, `set statement_timeout = 0`)
	return s
}

func (s sql) run(ctx context.Context, query string, args ...any) {
	s.Helper()
	if _, err := s.conn.Exec(ctx, query, args...); err != nil {
		s.Fatalf("%s: %v", query, err)
	}
}

func folderSize(t *testing.T, dir string) (bytes int64, backups int) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			bytes += info.Size()
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	made, err := backup.Nights(dir)
	if err != nil {
		t.Fatal(err)
	}
	return bytes, len(made)
}

// fillScale makes the large club. Its levels come as they do in life, all gauges a quarter
// of an hour at a time, with a river's rises and falls and a few millimetres of noise.
func (s sql) fillScale(ctx context.Context, r *rand.ChaCha8) {
	s.Helper()
	began := time.Now()
	for _, q := range []string{
		`insert into club (name, time_zone, place) values ('Scale', 'Europe/London', 'England')`,
		`insert into members (name, role) select 'Member ' || i, case when i <= 3 then 'secretary' else 'member' end from generate_series(1, 500) i`,
		`insert into gauges (slug, name, river, low_mm, high_mm, flood_mm) select 'g' || i, 'Gauge ' || i, 'River ' || i, 400, 1400, 2500 from generate_series(1, 10) i`,
		`insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) select id, '2000-01-01', 0, 'first' from gauges`,
		`insert into venues (slug, name, river, gauge_id, position) select 'v' || i, 'Venue ' || i, 'River ' || i, (select min(id) + i - 1 from gauges), i from generate_series(1, 5) i`,
		`insert into pegs (venue_id, code, label, position, bank, bearing_deg, mark_height_mm)
			select v.id, translate(lpad((v.id * 1000 + i)::text, 6, '0'), '01', 'XZ'), i::text, i, 'left', 90, 2000 from venues v, generate_series(1, 40) i`,
		`insert into runs (peg_id, name, distance_mm) select p.id, n, d from pegs p, (values ('inside', 3000), ('a rod length', 6000), ('two rods', 10000), ('middle', 14000)) x (n, d)`,
		`alter table levels disable trigger user`,
		`insert into levels (gauge_id, at, zero_id, level_mm, source, written_at)
			select z.gauge_id, t, z.id, 700 + z.gauge_id * 7 + (h % 40) * 3 + case when h < 24 then h * 40 when h < 264 then (264 - h) * 4 else 0 end + (random() * 6)::integer, 'station', t + interval '9 minutes'
			from generate_series('2025-10-18'::timestamptz - interval '20 years', '2025-10-18'::timestamptz, interval '15 minutes') t, gauge_zeros z,
				lateral (select ((extract(epoch from t)::bigint / 3600 + z.gauge_id * 31) % 504)::integer as h) x`,
		`alter table levels enable trigger user`,
		`insert into levels_hour (gauge_id, hour, least_mm, most_mm, mean_mm, readings)
			select gauge_id, date_trunc('hour', at, 'UTC'), min(level_mm), max(level_mm), avg(level_mm), count(*) from levels group by 1, 2 order by 2, 1`,
		`insert into levels_day (gauge_id, day, least_mm, most_mm, mean_mm, readings, flood)
			select gauge_id, date_trunc('day', hour, 'UTC'), min(least_mm), max(most_mm), sum(mean_mm * readings) / sum(readings), sum(readings), false from levels_hour group by 1, 2 order by 2, 1`,
		`insert into soundings (run_id, zero_id, at, level_mm, depth_mm, pace_mmps, timed_ms, by_member)
			select r.id, z.id, '2025-10-18'::timestamptz - i * interval '40 days' - random() * interval '30 days', 700 + (random() * 600)::integer, 1500 + (random() * 900)::integer,
				300 + (random() * 500)::integer, 12000, (select min(id) from members) + (random() * 499)::integer
			from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id join gauge_zeros z on z.gauge_id = v.gauge_id, generate_series(1, 25) i`,
		`analyze levels`,
	} {
		s.run(ctx, q)
	}
	for range 2000 {
		s.photograph(r, 200_000)
	}
	s.Logf("%d levels, %d soundings, %s, made in %v", one[int](s, `select count(*) from levels`), one[int](s, `select count(*) from soundings`),
		one[string](s, `select pg_size_pretty(pg_database_size(current_database()))`), time.Since(began).Round(time.Second))
}

// day is what a day brings.
func (s sql) day(ctx context.Context, r *rand.ChaCha8, night int) {
	s.Helper()
	s.run(ctx, `insert into levels (gauge_id, at, zero_id, level_mm, source)
		select z.gauge_id, t, z.id, 900 + (random() * 20)::integer, 'station'
		from generate_series('2025-10-18 00:15'::timestamptz + ($1::integer - 1) * interval '1 day', '2025-10-18'::timestamptz + $1::integer * interval '1 day', interval '15 minutes') t, gauge_zeros z`, night)
	s.run(ctx, `insert into soundings (run_id, zero_id, at, level_mm, depth_mm) select r.id, z.id, '2025-10-18'::timestamptz + $1::integer * interval '1 day', 900, 1700 + (random() * 200)::integer
		from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id join gauge_zeros z on z.gauge_id = v.gauge_id order by random() limit 10`, night)
	s.run(ctx, `insert into log (what, about) select 'sounding', 'A sounding.' from generate_series(1, 30)`)
	s.photograph(r, 200_000)
	s.photograph(r, 200_000)
}
