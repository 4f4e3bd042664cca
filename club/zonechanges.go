package club

import (
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"time"
)

// ZoneSpan is a time during which a zone's clocks stay as they are: from a moment (seconds
// since 1970; the first span of all, from whenever) so many seconds east of Greenwich,
// called so.
type ZoneSpan struct {
	From    int64  `json:"from"`
	OffsetS int    `json:"offset_s"`
	Name    string `json:"name"`
	Summer  bool   `json:"summer,omitempty"`
}

// ZoneChanges are a zone's spans up to a moment, so that a phone which knows no zones can
// tell the club's time.
func ZoneChanges(loc *time.Location, until time.Time) []ZoneSpan {
	var out []ZoneSpan
	for at := until.In(loc); ; {
		name, offset := at.Zone()
		start, _ := at.ZoneBounds()
		span := ZoneSpan{OffsetS: offset, Name: name, Summer: at.IsDST()}
		if !start.IsZero() {
			span.From = start.Unix()
		}
		out = append(out, span)
		if start.IsZero() {
			break
		}
		at = start.Add(-time.Second)
	}
	slices.Reverse(out)
	return out
}

var errZone = errors.New("club: a time zone without a span")

// LearnZone makes the club's zone of its spans, where this machine does not know it.
func (c Club) LearnZone(spans []ZoneSpan) error {
	if _, err := c.Zone(); err == nil {
		return nil
	}
	if len(spans) == 0 {
		return errZone
	}
	loc, err := time.LoadLocationFromTZData(c.TimeZone, zoneFile(spans))
	if err == nil {
		zones.Store(c.TimeZone, loc)
	}
	return err
}

// zoneKind is what clocks do during a span.
type zoneKind struct {
	offsetS int
	name    string
	summer  bool
}

// zoneFile is spans as a file of RFC 8536, version 2, with nothing in its old part. The
// kind of the first span, which has no beginning, is no other's.
func zoneFile(spans []ZoneSpan) []byte {
	var times, places []byte
	kinds := []zoneKind{{spans[0].OffsetS, spans[0].Name, spans[0].Summer}}
	for _, s := range spans[1:] {
		k := zoneKind{s.OffsetS, s.Name, s.Summer}
		at := slices.Index(kinds[1:], k) + 1
		if at == 0 {
			at, kinds = len(kinds), append(kinds, k)
		}
		times = binary.BigEndian.AppendUint64(times, uint64(s.From))
		places = append(places, byte(at))
	}
	types, names := zoneTypes(kinds)
	out := append(zoneHeader(0, 0, 0), zoneHeader(len(places), len(kinds), len(names))...)
	return append(out, slices.Concat(times, places, types, []byte(names))...)
}

// zoneTypes are kinds as the file has them, and the names they point into.
func zoneTypes(kinds []zoneKind) (types []byte, names string) {
	for _, k := range kinds {
		at := strings.Index(names, k.name+"\x00")
		if at < 0 {
			at, names = len(names), names+k.name+"\x00"
		}
		summer := byte(0)
		if k.summer {
			summer = 1
		}
		types = append(binary.BigEndian.AppendUint32(types, uint32(int32(k.offsetS))), summer, byte(at))
	}
	return types, names
}

// zoneHeader begins a part of the file.
func zoneHeader(times, kinds, letters int) []byte {
	out := append([]byte("TZif2"), make([]byte, 15+3*4)...) // no leap seconds, nothing of standard time
	for _, n := range []int{times, kinds, letters} {
		out = binary.BigEndian.AppendUint32(out, uint32(n))
	}
	return out
}
