package parse

import (
	"errors"
	"net/url"
	"strings"
	"time"

	"levelpeg/club"
)

// days are the spans that addresses had before spans had names, by their "days".
var days = map[string]string{"2": "2d", "7": "10d", "30": "6w", "365": "1y", "1826": "5y", "7305": "20y"}

// LookBack reads what of a gauge's history is asked for: a query's "span", or the
// "days" of older addresses, and "to". What makes no sense is left as it usually is.
func LookBack(q url.Values, now time.Time) (club.LookBack, error) {
	span, badSpan := span(q)
	look := club.LookBack{Span: span}
	badTo := lookTo(q.Get("to"), now, &look)
	return look, errors.Join(badSpan, badTo)
}

func span(q url.Values) (club.Span, error) {
	asked := q.Get("span")
	if old := q.Get("days"); asked == "" && old != "" {
		if asked = days[old]; asked == "" {
			asked = old
		}
	}
	if asked == "" {
		return club.UsualSpan(), nil
	}
	var offered []string
	for _, s := range club.Spans() {
		if s.Slug == asked {
			return s, nil
		}
		offered = append(offered, s.Slug)
	}
	return club.UsualSpan(), club.Faultf(club.Invalid, "“%s” is not a span this page looks back over. It may be %s.", short(asked), strings.Join(offered, ", "))
}

// aheadOfUTC is how far a clock anywhere may be ahead of UTC, with a day more, since
// a day that is asked for is asked for to its end.
const aheadOfUTC = (14 + 24) * time.Hour

// longAgo is before anybody wrote a river's level down every day.
var longAgo = time.Date(1700, 1, 1, 0, 0, 0, 0, time.UTC)

// lookTo reads up to when to look: a day to its end, a time on the club's clock, or
// a time with its zone. None is up to now.
func lookTo(text string, now time.Time, look *club.LookBack) error {
	if text == "" {
		return nil
	}
	var to time.Time
	if day, err := time.Parse(time.DateOnly, text); err == nil {
		to = day.AddDate(0, 0, 1)
		look.ToClock = to
	} else if clock, err := clockTime(text); err == nil {
		to = clock
		look.ToClock = to
	} else if to, err = time.Parse(time.RFC3339, text); err == nil {
		look.To = to
	} else {
		return club.Faultf(club.Invalid, "“%s” is not a time. Write a day such as 2026-11-20, or a time on it such as 2026-11-20T18:30.", short(text))
	}
	if to.After(now.Add(aheadOfUTC)) || to.Before(longAgo) {
		look.To, look.ToClock = time.Time{}, time.Time{}
		return club.Faultf(club.Invalid, "%s is not a time that has levels: those are from long ago to now.", short(text))
	}
	return nil
}

// clockTime reads a time as a clock shows it, 2026-11-20T18:30, as if it were UTC.
func clockTime(text string) (time.Time, error) { return time.Parse("2006-01-02T15:04", text) }

// momentFormats are how an hour may be written, by forms and by people.
var momentFormats = []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04"}

// Moment reads a day and an hour from a query's "at", by the clock on the club's wall
// or with a zone (RFC 3339). It is zero where the query has none.
func Moment(q url.Values) (club.Wall, error) {
	text := strings.TrimSpace(q.Get("at"))
	if !q.Has("at") {
		return club.Wall{}, nil
	}
	if q.Has("level") {
		return club.Wall{}, club.Faultf(club.Invalid, "Ask for a level or for an hour, not for both.")
	}
	return When(text)
}

// When reads a day and an hour, by the clock on the club's wall or with a zone.
func When(text string) (club.Wall, error) {
	for _, f := range momentFormats {
		if t, err := time.Parse(f, text); err == nil {
			return club.Wall{Clock: t}, nil
		}
	}
	// A plus that was not escaped comes as a space.
	if t, err := time.Parse(time.RFC3339, strings.ReplaceAll(text, " ", "+")); err == nil {
		return club.Wall{Clock: t, Zoned: true}, nil
	}
	if text == "" {
		return club.Wall{}, club.Faultf(club.Invalid, "Choose a day and an hour, such as 2026-11-28T10:00.")
	}
	return club.Wall{}, club.Faultf(club.Invalid, "“%s” is not a day and an hour. Write it like 2026-11-28T10:00.", short(text))
}
