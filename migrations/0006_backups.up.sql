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

commit;
