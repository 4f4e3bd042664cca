package rig

import "math"

// Steps of time grow from firstS by growth each to longestS.
const (
	firstS   = 0.01
	longestS = 0.5
	growth   = 1.0 / 30
)

// follow steps to the end and reads off when the hook came to its depth.
func (s *sinker) follow(forS float64) (Settling, error) {
	out := Settling{BeadsFromHookM: s.places()}
	var depths, times []float64
	dt := firstS
	next := 0.0 // when the path is next noted: often at first, and at most some seventy times
	for s.timeS < forS-1e-9 {
		dt = s.stride(min(dt*(1+growth), longestS, forS-s.timeS))
		times, depths = append(times, s.timeS), append(depths, s.hook().z)
		if s.timeS >= next || s.timeS >= forS-1e-9 {
			next = s.timeS*1.15 + 0.05
			out.Path = append(out.Path, s.moment(len(out.BeadsFromHookM)))
		}
	}
	end := s.hook().z
	if !(end > 0.05) {
		return Settling{}, ErrNoHook
	}
	out.To80S, out.To95S = firstAt(times, depths, 0.8*end), firstAt(times, depths, 0.95*end)
	out.Over80M, out.Over95M = out.To80S*s.floatMPS, out.To95S*s.floatMPS
	out.Rest = s.shape()
	return out, nil
}

func (s *sinker) hook() vec { return s.knots[len(s.knots)-1].at }

// firstAt is when a depth is first come to, straight between the steps.
func firstAt(times, depths []float64, depth float64) float64 {
	t0, z0 := 0.0, 0.0
	for i, z := range depths {
		if z >= depth {
			return t0 + (times[i]-t0)*(depth-z0)/max(z-z0, 1e-12)
		}
		t0, z0 = times[i], z
	}
	return t0
}

// places are where on the line beads hang, from the hook up.
func (s *sinker) places() []float64 {
	var out []float64
	for i := len(s.knots) - 1; i >= 0; i-- {
		if len(s.knots[i].beads) > 0 {
			out = append(out, s.knots[i].fromM)
		}
	}
	return out
}

func (s *sinker) moment(beads int) Moment {
	m := Moment{TimeS: s.timeS, Beads: make([]Point, 0, beads)}
	for i := len(s.knots) - 1; i >= 0; i-- {
		if k := &s.knots[i]; len(k.beads) > 0 {
			m.Beads = append(m.Beads, Point{k.at.x, k.at.z})
		}
	}
	return m
}

// shape is the line as it is now. Its pull on the float is the top stretch's, with
// the half of that stretch's drag and weight that the float bears.
func (s *sinker) shape() Shape {
	for i := range s.knots {
		s.stretch(i)
	}
	top := &s.knots[0]
	pull := vec{}.plus(top.pull, -1).plus(top.drag, 1)
	pull.z += s.topSinkN
	out := Shape{
		TiltDeg: math.Atan2(pull.x, pull.z) * 180 / math.Pi, HookDepthM: s.hook().z, AheadM: s.hook().x,
		LengthM: s.setM, TensionN: math.Sqrt(pull.dot(pull)), Points: []Point{{}},
	}
	for _, k := range s.knots {
		out.Points = append(out.Points, Point{k.at.x, k.at.z})
	}
	return out
}
