package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"levelpeg/hydro"
)

// bedCmd asks the sums for one run's bed, depth and pace without a server or a book.
type bedCmd struct {
	File     string    `arg:"" help:"Soundings as CSV: time, level_m, depth_m, and where timed pace_mps and timed_s. - is standard input."`
	Level    []float64 `help:"Level to answer for, metres; may be given more than once. Without it, over what was sounded." placeholder:"M"`
	Flood    []string  `help:"When a flood may have moved the bed: a day or a time; may be given more than once." placeholder:"TIME"`
	Now      string    `help:"The time to answer for: a day or a time (default: now)." placeholder:"TIME"`
	PastWeir bool      `help:"A weir or a lock lies between the gauge and the run." name:"past-weir"`
	Steep    bool      `help:"The bed slopes hard across the stream."`
	JSON     bool      `help:"Print JSON, units in the names." name:"json"`
}

func (c bedCmd) Run(out io.Writer) error {
	soundings, lines, err := c.read()
	if err != nil {
		return err
	}
	floods, now, err := c.times()
	if err != nil {
		return err
	}
	prior := hydro.OpenReach()
	if c.PastWeir {
		prior = hydro.PastWeir()
	}
	if c.Steep {
		prior = prior.Steep()
	}
	r, err := hydro.Fit(soundings, floods, now, prior)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, lineOf(err, soundings, lines, now))
	}
	a, err := c.answer(r)
	if err != nil {
		return err
	}
	a.Odd = oddOnes(soundings, floods, now, prior)
	a.Judged = judged(soundings)
	if c.JSON {
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		return enc.Encode(a)
	}
	return a.print(out)
}

func (c bedCmd) read() ([]hydro.Sounding, []int, error) {
	in := io.Reader(os.Stdin)
	if c.File != "-" {
		f, err := os.Open(c.File)
		if err != nil {
			return nil, nil, err
		}
		defer f.Close()
		in = f
	}
	s, lines, err := readSoundings(in)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", c.File, err)
	}
	if len(s) == 0 {
		return nil, nil, fmt.Errorf("%s: there is no sounding in it, so nothing is known", c.File)
	}
	return s, lines, nil
}

func (c bedCmd) times() (floods []time.Time, now time.Time, err error) {
	for _, text := range c.Flood {
		at, err := momentOf(text)
		if err != nil {
			return nil, now, fmt.Errorf("--flood: %w", err)
		}
		floods = append(floods, at)
	}
	if c.Now == "" {
		return floods, time.Now(), nil
	}
	if now, err = momentOf(c.Now); err != nil {
		return nil, now, fmt.Errorf("--now: %w", err)
	}
	return floods, now, nil
}

// bedAnswer is what is printed, as JSON with these names.
type bedAnswer struct {
	Bed        bedFigure  `json:"bed_m"`
	Soundings  int        `json:"soundings"`
	Timed      int        `json:"timed_soundings"`
	LowestM    float64    `json:"sounded_from_level_m"`
	HighestM   float64    `json:"sounded_to_level_m"`
	SinceFlood int        `json:"soundings_since_flood"`
	Levels     []bedLevel `json:"levels"`
	Judged     bool       `json:"soundings_were_judged"`
	Odd        []oddOne   `json:"odd_soundings"`
}

