begin;

drop trigger members_keep_removal on members;
drop function keep_removal();
drop table removals;
drop table backups;

delete from schema_steps where step = 6;
alter table schema_steps drop column serves_from;

commit;
