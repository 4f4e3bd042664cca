-- What the steps make, as pg_dump 15 writes it. Written by LEVELPEG_UPDATE=1 go test ./migrations

CREATE TYPE public.river_job_state AS ENUM (
    'available',
    'cancelled',
    'completed',
    'discarded',
    'pending',
    'retryable',
    'running',
    'scheduled'
);

CREATE FUNCTION public.book_changed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    update book_revision set revision = revision + 1 where xmin <> pg_current_xact_id()::xid;
    return null;
end $$;

CREATE FUNCTION public.book_notes(peg integer, venue integer) RETURNS json
    LANGUAGE sql STABLE
    AS $$
    select json_agg(json_build_object('id', n.id, 'at', extract(epoch from n.at) * 1000000, 'by', coalesce(m.name, ''),
        'author', coalesce(m.id, 0), 'junior', coalesce(m.role = 'junior', false), 'text', n.text, 'low', n.low_mm, 'high', n.high_mm,
        'private', n.private, 'waits', n.waits, 'hidden', n.hidden_at is not null, 'why', n.hidden_why)
        order by n.at desc, n.id desc)
    from notes n left join members m on m.id = n.author_id
    where n.peg_id = peg or n.venue_id = venue
$$;

CREATE FUNCTION public.book_pictures(peg integer, venue integer) RETURNS json
    LANGUAGE sql STABLE
    AS $$
    select json_agg(json_build_object('id', p.id, 'at', extract(epoch from p.at) * 1000000, 'by', coalesce(m.name, ''),
        'author', coalesce(m.id, 0), 'junior', coalesce(m.role = 'junior', false), 'caption', p.caption,
        'hash', encode(p.hash, 'hex'), 'small', encode(p.small, 'hex'), 'width', d.width, 'height', d.height,
        'open', p.open, 'board', p.gauge_id is not null, 'waits', p.waits, 'hidden', p.hidden_at is not null, 'why', p.hidden_why)
        order by p.at desc, p.id desc)
    from (
        select * from pictures p
        where p.peg_id = peg or (p.venue_id = venue and p.peg_id is null)
        order by p.at desc, p.id desc limit 100
    ) p join picture_data d on d.hash = p.small
    left join members m on m.id = p.by_member
$$;

CREATE FUNCTION public.check_sounding_zero() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
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

CREATE FUNCTION public.drop_private_notes() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    delete from notes where author_id = old.id and private;
    return old;
end $$;

CREATE FUNCTION public.keep_as_read() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    if tg_op = 'UPDATE' and new.by_member is null
       and to_jsonb(new) - 'by_member' = to_jsonb(old) - 'by_member' then
        return new;
    end if;
    raise exception '% is append-only: write a correction instead', tg_table_name
        using errcode = 'restrict_violation';
end $$;

CREATE FUNCTION public.keep_peg_code() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    raise exception 'the code of a peg is permanent' using errcode = 'restrict_violation';
end $$;

CREATE FUNCTION public.keep_removal() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    insert into removals (club_id, member_id, member_since)
    select id, old.id, old.created_at from club on conflict do nothing;
    return null;
end $$;

CREATE FUNCTION public.mark_flood_days() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    update levels_day set flood = coalesce(most_mm > new.flood_mm, false) where gauge_id = new.id;
    return null;
end $$;

CREATE FUNCTION public.peg_book(peg integer, now_at timestamp with time zone) RETURNS json
    LANGUAGE sql STABLE
    AS $$
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
        'notes', book_notes(p.id, null),
        'pictures', book_pictures(p.id, null)
    )
    from club c, pegs p join venues v on v.id = p.venue_id
    where p.id = peg
$$;

CREATE FUNCTION public.refuse_gone_code() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    if exists (select from peg_codes_gone where code = new.code) then
        raise exception 'the code % was another peg''s', new.code using errcode = 'unique_violation';
    end if;
    return new;
end $$;

CREATE FUNCTION public.retire_peg_code() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    insert into peg_codes_gone (code) values (old.code) on conflict do nothing;
    return null;
end $$;

CREATE FUNCTION public.river_job_state_in_bitmask(bitmask bit, state public.river_job_state) RETURNS boolean
    LANGUAGE sql IMMUTABLE
    AS $$
    SELECT CASE state
        WHEN 'available' THEN get_bit(bitmask, 7)
        WHEN 'cancelled' THEN get_bit(bitmask, 6)
        WHEN 'completed' THEN get_bit(bitmask, 5)
        WHEN 'discarded' THEN get_bit(bitmask, 4)
        WHEN 'pending'   THEN get_bit(bitmask, 3)
        WHEN 'retryable' THEN get_bit(bitmask, 2)
        WHEN 'running'   THEN get_bit(bitmask, 1)
        WHEN 'scheduled' THEN get_bit(bitmask, 0)
        ELSE 0
    END = 1;
$$;

CREATE FUNCTION public.roll_up_levels(touched_gauge integer, hours timestamp with time zone[]) RETURNS void
    LANGUAGE plpgsql
    SET enable_seqscan TO 'off'
    SET jit TO 'off'
    AS $$
