package main

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/handlers/secret"
)

// token is the session of a member that the tool holds. It opens an invented book on this
// machine, and nothing else.
func token(member int) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s, member %d", fillingSeed, member))
	return base64.RawURLEncoding.EncodeToString(sum[:])
}

// role is a member's, by number from 1.
func role(member int) string {
	for _, r := range []struct {
		n    int
		name string
	}{{secretaries, "secretary"}, {bailiffs, "bailiff"}, {coaches, "coach"}, {juniors, "junior"}} {
		if member -= r.n; member <= 0 {
			return r.name
		}
	}
	return "member"
}

// words that the invented waters are named of.
const (
	nouns  = `array['Meadow','Reach','Bend','Lock','Mill','Bridge','Weir','Ford','Island','Straight']`
	before = `array['Alder','Bramble','Clover','Dock','Elder','Fern','Gorse','Hazel','Ivy','Juniper','Kex','Larch','Mallow','Nettle','Osier','Poplar','Quince','Rush','Sedge','Teasel']`
	rivers = `array['Harrel','Ombry','Lithen','Quennet','Yarble','Thissel','Pendrake','Corvane','Marrick','Sorrin','Caddow','Ivelin']`
	// signs of codes; base 31, and a factor that mixes them without giving one twice.
	signs = `'23456789ABCDEFGHJKMNPQRSTUVWXYZ'`
)

