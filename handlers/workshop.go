//go:build !js

package handlers

import (
	"time"

	"levelpeg/handlers/photo"
)

// workshop is what the server works with and a phone has no need of.
type workshop struct {
	darkroom *photo.Darkroom
	paper    Paper
	fetches  Feeds
	uploads  levelFiles
	measures Measures
	logAll   bool
	stopping <-chan struct{}
	copy     bool
}

func newWorkshop(c Config) workshop {
	return workshop{darkroom: photo.NewDarkroom(), paper: c.Paper, fetches: c.Feeds, measures: counted(c.Measures), logAll: c.LogAll, stopping: c.Stopping, copy: c.Copy}
}

func counted(m Measures) Measures {
	if m == nil {
		return uncounted{}
	}
	return m
}

// uncounted counts nothing.
type uncounted struct{}

func (uncounted) Begin()                                 {}
func (uncounted) End(string, string, int, time.Duration) {}
func (uncounted) Entry(string)                           {}