begin
    perform from gauges where id = touched_gauge for no key update;

    with counted as (
        select h.hour, c.*
        from (select distinct hour from unnest(hours) as t(hour)) h
        cross join lateral (
            select min(l.level_mm + z.offset_mm) as least, max(l.level_mm + z.offset_mm) as most, avg(l.level_mm + z.offset_mm) as mean, count(l.level_mm) as n
            from levels l
            join gauge_zeros z on z.id = l.zero_id
            where l.gauge_id = touched_gauge and l.at >= h.hour and l.at < h.hour + interval '1 hour'
              and l.level_mm is not null
              and not exists (select from levels n
                              where n.gauge_id = l.gauge_id and n.at = l.at and n.revision > l.revision)
        ) c
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
        select d.day, c.*
        from (select distinct date_trunc('day', hour, 'UTC') as day from unnest(hours) as t(hour)) d
        cross join lateral (
            select min(h.least_mm) as least, max(h.most_mm) as most,
                   sum(h.mean_mm * h.readings) / sum(h.readings) as mean, sum(h.readings) as n
            from levels_hour h
            where h.gauge_id = touched_gauge and h.hour >= d.day and h.hour < d.day + interval '24 hours'
        ) c
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

    -- What is remembered of how the gauge went on ends four hours before the present, and holds no more.
    update gauges set past = past + 1
    where id = touched_gauge and (select min(h) from unnest(hours) as t(h)) < now() - interval '3 hours';

    -- A peg's book says at what level it was fished. To set a column to what it is raises the book's revision.
    if exists (
        select from outings o join pegs p on p.id = o.peg_id join venues v on v.id = p.venue_id
        where v.gauge_id = touched_gauge and o.at >= (select min(h) from unnest(hours) as t(h))
          and o.at < (select max(h) from unnest(hours) as t(h)) + interval '1 hour'
          and date_trunc('hour', o.at, 'UTC') = any (hours)
    ) then
        update gauges set name = name where id = touched_gauge;
    end if;
end $$;

CREATE FUNCTION public.roll_up_moved_zero() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    perform roll_up_levels(new.gauge_id, t.hours)
    from (select array_agg(distinct date_trunc('hour', at, 'UTC')) as hours
          from levels where gauge_id = new.gauge_id and zero_id = new.id) t
    where t.hours is not null;
    return null;
end $$;

CREATE FUNCTION public.roll_up_new_levels() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    perform roll_up_levels(t.gauge_id, t.hours)
    from (select gauge_id, array_agg(distinct date_trunc('hour', at, 'UTC')) as hours
          from fresh group by gauge_id order by gauge_id) t;
    return null;
end $$;

CREATE FUNCTION public.run_soundings(run integer, most integer) RETURNS json
    LANGUAGE sql STABLE
    AS $$
    select json_agg(json_build_object('at', extract(epoch from s.at) * 1000000, 'level', s.level_mm + z.offset_mm,
        'depth', s.depth_mm, 'pace', s.pace_mmps, 'timed', s.timed_ms) order by s.at)
    from (
        select * from soundings s
        where s.run_id = run and not s.withdrawn
          and not exists (select from soundings n where n.supersedes = s.id)
        order by s.at desc limit most
    ) s join gauge_zeros z on z.id = s.zero_id
$$;

CREATE FUNCTION public.sweep_pictures() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
begin
    lock table picture_data in share row exclusive mode;
    delete from picture_data d where d.hash in (old.hash, old.small)
        and not exists (select from pictures p where p.hash = d.hash or p.small = d.hash);
    return null;
end $$;

CREATE FUNCTION public.venue_book_changed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
declare
    venue integer := (select p.venue_id from runs r join pegs p on p.id = r.peg_id where r.id = new.run_id);
begin
    if venue is null or exists (select from venue_revisions where venue_id = venue and xmin = pg_current_xact_id()::xid) then
        return null;
    end if;
    insert into venue_revisions (venue_id) values (venue)
    on conflict (venue_id) do update set revision = venue_revisions.revision + 1;
    return null;
end $$;

CREATE TABLE public.backups (
    id bigint NOT NULL,
    kind text NOT NULL,
    began_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone DEFAULT now() NOT NULL,
    file text NOT NULL,
    bytes bigint DEFAULT 0 NOT NULL,
    why text DEFAULT ''::text NOT NULL,
    copied boolean,
    copy_why text DEFAULT ''::text NOT NULL,
    CONSTRAINT backups_bytes_check CHECK ((bytes >= 0)),
    CONSTRAINT backups_check CHECK ((ended_at >= began_at)),
    CONSTRAINT backups_file_check CHECK ((file <> ''::text)),
    CONSTRAINT backups_kind_check CHECK ((kind = ANY (ARRAY['nightly'::text, 'by hand'::text])))
);

COMMENT ON TABLE public.backups IS 'Backups that were made or tried, so that every server can say how old the last good one is.';

COMMENT ON COLUMN public.backups.file IS 'Its name, without its folder.';

COMMENT ON COLUMN public.backups.why IS 'What went wrong; empty: it is good.';

COMMENT ON COLUMN public.backups.copied IS 'It lies in the second place, too; null: there is none.';

ALTER TABLE public.backups ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.backups_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.book_revision (
    only_row boolean DEFAULT true NOT NULL,
    revision bigint DEFAULT 1 NOT NULL,
    CONSTRAINT book_revision_only_row_check CHECK (only_row)
);

COMMENT ON TABLE public.book_revision IS 'Goes up with every transaction that changes the book (not its levels or sessions), so that a server can tell whether what it remembers of the book still holds.';

CREATE TABLE public.ceremonies (
    id bytea NOT NULL,
    member_id bigint,
    data jsonb NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    CONSTRAINT ceremonies_id_check CHECK ((octet_length(id) = 32))
);

COMMENT ON TABLE public.ceremonies IS 'A passkey being made or used, between its two requests. id is SHA-256 of what the cookie holds.';

CREATE TABLE public.closures (
    id integer NOT NULL,
    venue_id integer NOT NULL,
    from_peg_id integer,
    to_peg_id integer,
    from_at timestamp with time zone NOT NULL,
    to_at timestamp with time zone,
    reason text NOT NULL,
    set_at timestamp with time zone DEFAULT now() NOT NULL,
    set_by bigint,
    lifted_at timestamp with time zone,
    lifted_by bigint,
    CONSTRAINT closures_check CHECK (((from_peg_id IS NULL) = (to_peg_id IS NULL))),
    CONSTRAINT closures_check1 CHECK ((to_at > from_at)),
    CONSTRAINT closures_check2 CHECK (((lifted_by IS NULL) OR (lifted_at IS NOT NULL))),
    CONSTRAINT closures_reason_check CHECK ((reason <> ''::text))
);

COMMENT ON TABLE public.closures IS 'A peg, a span of pegs in order downstream, or (no pegs named) the venue, that nobody fishes for now.';

COMMENT ON COLUMN public.closures.to_at IS 'Null: until it is lifted.';

COMMENT ON COLUMN public.closures.lifted_at IS 'It no longer stands; null: it does, from from_at to to_at.';

ALTER TABLE public.closures ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.closures_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.club (
    only_row boolean DEFAULT true NOT NULL,
    name text NOT NULL,
    time_zone text NOT NULL,
    place text NOT NULL,
    demo boolean DEFAULT false NOT NULL,
    id uuid DEFAULT gen_random_uuid() NOT NULL,
    epoch uuid DEFAULT gen_random_uuid() NOT NULL,
    welfare text DEFAULT ''::text NOT NULL,
    incident_line text DEFAULT ''::text NOT NULL,
    tiles text DEFAULT ''::text NOT NULL,
    tiles_credit text DEFAULT ''::text NOT NULL,
    CONSTRAINT club_name_check CHECK ((name <> ''::text)),
    CONSTRAINT club_only_row_check CHECK (only_row),
    CONSTRAINT club_place_check CHECK ((place <> ''::text)),
    CONSTRAINT club_tiles_check CHECK ((octet_length(tiles) <= 500)),
    CONSTRAINT club_tiles_credit_check CHECK ((octet_length(tiles_credit) <= 500)),
    CONSTRAINT club_time_zone_check CHECK ((time_zone <> ''::text))
);

COMMENT ON TABLE public.club IS 'Settings: one database is one club.';

COMMENT ON COLUMN public.club.place IS 'Whose law the pages speak of, for example England.';

COMMENT ON COLUMN public.club.demo IS 'Made up by the demo, which alone may replace it.';

COMMENT ON COLUMN public.club.id IS 'Whose a phone''s entries are; a backup that is put back has the same.';

COMMENT ON COLUMN public.club.epoch IS 'Changes when a backup is put back, so that phones offer again what they sent since.';

COMMENT ON COLUMN public.club.welfare IS 'The welfare contact: name and how to reach them. Shown on juniors'' pages.';

COMMENT ON COLUMN public.club.incident_line IS 'The public body''s number for pollution, fish in distress and poaching.';

COMMENT ON COLUMN public.club.tiles IS 'Address of the map''s tiles with {z}, {x} and {y} in it; empty: the map is drawn without.';

COMMENT ON COLUMN public.club.tiles_credit IS 'What whoever makes the tiles asks to be said on the map.';

CREATE TABLE public.feeds (
    id integer NOT NULL,
    gauge_id integer NOT NULL,
    format text NOT NULL,
    address text NOT NULL,
    unit text DEFAULT 'm'::text NOT NULL,
    offset_mm integer DEFAULT 0 NOT NULL,
    zero_id integer NOT NULL,
    every_s integer DEFAULT 900 NOT NULL,
    columns jsonb DEFAULT '{}'::jsonb NOT NULL,
    acknowledge text DEFAULT ''::text NOT NULL,
    active boolean DEFAULT true NOT NULL,
    removed_at timestamp with time zone,
    etag text DEFAULT ''::text NOT NULL,
    modified text DEFAULT ''::text NOT NULL,
    due_at timestamp with time zone DEFAULT now() NOT NULL,
    tried_at timestamp with time zone,
    good_at timestamp with time zone,
    newest_at timestamp with time zone,
    failures integer DEFAULT 0 NOT NULL,
    why text DEFAULT ''::text NOT NULL,
    CONSTRAINT feeds_acknowledge_check CHECK ((octet_length(acknowledge) <= 2000)),
    CONSTRAINT feeds_address_check CHECK (((address ~ '^https?://'::text) AND (octet_length(address) <= 2000))),
    CONSTRAINT feeds_etag_check CHECK ((octet_length(etag) <= 1000)),
    CONSTRAINT feeds_every_s_check CHECK (((every_s >= 300) AND (every_s <= 86400))),
    CONSTRAINT feeds_failures_check CHECK ((failures >= 0)),
    CONSTRAINT feeds_format_check CHECK ((format = ANY (ARRAY['ea'::text, 'waterml2'::text, 'sensorthings'::text, 'csv'::text]))),
    CONSTRAINT feeds_modified_check CHECK ((octet_length(modified) <= 100)),
    CONSTRAINT feeds_offset_mm_check CHECK (((offset_mm >= '-20000'::integer) AND (offset_mm <= 20000))),
    CONSTRAINT feeds_unit_check CHECK ((unit = ANY (ARRAY['m'::text, 'cm'::text, 'mm'::text, 'ft'::text])))
);

COMMENT ON COLUMN public.feeds.offset_mm IS 'Added to what it says, after its unit, to be above the zero in zero_id. A board moved later does not move the station.';

COMMENT ON COLUMN public.feeds.columns IS 'Of CSV: which column is the time and which the level, and how its times are written.';

COMMENT ON COLUMN public.feeds.acknowledge IS 'What the licence asks to be said wherever its levels are shown.';

COMMENT ON COLUMN public.feeds.removed_at IS 'It is fetched no more. The row stays for its acknowledgement, because its levels do.';

COMMENT ON COLUMN public.feeds.due_at IS 'When to fetch it next: later and later while it fails.';

COMMENT ON COLUMN public.feeds.why IS 'Of the last fetch: a sentence, empty where all went well.';

ALTER TABLE public.feeds ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.feeds_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.fixtures (
    id integer NOT NULL,
    venue_id integer NOT NULL,
    name text NOT NULL,
    starts_at timestamp with time zone NOT NULL,
    ends_at timestamp with time zone NOT NULL,
    uid text,
    CONSTRAINT fixtures_check CHECK ((ends_at > starts_at)),
    CONSTRAINT fixtures_name_check CHECK ((btrim(name) <> ''::text)),
    CONSTRAINT fixtures_uid_check CHECK (((octet_length(uid) >= 1) AND (octet_length(uid) <= 255)))
);

COMMENT ON TABLE public.fixtures IS 'A match on the club''s calendar, all along a venue.';

COMMENT ON COLUMN public.fixtures.uid IS 'What a calendar it came from calls it, so that the same calendar read twice makes it once; null: it began here.';

ALTER TABLE public.fixtures ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.fixtures_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.gauge_zeros (
    id integer NOT NULL,
    gauge_id integer NOT NULL,
    valid_from timestamp with time zone NOT NULL,
    offset_mm integer NOT NULL,
    reason text DEFAULT ''::text NOT NULL,
    CONSTRAINT gauge_zeros_offset_mm_check CHECK (((offset_mm >= '-20000'::integer) AND (offset_mm <= 20000)))
);

COMMENT ON TABLE public.gauge_zeros IS 'A board moved or replaced starts a new zero. No bed moves for it.';

COMMENT ON COLUMN public.gauge_zeros.offset_mm IS 'Height of this zero above the gauge''s first zero.';

ALTER TABLE public.gauge_zeros ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.gauge_zeros_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.gauges (
    id integer NOT NULL,
    slug text NOT NULL,
    name text NOT NULL,
    river text NOT NULL,
    flood_mm integer,
    low_mm integer NOT NULL,
    high_mm integer NOT NULL,
    past bigint DEFAULT 0 NOT NULL,
    CONSTRAINT gauges_check CHECK ((low_mm < high_mm)),
    CONSTRAINT gauges_name_check CHECK ((name <> ''::text)),
    CONSTRAINT gauges_river_check CHECK ((river <> ''::text)),
    CONSTRAINT gauges_slug_check CHECK ((slug ~ '^[a-z0-9]+(-[a-z0-9]+)*$'::text))
);

COMMENT ON COLUMN public.gauges.flood_mm IS 'Level on the datum above which beds on this river are known to move; null where the club has not said.';

COMMENT ON COLUMN public.gauges.low_mm IS 'Low end of the board''s ordinary range, on the datum.';

COMMENT ON COLUMN public.gauges.high_mm IS 'High end of the board''s ordinary range, on the datum.';

COMMENT ON COLUMN public.gauges.past IS 'Goes up when levels of hours ago come, or are put right.';

ALTER TABLE public.gauges ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.gauges_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.hazards (
    id integer NOT NULL,
    venue_id integer NOT NULL,
    peg_id integer,
    kind text NOT NULL,
    distance_mm integer,
    text text NOT NULL,
    CONSTRAINT hazards_distance_mm_check CHECK ((distance_mm >= 0)),
    CONSTRAINT hazards_kind_check CHECK ((kind = ANY (ARRAY['power line'::text, 'deep edge'::text, 'slippery bank'::text, 'wading'::text, 'other'::text]))),
    CONSTRAINT hazards_text_check CHECK ((text <> ''::text))
);

COMMENT ON COLUMN public.hazards.peg_id IS 'Null: all along the venue.';

COMMENT ON COLUMN public.hazards.distance_mm IS 'How far from the peg; null where it is at the peg or not measured.';

ALTER TABLE public.hazards ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.hazards_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.incidents (
    id bigint NOT NULL,
    venue_id integer NOT NULL,
    peg_id integer,
    kind text NOT NULL,
    text text NOT NULL,
    at timestamp with time zone NOT NULL,
    by_member bigint,
    intake_id uuid,
    written_at timestamp with time zone DEFAULT now() NOT NULL,
    closed_at timestamp with time zone,
    closed_by bigint,
    CONSTRAINT incidents_kind_check CHECK ((kind = ANY (ARRAY['pollution'::text, 'fish in distress'::text, 'poaching'::text, 'other'::text]))),
    CONSTRAINT incidents_text_check CHECK ((text <> ''::text))
);

ALTER TABLE public.incidents ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.incidents_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.intake (
    id uuid NOT NULL,
    member_id bigint,
    form smallint NOT NULL,
    body bytea NOT NULL,
    received_at timestamp with time zone DEFAULT now() NOT NULL,
    claimed_at timestamp with time zone,
    state text DEFAULT 'received'::text NOT NULL,
    why text DEFAULT ''::text NOT NULL,
    result jsonb DEFAULT '{}'::jsonb NOT NULL,
    CONSTRAINT intake_body_check CHECK ((octet_length(body) <= 65536)),
    CONSTRAINT intake_form_check CHECK ((form > 0)),
    CONSTRAINT intake_state_check CHECK ((state = ANY (ARRAY['received'::text, 'in the book'::text, 'needs mending'::text])))
);

COMMENT ON COLUMN public.intake.id IS 'Made on the phone, so that what is sent twice is one.';

COMMENT ON COLUMN public.intake.form IS 'The version of the form it was written by.';

CREATE TABLE public.invitations (
    token_hash bytea NOT NULL,
    kind text NOT NULL,
    role text,
    member_id bigint,
    name text DEFAULT ''::text NOT NULL,
    made_by bigint,
    made_at timestamp with time zone DEFAULT now() NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    used_at timestamp with time zone,
    CONSTRAINT invitations_check CHECK (((kind <> 'reset'::text) OR (member_id IS NOT NULL))),
    CONSTRAINT invitations_check1 CHECK (((kind = 'reset'::text) OR (role IS NOT NULL))),
    CONSTRAINT invitations_kind_check CHECK ((kind = ANY (ARRAY['first'::text, 'join'::text, 'reset'::text]))),
    CONSTRAINT invitations_role_check CHECK ((role = ANY (ARRAY['secretary'::text, 'bailiff'::text, 'coach'::text, 'member'::text, 'junior'::text]))),
    CONSTRAINT invitations_token_hash_check CHECK ((octet_length(token_hash) = 32))
);

COMMENT ON TABLE public.invitations IS 'A link that lets somebody join, or set a new password, once.';

CREATE TABLE public.kits (
    member_id bigint NOT NULL,
    kit text NOT NULL,
    changed_at timestamp with time zone DEFAULT now() NOT NULL,
    CONSTRAINT kits_kit_check CHECK (((kit <> ''::text) AND (octet_length(kit) <= 4000)))
);

COMMENT ON TABLE public.kits IS 'What a member carries, in the form an address carries it in.';

CREATE TABLE public.level_rules (
    id integer NOT NULL,
    venue_id integer NOT NULL,
    peg_id integer,
    above_mm integer,
    below_mm integer,
    effect text NOT NULL,
    text text NOT NULL,
    to_peg_id integer,
    from_at timestamp with time zone,
    to_at timestamp with time zone,
    CONSTRAINT level_rules_check CHECK ((num_nonnulls(above_mm, below_mm) = 1)),
    CONSTRAINT level_rules_check1 CHECK (((to_peg_id IS NULL) OR (peg_id IS NOT NULL))),
    CONSTRAINT level_rules_check2 CHECK ((to_at > from_at)),
    CONSTRAINT level_rules_effect_check CHECK ((effect = ANY (ARRAY['no fishing'::text, 'caution'::text]))),
    CONSTRAINT level_rules_text_check CHECK ((text <> ''::text))
);

COMMENT ON COLUMN public.level_rules.above_mm IS 'Holds above this level on the datum.';

COMMENT ON COLUMN public.level_rules.below_mm IS 'Holds below this level on the datum.';

COMMENT ON COLUMN public.level_rules.to_peg_id IS 'The other end of a span of pegs that begins or ends with peg_id; null: peg_id alone.';

COMMENT ON COLUMN public.level_rules.from_at IS 'It speaks from then on; null: always has.';

COMMENT ON COLUMN public.level_rules.to_at IS 'It speaks until then; null: until it is taken away.';

ALTER TABLE public.level_rules ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.level_rules_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.levels (
    gauge_id integer NOT NULL,
    at timestamp with time zone NOT NULL,
    revision smallint DEFAULT 0 NOT NULL,
    zero_id integer NOT NULL,
    level_mm integer,
    source text NOT NULL,
    by_member bigint,
    written_at timestamp with time zone DEFAULT now() NOT NULL,
    intake_id uuid,
    CONSTRAINT levels_level_mm_check CHECK (((level_mm >= '-20000'::integer) AND (level_mm <= 50000))),
    CONSTRAINT levels_revision_check CHECK ((revision >= 0)),
    CONSTRAINT levels_source_check CHECK ((source = ANY (ARRAY['board'::text, 'station'::text])))
);

COMMENT ON TABLE public.levels IS 'Append-only. A correction is the same reading with a higher revision; the highest counts.';

COMMENT ON COLUMN public.levels.zero_id IS 'The zero the reading was taken on.';

COMMENT ON COLUMN public.levels.level_mm IS 'Above that zero. Null withdraws the reading.';

CREATE TABLE public.levels_day (
    gauge_id integer NOT NULL,
    day timestamp with time zone NOT NULL,
    least_mm integer NOT NULL,
    most_mm integer NOT NULL,
    mean_mm real NOT NULL,
    readings integer NOT NULL,
    flood boolean DEFAULT false NOT NULL,
    CONSTRAINT levels_day_readings_check CHECK ((readings > 0))
);

COMMENT ON TABLE public.levels_day IS 'Rollup of levels_hour by UTC day, on the datum, kept by a trigger on levels.';

COMMENT ON COLUMN public.levels_day.flood IS 'The most of the day is above the gauge''s flood_mm, so beds may have moved.';

CREATE TABLE public.levels_hour (
    gauge_id integer NOT NULL,
    hour timestamp with time zone NOT NULL,
    least_mm integer NOT NULL,
    most_mm integer NOT NULL,
    mean_mm real NOT NULL,
    readings integer NOT NULL,
    CONSTRAINT levels_hour_readings_check CHECK ((readings > 0))
);

COMMENT ON TABLE public.levels_hour IS 'Rollup of levels by UTC hour, on the datum, kept by a trigger on levels.';

CREATE TABLE public.log (
    id bigint NOT NULL,
    at timestamp with time zone DEFAULT now() NOT NULL,
    member_id bigint,
    what text NOT NULL,
    about text DEFAULT ''::text NOT NULL,
    detail jsonb DEFAULT '{}'::jsonb NOT NULL,
    CONSTRAINT log_what_check CHECK ((what <> ''::text))
);

COMMENT ON TABLE public.log IS 'Who did what, for the secretary. about is a sentence; detail is for programs and holds no personal data.';

ALTER TABLE public.log ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.log_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.loggers (
    token_hash bytea NOT NULL,
    gauge_id integer NOT NULL,
    name text NOT NULL,
    made_by bigint,
    made_at timestamp with time zone DEFAULT now() NOT NULL,
    used_at timestamp with time zone,
    revoked_at timestamp with time zone,
    CONSTRAINT loggers_name_check CHECK ((name <> ''::text)),
    CONSTRAINT loggers_token_hash_check CHECK ((octet_length(token_hash) = 32))
);

CREATE TABLE public.looks (
    id bigint NOT NULL,
    gauge_id integer NOT NULL,
    at timestamp with time zone NOT NULL,
    by_member bigint,
    colour text,
    temperature_dc smallint,
    intake_id uuid,
    written_at timestamp with time zone DEFAULT now() NOT NULL,
    CONSTRAINT looks_check CHECK ((num_nonnulls(colour, temperature_dc) > 0)),
    CONSTRAINT looks_colour_check CHECK ((colour = ANY (ARRAY['clear'::text, 'a tinge'::text, 'coloured'::text, 'thick'::text]))),
    CONSTRAINT looks_temperature_dc_check CHECK (((temperature_dc >= '-20'::integer) AND (temperature_dc <= 350)))
);

COMMENT ON TABLE public.looks IS 'What the water looked like at a board.';

ALTER TABLE public.looks ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.looks_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.members (
    id bigint NOT NULL,
    name text NOT NULL,
    role text NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    sign_in text,
    password text,
    joined_at timestamp with time zone,
    left_at timestamp with time zone,
    seen_at timestamp with time zone,
    consent text,
    consent_by bigint,
    consent_at timestamp with time zone,
    CONSTRAINT members_check CHECK (((consent IS NULL) = (consent_at IS NULL))),
    CONSTRAINT members_consent_check CHECK ((consent <> ''::text)),
    CONSTRAINT members_name_check CHECK ((name <> ''::text)),
    CONSTRAINT members_password_check CHECK ((password ~~ '$argon2id$%'::text)),
    CONSTRAINT members_role_check CHECK ((role = ANY (ARRAY['secretary'::text, 'bailiff'::text, 'coach'::text, 'member'::text, 'junior'::text]))),
    CONSTRAINT members_sign_in_check CHECK ((sign_in ~ '^[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]$'::text))
);

COMMENT ON COLUMN public.members.sign_in IS 'What they type to sign in; null: they never joined, or have left.';

COMMENT ON COLUMN public.members.password IS 'argon2id, encoded with its parameters; null: none was set.';

COMMENT ON COLUMN public.members.left_at IS 'They have left: they cannot sign in, and their readings stay.';

COMMENT ON COLUMN public.members.seen_at IS 'When they last signed in.';

COMMENT ON COLUMN public.members.consent IS 'Of a junior: whose consent was given, in the words of whoever noted it.';

ALTER TABLE public.members ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.members_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.notes (
    id bigint NOT NULL,
    peg_id integer,
    author_id bigint,
    at timestamp with time zone NOT NULL,
    text text NOT NULL,
    low_mm integer,
    high_mm integer,
    private boolean DEFAULT false NOT NULL,
    venue_id integer,
    approved_at timestamp with time zone,
    approved_by bigint,
    waits boolean DEFAULT false NOT NULL,
    hidden_at timestamp with time zone,
    hidden_by bigint,
    hidden_why text DEFAULT ''::text NOT NULL,
    CONSTRAINT notes_check CHECK ((low_mm <= high_mm)),
    CONSTRAINT notes_check1 CHECK (((NOT private) OR (author_id IS NOT NULL))),
    CONSTRAINT notes_check2 CHECK ((num_nonnulls(peg_id, venue_id) = 1)),
    CONSTRAINT notes_text_check CHECK ((text <> ''::text))
);

COMMENT ON COLUMN public.notes.low_mm IS 'The note holds from this level on the datum; null: from any.';

COMMENT ON COLUMN public.notes.high_mm IS 'The note holds up to this level on the datum; null: to any.';

COMMENT ON COLUMN public.notes.private IS 'Seen by its writer alone.';

COMMENT ON COLUMN public.notes.waits IS 'A junior''s, not approved yet: seen by its writer, coaches and above.';

ALTER TABLE public.notes ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.notes_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.outings (
    id bigint NOT NULL,
    peg_id integer NOT NULL,
    at timestamp with time zone NOT NULL,
    by_member bigint,
    colour text,
    temperature_dc smallint,
    written_at timestamp with time zone DEFAULT now() NOT NULL,
    CONSTRAINT outings_check CHECK ((at <= (written_at + '1 day'::interval))),
    CONSTRAINT outings_colour_check CHECK ((colour = ANY (ARRAY['clear'::text, 'a tinge'::text, 'coloured'::text, 'thick'::text]))),
    CONSTRAINT outings_temperature_dc_check CHECK (((temperature_dc >= '-20'::integer) AND (temperature_dc <= 350)))
);

COMMENT ON TABLE public.outings IS 'A peg was fished. Who by is kept for the club''s own count and shown to nobody else.';

COMMENT ON COLUMN public.outings.colour IS 'Of the water, in the words of anglers; null where nobody said.';

COMMENT ON COLUMN public.outings.temperature_dc IS 'Of the water, tenths of a degree Celsius; null where nobody measured it.';

ALTER TABLE public.outings ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.outings_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.passkeys (
    credential_id bytea NOT NULL,
    member_id bigint NOT NULL,
    credential jsonb NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    used_at timestamp with time zone,
    CONSTRAINT passkeys_credential_id_check CHECK (((octet_length(credential_id) >= 1) AND (octet_length(credential_id) <= 1023)))
);

CREATE TABLE public.peg_codes_gone (
    code text NOT NULL
);

COMMENT ON TABLE public.peg_codes_gone IS 'Codes of pegs that were taken away: a post may still carry them, so no other peg gets them.';

CREATE TABLE public.pegs (
    id integer NOT NULL,
    venue_id integer NOT NULL,
    code text NOT NULL,
    label text NOT NULL,
    "position" integer NOT NULL,
    bank text NOT NULL,
    bearing_deg smallint NOT NULL,
    reach text DEFAULT 'open'::text NOT NULL,
    access text DEFAULT ''::text NOT NULL,
    mark_height_mm integer NOT NULL,
    lat double precision,
    lon double precision,
    CONSTRAINT pegs_bank_check CHECK ((bank = ANY (ARRAY['left'::text, 'right'::text]))),
    CONSTRAINT pegs_bearing_deg_check CHECK (((bearing_deg >= 0) AND (bearing_deg <= 359))),
    CONSTRAINT pegs_check CHECK ((num_nonnulls(lat, lon) <> 1)),
    CONSTRAINT pegs_code_check CHECK ((code ~ '^[2-9A-HJKMNP-Z]{4,8}$'::text)),
    CONSTRAINT pegs_label_check CHECK ((label ~ '^[0-9A-Za-z]{1,8}$'::text)),
    CONSTRAINT pegs_lat_check CHECK (((lat >= ('-90'::integer)::double precision) AND (lat <= (90)::double precision))),
    CONSTRAINT pegs_lon_check CHECK (((lon >= ('-180'::integer)::double precision) AND (lon <= (180)::double precision))),
    CONSTRAINT pegs_position_check CHECK (("position" > 0)),
    CONSTRAINT pegs_reach_check CHECK ((reach = ANY (ARRAY['open'::text, 'past weir'::text])))
);

COMMENT ON COLUMN public.pegs.code IS 'Permanent; survives renumbering. Letters and digits that are not mistaken for each other.';

COMMENT ON COLUMN public.pegs.label IS 'What the post says.';

COMMENT ON COLUMN public.pegs."position" IS 'Order downstream, from 1.';

COMMENT ON COLUMN public.pegs.bank IS 'Looking downstream.';

COMMENT ON COLUMN public.pegs.bearing_deg IS 'Compass bearing the water flows towards.';

COMMENT ON COLUMN public.pegs.reach IS 'past weir: a weir or lock lies between the gauge and the peg, so its water follows the gauge loosely.';

COMMENT ON COLUMN public.pegs.mark_height_mm IS 'Height of the peg''s fixed mark on the gauge''s datum.';

COMMENT ON COLUMN public.pegs.lat IS 'Degrees north (WGS 84); null: nobody has said where it is.';

COMMENT ON COLUMN public.pegs.lon IS 'Degrees east (WGS 84).';

ALTER TABLE public.pegs ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.pegs_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.picture_data (
    hash bytea NOT NULL,
    kind text NOT NULL,
    width integer NOT NULL,
    height integer NOT NULL,
    data bytea NOT NULL,
    CONSTRAINT picture_data_hash_check CHECK ((octet_length(hash) = 32)),
    CONSTRAINT picture_data_height_check CHECK ((height > 0)),
    CONSTRAINT picture_data_kind_check CHECK ((kind = ANY (ARRAY['image/jpeg'::text, 'image/png'::text, 'image/webp'::text]))),
    CONSTRAINT picture_data_width_check CHECK ((width > 0))
);
ALTER TABLE ONLY public.picture_data ALTER COLUMN data SET STORAGE EXTERNAL;

COMMENT ON TABLE public.picture_data IS 'Photographs as they are shown, each once, by SHA-256 of its bytes. Position and all else that came with them is stripped.';

CREATE TABLE public.pictures (
    id bigint NOT NULL,
    hash bytea NOT NULL,
    small bytea NOT NULL,
    venue_id integer NOT NULL,
    peg_id integer,
    note_id bigint,
    gauge_id integer,
    caption text DEFAULT ''::text NOT NULL,
    at timestamp with time zone NOT NULL,
    by_member bigint,
    open boolean DEFAULT false NOT NULL,
    waits boolean DEFAULT false NOT NULL,
    hidden_at timestamp with time zone,
    hidden_by bigint,
    hidden_why text DEFAULT ''::text NOT NULL
);

COMMENT ON COLUMN public.pictures.gauge_id IS 'It is of this gauge''s board; the venue is the first that is read by it.';

COMMENT ON COLUMN public.pictures.open IS 'A visitor may see it; otherwise members only.';

ALTER TABLE public.pictures ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.pictures_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.removals (
    club_id uuid NOT NULL,
    member_id bigint NOT NULL,
    member_since timestamp with time zone NOT NULL,
    removed_at timestamp with time zone DEFAULT now() NOT NULL
);

COMMENT ON TABLE public.removals IS 'Members who were removed, by their number alone, so that they are removed again from a backup that is put back.';

COMMENT ON COLUMN public.removals.member_since IS 'When the member was made: a number may be given again after a backup is put back.';

CREATE TABLE public.river_job (
    id bigint NOT NULL,
    state public.river_job_state DEFAULT 'available'::public.river_job_state NOT NULL,
    attempt smallint DEFAULT 0 NOT NULL,
    max_attempts smallint DEFAULT 25 NOT NULL,
    attempted_at timestamp with time zone,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    finalized_at timestamp with time zone,
    scheduled_at timestamp with time zone DEFAULT now() NOT NULL,
    priority smallint DEFAULT 1 NOT NULL,
    args jsonb NOT NULL,
    attempted_by text[],
    errors jsonb[],
    kind text NOT NULL,
    metadata jsonb DEFAULT '{}'::jsonb NOT NULL,
    queue text DEFAULT 'default'::text NOT NULL,
    tags character varying(255)[] DEFAULT '{}'::character varying[] NOT NULL,
    unique_key bytea,
    unique_states bit(8),
    CONSTRAINT finalized_or_finalized_at_null CHECK ((((finalized_at IS NULL) AND (state <> ALL (ARRAY['cancelled'::public.river_job_state, 'completed'::public.river_job_state, 'discarded'::public.river_job_state]))) OR ((finalized_at IS NOT NULL) AND (state = ANY (ARRAY['cancelled'::public.river_job_state, 'completed'::public.river_job_state, 'discarded'::public.river_job_state]))))),
    CONSTRAINT kind_length CHECK (((char_length(kind) > 0) AND (char_length(kind) < 128))),
    CONSTRAINT max_attempts_is_positive CHECK ((max_attempts > 0)),
    CONSTRAINT priority_in_range CHECK (((priority >= 1) AND (priority <= 4))),
    CONSTRAINT queue_length CHECK (((char_length(queue) > 0) AND (char_length(queue) < 128)))
);

CREATE SEQUENCE public.river_job_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;

ALTER SEQUENCE public.river_job_id_seq OWNED BY public.river_job.id;

CREATE UNLOGGED TABLE public.river_leader (
    elected_at timestamp with time zone NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    leader_id text NOT NULL,
    name text DEFAULT 'default'::text NOT NULL,
    CONSTRAINT leader_id_length CHECK (((char_length(leader_id) > 0) AND (char_length(leader_id) < 128))),
    CONSTRAINT name_length CHECK ((name = 'default'::text))
);

CREATE TABLE public.river_migration (
    line text NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    CONSTRAINT line_length CHECK (((char_length(line) > 0) AND (char_length(line) < 128))),
    CONSTRAINT version_gte_1 CHECK ((version >= 1))
);

CREATE TABLE public.river_notification (
    id bigint NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    payload text NOT NULL,
    topic text NOT NULL,
    CONSTRAINT topic_length CHECK (((length(topic) > 0) AND (length(topic) < 128)))
);

CREATE SEQUENCE public.river_notification_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;

ALTER SEQUENCE public.river_notification_id_seq OWNED BY public.river_notification.id;

CREATE TABLE public.river_queue (
    name text NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    metadata jsonb DEFAULT '{}'::jsonb NOT NULL,
    paused_at timestamp with time zone,
    updated_at timestamp with time zone DEFAULT CURRENT_TIMESTAMP NOT NULL
);

CREATE TABLE public.runs (
    id integer NOT NULL,
    peg_id integer NOT NULL,
    name text NOT NULL,
    distance_mm integer NOT NULL,
    boil smallint DEFAULT 0 NOT NULL,
    steep_side boolean DEFAULT false NOT NULL,
    snaggy boolean DEFAULT false NOT NULL,
    bottom text DEFAULT ''::text NOT NULL,
    CONSTRAINT runs_boil_check CHECK (((boil >= 0) AND (boil <= 3))),
    CONSTRAINT runs_distance_mm_check CHECK (((distance_mm >= 0) AND (distance_mm <= 200000))),
    CONSTRAINT runs_name_check CHECK ((name <> ''::text))
);

COMMENT ON COLUMN public.runs.distance_mm IS 'Out from the peg''s fixed mark, not from the water''s edge, which moves.';

COMMENT ON COLUMN public.runs.boil IS 'How broken the water is: 0 smooth to 3 boily.';

ALTER TABLE public.runs ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.runs_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.schema_steps (
    step integer NOT NULL,
    taken_at timestamp with time zone DEFAULT now() NOT NULL,
    serves_from integer,
    CONSTRAINT schema_steps_check CHECK (((serves_from >= 1) AND (serves_from <= step))),
    CONSTRAINT schema_steps_says CHECK (((step < 6) OR (serves_from IS NOT NULL)))
);

COMMENT ON TABLE public.schema_steps IS 'Each migration writes its own number here inside its transaction, so that one cut short can be told from one that finished.';

COMMENT ON COLUMN public.schema_steps.serves_from IS 'The oldest step whose programs can serve a database that has taken this one, and write to it; null, of steps 1 to 5: itself.';

CREATE TABLE public.sessions (
    token_hash bytea NOT NULL,
    member_id bigint NOT NULL,
    created_at timestamp with time zone DEFAULT now() NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    own_phone boolean DEFAULT false NOT NULL,
    device text DEFAULT ''::text NOT NULL,
    CONSTRAINT sessions_check CHECK ((expires_at > created_at)),
    CONSTRAINT sessions_device_check CHECK ((octet_length(device) <= 200)),
    CONSTRAINT sessions_token_hash_check CHECK ((octet_length(token_hash) = 32))
);

COMMENT ON COLUMN public.sessions.token_hash IS 'SHA-256 of the token in the cookie; the token itself is never kept.';

COMMENT ON COLUMN public.sessions.own_phone IS 'The member calls the phone their own, so it stays signed in for 90 days.';

CREATE TABLE public.soundings (
    id bigint NOT NULL,
    run_id integer NOT NULL,
    zero_id integer NOT NULL,
    at timestamp with time zone NOT NULL,
    level_mm integer NOT NULL,
    depth_mm integer NOT NULL,
    pace_mmps integer,
    timed_ms integer,
    by_member bigint,
    written_at timestamp with time zone DEFAULT now() NOT NULL,
    supersedes bigint,
    withdrawn boolean DEFAULT false NOT NULL,
    intake_id uuid,
    boil smallint,
    note text DEFAULT ''::text NOT NULL,
    odd boolean DEFAULT false NOT NULL,
    CONSTRAINT soundings_boil_check CHECK (((boil >= 0) AND (boil <= 3))),
    CONSTRAINT soundings_check CHECK ((supersedes <> id)),
    CONSTRAINT soundings_check1 CHECK ((at <= (written_at + '1 day'::interval))),
    CONSTRAINT soundings_check2 CHECK (((pace_mmps IS NOT NULL) OR (timed_ms IS NULL))),
    CONSTRAINT soundings_check3 CHECK (((NOT withdrawn) OR (supersedes IS NOT NULL))),
    CONSTRAINT soundings_depth_mm_check CHECK (((depth_mm >= 10) AND (depth_mm <= 30000))),
    CONSTRAINT soundings_level_mm_check CHECK (((level_mm >= '-20000'::integer) AND (level_mm <= 50000))),
    CONSTRAINT soundings_pace_mmps_check CHECK (((pace_mmps >= 1) AND (pace_mmps <= 6000))),
    CONSTRAINT soundings_timed_ms_check CHECK (((timed_ms >= 1) AND (timed_ms <= 3600000)))
);

COMMENT ON TABLE public.soundings IS 'Append-only. A correction supersedes; one that is withdrawn says no more than that.';

COMMENT ON COLUMN public.soundings.zero_id IS 'The gauge''s zero in force at the time, which level_mm is above.';

COMMENT ON COLUMN public.soundings.pace_mmps IS 'Surface pace by timed float; null where it was not timed.';

COMMENT ON COLUMN public.soundings.timed_ms IS 'How long the float was timed for; under ten seconds is rough.';

COMMENT ON COLUMN public.soundings.odd IS 'It was unlike the others and its writer said it was right all the same.';

ALTER TABLE public.soundings ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.soundings_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.tries (
    key bytea NOT NULL,
    at timestamp with time zone DEFAULT now() NOT NULL,
    id bigint NOT NULL,
    CONSTRAINT tries_key_check CHECK ((octet_length(key) = 32))
);

COMMENT ON TABLE public.tries IS 'Failed sign-ins, by SHA-256 of an address or of an account, so that many are slowed down. Kept for a day.';

ALTER TABLE public.tries ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.tries_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.venue_revisions (
    venue_id integer NOT NULL,
    revision bigint DEFAULT 1 NOT NULL
);

COMMENT ON TABLE public.venue_revisions IS 'Goes up with every transaction that writes a sounding of the venue, as book_revision does with every other change of the book.';

CREATE TABLE public.venues (
    id integer NOT NULL,
    slug text NOT NULL,
    name text NOT NULL,
    river text NOT NULL,
    gauge_id integer NOT NULL,
    "position" integer NOT NULL,
    about text DEFAULT ''::text NOT NULL,
    access text DEFAULT ''::text NOT NULL,
    close_season boolean DEFAULT true NOT NULL,
    open boolean DEFAULT false NOT NULL,
    CONSTRAINT venues_name_check CHECK ((name <> ''::text)),
    CONSTRAINT venues_river_check CHECK ((river <> ''::text)),
    CONSTRAINT venues_slug_check CHECK ((slug ~ '^[a-z0-9]+(-[a-z0-9]+)*$'::text))
);

COMMENT ON COLUMN public.venues.gauge_id IS 'The gauge whose levels the venue''s pegs are read by.';

COMMENT ON COLUMN public.venues."position" IS 'Order on the club''s list.';

COMMENT ON COLUMN public.venues.close_season IS 'The statutory coarse close season on rivers holds here.';

COMMENT ON COLUMN public.venues.open IS 'A visitor may see it. Venues made from now on begin closed to visitors.';

ALTER TABLE public.venues ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.venues_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);

