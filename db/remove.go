package db

import (
	"context"
	"errors"
	"time"

	"levelpeg/club"
)

// RemoveMember removes a member: what they read stays, unnamed; their private notes, kit
// and ways to sign in go. A secretary may remove anyone, and everyone themselves.
func (db *DB) RemoveMember(ctx context.Context, who club.Writer, id int64, now time.Time) (club.MemberLine, error) {
	var m club.MemberLine
	err := db.asPerson(ctx, who, now, nil, func(p *person) (err error) {
		if !p.role.MayRunClub() && p.id != id {
			return club.ErrOnly(club.Secretary)
		}
		if m, err = p.target(ctx, id); err != nil {
			return err
		}
		return p.remove(ctx, m)
	})
	if err == nil {
		db.removed()
	}
	return m, told(err, "RemoveMember")
}

// RemoveMyself is RemoveMember of whoever asks.
func (db *DB) RemoveMyself(ctx context.Context, who club.Writer, now time.Time) error {
	err := db.asPerson(ctx, who, now, nil, func(p *person) error {
		rows, err := p.tx.Query(ctx, memberLinesSQL+` where m.id = $1`, p.id)
		if err != nil {
			return err
		}
		m, err := scanMemberLines(rows)
		if err != nil || len(m) == 0 {
			return errors.Join(err, noSuchMember())
		}
		return p.remove(ctx, m[0])
	})
	if err == nil {
		db.removed()
	}
	return told(err, "RemoveMyself")
}

// RemovalStatements remove the member $1, one after another. What their phone sent was
// kept as it came, in their own words: what is in the book already needs no more than its
// number, and the rest goes with them.
var RemovalStatements = []string{
	`delete from intake where member_id = $1 and state <> 'in the book'`,
	`update intake set body = '', why = '', result = '{}' where member_id = $1`,
	`delete from members where id = $1`,
}

func (p *person) remove(ctx context.Context, m club.MemberLine) error {
	if err := p.oneLeft(ctx, m); err != nil {
		return err
	}
	for _, statement := range RemovalStatements {
		if _, err := p.do(ctx, statement, m.ID); err != nil {
			return err
		}
	}
	by := p.id
	if by == m.ID {
		by = 0
	}
	return logged(ctx, p.tx, by, "removed a member", "What they wrote down stays, unnamed.")
}
