package exchange

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"levelpeg/club"
)

// featureCollection is a set of features as RFC 7946 has it.
type featureCollection struct {
	Type     string    `json:"type"`
	Features []feature `json:"features"`
}

type feature struct {
	Type       string         `json:"type"`
	Geometry   *geometry      `json:"geometry"`
	Properties *pegProperties `json:"properties"`
}

// geometry of a point has longitude first: RFC 7946, 3.1.1.
type geometry struct {
	Type        string          `json:"type"`
	Coordinates json.RawMessage `json:"coordinates"`
}

type pegProperties struct {
	Code  string `json:"code"`
	Label string `json:"label"`
	Order int    `json:"order_downstream,omitempty"`
	Bank  string `json:"bank,omitempty"`
	Flow  *int   `json:"flow_towards_deg,omitempty"`
}

// WriteGeoJSON gives a venue's pegs as GeoJSON (RFC 7946): a point each, or no geometry
// for a peg that nobody has placed.
func WriteGeoJSON(pegs []club.Peg) ([]byte, error) {
	out := featureCollection{Type: "FeatureCollection", Features: []feature{}}
	for _, p := range pegs {
		f := feature{Type: "Feature", Properties: &pegProperties{Code: p.Code, Label: p.Label, Order: p.Order, Bank: string(p.Bank), Flow: &p.BearingDeg}}
		if p.At != nil {
			at, err := json.Marshal([]float64{p.At.LonDeg, p.At.LatDeg})
			if err != nil {
				return nil, err
			}
			f.Geometry = &geometry{Type: "Point", Coordinates: at}
		}
		out.Features = append(out.Features, f)
	}
	body, err := json.Marshal(out)
	return append(body, '\n'), err
}

// ReadGeoJSON reads where pegs are: a point each, which a property "code" says whose it
// is. Features without a geometry are left out. A fault's sentence names the place in the
// file.
func ReadGeoJSON(file []byte) ([]club.PegPlace, error) {
	var in featureCollection
	if err := json.Unmarshal(file, &in); err != nil {
		return nil, jsonFault(file, err)
	}
	if in.Type != "FeatureCollection" {
		return nil, at("type", "a file of pegs is a GeoJSON FeatureCollection, and this is “%s”", clipped(in.Type))
	}
	var out []club.PegPlace
	seen := map[string]int{}
	for i, f := range in.Features {
		where := fmt.Sprintf("features[%d]", i)
		if f.Type != "Feature" {
			return nil, at(where+".type", "“%s” is not a Feature", clipped(f.Type))
		}
		if f.Geometry == nil {
			continue
		}
		place, err := placeOf(f, where)
		if err != nil {
			return nil, err
		}
		if other, twice := seen[place.Code]; twice {
			return nil, at(where+".properties.code", "peg %s is placed twice: features[%d] is it, too", place.Code, other)
		}
		seen[place.Code] = i
		out = append(out, place)
	}
	if len(out) == 0 {
		return nil, club.Faultf(club.Invalid, "The file places no peg.")
	}
	return out, nil
}

func placeOf(f feature, where string) (club.PegPlace, error) {
	var p club.PegPlace
	if f.Properties == nil || strings.TrimSpace(f.Properties.Code) == "" {
		return p, at(where+".properties.code", "a peg's lasting code is missing")
	}
	p.Code = strings.ToUpper(strings.TrimSpace(f.Properties.Code))
	if f.Geometry.Type != "Point" {
		return p, at(where+".geometry.type", "a peg is a Point, not a “%s”", clipped(f.Geometry.Type))
	}
	var lonLat []float64
	if err := json.Unmarshal(f.Geometry.Coordinates, &lonLat); err != nil || len(lonLat) < 2 || len(lonLat) > 3 {
		return p, at(where+".geometry.coordinates", "write longitude, then latitude, in degrees")
	}
	p.At = &club.Position{LonDeg: lonLat[0], LatDeg: lonLat[1]}
	if err := p.At.Check(); err != nil {
		return p, at(where+".geometry.coordinates", "%s", trimmed(err))
	}
	return p, nil
}

// at is a fault of a place in a file.
func at(path, format string, args ...any) error {
	return club.Faultf(club.Invalid, "At %s: %s.", path, fmt.Sprintf(format, args...))
}

// trimmed is a fault's sentence without its full stop.
func trimmed(err error) string { return strings.TrimSuffix(err.Error(), ".") }

// jsonFault says what is wrong with a file that is no JSON of ours, and where.
func jsonFault(file []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return club.Faultf(club.Invalid, "The file is not JSON: line %d breaks off or has a sign out of place.", lineAt(file, syntax.Offset))
	case errors.As(err, &kind):
		path := pathAt(file, kind.Offset)
		if path == "" {
			path = "the beginning"
		}
		return at(path, "%s stands where %s belongs", aKind(kind.Value), wantedKind(kind))
	}
	return club.Faultf(club.Invalid, "The file cannot be read as JSON.").Because(err)
}

func lineAt(file []byte, offset int64) int {
	return 1 + strings.Count(string(file[:min(int(offset), len(file))]), "\n")
}

// aKind is a JSON value in plain words.
func aKind(value string) string {
	kind, _, _ := strings.Cut(value, " ")
	switch kind {
	case "number":
		return "a number"
	case "string":
		return "text"
	case "bool":
		return "true or false"
	case "array":
		return "a list"
	}
	return "an object"
}

func wantedKind(e *json.UnmarshalTypeError) string {
	switch e.Type.Kind().String() {
	case "string":
		return "text"
	case "bool":
		return "true or false"
	case "slice":
		return "a list"
	case "struct", "map":
		return "an object"
	}
	return "a number in range"
}

// pathAt is the place in a JSON file at or just before an offset: "pegs[3].runs[0].name".
func pathAt(file []byte, offset int64) string {
	dec := json.NewDecoder(strings.NewReader(string(file)))
	var open []step
	path := ""
	for {
		// A value's place is that which its end reaches.
		token, err := dec.Token()
		if err != nil {
			return path
		}
		if d, is := token.(json.Delim); is && (d == '}' || d == ']') {
			open = open[:len(open)-1]
			if len(open) > 0 {
				open[len(open)-1].next()
			}
			continue
		}
		if len(open) > 0 && open[len(open)-1].takesKey() {
			open[len(open)-1].key, _ = token.(string)
			open[len(open)-1].keyed = true
			continue
		}
		path = join(open)
		if dec.InputOffset() >= offset {
			return path
		}
		if d, is := token.(json.Delim); is {
			open = append(open, step{list: d == '['})
		} else if len(open) > 0 {
			open[len(open)-1].next()
		}
	}
}

// step is an object or a list that a place lies in.
type step struct {
	list, keyed bool
	key         string
	n           int
}

func (s *step) takesKey() bool { return !s.list && !s.keyed }

func (s *step) next() { s.n, s.keyed = s.n+1, false }

func join(open []step) string {
	var b strings.Builder
	for _, s := range open {
		switch {
		case s.list:
			fmt.Fprintf(&b, "[%d]", s.n)
		case b.Len() > 0:
			b.WriteString("." + s.key)
		default:
			b.WriteString(s.key)
		}
	}
	return b.String()
}
