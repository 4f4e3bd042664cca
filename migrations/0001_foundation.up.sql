begin;

-- Lengths are whole millimetres, so that no sum of ours is off by a rounding and an index stays small.
-- A level is above the gauge's zero in force when it was read; "on the datum" is above the gauge's first zero.

create table schema_steps (
    step     integer primary key,
    taken_at timestamptz not null default now()
);
comment on table schema_steps is 'Each migration writes its own number here inside its transaction, so that one cut short can be told from one that finished.';
insert into schema_steps (step) values (1);

create table book_revision (
    only_row boolean primary key default true check (only_row),
    revision bigint not null default 1
);
comment on table book_revision is 'Goes up with every transaction that changes the book (not its levels or sessions), so that a server can tell whether what it remembers of the book still holds.';
insert into book_revision default values;

create table club (
    only_row  boolean primary key default true check (only_row),
    name      text not null check (name <> ''),
    time_zone text not null check (time_zone <> ''),
    place     text not null check (place <> ''),
    demo      boolean not null default false
);
comment on table club is 'Settings: one database is one club.';
comment on column club.place is 'Whose law the pages speak of, for example England.';
comment on column club.demo is 'Made up by the demo, which alone may replace it.';

create table members (
    id         bigint generated always as identity primary key,
    name       text not null check (name <> ''),
    role       text not null check (role in ('secretary', 'bailiff', 'coach', 'member', 'junior')),
    created_at timestamptz not null default now()
);

create table sessions (
    token_hash bytea primary key check (octet_length(token_hash) = 32),
    member_id  bigint not null references members on delete cascade,
    created_at timestamptz not null default now(),
    expires_at timestamptz not null check (expires_at > created_at)
);
comment on column sessions.token_hash is 'SHA-256 of the token in the cookie; the token itself is never kept.';
create index sessions_member on sessions (member_id);
create index sessions_expiry on sessions (expires_at);

create table gauges (
    id       integer generated always as identity primary key,
    slug     text not null unique check (slug ~ '^[a-z0-9]+(-[a-z0-9]+)*$'),
    name     text not null check (name <> ''),
    river    text not null check (river <> ''),
    flood_mm integer,
    low_mm   integer not null,
    high_mm  integer not null,
    check (low_mm < high_mm)
);
comment on column gauges.flood_mm is 'Level on the datum above which beds on this river are known to move; null where the club has not said.';
comment on column gauges.low_mm is 'Low end of the board''s ordinary range, on the datum.';
comment on column gauges.high_mm is 'High end of the board''s ordinary range, on the datum.';

create table gauge_zeros (
    id         integer generated always as identity primary key,
    gauge_id   integer not null references gauges on delete cascade,
    valid_from timestamptz not null,
    offset_mm  integer not null check (offset_mm between -20000 and 20000),
    reason     text not null default '',
    unique (gauge_id, valid_from),
    unique (gauge_id, id)
);
comment on table gauge_zeros is 'A board moved or replaced starts a new zero. No bed moves for it.';
comment on column gauge_zeros.offset_mm is 'Height of this zero above the gauge''s first zero.';

create table levels (
    gauge_id   integer not null,
    at         timestamptz not null,
    revision   smallint not null default 0 check (revision >= 0),
    zero_id    integer not null,
    level_mm   integer check (level_mm between -20000 and 50000),
    source     text not null check (source in ('board', 'station')),
    by_member  bigint references members on delete set null,
    written_at timestamptz not null default now(),
    primary key (gauge_id, at, revision),
    foreign key (gauge_id, zero_id) references gauge_zeros (gauge_id, id)
);
comment on table levels is 'Append-only. A correction is the same reading with a higher revision; the highest counts.';
comment on column levels.zero_id is 'The zero the reading was taken on.';
comment on column levels.level_mm is 'Above that zero. Null withdraws the reading.';
create index levels_by_member on levels (by_member) where by_member is not null;

create table levels_hour (
    gauge_id integer not null references gauges on delete cascade,
    hour     timestamptz not null,
    least_mm integer not null,
    most_mm  integer not null,
    mean_mm  real not null,
    readings integer not null check (readings > 0),
    primary key (gauge_id, hour)
);
comment on table levels_hour is 'Rollup of levels by UTC hour, on the datum, kept by a trigger on levels.';

