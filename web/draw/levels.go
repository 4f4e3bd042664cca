package draw

import (
	"math"
	"slices"
	"strconv"
	"time"

	"github.com/a-h/templ"
)

// Levels is the chart of a gauge: levels in metres on the zero in force.
type Levels struct {
	Title    string
	From, To time.Time
	Loc      *time.Location
	Step     time.Duration
	Spans    []LevelSpan
	Rules    []float64 // levels above which the club stops fishing
	Latest   *float64
}

// LevelSpan is an hour or a day.
type LevelSpan struct {
	At                time.Time
	LowM, HighM, MidM float64
}

const (
	chartW, chartH = 360.0, 220.0
	chartL, chartR = 62.0, chartW - 6
	chartT, chartB = 14.0, chartH - 28
	labelApart     = 14.0
	tickRoom       = 22.0 // half a date's width
)

type chartScale struct {
	from, to   time.Time
	lowM, topM float64
}

func (s chartScale) x(t time.Time) float64 {
	return chartL + float64(t.Sub(s.from))/float64(s.to.Sub(s.from))*(chartR-chartL)
}
func (s chartScale) y(m float64) float64 {
	return chartB - (m-s.lowM)/(s.topM-s.lowM)*(chartB-chartT)
}

// Draw draws the levels as a band from the least to the most of each span, with
// the mean through it. A gap in the readings is a gap in the drawing.
func (d Levels) Draw() templ.Component {
	d.thin()
	s := d.scale()
	c := make(canvas, 0, 4000+24*len(d.Spans))
	c.s(`<svg class="levels" viewBox="0 0 `, num(chartW), " ", num(chartH), `" role="img" aria-labelledby="lev-t"><title id="lev-t">`,
		templ.EscapeString(d.Title), `</title>`)
	d.grid(&c, s)
	for _, run := range d.unbroken() {
		band(&c, s, run, d.Step)
	}
	d.rules(&c, s)
	if d.Latest != nil {
		c.s(`<circle class="now"`)
		c.attr("cx", chartR-3)
		c.attr("cy", s.y(*d.Latest))
		c.s(` r="4.5"/>`)
	}
	board{id: "cm", topM: s.topM, botM: s.lowM, top: chartT, bottom: chartB, right: chartL - 8, wide: 16, level: d.Latest}.numbered(&c, d.step(s))
	if len(d.Spans) == 0 {
		c.text("mid", (chartL+chartR)/2, chartH/2, "no levels in this time")
	}
	c.s("</svg>")
	return c.component()
}

// mostSpans is how many spans are drawn: more would share the drawing's columns.
const mostSpans = 360

// thin makes one span of several neighbours where there are more than can be told
// apart, keeping the least and the most of them. A gap stays a gap.
func (d *Levels) thin() {
	every := (len(d.Spans) + mostSpans - 1) / mostSpans
	if every < 2 {
		return
	}
	var out []LevelSpan
	n := 0 // spans in the last of out
	for i, s := range d.Spans {
		if i == 0 || n == every || d.gapBefore(i) {
			out, n = append(out, s), 1
			continue
		}
		last := &out[len(out)-1]
		last.LowM, last.HighM = math.Min(last.LowM, s.LowM), math.Max(last.HighM, s.HighM)
		last.MidM += (s.MidM - last.MidM) / float64(n+1)
		n++
	}
	d.Spans, d.Step = out, d.Step*time.Duration(every)
}

func (d *Levels) gapBefore(i int) bool {
	return d.Spans[i].At.Sub(d.Spans[i-1].At) > d.Step+d.Step/2
}

// rules draws the levels above which the club stops fishing. The lowest has its
// words under its line and the highest over it, so that two do not run together;
// those between have the line alone, and stand in the list below the drawing.
func (d Levels) rules(c *canvas, s chartScale) {
	rules := slices.Sorted(slices.Values(d.Rules))
	for i, r := range rules {
		c.line("rule", chartL, s.y(r), chartR, s.y(r))
		words := "no fishing above " + strconv.FormatFloat(r, 'f', 2, 64)
		switch i {
		case len(rules) - 1:
			c.text("end", chartR, s.y(r)-4, words)
		case 0:
			c.text("end", chartR, s.y(r)+labelApart, words)
		}
	}
}