CREATE TABLE public.waiting_parts (
    table_id text NOT NULL,
    n integer NOT NULL,
    data bytea NOT NULL,
    CONSTRAINT waiting_parts_n_check CHECK ((n >= 0))
);
ALTER TABLE ONLY public.waiting_parts ALTER COLUMN data SET STORAGE EXTERNAL;

COMMENT ON COLUMN public.waiting_parts.data IS 'The nth part of some hundred kilobytes, by zstd.';

CREATE TABLE public.waiting_tables (
    id text NOT NULL,
    gauge_id integer NOT NULL,
    token_hash bytea NOT NULL,
    name text NOT NULL,
    came_at timestamp with time zone NOT NULL,
    bytes bigint DEFAULT 0 NOT NULL,
    whole boolean DEFAULT false NOT NULL,
    CONSTRAINT waiting_tables_bytes_check CHECK ((bytes >= 0))
);

COMMENT ON COLUMN public.waiting_tables.token_hash IS 'Of the sender''s session, which alone sees it.';

COMMENT ON COLUMN public.waiting_tables.name IS 'As its sender calls it.';

COMMENT ON COLUMN public.waiting_tables.bytes IS 'That came so far.';

ALTER TABLE ONLY public.river_job ALTER COLUMN id SET DEFAULT nextval('public.river_job_id_seq'::regclass);

