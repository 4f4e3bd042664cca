package db_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// reading is one reading that counts, on the datum.
type reading struct {
	at time.Time
	m  float64
}

// readingsOf reads what counts of a gauge straight from the levels: of each time the
// highest revision, and nothing that was withdrawn.
func readingsOf(s sql, slug string) []reading {
	s.Helper()
	rows, err := s.conn.Query(background(s.T), `
		select l.at, (l.level_mm + z.offset_mm)::float8 / 1000
		from levels l join gauges g on g.id = l.gauge_id join gauge_zeros z on z.id = l.zero_id
		where g.slug = $1 and l.level_mm is not null and l.revision =
			(select max(revision) from levels n where n.gauge_id = l.gauge_id and n.at = l.at)
		order by l.at`, slug)
	if err != nil {
		s.Fatal(err)
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (r reading, err error) {
		err = row.Scan(&r.at, &r.m)
		return r, err
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

// pieceOf is where a grain's piece that holds a time begins, worked out apart from
// the statement: pieces of days begin anew with each month, the last takes the rest.
func pieceOf(by club.Grain, at time.Time) time.Time {
	at = at.UTC()
	y, m, d := at.Date()
	within := func(days int) time.Time {
		piece := min((d-1)/days, 30/days-1)
		return time.Date(y, m, 1+piece*days, 0, 0, 0, 0, time.UTC)
	}
	switch by {
	case club.ByHour, club.ByTwoHours:
		return at.Truncate(by.Length())
	case club.ByDay:
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	case club.ByFiveDays:
		return within(5)
	case club.ByTenDays:
		return within(10)
	case club.ByMonth:
		return time.Date(y, m, 1, 0, 0, 0, 0, time.UTC)
	case club.ByYear:
		return time.Date(y, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	return at
}

// pieces is the history over (from, to] or [from, to) as the readings give it. The
// rollups go by whole hours or days: one that begins before from is not in it, and
// of one that begins before to all is.
func pieces(all []reading, by club.Grain, from, to time.Time) []club.LevelSpan {
	least := map[club.Grain]time.Duration{club.ByHour: time.Hour, club.ByTwoHours: time.Hour}[by]
	if least == 0 {
		least = 24 * time.Hour
	}
	var out []club.LevelSpan
	piece := time.Duration(-1)
	for _, r := range all {
		unit := r.at.UTC().Truncate(least)
		if by == club.ByReading && (!r.at.After(from) || r.at.After(to)) ||
			by != club.ByReading && (unit.Before(from) || !unit.Before(to)) {
			continue
		}
		start, next := pieceOf(by, r.at), false
		if by == club.ByReading { // those of one 720th of the time are one
			now := r.at.Sub(from) / (to.Sub(from) / 720)
			next, piece = now != piece, now
		}
		if n := len(out); n == 0 || next || by != club.ByReading && !out[n-1].From.Equal(start) {
			out = append(out, club.LevelSpan{From: start, LeastM: r.m, MostM: r.m})
		}
		s := &out[len(out)-1]
		s.LeastM, s.MostM, s.Readings = math.Min(s.LeastM, r.m), math.Max(s.MostM, r.m), s.Readings+1
		s.Mid += (r.m - s.Mid) / float64(s.Readings)
	}
	return out
}

func sameSpans(t *testing.T, what string, got, want []club.LevelSpan) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d pieces, the readings give %d", what, len(got), len(want))
		return
	}
	for i, g := range got {
		w := want[i]
		// A mean is kept as a four-byte real, see meanTolMM, and twice more in a mean of means.
		if !g.From.Equal(w.From) || !near(g.LeastM, w.LeastM) || !near(g.MostM, w.MostM) || g.Readings != w.Readings || math.Abs(g.Mid-w.Mid) > 2*meanTolMM/1000 {
			t.Errorf("%s, piece %d: %+v, the readings give %+v", what, i, g, w)
			return
		}
	}
}

func spanOf(t *testing.T, slug string) club.Span {
	t.Helper()
	i := slices.IndexFunc(club.Spans(), func(s club.Span) bool { return s.Slug == slug })
	if i < 0 {
		t.Fatalf("no span %s", slug)
	}
	return club.Spans()[i]
}

func history(t *testing.T, book *db.DB, gauge string, look club.LookBack) club.GaugeView {
	t.Helper()
	v, err := book.Gauge(background(t), gauge, look, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// mostPoints is the most that any page carries.
const mostPoints = 800

// TestHistoryOverEverySpan holds every span, now and at other times, to what the
// readings themselves give.
func TestHistoryOverEverySpan(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	all := readingsOf(s, "cinder-lane")
	back := map[string]func(time.Time) time.Time{
		"6h": func(t time.Time) time.Time { return t.Add(-6 * time.Hour) }, "2d": func(t time.Time) time.Time { return t.AddDate(0, 0, -2) },
		"10d": func(t time.Time) time.Time { return t.AddDate(0, 0, -10) }, "6w": func(t time.Time) time.Time { return t.AddDate(0, 0, -42) },
		"1y": func(t time.Time) time.Time { return t.AddDate(-1, 0, 0) }, "5y": func(t time.Time) time.Time { return t.AddDate(-5, 0, 0) },
		"20y": func(t time.Time) time.Time { return t.AddDate(-20, 0, 0) }, "all": func(time.Time) time.Time { return all[0].at.Truncate(24 * time.Hour) },
	}
	for _, sp := range club.Spans() {
		for _, to := range []time.Time{now, now.AddDate(0, -7, -3), time.Date(2025, 3, 30, 1, 30, 0, 0, time.UTC), now.AddDate(-2, 0, 0)} {
			v := history(t, book, "cinder-lane", club.LookBack{Span: sp, To: to})
			what := sp.Slug + " to " + to.Format(time.RFC3339)
			from := back[sp.Slug](to)
			if !v.From.Equal(from) || !v.To.Equal(to) {
				t.Errorf("%s goes from %v to %v, want from %v", what, v.From, v.To, from)
			}
			if want := sp.By; want != "" && v.By != want || sp.By == "" && v.By != map[bool]club.Grain{true: club.ByFiveDays, false: club.ByDay}[to.Sub(from) >= 732*24*time.Hour] {
				t.Errorf("%s is drawn by %s", what, v.By)
			}
			if len(v.Spans) > mostPoints || !v.First.Equal(all[0].at.Truncate(24*time.Hour)) {
				t.Errorf("%s has %d points, and begins on %v", what, len(v.Spans), v.First)
			}
			sameSpans(t, what, v.Spans, pieces(all, v.By, from, to))
		}
	}
}

// TestHistoryUpTo: up to now and no later, whatever is asked; by the
// club's clock in summer and winter.
func TestHistoryUpTo(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	clock := func(month time.Month, day, hour int) time.Time {
		return time.Date(2025, month, day, hour, 0, 0, 0, time.UTC)
	}
	for _, c := range []struct {
		look club.LookBack
		want time.Time
	}{
		{club.LookBack{}, now},
		{club.LookBack{To: now.Add(time.Hour)}, now},
		{club.LookBack{ToClock: now.AddDate(0, 0, 1)}, now},
		{club.LookBack{To: hour(30)}, hour(30)},
		// London is an hour ahead of UTC in July, and not in January.
		{club.LookBack{ToClock: clock(7, 10, 12)}, clock(7, 10, 11)},
		{club.LookBack{ToClock: clock(1, 10, 12)}, clock(1, 10, 12)},
	} {
		c.look.Span = spanOf(t, "10d")
		if v := history(t, book, "board", c.look); !v.To.Equal(c.want) || !v.From.Equal(c.want.AddDate(0, 0, -10)) {
			t.Errorf("%+v goes from %v to %v, want to %v", c.look, v.From, v.To, c.want)
		}
	}
	// A gauge that nobody has read yet has a history of nothing.
	for _, sp := range club.Spans() {
		if v := history(t, book, "other", club.LookBack{Span: sp}); len(v.Spans) != 0 || !v.First.IsZero() || v.From.After(v.To) {
			t.Errorf("%s of a gauge without levels: %+v", sp.Slug, v)
		}
	}
}

// TestHistoryOfCorrections: the highest revision counts, and what was withdrawn does
// not, by readings as by hours.
func TestHistoryOfCorrections(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	correct(s, hour(40), 1, 1800)
	correct(s, hour(40), 2, 1700)
	correct(s, hour(41), 1, nil)
	correct(s, hour(42), 1, nil)
	correct(s, hour(42), 2, 1500)
	all := readingsOf(s, "board")
	if len(all) != 71 {
		t.Fatalf("%d readings count, want 71", len(all))
	}
	for _, slug := range []string{"2d", "10d", "6w", "1y"} {
		v := history(t, book, "board", club.LookBack{Span: spanOf(t, slug)})
		sameSpans(t, slug, v.Spans, pieces(all, v.By, v.From, v.To))
	}
}

// TestHistoryOfAGaugeThatWritesEveryMinute fills no page.
func TestHistoryOfAGaugeThatWritesEveryMinute(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source)
		select g.id, t, (select min(id) from gauge_zeros where gauge_id = g.id), 500 + (extract(epoch from t)::bigint / 60 % 97)::int, 'station'
		from gauges g, generate_series($1::timestamptz - interval '3 days', $1, interval '1 minute') t where g.slug = 'other'`, now)
	for slug, readings := range map[string]int{"6h": 360, "2d": 2880} {
		v := history(t, book, "other", club.LookBack{Span: spanOf(t, slug)})
		n, low, high := 0, math.Inf(1), math.Inf(-1)
		for _, p := range v.Spans {
			n, low, high = n+p.Readings, math.Min(low, p.LeastM), math.Max(high, p.MostM)
		}
		if len(v.Spans) > 721 || n != readings || !near(low, 0.5) || !near(high, 0.596) {
			t.Errorf("%s: %d points of %d readings from %v to %v, want %d readings from 0.500 to 0.596", slug, len(v.Spans), n, low, high, readings)
		}
	}
}

// TestHistoryOfDecades has a day's reading for 120 years: everything there is still
// fits a page, with its extremes and its gap.
func TestHistoryOfDecades(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	for _, c := range []struct {
		years int
		by    club.Grain
	}{{1, club.ByDay}, {10, club.ByFiveDays}, {21, club.ByTenDays}, {65, club.ByMonth}, {120, club.ByYear}} {
		s.do(`alter table levels disable trigger user`)
		s.do(`truncate levels, levels_hour, levels_day`)
		s.do(`update gauge_zeros set valid_from = valid_from - interval '200 years'`)
		from := now.AddDate(-c.years, 0, 1).Truncate(24 * time.Hour).Add(9 * time.Hour)
		s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source)
			select g.id, t, (select min(id) from gauge_zeros where gauge_id = g.id),
				case t::date when $2::date then 3100 when $3::date then -200 else 600 end, 'board'
			from gauges g, generate_series($1::timestamptz, $4, interval '24 hours') t
			where g.slug = 'other' and not t between $5 and $6`,
			from, now.AddDate(0, -5, 0), now.AddDate(0, -9, 0), now, now.AddDate(0, -8, 0), now.AddDate(0, -7, 0))
		s.do(`insert into levels_day (gauge_id, day, least_mm, most_mm, mean_mm, readings)
			select gauge_id, date_trunc('day', at, 'UTC'), level_mm, level_mm, level_mm, 1 from levels`)
		s.do(`alter table levels enable trigger user`)
		v := history(t, book, "other", club.LookBack{Span: spanOf(t, "all")})
		if v.By != c.by || len(v.Spans) > mostPoints {
			t.Errorf("%d years are %d points by %s, want them by %s", c.years, len(v.Spans), v.By, c.by)
		}
		sameSpans(t, "decades", v.Spans, pieces(readingsOf(s, "other"), v.By, v.From, v.To))
	}
}

func sameReadings(t *testing.T, what string, got []club.Reading, want []reading) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d readings, want %d", what, len(got), len(want))
		return
	}
	for i, g := range got {
		if !g.At.Equal(want[i].at) || !near(g.DatumM, want[i].m) || g.Source == "" {
			t.Errorf("%s: %+v, want %+v", what, g, want[i])
		}
	}
}

