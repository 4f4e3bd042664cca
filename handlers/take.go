//go:build !js

package handlers

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/measure"
	"levelpeg/handlers/parse"
)

// take takes entries in and then settles them one by one. Each is kept as it came before
// anything is made of it, so that whatever goes wrong afterwards loses none.
func (s *server) take(r *http.Request, raw []club.RawEntry) (club.Intake, map[string]club.EntryAnswer, error) {
	ctx := r.Context()
	in, err := s.book.ReceiveEntries(ctx, session(r), raw, s.now())
	if err != nil {
		return in, nil, err
	}
	answers := map[string]club.EntryAnswer{}
	for _, e := range in.Entries {
		s.count(e)
		a := e.Answer
		switch {
		case !e.Mine:
			a.Why = "Another member has sent an entry of that number."
		case a.State == club.EntryReceived:
			if a, err = s.settle(ctx, in, e, session(r)); err != nil {
				return in, answers, err
			}
		}
		answers[e.ID] = a
	}
	return in, answers, nil
}

// count counts an entry by whether it came before.
func (s *server) count(e club.Received) {
	switch {
	case !e.Mine:
		s.measures.Entry(measure.NotTaken)
	case e.Came == club.CameAgain:
		s.measures.Entry(measure.Repeated)
	case e.Came == club.CameMended:
		s.measures.Entry(measure.Mended)
	case e.Came == club.CameNew:
		s.measures.Entry(measure.TakenIn)
	}
}

// settle judges an entry and puts it in the book, or says why it needs mending.
func (s *server) settle(ctx context.Context, in club.Intake, e club.Received, session []byte) (club.EntryAnswer, error) {
	loc := zone(in.Zone)
	st, err := s.judge(ctx, e, session, loc)
	if err == nil && len(st.Mending) == 0 {
		var a club.EntryAnswer
		if a, err = s.book.SettleEntry(ctx, e.ID, st, s.now()); err == nil {
			return a, nil
		}
	}
	var f *club.Fault
	switch {
	case err == nil:
	case errors.As(err, &f) && f.Kind != club.Internal && f.Kind != club.Unavailable:
		st = club.Settling{Mending: sentence(err)}
	default:
		return club.EntryAnswer{}, err
	}
	return s.book.SettleEntry(ctx, e.ID, st, s.now())
}

// judge reads an entry and holds it against the book. What is odd is asked about once.
func (s *server) judge(ctx context.Context, in club.Received, session []byte, loc *time.Location) (club.Settling, error) {
	if in.Form != club.EntryForm {
		return club.Settling{}, club.Faultf(club.Invalid, "This server does not know entries of form %d.", in.Form)
	}
	q, err := parse.Fields(in.Body)
	if err != nil {
		return club.Settling{}, err
	}
	e, err := parse.Entry(q)
	if err != nil {
		return club.Settling{}, err
	}
	st := club.Settling{Entry: e}
	said := ""
	if st.At, said, err = e.Moment(in.At, in.Ahead, loc); err != nil {
		return st, err
	}
	var w club.Weighed
	switch e.Kind {
	case club.LevelEntry:
		w, err = s.judgeLevel(ctx, &st, loc)
	case club.SoundingEntry:
		w, err = s.judgeSounding(ctx, &st, session)
	}
	if err != nil {
		return st, err
	}
	st.Says, st.Odd = []string{w.Says, said}, len(w.Odd) > 0
	if st.Odd && !e.Sure && !e.Withdraw {
		st.Mending, st.Ask = "needs a second look: "+strings.Join(w.Odd, ", and ")+".", true
	}
	return st, nil
}