create table levels_day (
    gauge_id integer not null references gauges on delete cascade,
    day      timestamptz not null,
    least_mm integer not null,
    most_mm  integer not null,
    mean_mm  real not null,
    readings integer not null check (readings > 0),
    flood    boolean not null default false,
    primary key (gauge_id, day)
);
comment on table levels_day is 'Rollup of levels_hour by UTC day, on the datum, kept by a trigger on levels.';
comment on column levels_day.flood is 'The most of the day is above the gauge''s flood_mm, so beds may have moved.';
create index levels_day_flood on levels_day (gauge_id, day desc) where flood;

create table venues (
    id           integer generated always as identity primary key,
    slug         text not null unique check (slug ~ '^[a-z0-9]+(-[a-z0-9]+)*$'),
    name         text not null check (name <> ''),
    river        text not null check (river <> ''),
    gauge_id     integer not null references gauges,
    position     integer not null,
    about        text not null default '',
    access       text not null default '',
    close_season boolean not null default true
);
comment on column venues.gauge_id is 'The gauge whose levels the venue''s pegs are read by.';
comment on column venues.position is 'Order on the club''s list.';
comment on column venues.close_season is 'The statutory coarse close season on rivers holds here.';

create table pegs (
    id             integer generated always as identity primary key,
    venue_id       integer not null references venues on delete cascade,
    code           text not null unique check (code ~ '^[2-9A-HJKMNP-Z]{4,8}$'),
    label          text not null check (label ~ '^[0-9A-Za-z]{1,8}$'),
    position       integer not null check (position > 0),
    bank           text not null check (bank in ('left', 'right')),
    bearing_deg    smallint not null check (bearing_deg between 0 and 359),
    reach          text not null default 'open' check (reach in ('open', 'past weir')),
    access         text not null default '',
    mark_height_mm integer not null,
    unique (venue_id, id),
    unique (venue_id, position) deferrable initially immediate
);
comment on column pegs.code is 'Permanent; survives renumbering. Letters and digits that are not mistaken for each other.';
comment on column pegs.label is 'What the post says.';
comment on column pegs.position is 'Order downstream, from 1.';
comment on column pegs.bank is 'Looking downstream.';
comment on column pegs.bearing_deg is 'Compass bearing the water flows towards.';
comment on column pegs.reach is 'past weir: a weir or lock lies between the gauge and the peg, so its water follows the gauge loosely.';
comment on column pegs.mark_height_mm is 'Height of the peg''s fixed mark on the gauge''s datum.';
create unique index pegs_label on pegs (venue_id, lower(label));

create table runs (
    id          integer generated always as identity primary key,
    peg_id      integer not null references pegs on delete cascade,
    name        text not null check (name <> ''),
    distance_mm integer not null check (distance_mm between 0 and 200000),
    boil        smallint not null default 0 check (boil between 0 and 3),
    steep_side  boolean not null default false,
    snaggy      boolean not null default false,
    bottom      text not null default '',
    unique (peg_id, name),
    unique (peg_id, distance_mm)
);
comment on column runs.distance_mm is 'Out from the peg''s fixed mark, not from the water''s edge, which moves.';
comment on column runs.boil is 'How broken the water is: 0 smooth to 3 boily.';

create table soundings (
    id         bigint generated always as identity primary key,
    run_id     integer not null references runs on delete cascade,
    zero_id    integer not null references gauge_zeros,
    at         timestamptz not null,
    level_mm   integer not null check (level_mm between -20000 and 50000),
    depth_mm   integer not null check (depth_mm between 10 and 30000),
    pace_mmps  integer check (pace_mmps between 1 and 6000),
    timed_ms   integer check (timed_ms between 1 and 3600000),
    by_member  bigint references members on delete set null,
    written_at timestamptz not null default now(),
    supersedes bigint unique references soundings,
    withdrawn  boolean not null default false,
    check (supersedes <> id),
    check (at <= written_at + interval '1 day'),
    check (pace_mmps is not null or timed_ms is null),
    check (not withdrawn or supersedes is not null)
);
comment on table soundings is 'Append-only. A correction supersedes; one that is withdrawn says no more than that.';
comment on column soundings.zero_id is 'The gauge''s zero in force at the time, which level_mm is above.';
comment on column soundings.pace_mmps is 'Surface pace by timed float; null where it was not timed.';
comment on column soundings.timed_ms is 'How long the float was timed for; under ten seconds is rough.';
create index soundings_run on soundings (run_id, at);
create index soundings_by_member on soundings (by_member) where by_member is not null;

