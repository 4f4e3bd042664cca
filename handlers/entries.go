//go:build !js

package handlers

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/measure"
	"levelpeg/handlers/parse"
)

// batch is what a phone sends: version 1 of the address.
type batch struct {
	Sent    string            `json:"sent"` // by the phone's clock, as it sends
	Entries []json.RawMessage `json:"entries"`
}

// batchAnswer is what it is answered.
type batchAnswer struct {
	Club    string        `json:"club"`
	Epoch   string        `json:"epoch"`
	Member  int64         `json:"member"`
	Entries []entryAnswer `json:"entries"`
}

type entryAnswer struct {
	ID    string          `json:"id"`
	State club.EntryState `json:"state"`
	Why   string          `json:"why"`
	Says  string          `json:"says"`
	Ask   bool            `json:"ask"`
	Odd   bool            `json:"odd"`
	Epoch string          `json:"epoch"`
}

// largestBatch is as many of the largest entries as may come, and a little about them.
const largestBatch = club.EntriesMost*club.EntryMost + 64<<10

// api is json for the address of entries, which tells a phone whose session is over so by
// a status of its own.
func (s *server) api(do action) http.HandlerFunc {
	return s.json(func(w http.ResponseWriter, r *http.Request) error {
		err := do(w, r)
		if club.KindOf(err) != club.Forbidden {
			return err
		}
		return writeJSON(w, http.StatusUnauthorized, map[string]string{"error": sentence(err)})
	})
}

// takeEntries takes what a phone has kept, and answers entry by entry.
func (s *server) takeEntries(w http.ResponseWriter, r *http.Request) error {
	var b batch
	if err := json.NewDecoder(http.MaxBytesReader(w, r.Body, largestBatch)).Decode(&b); err != nil {
		return unreadableBatch(err)
	}
	if len(b.Entries) > club.EntriesMost {
		return club.Faultf(club.Invalid, "That is %d entries. Send %d or fewer at once.", len(b.Entries), club.EntriesMost)
	}
	c, m, err := s.read.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	key, err := s.book.ClubKey(r.Context())
	if err != nil {
		return err
	}
	ahead := s.ahead(b.Sent)
	all := make([]arrived, len(b.Entries))
	var raw []club.RawEntry
	for i, body := range b.Entries {
		all[i] = arrive(body, key, m, ahead, zone(c))
		if all[i].refused == nil {
			raw = append(raw, all[i].raw)
		}
	}
	in, answers, err := s.take(r, raw)
	if err != nil {
		return err
	}
	out := batchAnswer{Club: in.Club.ID, Epoch: in.Club.Epoch, Member: in.Member.ID, Entries: []entryAnswer{}}
	for _, e := range all {
		a := answers[e.raw.ID]
		if e.refused != nil {
			a = *e.refused
			s.measures.Entry(measure.NotTaken)
		}
		out.Entries = append(out.Entries, entryAnswer{ID: a.ID, State: a.State, Why: a.Why, Says: a.Says, Ask: a.Ask, Odd: a.Odd, Epoch: in.Club.Epoch})
	}
	return writeJSON(w, http.StatusOK, out)
}

func unreadableBatch(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return club.Faultf(club.Invalid, "That is more than may be sent at once. Send fewer entries.").Because(err)
	}
	return club.Faultf(club.Invalid, "What was sent is not the JSON this address takes.").Because(err)
}

// ahead is how far the sender's clock is ahead of ours, 0 where it does not say.
func (s *server) ahead(sent string) time.Duration {
	t, err := time.Parse(time.RFC3339, sent)
	if err != nil {
		return 0
	}
	return t.Sub(s.now())
}

// arrived is an entry of a batch, or why it is not even taken in.
type arrived struct {
	raw     club.RawEntry
	refused *club.EntryAnswer
}

// arrive looks at the outside of an entry. One of another club or another member waits
// where it is for whom it is of.
func arrive(body json.RawMessage, key club.ClubKey, m club.Member, ahead time.Duration, loc *time.Location) arrived {
	var outside struct {
		ID     string      `json:"id"`
		Form   json.Number `json:"form"`
		Member json.Number `json:"member"`
		Club   string      `json:"club"`
	}
	no := func(state club.EntryState, id, why string) arrived {
		return arrived{refused: &club.EntryAnswer{ID: id, State: state, Why: why}}
	}
	if err := json.Unmarshal(body, &outside); err != nil {
		return no(club.NeedsMending, "", "The entry cannot be read.")
	}
	id, err := parse.EntryID(outside.ID)
	switch {
	case err != nil:
		return no(club.NeedsMending, shortID(outside.ID), sentence(err))
	case len(body) > club.EntryMost:
		return no(club.NeedsMending, id, "The entry is too long.")
	case outside.Club != "" && outside.Club != key.ID:
		return no(club.NotTaken, id, "It was written for another club.")
	case outside.Member != "" && outside.Member != json.Number(formatID(m.ID)):
		return no(club.NotTaken, id, "It was written by another member, who has to sign in to send it.")
	}
	raw := club.RawEntry{ID: id, Form: club.EntryForm, Body: body, Ahead: ahead}
	if n, err := outside.Form.Int64(); err == nil && n > 0 && n < 1<<15 {
		raw.Form = int(n)
	}
	raw.Claimed = claimed(body, loc)
	return arrived{raw: raw}
}

// claimed is when an entry says it is of, where it says so at all.
func claimed(body []byte, loc *time.Location) time.Time {
	q, err := parse.Fields(body)
	if err != nil {
		q = url.Values{}
	}
	return parse.Claimed(q, loc)
}

// shortID keeps what is said back of a number that is none readable.
func shortID(id string) string {
	if r := []rune(text(id)); len(r) > 40 {
		return string(r[:40])
	}
	return text(id)
}
