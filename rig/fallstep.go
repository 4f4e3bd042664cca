package rig

import "math"

// full is a 2×2 matrix.
type full struct{ a, b, c, d float64 }

func (m full) of(v vec) vec { return vec{m.a*v.x + m.b*v.y, m.c*v.x + m.d*v.y} }

func (m full) less(n full) full { return full{m.a - n.a, m.b - n.b, m.c - n.c, m.d - n.d} }

func (m full) times(n full) full {
	return full{m.a*n.a + m.b*n.c, m.a*n.b + m.b*n.d, m.c*n.a + m.d*n.c, m.c*n.b + m.d*n.d}
}

func (m full) inverse() full {
	k := 1 / (m.a*m.d - m.b*m.c)
	return full{k * m.d, -k * m.b, -k * m.c, k * m.a}
}

// stepWithin moves on by dt, or by as much less as keeps every length from being
// stretched, and says by how much and how fast the fastest mass then goes.
func (f *fall) stepWithin(dt float64) (took, fastest float64) {
	copy(f.wasPos, f.pos)
	copy(f.wasVel, f.vel)
	for {
		fastest = f.step(dt)
		f.tries++
		if dt <= briefestS || !f.stretched() {
			return dt, fastest
		}
		f.timeS -= dt
		dt /= 2
		copy(f.pos, f.wasPos)
		copy(f.vel, f.wasVel)
	}
}

// stretched says whether a length is longer than a step may leave it.
func (f *fall) stretched() bool {
	for i := range f.lengths {
		apart, most := f.pos[i+1].less(f.pos[i]), f.lengths[i].longM*(1+mostStrain)
		if !(apart.dot(apart) <= most*most) {
			return true
		}
	}
	return false
}

// step moves on by dt and says how fast the fastest mass then goes.
func (f *fall) step(dt float64) float64 {
	for i := range f.pos {
		f.diag[i] = full{f.massKg[i], 0, 0, f.massKg[i]}
		f.down[i] = full{}
		f.force[i] = vec{0, f.sinkN[i]}
	}
	for i := range f.lengths {
		f.dragOn(i, dt)
		f.pull(i, dt)
	}
	for i, b := range f.beads {
		f.dragBead(f.beadAt[i], b, dt)
	}
	for i := range f.pos {
		f.floor(i, dt)
	}
	f.solve(dt)
	fastest := 0.0
	for i := 1; i < len(f.pos); i++ {
		f.vel[i] = f.vel[i].plus(f.force[i])
		if v := f.vel[i].long(); v > mostMPS {
			f.vel[i] = f.vel[i].by(mostMPS / v)
		}
		f.pos[i] = f.pos[i].plus(f.vel[i].by(dt))
		fastest = max(fastest, f.vel[i].dot(f.vel[i]))
	}
	f.timeS += dt
	return math.Sqrt(fastest)
}

// dragOn adds the drag on a length to its two masses, by the speed past its
// middle, with its change by the masses' own speeds.
func (f *fall) dragOn(i int, dt float64) {
	seg := &f.lengths[i]
	apart := f.pos[i+1].less(f.pos[i])
	if d := apart.long(); d > 1e-9 {
		seg.t = apart.by(1 / d)
	}
	past := vec{f.current.speed((f.pos[i].y+f.pos[i+1].y)/2) - f.floatMPS, 0}.less(f.vel[i].plus(f.vel[i+1]).by(0.5))
	n := seg.t.across()
	across, alongMPS := past.dot(n), past.dot(seg.t)
	d, slope := lineDragSlope(math.Abs(across), seg.diameterM, f.model.LineCd)
	ft := 0.0
	if !f.model.NoTangent {
		ft = alongNSPM2(math.Abs(across), seg.diameterM)
	}
	seg.drag = n.by(math.Copysign(d, across)).plus(seg.t.by(ft * alongMPS)).by(seg.longM)
	half := along(seg.t, ft*seg.longM/2, slope*seg.longM/2)
	for _, k := range [2]int{i, i + 1} {
		f.force[k] = f.force[k].plus(seg.drag.by(0.5))
		f.stiffen(k, half, dt)
	}
}

