package db

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// teachers may make juniors, and look after them.
var teachers = []club.Role{club.Secretary, club.Coach}

const memberLinesSQL = `
	select m.id, m.name, m.role, coalesce(m.sign_in, ''), m.password is not null, (select count(*)::integer from passkeys k where k.member_id = m.id),
		m.joined_at, m.seen_at, m.left_at, coalesce(m.consent, ''), coalesce(c.name, ''), m.consent_at
	from members m left join members c on c.id = m.consent_by`

func scanMemberLines(rows pgx.Rows) ([]club.MemberLine, error) {
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (club.MemberLine, error) {
		var m club.MemberLine
		var joined, seen, left, consent *time.Time
		err := row.Scan(&m.ID, &m.Name, &m.Role, &m.SignIn, &m.Password, &m.Passkeys, &joined, &seen, &left, &m.Consent, &m.ConsentBy, &consent)
		m.Joined, m.Seen, m.Left, m.ConsentAt = timeOrZero(joined), timeOrZero(seen), timeOrZero(left), timeOrZero(consent)
		return m, err
	})
}

const openInvitationsSQL = `
	select encode(i.token_hash, 'hex'), i.kind, coalesce(i.role, m.role), coalesce(m.name, i.name), coalesce(b.name, ''), i.made_at, i.expires_at
	from invitations i left join members m on m.id = i.member_id left join members b on b.id = i.made_by
	where i.used_at is null and i.expires_at > $1 and i.kind <> 'first' and ($2 <> 'coach' or coalesce(i.role, m.role) = 'junior')
	order by i.made_at desc, 4`

// askerRole is the role of the session's member, for statements of pages that show less
// to some.
func askerRole(session, now string) string {
	return `coalesce((select role from ` + asking(session, now) + ` a), '')`
}

// Members reads who is in the club, in one round trip: all of them for a secretary, the
// juniors for a coach, and nobody for anyone else.
func (db *DB) Members(ctx context.Context, session []byte, now time.Time) (club.MembersView, error) {
	var v club.MembersView
	b := &pgx.Batch{}
	queueMember(b, session, now, &v.Member)
	queueClub(b, &v.Club)
	role := askerRole("$1", "$2")
	b.Queue(memberLinesSQL+` where `+role+` = 'secretary' or `+role+` = 'coach' and m.role = 'junior'
		order by m.left_at is not null, lower(m.name), m.id`, session, now).Query(func(rows pgx.Rows) (err error) {
		v.Members, err = scanMemberLines(rows)
		return err
	})
	b.Queue(`select * from (`+openInvitationsSQL+`) i where `+askerRole("$3", "$1")+` in ('secretary', 'coach')`, now, "", session)
	return v, fail(db.pool.SendBatch(ctx, b).Close(), "db.Members")
}

// MemberNumber gives one member of those that Members gives, who is not there for anyone
// else: club.NotFound.
func (db *DB) MemberNumber(ctx context.Context, id int64, session []byte, now time.Time) (club.MembersView, error) {
	v, err := db.Members(ctx, session, now)
	if err != nil {
		return v, err
	}
	for _, m := range v.Members {
		if m.ID == id {
			v.Members = []club.MemberLine{m}
			return v, nil
		}
	}
	return v, noSuchMember()
}

func noSuchMember() error { return club.Faultf(club.NotFound, "There is no such member.") }

// target reads the member that a write is about, for one who may write about them: a
// coach may about juniors.
func (p *person) target(ctx context.Context, id int64) (club.MemberLine, error) {
	rows, err := p.tx.Query(ctx, memberLinesSQL+` where m.id = $1`, id)
	if err != nil {
		return club.MemberLine{}, err
	}
	found, err := scanMemberLines(rows)
	switch {
	case err != nil:
		return club.MemberLine{}, err
	case len(found) == 0, p.role == club.Coach && found[0].Role != club.Junior:
		return club.MemberLine{}, noSuchMember()
	}
	return found[0], nil
}

// oneLeft refuses to take the last secretary from the club.
func (p *person) oneLeft(ctx context.Context, m club.MemberLine) error {
	if m.Role != club.Secretary || !m.Left.IsZero() {
		return nil
	}
	var others bool
	err := p.tx.QueryRow(ctx, `select exists (select from members m where m.id <> $1 and m.role = 'secretary' and m.left_at is null
		and (m.password is not null or exists (select from passkeys k where k.member_id = m.id)))`, m.ID).Scan(&others)
	if err == nil && !others {
		return club.Faultf(club.Conflict, "%s is the only secretary. Make another one first.", m.Name)
	}
	return err
}

// MakeJunior makes a junior and keeps the link they join by. It gives the junior's
// number.
func (db *DB) MakeJunior(ctx context.Context, who club.Writer, d club.JuniorDraft, now time.Time) (club.MemberLine, error) {
	var m club.MemberLine
	err := db.asPerson(ctx, who, now, teachers, func(p *person) error {
		var id int64
		err := p.tx.QueryRow(ctx, `insert into members (name, role, consent, consent_by, consent_at) values ($1, 'junior', $2, nullif($3::bigint, 0), $4) returning id`,
			d.Name, d.Consent, p.id, now).Scan(&id)
		if err != nil {
			return err
		}
		if err := p.nameJunior(ctx, id, club.SuggestSignIn(d.Name)); err != nil {
			return err
		}
		if err := p.link(ctx, club.InviteJoin, id, club.Junior, d.Hash); err != nil {
			return err
		}
		if m, err = p.target(ctx, id); err != nil {
			return err
		}
		return loggedWhom(ctx, p.tx, p.id, "made a junior", "Noted a guardian's consent.", id)
	})
	return m, told(err, "MakeJunior")
}

