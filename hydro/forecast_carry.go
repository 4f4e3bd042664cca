package hydro

import "math"

// analog is how a past hour's level went on, and how that hour differed from now.
type analog struct {
	weight  float64
	changeM float64 // of its level since
	overM   float64 // how much higher it stood than now
	trendM  float64 // how much more its trend would have brought than now's
}

// carry is how much of a level and of its trend is carried over some hours.
type carry struct {
	cases        []analog
	sum          float64 // of their weights
	unseen       float64 // share of a random walk's variance that lines between readings hide
	level, trend float64 // slopes of the change on overM and trendM
}

// change is a past hour's, had it been now.
func (c *carry) change(a analog) float64 {
	return a.changeM - c.level*a.overM - c.trend*a.trendM
}

// slopes that differ less than this from one hour to another say nothing.
const leastVariance = 1e-8 // m²: a tenth of a millimetre

// spellTimes is how long a spell is against the hours ahead: changes over so many hours
// that begin sooner after each other are hardly two.
const spellTimes = 2

// regress fits how a level and its trend were carried over some hours at the past hours
// like now, drawn to what is held beforehand, and says how many spells those are worth.
// A history that has not seen a year knows nothing of its seasons, so past a day it is
// worth less and less.
func (o *origin) regress(ahead, held, goes float64) (spells float64, c carry) {
	o.known, o.cases = o.known[:0], o.cases[:0]
	for _, p := range o.like {
		from := p.hours.at(p.hour, 0.5)
		change := p.hours.at(p.hour, 0.5+ahead) - from
		if math.IsNaN(change) {
			continue
		}
		trend := goesOn(from, p.hours.change(int(p.hour), nowHours), o.baseM, ahead)
		o.cases = append(o.cases, analog{p.weight, change, from - o.levelM, trend - goes})
		o.known = append(o.known, p)
		c.sum += p.weight
		c.unseen += p.weight * max(0, 1-ahead/float64(p.hours.gap[p.hour]))
	}
	c.cases = o.cases
	spells = worth(o.known, int32(max(dayHours, spellTimes*ahead)))
	if !o.h.long {
		spells *= min(1, dayHours/ahead)
	}
	c.level, c.trend = held-1, between(&o.trend, o.trend[0], ahead)
	if len(c.cases) > 0 {
		c.draw(spells / (spells + o.h.prior()))
	}
	return spells, c
}

// draw moves the slopes so much of the way from what is held to least squares, and keeps
// them within what a river can do.
func (c *carry) draw(share float64) {
	var my, mx, mt float64
	for _, a := range c.cases {
		w := a.weight / c.sum
		my, mx, mt = my+w*a.changeM, mx+w*a.overM, mt+w*a.trendM
	}
	var xx, xt, tt, xy, ty float64
	for _, a := range c.cases {
		w, y, x, t := a.weight/c.sum, a.changeM-my, a.overM-mx, a.trendM-mt
		y -= c.level*x + c.trend*t // what is held beforehand leaves
		xx, xt, tt, xy, ty = xx+w*x*x, xt+w*x*t, tt+w*t*t, xy+w*x*y, ty+w*t*y
	}
	xx, tt = xx*1.02+leastVariance, tt*1.02+leastVariance // never quite in line
	det := xx*tt - xt*xt
	c.level = min(max(c.level+share*(xy*tt-ty*xt)/det, -1), 0)
	c.trend = min(max(c.trend+share*(ty*xx-xy*xt)/det, 0), 1)
}
