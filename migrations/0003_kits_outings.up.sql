begin;

insert into schema_steps (step) values (3);

-- A closure that was lifted keeps its row, with who set it and who lifted it.
alter table closures
    add column set_at timestamptz not null default now(),
    add column set_by bigint references members on delete set null,
    add column lifted_at timestamptz,
    add column lifted_by bigint references members on delete set null,
    add check (lifted_by is null or lifted_at is not null);
comment on column closures.lifted_at is 'It no longer stands; null: it does, from from_at to to_at.';
create index closures_set_by on closures (set_by) where set_by is not null;
create index closures_lifted_by on closures (lifted_by) where lifted_by is not null;

alter table level_rules
    add column to_peg_id integer,
    add column from_at timestamptz,
    add column to_at timestamptz,
    add foreign key (venue_id, to_peg_id) references pegs (venue_id, id) on delete cascade,
    add check (to_peg_id is null or peg_id is not null),
    add check (to_at > from_at);
comment on column level_rules.to_peg_id is 'The other end of a span of pegs that begins or ends with peg_id; null: peg_id alone.';
comment on column level_rules.from_at is 'It speaks from then on; null: always has.';
comment on column level_rules.to_at is 'It speaks until then; null: until it is taken away.';

create table outings (
    id             bigint generated always as identity primary key,
    peg_id         integer not null references pegs on delete cascade,
    at             timestamptz not null,
    by_member      bigint references members on delete set null,
    colour         text check (colour in ('clear', 'a tinge', 'coloured', 'thick')),
    temperature_dc smallint check (temperature_dc between -20 and 350),
    written_at     timestamptz not null default now(),
    check (at <= written_at + interval '1 day')
);
comment on table outings is 'A peg was fished. Who by is kept for the club''s own count and shown to nobody else.';
comment on column outings.colour is 'Of the water, in the words of anglers; null where nobody said.';
comment on column outings.temperature_dc is 'Of the water, tenths of a degree Celsius; null where nobody measured it.';
create index outings_peg on outings (peg_id, at desc);
create index outings_by_member on outings (by_member) where by_member is not null;
create constraint trigger outings_changed after insert or update or delete on outings
    deferrable initially deferred for each row execute function book_changed();

create table kits (
    member_id  bigint primary key references members on delete cascade,
    kit        text not null check (kit <> '' and octet_length(kit) <= 4000),
    changed_at timestamptz not null default now()
);
comment on table kits is 'What a member carries, in the form an address carries it in.';

-- As step 2 made it, with the outings of the last year, newest first; closures that were lifted left out; and level rules
-- that cover the peg by a span of pegs, those whose time is over left out.
create or replace function peg_book(peg integer, now_at timestamptz) returns json language sql stable as $$
    select json_build_object(
        'club', json_build_object('name', c.name, 'zone', c.time_zone, 'place', c.place, 'demo', c.demo),
        'venue', json_build_object('id', v.id, 'slug', v.slug, 'name', v.name, 'river', v.river, 'about', v.about,
            'access', v.access, 'season', v.close_season),
        'peg', json_build_object('id', p.id, 'code', p.code, 'label', p.label, 'order', p.position, 'bank', p.bank,
            'bearing', p.bearing_deg, 'reach', p.reach, 'access', p.access, 'mark', p.mark_height_mm),
        'up', (select label from pegs where venue_id = v.id and position < p.position order by position desc limit 1),
        'down', (select label from pegs where venue_id = v.id and position > p.position order by position limit 1),
        'runs', (
            select json_agg(json_build_object('id', r.id, 'name', r.name, 'distance', r.distance_mm, 'boil', r.boil,
                'steep', r.steep_side, 'snaggy', r.snaggy, 'bottom', r.bottom, 'soundings', run_soundings(r.id, 60)) order by r.distance_mm)
            from runs r where r.peg_id = p.id
        ),
        'beside', (
            select json_agg(json_build_object('pegs', n.position - p.position, 'name', r.name, 'reach', n.reach,
                'distance', r.distance_mm, 'steep', r.steep_side, 'soundings', run_soundings(r.id, 20)) order by n.position, r.distance_mm)
            from pegs n join runs r on r.peg_id = n.id
            where n.venue_id = v.id and n.id <> p.id and n.bank = p.bank and n.position between p.position - 3 and p.position + 3
              and exists (select from soundings s where s.run_id = r.id)
              and exists (select from runs o where o.peg_id = p.id and coalesce(json_array_length(run_soundings(o.id, 3)), 0) < 3)
        ),
        'hazards', (
            select json_agg(json_build_object('own', h.peg_id is not null, 'kind', h.kind, 'distance', h.distance_mm,
                'text', h.text) order by h.id)
            from hazards h where h.venue_id = v.id and (h.peg_id is null or h.peg_id = p.id)
        ),
        'rules', (
            select json_agg(json_build_object('own', r.peg_id is not null, 'above', r.above_mm, 'below', r.below_mm,
                'effect', r.effect, 'text', r.text, 'from', extract(epoch from r.from_at) * 1000000,
                'to', extract(epoch from r.to_at) * 1000000) order by r.id)
            from level_rules r
            left join pegs a on a.id = r.peg_id
            left join pegs b on b.id = coalesce(r.to_peg_id, r.peg_id)
            where r.venue_id = v.id and (r.to_at is null or r.to_at > now_at) and (r.peg_id is null
                or p.position between least(a.position, b.position) and greatest(a.position, b.position))
        ),
        'closures', (
            select json_agg(json_build_object('own', k.from_peg_id is not null, 'from', extract(epoch from k.from_at) * 1000000,
                'to', extract(epoch from k.to_at) * 1000000, 'reason', k.reason) order by k.from_at)
            from closures k
            left join pegs a on a.id = k.from_peg_id
            left join pegs b on b.id = k.to_peg_id
            where k.venue_id = v.id and k.lifted_at is null and (k.to_at is null or k.to_at > now_at) and (k.from_peg_id is null
                or p.position between least(a.position, b.position) and greatest(a.position, b.position))
        ),
        'fixtures', (
            select json_agg(json_build_object('name', f.name, 'from', extract(epoch from f.starts_at) * 1000000,
                'to', extract(epoch from f.ends_at) * 1000000) order by f.starts_at, f.id)
            from fixtures f where f.venue_id = v.id and f.ends_at > now_at
        ),
        'outings', (
            select json_agg(json_build_object('at', extract(epoch from o.at) * 1000000, 'colour', o.colour,
                'temperature', o.temperature_dc, 'level', o.level) order by o.at desc)
            from (
                select o.at, o.colour, o.temperature_dc,
                    (select h.mean_mm from levels_hour h where h.gauge_id = v.gauge_id and h.hour = date_trunc('hour', o.at, 'UTC')) as level
                from outings o where o.peg_id = p.id and o.at > now_at - interval '1 year' and o.at <= now_at
                order by o.at desc limit 60
            ) o
        ),
        'notes', (
            select json_agg(json_build_object('at', extract(epoch from n.at) * 1000000, 'by', coalesce(m.name, ''),
                'author', coalesce(m.id, 0), 'text', n.text, 'low', n.low_mm, 'high', n.high_mm, 'private', n.private)
                order by n.at desc, n.id desc)
            from notes n left join members m on m.id = n.author_id where n.peg_id = p.id
        )
    )
    from club c, pegs p join venues v on v.id = p.venue_id
    where p.id = peg
$$;

commit;
