package draw

import (
	"math"
	"slices"
	"time"

	"github.com/a-h/templ"
)

// Levels is the chart of a gauge: levels in metres on the zero in force.
type Levels struct {
	Title    string
	From, To time.Time // of the history; what is foretold comes after it
	Loc      *time.Location
	Step     time.Duration // that one span stands for; 0 for a reading
	Gap      time.Duration // two spans that begin further apart are not joined
	Spans    []LevelSpan
	Rules    []Rule
	Zeros    []time.Time // when a new zero began
	Latest   *LevelAt    // where the water stands; nil where the history ends before now
	Fan      []FanPoint  // what is foretold, soonest first
}

// LevelSpan is the least, most and mean from a time on.
type LevelSpan struct {
	At                time.Time
	LowM, HighM, MidM float64
}

// LevelAt is a level at a time.
type LevelAt struct {
	At     time.Time
	LevelM float64
}

// Rule is a level at which a rule of the club begins.
type Rule struct {
	LevelM float64
	Words  string
}

// FanPoint is a level to come, and the range it is thought to be in.
type FanPoint struct {
	At                time.Time
	MidM, LowM, HighM float64
}

const (
	chartW, chartH = 360.0, 240.0
	chartL, chartR = 62.0, chartW - 6
	chartT, chartB = 14.0, chartH - 28
	labelApart     = 14.0
	tickRoom       = 22.0 // half a date's width
	wordRoom       = 62.0 // the width of "new zero"
	ruleLetter     = 6.7  // about the width of a letter of a rule's words
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

// Draw draws the levels as a band from the least to the most of each span, with the
// mean through it. A gap in the readings is a gap in the drawing.
func (d Levels) Draw() templ.Component {
	d.Fan = d.fanShown()
	s := d.scale()
	c := make(canvas, 0, 4000+36*len(d.Spans))
	c.s(`<svg class="levels" viewBox="0 0 `, num(chartW), " ", num(chartH), `" role="img" aria-labelledby="lev-t"><title id="lev-t">`,
		templ.EscapeString(d.Title), `</title>`)
	d.grid(&c, s)
	d.history(&c, s)
	d.fan(&c, s)
	d.rules(&c, s)
	d.zeros(&c, s)
	var level *float64
	if d.Latest != nil {
		level = &d.Latest.LevelM
		d.now(&c, s)
	}
	board{id: "cm", topM: s.topM, botM: s.lowM, top: chartT, bottom: chartB, right: chartL - 8, wide: 16, level: level}.numbered(&c, d.step(s))
	if len(d.Spans) == 0 {
		c.text("start", chartL+6, chartB-30, "no levels in this time")
	}
	c.s("</svg>")
	return c.component()
}

func (d Levels) scale() chartScale {
	low, top := math.Inf(1), math.Inf(-1)
	take := func(lo, hi float64) { low, top = math.Min(low, lo), math.Max(top, hi) }
	for _, s := range d.Spans {
		take(s.LowM, s.HighM)
	}
	for _, p := range d.Fan {
		take(p.LowM, p.HighM)
	}
	if d.Latest != nil {
		take(d.Latest.LevelM, d.Latest.LevelM)
	}
	for _, r := range d.Rules {
		take(r.LevelM, r.LevelM)
	}
	if low > top {
		low, top = 0, 1
	}
	if top-low < 0.4 {
		low, top = low-0.2, top+0.2
	}
	s := chartScale{from: d.From, to: d.To, lowM: math.Floor((low-0.05)*10) / 10, topM: math.Ceil((top+0.05)*10) / 10}
	if n := len(d.Fan); n > 0 && d.Fan[n-1].At.After(s.to) {
		s.to = d.Fan[n-1].At
	}
	if !s.to.After(s.from) {
		s.from = s.to.Add(-time.Hour)
	}
	return s
}

// unbroken splits the spans where the readings have a gap.
func (d Levels) unbroken() [][]LevelSpan {
	var out [][]LevelSpan
	for i, s := range d.Spans {
		if i == 0 || s.At.Sub(d.Spans[i-1].At) > d.Gap {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], s)
	}
	return out
}

// history draws what is joined as a band and a course, and each span that stands
// alone as a stroke from its least to its most, which for one reading is a dot.
func (d Levels) history(c *canvas, s chartScale) {
	at := func(p LevelSpan) float64 { return math.Max(chartL, math.Min(chartR, s.x(p.At.Add(d.Step/2)))) }
	var alone canvas
	for _, run := range d.unbroken() {
		if len(run) > 1 {
			band(c, s, run, at)
			continue
		}
		alone.s("M")
		alone.point(at(run[0]), s.y(run[0].LowM))
		alone.s("L")
		alone.point(at(run[0]), s.y(run[0].HighM))
	}
	if len(alone) > 0 {
		c.s(`<path class="alone" d="`, string(alone), `"/>`)
	}
}

func band(c *canvas, s chartScale, run []LevelSpan, at func(LevelSpan) float64) {
	if slices.ContainsFunc(run, func(p LevelSpan) bool { return p.HighM > p.LowM }) {
		c.s(`<path class="band" d="M`)
		for i, p := range run {
			join(c, i)
			c.point(at(p), s.y(p.HighM))
		}
		for _, p := range slices.Backward(run) {
			c.s("L")
			c.point(at(p), s.y(p.LowM))
		}
		c.s(`Z"/>`)
	}
	c.s(`<path class="course" d="M`)
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

// step is how far apart the figures on the board are, so that some six stand on it.
func (d Levels) step(s chartScale) float64 {
	for _, try := range []float64{0.1, 0.2, 0.5, 1} {
		if (s.topM-s.lowM)/try <= 7 {
			return try
		}
	}
	return 2
}

func (d Levels) grid(c *canvas, s chartScale) {
	step := d.step(s)
	for i := int(math.Ceil(s.lowM/step - 1e-9)); float64(i)*step <= s.topM; i++ {
		c.line("grid", chartL, s.y(float64(i)*step), chartR, s.y(float64(i)*step))
	}
	for _, t := range ticks(s.from, s.to, d.Loc) {
		x := s.x(t.at)
		c.line("grid", x, chartT, x, chartB)
		if x > chartL+tickRoom && x < chartR-tickRoom {
			c.text("mid", x, chartH-8, t.label)
		}
	}
}
