package main

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"sync"
	"time"

	"levelpeg/e2e/under"
)

// tally is what became of one kind of request.
type tally struct {
	took  under.Took
	bytes int
	wrong map[string]int
}

func (t *tally) add(a answer) {
	t.took = append(t.took, a.took)
	t.bytes += a.bytes
	if a.wrong != "" {
		if t.wrong == nil {
			t.wrong = map[string]int{}
		}
		t.wrong[a.wrong]++
	}
}

func (t *tally) join(o tally) {
	t.took, t.bytes = append(t.took, o.took...), t.bytes+o.bytes
	for what, n := range o.wrong {
		if t.wrong == nil {
			t.wrong = map[string]int{}
		}
		t.wrong[what] += n
	}
}

// drive has so many connections ask, each again as soon as it is answered, until the time
// is over; requests under way then are finished, and count.
func drive(ctx context.Context, b *browser, k *book, c chooser, o options, salt uint64, lasts time.Duration) []tally {
	ends := time.Now().Add(lasts)
	all := make([][]tally, o.connections)
	var wait sync.WaitGroup
	for n := range all {
		all[n] = make([]tally, len(c.kinds))
		r := newReader(k, o.seed, salt*1_000_000+uint64(n))
		wait.Go(func() {
			for i := r.IntN(lookAt); time.Now().Before(ends) && ctx.Err() == nil; i++ {
				which := c.pick(r.IntN(c.total))
				all[n][which].add(b.get(ctx, c.kinds[which].make(r), i%lookAt == 0))
			}
		})
	}
	wait.Wait()
	out := make([]tally, len(c.kinds))
	for _, one := range all {
		for i, t := range one {
			out[i].join(t)
		}
	}
	return out
}

// alone asks for each kind so many times, one request at a time, and looks at every body.
func alone(ctx context.Context, b *browser, k *book, c chooser, o options) []tally {
	out, r := make([]tally, len(c.kinds)), newReader(k, o.seed, 0)
	for range o.alone {
		for i, kind := range c.kinds {
			out[i].add(b.get(ctx, kind.make(r), true))
		}
	}
	return out
}

var (
	guideLink = regexp.MustCompile(`/guide/[0-9A-Z]+`)
	stepLink  = regexp.MustCompile(`/guide/[0-9A-Z]+/[0-9a-z-]+`)
)

// guidesWanted is how many guides are asked for: those of the pegs asked for most.
const guidesWanted = 300

// findGuides reads sheets, and guides, for the addresses of guides and of their steps.
func findGuides(ctx context.Context, b *browser, k *book, seed uint64) error {
	r := newReader(k, seed, 999)
	for range 2 * guidesWanted {
		links, err := linksOf(ctx, b, r.openPeg().path(), guideLink)
		if err != nil {
			return err
		}
		k.guides = append(k.guides, links...)
		if slices.Sort(k.guides); len(slices.Compact(slices.Clone(k.guides))) >= guidesWanted {
			break
		}
	}
	k.guides = slices.Compact(k.guides)
	for i := 0; i < len(k.guides); i += 10 {
		links, err := linksOf(ctx, b, k.guides[i], stepLink)
		if err != nil {
			return err
		}
		k.steps = append(k.steps, links...)
	}
	if len(k.guides) == 0 || len(k.steps) == 0 {
		return errors.New("no sheet leads to a guide")
	}
	return nil
}

func linksOf(ctx context.Context, b *browser, path string, link *regexp.Regexp) ([]string, error) {
	res, body, err := b.fetch(ctx, ask{path: path})
	if err != nil {
		return nil, err
	}
	if res.StatusCode != 200 {
		return nil, fmt.Errorf("%s: %s", path, res.Status)
	}
	text, err := unpacked(res, body)
	found := link.FindAllString(text, -1)
	slices.Sort(found)
	return slices.Compact(found), err
}
