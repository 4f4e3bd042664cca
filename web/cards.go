package web

import (
	"context"
	"io"
	"strings"

	"github.com/a-h/templ"
	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/club"
	"levelpeg/rig"
)

// CardMemory remembers the rig cards last rendered. Cards are a pure result of an
// answer's rigs, which are never changed, so those are what they are remembered by.
// It is safe for many goroutines; nil remembers nothing.
type CardMemory struct {
	seen *lru.Cache[*rig.Rig, *cards]
}

// cards is the HTML of an answer's first card with what to change on it, and of the
// others with what holds for all.
type cards struct{ first, others string }

// NewCardMemory remembers the cards of up to size answers; 0 remembers none.
func NewCardMemory(size int) *CardMemory {
	if size <= 0 {
		return nil
	}
	seen, err := lru.New[*rig.Rig, *cards](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &CardMemory{seen}
}

// of gives the cards of an answer that has rigs as two components.
func (m *CardMemory) of(a *club.Answer) (first, others templ.Component) {
	var c *cards
	part := func(pick func(*cards) string) templ.Component {
		return templ.ComponentFunc(func(ctx context.Context, w io.Writer) (err error) {
			if c == nil {
				if c, err = m.recall(ctx, a); err != nil {
					return err
				}
			}
			_, err = io.WriteString(w, pick(c))
			return err
		})
	}
	return part(func(c *cards) string { return c.first }), part(func(c *cards) string { return c.others })
}

func (m *CardMemory) recall(ctx context.Context, a *club.Answer) (*cards, error) {
	key := &a.Rigs[0]
	if m != nil {
		if c, ok := m.seen.Get(key); ok {
			return c, nil
		}
	}
	c, err := renderCards(ctx, a)
	if err == nil && m != nil {
		m.seen.Add(key, c)
	}
	return c, err
}

func renderCards(ctx context.Context, a *club.Answer) (*cards, error) {
	var first, others strings.Builder
	if err := rigCardFirst(rigCard(&a.Rigs[0], a.For, 0)).Render(ctx, &first); err != nil {
		return nil, err
	}
	if err := changes(changeLines(a)).Render(ctx, &first); err != nil {
		return nil, err
	}
	if err := fishChanges(fishLines(a)).Render(ctx, &first); err != nil {
		return nil, err
	}
	for i := 1; i < len(a.Rigs); i++ {
		if err := rigCardMore(rigCard(&a.Rigs[i], a.For, i)).Render(ctx, &others); err != nil {
			return nil, err
		}
	}
	if err := afterCards(leadWords(a.Rigs)).Render(ctx, &others); err != nil {
		return nil, err
	}
	return &cards{first.String(), others.String()}, nil
}
