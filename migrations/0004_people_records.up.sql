begin;

insert into schema_steps (step) values (4);

-- People. A member signs in by name and password or by a passkey; a junior has a short display name and nothing else.
alter table members
    add column sign_in text unique check (sign_in ~ '^[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]$'),
    add column password text check (password like '$argon2id$%'),
    add column joined_at timestamptz,
    add column left_at timestamptz,
    add column seen_at timestamptz,
    add column consent text check (consent <> ''),
    add column consent_by bigint references members on delete set null,
    add column consent_at timestamptz,
    add check ((consent is null) = (consent_at is null));
comment on column members.sign_in is 'What they type to sign in; null: they never joined, or have left.';
comment on column members.password is 'argon2id, encoded with its parameters; null: none was set.';
comment on column members.left_at is 'They have left: they cannot sign in, and their readings stay.';
comment on column members.seen_at is 'When they last signed in.';
comment on column members.consent is 'Of a junior: whose consent was given, in the words of whoever noted it.';
create index members_consent_by on members (consent_by) where consent_by is not null;
-- Of a member the book shows name and role: signing in changes nothing that is remembered.
drop trigger members_changed on members;
create constraint trigger members_changed after insert or delete or update of name, role on members
    deferrable initially deferred for each row execute function book_changed();

alter table sessions
    add column own_phone boolean not null default false,
    add column device text not null default '' check (octet_length(device) <= 200);
comment on column sessions.own_phone is 'The member calls the phone their own, so it stays signed in for 90 days.';

create table passkeys (
    credential_id bytea primary key check (octet_length(credential_id) between 1 and 1023),
    member_id     bigint not null references members on delete cascade,
    credential    jsonb not null,
    name          text not null default '',
    created_at    timestamptz not null default now(),
    used_at       timestamptz
);
create index passkeys_member on passkeys (member_id);

create table ceremonies (
    id         bytea primary key check (octet_length(id) = 32),
    member_id  bigint references members on delete cascade,
    data       jsonb not null,
    expires_at timestamptz not null
);
comment on table ceremonies is 'A passkey being made or used, between its two requests. id is SHA-256 of what the cookie holds.';
create index ceremonies_expiry on ceremonies (expires_at);

create table invitations (
    token_hash bytea primary key check (octet_length(token_hash) = 32),
    kind       text not null check (kind in ('first', 'join', 'reset')),
    role       text check (role in ('secretary', 'bailiff', 'coach', 'member', 'junior')),
    member_id  bigint references members on delete cascade,
    name       text not null default '',
    made_by    bigint references members on delete set null,
    made_at    timestamptz not null default now(),
    expires_at timestamptz not null,
    used_at    timestamptz,
    check (kind <> 'reset' or member_id is not null),
    check (kind = 'reset' or role is not null)
);
comment on table invitations is 'A link that lets somebody join, or set a new password, once.';
create index invitations_member on invitations (member_id);
create index invitations_made_by on invitations (made_by) where made_by is not null;

create table tries (
    key  bytea not null check (octet_length(key) = 32),
    at   timestamptz not null default now(),
    id   bigint generated always as identity primary key
);
comment on table tries is 'Failed sign-ins, by SHA-256 of an address or of an account, so that many are slowed down. Kept for a day.';
create index tries_key on tries (key, at desc);
create index tries_at on tries (at);

create table log (
    id        bigint generated always as identity primary key,
    at        timestamptz not null default now(),
    member_id bigint references members on delete set null,
    what      text not null check (what <> ''),
    about     text not null default '',
    detail    jsonb not null default '{}'
);
comment on table log is 'Who did what, for the secretary. about is a sentence; detail is for programs and holds no personal data.';
create index log_at on log (at desc);
create index log_member on log (member_id) where member_id is not null;

-- The club.
alter table club
    add column id uuid not null default gen_random_uuid(),
    add column epoch uuid not null default gen_random_uuid(),
    add column welfare text not null default '',
    add column incident_line text not null default '';
