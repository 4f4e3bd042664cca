package db

import (
	"context"
	"crypto/sha256"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// What may fail within tryWindow before one has to wait: of one account, and of one
// address, which a clubhouse full of members shares.
const (
	accountTries = 8
	addressTries = 40
	tryWindow    = 15 * time.Minute
	triesKept    = 24 * time.Hour
)

const tryWaitSQL = `
	select at from tries where key = $1 and at > $2 order by at desc, id desc offset $3 limit 1`

// BeginTry writes a try down before it is judged, so that many at once are counted, too,
// and gives its numbers. account is empty where a passkey is tried. It fails with
// club.TooMany, and the wait, where there were too many.
func (db *DB) BeginTry(ctx context.Context, account, address string, now time.Time) ([]int64, error) {
	keys := []struct {
		key  string
		most int
	}{{"account " + account, accountTries}, {"address " + address, addressTries}}
	if account == "" {
		keys = keys[1:]
	}
	var ids []int64
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `delete from tries where at < $1`, now.Add(-triesKept)); err != nil {
			return err
		}
		for _, k := range keys {
			id, err := beginTry(ctx, tx, k.key, k.most, now)
			if err != nil {
				return err
			}
			ids = append(ids, id)
		}
		return nil
	})
	return ids, told(err, "BeginTry")
}

func beginTry(ctx context.Context, tx pgx.Tx, name string, most int, now time.Time) (id int64, err error) {
	key := sha256.Sum256([]byte(name))
	if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock(hashtextextended(encode($1::bytea, 'hex'), 7))`, key[:]); err != nil {
		return 0, err
	}
	var at time.Time
	err = tx.QueryRow(ctx, tryWaitSQL, key[:], now.Add(-tryWindow), most-1).Scan(&at)
	if err == nil {
		return 0, club.ErrWait(at.Add(tryWindow).Sub(now))
	}
	if !errors.Is(err, pgx.ErrNoRows) {
		return 0, err
	}
	err = tx.QueryRow(ctx, `insert into tries (key, at) values ($1, $2) returning id`, key[:], now).Scan(&id)
	return id, err
}

// EndTry takes back a try that succeeded.
func (db *DB) EndTry(ctx context.Context, ids []int64) error {
	_, err := db.pool.Exec(ctx, `delete from tries where id = any($1)`, ids)
	return fail(err, "db.EndTry")
}

// Account gives whoever signs in by a name; the zero account where nobody does.
func (db *DB) Account(ctx context.Context, signIn string) (club.Account, error) {
	var a club.Account
	err := db.pool.QueryRow(ctx, `select id, coalesce(password, '') from members where sign_in = $1 and left_at is null`, signIn).Scan(&a.ID, &a.Password)
	if errors.Is(err, pgx.ErrNoRows) {
		return club.Account{}, nil
	}
	return a, fail(err, "db.Account")
}

// SignIn begins a session of somebody who has shown who they are. It fails with
// club.Forbidden for one who has left meanwhile, or whose password has changed.
func (db *DB) SignIn(ctx context.Context, a club.Account, s club.NewSession, now time.Time) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		var same bool
		err := tx.QueryRow(ctx, `select $2 = '' or password = $2 from members where id = $1 for share`, a.ID, a.Password).Scan(&same)
		if err != nil && !errors.Is(err, pgx.ErrNoRows) {
			return err
		}
		ok := false
		if same {
			ok, err = beginSession(ctx, tx, a.ID, s, now)
		}
		if err == nil && !ok {
			return club.Faultf(club.Forbidden, "That sign-in does not hold any more.")
		}
		return err
	})
	return told(err, "SignIn")
}

// SignOut ends a session. One that is none is ended already.
func (db *DB) SignOut(ctx context.Context, session []byte) error {
	_, err := db.pool.Exec(ctx, `delete from sessions where token_hash = $1`, session)
	return fail(err, "db.SignOut")
}

// KeepCeremony keeps what the second half of a passkey's making or use needs.
func (db *DB) KeepCeremony(ctx context.Context, id, data []byte, until, now time.Time) error {
	b := &pgx.Batch{}
	b.Queue(`delete from ceremonies where expires_at <= $1`, now)
	b.Queue(`insert into ceremonies (id, data, expires_at) values ($1, $2, $3)`, id, data, until)
	return fail(db.pool.SendBatch(ctx, b).Close(), "db.KeepCeremony")
}

// TakeCeremony gives it, once. It fails with club.Invalid where there is none.
func (db *DB) TakeCeremony(ctx context.Context, id []byte, now time.Time) ([]byte, error) {
	var data []byte
	err := db.pool.QueryRow(ctx, `delete from ceremonies where id = $1 and expires_at > $2 returning data`, id, now).Scan(&data)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, club.Faultf(club.Invalid, "That took too long. Begin again.")
	}
	return data, fail(err, "db.TakeCeremony")
}

// Passkey gives a passkey and whose it is, by its number. It fails with club.NotFound for
// one that is nobody's, or somebody's who has left.
func (db *DB) Passkey(ctx context.Context, id []byte) (club.Passkey, int64, error) {
	p, member := club.Passkey{ID: id}, int64(0)
	err := db.pool.QueryRow(ctx, `
		select k.credential, k.name, k.created_at, k.member_id from passkeys k join members m on m.id = k.member_id
		where k.credential_id = $1 and m.left_at is null`, id).Scan(&p.Credential, &p.Name, &p.Made, &member)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, 0, club.Faultf(club.NotFound, "This passkey is nobody's here.")
	}
	return p, member, fail(err, "db.Passkey")
}

// PasskeyUsed keeps what a passkey's use changed.
func (db *DB) PasskeyUsed(ctx context.Context, p club.Passkey, now time.Time) error {
	_, err := db.pool.Exec(ctx, `update passkeys set credential = $2, used_at = $3 where credential_id = $1`, p.ID, p.Credential, now)
	return fail(err, "db.PasskeyUsed")
}

func insertPasskey(ctx context.Context, tx pgx.Tx, member int64, p club.Passkey, now time.Time) error {
	_, err := tx.Exec(ctx, `insert into passkeys (credential_id, member_id, credential, name, created_at) values ($1, $2, $3, $4, $5)`,
		p.ID, member, p.Credential, p.Name, now)
	if unique(err, "passkeys_pkey") {
		return club.Faultf(club.Conflict, "This passkey is in use already.")
	}
	return err
}