// club makes everything but the levels and the soundings.
func (f filling) club() error {
	v, g, begins := f.size.venues(), f.size.gauges(), f.size.since(f.now)
	moved := begins.Add(f.now.Sub(begins) / 2).Truncate(24 * time.Hour)
	for _, s := range []struct {
		query string
		args  []any
	}{
		{`insert into club (name, time_zone, place, welfare, incident_line) values ('Federation of the Load', 'Europe/London', 'England', 'Invented Person, at the club house', 'the invented number 000')`, nil},
		{`insert into gauges (slug, name, river, low_mm, high_mm, flood_mm)
			select 'board-' || i, 'Board ' || i, 'River ' || (` + rivers + `)[1 + i % 12], 500, 1500, 2200 from generate_series(1, $1::integer) i order by i`, []any{g}},
		{`insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) select i, $2::timestamptz - interval '1 day', 0, 'first' from generate_series(1, $1::integer) i order by i`, []any{g, begins}},
		{`insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) select i, $2::timestamptz, 120, 'new board' from generate_series(1, $1::integer) i order by i`, []any{g, moved}},
		{`insert into venues (slug, name, river, gauge_id, position, about, access, close_season, open)
			select lower(replace(name, ' ', '-')), name, 'River ' || (` + rivers + `)[1 + gauge % 12], gauge, i,
				'A stretch of about two miles with steady water above and a fast tail below.', 'By the stile from the lane. Mind the cattle.', true, i % 19 <> 0
			from (select i, 1 + (i - 1) % $2::integer as gauge, (` + before + `)[1 + (i - 1) % 20] || ' ' || (` + nouns + `)[1 + (i - 1) / 20 % 10] || case when i > 200 then ' ' || (i - 1) / 200 else '' end as name
				from generate_series(1, $1::integer) i) x order by i`, []any{v, g}},
		{`insert into pegs (venue_id, code, label, position, bank, bearing_deg, reach, mark_height_mm, lat, lon)
			select 1 + (i - 1) / 100, substr(s, 1 + x / 29791 % 31, 1) || substr(s, 1 + x / 961 % 31, 1) || substr(s, 1 + x / 31 % 31, 1) || substr(s, 1 + x % 31, 1),
				(1 + (i - 1) % 100)::text, 1 + (i - 1) % 100, case when i % 3 = 0 then 'right' else 'left' end, i * 37 % 360, case when i % 100 > 95 then 'past weir' else 'open' end, 2500,
				30 + (i - 1) / 100 * 0.1 + (i - 1) % 100 * 0.0003, -40 + (i - 1) % 100 * 0.0002
			from (select i, (i::bigint * 7919 % 923521)::integer as x, ` + signs + `::text as s from generate_series(1, $1::integer) i) y order by i`, []any{f.size.Pegs}},
		{`insert into runs (peg_id, name, distance_mm, boil, steep_side, snaggy, bottom)
			select p, (array['inside','a rod length','two rods','middle'])[k], (array[3000,6000,10000,14000])[k], (p + k) % 4, k = 1 and p % 4 = 0, p % 11 = 0, (array['gravel','clay','silt',''])[1 + (p + k) % 4]
			from generate_series(1, $1::integer) p, generate_series(1, 4) k where k < 4 or p % 2 = 0 order by p, k`, []any{f.size.Pegs}},
		{`insert into hazards (venue_id, peg_id, kind, distance_mm, text)
			select v, null, k, null, 'All along: ' || k || '. Take care.' from generate_series(1, $1::integer) v, unnest(array['slippery bank','wading']) k`, []any{v}},
		{`insert into hazards (venue_id, peg_id, kind, distance_mm, text)
			select venue_id, id, case when id % 30 = 0 then 'power line' else 'deep edge' end, 15000, 'Keep away from it with rods and poles.' from pegs where id % 10 = 0`, nil},
		{`insert into level_rules (venue_id, above_mm, effect, text) select v, mm, effect, words from generate_series(1, $1::integer) v,
			(values (1900, 'caution', 'The path floods soon.'), (2300, 'no fishing', 'The path is under water.')) x (mm, effect, words)`, []any{v}},
		{`insert into level_rules (venue_id, peg_id, to_peg_id, above_mm, effect, text) select venue_id, id, id + 4, 2000, 'no fishing', 'These pegs flood first.' from pegs where position = 40 and id + 4 <= $1`, []any{f.size.Pegs}},
		{`insert into closures (venue_id, from_peg_id, to_peg_id, from_at, reason) select venue_id, id, id + 1, $2::timestamptz - interval '20 days', 'The bank is being mended.' from pegs where position = 10 and venue_id % 2 = 0 and id + 1 <= $1`, []any{f.size.Pegs, f.now}},
		{`insert into closures (venue_id, from_at, to_at, reason, lifted_at) select v, $2::timestamptz - interval '1 day' * (20 + i * 9), $2::timestamptz - interval '1 day' * (15 + i * 9), 'Works on the lane.', null from generate_series(1, $1::integer) v, generate_series(1, 20) i`, []any{v, f.now}},
		{`insert into fixtures (venue_id, name, starts_at, ends_at) select v, 'Match ' || i, at, at + interval '5 hours' from generate_series(1, $1::integer) v, generate_series(1, $3::integer) i,
			lateral (select date_trunc('day', $2::timestamptz) + interval '10 hours' + interval '7 days' * (i - 30) as at) x`, []any{v, f.now, fixturesAVenue}},
		{`insert into members (name, role, created_at, joined_at) select 'Member ' || i, 'member', $2::timestamptz - interval '3 years', $2::timestamptz - interval '3 years' from generate_series(1, $1::integer) i order by i`, []any{membersAll, f.now}},
		{`insert into kits (member_id, kit) select i, '1~sBB-40_8_10_1_4_6~favon-short_3_4_5~fstick_4x4_6x4' from generate_series(5, $1::integer, 4) i`, []any{membersAll}},
		{`insert into notes (peg_id, author_id, at, text, low_mm, high_mm, private) select p, 200 + (p * 7 + i) % 1700, $2::timestamptz - interval '1 hour' * ((p * 13 + i * 4111) % 15000),
			'Fish the crease past the bush, and feed a little upstream of it.', case when i = 1 then 600 end, case when i = 1 then 1100 end, i = 3 from generate_series(1, $1::integer) p, generate_series(1, 3) i`, []any{f.size.Pegs, f.now}},
		{`insert into notes (venue_id, author_id, at, text) select v, 200 + v * 3 % 1700, $2::timestamptz - interval '9 days' * i, 'The gate sticks: **lift it**.' from generate_series(1, $1::integer) v, generate_series(1, 5) i`, []any{v, f.now}},
		{`insert into outings (peg_id, at, by_member, colour, temperature_dc) select p, $2::timestamptz - interval '1 hour' * ((p * 29 + i * 977) % 13000), 200 + (p + i * 31) % 1700,
			(array['clear','a tinge','coloured','thick',null])[1 + (p + i) % 5], case when i % 2 = 0 then 40 + (p + i * 7) % 150 end from generate_series(1, $1::integer) p, generate_series(1, $3::integer) i`, []any{f.size.Pegs, f.now, outingsAPeg}},
		{`insert into looks (gauge_id, at, by_member, colour, temperature_dc) select g, $2::timestamptz - interval '11 hours' * i, 4 + (g + i) % 60, 'a tinge', 90 from generate_series(1, $1::integer) g, generate_series(0, 200) i`, []any{g, f.now}},
		{`insert into log (at, member_id, what, about) select $1::timestamptz - interval '10 minutes' * (50000 - i), 1 + i % 2000, 'wrote a sounding', 'A sounding.' from generate_series(1, 50000) i`, []any{f.now}},
	} {
		if err := f.do(s.query, s.args...); err != nil {
			return err
		}
	}
	return f.people()
}

// people gives the members their roles and sessions.
func (f filling) people() error {
	var batch pgx.Batch
	for m := 1; m <= membersAll; m++ {
		batch.Queue(`update members set role = $2 where id = $1`, m, role(m))
		batch.Queue(`insert into sessions (token_hash, member_id, created_at, expires_at, own_phone, device) values ($1, $2, $3::timestamptz, $3::timestamptz + interval '`+sessionsLast+`', true, 'a phone or computer')`,
			secret.HashToken(token(m)), m, f.now)
	}
	return f.conn.SendBatch(f.ctx, &batch).Close()
}
