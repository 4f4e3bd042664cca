// Package guide turns a rig into the steps of setting it up and fishing it, for someone
// who has never tied one. No I/O; nothing in a guide names a place or a person.
package guide

import (
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
	Why   string
	Done  string // what is so when it is done
	Hands string // the distances by hand; empty where there are none
	Draw  sketch.Drawing
	Knots []string // knots that the step ties, by their keys
	Words []string // trade words in it that the glossary has, by their keys
	Care  bool     // it keeps someone from being hurt
}

// For makes the guide of a set-up. A rig that no code can carry is an error.
func For(s Setup) (Guide, error) { return Guide{Setup: s}, nil }

// Read makes the guide again from its code; a club.Fault-like sentence where it is none.
func Read(code string) (Guide, error) { return Guide{}, nil }

// Knot is how a knot is tied, step by step.
type Knot struct {
	Key, Name, For string
	Steps          []KnotStep
}

// KnotStep is one move of a knot.
type KnotStep struct {
	Do   string
	Draw sketch.Drawing
}

// Knots are the knots there are.
func Knots() []Knot { return nil }