comment on column club.id is 'Whose a phone''s entries are; a backup that is put back has the same.';
comment on column club.epoch is 'Changes when a backup is put back, so that phones offer again what they sent since.';
comment on column club.welfare is 'The welfare contact: name and how to reach them. Shown on juniors'' pages.';
comment on column club.incident_line is 'The public body''s number for pollution, fish in distress and poaching.';

alter table venues
    add column open boolean not null default true;
alter table venues
    alter column open set default false;
comment on column venues.open is 'A visitor may see it. Venues made from now on begin closed to visitors.';

-- Writing things down. What a phone sends is kept as it came before it is judged.
create table intake (
    id          uuid primary key,
    member_id   bigint references members on delete set null,
    form        smallint not null check (form > 0),
    body        bytea not null check (octet_length(body) <= 65536),
    received_at timestamptz not null default now(),
    claimed_at  timestamptz,
    state       text not null default 'received' check (state in ('received', 'in the book', 'needs mending')),
    why         text not null default '',
    result      jsonb not null default '{}'
);
comment on column intake.id is 'Made on the phone, so that what is sent twice is one.';
comment on column intake.form is 'The version of the form it was written by.';
create index intake_member on intake (member_id) where member_id is not null;
create index intake_mending on intake (received_at) where state = 'needs mending';

alter table levels
    add column intake_id uuid references intake on delete set null;
alter table soundings
    add column intake_id uuid references intake on delete set null,
    add column boil smallint check (boil between 0 and 3),
    add column note text not null default '',
    add column odd boolean not null default false;
comment on column soundings.odd is 'It was unlike the others and its writer said it was right all the same.';

create table looks (
    id             bigint generated always as identity primary key,
    gauge_id       integer not null references gauges on delete cascade,
    at             timestamptz not null,
    by_member      bigint references members on delete set null,
    colour         text check (colour in ('clear', 'a tinge', 'coloured', 'thick')),
    temperature_dc smallint check (temperature_dc between -20 and 350),
    intake_id      uuid references intake on delete set null,
    written_at     timestamptz not null default now(),
    check (num_nonnulls(colour, temperature_dc) > 0)
);
comment on table looks is 'What the water looked like at a board.';
create index looks_gauge on looks (gauge_id, at desc);
create index looks_by_member on looks (by_member) where by_member is not null;

create table incidents (
    id         bigint generated always as identity primary key,
    venue_id   integer not null references venues on delete cascade,
    peg_id     integer,
    kind       text not null check (kind in ('pollution', 'fish in distress', 'poaching', 'other')),
    text       text not null check (text <> ''),
    at         timestamptz not null,
    by_member  bigint references members on delete set null,
    intake_id  uuid references intake on delete set null,
    written_at timestamptz not null default now(),
    closed_at  timestamptz,
    closed_by  bigint references members on delete set null,
    foreign key (venue_id, peg_id) references pegs (venue_id, id) on delete cascade
);
create index incidents_venue on incidents (venue_id, at desc);
create index incidents_by_member on incidents (by_member) where by_member is not null;
create index incidents_closed_by on incidents (closed_by) where closed_by is not null;

-- Notes on a venue as well, in Markdown; a junior's waits to be approved.
alter table notes
    alter column peg_id drop not null,
    add column venue_id integer references venues on delete cascade,
    add column approved_at timestamptz,
    add column approved_by bigint references members on delete set null,
    add column waits boolean not null default false,
    add column hidden_at timestamptz,
    add column hidden_by bigint references members on delete set null,
    add column hidden_why text not null default '',
    add check (num_nonnulls(peg_id, venue_id) = 1);
comment on column notes.waits is 'A junior''s, not approved yet: seen by its writer, coaches and above.';
create index notes_venue on notes (venue_id, at desc) where venue_id is not null;
create index notes_approved_by on notes (approved_by) where approved_by is not null;
create index notes_hidden_by on notes (hidden_by) where hidden_by is not null;

