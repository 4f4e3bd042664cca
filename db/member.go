package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

const sessionMemberSQL = `
	select m.id, m.name, m.role from sessions s join members m on m.id = s.member_id
	where s.token_hash = $1 and s.expires_at > $2`

// queueMember adds to a page's own batch the look-up of who is asking. session is
// the hash of the token in the cookie; with none the member stays the zero one.
func queueMember(b *pgx.Batch, session []byte, now time.Time, m *club.Member) {
	if len(session) == 0 {
		return
	}
	b.Queue(sessionMemberSQL, session, now).QueryRow(func(row pgx.Row) error {
		err := row.Scan(&m.ID, &m.Name, &m.Role)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil // an old or a made-up session is a visitor
		}
		return err
	})
}

// Front reads the club and who is asking, which is all that a page of no water needs.
func (db *DB) Front(ctx context.Context, session []byte, now time.Time) (club.Club, club.Member, error) {
	var c club.Club
	var m club.Member
	b := &pgx.Batch{}
	queueMember(b, session, now, &m)
	b.Queue(`select ` + clubColumns + ` from club c`).QueryRow(func(row pgx.Row) error { return row.Scan(clubTargets(&c)...) })
	err := db.pool.SendBatch(ctx, b).Close()
	if errors.Is(err, pgx.ErrNoRows) {
		err = nil // no club yet
	}
	return c, m, fail(err, "db.Front")
}
