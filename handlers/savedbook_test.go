package handlers_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"levelpeg/db/dbtest"
)

// more puts in the book what the demo has none of, or little: where pegs are, notes with
// markup and photographs that not everyone sees, a feed that has stopped, levels of a
// station, and a look at the water.
func (c records) more() {
	now := dbtest.DemoNow
	c.do(`update pegs set lat = 52.1 + position / 10000.0, lon = -1.2 - position / 7000.0 where position % 3 <> 1`)
	c.do(`insert into feeds (gauge_id, format, address, zero_id, acknowledge, tried_at, newest_at)
		select g.id, 'csv', 'https://levels.example/' || g.slug, (select max(id) from gauge_zeros z where z.gauge_id = g.id), 'Levels by the <Board of Rivers>', $1::timestamptz, $1::timestamptz - interval '2 days' from gauges g`, now)
	c.do(`insert into feeds (gauge_id, format, address, zero_id, acknowledge, newest_at, removed_at)
		select g.id, 'csv', 'https://levels.example/', (select max(id) from gauge_zeros z where z.gauge_id = g.id), 'Older levels by others', $1::timestamptz - interval '9 days', $1::timestamptz from gauges g`, now)
	c.do(`insert into looks (gauge_id, at, by_member, colour, temperature_dc) select g.id, $1, (select min(id) from members), 'a tinge', 87 from gauges g`, now.Add(-40*time.Hour))
	c.do(`insert into levels (gauge_id, at, revision, zero_id, level_mm, source)
		select l.gauge_id, l.at, l.revision + 1, l.zero_id, l.level_mm, 'station' from gauges g cross join lateral (
			select distinct on (at) * from levels where gauge_id = g.id and at > $1 and at <= $2 order by at desc, revision desc) l`, now.Add(-50*time.Hour), now.Add(-2*time.Hour))
	for i, text := range []string{"# Reeds\n\nThe *far* line is `two` rods:\n\n- trot it <slowly>\n- hold **hard**\n\n[where](/words) and [not](javascript:x)", "Plain words", "1. first\n2. second & last"} {
		for _, state := range []string{"", ", waits = true", ", hidden_at = at, hidden_why = 'It names a <swim> of others'"} {
			c.do(`with n as (insert into notes (peg_id, venue_id, author_id, at, text, low_mm) select p.id, v.id, m.id, $1, $2, $3
				from members m, (select id, null::integer as venue from pegs where label in ('1', '14') union all select null, id from venues) x(peg, venue)
				left join pegs p on p.id = x.peg left join venues v on v.id = x.venue where m.role = 'junior' returning id)
				select count(*) from n`, now.Add(-time.Duration(i)*time.Hour), fmt.Sprint(text, state), []any{nil, 700, 1400}[i])
			if state != "" {
				c.do(`update notes set text = text`+state+` where text = $1`, fmt.Sprint(text, state))
			}
		}
	}
	for i, state := range []string{"", "open = true", "waits = true", "hidden_at = at, hidden_why = 'Not of here'", "gauge_id = (select gauge_id from venues where id = venue_id)"} {
		large, small := strings.Repeat(string(rune('A'+i)), 32), strings.Repeat(string(rune('a'+i)), 32)
		c.do(`insert into picture_data (hash, kind, width, height, data) values ($1, 'image/jpeg', 800, 600, 'x'), ($2, 'image/jpeg', 200, 150, 'y')`, []byte(large), []byte(small))
		for _, place := range []string{"select v.id, null::integer from venues v", "select venue_id, id from pegs where label in ('1', '14')"} {
			caption := fmt.Sprintf("Picture %d & <more>", i)
			c.do(`insert into pictures (hash, small, venue_id, peg_id, caption, at, by_member)
				select $1, $2, x.venue, x.peg, $3, $4, (select max(id) from members where role = 'member') from (`+place+`) x(venue, peg)`, []byte(large), []byte(small), caption, now.Add(-time.Duration(i)*time.Minute))
			if state != "" {
				c.do(`update pictures set `+state+` where caption = $1`, caption)
			}
		}
	}
}

var (
	guideOf  = regexp.MustCompile(`/guide/[A-Za-z0-9_.~-]+`)
	stepLink = regexp.MustCompile(`/guide/[A-Za-z0-9_.~-]+/[a-z0-9-]+`)
)

// sameGuides asks both for the guides that a page leads to, and of the first for each of
// its steps. It gives how many guides there were.
func (s site) sameGuides(phone site, page, cookie string) int {
	s.Helper()
	codes := slices.Compact(guideOf.FindAllString(s.get(page, "Cookie", cookie).body, -1))
	for i, code := range codes {
		code = strings.TrimSuffix(code, ".pdf")
		s.same(phone, code, cookie)
		s.same(phone, code+"/nothing", cookie)
		if i > 0 {
			continue
		}
		steps := slices.Compact(stepLink.FindAllString(s.get(code, "Cookie", cookie).body, -1))
		if len(steps) < 10 {
			s.Errorf("%s has %d steps", code, len(steps))
		}
		for _, step := range steps {
			s.same(phone, step, cookie)
		}
	}
	return len(codes)
}
