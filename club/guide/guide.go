// Package guide turns a rig into the steps of setting it up and fishing it, for someone
// who has never tied one. No I/O; nothing in a guide names a place or a person.
package guide

import (
	"strings"

	"levelpeg/club/sketch"
	"levelpeg/rig"
)

// Setup is a rig and the water it was made for: all that a guide is made from, and all
// that its code carries.
type Setup struct {
	Rig    rig.Rig
	Water  rig.Water
	Junior bool
	// LevelM is the river's level, by its own board, that the water was worked out for.
	LevelM *float64
	High   bool // above what is usual for the board
}

// SetupOf is a rig and its water; a rig made for a junior says so itself.
func SetupOf(r rig.Rig, w rig.Water) Setup {
	return Setup{Rig: r, Water: w, Junior: r.ReadyTied && r.Barb == rig.Barbless}
}

// Guide is a rig's set-up, step by step.
type Guide struct {
	Code  string
	Setup Setup // as its code carries it
	Name  string
	For   string // the water in a sentence
	Steps []Step
}

// Step is one screen, or one panel of a booklet.
type Step struct {
	Key   string // its address, stable: "plumb"
	Part  string // what part of the guide it belongs to: "Before you start"
	Title string
	Do    []string // what to do, a sentence or two each
	List  []string // what it is about, a line each; most have none
	Why   string
	Done  string // what is so when it is done
	Hands string // the distances by hand; empty where there are none
	Draw  sketch.Drawing
	Knots []string // knots that the step ties, by their keys
	Words []string // trade words in it that the glossary has, by their keys
	Care  bool     // it keeps someone from being hurt
}

// For makes the guide of a set-up, always by way of its code, so that it is the one that
// anybody with the code sees. It fails with Invalid for a rig that no code can carry.
func For(s Setup) (Guide, error) {
	code, err := s.Code()
	if err != nil {
		return Guide{}, err
	}
	return Read(code)
}

// Read makes a guide from its code. It fails with Invalid for what is none.
func Read(code string) (Guide, error) {
	s, err := Parse(code)
	if err != nil {
		return Guide{}, err
	}
	g := Guide{Code: tidy(code), Setup: s, Name: s.Rig.Name, For: s.forWater()}
	g.Steps = newWriter(s).steps()
	for i := range g.Steps {
		g.Steps[i].Words = wordsIn(g.Steps[i].text())
	}
	return g, nil
}

// At is the place of a step by its key; −1 where there is none.
func (g *Guide) At(key string) int {
	for i := range g.Steps {
		if g.Steps[i].Key == key {
			return i
		}
	}
	return -1
}

// text is all the words of a step.
func (s *Step) text() string {
	return strings.Join(append(append([]string{s.Title, s.Why, s.Done, s.Hands}, s.Do...), s.List...), "\n")
}
