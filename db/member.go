package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const sessionMemberSQL = `
	select m.id, m.name, m.role, coalesce(k.kit, '') from sessions s join members m on m.id = s.member_id
	left join kits k on k.member_id = m.id
	where s.token_hash = $1 and s.expires_at > $2`

// queueMember adds to a page's own batch the look-up of who is asking. session is
// the hash of the token in the cookie; with none the member stays the zero one.
func queueMember(b *pgx.Batch, session []byte, now time.Time, m *club.Member) {
	if len(session) == 0 {
		return
	}
	b.Queue(sessionMemberSQL, session, now).QueryRow(func(row pgx.Row) error {
		err := row.Scan(&m.ID, &m.Name, &m.Role, &m.Kit)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil // an old or a made-up session is a visitor
		}
		return err
	})
}

// Asker reads the club and who is asking, in one round trip. The member is the zero
// one for a visitor.
func (db *DB) Asker(ctx context.Context, session []byte, now time.Time) (club.Club, club.Member, error) {
	var c club.Club
	var m club.Member
	b := &pgx.Batch{}
	queueMember(b, session, now, &m)
	queueClub(b, &c)
	return c, m, fail(db.pool.SendBatch(ctx, b).Close(), "db.Asker")
}
