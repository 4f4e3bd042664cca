package parse

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"levelpeg/club"
)

// uuid is a number of 128 bits as phones make it.
var uuid = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$`)

// EntryID reads the number of an entry.
func EntryID(text string) (string, error) {
	id := strings.ToLower(strings.TrimSpace(text))
	if !uuid.MatchString(id) {
		return "", club.Faultf(club.Invalid, "“%s” is not an entry's number.", short(clean(text)))
	}
	return id, nil
}

// clean puts a mark for each thing that is no text.
func clean(text string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\x00", "\uFFFD")
}

var errNoEntry = errors.New("no entry")

// Fields reads an entry's body, a form of a page or a JSON object, into the fields that
// both have: form 1 of the JSON has the names of the page's form, with text, numbers, true
// and false as values, and lists of those.
func Fields(body []byte) (url.Values, error) {
	q, err := fieldsOf(body)
	if err != nil {
		return nil, club.Faultf(club.Invalid, "The entry cannot be read.").Because(err)
	}
	for _, all := range q {
		for i, v := range all {
			all[i] = clean(v)
		}
	}
	return q, nil
}

func fieldsOf(body []byte) (url.Values, error) {
	if b := bytes.TrimSpace(body); len(b) == 0 || b[0] != '{' {
		if len(b) > 0 && bytes.ContainsAny(b[:1], `["`) {
			return nil, errNoEntry
		}
		return url.ParseQuery(string(body))
	}
	var named map[string]json.RawMessage
	if err := json.Unmarshal(body, &named); err != nil {
		return nil, err
	}
	q := url.Values{}
	for name, raw := range named {
		var list []json.RawMessage
		if json.Unmarshal(raw, &list) != nil {
			list = []json.RawMessage{raw}
		}
		for _, one := range list {
			v, err := scalar(one)
			if err != nil {
				return nil, err
			}
			q.Add(name, v)
		}
	}
	return q, nil
}

// scalar is a JSON value as a form would send it.
func scalar(raw json.RawMessage) (string, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return "", err
	}
	switch v := v.(type) {
	case string:
		return v, nil
	case json.Number:
		f, err := v.Float64()
		return strconv.FormatFloat(math.Round(f*1e6)/1e6, 'f', -1, 64), err
	case bool:
		if v {
			return "1", nil
		}
		return "", nil
	case nil:
		return "", nil
	}
	return "", errNoEntry
}

// Entry reads the fields of an entry: its "kind", "at" (now where empty), "sure",
// "corrects" and "withdraw", and by its kind
//
//	level     gauge, level, colour, temperature
//	sounding  peg (its lasting code), run, depth, pace or over and secs, boil, level, note
//	closure   where (a peg's lasting code, or venue: and its slug), reason or own, until
//	incident  where, incident, text
//
// The first thing that makes no sense is club.Invalid.
func Entry(q url.Values) (club.Entry, error) {
	e := club.Entry{Sure: said(q, "sure") != "", Withdraw: said(q, "withdraw") != ""}
	kind, err := oneOf(q, "kind", "a kind of entry", club.EntryKinds(), "")
	if err != nil {
		return e, err
	}
	e.Kind = kind
	if text := said(q, "corrects"); text != "" {
		if e.Corrects, err = EntryID(text); err != nil {
			return e, err
		}
	}
	if text := said(q, "at"); text != "" {
		if e.At, err = When(text); err != nil {
			return e, err
		}
	}
	if e.Withdraw {
		return e, e.Check()
	}
	switch kind {
	case club.LevelEntry:
		err = levelEntry(q, &e)
	case club.SoundingEntry:
		err = soundingEntry(q, &e)
	case club.ClosureEntry:
		err = closureEntry(q, &e)
	case club.IncidentEntry:
		err = incidentEntry(q, &e)
	}
	if err != nil {
		return e, err
	}
	return e, e.Check()
}

