package saved

import (
	"context"
	"slices"
	"sort"
	"time"

	"levelpeg/club"
)

// river is the venue of a gauge that was saved last.
func (b *Book) river(gauge string) (*venue, error) {
	for _, v := range b.venues {
		if v.River.Gauge.Slug == gauge {
			return v, nil
		}
	}
	return nil, noSignal("This gauge")
}

// Hours gives a gauge's hourly means from one moment to another.
func (b *Book) Hours(_ context.Context, gauge string, from, to time.Time) (club.HourMeans, error) {
	var out club.HourMeans
	v, err := b.river(gauge)
	if err != nil {
		return out, err
	}
	hours, err := v.River.Hours()
	if err != nil {
		return out, err
	}
	for _, h := range hours {
		if !h.Hour.Before(from) && h.Hour.Before(to) {
			out.Hours = append(out.Hours, h.HourMean)
		}
	}
	return out, nil
}

// Gauge is a gauge's page, as far back as was saved.
func (b *Book) Gauge(_ context.Context, slug string, look club.LookBack, _ []byte, now time.Time) (club.GaugeView, error) {
	view := club.GaugeView{Span: look.Span, By: look.Span.By}
	v, err := b.river(slug)
	if err != nil {
		return view, err
	}
	st, ok := v.River.Standing(now)
	if !ok {
		return view, noZero(v.River.Gauge.Name)
	}
	view.Club, view.Member, view.Standing, view.Zeros, view.First = v.Club, v.Member, st, v.River.Zeros, v.River.First
	view.Look, view.Feeds, view.Board = v.River.Seen(now), v.River.Feeds, v.River.Board
	view.Venues = stillSaid(v.River.Venues, now)
	if err := v.history(&view, look, now); err != nil {
		return view, err
	}
	view.Recent, _ = v.River.About(now, now)
	return view, nil
}

// stillSaid is what is said of venues without what is over.
func stillSaid(all []club.GaugeVenue, now time.Time) []club.GaugeVenue {
	out := slices.Clone(all)
	gone := func(to time.Time) bool { return !to.IsZero() && !to.After(now) }
	for i := range out {
		out[i].Rules = slices.DeleteFunc(slices.Clone(out[i].Rules), func(r club.LevelRule) bool { return gone(r.To) })
		out[i].Closures = slices.DeleteFunc(slices.Clone(out[i].Closures), func(c club.Closure) bool { return gone(c.To) })
	}
	return out
}

// backs are the lengths of the spans that were saved: those of days are counted on the
// calendar, of UTC.
var backs = map[string]func(time.Time) time.Time{
	"6 hours": func(t time.Time) time.Time { return t.Add(-6 * time.Hour) },
	"2 days":  func(t time.Time) time.Time { return t.AddDate(0, 0, -2) },
	"10 days": func(t time.Time) time.Time { return t.AddDate(0, 0, -10) },
	"42 days": func(t time.Time) time.Time { return t.AddDate(0, 0, -42) },
	"1 year":  func(t time.Time) time.Time { return t.AddDate(-1, 0, 0) },
}

// history fills what a gauge's page draws, where it was saved.
func (v *venue) history(view *club.GaugeView, look club.LookBack, now time.Time) error {
	upto := now.Truncate(time.Microsecond) // as PostgreSQL keeps times
	switch to, err := v.upto(look); {
	case err != nil:
		return err
	case !to.IsZero() && to.Before(upto):
		upto = to
	}
	back, ok := backs[look.Span.Back]
	if !ok {
		return noSignal("So long a history")
	}
	view.From, view.To = back(upto.UTC()), upto
	var whole bool
	var err error
	switch look.Span.By {
	case club.ByReading:
		view.Spans, whole = v.readings(view.From, upto)
	case club.ByHour, club.ByTwoHours:
		view.Spans, whole, err = v.hours(view.From, upto, look.Span.By.Length())
	default:
		view.Spans, whole = v.days(view.From, upto)
	}
	if err != nil {
		return err
	}
	if !whole {
		return noSignal("A history so long ago")
	}
	if upto.Equal(now.Truncate(time.Microsecond)) {
		view.To = now
	}
	return nil
}

