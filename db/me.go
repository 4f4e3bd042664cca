package db

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// Me reads a member's own page in one round trip; of a visitor nothing but the club.
func (db *DB) Me(ctx context.Context, session []byte, now time.Time) (club.MyView, error) {
	var v club.MyView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	b.Queue(memberLinesSQL+` where m.id = (select id from `+asking("$1", "$2")+` a)`, session, now).Query(func(rows pgx.Rows) error {
		found, err := scanMemberLines(rows)
		if len(found) > 0 {
			v.Mine = found[0]
		}
		return err
	})
	b.Queue(`
		select encode(s.token_hash, 'hex'), s.device, s.own_phone, s.token_hash = $1, s.created_at, s.expires_at
		from sessions s join `+asking("$1", "$2")+` a on a.id = s.member_id
		where s.expires_at > $2 order by s.created_at desc, 1`, session, now).Query(func(rows pgx.Rows) (err error) {
		v.Sessions, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.SessionLine])
		return err
	})
	b.Queue(`
		select k.credential_id, k.credential, k.name, k.created_at, coalesce(k.used_at, k.created_at)
		from passkeys k join `+asking("$1", "$2")+` a on a.id = k.member_id order by k.created_at, 1`, session, now).Query(func(rows pgx.Rows) (err error) {
		v.Passkeys, err = pgx.CollectRows(rows, pgx.RowToStructByPos[club.Passkey])
		return err
	})
	return v, fail(db.pool.SendBatch(ctx, b).Close(), "db.Me")
}

// MyAccount gives the account of whoever asks, to check their password against.
func (db *DB) MyAccount(ctx context.Context, session []byte, now time.Time) (club.Account, error) {
	var a club.Account
	err := db.pool.QueryRow(ctx, `select id, coalesce(password, '') from members where id = (select id from `+asking("$1", "$2")+` a)`, session, now).Scan(&a.ID, &a.Password)
	if errors.Is(err, pgx.ErrNoRows) {
		return a, club.ErrSignInFirst()
	}
	return a, fail(err, "db.MyAccount")
}

// SetPassword keeps a new password of whoever writes, and ends their other sessions. was
// is the one that was checked.
func (db *DB) SetPassword(ctx context.Context, who club.Writer, was, password string, now time.Time) error {
	err := db.asPerson(ctx, who, now, nil, func(p *person) error {
		n, err := p.do(ctx, `update members set password = $3 where id = $1 and coalesce(password, '') = $2`, p.id, was, password)
		if err == nil && n == 0 {
			err = club.Faultf(club.Conflict, "The password was changed meanwhile. Sign in again.")
		}
		if err != nil {
			return err
		}
		if _, err := p.do(ctx, `delete from sessions where member_id = $1 and token_hash <> $2`, p.id, who.Session); err != nil {
			return err
		}
		return logged(ctx, p.tx, p.id, "changed a password", "Their own; every other phone was signed out.")
	})
	return told(err, "SetPassword")
}

// EndSession ends one of the writer's own sessions, or with no number all but this one.
// It gives how many.
func (db *DB) EndSession(ctx context.Context, who club.Writer, id string, now time.Time) (int, error) {
	hash, err := hex.DecodeString(id)
	if err != nil {
		return 0, club.Faultf(club.NotFound, "There is no such phone.")
	}
	ended := int64(0)
	err = db.asPerson(ctx, who, now, nil, func(p *person) (err error) {
		if id == "" {
			ended, err = p.do(ctx, `delete from sessions where member_id = $1 and token_hash <> $2`, p.id, who.Session)
			return err
		}
		ended, err = p.do(ctx, `delete from sessions where member_id = $1 and token_hash = $2`, p.id, hash)
		if err == nil && ended == 0 {
			return club.Faultf(club.NotFound, "That phone is signed out already.")
		}
		return err
	})
	return int(ended), told(err, "EndSession")
}

// passkeysMost is how many passkeys one member may have.
const passkeysMost = 20

// AddPasskey keeps another passkey of the writer's.
func (db *DB) AddPasskey(ctx context.Context, who club.Writer, k club.Passkey, now time.Time) error {
	err := db.asPerson(ctx, who, now, nil, func(p *person) error {
		var n int
		if err := p.tx.QueryRow(ctx, `select count(*) from passkeys where member_id = $1`, p.id).Scan(&n); err != nil {
			return err
		}
		if n >= passkeysMost {
			return club.Faultf(club.Conflict, "You have %d passkeys already. Take one away first.", n)
		}
		if err := insertPasskey(ctx, p.tx, p.id, k, now); err != nil {
			return err
		}
		return logged(ctx, p.tx, p.id, "made a passkey", "")
	})
	return told(err, "AddPasskey")
}

