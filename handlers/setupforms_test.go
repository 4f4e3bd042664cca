package handlers_test

import (
	"bytes"
	"mime/multipart"
	"net/url"
	"os"
	"strings"
	"testing"

	"levelpeg/handlers"
)

// setupForm is a form of setting up, on the page that shows it, as it is rightly filled.
type setupForm struct {
	page, action string
	fields       []string // names and values by turns
}

// setupForms are all the forms of setting up that take anything typed, of the demo.
func setupForms(s secretary) []setupForm {
	const of = "/setup/venues/sallow-reach"
	id := func(query string) string { return s.rec.text(query) }
	peg := of + "/pegs/" + id(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	run := peg + "/runs/" + id(`select min(r.id) from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	hazard := of + "/hazards/" + id(`select min(h.id) from hazards h join venues v on v.id = h.venue_id where v.slug = 'sallow-reach'`)
	code := strings.TrimPrefix(peg, of+"/pegs/")
	gauge := "/setup/gauges/" + id(`select g.slug from gauges g join gauge_zeros z on z.gauge_id = g.id group by g.id order by count(*) desc, g.id limit 1`)
	fix := gauge + "/zeros/" + id(`select max(z.id) from gauge_zeros z join gauges g on g.id = z.gauge_id where g.slug = '`+strings.TrimPrefix(gauge, "/setup/gauges/")+`'`)
	gaugeFields := []string{"name", "A board", "river", "The Water", "low", "0.3", "high", "1.5", "flood", "2"}
	venueFields := []string{"name", "A reach", "river", "The Water", "gauge", "teasel-bridge", "about", "Words", "access", "Words", "season", "1", "open", "1"}
	runFields := []string{"name", "a run", "distance", "17", "boil", "1", "steep", "1", "snaggy", "1", "bottom", "gravel"}
	hazardFields := []string{"kind", "other", "peg", "14." + code, "distance", "3", "text", "Words"}
	return []setupForm{
		{"/setup/gauges/new", "/setup/gauges", append([]string{"since", "2020-01-01T10:00"}, gaugeFields...)},
		{gauge, gauge, gaugeFields},
		{gauge, gauge + "/zeros", []string{"from", "2025-10-01T10:00", "old", "0.5", "new", "0.6", "reason", "Words"}},
		{gauge, fix, []string{"offset", "0.05", "reason", "Words"}},
		{"/setup/venues/new", "/setup/venues", venueFields},
		{of, of, venueFields},
		{of + "/pegs", of + "/pegs", []string{"first", "60", "last", "62", "count", "up", "bank", "left", "first_deg", "10", "last_deg", "20", "mark", "2", "where", "above"}},
		{of + "/pegs", of + "/pegs/between", []string{"after", "14." + code, "label", "14Q"}},
		{of + "/pegs", of + "/pegs/renumber", []string{"from_peg", "14." + code, "to_peg", "14." + code, "first", "99", "count", "fall"}},
		{peg, peg, []string{"label", "14", "bank", "left", "bearing", "9", "mark", "2", "weir", "1", "access", "Words", "lat", "52.1", "lon", "-1.5"}},
		{peg, peg + "/runs", runFields},
		{run, run, runFields},
		{of + "/runs", of + "/runs", []string{"name1", "a run", "out1", "3.33", "name6", "far", "out6", "31"}},
		{of + "/hazards", of + "/hazards", hazardFields},
		{hazard, hazard, hazardFields},
		{of + "/positions", of + "/positions", []string{"lat." + code, "52.1", "lon." + code, "-1.5"}},
		{of + "/fixtures", of + "/fixtures", []string{"name", "A match", "from", "2025-11-01T09:00", "to", "2025-11-01T14:00"}},
	}
}

const hostile = `"><script>alert(1)</script>`

// nonsense is what no field means, or what means something else than is thought.
var nonsense = []string{"", " ", hostile, strings.Repeat("é", 2500), strings.Repeat("9", 400), "-1", "0", "1e309", "9223372036854775808", "1", "NaN", "Inf", "0x1p-2", "1,5,5", "\x00", "\xff\xfe", "\u202eabc",
	"2025-02-30T10:00", "0001-01-01T00:00", "99999-01-01T00:00", "../etc", "14.ZZZZZ", "7.", "=1+1", "a\r\nb: c"}

// TestSetupFormsWithNonsense sends every form with every field missing and with all
// nonsense: no fault of ours and no script in the page; and where it is refused, what was
// typed still stands in the form.
func TestSetupFormsWithNonsense(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	values := nonsense
	if os.Getenv("LEVELPEG_LONG") == "" {
		values = append([]string{"", hostile, "\x00", "14.ZZZZZ", "99999-01-01T00:00"}, nonsense[3:5]...)
	}
	sent, refused := 0, 0
	for _, f := range setupForms(s) {
		for i := 0; i < len(f.fields); i += 2 {
			for n := -1; n < len(values); n++ {
				q := form(s.open(f.page), f.action)
				if len(q) == 0 {
					t.Fatalf("%s has no form to %s", f.page, f.action)
				}
				for k := 0; k < len(f.fields); k += 2 {
					q.Set(f.fields[k], f.fields[k+1])
				}
				if q.Del(f.fields[i]); n >= 0 {
					q.Set(f.fields[i], values[n])
				}
				a := s.keep(s.post(f.action, q, s.header()...))
				sent++
				if a.status >= 500 || strings.Contains(a.body, "<script>alert") {
					t.Errorf("%s with %s = %.40q: %d %.300s", f.action, f.fields[i], q[f.fields[i]], a.status, a.body)
				}
				if a.status != 303 {
					refused++
					s.keptTyped(f, q, a)
				}
			}
		}
	}
	t.Logf("%d forms sent, %d refused with a sentence", sent, refused)
	if refused < sent/4 {
		t.Errorf("only %d of %d were refused", refused, sent)
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
}

// chosen are fields that nobody types: ticks and choices.
var chosen = map[string]bool{"season": true, "open": true, "weir": true, "steep": true, "snaggy": true, "gauge": true, "bank": true, "boil": true, "count": true, "where": true, "kind": true, "peg": true,
	"after": true, "from_peg": true, "to_peg": true}

// legible is text without signs that no page can show, as a browser would send it again.
func legible(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '\ufffd' || r < ' ' || r == '\u202e' {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	return strings.TrimSpace(s)
}

// keptTyped wants a refusal's page to say why, and its form to hold what was typed.
func (s secretary) keptTyped(f setupForm, q url.Values, a answer) {
	s.Helper()
	if a.status != 400 && a.status != 409 || !strings.Contains(a.body, `role="alert"`) {
		s.Errorf("%s with %.200q: %d, and no word why: %.200s", f.action, q, a.status, a.body)
	}
	held := form(a, f.action)
	for i := 0; i < len(f.fields); i += 2 {
		name := f.fields[i]
		if got, want := legible(held.Get(name)), legible(q.Get(name)); !chosen[name] && got != want {
			s.Errorf("%s lost %s: it holds %.60q, and %.60q was typed", f.action, name, got, want)
		}
	}
}

// TestSetupPostsWithNonsense sends to every address of setting up, whatever it takes,
// what no page of ours sends.
func TestSetupPostsWithNonsense(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	posts := 0
	for _, r := range handlers.Routes() {
		if r.Method != "POST" || !strings.HasPrefix(r.Pattern, "/setup") {
			continue
		}
		posts++
		for _, id := range []string{"0", "-1", "x", "99999999999999999999", "777777", "%00", url.PathEscape(hostile)} {
			fill := strings.NewReplacer("{venue}", "sallow-reach", "{gauge}", "teasel-bridge", "{code}", id, "{id}", id)
			for _, path := range []string{fill.Replace(r.Pattern), strings.NewReplacer("{venue}", id, "{gauge}", id, "{code}", id, "{id}", id).Replace(r.Pattern)} {
				if a := s.send(path); a.status >= 500 || strings.Contains(a.body, "<script>alert") {
					t.Errorf("%s: %d %.200s", path, a.status, a.body)
				}
			}
		}
		path := strings.NewReplacer("{venue}", "sallow-reach", "{gauge}", "teasel-bridge", "{code}", "ZZZZ", "{id}", "777777").Replace(r.Pattern)
		for kind, body := range map[string]string{
			"application/x-www-form-urlencoded":     "name=" + strings.Repeat("a", 300<<10),
			"multipart/form-data; boundary=x":       "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a\"\r\n\r\nbroken off",
			"multipart/form-data":                   "no boundary",
			"application/json":                      `{"name":`,
			"application/x-www-form-urlencoded; x=": "%zz=%",
		} {
			if a := s.site.send(path, kind, body, s.header()...); a.status >= 500 || a.status == 303 && kind != "application/json" {
				t.Errorf("%s with %s: %d %.200s", path, kind, a.status, a.body)
			}
		}
	}
	if posts < 25 {
		t.Errorf("only %d addresses take a form", posts)
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
}

// upload sends a form that brings a file.
func (s secretary) upload(path, file string, pairs ...string) answer {
	s.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := w.WriteField(pairs[i], pairs[i+1]); err != nil {
			s.Fatal(err)
		}
	}
	if file != "" {
		part, err := w.CreateFormFile("file", "file")
		if err == nil {
			_, err = part.Write([]byte(file))
		}
		if err != nil {
			s.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		s.Fatal(err)
	}
	return s.keep(s.site.send(path, w.FormDataContentType(), body.String(), s.header()...))
}
