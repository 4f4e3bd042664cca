begin;
drop table notes, closures, level_rules, hazards, soundings, runs, pegs, venues,
    levels_day, levels_hour, levels, gauge_zeros, gauges, sessions, members, club, book_revision, schema_steps;
drop function peg_book, book_changed, keep_as_read, keep_peg_code, drop_private_notes, check_sounding_zero,
    roll_up_levels, roll_up_new_levels, roll_up_moved_zero, mark_flood_days;
commit;