create table picture_data (
    hash   bytea primary key check (octet_length(hash) = 32),
    kind   text not null check (kind in ('image/jpeg', 'image/png', 'image/webp')),
    width  integer not null check (width > 0),
    height integer not null check (height > 0),
    data   bytea not null
);
alter table picture_data alter column data set storage external;
comment on table picture_data is 'Photographs as they are shown, each once, by SHA-256 of its bytes. Position and all else that came with them is stripped.';

create table pictures (
    id         bigint generated always as identity primary key,
    hash       bytea not null references picture_data,
    small      bytea not null references picture_data,
    venue_id   integer not null references venues on delete cascade,
    peg_id     integer,
    note_id    bigint references notes on delete cascade,
    gauge_id   integer references gauges on delete cascade,
    caption    text not null default '',
    at         timestamptz not null,
    by_member  bigint references members on delete set null,
    open       boolean not null default false,
    waits      boolean not null default false,
    hidden_at  timestamptz,
    hidden_by  bigint references members on delete set null,
    hidden_why text not null default '',
    foreign key (venue_id, peg_id) references pegs (venue_id, id) on delete cascade
);
comment on column pictures.gauge_id is 'It is of this gauge''s board; the venue is the first that is read by it.';
comment on column pictures.open is 'A visitor may see it; otherwise members only.';
create index pictures_hash on pictures (hash);
create index pictures_small on pictures (small);
create index pictures_venue on pictures (venue_id, at desc);
create index pictures_peg on pictures (peg_id) where peg_id is not null;
create index pictures_note on pictures (note_id) where note_id is not null;
create index pictures_gauge on pictures (gauge_id) where gauge_id is not null;
create index pictures_by_member on pictures (by_member) where by_member is not null;
create index pictures_hidden_by on pictures (hidden_by) where hidden_by is not null;

-- The photographs are part of the book that a server remembers.
create constraint trigger pictures_changed after insert or update or delete on pictures
    deferrable initially deferred for each row execute function book_changed();

-- A photograph that nothing shows any more goes. The lock makes it take turns with whoever keeps the same one just then.
create function sweep_pictures() returns trigger language plpgsql as $$
begin
    lock table picture_data in share row exclusive mode;
    delete from picture_data d where d.hash in (old.hash, old.small)
        and not exists (select from pictures p where p.hash = d.hash or p.small = d.hash);
    return null;
end $$;
create trigger pictures_sweep after delete on pictures
    for each row execute function sweep_pictures();

-- Notes of a peg or of a venue, newest first, everybody's: who may see which is for the reader to tell by what comes
-- with them. A name that a visitor must not see comes with 'junior'.
create function book_notes(peg integer, venue integer) returns json language sql stable as $$
    select json_agg(json_build_object('id', n.id, 'at', extract(epoch from n.at) * 1000000, 'by', coalesce(m.name, ''),
        'author', coalesce(m.id, 0), 'junior', coalesce(m.role = 'junior', false), 'text', n.text, 'low', n.low_mm, 'high', n.high_mm,
        'private', n.private, 'waits', n.waits, 'hidden', n.hidden_at is not null, 'why', n.hidden_why)
        order by n.at desc, n.id desc)
    from notes n left join members m on m.id = n.author_id
    where n.peg_id = peg or n.venue_id = venue
$$;

-- The same of the newest hundred photographs; with no peg those of the venue itself.
create function book_pictures(peg integer, venue integer) returns json language sql stable as $$
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

-- As step 3 made it, with the photographs, and of each note its number and whether it waits or is hidden.
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
        'notes', book_notes(p.id, null),
        'pictures', book_pictures(p.id, null)
    )
    from club c, pegs p join venues v on v.id = p.venue_id
    where p.id = peg
$$;

