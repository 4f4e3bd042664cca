package demo

import (
	"slices"
	"time"

	"levelpeg/club"
)

// venueMaker makes a venue's book, and writes its beds into the truth as it goes.
type venueMaker struct {
	spec  venueSpec
	cal   calendar
	gauge *gauge
	truth Truth
	codes *coder
	loc   *time.Location
}

func (m *venueMaker) make() club.VenueBook {
	out := club.VenueBook{
		Venue:     m.spec.venue,
		GaugeSlug: m.spec.gaugeSlug,
		Hazards:   m.spec.hazards,
		Rules:     m.spec.rules,
		Closures:  closures(m.cal, m.spec.venue.Slug),
		Fixtures:  fixtures(m.cal, m.spec.venue.Slug, m.loc),
	}
	for i, label := range m.spec.labels() {
		out.Pegs = append(out.Pegs, m.peg(i+1, label))
	}
	return out
}

func (m *venueMaker) peg(order int, label string) club.PegBook {
	r := stream("peg " + m.spec.venue.Slug + " " + label)
	peg := club.Peg{Code: m.codes.next(), Label: label, Order: order, Bank: club.RightBank,
		Reach: club.OpenReach, Access: m.spec.access[label]}
	if m.spec.leftFrom > 0 && order >= m.spec.leftFrom {
		peg.Bank = club.LeftBank
	}
	if m.spec.weirFrom > 0 && order >= m.spec.weirFrom {
		peg.Reach = club.PastWeir
	}
	where := m.spec.water.at(order, peg.Bank, peg.Reach == club.PastWeir, r)
	peg.BearingDeg, peg.MarkHeightM = where.bearingDeg, where.markM
	visits := m.visits(label, r)
	out := club.PegBook{Peg: peg, Notes: notes(m.cal, m.spec.venue.Slug, label), Outings: m.outings(label)}
	for _, l := range lanes {
		if l.name != middle || !m.spec.noMiddle[label] {
			out.Runs = append(out.Runs, m.run(label, l, where, visits))
		}
	}
	return out
}

func (m *venueMaker) run(label string, l lane, where place, visits []visit) club.RunBook {
	r := stream("run " + m.spec.venue.Slug + " " + label + " " + l.name)
	key := runKey{m.spec.venue.Slug, label, l.name}
	distance := float64(int(between(r, l.fromM, l.toM)*10)) / 10
	b := m.spec.water.bed(where, l, distance, r)
	m.truth.runs[key] = b
	run := club.Run{
		Name:      l.name,
		DistanceM: distance,
		Boil:      m.spec.water.boil(where, b),
		SteepSide: m.spec.water.gradient(where, distance) > steep,
		Bottom:    bottom(b.refPaceMPS, r),
		Snaggy:    slices.Contains(m.spec.snags[label], l.name),
	}
	return club.RunBook{Run: run, Soundings: m.soundings(key, l, run.SteepSide, visits)}
}

// closedAt says whether any closure held at a peg at t.
func (m *venueMaker) closedAt(label string, t time.Time) bool {
	return slices.ContainsFunc(closures(m.cal, m.spec.venue.Slug), func(c club.Closure) bool {
		return m.spec.closed(c, label, t)
	})
}