// TestReadingsAboutAMoment: those a sheet at a moment needs, none from after now, each
// as it was last corrected.
func TestReadingsAboutAMoment(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	correct(s, hour(40), 1, 1800)
	correct(s, hour(41), 1, nil)
	all := readingsOf(s, "board")
	want := func(at time.Time) []reading {
		if at.After(now) {
			at = now
		}
		from, to := at.Add(-3*24*time.Hour), at.Add(24*time.Hour)
		a, b := 0, 0
		for i, r := range all {
			if r.at.Before(from) {
				a = i + 1
			}
			if !r.at.After(to) {
				b = i + 1
			}
		}
		return all[max(0, a-3):min(len(all), b+3)]
	}
	for _, at := range []time.Time{hour(-200), hour(0), hour(1), hour(39), hour(41), hour(70), now, now.AddDate(0, 0, 3), now.AddDate(1, 0, 0)} {
		v, got, err := book.PegAt(background(t), "near", "1", nil, now, at)
		if err != nil || v.Peg.Label != "1" {
			t.Fatalf("%+v, %v", v.Peg, err)
		}
		sameReadings(t, at.String(), got, want(at))
	}
	if _, _, err := book.PegAt(background(t), "near", "999", nil, now, now); club.KindOf(err) != club.NotFound {
		t.Errorf("of no peg: %v", err)
	}
}

func TestHours(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	from := now.AddDate(-3, 0, 0)
	means, err := book.Hours(background(t), "cinder-lane", from, now)
	if err != nil {
		t.Fatal(err)
	}
	got, want := means.Hours, pieces(readingsOf(s, "cinder-lane"), club.ByHour, from, now)
	if len(got) != len(want) || len(got) < 3*365*24-400 {
		t.Fatalf("%d hours, the readings give %d", len(got), len(want))
	}
	for i, g := range got {
		if !g.Hour.Equal(want[i].From) || math.Abs(g.DatumM-want[i].Mid) > meanTolMM/1000 {
			t.Fatalf("hour %d: %+v, the readings give %+v", i, g, want[i])
		}
	}
	if got, err := book.Hours(background(t), "cinder-lane", now.AddDate(1, 0, 0), now.AddDate(2, 0, 0)); err != nil || len(got.Hours) != 0 {
		t.Errorf("to come: %v, %v", got, err)
	}
	if _, err := book.Hours(background(t), "nowhere", from, now); club.KindOf(err) != club.NotFound {
		t.Errorf("of no gauge: %v", err)
	}
}
