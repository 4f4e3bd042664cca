package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// memberColumns are what memberTargets takes: of whoever asks, or of nobody.
const memberColumns = `coalesce(m.id, 0), coalesce(m.name, ''), coalesce(m.role, ''), coalesce(m.kit, ''), coalesce(m.welfare, '')`

// asking is who asks by a session, or nobody: somebody who has left has none. What
// stands for the session and for now comes in.
func asking(session, now string) string {
	return `(
		select m.id, m.name, m.role, k.kit, case when m.role = 'junior' then (select welfare from club) end as welfare
		from sessions s join members m on m.id = s.member_id
		left join kits k on k.member_id = m.id
		where s.token_hash = ` + session + ` and s.expires_at > ` + now + ` and m.left_at is null
	)`
}

// signedIn says whether a session is somebody's.
func signedIn(session, now string) string {
	return `exists (select from ` + asking(session, now) + ` m)`
}

// mayRead lets a visitor read only what of venues v the club has opened, in statements
// that have whoever asks as m.
const mayRead = `(v.open or m.id is not null)`

// memberTargets are where memberColumns are scanned to.
func memberTargets(m *club.Member) []any { return []any{&m.ID, &m.Name, &m.Role, &m.Kit, &m.Welfare} }

var sessionMemberSQL = `select ` + memberColumns + ` from ` + asking("$1", "$2") + ` m`

// queueMember adds to a page's own batch the look-up of who is asking. session is
// the hash of the token in the cookie; with none the member stays the zero one.
func queueMember(b *pgx.Batch, session []byte, now time.Time, m *club.Member) {
	if len(session) == 0 {
		return
	}
	b.Queue(sessionMemberSQL, session, now).QueryRow(func(row pgx.Row) error {
		err := row.Scan(memberTargets(m)...)
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
	return c, m, fail(db.reads(ctx).SendBatch(ctx, b).Close(), "db.Asker")
}
