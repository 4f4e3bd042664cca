//go:build !js

package handlers

import "levelpeg/handlers/photo"

// workshop is what the server works with and a phone has no need of.
type workshop struct {
	darkroom *photo.Darkroom
	paper    Paper
	fetches  Feeds
	uploads  levelFiles
}

func newWorkshop(c Config) workshop {
	return workshop{darkroom: photo.NewDarkroom(), paper: c.Paper, fetches: c.Feeds}
}
