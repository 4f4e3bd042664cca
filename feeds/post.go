package feeds

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"time"

	"levelpeg/club"
)

// Refusal is a row or an element that was not kept, counted from 1.
type Refusal struct {
	Row int    `json:"row"`
	Why string `json:"why"`
}

const isPost = "JSON with a list of levels"

// PostMost is how many levels may be posted at once.
const PostMost = 20_000

// ParsePost reads what a club's own logger posts: JSON, {"levels": [{"at": time with its
// zone, "level_m": metres}]} or the list alone, or CSV with a time (UTC where it has no
// zone) and a level in metres. It fails for a body that cannot be read.
func ParsePost(kind string, body io.Reader, maxBytes int64, now time.Time) ([]club.Level, []Refusal, error) {
	p := posted{now: now}
	var err error
	if kind == "text/csv" {
		err = ScanLevels(body, club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}, club.Metres, maxBytes, now, p.row)
	} else {
		err = p.json(source(body, Limits{Bytes: maxBytes}))
	}
	if err != nil {
		return nil, nil, err
	}
	return p.levels, p.refused, nil
}

type posted struct {
	now     time.Time
	n       int
	levels  []club.Level
	refused []Refusal
}

func (p *posted) more() error {
	if p.n++; p.n > PostMost {
		return problem("Post no more than %d levels at once.", PostMost)
	}
	return nil
}

func (p *posted) row(r LevelRow) error {
	if err := p.more(); err != nil {
		return err
	}
	switch {
	case r.Why != "":
		p.refused = append(p.refused, Refusal{r.N, r.Why})
	case r.None:
		p.refused = append(p.refused, Refusal{r.N, "it has no level"})
	default:
		p.levels = append(p.levels, club.Level{At: r.At, LevelM: r.LevelM, Source: club.Station})
	}
	return nil
}

func (p *posted) json(r io.Reader) error {
	all, err := io.ReadAll(r)
	if err != nil {
		return unreadable(err, isPost)
	}
	if !json.Valid(all) {
		return problem("It is not %s.", isPost)
	}
	doc := valueOf(bytes.TrimSpace(all))
	if doc.object == nil {
		doc = value{object: map[string]json.RawMessage{"levels": doc.raw}}
	}
	if !strings.HasPrefix(string(bytes.TrimSpace(doc.object["levels"])), "[") {
		return problem("It is not %s.", isPost)
	}
	for _, v := range doc.all("levels") {
		if err := p.more(); err != nil {
			return err
		}
		p.element(v)
	}
	return nil
}

func (p *posted) element(v value) {
	m, ok := v.one("level_m").number()
	at, why := moment(v.one("at").text())
	if why == "" {
		why = club.LevelTime(at, p.now)
	}
	level, read := club.Metres.LevelOf(m, 0)
	switch {
	case !ok || isFill(m):
		why = "its level_m is not a number"
	case why == "" && !read:
		why = "that is no level a board reads"
	}
	if why != "" {
		p.refused = append(p.refused, Refusal{p.n, why})
		return
	}
	p.levels = append(p.levels, club.Level{At: at, LevelM: level, Source: club.Station})
}