ALTER TABLE ONLY public.river_notification ALTER COLUMN id SET DEFAULT nextval('public.river_notification_id_seq'::regclass);

ALTER TABLE ONLY public.backups
    ADD CONSTRAINT backups_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.book_revision
    ADD CONSTRAINT book_revision_pkey PRIMARY KEY (only_row);

ALTER TABLE ONLY public.ceremonies
    ADD CONSTRAINT ceremonies_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.club
    ADD CONSTRAINT club_pkey PRIMARY KEY (only_row);

ALTER TABLE ONLY public.feeds
    ADD CONSTRAINT feeds_gauge_id_address_key UNIQUE (gauge_id, address);

ALTER TABLE ONLY public.feeds
    ADD CONSTRAINT feeds_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.fixtures
    ADD CONSTRAINT fixtures_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.fixtures
    ADD CONSTRAINT fixtures_venue_id_uid_key UNIQUE (venue_id, uid);

ALTER TABLE ONLY public.gauge_zeros
    ADD CONSTRAINT gauge_zeros_gauge_id_id_key UNIQUE (gauge_id, id);

ALTER TABLE ONLY public.gauge_zeros
    ADD CONSTRAINT gauge_zeros_gauge_id_valid_from_key UNIQUE (gauge_id, valid_from);