// step is how far apart the figures on the board are, so that some six stand on it.
func (d Levels) step(s chartScale) float64 {
	for _, try := range []float64{0.1, 0.2, 0.5, 1} {
		if (s.topM-s.lowM)/try <= 7 {
			return try
		}
	}
	return 2
}

func (d Levels) scale() chartScale {
	low, top := math.Inf(1), math.Inf(-1)
	take := func(lo, hi float64) { low, top = math.Min(low, lo), math.Max(top, hi) }
	for _, s := range d.Spans {
		take(s.LowM, s.HighM)
	}
	if d.Latest != nil {
		take(*d.Latest, *d.Latest)
	}
	for _, r := range d.Rules {
		take(r, r)
	}
	if low > top {
		low, top = 0, 1
	}
	if top-low < 0.4 {
		low, top = low-0.2, top+0.2
	}
	return chartScale{from: d.From, to: d.To, lowM: math.Floor((low-0.05)*10) / 10, topM: math.Ceil((top+0.05)*10) / 10}
}

// unbroken splits the spans where the readings have a gap.
func (d Levels) unbroken() [][]LevelSpan {
	var out [][]LevelSpan
	for i, s := range d.Spans {
		if i == 0 || d.gapBefore(i) {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], s)
	}
	return out
}

// band draws each span at its middle. On a long look-back several days share a
// dot; drawing them all still shows the least and the most.
func band(c *canvas, s chartScale, run []LevelSpan, step time.Duration) {
	at := func(p LevelSpan) float64 { return math.Max(chartL, math.Min(chartR, s.x(p.At.Add(step/2)))) }
	c.s(`<path class="band" d="M`)
	for i, p := range run {
		join(c, i)
		c.point(at(p), s.y(p.HighM))
	}
	for i := len(run) - 1; i >= 0; i-- {
		c.s("L")
		c.point(at(run[i]), s.y(run[i].LowM))
	}
	c.s(`Z"/><path class="course" d="M`)
	for i, p := range run {
		join(c, i)
		c.point(at(p), s.y(p.MidM))
	}
	c.s(`"/>`)
}

func join(c *canvas, i int) {
	if i > 0 {
		c.s("L")
	}
}

func (d Levels) grid(c *canvas, s chartScale) {
	step := d.step(s)
	for i := int(math.Ceil(s.lowM/step - 1e-9)); float64(i)*step <= s.topM; i++ {
		c.line("grid", chartL, s.y(float64(i)*step), chartR, s.y(float64(i)*step))
	}
	for _, t := range d.ticks() {
		x := s.x(t.at)
		c.line("grid", x, chartT, x, chartB)
		if x > chartL+tickRoom && x < chartR-tickRoom {
			c.text("mid", x, chartH-8, t.label)
		}
	}
}

type tick struct {
	at    time.Time
	label string
}

// ticks are days, months or years, by how far the chart looks back.
func (d Levels) ticks() []tick {
	days := int(d.To.Sub(d.From).Hours() / 24)
	y, m, day := d.To.In(d.Loc).Date()
	var out []tick
	add := func(at time.Time, layout string) {
		if at.After(d.From) && at.Before(d.To) {
			out = append(out, tick{at, at.Format(layout)})
		}
	}
	for i := range 8 {
		switch {
		case days <= 10:
			add(time.Date(y, m, day-i*max(1, days/5), 0, 0, 0, 0, d.Loc), "Mon 2")
		case days <= 60:
			add(time.Date(y, m, day-i*7, 0, 0, 0, 0, d.Loc), "2 Jan")
		case days <= 500:
			add(time.Date(y, m-time.Month(i*3), 1, 0, 0, 0, 0, d.Loc), "Jan 2006")
		default:
			add(time.Date(y-i*max(1, days/365/5), 1, 1, 0, 0, 0, 0, d.Loc), "2006")
		}
	}
	return out
}
