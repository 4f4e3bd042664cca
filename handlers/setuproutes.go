//go:build !js

package handlers

import "levelpeg/web"

// setup are the routes that set the club up, and those that take its waters elsewhere.
func (s *server) setup() []route {
	venue := s.ofWater(s.venueSetup)
	pegs, peg, run := s.ofWater(s.pegsSetup), s.ofWater(s.pegSetup), s.ofWater(s.runSetup)
	runs, hazards, hazard := s.ofWater(s.runsSetup), s.ofWater(s.hazardsSetup), s.ofWater(s.hazardSetup)
	places, fixtures := s.ofWater(s.placesSetup), s.ofWater(s.fixturesSetup)
	const of = "/setup/venues/{venue}"
	const atPeg = of + "/pegs/{code}"
	return []route{
		{get, "/venues/{venue}/map", anyone, s.page, s.venueMap},
		{get, "/venues/{venue}/pegs.geojson", anyone, s.json, s.pegsGeoJSON},
		{get, "/venues/{venue}/fixtures.ics", anyone, s.page, s.fixturesCalendar},
		{get, "/venues/{venue}/soundings.csv", members, s.page, s.soundingsCSV},
		{get, "/gauges/{gauge}/levels.csv", members, s.page, s.levelsCSV},

		{get, "/setup", office, s.page, s.shows(s.setupHome)},
		{get, "/setup/gauges/new", office, s.page, s.shows(s.newGauge)},
		{post, "/setup/gauges", office, s.page, s.takes(web.FormGauge, s.newGauge, s.addGauge)},
		{get, "/setup/gauges/{gauge}", office, s.page, s.shows(s.gaugeSetup)},
		{post, "/setup/gauges/{gauge}", office, s.page, s.takes(web.FormGauge, s.gaugeSetup, s.changeGauge)},
		{post, "/setup/gauges/{gauge}/zeros", office, s.page, s.takes(web.FormZero, s.gaugeSetup, s.moveZero)},
		{post, "/setup/gauges/{gauge}/zeros/{id}", office, s.page, s.takesNamed(fixForm, s.gaugeSetup, s.fixZero)},
		{get, "/setup/venues/new", office, s.page, s.shows(s.newVenue)},
		{post, "/setup/venues", office, s.page, s.takes(web.FormVenue, s.newVenue, s.addVenue)},
		{get, of, office, s.page, s.shows(venue)},
		{post, of, office, s.page, s.takes(web.FormVenue, venue, s.changeVenue)},
		{post, of + "/move", office, s.page, s.takes("", venue, s.moveVenue)},
		{get, of + "/export.json", office, s.json, s.exportVenue},
		{get, of + "/pegs", office, s.page, s.shows(pegs)},
		{post, of + "/pegs", office, s.page, s.takes(web.FormStretch, pegs, s.addStretch)},
		{post, of + "/pegs/between", office, s.page, s.takes(web.FormBetween, pegs, s.addBetween)},
		{post, of + "/pegs/renumber", office, s.page, s.takes(web.FormRenumber, pegs, s.renumber)},
		{get, atPeg, office, s.page, s.shows(peg)},
		{post, atPeg, office, s.page, s.takes(web.FormPeg, peg, s.changePeg)},
		{post, atPeg + "/drop", office, s.page, s.takes("", peg, s.dropPeg)},
		{post, atPeg + "/runs", office, s.page, s.takes(web.FormRun, peg, s.setRun)},
		{get, atPeg + "/runs/{id}", office, s.page, s.shows(run)},
		{post, atPeg + "/runs/{id}", office, s.page, s.takes(web.FormRun, run, s.setRun)},
		{post, atPeg + "/runs/{id}/drop", office, s.page, s.takes("", peg, s.dropRun)},
		{get, of + "/runs", office, s.page, s.shows(runs)},
		{post, of + "/runs", office, s.page, s.takes(web.FormRuns, runs, s.addRuns)},
		{get, of + "/hazards", bailiffs, s.page, s.shows(hazards)},
		{post, of + "/hazards", bailiffs, s.page, s.takes(web.FormHazard, hazards, s.setHazard)},
		{get, of + "/hazards/{id}", bailiffs, s.page, s.shows(hazard)},
		{post, of + "/hazards/{id}", bailiffs, s.page, s.takes(web.FormHazard, hazard, s.setHazard)},
		{post, of + "/hazards/{id}/drop", bailiffs, s.page, s.takes("", hazards, s.dropHazard)},
		{get, of + "/positions", office, s.page, s.withTiles(s.shows(places))},
		{post, of + "/positions", office, s.page, s.withTiles(s.takes(web.FormPlaces, places, s.setPlaces))},
		{post, of + "/positions/geojson", office, s.page, s.withTiles(s.takes(web.FormPoints, places, s.bringPlaces))},
		{get, of + "/fixtures", office, s.page, s.shows(fixtures)},
		{post, of + "/fixtures", office, s.page, s.takes(web.FormFixture, fixtures, s.addFixture)},
		{post, of + "/fixtures/calendar", office, s.page, s.takes(web.FormCalendar, fixtures, s.bringFixtures)},
		{post, of + "/fixtures/{id}/drop", office, s.page, s.takes("", fixtures, s.dropFixture)},
		{get, "/setup/import", office, s.page, s.shows(s.importPage)},
		{post, "/setup/import", office, s.page, s.bringVenue},
	}
}
