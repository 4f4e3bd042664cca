begin;

create or replace function roll_up_levels(touched_gauge integer, hours timestamptz[]) returns void language plpgsql
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
drop index outings_at;
drop trigger gauges_changed on gauges;
create constraint trigger gauges_changed after insert or update or delete on gauges
    deferrable initially deferred for each row execute function book_changed();
alter table gauges drop column past;
drop table waiting_parts;
drop table waiting_tables;

drop trigger members_keep_removal on members;
drop function keep_removal();
drop table removals;
drop table backups;

drop index incidents_intake;
drop index looks_intake;
drop index soundings_intake;
drop index levels_intake;

drop trigger soundings_gone on soundings;
drop trigger soundings_changed on soundings;
create constraint trigger soundings_changed after insert or update or delete on soundings
    deferrable initially deferred for each row execute function book_changed();
drop function venue_book_changed();
drop table venue_revisions;

alter table levels_hour drop constraint levels_hour_pkey, add primary key (gauge_id, hour);
drop index soundings_supersedes;
alter table soundings add unique (supersedes);
drop index soundings_run;
create index soundings_run on soundings (run_id, at);

delete from schema_steps where step = 6;
alter table schema_steps drop column serves_from;

commit;