create table hazards (
    id          integer generated always as identity primary key,
    venue_id    integer not null references venues on delete cascade,
    peg_id      integer,
    kind        text not null check (kind in ('power line', 'deep edge', 'slippery bank', 'wading', 'other')),
    distance_mm integer check (distance_mm >= 0),
    text        text not null check (text <> ''),
    foreign key (venue_id, peg_id) references pegs (venue_id, id) on delete cascade
);
comment on column hazards.peg_id is 'Null: all along the venue.';
comment on column hazards.distance_mm is 'How far from the peg; null where it is at the peg or not measured.';
create index hazards_venue on hazards (venue_id);

create table level_rules (
    id       integer generated always as identity primary key,
    venue_id integer not null references venues on delete cascade,
    peg_id   integer,
    above_mm integer,
    below_mm integer,
    effect   text not null check (effect in ('no fishing', 'caution')),
    text     text not null check (text <> ''),
    check (num_nonnulls(above_mm, below_mm) = 1),
    foreign key (venue_id, peg_id) references pegs (venue_id, id) on delete cascade
);
comment on column level_rules.above_mm is 'Holds above this level on the datum.';
comment on column level_rules.below_mm is 'Holds below this level on the datum.';
create index level_rules_venue on level_rules (venue_id);

create table closures (
    id          integer generated always as identity primary key,
    venue_id    integer not null references venues on delete cascade,
    from_peg_id integer,
    to_peg_id   integer,
    from_at     timestamptz not null,
    to_at       timestamptz,
    reason      text not null check (reason <> ''),
    check ((from_peg_id is null) = (to_peg_id is null)),
    check (to_at > from_at),
    foreign key (venue_id, from_peg_id) references pegs (venue_id, id) on delete cascade,
    foreign key (venue_id, to_peg_id) references pegs (venue_id, id) on delete cascade
);
comment on table closures is 'A peg, a span of pegs in order downstream, or (no pegs named) the venue, that nobody fishes for now.';
comment on column closures.to_at is 'Null: until it is lifted.';
create index closures_venue on closures (venue_id, from_at);

create table notes (
    id        bigint generated always as identity primary key,
    peg_id    integer not null references pegs on delete cascade,
    author_id bigint references members on delete set null,
    at        timestamptz not null,
    text      text not null check (text <> ''),
    low_mm    integer,
    high_mm   integer,
    private   boolean not null default false,
    check (low_mm <= high_mm),
    check (not private or author_id is not null)
);
comment on column notes.low_mm is 'The note holds from this level on the datum; null: from any.';
comment on column notes.high_mm is 'The note holds up to this level on the datum; null: to any.';
comment on column notes.private is 'Seen by its writer alone.';
create index notes_peg on notes (peg_id, at desc);
create index notes_author on notes (author_id);

-- What was read stays as it was read. Forgetting who read it is the one change allowed.
create function keep_as_read() returns trigger language plpgsql as $$
begin
    if tg_op = 'UPDATE' and new.by_member is null
       and to_jsonb(new) - 'by_member' = to_jsonb(old) - 'by_member' then
        return new;
    end if;
    raise exception '% is append-only: write a correction instead', tg_table_name
        using errcode = 'restrict_violation';
end $$;
create trigger levels_keep before update or delete on levels
    for each row execute function keep_as_read();
create trigger soundings_keep before update or delete on soundings
    for each row execute function keep_as_read();

create function keep_peg_code() returns trigger language plpgsql as $$
begin
    raise exception 'the code of a peg is permanent' using errcode = 'restrict_violation';
