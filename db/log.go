package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// logged writes down what a member did, in the transaction that did it; member 0 is
// whoever runs the server. about is a sentence that names no other member.
func logged(ctx context.Context, tx pgx.Tx, member int64, what, about string) error {
	return loggedWhom(ctx, tx, member, what, about, 0)
}

// loggedWhom is logged, of what was done to another member. Their number is kept and not
// their name, so that nothing is left of one who is removed.
func loggedWhom(ctx context.Context, tx pgx.Tx, member int64, what, about string, whom int64) error {
	_, err := tx.Exec(ctx, `
		insert into log (member_id, what, about, detail)
		values (nullif($1::bigint, 0), $2, $3, case when $4::bigint = 0 then '{}' else jsonb_build_object('member', $4::bigint) end)`,
		member, what, about, whom)
	return err
}

const logSQL = `
	select l.id, l.at, coalesce(l.member_id, 0), coalesce(m.name, ''), l.what, l.about, coalesce(w.name, '')
	from log l left join members m on m.id = l.member_id
	left join members w on w.id = (l.detail ->> 'member')::bigint
	where ($1 = 0 or l.id < $1) and ($2 = 0 or l.member_id = $2 or l.detail -> 'member' = to_jsonb($2::bigint)) and ($3 = '' or l.what = $3)
	order by l.id desc limit $4`

// Log reads a page of the log, in one round trip. Who asks is the caller's to judge.
func (db *DB) Log(ctx context.Context, ask club.LogAsk, session []byte, now time.Time) (club.LogView, error) {
	var v club.LogView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	b.Queue(logSQL, ask.Before, ask.Member, ask.What, club.LogPage+1).Query(func(rows pgx.Rows) (err error) {
		v.Lines, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.LogLine])
		return err
	})
	b.Queue(`select distinct what from log order by what`).Query(func(rows pgx.Rows) (err error) {
		v.Whats, err = pgx.CollectRows(rows, pgx.RowTo[string])
		return err
	})
	b.Queue(memberLinesSQL + ` order by lower(m.name), m.id`).Query(func(rows pgx.Rows) (err error) {
		v.Members, err = scanMemberLines(rows)
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	if v.Older = len(v.Lines) > club.LogPage; v.Older {
		v.Lines = v.Lines[:club.LogPage]
	}
	return v, fail(err, "db.Log")
}