// nameJunior gives a junior a sign-in name that is nobody's yet.
func (p *person) nameJunior(ctx context.Context, id int64, name string) error {
	for n := 1; ; n++ {
		try := name
		if n > 1 {
			try = name + "-" + strconv.Itoa(n)
		}
		done, err := p.do(ctx, `update members set sign_in = $2 where id = $1 and not exists (select from members where sign_in = $2)`, id, try)
		if err != nil || done == 1 {
			return err
		}
	}
}

// link keeps a link for a member, in place of those that were not used.
func (p *person) link(ctx context.Context, kind club.InvitationKind, member int64, role club.Role, hash []byte) error {
	if _, err := p.do(ctx, `delete from invitations where member_id = $1 and used_at is null`, member); err != nil {
		return err
	}
	_, err := p.do(ctx, `insert into invitations (token_hash, kind, role, member_id, made_by, made_at, expires_at) values ($1, $2, $3, $4, nullif($5::bigint, 0), $6, $7)`,
		hash, kind, role, member, p.id, p.now, p.now.Add(kind.For()))
	return err
}

// MemberLink keeps a link by which a member chooses a new password, or joins who has not
// yet, and gives whose it is.
func (db *DB) MemberLink(ctx context.Context, who club.Writer, id int64, hash []byte, now time.Time) (club.MemberLine, error) {
	var m club.MemberLine
	err := db.asPerson(ctx, who, now, teachers, func(p *person) (err error) {
		if m, err = p.target(ctx, id); err != nil {
			return err
		}
		if !m.Left.IsZero() {
			return club.Faultf(club.Conflict, "%s has left. Bring them back first.", m.Name)
		}
		kind, what := club.InviteJoin, "made a link to join"
		if m.Password || m.Passkeys > 0 {
			kind, what = club.InviteReset, "made a reset link"
		}
		if err := p.link(ctx, kind, id, m.Role, hash); err != nil {
			return err
		}
		return loggedWhom(ctx, p.tx, p.id, what, "", id)
	})
	return m, told(err, "MemberLink")
}

// ChangeMember changes a member's name and role. Only a secretary may.
func (db *DB) ChangeMember(ctx context.Context, who club.Writer, id int64, c club.MemberChange, now time.Time) (club.MemberLine, error) {
	var m club.MemberLine
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary}, func(p *person) (err error) {
		if m, err = p.target(ctx, id); err != nil {
			return err
		}
		if c.Role != club.Secretary {
			if err := p.oneLeft(ctx, m); err != nil {
				return err
			}
		}
		if c.Role == club.Junior && m.Role != club.Junior {
			return club.Faultf(club.Invalid, "A junior is made with a guardian's consent: make one on the members' page.")
		}
		if _, err := p.do(ctx, `update members set name = $2, role = $3 where id = $1`, id, c.Name, c.Role); err != nil {
			return err
		}
		about := "Changed the name."
		if c.Role != m.Role {
			about = fmt.Sprintf("From %s to %s.", m.Role.With(), c.Role.With())
		}
		m.Name, m.Role = c.Name, c.Role
		return loggedWhom(ctx, p.tx, p.id, "changed a member", about, id)
	})
	return m, told(err, "ChangeMember")
}

// Leave marks members as having left: they can sign in no more, and what they wrote stays.
// It gives how many.
func (db *DB) Leave(ctx context.Context, who club.Writer, ids []int64, now time.Time) (int, error) {
	n := 0
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary}, func(p *person) error {
		for _, id := range ids {
			m, err := p.target(ctx, id)
			if err != nil {
				return err
			}
			if err := p.oneLeft(ctx, m); err != nil {
				return err
			}
			if !m.Left.IsZero() {
				continue
			}
			n++
			if err := p.leave(ctx, id); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		n = 0
	}
	return n, told(err, "Leave")
}

func (p *person) leave(ctx context.Context, id int64) error {
	if _, err := p.do(ctx, `update members set left_at = $2, sign_in = null, password = null where id = $1`, id, p.now); err != nil {
		return err
	}
	for _, query := range []string{`delete from sessions where member_id = $1`, `delete from passkeys where member_id = $1`, `delete from invitations where member_id = $1 and used_at is null`} {
		if _, err := p.do(ctx, query, id); err != nil {
			return err
		}
	}
	return loggedWhom(ctx, p.tx, p.id, "marked as left", "", id)
}

// ComeBack undoes leaving: they join again by a link, which it keeps.
func (db *DB) ComeBack(ctx context.Context, who club.Writer, id int64, hash []byte, now time.Time) (club.MemberLine, error) {
	var m club.MemberLine
	err := db.asPerson(ctx, who, now, []club.Role{club.Secretary}, func(p *person) (err error) {
		if m, err = p.target(ctx, id); err != nil {
			return err
		}
		if m.Left.IsZero() {
			return club.Faultf(club.Conflict, "%s has not left.", m.Name)
		}
		if _, err := p.do(ctx, `update members set left_at = null where id = $1`, id); err != nil {
			return err
		}
		if m.Role == club.Junior {
			if err := p.nameJunior(ctx, id, club.SuggestSignIn(m.Name)); err != nil {
				return err
			}
		}
		if err := p.link(ctx, club.InviteJoin, id, m.Role, hash); err != nil {
			return err
		}
		return loggedWhom(ctx, p.tx, p.id, "brought back", "", id)
	})
	return m, told(err, "ComeBack")
}
