package db

import (
	"context"
	"encoding/hex"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// joinedSecretary says whether the club has a secretary who can sign in.
const joinedSecretary = `exists (
	select from members m where m.role = 'secretary' and m.left_at is null
	  and (m.password is not null or exists (select from passkeys k where k.member_id = m.id)))`

// FirstLink keeps a link that makes the first secretary. It fails with club.Conflict
// where the club has one who can sign in, and of a made-up club.
func (db *DB) FirstLink(ctx context.Context, hash []byte, now time.Time) error {
	tag, err := db.pool.Exec(ctx, `
		insert into invitations (token_hash, kind, role, made_at, expires_at)
		select $1, 'first', 'secretary', $2, $3 where not `+joinedSecretary+` and not exists (select from club where demo)`, hash, now, now.Add(club.InviteFirst.For()))
	if err == nil && tag.RowsAffected() == 0 {
		return club.Faultf(club.Conflict, "The club has a secretary, who makes links for everyone else on the members' page.")
	}
	return fail(err, "db.FirstLink")
}

// TryLink keeps a link that signs in as the first member of a made-up club who has a
// role, and gives their name. It fails with club.Conflict for a real club.
func (db *DB) TryLink(ctx context.Context, hash []byte, role club.Role, now time.Time) (string, error) {
	var name string
	err := db.pool.QueryRow(ctx, `
		with m as (select id, name from members where role = $2 and left_at is null and exists (select from club where demo) order by id limit 1),
		i as (insert into invitations (token_hash, kind, member_id, made_at, expires_at) select $1, 'reset', id, $3, $4 from m)
		select name from m`, hash, role, now, now.Add(club.InviteReset.For())).Scan(&name)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", club.Faultf(club.Conflict, "Only a made-up club lets people try it without joining.")
	}
	return name, fail(err, "db.TryLink")
}

const invitationSQL = `
	select i.kind, coalesce(i.role, m.role), coalesce(i.member_id, 0), coalesce(m.name, i.name), coalesce(m.sign_in, ''), i.expires_at
	from invitations i left join members m on m.id = i.member_id
	where i.token_hash = $1 and i.used_at is null and i.expires_at > $2 and m.left_at is null
	  and (i.kind <> 'first' or not ` + joinedSecretary + `)`

func scanInvitation(row pgx.Row, i *club.Invitation) error {
	err := row.Scan(&i.Kind, &i.Role, &i.MemberID, &i.Name, &i.SignIn, &i.Expires)
	if errors.Is(err, pgx.ErrNoRows) {
		return club.ErrLink()
	}
	return err
}

// Invitation gives the link whose token has a hash. It fails with club.NotFound for one
// that was used, has run out, or never was.
func (db *DB) Invitation(ctx context.Context, hash []byte, now time.Time) (club.Invitation, error) {
	var i club.Invitation
	b := &pgx.Batch{}
	b.Queue(invitationSQL, hash, now).QueryRow(func(row pgx.Row) error { return scanInvitation(row, &i) })
	queueClub(b, &i.Club)
	return i, told(db.pool.SendBatch(ctx, b).Close(), "Invitation")
}

// Join uses a link, once, which keeps no name of its own then, and goes with its member: it makes a member, or gives one a new way to sign in, and
// begins a session. It fails with club.NotFound for a link that does not hold, and with
// club.Conflict for a sign-in name that is somebody's.
func (db *DB) Join(ctx context.Context, hash []byte, j club.Joining, now time.Time) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, peopleLock); err != nil {
			return err
		}
		var i club.Invitation
		if err := scanInvitation(tx.QueryRow(ctx, invitationSQL, hash, now), &i); err != nil {
			return err
		}
		var demo *bool
		if err := tx.QueryRow(ctx, `select (select demo from club)`).Scan(&demo); err != nil {
			return err
		}
		i.Club.Demo = demo != nil && *demo
		join := joining{tx, i, j, now}
		member, err := join.member(ctx, demo == nil)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `update invitations set used_at = $2, member_id = $3, name = '' where token_hash = $1`, hash, now, member); err != nil {
			return err
		}
		_, err = beginSession(ctx, tx, member, j.Session, now)
		return err
	})
	if unique(err, "members_sign_in_key") {
		return club.Faultf(club.Conflict, "Somebody signs in as “%s” already. Choose another sign-in name.", j.SignIn)
	}
	return told(err, "Join")
}

// joining is the use of a link under way.
type joining struct {
	tx  pgx.Tx
	i   club.Invitation
	j   club.Joining
	now time.Time
}