ALTER TABLE ONLY public.gauge_zeros
    ADD CONSTRAINT gauge_zeros_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.gauges
    ADD CONSTRAINT gauges_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.gauges
    ADD CONSTRAINT gauges_slug_key UNIQUE (slug);

ALTER TABLE ONLY public.hazards
    ADD CONSTRAINT hazards_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.intake
    ADD CONSTRAINT intake_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.invitations
    ADD CONSTRAINT invitations_pkey PRIMARY KEY (token_hash);

ALTER TABLE ONLY public.kits
    ADD CONSTRAINT kits_pkey PRIMARY KEY (member_id);

ALTER TABLE ONLY public.level_rules
    ADD CONSTRAINT level_rules_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.levels_day
    ADD CONSTRAINT levels_day_pkey PRIMARY KEY (gauge_id, day);

ALTER TABLE ONLY public.levels_hour
    ADD CONSTRAINT levels_hour_pkey PRIMARY KEY (gauge_id, hour) INCLUDE (mean_mm);

ALTER TABLE ONLY public.levels
    ADD CONSTRAINT levels_pkey PRIMARY KEY (gauge_id, at, revision);

ALTER TABLE ONLY public.log
    ADD CONSTRAINT log_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.loggers
    ADD CONSTRAINT loggers_pkey PRIMARY KEY (token_hash);

