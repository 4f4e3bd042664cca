package demo

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"levelpeg/club"
)

const (
	plumbM      = 0.045 // what a plumbed depth is out by, one standard deviation
	plumbSteepM = 0.08  // the same on a steep side
	leastDepthM = 0.25  // nobody plumbs less
	tries       = 300   // draws for a day fit to fish, before giving up
)

// habit is how much a run has been sounded.
type habit int

const (
	often    habit = iota
	never          // on none of the visits
	once           // on one
	longAgo        // before the large flood alone
	withWild       // often, and once wrongly
)

func drawHabit(r *rand.Rand) habit {
	switch x := r.Float64(); {
	case x < 0.08:
		return never
	case x < 0.20:
		return once
	case x < 0.30:
		return longAgo
	case x < 0.36:
		return withWild
	}
	return often
}

// visit is a day somebody plumbed a peg.
type visit struct {
	at    time.Time
	by    sounder
	timed float64 // how often the float is timed
}

// sounder is a member who plumbs, and how far out a timed pace of theirs is, in
// natural logs.
type sounder struct {
	name    string
	paceLog float64
}

var sounders = []sounder{
	{ruth, 0.14}, {alan, 0.12}, {dilys, 0.10}, {graham, 0.10}, {priya, 0.16}, {joe, 0.20}, {marta, 0.15},
}

// visits draws the days a peg was plumbed, in time order, none of them in the
// close season or in water over the venue's caution, and none while it was closed.
func (m *venueMaker) visits(label string, r *rand.Rand) []visit {
	n := 2 + r.IntN(13)
	var out []visit
	for t := 0; t < tries && len(out) < n; t++ {
		days := 1 + int(1093*math.Pow(r.Float64(), 1.3))
		at := m.cal.daysAgo(days, 8+r.IntN(7)).Add(time.Duration(r.IntN(60)) * time.Minute)
		by := sounders[r.IntN(len(sounders))]
		_, level, ok := m.gauge.reading(at)
		if ok && level < m.spec.cautionM && !closeSeason(at) && !m.closedAt(label, at) && !near(out, at) {
			out = append(out, visit{at: at, by: by, timed: between(r, 0.7, 1)})
		}
	}
	slices.SortFunc(out, func(a, b visit) int { return a.at.Compare(b.at) })
	return out
}

// near says whether a visit lies within two hours of t.
func near(visits []visit, t time.Time) bool {
	return slices.ContainsFunc(visits, func(v visit) bool { return v.at.Sub(t).Abs() < 2*time.Hour })
}

// closeSeason is the statutory one of rivers, 15 March to 15 June inclusive.
func closeSeason(t time.Time) bool {
	at := int(t.Month())*100 + t.Day()
	return at >= 315 && at <= 615
}

// soundings draws what the visitors wrote down for a run, in time order.
func (m *venueMaker) soundings(key runKey, l lane, steepSide bool, visits []visit) []club.Sounding {
	r := stream("soundings " + key.venueSlug + " " + key.pegLabel + " " + key.runName)
	h := drawHabit(r)
	var out []club.Sounding
	for _, v := range m.chosen(h, l, visits, r) {
		s, ok := m.sound(key, v, steepSide, r)
		if ok {
			out = append(out, s)
		}
	}
	if h == withWild && len(out) > 2 {
		m.spoil(key, &out[r.IntN(len(out))], r)
	}
	return out
}

// chosen is the visits on which the run was plumbed, by its habit.
func (m *venueMaker) chosen(h habit, l lane, visits []visit, r *rand.Rand) []visit {
	var out []visit
	for _, v := range visits {
		late := !v.at.Before(m.cal.floodPeak)
		if h == never || h == longAgo && late || r.Float64() > l.soundedShare && h != once {
			continue
		}
		v.at = v.at.Add(time.Duration(r.IntN(50)) * time.Minute)
		out = append(out, v)
	}
	if h == once && len(out) > 1 {
		i := r.IntN(len(out))
		out = out[i : i+1]
	}
	return out
}

// sound is one honest sounding: the true depth with a plummet's error and, mostly,
// the true pace with a watch's.
func (m *venueMaker) sound(key runKey, v visit, steepSide bool, r *rand.Rand) (club.Sounding, bool) {
	readM, trueM, ok := m.gauge.reading(v.at)
	b := m.truth.runs[key]
	depth := b.depthM(trueM, m.truth.moved(v.at))
	if !ok || depth < leastDepthM {
		return club.Sounding{}, false
	}
	sd := plumbM
	if steepSide {
		sd = plumbSteepM
	}
	s := club.Sounding{At: v.at, LevelM: readM, DepthM: centi(math.Max(0.05, depth+sd*r.NormFloat64())), By: v.by.name}
	if r.Float64() < v.timed {
		s.TimedS, s.PaceMPS = timePace(b.paceMPS(trueM, m.truth.moved(v.at)), v.by, r)
	}
	return s, true
}

// timePace times a float, to half a second, now and then for less than the ten
// seconds a hand-held watch asks for and the worse for it.
func timePace(paceMPS float64, by sounder, r *rand.Rand) (timedS, readMPS float64) {
	timedS, sd := between(r, 10, 30), by.paceLog
	if r.Float64() < 0.15 {
		timedS, sd = between(r, 4, 9), 0.30
	}
	return math.Round(2*timedS) / 2, math.Max(0.02, centi(paceMPS*math.Exp(sd*r.NormFloat64())))
}

// spoil makes a sounding wrong by more than half a metre, as when the plummet sat
// on a root or a figure was misread, and remembers that it is.
func (m *venueMaker) spoil(key runKey, s *club.Sounding, r *rand.Rand) {
	err := between(r, 0.55, 1.1)
	if r.Float64() < 0.5 && s.DepthM-err > leastDepthM {
		err = -err
	}
	s.DepthM = centi(s.DepthM + err)
	m.truth.wild[soundingKey{key, s.At.Unix()}] = true
}
