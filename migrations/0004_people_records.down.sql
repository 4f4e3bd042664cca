begin;

drop trigger pegs_refuse_gone on pegs;
drop trigger pegs_retire_code on pegs;
drop function refuse_gone_code();
drop function retire_peg_code();
drop table peg_codes_gone;
alter table fixtures drop column uid;
alter table club drop column tiles, drop column tiles_credit;
alter table pegs drop column lat, drop column lon;

drop table loggers;
drop table feeds;
drop table pictures;
drop table picture_data;
delete from notes where peg_id is null or hidden_at is not null or waits;
alter table notes drop column venue_id, drop column approved_at, drop column approved_by, drop column waits,
    drop column hidden_at, drop column hidden_by, drop column hidden_why, alter column peg_id set not null;
drop table incidents;
drop table looks;
alter table soundings drop column intake_id, drop column boil, drop column note, drop column odd;
alter table levels drop column intake_id;
drop table intake;
alter table venues drop column open;
alter table club drop column id, drop column epoch, drop column welfare, drop column incident_line;
drop table log;
drop table tries;
drop table invitations;
drop table ceremonies;
drop table passkeys;
alter table sessions drop column own_phone, drop column device;
drop trigger members_changed on members;
create constraint trigger members_changed after insert or update or delete on members
    deferrable initially deferred for each row execute function book_changed();
alter table members drop column sign_in, drop column password, drop column joined_at, drop column left_at, drop column seen_at,
    drop column consent, drop column consent_by, drop column consent_at;

delete from schema_steps where step = 4;

commit;
