package db

import (
	"context"
	"errors"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"levelpeg/club"
)

// peopleLock keeps writes about members one behind the other, so that each sees what the
// one before left: how many secretaries there are, and whether a link was used.
const peopleLock = `select pg_advisory_xact_lock(71083701)`

// person is a write about people under way, by somebody who may.
type person struct {
	tx   pgx.Tx
	id   int64 // 0 for whoever runs the program on the machine
	role club.Role
	now  time.Time
}

// asPerson does a write about people in one transaction with the look whether the writer
// has one of the roles; no roles are everyone who is signed in.
func (db *DB) asPerson(ctx context.Context, who club.Writer, now time.Time, roles []club.Role, do func(*person) error) error {
	return pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, peopleLock); err != nil {
			return err
		}
		p := &person{tx: tx, now: now}
		if err := p.check(ctx, who, roles); err != nil {
			return err
		}
		return do(p)
	})
}

func (p *person) check(ctx context.Context, who club.Writer, roles []club.Role) error {
	if who.OnMachine {
		return nil
	}
	err := p.tx.QueryRow(ctx, `
		select m.id, m.role from sessions s join members m on m.id = s.member_id
		where s.token_hash = $1 and s.expires_at > $2 and m.left_at is null for share of s, m`, who.Session, p.now).Scan(&p.id, &p.role)
	switch {
	case errors.Is(err, pgx.ErrNoRows) && len(roles) == 0:
		return club.ErrSignInFirst()
	case errors.Is(err, pgx.ErrNoRows), err == nil && len(roles) > 0 && !slices.Contains(roles, p.role):
		return club.ErrOnly(roles...)
	}
	return err
}

func (p *person) do(ctx context.Context, query string, args ...any) (int64, error) {
	tag, err := p.tx.Exec(ctx, query, args...)
	return tag.RowsAffected(), err
}

// told wraps what a write ended with; a sentence stays one.
func told(err error, what string) error {
	var f *club.Fault
	if errors.As(err, &f) {
		return err
	}
	return fail(err, "db.%s", what)
}

// unique says whether a statement failed for a name that is somebody's.
func unique(err error, constraint string) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && pg.Code == "23505" && pg.ConstraintName == constraint
}

func nullIfEmpty(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// beginSession writes a session in, and when its member was seen. What has run out goes
// at the same time. It gives false for somebody who has left.
func beginSession(ctx context.Context, tx pgx.Tx, member int64, s club.NewSession, now time.Time) (bool, error) {
	if _, err := tx.Exec(ctx, `delete from sessions where expires_at <= $1`, now); err != nil {
		return false, err
	}
	tag, err := tx.Exec(ctx, `
		with m as (update members set seen_at = $2 where id = $1 and left_at is null returning id)
		insert into sessions (token_hash, member_id, created_at, expires_at, own_phone, device)
		select $3, id, $2, $4, $5, $6 from m`, member, now, s.Hash, now.Add(s.For()), s.Own, s.Device)
	return tag.RowsAffected() == 1, err
}