func levelEntry(q url.Values, e *club.Entry) (err error) {
	e.Gauge = short(said(q, "gauge"))
	if e.LevelM, err = boardLevel(q); err != nil {
		return err
	}
	if said(q, "colour") != "" {
		if e.Colour, err = oneOf(q, "colour", "a colour of water", club.Colours(), ""); err != nil {
			return err
		}
	}
	if e.TemperatureC, err = number(q, "temperature", "a temperature"); e.TemperatureC != nil {
		t := math.Round(*e.TemperatureC*10) / 10
		e.TemperatureC = &t
	}
	return err
}

// boardLevel is Level where an empty one was not given.
func boardLevel(q url.Values) (*float64, error) {
	if said(q, "level") == "" {
		return nil, nil
	}
	return Level(q)
}

func soundingEntry(q url.Values, e *club.Entry) (err error) {
	if e.PegCode, err = Code(url.Values{"code": {said(q, "peg")}}); err != nil {
		return err
	}
	e.Run, e.Note = said(q, "run"), strings.TrimSpace(q.Get("note"))
	if utf8.RuneCountInString(e.Run) > longestRun {
		return club.Faultf(club.Invalid, "“%s” is not the name of a run.", short(e.Run))
	}
	if e.LevelM, err = boardLevel(q); err != nil {
		return err
	}
	depth, err := length(q, "depth", "a depth")
	if err != nil {
		return err
	}
	if depth != nil {
		e.DepthM = *depth
	}
	if e.Boil, err = whole(q, "boil", "how broken the water is"); err != nil {
		return err
	}
	return soundingPace(q, e)
}

const longestRun = 60

// soundingPace reads the pace, or what floats it was timed by.
func soundingPace(q url.Values, e *club.Entry) error {
	pace, err := number(q, "pace", "a pace in metres a second")
	if err != nil {
		return err
	}
	over, err := length(q, "over", "how far the float ran")
	if err != nil {
		return err
	}
	var secs []float64
	for _, text := range q["secs"] {
		s, err := number(url.Values{"secs": {text}}, "secs", "how many seconds it took")
		if err != nil {
			return err
		}
		if s != nil {
			secs = append(secs, *s)
		}
	}
	switch {
	case pace != nil && len(secs) > 0:
		return club.Faultf(club.Invalid, "Two paces: give it in metres a second or time it, not both.")
	case pace != nil:
		e.PaceMPS = *pace
	case len(secs) > 0 && over == nil:
		return club.Faultf(club.Invalid, "Say how far the float ran while it was timed.")
	case len(secs) > 0:
		e.PaceMPS, e.TimedS, err = club.SoundingPace(*over, secs)
	}
	return err
}

func closureEntry(q url.Values, e *club.Entry) (err error) {
	if err = where(q, e); err != nil {
		return err
	}
	if e.Reason = said(q, "own"); e.Reason == "" {
		e.Reason = said(q, "reason")
	}
	if text := said(q, "until"); text != "" {
		e.Ends, err = When(text)
	}
	return err
}

func incidentEntry(q url.Values, e *club.Entry) (err error) {
	if err = where(q, e); err != nil {
		return err
	}
	if said(q, "incident") != "" {
		e.Incident, err = oneOf(q, "incident", "a kind of incident", club.IncidentKinds(), "")
	}
	e.Text = strings.TrimSpace(q.Get("text"))
	return err
}

var slug = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// where reads "where": a peg's lasting code, or a whole water.
func where(q url.Values, e *club.Entry) (err error) {
	where := said(q, "where")
	if venue, whole := strings.CutPrefix(where, "venue:"); whole {
		if !slug.MatchString(venue) {
			return club.Faultf(club.Invalid, "“%s” is not a water of the club.", short(venue))
		}
		e.Venue = venue
		return nil
	}
	e.PegCode, err = Code(url.Values{"code": {where}})
	return err
}

// Claimed is when an entry's fields say it is of; zero where they do not or make no sense.
func Claimed(q url.Values, loc *time.Location) time.Time {
	w, err := When(said(q, "at"))
	if err != nil {
		return time.Time{}
	}
	return w.In(loc)
}
