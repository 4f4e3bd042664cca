package feeds

import (
	"encoding/json"
	"io"
	"strings"
)

const isEA = "the Environment Agency's JSON"

// ParseEA reads an answer of the Environment Agency's real-time flood-monitoring API: a
// station, a measure, or a list of readings. Source: the API's reference; measures may
// be an object or an array, latestReading may be missing, an object or an address, and a
// value is rarely an array. Only the times of readings are read: those of stageScale
// have no zone.
func ParseEA(r io.Reader, lim Limits) (Batch, error) {
	ea := &eaReader{collector: newCollector(lim)}
	dec := json.NewDecoder(source(r, lim))
	found := false
	err := document(dec, isEA, func(name string) error {
		if name != "items" {
			_, err := raw(dec, isEA)
			return err
		}
		found = true
		return each(dec, isEA, ea.item)
	})
	if err == nil && !found {
		err = problem("It is not %s: it has no items.", isEA)
	}
	if err != nil {
		return Batch{}, err
	}
	return ea.finish()
}

type eaReader struct {
	*collector
	elsewhere []string // addresses of what was not in the document itself
}

// item takes a station, a measure or a reading.
func (ea *eaReader) item(v value) error {
	switch {
	case v.object == nil:
		return nil
	case v.has("measures"):
		return ea.measures(v)
	case v.has("latestReading") || v.has("parameter"):
		return ea.measure(v)
	case v.has("dateTime") || v.has("value"):
		return ea.reading(v, measureName(v), "", false)
	}
	return nil
}

func (ea *eaReader) measures(station value) error {
	for _, m := range station.all("measures") {
		var err error
		if m.object == nil {
			ea.point(m.text())
		} else {
			err = ea.measure(m)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (ea *eaReader) measure(m value) error {
	name, unit := m.one("@id").text(), m.one("unitName").text()
	other := m.has("parameter") && m.one("parameter").text() != "level"
	if strings.EqualFold(m.one("qualifier").text(), "Downstream Stage") {
		other = true // its station's own stage is what its board reads
	}
	if _, err := ea.series(name, unit, other); err != nil {
		return err
	}
	for _, latest := range m.all("latestReading") {
		if latest.object == nil {
			if !other {
				ea.point(latest.text())
			}
			continue
		}
		if err := ea.reading(latest, name, unit, other); err != nil {
			return err
		}
	}
	return nil
}

// measureName is what a reading is a reading of: an address, or an object that has one.
func measureName(reading value) string {
	m := reading.one("measure")
	if m.object != nil {
		return m.one("@id").text()
	}
	return m.text()
}

func (ea *eaReader) reading(r value, name, unit string, other bool) error {
	if err := ea.count(); err != nil {
		return err
	}
	if m := r.one("measure"); m.object != nil && unit == "" {
		unit = m.one("unitName").text()
		other = other || m.has("parameter") && m.one("parameter").text() != "level"
	}
	if unit == "" {
		unit, other = nameSays(name, other)
	}
	s, err := ea.series(name, unit, other)
	if err != nil {
		return err
	}
	v, ok := r.one("value").number()
	at, why := moment(r.one("dateTime").text())
	switch {
	case r.one("value").null() || ok && isFill(v):
		ea.batch.None++
	case !ok:
		ea.bad("it is not one number")
	case why != "":
		ea.bad(why)
	default:
		s.Points = append(s.Points, Point{at, v})
	}
	return nil
}

// nameSays reads what a list of readings tells of its measure by the measure's name alone:
// …-level-stage-i-15_min-mASD, …-flow--i-15_min-m3_s.
func nameSays(name string, other bool) (unit string, isOther bool) {
	name = name[strings.LastIndexByte(name, '/')+1:]
	if i := strings.LastIndexByte(name, '-'); i > 0 && strings.Contains(name, "-level-") {
		return name[i+1:], other
	}
	for _, no := range []string{"-flow-", "-rainfall-", "-temperature-", "-wind-"} {
		if strings.Contains(name, no) {
			return "", true
		}
	}
	return "", other
}

// point remembers an address that the document gives instead of what stands there.
func (ea *eaReader) point(address string) {
	if address != "" {
		ea.elsewhere = append(ea.elsewhere, address)
	}
}

// finish follows the one address, where nothing stands in the document itself.
func (ea *eaReader) finish() (Batch, error) {
	points := 0
	for _, s := range ea.batch.Series {
		if !s.Other {
			points += len(s.Points)
		}
	}
	if points > 0 || ea.batch.Bad+ea.batch.None > 0 || len(ea.elsewhere) == 0 {
		ea.dropEmpty()
		return ea.batch, nil
	}
	if len(ea.elsewhere) > 1 {
		return Batch{}, problem("It only says where %d measurements are. Use the address of the one you need.", len(ea.elsewhere))
	}
	ea.batch.Next = ea.elsewhere[0]
	ea.dropEmpty()
	return ea.batch, nil
}

// dropEmpty leaves out measures without a reading beside one that has some.
func (ea *eaReader) dropEmpty() {
	var full []Series
	for _, s := range ea.batch.Series {
		if len(s.Points) > 0 {
			full = append(full, s)
		}
	}
	if len(full) > 0 || ea.batch.Next != "" {
		ea.batch.Series = full
	}
}