ALTER TABLE ONLY public.looks
    ADD CONSTRAINT looks_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.members
    ADD CONSTRAINT members_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.members
    ADD CONSTRAINT members_sign_in_key UNIQUE (sign_in);

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.outings
    ADD CONSTRAINT outings_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.passkeys
    ADD CONSTRAINT passkeys_pkey PRIMARY KEY (credential_id);

ALTER TABLE ONLY public.peg_codes_gone
    ADD CONSTRAINT peg_codes_gone_pkey PRIMARY KEY (code);

ALTER TABLE ONLY public.pegs
    ADD CONSTRAINT pegs_code_key UNIQUE (code);

ALTER TABLE ONLY public.pegs
    ADD CONSTRAINT pegs_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.pegs
    ADD CONSTRAINT pegs_venue_id_id_key UNIQUE (venue_id, id);

ALTER TABLE ONLY public.pegs
    ADD CONSTRAINT pegs_venue_id_position_key UNIQUE (venue_id, "position") DEFERRABLE;

ALTER TABLE ONLY public.picture_data
    ADD CONSTRAINT picture_data_pkey PRIMARY KEY (hash);

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.removals
    ADD CONSTRAINT removals_pkey PRIMARY KEY (club_id, member_id, member_since);

ALTER TABLE ONLY public.river_job
    ADD CONSTRAINT river_job_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.river_leader
    ADD CONSTRAINT river_leader_pkey PRIMARY KEY (name);

