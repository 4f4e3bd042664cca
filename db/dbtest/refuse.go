package dbtest

// RefuseWrites are the statements after which a database refuses every write with a code
// of PostgreSQL's own errors, and reads go on: with 53100 it is as on a disk that is full.
// RestoreWrites ends it.
func RefuseWrites(code string) string {
	return `create function refuse() returns trigger language plpgsql as $$ begin raise exception 'refused' using errcode = '` + code + `'; end $$;
	do $$ declare t regclass; begin
		for t in select oid from pg_class where relnamespace = 'public'::regnamespace and relkind in ('r', 'p') and not relispartition loop
			execute format('create trigger a_refusal before insert or update or delete on %s for each statement execute function refuse()', t);
		end loop; end $$`
}

// RestoreWrites lets a database take writes again after RefuseWrites.
const RestoreWrites = `drop function refuse() cascade`
