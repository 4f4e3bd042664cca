begin;

insert into schema_steps (step) values (6);

-- Programs of before a step may serve on while newer ones take their place, where the step says so.
alter table schema_steps add column serves_from integer check (serves_from between 1 and step);
update schema_steps set serves_from = step where step = 6;
alter table schema_steps add constraint schema_steps_says check (step < 6 or serves_from is not null);
comment on column schema_steps.serves_from is 'The oldest step whose programs can serve a database that has taken this one, and write to it; null, of steps 1 to 5: itself.';

create table backups (
    id       bigint generated always as identity primary key,
    kind     text not null check (kind in ('nightly', 'by hand')),
    began_at timestamptz not null,
    ended_at timestamptz not null default now(),
    file     text not null check (file <> ''),
    bytes    bigint not null default 0 check (bytes >= 0),
    why      text not null default '',
    copied   boolean,
    copy_why text not null default '',
    check (ended_at >= began_at)
);
comment on table backups is 'Backups that were made or tried, so that every server can say how old the last good one is.';
comment on column backups.file is 'Its name, without its folder.';
comment on column backups.why is 'What went wrong; empty: it is good.';
comment on column backups.copied is 'It lies in the second place, too; null: there is none.';
create index backups_kind on backups (kind, began_at desc);

-- Whoever is removed stays removed: a backup of before still has them.
create table removals (
    club_id      uuid not null,
    member_id    bigint not null,
    member_since timestamptz not null,
    removed_at   timestamptz not null default now(),
    primary key (club_id, member_id, member_since)
);
comment on table removals is 'Members who were removed, by their number alone, so that they are removed again from a backup that is put back.';
comment on column removals.member_since is 'When the member was made: a number may be given again after a backup is put back.';

create function keep_removal() returns trigger language plpgsql as $$
begin
    insert into removals (club_id, member_id, member_since)
    select id, old.id, old.created_at from club on conflict do nothing;
    return null;
end $$;
create trigger members_keep_removal after delete on members
    for each row execute function keep_removal();

-- Tables of levels that somebody sent and has not kept yet: any server shows them and keeps them. They go with
-- their sender's session, and within an hour or so.
create table waiting_tables (
    id         text primary key,
    gauge_id   integer not null references gauges on delete cascade,
    token_hash bytea not null references sessions on delete cascade,
    name       text not null,
    came_at    timestamptz not null,
    bytes      bigint not null default 0 check (bytes >= 0),
    whole      boolean not null default false
);
comment on column waiting_tables.token_hash is 'Of the sender''s session, which alone sees it.';
comment on column waiting_tables.name is 'As its sender calls it.';
comment on column waiting_tables.bytes is 'That came so far.';
create index waiting_tables_gauge on waiting_tables (gauge_id);
create index waiting_tables_session on waiting_tables (token_hash);

create table waiting_parts (
    table_id text not null references waiting_tables on delete cascade,
    n        integer not null check (n >= 0),
    data     bytea not null,
    primary key (table_id, n)
);
comment on column waiting_parts.data is 'The nth part of some hundred kilobytes, by zstd.';
alter table waiting_parts alter column data set storage external;

-- How a gauge went on before is remembered by each server, until this says that it was put right.
alter table gauges add column past bigint not null default 0;
comment on column gauges.past is 'Goes up when levels of hours ago come, or are put right.';
drop trigger gauges_changed on gauges;
create constraint trigger gauges_changed after insert or delete or update of slug, name, river, flood_mm, low_mm, high_mm on gauges
    deferrable initially deferred for each row execute function book_changed();
create index outings_at on outings (at);

-- As step 1 made it, with each hour and each day counted by itself, whatever the planner thinks of how many there are: it
-- read every hour of the gauge for the one day that a reading is of. And it tells of hours ago, and of those when pegs
-- were fished.
create or replace function roll_up_levels(touched_gauge integer, hours timestamptz[]) returns void language plpgsql
    set enable_seqscan = off set jit = off as $$
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

-- A sounding changes its own venue's book and no other's, so that a federation where one is written every second
-- does not read every book anew for it.
create table venue_revisions (
    venue_id integer primary key references venues on delete cascade,
    revision bigint not null default 1
);
comment on table venue_revisions is 'Goes up with every transaction that writes a sounding of the venue, as book_revision does with every other change of the book.';

create function venue_book_changed() returns trigger language plpgsql as $$
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
drop trigger soundings_changed on soundings;
create constraint trigger soundings_changed after insert or update on soundings
    deferrable initially deferred for each row execute function venue_book_changed();
create constraint trigger soundings_gone after delete on soundings
    deferrable initially deferred for each row execute function book_changed();

-- All that a sheet takes of a sounding, in the order it takes it: a run's lie far apart in the table, as they came.
drop index soundings_run;
create index soundings_run on soundings (run_id, at) include (id, withdrawn, zero_id, level_mm, depth_mm, pace_mmps, timed_ms);

-- Few supersede another, and every sounding that is read is looked up among those that do.
alter table soundings drop constraint soundings_supersedes_key;
create unique index soundings_supersedes on soundings (supersedes) where supersedes is not null;

-- Years of one gauge's hours lie among all the others'; what the sums read of them is in the index.
alter table levels_hour drop constraint levels_hour_pkey, add primary key (gauge_id, hour) include (mean_mm);

-- What is put right is looked for by the entry that wrote it, and so is what an entry leaves behind that goes.
create index levels_intake on levels (intake_id) where intake_id is not null;
create index soundings_intake on soundings (intake_id) where intake_id is not null;
create index looks_intake on looks (intake_id) where intake_id is not null;
create index incidents_intake on incidents (intake_id) where intake_id is not null;

commit;
