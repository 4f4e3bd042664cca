package feeds

import (
	"encoding/xml"
	"io"
	"strconv"
	"strings"
)

const isWaterML = "WaterML 2.0"

// ParseWaterML2 reads an OGC WaterML 2.0 document (OGC 10-126): Collection /
// observationMember / OM_Observation / result / MeasurementTimeseries / point /
// MeasurementTVP / time and value. A point may hold metadata only, or say why it has no
// value. Unit: uom of a point, of the default metadata, as code or as title.
func ParseWaterML2(r io.Reader, lim Limits) (Batch, error) {
	dec := xml.NewDecoder(source(r, lim))
	dec.CharsetReader = latin
	w := &wmlReader{collector: newCollector(lim), dec: dec}
	for {
		t, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return Batch{}, unreadable(err, isWaterML)
		}
		if start, ok := t.(xml.StartElement); ok {
			if err := w.start(start); err != nil {
				return Batch{}, err
			}
		}
	}
	if w.known == 0 {
		return Batch{}, problem("It is not %s.", isWaterML)
	}
	return w.batch, nil
}

// latin reads the old western sets of signs; their first 128 are all that is looked at.
func latin(label string, input io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "iso-8859-1", "us-ascii", "ascii", "windows-1252", "iso-8859-15":
		return &widened{r: input}, nil
	}
	return nil, problem("It is in a set of signs that is not known here.")
}

// widened turns bytes that are no ASCII into a question mark.
type widened struct{ r io.Reader }

func (w *widened) Read(p []byte) (int, error) {
	n, err := w.r.Read(p)
	for i := range p[:n] {
		if p[i] >= 0x80 {
			p[i] = '?'
		}
	}
	return n, err
}

// deepest is how many elements may stand in one another.
const deepest = 100

type wmlReader struct {
	*collector
	dec      *xml.Decoder
	known    int    // elements of WaterML seen
	property string // of the observation we are in
	number   int    // of the time series
	unit     string // by the default metadata
}

func (w *wmlReader) start(e xml.StartElement) error {
	switch e.Name.Local {
	case "Collection", "OM_Observation", "TimeseriesObservation", "MeasurementTimeseries":
		w.known++
		if e.Name.Local == "MeasurementTimeseries" {
			w.number++
			w.unit = ""
		}
	case "timeSeriesResponse":
		return problem("It is WaterML 1.1. Ask its server for WaterML 2.0.")
	case "observedProperty":
		w.property = attr(e, "title")
		if w.property == "" {
			w.property = attr(e, "href")
		}
	case "uom":
		if u := uomOf(e); u != "" {
			w.unit = u
		}
	case "MeasurementTVP":
		return w.point(e)
	}
	return nil
}

func attr(e xml.StartElement, local string) string {
	for _, a := range e.Attr {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

func uomOf(e xml.StartElement) string {
	for _, name := range []string{"code", "title", "href"} {
		if v := attr(e, name); v != "" {
			return v
		}
	}
	return ""
}

// tvp is a time and a value as they were read.
type tvp struct {
	time, value, unit string
	hasValue, none    bool
}

// point reads a MeasurementTVP to its end.
func (w *wmlReader) point(e xml.StartElement) error {
	if err := w.count(); err != nil {
		return err
	}
	p, err := w.read(e)
	if err != nil {
		return err
	}
	if p.unit == "" {
		p.unit = w.unit
	}
	s, err := w.series(seriesName(w.number, w.property), p.unit, notALevel(w.property))
	if err != nil {
		return err
	}
	if p.unit != s.Unit {
		w.bad("it is in another unit than the first")
		return nil
	}
	v, ok := number(p.value)
	at, why := moment(p.time)
	switch {
	case p.none || !p.hasValue || strings.TrimSpace(p.value) == "" || ok && isFill(v) || strings.EqualFold(strings.TrimSpace(p.value), "nan"):
		w.batch.None++
	case !ok:
		w.bad("it is not a number")
	case why != "":
		w.bad(why)
	default:
		s.Points = append(s.Points, Point{at, v})
	}
	return nil
}

func (w *wmlReader) read(e xml.StartElement) (tvp, error) {
	var p tvp
	for inside := []string{e.Name.Local}; len(inside) > 0; {
		t, err := w.dec.Token()
		if err != nil {
			return p, unreadable(err, isWaterML)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if inside = append(inside, t.Name.Local); len(inside) > deepest {
				return p, problem("It is not %s, or is broken.", isWaterML)
			}
			p.begin(t, len(inside) == 2)
		case xml.EndElement:
			inside = inside[:len(inside)-1]
		case xml.CharData:
			if len(inside) == 2 {
				p.text(inside[1], t)
			}
		}
	}
	return p, nil
}

// begin takes what an element inside a TVP says by itself; own are its direct children.
func (p *tvp) begin(e xml.StartElement, own bool) {
	switch {
	case own && e.Name.Local == "value":
		p.hasValue = true
		p.none = p.none || attr(e, "nil") == "true" || attr(e, "nil") == "1"
		if u := attr(e, "uom"); u != "" {
			p.unit = u
		}
	case e.Name.Local == "nilReason":
		p.none = true
	case e.Name.Local == "uom":
		p.unit = uomOf(e)
	}
}

// longestText is more than a time or a number needs.
const longestText = 64

func (p *tvp) text(element string, data []byte) {
	into := &p.value
	switch element {
	case "time":
		into = &p.time
	case "value":
	default:
		return
	}
	if len(*into)+len(data) <= longestText {
		*into += string(data)
		return
	}
	*into = strings.Repeat("?", longestText) // it makes no sense, whatever follows
}

func seriesName(number int, property string) string {
	return strconv.Itoa(number) + " " + property
}

// notALevel says whether an observed property names something else than a level.
func notALevel(property string) bool {
	property = strings.ToLower(property)
	for _, no := range []string{"discharge", "streamflow", "flow", "rain", "precipitation", "temperature", "velocity"} {
		if strings.Contains(property, no) {
			return true
		}
	}
	return false
}
