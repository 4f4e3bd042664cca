package feeds

import (
	"encoding/json"
	"math"
)

// value is a JSON value taken apart by one level.
type value struct {
	object map[string]json.RawMessage // nil where it is none
	raw    json.RawMessage            // of anything else
}

// valueOf takes apart what is well formed already.
func valueOf(raw json.RawMessage) value {
	var v value
	if len(raw) > 0 && raw[0] == '{' && json.Unmarshal(raw, &v.object) == nil {
		return v
	}
	return value{raw: raw}
}

// all is the values of an array, or one value as an array of one; none where the name is
// missing or null.
func (v value) all(name string) []value {
	raw := v.object[name]
	if len(raw) == 0 || string(raw) == "null" {
		return nil
	}
	var list []json.RawMessage
	if raw[0] == '[' && json.Unmarshal(raw, &list) == nil {
		out := make([]value, len(list))
		for i, r := range list {
			out[i] = valueOf(r)
		}
		return out
	}
	return []value{valueOf(raw)}
}

// one is a member; an empty value where it is missing.
func (v value) one(name string) value { return valueOf(v.object[name]) }

// has says whether a member is there and not null.
func (v value) has(name string) bool {
	raw, ok := v.object[name]
	return ok && string(raw) != "null"
}

// text is a string; empty for anything else.
func (v value) text() string {
	var s string
	if v.object == nil && json.Unmarshal(v.raw, &s) == nil {
		return s
	}
	return ""
}

// number is a number, or a string that reads as one, or several of them that are equal.
func (v value) number() (f float64, ok bool) {
	if v.object != nil || len(v.raw) == 0 {
		return 0, false
	}
	switch v.raw[0] {
	case '"':
		return number(v.text())
	case '[':
		var list []json.RawMessage
		if json.Unmarshal(v.raw, &list) != nil || len(list) == 0 {
			return 0, false
		}
		for i, raw := range list {
			next, good := value{raw: raw}.number()
			if !good || i > 0 && next != f {
				return 0, false
			}
			f = next
		}
		return f, true
	}
	if json.Unmarshal(v.raw, &f) != nil || string(v.raw) == "null" || math.IsInf(f, 0) {
		return 0, false
	}
	return f, true
}

// null says whether it is null or nothing at all.
func (v value) null() bool {
	return v.object == nil && (len(v.raw) == 0 || string(v.raw) == "null" || string(v.raw) == "[]" || string(v.raw) == `""`)
}

// document walks the members of the JSON object that is a whole document; take consumes
// each value from the decoder.
func document(dec *json.Decoder, what string, take func(name string) error) error {
	t, err := dec.Token()
	if err != nil {
		return unreadable(err, what)
	}
	if t != json.Delim('{') {
		return problem("It is not %s.", what)
	}
	return members(dec, what, take)
}

func members(dec *json.Decoder, what string, take func(name string) error) error {
	for dec.More() {
		t, err := dec.Token()
		if err != nil {
			return unreadable(err, what)
		}
		name, ok := t.(string)
		if !ok {
			return problem("It is not %s.", what)
		}
		if err := take(name); err != nil {
			return err
		}
	}
	_, err := dec.Token() // the closing brace
	if err != nil {
		return unreadable(err, what)
	}
	return nil
}

// raw takes a value from the decoder as it is.
func raw(dec *json.Decoder, what string) (json.RawMessage, error) {
	var r json.RawMessage
	if err := dec.Decode(&r); err != nil {
		return nil, unreadable(err, what)
	}
	return r, nil
}

// each takes the elements of an array one at a time, or a lone value as an array of one.
func each(dec *json.Decoder, what string, take func(value) error) error {
	t, err := dec.Token()
	if err != nil {
		return unreadable(err, what)
	}
	switch t {
	case json.Delim('['):
		for dec.More() {
			r, err := raw(dec, what)
			if err != nil {
				return err
			}
			if err := take(valueOf(r)); err != nil {
				return err
			}
		}
		if _, err := dec.Token(); err != nil {
			return unreadable(err, what)
		}
		return nil
	case json.Delim('{'):
		v := value{object: map[string]json.RawMessage{}}
		err := members(dec, what, func(name string) error {
			r, err := raw(dec, what)
			v.object[name] = r
			return err
		})
		if err != nil {
			return err
		}
		return take(v)
	}
	r, err := json.Marshal(t)
	if err != nil {
		return unreadable(err, what)
	}
	return take(value{raw: r})
}