// upto is the moment that a history is asked for up to; zero for now.
func (v *venue) upto(look club.LookBack) (time.Time, error) {
	if look.ToClock.IsZero() {
		return look.To, nil
	}
	loc, err := v.Club.Zone()
	c := look.ToClock
	return time.Date(c.Year(), c.Month(), c.Day(), c.Hour(), c.Minute(), c.Second(), c.Nanosecond(), loc), err
}

// pieces is how many a span of readings is cut into.
const pieces = 720

// readings are those after a moment, up to another: those of one piece of the time are
// one.
func (v *venue) readings(from, to time.Time) ([]club.LevelSpan, bool) {
	all := v.River.Readings
	first := sort.Search(len(all), func(i int) bool { return all[i].At.After(from) })
	whole := v.River.All || first > 0
	step := to.Sub(from) / pieces
	if step <= 0 {
		return nil, whole
	}
	var out []club.LevelSpan
	last, sum := int64(-1), int64(0)
	for _, r := range all[first:] {
		if r.At.After(to) {
			break
		}
		mm, piece := club.WholeMM(r.DatumM), int64(r.At.Sub(from)/step)
		if piece != last {
			out, last, sum = append(out, club.LevelSpan{From: r.At, LeastM: r.DatumM, MostM: r.DatumM}), piece, 0
		}
		s := &out[len(out)-1]
		s.LeastM, s.MostM, s.Readings = min(s.LeastM, r.DatumM), max(s.MostM, r.DatumM), s.Readings+1
		sum += mm
		s.Mid = float64(float32(float64(sum)/float64(s.Readings))) / 1000
	}
	return out, whole
}

// dawn is what PostgreSQL counts pieces of hours from.
var dawn = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// hours are those that begin from a moment on and before another, so many together.
func (v *venue) hours(from, to time.Time, together time.Duration) ([]club.LevelSpan, bool, error) {
	all, err := v.River.Hours()
	var sum summing
	for _, h := range all {
		if h.Hour.Before(from) || !h.Hour.Before(to) {
			continue
		}
		if h.Readings == 0 {
			return nil, false, err
		}
		since := h.Hour.Sub(dawn)
		start := dawn.Add(since - (since%together+together)%together)
		sum.add(start, h.MeanMM, h.LeastMM, h.MostMM, h.Readings)
	}
	return sum.spans(), true, err
}

func (v *venue) days(from, to time.Time) ([]club.LevelSpan, bool) {
	var sum summing
	for _, d := range v.River.Days {
		if d.Day.Before(from) || !d.Day.Before(to) {
			continue
		}
		sum.add(d.Day, d.MeanMM, d.LeastMM, d.MostMM, d.Readings)
	}
	all := v.River.Days
	whole := v.River.First.IsZero() || !v.River.First.Before(from) || len(all) > 0 && !all[0].Day.After(from)
	return sum.spans(), whole
}

// summing puts hours or days together.
type summing struct {
	all []piece
}

type piece struct {
	from        time.Time
	least, most int32
	sum         float64
	n           int32
}

func (s *summing) add(from time.Time, mean float32, least, most, n int32) {
	if k := len(s.all); k == 0 || !s.all[k-1].from.Equal(from) {
		s.all = append(s.all, piece{from: from, least: least, most: most})
	}
	p := &s.all[len(s.all)-1]
	p.least, p.most = min(p.least, least), max(p.most, most)
	p.sum, p.n = p.sum+float64(mean)*float64(n), p.n+n
}

func (s *summing) spans() []club.LevelSpan {
	var out []club.LevelSpan
	for _, p := range s.all {
		out = append(out, club.LevelSpan{From: p.from, LeastM: float64(p.least) / 1000, MostM: float64(p.most) / 1000,
			Mid: float64(float32(p.sum/float64(p.n))) / 1000, Readings: int(p.n)})
	}
	return out
}