-- Levels from elsewhere.
create table feeds (
    id            integer generated always as identity primary key,
    gauge_id      integer not null references gauges on delete cascade,
    format        text not null check (format in ('ea', 'waterml2', 'sensorthings', 'csv')),
    address       text not null check (address ~ '^https?://' and octet_length(address) <= 2000),
    unit          text not null default 'm' check (unit in ('m', 'cm', 'mm', 'ft')),
    offset_mm     integer not null default 0 check (offset_mm between -20000 and 20000),
    zero_id       integer not null,
    every_s       integer not null default 900 check (every_s between 300 and 86400),
    columns       jsonb not null default '{}',
    acknowledge   text not null default '' check (octet_length(acknowledge) <= 2000),
    active        boolean not null default true,
    removed_at    timestamptz,
    etag          text not null default '' check (octet_length(etag) <= 1000),
    modified      text not null default '' check (octet_length(modified) <= 100),
    due_at        timestamptz not null default now(),
    tried_at      timestamptz,
    good_at       timestamptz,
    newest_at     timestamptz,
    failures      integer not null default 0 check (failures >= 0),
    why           text not null default '',
    unique (gauge_id, address),
    foreign key (gauge_id, zero_id) references gauge_zeros (gauge_id, id)
);
comment on column feeds.offset_mm is 'Added to what it says, after its unit, to be above the zero in zero_id. A board moved later does not move the station.';
comment on column feeds.columns is 'Of CSV: which column is the time and which the level, and how its times are written.';
comment on column feeds.acknowledge is 'What the licence asks to be said wherever its levels are shown.';
comment on column feeds.removed_at is 'It is fetched no more. The row stays for its acknowledgement, because its levels do.';
comment on column feeds.due_at is 'When to fetch it next: later and later while it fails.';
comment on column feeds.why is 'Of the last fetch: a sentence, empty where all went well.';
create index feeds_zero on feeds (gauge_id, zero_id);
create index feeds_due on feeds (due_at) where active and removed_at is null;

create table loggers (
    token_hash bytea primary key check (octet_length(token_hash) = 32),
    gauge_id   integer not null references gauges on delete cascade,
    name       text not null check (name <> ''),
    made_by    bigint references members on delete set null,
    made_at    timestamptz not null default now(),
    used_at    timestamptz,
    revoked_at timestamptz
);
create index loggers_gauge on loggers (gauge_id);
create index loggers_made_by on loggers (made_by) where made_by is not null;

-- Setting up. Where a peg is, tiles for the map, and codes that are never given twice.
alter table pegs
    add column lat double precision check (lat between -90 and 90),
    add column lon double precision check (lon between -180 and 180),
    add check (num_nonnulls(lat, lon) <> 1);
comment on column pegs.lat is 'Degrees north (WGS 84); null: nobody has said where it is.';
comment on column pegs.lon is 'Degrees east (WGS 84).';

alter table club
    add column tiles text not null default '' check (octet_length(tiles) <= 500),
    add column tiles_credit text not null default '' check (octet_length(tiles_credit) <= 500);
comment on column club.tiles is 'Address of the map''s tiles with {z}, {x} and {y} in it; empty: the map is drawn without.';
comment on column club.tiles_credit is 'What whoever makes the tiles asks to be said on the map.';

alter table fixtures
    add column uid text check (octet_length(uid) between 1 and 255),
    add unique (venue_id, uid);
comment on column fixtures.uid is 'What a calendar it came from calls it, so that the same calendar read twice makes it once; null: it began here.';

create table peg_codes_gone (
    code text primary key
);
comment on table peg_codes_gone is 'Codes of pegs that were taken away: a post may still carry them, so no other peg gets them.';
create function retire_peg_code() returns trigger language plpgsql as $$
begin
    insert into peg_codes_gone (code) values (old.code) on conflict do nothing;
    return null;
end $$;
create trigger pegs_retire_code after delete on pegs
    for each row execute function retire_peg_code();
create function refuse_gone_code() returns trigger language plpgsql as $$
begin
    if exists (select from peg_codes_gone where code = new.code) then
        raise exception 'the code % was another peg''s', new.code using errcode = 'unique_violation';
    end if;
    return new;
end $$;
create trigger pegs_refuse_gone before insert on pegs
    for each row execute function refuse_gone_code();

commit;
