package web

import (
	"bytes"
	"context"
	"io"

	"github.com/a-h/templ"
	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/club"
	"levelpeg/rig"
)

// CardMemory remembers the rig cards last rendered, compressed. Cards are a pure
// result of an answer's rigs, which are never changed, and of the shot a reader has, so
// those are what they are remembered by. It is safe for many goroutines; nil remembers
// nothing.
type CardMemory struct {
	seen *lru.Cache[cardsKey, *piece]
}

type cardsKey struct {
	first  *rig.Rig
	tackle club.Tackle
}

// NewCardMemory remembers the cards of up to size answers; 0 remembers none.
func NewCardMemory(size int) *CardMemory {
	if size <= 0 {
		return nil
	}
	seen, err := lru.New[cardsKey, *piece](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &CardMemory{seen}
}

// of gives the cards of an answer that has rigs: the choice of shot they were worked out
// for, with what to change on the first and what holds for all.
func (m *CardMemory) of(a *club.Answer, t club.Tackle) templ.Component {
	if m == nil {
		return cardsOf(a, t)
	}
	return templ.ComponentFunc(func(ctx context.Context, w io.Writer) error {
		p, err := m.recall(a, t)
		if err != nil {
			return err
		}
		return p.Render(ctx, w)
	})
}

func (m *CardMemory) recall(a *club.Answer, t club.Tackle) (*piece, error) {
	key := cardsKey{&a.Rigs[0], t}
	if p, ok := m.seen.Get(key); ok {
		return p, nil
	}
	var html bytes.Buffer
	if err := cardsOf(a, t).Render(context.Background(), &html); err != nil {
		return nil, err
	}
	p, err := newPiece(html.Bytes())
	if err == nil {
		m.seen.Add(key, p)
	}
	return p, err
}

// cardsOf renders the cards.
func cardsOf(a *club.Answer, t club.Tackle) templ.Component {
	all := []templ.Component{tackleChoice(t), rigCardFirst(rigCard(&a.Rigs[0], a.For, 0)), changes(changeLines(a)), fishChanges(fishLines(a))}
	for i := 1; i < len(a.Rigs); i++ {
		all = append(all, rigCardMore(rigCard(&a.Rigs[i], a.For, i)))
	}
	return templ.Join(append(all, afterCards(leadWords(a.Rigs)))...)
}

// tackleChoice is the reader's own kit in words; or, where they have not said what they
// carry, the choice of shot.
func tackleChoice(t club.Tackle) templ.Component {
	if m := t.MyKit(); m != nil {
		return kitLine(m.Words(), kitSays[t.From])
	}
	return shotChoice(shotChoices(t))
}

// kitSays are whose kit it is.
var kitSays = map[club.KitFrom]string{club.KitAsked: "The kit in this address", club.KitMember: "Your kit", club.KitPhone: "Your kit"}
