package web

import (
	"bytes"
	"context"
	"sync"
	"testing"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/rig"
)

func answerFor(t *testing.T, w rig.Water) *club.Answer {
	t.Helper()
	a, err := club.NewRigMemory(0).Answer(&w, nil, rig.Aim{}, club.NewKit(rig.StandardKit()))
	if err != nil || len(a.Rigs) == 0 {
		t.Fatalf("no rigs for %+v: %v", w, err)
	}
	return &a
}

func html(t *testing.T, c templ.Component) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Remembered cards are the cards: of each answer its own, however many ask at once.
func TestRememberedCardsAreTheSame(t *testing.T) {
	answers := []*club.Answer{
		answerFor(t, rig.Water{DepthM: 1.8, PaceMPS: 0.8, Boil: 1, DistanceM: 9}),
		answerFor(t, rig.Water{DepthM: 1.5, PaceMPS: 0.4, DistanceM: 4}),
		answerFor(t, rig.Water{DepthM: 2.6, PaceMPS: 0.3, DistanceM: 9}),
	}
	var want []string
	for _, a := range answers {
		want = append(want, html(t, (*CardMemory)(nil).of(a, club.StandardTackle())))
	}
	if want[0] == want[1] || want[1] == want[2] {
		t.Fatal("the answers of this test should differ")
	}
	for _, size := range []int{1, 2, 100} {
		m := NewCardMemory(size)
		var wait sync.WaitGroup
		for i := range 60 {
			wait.Go(func() {
				n := i % len(answers)
				if got := html(t, m.of(answers[n], club.StandardTackle())); got != want[n] {
					t.Errorf("memory of %d: the cards of answer %d are not its own", size, n)
				}
			})
		}
		wait.Wait()
		if n := m.seen.Len(); n > size {
			t.Errorf("memory of %d holds %d", size, n)
		}
	}
}