ALTER TABLE ONLY public.river_migration
    ADD CONSTRAINT river_migration_pkey1 PRIMARY KEY (line, version);

ALTER TABLE ONLY public.river_notification
    ADD CONSTRAINT river_notification_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.river_queue
    ADD CONSTRAINT river_queue_pkey PRIMARY KEY (name);

ALTER TABLE ONLY public.runs
    ADD CONSTRAINT runs_peg_id_distance_mm_key UNIQUE (peg_id, distance_mm);

ALTER TABLE ONLY public.runs
    ADD CONSTRAINT runs_peg_id_name_key UNIQUE (peg_id, name);

ALTER TABLE ONLY public.runs
    ADD CONSTRAINT runs_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.schema_steps
    ADD CONSTRAINT schema_steps_pkey PRIMARY KEY (step);

ALTER TABLE ONLY public.sessions
    ADD CONSTRAINT sessions_pkey PRIMARY KEY (token_hash);

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.tries
    ADD CONSTRAINT tries_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.venue_revisions
    ADD CONSTRAINT venue_revisions_pkey PRIMARY KEY (venue_id);

ALTER TABLE ONLY public.venues
    ADD CONSTRAINT venues_pkey PRIMARY KEY (id);

ALTER TABLE ONLY public.venues
    ADD CONSTRAINT venues_slug_key UNIQUE (slug);

ALTER TABLE ONLY public.waiting_parts
    ADD CONSTRAINT waiting_parts_pkey PRIMARY KEY (table_id, n);

ALTER TABLE ONLY public.waiting_tables
    ADD CONSTRAINT waiting_tables_pkey PRIMARY KEY (id);

CREATE INDEX backups_kind ON public.backups USING btree (kind, began_at DESC);

CREATE INDEX ceremonies_expiry ON public.ceremonies USING btree (expires_at);

CREATE INDEX closures_lifted_by ON public.closures USING btree (lifted_by) WHERE (lifted_by IS NOT NULL);

CREATE INDEX closures_set_by ON public.closures USING btree (set_by) WHERE (set_by IS NOT NULL);

CREATE INDEX closures_venue ON public.closures USING btree (venue_id, from_at);

CREATE INDEX feeds_due ON public.feeds USING btree (due_at) WHERE (active AND (removed_at IS NULL));

CREATE INDEX feeds_zero ON public.feeds USING btree (gauge_id, zero_id);

CREATE INDEX fixtures_venue ON public.fixtures USING btree (venue_id, ends_at);

CREATE INDEX hazards_venue ON public.hazards USING btree (venue_id);

CREATE INDEX incidents_by_member ON public.incidents USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX incidents_closed_by ON public.incidents USING btree (closed_by) WHERE (closed_by IS NOT NULL);

CREATE INDEX incidents_intake ON public.incidents USING btree (intake_id) WHERE (intake_id IS NOT NULL);

CREATE INDEX incidents_venue ON public.incidents USING btree (venue_id, at DESC);

CREATE INDEX intake_member ON public.intake USING btree (member_id) WHERE (member_id IS NOT NULL);

CREATE INDEX intake_mending ON public.intake USING btree (received_at) WHERE (state = 'needs mending'::text);

CREATE INDEX invitations_made_by ON public.invitations USING btree (made_by) WHERE (made_by IS NOT NULL);

CREATE INDEX invitations_member ON public.invitations USING btree (member_id);

CREATE INDEX level_rules_venue ON public.level_rules USING btree (venue_id);

CREATE INDEX levels_by_member ON public.levels USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX levels_day_flood ON public.levels_day USING btree (gauge_id, day DESC) WHERE flood;

CREATE INDEX levels_intake ON public.levels USING btree (intake_id) WHERE (intake_id IS NOT NULL);

CREATE INDEX log_at ON public.log USING btree (at DESC);

CREATE INDEX log_member ON public.log USING btree (member_id) WHERE (member_id IS NOT NULL);

CREATE INDEX loggers_gauge ON public.loggers USING btree (gauge_id);

CREATE INDEX loggers_made_by ON public.loggers USING btree (made_by) WHERE (made_by IS NOT NULL);

CREATE INDEX looks_by_member ON public.looks USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX looks_gauge ON public.looks USING btree (gauge_id, at DESC);

CREATE INDEX looks_intake ON public.looks USING btree (intake_id) WHERE (intake_id IS NOT NULL);

CREATE INDEX members_consent_by ON public.members USING btree (consent_by) WHERE (consent_by IS NOT NULL);

CREATE INDEX notes_approved_by ON public.notes USING btree (approved_by) WHERE (approved_by IS NOT NULL);

CREATE INDEX notes_author ON public.notes USING btree (author_id);

CREATE INDEX notes_hidden_by ON public.notes USING btree (hidden_by) WHERE (hidden_by IS NOT NULL);

CREATE INDEX notes_peg ON public.notes USING btree (peg_id, at DESC);

CREATE INDEX notes_venue ON public.notes USING btree (venue_id, at DESC) WHERE (venue_id IS NOT NULL);

CREATE INDEX outings_at ON public.outings USING btree (at);

CREATE INDEX outings_by_member ON public.outings USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX outings_peg ON public.outings USING btree (peg_id, at DESC);

CREATE INDEX passkeys_member ON public.passkeys USING btree (member_id);

CREATE UNIQUE INDEX pegs_label ON public.pegs USING btree (venue_id, lower(label));

CREATE INDEX pictures_by_member ON public.pictures USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX pictures_gauge ON public.pictures USING btree (gauge_id) WHERE (gauge_id IS NOT NULL);

CREATE INDEX pictures_hash ON public.pictures USING btree (hash);

CREATE INDEX pictures_hidden_by ON public.pictures USING btree (hidden_by) WHERE (hidden_by IS NOT NULL);

CREATE INDEX pictures_note ON public.pictures USING btree (note_id) WHERE (note_id IS NOT NULL);

CREATE INDEX pictures_peg ON public.pictures USING btree (peg_id) WHERE (peg_id IS NOT NULL);

CREATE INDEX pictures_small ON public.pictures USING btree (small);

CREATE INDEX pictures_venue ON public.pictures USING btree (venue_id, at DESC);

CREATE INDEX river_job_args_index ON public.river_job USING gin (args);

CREATE INDEX river_job_kind ON public.river_job USING btree (kind);

CREATE INDEX river_job_metadata_index ON public.river_job USING gin (metadata);

CREATE INDEX river_job_prioritized_fetching_index ON public.river_job USING btree (state, queue, priority, scheduled_at, id);

CREATE INDEX river_job_state_and_finalized_at_index ON public.river_job USING btree (state, finalized_at) WHERE (finalized_at IS NOT NULL);

CREATE UNIQUE INDEX river_job_unique_idx ON public.river_job USING btree (unique_key) WHERE ((unique_key IS NOT NULL) AND (unique_states IS NOT NULL) AND public.river_job_state_in_bitmask(unique_states, state));

CREATE INDEX river_notification_created_at_idx ON public.river_notification USING btree (created_at);

CREATE INDEX river_notification_topic_id_idx ON public.river_notification USING btree (topic, id);

CREATE INDEX sessions_expiry ON public.sessions USING btree (expires_at);

CREATE INDEX sessions_member ON public.sessions USING btree (member_id);

CREATE INDEX soundings_by_member ON public.soundings USING btree (by_member) WHERE (by_member IS NOT NULL);

CREATE INDEX soundings_intake ON public.soundings USING btree (intake_id) WHERE (intake_id IS NOT NULL);

CREATE INDEX soundings_run ON public.soundings USING btree (run_id, at) INCLUDE (id, withdrawn, zero_id, level_mm, depth_mm, pace_mmps, timed_ms);

CREATE UNIQUE INDEX soundings_supersedes ON public.soundings USING btree (supersedes) WHERE (supersedes IS NOT NULL);

CREATE INDEX tries_at ON public.tries USING btree (at);

CREATE INDEX tries_key ON public.tries USING btree (key, at DESC);

CREATE INDEX waiting_tables_gauge ON public.waiting_tables USING btree (gauge_id);

CREATE INDEX waiting_tables_session ON public.waiting_tables USING btree (token_hash);

CREATE CONSTRAINT TRIGGER closures_changed AFTER INSERT OR DELETE OR UPDATE ON public.closures DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER club_changed AFTER INSERT OR DELETE OR UPDATE ON public.club DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER fixtures_changed AFTER INSERT OR DELETE OR UPDATE ON public.fixtures DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER gauge_zeros_changed AFTER INSERT OR DELETE OR UPDATE ON public.gauge_zeros DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER gauge_zeros_roll_up AFTER UPDATE OF offset_mm ON public.gauge_zeros FOR EACH ROW EXECUTE FUNCTION public.roll_up_moved_zero();

CREATE CONSTRAINT TRIGGER gauges_changed AFTER INSERT OR DELETE OR UPDATE OF slug, name, river, flood_mm, low_mm, high_mm ON public.gauges DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER gauges_flood AFTER UPDATE OF flood_mm ON public.gauges FOR EACH ROW EXECUTE FUNCTION public.mark_flood_days();