// member gives whom the link signs in, made or changed as it says.
func (g joining) member(ctx context.Context, noClub bool) (int64, error) {
	bare := g.j.Password == "" && g.j.Passkey == nil
	switch {
	case g.i.Tries() && bare:
		return g.i.MemberID, logged(ctx, g.tx, g.i.MemberID, "tried", "Signed in by the made-up club's own link.")
	case bare:
		return 0, club.Faultf(club.Invalid, "Choose a password, or make a passkey.")
	case noClub:
		if err := insertClub(ctx, g.tx, g.j.Club); err != nil {
			return 0, err
		}
	}
	id, what, about := g.i.MemberID, "joined", "Joined as "+g.i.Role.With()+"."
	var err error
	switch {
	case g.i.Kind == club.InviteReset:
		what, about = "signed in anew", "Chose a new way to sign in, by a link; every other one ended."
		err = g.renew(ctx)
	case id != 0:
		_, err = g.tx.Exec(ctx, `update members set sign_in = $2, password = $3, role = $4, joined_at = coalesce(joined_at, $5) where id = $1`,
			id, g.j.SignIn, nullIfEmpty(g.j.Password), g.i.Role, g.now)
	default:
		err = g.tx.QueryRow(ctx, `insert into members (name, role, sign_in, password, joined_at) values ($1, $2, $3, $4, $5) returning id`,
			g.j.Name, g.i.Role, g.j.SignIn, nullIfEmpty(g.j.Password), g.now).Scan(&id)
	}
	if err == nil && g.j.Passkey != nil {
		err = insertPasskey(ctx, g.tx, id, *g.j.Passkey, g.now)
	}
	if err != nil {
		return 0, err
	}
	return id, logged(ctx, g.tx, id, what, about)
}

// renew takes every way to sign in from the link's member, and gives the new one.
func (g joining) renew(ctx context.Context) error {
	for _, query := range []string{`delete from passkeys where member_id = $1`, `delete from sessions where member_id = $1`} {
		if _, err := g.tx.Exec(ctx, query, g.i.MemberID); err != nil {
			return err
		}
	}
	_, err := g.tx.Exec(ctx, `update members set sign_in = $2, password = $3, joined_at = coalesce(joined_at, $4) where id = $1`,
		g.i.MemberID, g.j.SignIn, nullIfEmpty(g.j.Password), g.now)
	return err
}

// Invite keeps links that let people join. A new one for a name takes the place of one
// that was not used. Only a secretary may.
func (db *DB) Invite(ctx context.Context, who club.Writer, drafts []club.InviteDraft, now time.Time) error {
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary}, func(p *person) error {
		if _, err := p.do(ctx, `delete from invitations where used_at is null and expires_at <= $1`, now); err != nil {
			return err
		}
		for _, d := range drafts {
			if _, err := p.do(ctx, `delete from invitations where kind = 'join' and member_id is null and used_at is null and name = $1`, d.Name); err != nil {
				return err
			}
			if _, err := p.do(ctx, `insert into invitations (token_hash, kind, role, name, made_by, made_at, expires_at) values ($1, 'join', $2, $3, nullif($4::bigint, 0), $5, $6)`,
				d.Hash, d.Role, d.Name, p.id, now, now.Add(club.InviteJoin.For())); err != nil {
				return err
			}
			if err := logged(ctx, p.tx, p.id, "invited", "Made a link for somebody to join as "+d.Role.With()+"."); err != nil {
				return err
			}
		}
		return nil
	})
	return told(err, "Invite")
}

// Withdraw takes a link back that was not used yet. A coach may withdraw a junior's.
func (db *DB) Withdraw(ctx context.Context, who club.Writer, id string, now time.Time) error {
	hash, err := hex.DecodeString(id)
	if err != nil {
		return club.Faultf(club.NotFound, "There is no such link.")
	}
	err = db.asPerson(ctx, who, now, teachers, func(p *person) error {
		n, err := p.do(ctx, `delete from invitations i where token_hash = $1 and used_at is null and ($2 or role = 'junior'
			or exists (select from members m where m.id = i.member_id and m.role = 'junior'))`, hash, p.role.MayRunClub())
		if err == nil && n == 0 {
			return club.Faultf(club.Conflict, "That link has been used, or is gone already.")
		}
		if err != nil {
			return err
		}
		return logged(ctx, p.tx, p.id, "withdrew a link", "")
	})
	return told(err, "Withdraw")
}
