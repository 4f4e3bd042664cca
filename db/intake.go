package db

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// intakeResult is what the column result holds.
type intakeResult struct {
	Says   string   `json:"says,omitempty"`
	Ask    bool     `json:"ask,omitempty"`
	Odd    bool     `json:"odd,omitempty"`
	AheadS float64  `json:"ahead_s,omitempty"` // of the sender's clock
	Before []string `json:"before,omitempty"`  // bodies that were mended since, base64, oldest first
}

// sweepAfter is how long an entry lies unjudged before its sender's next sending has it
// judged: whoever is judging it has given up by then.
const sweepAfter = time.Minute

// ReceiveEntries takes entries of whoever asks in as they came, before anybody judges
// them, and gives where each stands: one that came before is as it was left, one that
// needed mending and comes changed is to be judged again, and of another member's nothing
// is told. It fails with club.Forbidden for a visitor.
func (db *DB) ReceiveEntries(ctx context.Context, session []byte, raw []club.RawEntry, now time.Time) (club.Intake, error) {
	var in club.Intake
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		m := &in.Member
		err := tx.QueryRow(ctx, `
			select m.id, m.name, m.role, c.id::text, c.epoch::text, c.name, c.time_zone
			from sessions s join members m on m.id = s.member_id cross join club c
			where s.token_hash = $1 and s.expires_at > $2 and m.left_at is null for share of s, m`, session, now).
			Scan(&m.ID, &m.Name, &m.Role, &in.Club.ID, &in.Club.Epoch, &in.Zone.Name, &in.Zone.TimeZone)
		if errors.Is(err, pgx.ErrNoRows) {
			return club.ErrSignInFirst()
		}
		if err != nil {
			return err
		}
		for _, r := range raw {
			got, err := receive(ctx, tx, m.ID, r, now)
			if err != nil {
				return err
			}
			in.Entries = append(in.Entries, got)
		}
		left, err := leftOver(ctx, tx, m.ID, now)
		in.Entries = append(in.Entries, left...)
		return err
	})
	return in, told(err, "ReceiveEntries")
}

// receive takes one entry in.
func receive(ctx context.Context, tx pgx.Tx, member int64, r club.RawEntry, now time.Time) (club.Received, error) {
	result, err := json.Marshal(intakeResult{AheadS: r.Ahead.Seconds()})
	if err != nil {
		return club.Received{}, err
	}
	tag, err := tx.Exec(ctx, `insert into intake (id, member_id, form, body, received_at, claimed_at, result) values ($1, $2, $3, $4, $5, $6, $7) on conflict (id) do nothing`,
		r.ID, member, r.Form, r.Body, now, timeOrNull(r.Claimed), result)
	if err != nil {
		return club.Received{}, err
	}
	got := club.Received{RawEntry: r, At: now, Mine: true, Answer: club.EntryAnswer{ID: r.ID, State: club.EntryReceived}}
	if tag.RowsAffected() == 1 {
		return got, nil
	}
	got.Came = club.CameAgain
	var was []byte
	var old intakeResult
	err = tx.QueryRow(ctx, `select coalesce(member_id = $2, false), body, received_at, state, why, result from intake where id = $1 for update`, r.ID, member).
		Scan(&got.Mine, &was, &got.At, &got.Answer.State, &got.Answer.Why, &old)
	if err != nil || !got.Mine {
		got.Answer = club.EntryAnswer{ID: r.ID, State: club.NotTaken}
		return got, err
	}
	if got.Answer.State == club.NeedsMending && string(was) != string(r.Body) {
		return got, mend(ctx, tx, &got, was, old, now)
	}
	got.Body, got.Ahead = was, seconds(old.AheadS)
	got.Answer.Says, got.Answer.Ask, got.Answer.Odd = old.Says, old.Ask, old.Odd
	return got, nil
}

// mend takes in what an entry that needed mending says now; what it said is kept.
func mend(ctx context.Context, tx pgx.Tx, got *club.Received, was []byte, old intakeResult, now time.Time) error {
	result, err := json.Marshal(intakeResult{AheadS: got.Ahead.Seconds(), Before: append(old.Before, base64.StdEncoding.EncodeToString(was))})
	if err != nil {
		return err
	}
	got.At, got.Came, got.Answer = now, club.CameMended, club.EntryAnswer{ID: got.ID, State: club.EntryReceived}
	_, err = tx.Exec(ctx, `update intake set form = $2, body = $3, received_at = $4, claimed_at = $5, state = 'received', why = '', result = $6
		where id = $1 and state = 'needs mending'`, got.ID, got.Form, got.Body, now, timeOrNull(got.Claimed), result)
	return err
}

// leftOver are a member's entries that were taken in and that nobody came to judge.
func leftOver(ctx context.Context, tx pgx.Tx, member int64, now time.Time) ([]club.Received, error) {
	rows, err := tx.Query(ctx, `select id::text, form, body, received_at, result from intake
		where member_id = $1 and state = 'received' and received_at < $2 order by received_at limit 100`, member, now.Add(-sweepAfter))
	if err != nil {
		return nil, err
	}
	var out []club.Received
	var r club.Received
	var old intakeResult
	_, err = pgx.ForEachRow(rows, []any{&r.ID, &r.Form, &r.Body, &r.At, &old}, func() error {
		one := r
		one.Body = append([]byte(nil), r.Body...)
		one.Mine, one.Came, one.Ahead, one.Answer = true, club.CameNot, seconds(old.AheadS), club.EntryAnswer{ID: r.ID, State: club.EntryReceived}
		out = append(out, one)
		return nil
	})
	return out, err
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
