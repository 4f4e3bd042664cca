package db

import (
	"context"
	"time"

	"levelpeg/club"
)

const saveKitSQL = `
	insert into kits (member_id, kit, changed_at)
	select m.id, $3, $2 from sessions s join members m on m.id = s.member_id
	where s.token_hash = $1 and s.expires_at > $2
	on conflict (member_id) do update set kit = excluded.kit, changed_at = excluded.changed_at`

const forgetKitSQL = `
	delete from kits k using sessions s
	where s.token_hash = $1 and s.expires_at > $2 and k.member_id = s.member_id`

// SaveKit keeps the kit of the session's member in place of the one before; an empty
// code forgets it. It fails with club.NotFound where the session is nobody's, unless
// there is nothing to keep.
func (db *DB) SaveKit(ctx context.Context, session []byte, code string, now time.Time) error {
	if code == "" {
		_, err := db.pool.Exec(ctx, forgetKitSQL, session, now)
		return fail(err, "db.SaveKit")
	}
	done, err := db.pool.Exec(ctx, saveKitSQL, session, now, code)
	if err == nil && done.RowsAffected() == 0 {
		return club.Faultf(club.NotFound, "You are no longer signed in.")
	}
	return fail(err, "db.SaveKit")
}