// stiffen adds to a mass's own block.
func (f *fall) stiffen(i int, m sym, by float64) {
	d := &f.diag[i]
	d.a, d.b, d.c, d.d = d.a+by*m.xx, d.b+by*m.xy, d.c+by*m.xy, d.d+by*m.yy
}

// pull adds a length's spring where it is taut or will be within the step. A
// stretch is taken back no faster than at recoilMPS, and slack line is pushed
// together as against a dashpot: without the two, masses on springs that only pull
// fly about between them. Neither is felt at rest, nor in the time to get there.
func (f *fall) pull(i int, dt float64) {
	seg := &f.lengths[i]
	seg.pullN = 0
	apart, closing := f.pos[i+1].less(f.pos[i]), f.vel[i+1].less(f.vel[i])
	now := apart.long()
	if now < 1e-9 {
		return
	}
	t := apart.by(1 / now)
	k := sym{}
	if t.dot(closing) < 0 {
		k = along(t, f.weightN*damping/dt, 0)
	}
	if max(now, now+dt*t.dot(closing)) > seg.longM {
		seg.pullN = seg.stiffNPM * min(now-seg.longM, recoilMPS*dt)
		k = along(t, seg.stiffNPM, max(seg.pullN, 0)/now)
	}
	pull := t.by(seg.pullN).plus(k.of(closing).by(dt))
	f.force[i], f.force[i+1] = f.force[i].plus(pull), f.force[i+1].less(pull)
	f.stiffen(i, k, dt*dt)
	f.stiffen(i+1, k, dt*dt)
	f.down[i] = full{-dt * dt * k.xx, -dt * dt * k.xy, -dt * dt * k.xy, -dt * dt * k.yy}
}

// dragBead adds a bead's drag and its change by the mass's speed.
func (f *fall) dragBead(i int, b Bead, dt float64) {
	past := vec{f.current.speed(f.pos[i].y) - f.floatMPS, 0}.less(f.vel[i])
	v := past.long()
	if v < 1e-12 || b.DiameterM == 0 {
		return
	}
	n := float64(max(b.Count, 1))
	d := n * sphereDragN(v, b.DiameterM, f.model.BeadCd)
	slope := (n*sphereDragN(v*1.001, b.DiameterM, f.model.BeadCd) - d) / (v * 0.001)
	t := past.by(1 / v)
	f.force[i] = f.force[i].plus(t.by(d))
	f.stiffen(i, along(t, slope, d/v), dt)
}

// floor adds the bed's push where a mass is in it or will be within the step.
func (f *fall) floor(i int, dt float64) {
	in := f.pos[i].y + dt*f.vel[i].y - f.current.DepthM
	if max(in, f.pos[i].y-f.current.DepthM) <= 0 {
		return
	}
	f.force[i].y -= f.floorNPM * in
	f.stiffen(i, sym{yy: f.floorNPM}, dt*dt)
}

// solve puts the changes of speed into force, by block elimination from the
// float down. The float's own is none.
func (f *fall) solve(dt float64) {
	last := len(f.pos) - 1
	f.force[0] = vec{}
	f.force[1] = f.force[1].by(dt)
	for i := 2; i <= last; i++ {
		f.force[i] = f.force[i].by(dt)
		k := f.down[i-1].times(f.diag[i-1].inverse())
		f.diag[i] = f.diag[i].less(k.times(f.down[i-1]))
		f.force[i] = f.force[i].less(k.of(f.force[i-1]))
	}
	f.force[last] = f.diag[last].inverse().of(f.force[last])
	for i := last - 1; i >= 1; i-- {
		f.force[i] = f.diag[i].inverse().of(f.force[i].less(f.down[i].of(f.force[i+1])))
	}
}

// onFloat is the force of the line on the float.
func (f *fall) onFloat() vec {
	top := f.lengths[0]
	return top.t.by(top.pullN).plus(top.drag.by(0.5)).plus(vec{0, f.sinkN[0]})
}
