//go:build !js

package handlers

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

func (s *server) pegsSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewPegsSetup(s.assets, w, f), nil
}

func (s *server) addStretch(in sent) (done, error) {
	d, err := parse.Stretch(in.q)
	if err != nil {
		return done{}, err
	}
	says, err := s.book.AddStretch(in.ctx, in.who, in.param("venue"), d, in.now)
	return done{in.base + "/runs", says + " Now their runs."}, err
}

func (s *server) addBetween(in sent) (done, error) {
	label, err := s.book.AddBetween(in.ctx, in.who, in.param("venue"), parse.Between(in.q), in.now)
	return done{in.base + "/pegs", "Made: peg " + label + "."}, err
}

func (s *server) renumber(in sent) (done, error) {
	d, err := parse.Renumber(in.q)
	if err != nil {
		return done{}, err
	}
	says, err := s.book.Renumber(in.ctx, in.who, in.param("venue"), d, in.now)
	return done{in.base + "/pegs", says}, err
}

// pegNamed is the peg whose code the address has.
func pegNamed(r *http.Request, w club.OfficeWater) (club.OfficePeg, error) {
	k, ok := w.Peg(strings.ToUpper(param(r, "code")))
	if !ok {
		return k, club.Faultf(club.NotFound, "%s has no peg with that code.", w.Venue.Name)
	}
	return k, nil
}

func (s *server) pegSetup(r *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	k, err := pegNamed(r, w)
	return web.NewPegSetup(s.assets, w, k, f), err
}

func (in sent) pegPath() string { return in.base + "/pegs/" + in.param("code") }

func (s *server) changePeg(in sent) (done, error) {
	d, err := parse.Peg(in.q)
	if err != nil {
		return done{}, err
	}
	return done{in.pegPath(), "Kept."}, s.book.ChangePeg(in.ctx, in.who, in.param("venue"), in.param("code"), d, in.now)
}

func (s *server) dropPeg(in sent) (done, error) {
	says, err := s.book.DropPeg(in.ctx, in.who, in.param("venue"), in.param("code"), in.now)
	return done{in.base + "/pegs", says}, err
}

func (s *server) runSetup(r *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	k, err := pegNamed(r, w)
	if err != nil {
		return web.SetupPage{}, err
	}
	for _, run := range k.Runs {
		if strconv.FormatInt(run.ID, 10) == param(r, "id") {
			return web.NewRunSetup(s.assets, w, k, run, f), nil
		}
	}
	return web.SetupPage{}, club.Faultf(club.NotFound, "Peg %s has no such run.", k.Label)
}

func (s *server) setRun(in sent) (done, error) {
	d, err := parse.Run(in.q)
	if err != nil {
		return done{}, err
	}
	return done{in.pegPath(), "Kept: the run “" + strings.TrimSpace(d.Name) + "”."}, s.book.SetRun(in.ctx, in.who, in.param("venue"), in.param("code"), in.id, d, in.now)
}

func (s *server) dropRun(in sent) (done, error) {
	name, err := s.book.DropRun(in.ctx, in.who, in.param("venue"), in.param("code"), in.id, in.now)
	return done{in.pegPath(), "Taken away: the run “" + name + "”."}, err
}

func (s *server) runsSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewRunsSetup(s.assets, w, f), nil
}

func (s *server) addRuns(in sent) (done, error) {
	d, err := parse.RunSet(in.q, web.RunsMost)
	if err != nil {
		return done{}, err
	}
	runs, pegs, err := s.book.AddRuns(in.ctx, in.who, in.param("venue"), d, in.now)
	return done{in.base + "/runs", fmt.Sprintf("Made: %s at %s.", club.Plural(runs, "run"), club.Plural(pegs, "peg"))}, err
}

func (s *server) hazardsSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewHazardsSetup(s.assets, w, f), nil
}

func (s *server) hazardSetup(r *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	for _, h := range w.Hazards {
		if strconv.FormatInt(h.ID, 10) == param(r, "id") {
			return web.NewHazardSetup(s.assets, w, h, f), nil
		}
	}
	return web.SetupPage{}, club.Faultf(club.NotFound, "%s has no such hazard.", w.Venue.Name)
}

func (s *server) setHazard(in sent) (done, error) {
	d, err := parse.Hazard(in.q)
	if err != nil {
		return done{}, err
	}
	return done{in.base + "/hazards", "Written down. It stands first on the sheets it is for."}, s.book.SetHazard(in.ctx, in.who, in.param("venue"), in.id, d, in.now)
}

func (s *server) dropHazard(in sent) (done, error) {
	text, err := s.book.DropHazard(in.ctx, in.who, in.param("venue"), in.id, in.now)
	return done{in.base + "/hazards", "Taken away: " + strings.TrimSuffix(text, ".") + "."}, err
}
