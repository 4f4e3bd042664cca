begin;

drop table river_notification;
drop table river_queue;
drop table river_leader;
drop table river_job;
drop function river_job_state_in_bitmask;
drop type river_job_state;
drop table river_migration;

delete from schema_steps where step = 5;

commit;