CREATE CONSTRAINT TRIGGER hazards_changed AFTER INSERT OR DELETE OR UPDATE ON public.hazards DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER level_rules_changed AFTER INSERT OR DELETE OR UPDATE ON public.level_rules DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER levels_keep BEFORE DELETE OR UPDATE ON public.levels FOR EACH ROW EXECUTE FUNCTION public.keep_as_read();

CREATE TRIGGER levels_roll_up AFTER INSERT ON public.levels REFERENCING NEW TABLE AS fresh FOR EACH STATEMENT EXECUTE FUNCTION public.roll_up_new_levels();

CREATE CONSTRAINT TRIGGER members_changed AFTER INSERT OR DELETE OR UPDATE OF name, role ON public.members DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER members_drop_private BEFORE DELETE ON public.members FOR EACH ROW EXECUTE FUNCTION public.drop_private_notes();

CREATE TRIGGER members_keep_removal AFTER DELETE ON public.members FOR EACH ROW EXECUTE FUNCTION public.keep_removal();

CREATE CONSTRAINT TRIGGER notes_changed AFTER INSERT OR DELETE OR UPDATE ON public.notes DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER outings_changed AFTER INSERT OR DELETE OR UPDATE ON public.outings DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER pegs_changed AFTER INSERT OR DELETE OR UPDATE ON public.pegs DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER pegs_keep_code BEFORE UPDATE OF code ON public.pegs FOR EACH ROW WHEN ((new.code <> old.code)) EXECUTE FUNCTION public.keep_peg_code();

CREATE TRIGGER pegs_refuse_gone BEFORE INSERT ON public.pegs FOR EACH ROW EXECUTE FUNCTION public.refuse_gone_code();

CREATE TRIGGER pegs_retire_code AFTER DELETE ON public.pegs FOR EACH ROW EXECUTE FUNCTION public.retire_peg_code();

CREATE CONSTRAINT TRIGGER pictures_changed AFTER INSERT OR DELETE OR UPDATE ON public.pictures DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER pictures_sweep AFTER DELETE ON public.pictures FOR EACH ROW EXECUTE FUNCTION public.sweep_pictures();

CREATE CONSTRAINT TRIGGER runs_changed AFTER INSERT OR DELETE OR UPDATE ON public.runs DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE CONSTRAINT TRIGGER soundings_changed AFTER INSERT OR UPDATE ON public.soundings DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.venue_book_changed();

CREATE CONSTRAINT TRIGGER soundings_gone AFTER DELETE ON public.soundings DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

CREATE TRIGGER soundings_keep BEFORE DELETE OR UPDATE ON public.soundings FOR EACH ROW EXECUTE FUNCTION public.keep_as_read();

CREATE TRIGGER soundings_zero BEFORE INSERT ON public.soundings FOR EACH ROW EXECUTE FUNCTION public.check_sounding_zero();

CREATE CONSTRAINT TRIGGER venues_changed AFTER INSERT OR DELETE OR UPDATE ON public.venues DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.book_changed();

ALTER TABLE ONLY public.ceremonies
    ADD CONSTRAINT ceremonies_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_lifted_by_fkey FOREIGN KEY (lifted_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_set_by_fkey FOREIGN KEY (set_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_venue_id_from_peg_id_fkey FOREIGN KEY (venue_id, from_peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.closures
    ADD CONSTRAINT closures_venue_id_to_peg_id_fkey FOREIGN KEY (venue_id, to_peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.feeds
    ADD CONSTRAINT feeds_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.feeds
    ADD CONSTRAINT feeds_gauge_id_zero_id_fkey FOREIGN KEY (gauge_id, zero_id) REFERENCES public.gauge_zeros(gauge_id, id);

ALTER TABLE ONLY public.fixtures
    ADD CONSTRAINT fixtures_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.gauge_zeros
    ADD CONSTRAINT gauge_zeros_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.hazards
    ADD CONSTRAINT hazards_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.hazards
    ADD CONSTRAINT hazards_venue_id_peg_id_fkey FOREIGN KEY (venue_id, peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_closed_by_fkey FOREIGN KEY (closed_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_intake_id_fkey FOREIGN KEY (intake_id) REFERENCES public.intake(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.incidents
    ADD CONSTRAINT incidents_venue_id_peg_id_fkey FOREIGN KEY (venue_id, peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.intake
    ADD CONSTRAINT intake_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.invitations
    ADD CONSTRAINT invitations_made_by_fkey FOREIGN KEY (made_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.invitations
    ADD CONSTRAINT invitations_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.kits
    ADD CONSTRAINT kits_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.level_rules
    ADD CONSTRAINT level_rules_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.level_rules
    ADD CONSTRAINT level_rules_venue_id_peg_id_fkey FOREIGN KEY (venue_id, peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.level_rules
    ADD CONSTRAINT level_rules_venue_id_to_peg_id_fkey FOREIGN KEY (venue_id, to_peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.levels
    ADD CONSTRAINT levels_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.levels_day
    ADD CONSTRAINT levels_day_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.levels
    ADD CONSTRAINT levels_gauge_id_zero_id_fkey FOREIGN KEY (gauge_id, zero_id) REFERENCES public.gauge_zeros(gauge_id, id);

ALTER TABLE ONLY public.levels_hour
    ADD CONSTRAINT levels_hour_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.levels
    ADD CONSTRAINT levels_intake_id_fkey FOREIGN KEY (intake_id) REFERENCES public.intake(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.log
    ADD CONSTRAINT log_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.loggers
    ADD CONSTRAINT loggers_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.loggers
    ADD CONSTRAINT loggers_made_by_fkey FOREIGN KEY (made_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.looks
    ADD CONSTRAINT looks_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.looks
    ADD CONSTRAINT looks_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.looks
    ADD CONSTRAINT looks_intake_id_fkey FOREIGN KEY (intake_id) REFERENCES public.intake(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.members
    ADD CONSTRAINT members_consent_by_fkey FOREIGN KEY (consent_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_approved_by_fkey FOREIGN KEY (approved_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_author_id_fkey FOREIGN KEY (author_id) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_hidden_by_fkey FOREIGN KEY (hidden_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_peg_id_fkey FOREIGN KEY (peg_id) REFERENCES public.pegs(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.notes
    ADD CONSTRAINT notes_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.outings
    ADD CONSTRAINT outings_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.outings
    ADD CONSTRAINT outings_peg_id_fkey FOREIGN KEY (peg_id) REFERENCES public.pegs(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.passkeys
    ADD CONSTRAINT passkeys_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.pegs
    ADD CONSTRAINT pegs_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_hash_fkey FOREIGN KEY (hash) REFERENCES public.picture_data(hash);

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_hidden_by_fkey FOREIGN KEY (hidden_by) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_note_id_fkey FOREIGN KEY (note_id) REFERENCES public.notes(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_small_fkey FOREIGN KEY (small) REFERENCES public.picture_data(hash);

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.pictures
    ADD CONSTRAINT pictures_venue_id_peg_id_fkey FOREIGN KEY (venue_id, peg_id) REFERENCES public.pegs(venue_id, id) ON DELETE CASCADE;

ALTER TABLE ONLY public.runs
    ADD CONSTRAINT runs_peg_id_fkey FOREIGN KEY (peg_id) REFERENCES public.pegs(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.sessions
    ADD CONSTRAINT sessions_member_id_fkey FOREIGN KEY (member_id) REFERENCES public.members(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_by_member_fkey FOREIGN KEY (by_member) REFERENCES public.members(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_intake_id_fkey FOREIGN KEY (intake_id) REFERENCES public.intake(id) ON DELETE SET NULL;

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_run_id_fkey FOREIGN KEY (run_id) REFERENCES public.runs(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_supersedes_fkey FOREIGN KEY (supersedes) REFERENCES public.soundings(id);

ALTER TABLE ONLY public.soundings
    ADD CONSTRAINT soundings_zero_id_fkey FOREIGN KEY (zero_id) REFERENCES public.gauge_zeros(id);

ALTER TABLE ONLY public.venue_revisions
    ADD CONSTRAINT venue_revisions_venue_id_fkey FOREIGN KEY (venue_id) REFERENCES public.venues(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.venues
    ADD CONSTRAINT venues_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id);

ALTER TABLE ONLY public.waiting_parts
    ADD CONSTRAINT waiting_parts_table_id_fkey FOREIGN KEY (table_id) REFERENCES public.waiting_tables(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.waiting_tables
    ADD CONSTRAINT waiting_tables_gauge_id_fkey FOREIGN KEY (gauge_id) REFERENCES public.gauges(id) ON DELETE CASCADE;

ALTER TABLE ONLY public.waiting_tables
    ADD CONSTRAINT waiting_tables_token_hash_fkey FOREIGN KEY (token_hash) REFERENCES public.sessions(token_hash) ON DELETE CASCADE;