// bedFigure is a figure with the range that holds it four times in five.
type bedFigure struct {
	Mid  float64 `json:"mid"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type bedLevel struct {
	LevelM float64   `json:"level_m"`
	Depth  bedFigure `json:"depth_m"`
	Pace   bedFigure `json:"pace_mps"`
	Guess  bool      `json:"pace_is_a_guess"`
	Beyond bool      `json:"beyond_anything_sounded"`
}

type oddOne struct {
	At      time.Time `json:"at"`
	LevelM  float64   `json:"level_m"`
	DepthM  float64   `json:"depth_m"`
	ByM     float64   `json:"off_by_m"`
	Against int       `json:"against"`
}

func figureOf(f hydro.Figure) bedFigure {
	return bedFigure{round3(f.Mid), round3(f.Low), round3(f.High)}
}

func round3(v float64) float64 { return math.Round(v*1000) / 1000 }

func (c bedCmd) answer(r *hydro.Run) (bedAnswer, error) {
	b := r.Basis()
	bed, err := r.Bed()
	if err != nil {
		return bedAnswer{}, err
	}
	a := bedAnswer{Bed: figureOf(bed), Soundings: b.Soundings, Timed: b.Timed, LowestM: b.LowestM, HighestM: b.HighestM,
		SinceFlood: b.SinceFlood, Odd: []oddOne{}}
	levels := c.Level
	if len(levels) == 0 {
		levels = slices.Compact([]float64{b.LowestM, (b.LowestM + b.HighestM) / 2, b.HighestM})
	}
	for _, level := range levels {
		depth, err := r.Depth(level)
		if err != nil {
			return a, fmt.Errorf("--level: %w", cause(err))
		}
		pace, err := r.Pace(level)
		if err != nil {
			return a, err
		}
		below, above := r.Beyond(level)
		a.Levels = append(a.Levels, bedLevel{round3(level), figureOf(depth), figureOf(pace), b.Timed == 0, below || above})
	}
	return a, nil
}

// mostJudged keeps the judging of each sounding against all the others quick.
const mostJudged = 200

// judged says whether each sounding is held against the others.
func judged(all []hydro.Sounding) bool { return len(all) >= 3 && len(all) <= mostJudged }

// oddOnes are the soundings that are unlike all the others.
func oddOnes(all []hydro.Sounding, floods []time.Time, now time.Time, p hydro.Prior) []oddOne {
	out := []oddOne{}
	if !judged(all) {
		return out
	}
	for i, s := range all {
		others := append(append([]hydro.Sounding{}, all[:i]...), all[i+1:]...)
		r, err := hydro.Fit(others, floods, now, p)
		if err != nil {
			continue
		}
		if j, err := r.JudgeDepth(s); err == nil && j.Odd {
			out = append(out, oddOne{s.At, s.LevelM, s.DepthM, round3(j.By), j.Against})
		}
	}
	return out
}

func (a bedAnswer) print(out io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "bed %.2f m (%.2f to %.2f), from %s at levels %.2f to %.2f m, %d of them timed\n\n",
		a.Bed.Mid, a.Bed.Low, a.Bed.High, soundingsWord(a.Soundings), a.LowestM, a.HighestM, a.Timed)
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "level m\tdepth m\tpace m/s\t")
	for _, l := range a.Levels {
		fmt.Fprintf(t, "%.2f\t%.2f (%.2f to %.2f)\t%.2f (%.2f to %.2f)\t%s\n", l.LevelM, l.Depth.Mid, l.Depth.Low, l.Depth.High,
			l.Pace.Mid, l.Pace.Low, l.Pace.High, l.doubt())
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(&b, "\nA range holds four times in five. Plumb before you trust it.")
	if a.SinceFlood == 0 {
		fmt.Fprintln(&b, "Nobody has plumbed since the flood: the bed may have moved.")
	}
	if !a.Judged && a.Soundings > mostJudged {
		fmt.Fprintf(&b, "With more than %d soundings none is held against the others.\n", mostJudged)
	}
	for _, o := range a.Odd {
		fmt.Fprintf(&b, "%s: %.2f m at level %.2f is %.2f m off what the other %d say. Is it right?\n", o.At.Format(time.DateOnly), o.DepthM, o.LevelM, o.ByM, o.Against)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func (l bedLevel) doubt() string {
	var out []string
	if l.Beyond {
		out = append(out, "beyond anything sounded")
	}
	if l.Guess {
		out = append(out, "nobody timed it: the pace is a guess")
	}
	return strings.Join(out, "; ")
}

func soundingsWord(n int) string {
	if n == 1 {
		return "1 sounding"
	}
	return strconv.Itoa(n) + " soundings"
}
