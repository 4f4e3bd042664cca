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
	seen *lru.Cache[*rig.Rig, string]
}

// NewCardMemory remembers the cards of up to size answers; 0 remembers none.
func NewCardMemory(size int) *CardMemory {
	if size <= 0 {
		return nil
	}
	seen, err := lru.New[*rig.Rig, string](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &CardMemory{seen}
}

// of gives the cards of an answer that has rigs, with what to change on the first and
// what holds for all.
func (m *CardMemory) of(a *club.Answer) templ.Component {
	if m == nil {
		return cardsOf(a)
	}
	return templ.ComponentFunc(func(ctx context.Context, w io.Writer) error {
		html, err := m.recall(ctx, a)
		if err != nil {
			return err
		}
		_, err = io.WriteString(w, html)
		return err
	})
}

func (m *CardMemory) recall(ctx context.Context, a *club.Answer) (string, error) {
	key := &a.Rigs[0]
	if html, ok := m.seen.Get(key); ok {
		return html, nil
	}
	var b strings.Builder
	if err := cardsOf(a).Render(ctx, &b); err != nil {
		return "", err
	}
	m.seen.Add(key, b.String())
	return b.String(), nil
}

func cardsOf(a *club.Answer) templ.Component {
	all := []templ.Component{rigCardFirst(rigCard(&a.Rigs[0], a.For, 0)), changes(changeLines(a))}
	for i := 1; i < len(a.Rigs); i++ {
		all = append(all, rigCardMore(rigCard(&a.Rigs[i], a.For, i)))
	}
	return templ.Join(append(all, afterCards(leadWords(a.Rigs)))...)
}