end $$;
create trigger pegs_keep_code before update of code on pegs
    for each row when (new.code <> old.code) execute function keep_peg_code();

-- A private note goes with its writer; a club's note stays, unnamed.
create function drop_private_notes() returns trigger language plpgsql as $$
begin
    delete from notes where author_id = old.id and private;
    return old;
end $$;
create trigger members_drop_private before delete on members
    for each row execute function drop_private_notes();

-- A sounding stands on a zero of the gauge its venue is read by.
create function check_sounding_zero() returns trigger language plpgsql as $$
begin
    if not exists (
        select from runs r
        join pegs p on p.id = r.peg_id
        join venues v on v.id = p.venue_id
        join gauge_zeros z on z.gauge_id = v.gauge_id
        where r.id = new.run_id and z.id = new.zero_id
    ) then
        raise exception 'sounding of run % stands on the zero of another gauge', new.run_id
            using errcode = 'foreign_key_violation';
    end if;
    return new;
end $$;
create trigger soundings_zero before insert on soundings
    for each row execute function check_sounding_zero();

-- The book's revision goes up once a transaction, as the last thing it does: no writer holds the row
-- for longer than its commit takes.
create function book_changed() returns trigger language plpgsql as $$
begin
    update book_revision set revision = revision + 1 where xmin <> pg_current_xact_id()::xid;
    return null;
end $$;
create constraint trigger club_changed after insert or update or delete on club
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger members_changed after insert or update or delete on members
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger gauges_changed after insert or update or delete on gauges
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger gauge_zeros_changed after insert or update or delete on gauge_zeros
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger venues_changed after insert or update or delete on venues
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger pegs_changed after insert or update or delete on pegs
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger runs_changed after insert or update or delete on runs
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger soundings_changed after insert or update or delete on soundings
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger hazards_changed after insert or update or delete on hazards
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger level_rules_changed after insert or update or delete on level_rules
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger closures_changed after insert or update or delete on closures
    deferrable initially deferred for each row execute function book_changed();
create constraint trigger notes_changed after insert or update or delete on notes
    deferrable initially deferred for each row execute function book_changed();

