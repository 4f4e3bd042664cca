package db

// standingJoins joins a gauge g to its zero in force (z), its latest reading (now_)
// and the one about three hours before it (ago); $1 is the present. Readings are
// turned to the zero in force.
const standingJoins = `
	join lateral (
		select id, valid_from, offset_mm, reason from gauge_zeros
		where gauge_id = g.id and valid_from <= $1 order by valid_from desc limit 1
	) z on true
	left join lateral (
		select l.at, l.level_mm + lz.offset_mm - z.offset_mm as level_mm, l.source
		from levels l join gauge_zeros lz on lz.id = l.zero_id
		where l.gauge_id = g.id and l.at <= $1 and l.level_mm is not null
		  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
		order by l.at desc limit 1
	) now_ on true
	left join lateral (
		select l.at, l.level_mm + lz.offset_mm - z.offset_mm as level_mm, l.source
		from levels l join gauge_zeros lz on lz.id = l.zero_id
		where l.gauge_id = g.id and l.level_mm is not null
		  and l.at <= now_.at - interval '3 hours' and l.at > now_.at - interval '8 hours'
		  and not exists (select from levels n where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
		order by l.at desc limit 1
	) ago on true`

// standingColumns are what standingRow takes.
const standingColumns = `
	g.id, g.slug, g.name, g.river, g.flood_mm, g.low_mm, g.high_mm,
	z.id, z.valid_from, z.offset_mm, z.reason,
	now_.at, now_.level_mm, now_.source, ago.at, ago.level_mm, ago.source,
	array(select day from levels_day where gauge_id = g.id and flood order by day desc limit 60), g.past`

const clubColumns = `c.name, c.time_zone, c.place, c.demo`

const venueColumns = `v.id, v.slug, v.name, v.river, v.about, v.access, v.close_season`

const pegColumns = `p.id, p.code, p.label, p.position, p.bank, p.bearing_deg, p.reach, p.access, p.mark_height_mm, p.lat, p.lon`