// putRight fills in what a correction leaves as it was.
func (s *server) putRight(ctx context.Context, st *club.Settling) (club.Corrected, error) {
	e := &st.Entry
	if e.Corrects == "" {
		return club.Corrected{}, nil
	}
	was, err := s.book.Corrected(ctx, e.Corrects)
	if err != nil {
		return was, err
	}
	if was.Kind != e.Kind {
		return was, club.Faultf(club.Invalid, "What is to be put right is a %s.", was.Kind)
	}
	if e.Gauge != "" && e.Gauge != was.Gauge || e.PegCode != "" && e.PegCode != was.Code || e.Run != "" && !strings.EqualFold(e.Run, was.Run) {
		return was, club.Faultf(club.Invalid, "What was written at the wrong place is taken away there, and written anew at the right one.")
	}
	e.Gauge = was.Gauge
	if e.At.IsZero() || e.Withdraw {
		st.At = was.At
	}
	return was, nil
}

func (s *server) judgeLevel(ctx context.Context, st *club.Settling, loc *time.Location) (club.Weighed, error) {
	var w club.Weighed
	was, err := s.putRight(ctx, st)
	if err != nil {
		return w, err
	}
	now := s.now()
	b, err := s.book.Board(ctx, st.Entry.Gauge, st.At, now)
	if err != nil || st.Entry.Withdraw {
		w.Says = "Taken away: the level of " + st.At.In(loc).Format("2 Jan 15:04") + " at " + b.Gauge.Name + "."
		return w, err
	}
	st.DatumM = *st.Entry.LevelM + b.Zero.OffsetM
	if was.Kind != "" {
		b.Readings = withoutReading(b.Readings, was)
	}
	h, err := s.goneOn(ctx, b.Gauge.Slug, b.Past, now)
	if err != nil {
		return w, err
	}
	if w, err = b.WeighLevel(h, st.At, st.DatumM); err != nil {
		return w, err
	}
	w.Says = b.LevelSays(*st.Entry.LevelM, st.At, was, loc)
	return w, nil
}

func withoutReading(all []club.Reading, was club.Corrected) []club.Reading {
	var out []club.Reading
	for _, r := range all {
		if !r.At.Equal(was.At) {
			out = append(out, r)
		}
	}
	return out
}

func (s *server) judgeSounding(ctx context.Context, st *club.Settling, session []byte) (club.Weighed, error) {
	var w club.Weighed
	e := &st.Entry
	was, err := s.putRight(ctx, st)
	if err != nil {
		return w, err
	}
	now := s.now()
	venue, label := was.Venue, was.Label
	if e.Corrects == "" {
		if venue, label, err = s.read.PegByCode(ctx, e.PegCode, session, now); err != nil {
			return w, err
		}
	} else {
		e.Run = was.Run
	}
	v, err := s.read.Peg(ctx, venue, label, session, now)
	if err != nil {
		return w, err
	}
	if e.Withdraw {
		w.Says = "Taken away: the sounding of peg " + v.Peg.Label + ", " + e.Run + "."
		return w, nil
	}
	if e.Run, err = v.RunName(e.Run); err != nil {
		return w, err
	}
	b, err := s.book.Board(ctx, v.Standing.Gauge.Slug, st.At, now)
	if err != nil {
		return w, err
	}
	if err := putDownAt(st, b); err != nil {
		return w, err
	}
	var without *club.Sounding
	if was.Kind != "" {
		without = &club.Sounding{At: was.At, DepthM: was.DepthM}
	}
	w, err = v.WeighSounding(e.Run, club.Sounding{At: st.At, LevelM: st.DatumM, DepthM: e.DepthM, PaceMPS: e.PaceMPS, TimedS: e.TimedS}, without, now)
	w.Says = strings.TrimSpace("Peg " + v.Peg.Label + ". " + w.Says)
	return w, err
}

// putDownAt finds the level a sounding is put down at: the one that came with it, or what
// the gauge says of its moment.
func putDownAt(st *club.Settling, b club.BoardView) error {
	if st.Entry.LevelM != nil {
		st.DatumM = *st.Entry.LevelM + b.Zero.OffsetM
		return nil
	}
	level, ok := b.LevelFor(st.At)
	if !ok {
		return club.Faultf(club.Invalid, "Nobody read %s about then, so write the level as well.", b.Gauge.Name)
	}
	st.DatumM = level
	return nil
}