-- All that the book holds of a peg, as one JSON value: lengths in mm, times in microseconds since 1970. Of a
-- run's soundings the newest sixty; older ones hardly weigh. Closures that ended before now_at are left out.
-- A function, so that a statement which calls it for one peg in a thousand does not set it up for the others.
create function peg_book(peg integer, now_at timestamptz) returns json language sql stable as $$
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
                'steep', r.steep_side, 'snaggy', r.snaggy, 'bottom', r.bottom, 'soundings', (
                    select json_agg(json_build_object('at', extract(epoch from s.at) * 1000000, 'level', s.level_mm + z.offset_mm,
                        'depth', s.depth_mm, 'pace', s.pace_mmps, 'timed', s.timed_ms) order by s.at)
                    from (
                        select * from soundings s
                        where s.run_id = r.id and not s.withdrawn
                          and not exists (select from soundings n where n.supersedes = s.id)
                        order by s.at desc limit 60
                    ) s join gauge_zeros z on z.id = s.zero_id
                )) order by r.distance_mm)
            from runs r where r.peg_id = p.id
        ),
        'hazards', (
            select json_agg(json_build_object('own', h.peg_id is not null, 'kind', h.kind, 'distance', h.distance_mm,
                'text', h.text) order by h.id)
            from hazards h where h.venue_id = v.id and (h.peg_id is null or h.peg_id = p.id)
        ),
        'rules', (
            select json_agg(json_build_object('own', r.peg_id is not null, 'above', r.above_mm, 'below', r.below_mm,
                'effect', r.effect, 'text', r.text) order by r.id)
            from level_rules r where r.venue_id = v.id and (r.peg_id is null or r.peg_id = p.id)
        ),
        'closures', (
            select json_agg(json_build_object('own', k.from_peg_id is not null, 'from', extract(epoch from k.from_at) * 1000000,
                'to', extract(epoch from k.to_at) * 1000000, 'reason', k.reason) order by k.from_at)
            from closures k
            left join pegs a on a.id = k.from_peg_id
            left join pegs b on b.id = k.to_peg_id
            where k.venue_id = v.id and (k.to_at is null or k.to_at > now_at) and (k.from_peg_id is null
                or p.position between least(a.position, b.position) and greatest(a.position, b.position))
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

-- Rollups. The gauge's row is locked first, so that two writers of one hour take turns and the second
-- counts what the first wrote. A first import goes into tables that nobody has counted yet, which the planner
-- would read whole for every day; reading by the index is right for few hours and for many.
create function roll_up_levels(touched_gauge integer, hours timestamptz[]) returns void language plpgsql
    set enable_seqscan = off set jit = off as $$
begin
    perform from gauges where id = touched_gauge for no key update;

    with counted as (
        select h.hour, min(c.mm) as least, max(c.mm) as most, avg(c.mm) as mean, count(c.mm) as n
        from unnest(hours) as h(hour)
        left join lateral (
            select l.level_mm + z.offset_mm as mm
            from levels l
            join gauge_zeros z on z.id = l.zero_id
            where l.gauge_id = touched_gauge and l.at >= h.hour and l.at < h.hour + interval '1 hour'
              and l.level_mm is not null
              and not exists (select from levels n
                              where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
        ) c on true
        group by h.hour
    ), emptied as (
        delete from levels_hour d using counted c
        where d.gauge_id = touched_gauge and d.hour = c.hour and c.n = 0
    )
    insert into levels_hour (gauge_id, hour, least_mm, most_mm, mean_mm, readings)
    select touched_gauge, hour, least, most, mean, n from counted where n > 0
    on conflict (gauge_id, hour) do update
    set least_mm = excluded.least_mm, most_mm = excluded.most_mm,
        mean_mm = excluded.mean_mm, readings = excluded.readings;

    with counted as (
        select d.day, min(h.least_mm) as least, max(h.most_mm) as most,
               sum(h.mean_mm * h.readings) / sum(h.readings) as mean, sum(h.readings) as n
        from (select distinct date_trunc('day', hour, 'UTC') as day from unnest(hours) as t(hour)) d
        left join levels_hour h
          on h.gauge_id = touched_gauge and h.hour >= d.day and h.hour < d.day + interval '24 hours'
        group by d.day
    ), emptied as (
        delete from levels_day x using counted c
        where x.gauge_id = touched_gauge and x.day = c.day and c.n is null
    )
    insert into levels_day (gauge_id, day, least_mm, most_mm, mean_mm, readings, flood)
    select g.id, c.day, c.least, c.most, c.mean, c.n, coalesce(c.most > g.flood_mm, false)
    from counted c join gauges g on g.id = touched_gauge where c.n is not null
    on conflict (gauge_id, day) do update
    set least_mm = excluded.least_mm, most_mm = excluded.most_mm, mean_mm = excluded.mean_mm,
        readings = excluded.readings, flood = excluded.flood;
end $$;

create function roll_up_new_levels() returns trigger language plpgsql as $$
begin
    perform roll_up_levels(t.gauge_id, t.hours)
    from (select gauge_id, array_agg(distinct date_trunc('hour', at, 'UTC')) as hours
          from fresh group by gauge_id order by gauge_id) t;
    return null;
end $$;
create trigger levels_roll_up after insert on levels
    referencing new table as fresh for each statement execute function roll_up_new_levels();

create function roll_up_moved_zero() returns trigger language plpgsql as $$
begin
    perform roll_up_levels(new.gauge_id, t.hours)
    from (select array_agg(distinct date_trunc('hour', at, 'UTC')) as hours
          from levels where gauge_id = new.gauge_id and zero_id = new.id) t
    where t.hours is not null;
    return null;
end $$;
create trigger gauge_zeros_roll_up after update of offset_mm on gauge_zeros
    for each row execute function roll_up_moved_zero();

create function mark_flood_days() returns trigger language plpgsql as $$
begin
    update levels_day set flood = coalesce(most_mm > new.flood_mm, false) where gauge_id = new.id;
    return null;
end $$;
create trigger gauges_flood after update of flood_mm on gauges
    for each row execute function mark_flood_days();

commit;
