package feeds

import (
	"encoding/json"
	"io"
	"strings"
)

const isSensorThings = "SensorThings JSON"

// ParseSensorThings reads Observations of OGC 18-088 (SensorThings 1.1): a page of a list,
// value[] with @iot.nextLink, or a Datastream with its Observations in it. phenomenonTime
// may be a moment or an interval, whose end is taken.
func ParseSensorThings(r io.Reader, lim Limits) (Batch, error) {
	st := &stReader{collector: newCollector(lim)}
	dec := json.NewDecoder(source(r, lim))
	found := false
	err := document(dec, isSensorThings, func(name string) error {
		switch name {
		case "value", "Observations":
			found = true
			return each(dec, isSensorThings, st.observation)
		case "@iot.nextLink", "Observations@iot.nextLink":
			v, err := raw(dec, isSensorThings)
			st.batch.Next = valueOf(v).text()
			return err
		case "unitOfMeasurement":
			v, err := raw(dec, isSensorThings)
			st.unit = symbol(valueOf(v))
			return err
		}
		_, err := raw(dec, isSensorThings)
		return err
	})
	if err == nil && !found {
		err = problem("It is not %s: it has no list of values.", isSensorThings)
	}
	if err != nil {
		return Batch{}, err
	}
	for i := range st.batch.Series {
		if st.batch.Series[i].Unit == "" {
			st.batch.Series[i].Unit = st.unit
		}
	}
	return st.batch, nil
}

type stReader struct {
	*collector
	unit string // of the Datastream that is the document
}

// symbol is a unitOfMeasurement's own sign, or else its name.
func symbol(unit value) string {
	if s := unit.one("symbol").text(); s != "" {
		return s
	}
	return unit.one("name").text()
}

func (st *stReader) observation(o value) error {
	if o.has("dataArray") {
		return problem("It holds its values as a dataArray. Ask it for them without $resultFormat.")
	}
	if o.has("unitOfMeasurement") && !o.has("result") {
		return problem("It is a list of measurements, and not of one's values. Use the address of one, with /Observations at its end.")
	}
	if err := st.count(); err != nil {
		return err
	}
	stream := o.one("Datastream")
	s, err := st.series(string(stream.object["@iot.id"]), symbol(stream.one("unitOfMeasurement")), false)
	if err != nil {
		return err
	}
	if !o.has("phenomenonTime") && !o.has("result") {
		st.batch.None++ // nothing but what is said of it
		return nil
	}
	v, ok := o.one("result").number()
	at, why := moment(endOf(o.one("phenomenonTime").text()))
	switch {
	case o.one("result").null() || ok && isFill(v):
		st.batch.None++
	case !ok:
		st.bad("its result is not one number")
	case why != "":
		st.bad(why)
	default:
		s.Points = append(s.Points, Point{at, v})
	}
	return nil
}

// endOf is the end of an interval, or the moment itself.
func endOf(text string) string {
	if i := strings.LastIndexByte(text, '/'); i >= 0 {
		return text[i+1:]
	}
	return text
}