// DropPasskey takes one of the writer's own passkeys away, but not their last way in.
func (db *DB) DropPasskey(ctx context.Context, who club.Writer, id string, now time.Time) error {
	key, err := hex.DecodeString(id)
	if err != nil {
		return club.Faultf(club.NotFound, "There is no such passkey.")
	}
	err = db.asPerson(ctx, who, now, nil, func(p *person) error {
		n, err := p.do(ctx, `delete from passkeys where member_id = $1 and credential_id = $2`, p.id, key)
		if err == nil && n == 0 {
			return club.Faultf(club.NotFound, "There is no such passkey.")
		}
		if err != nil {
			return err
		}
		var in bool
		err = p.tx.QueryRow(ctx, `select password is not null or exists (select from passkeys where member_id = $1) from members where id = $1`, p.id).Scan(&in)
		if err == nil && !in {
			return club.Faultf(club.Conflict, "That is your only way in. Choose a password first.")
		}
		if err != nil {
			return err
		}
		return logged(ctx, p.tx, p.id, "took a passkey away", "")
	})
	return told(err, "DropPasskey")
}

// myDataSQL is all that is kept on a member, as one JSON value, without what signs in.
const myDataSQL = `
	select json_build_object(
		'name', m.name, 'role', m.role, 'sign_in', m.sign_in, 'made_at', m.created_at, 'joined_at', m.joined_at, 'last_signed_in_at', m.seen_at,
		'has_password', m.password is not null, 'consent', m.consent, 'consent_noted_at', m.consent_at,
		'kit', (select kit from kits where member_id = m.id),
		'phones', (select coalesce(json_agg(json_build_object('device', device, 'own', own_phone, 'since', created_at, 'until', expires_at) order by created_at), '[]') from sessions where member_id = m.id),
		'passkeys', (select coalesce(json_agg(json_build_object('name', name, 'made_at', created_at, 'used_at', used_at) order by created_at), '[]') from passkeys where member_id = m.id),
		'levels', (select coalesce(json_agg(json_build_object('gauge', g.slug, 'at', l.at, 'level_mm', l.level_mm, 'written_at', l.written_at) order by l.at), '[]') from levels l join gauges g on g.id = l.gauge_id where l.by_member = m.id),
		'soundings', (select coalesce(json_agg(json_build_object('venue', v.slug, 'peg', p.label, 'run', r.name, 'at', s.at, 'level_mm', s.level_mm, 'depth_mm', s.depth_mm, 'pace_mmps', s.pace_mmps, 'note', s.note) order by s.at), '[]')
			from soundings s join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id where s.by_member = m.id),
		'looks', (select coalesce(json_agg(json_build_object('gauge', g.slug, 'at', x.at, 'colour', x.colour, 'temperature_dc', x.temperature_dc) order by x.at), '[]') from looks x join gauges g on g.id = x.gauge_id where x.by_member = m.id),
		'outings', (select coalesce(json_agg(json_build_object('venue', v.slug, 'peg', p.label, 'at', o.at) order by o.at), '[]') from outings o join pegs p on p.id = o.peg_id join venues v on v.id = p.venue_id where o.by_member = m.id),
		'notes', (select coalesce(json_agg(json_build_object('venue', coalesce(v.slug, w.slug), 'peg', p.label, 'at', n.at, 'text', n.text, 'private', n.private) order by n.at), '[]')
			from notes n left join pegs p on p.id = n.peg_id left join venues v on v.id = p.venue_id left join venues w on w.id = n.venue_id where n.author_id = m.id),
		'photographs', (select coalesce(json_agg(json_build_object('venue', v.slug, 'at', x.at, 'caption', x.caption, 'sha256', encode(x.hash, 'hex')) order by x.at), '[]') from pictures x join venues v on v.id = x.venue_id where x.by_member = m.id),
		'incidents', (select coalesce(json_agg(json_build_object('venue', v.slug, 'kind', x.kind, 'text', x.text, 'at', x.at) order by x.at), '[]') from incidents x join venues v on v.id = x.venue_id where x.by_member = m.id),
		'closures', (select coalesce(json_agg(json_build_object('venue', v.slug, 'reason', x.reason, 'from', x.from_at, 'set', coalesce(x.set_by = m.id, false), 'lifted', coalesce(x.lifted_by = m.id, false)) order by x.from_at), '[]') from closures x join venues v on v.id = x.venue_id where m.id in (x.set_by, x.lifted_by)),
		'sent', (select coalesce(json_agg(json_build_object('id', id, 'received_at', received_at, 'state', state, 'body_base64', encode(body, 'base64')) order by received_at), '[]') from intake where member_id = m.id),
		'log', (select coalesce(json_agg(json_build_object('at', at, 'what', what, 'about', about) order by id), '[]') from log where member_id = m.id)
	) from members m where m.id = (select id from `

// MyData gives all that is kept on whoever asks, as JSON.
func (db *DB) MyData(ctx context.Context, session []byte, now time.Time) (json.RawMessage, error) {
	var data json.RawMessage
	err := db.pool.QueryRow(ctx, myDataSQL+asking("$1", "$2")+` a)`, session, now).Scan(&data)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, club.ErrSignInFirst()
	}
	return data, fail(err, "db.MyData")
}
