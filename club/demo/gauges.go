package demo

import (
	"time"

	"levelpeg/club"
)

// cinderReplacedM is how much higher the present zero at Cinder Lane is than the first.
const cinderReplacedM = 0.12

// gaugeSpec is all that makes a gauge what it is.
type gaugeSpec struct {
	gauge     club.Gauge
	water     catchment
	peakM     float64 // of the large flood, on the datum
	replacedM float64 // how much higher the board's new zero is; 0 where never replaced
	reason    string  // of the replacement
}

func gaugeSpecs() []gaugeSpec {
	return []gaugeSpec{{
		gauge: club.Gauge{Slug: "teasel-bridge", Name: "Teasel Bridge board", River: "Lathern",
			FloodM: 2.45, LowM: 0.60, HighM: 1.40},
		water: catchment{quickH: 18, slowH: 28 * 24, baseMMH: 0.007, zeroM: 0.35, riseM: 2.6,
			bankM: 1.95, capM: 2.30},
		peakM: 3.05,
	}, {
		gauge: club.Gauge{Slug: "cinder-lane", Name: "Cinder Lane board", River: "Quenning",
			FloodM: 1.45, LowM: 0.20, HighM: 0.65},
		water: catchment{quickH: 9, slowH: 22 * 24, baseMMH: 0.010, zeroM: 0.05, riseM: 1.35,
			bankM: 1.10, capM: 1.34},
		peakM:     1.86,
		replacedM: cinderReplacedM,
		reason:    "Board replaced after a tree took it; the new zero is 12 cm higher",
	}}
}

// gauge is a made gauge: its levels as they were and as they were written down.
type gauge struct {
	spec     gaugeSpec
	cal      calendar
	zeros    []club.Zero
	trueM    []float64    // on the datum, each step from the start
	readM    []float64    // what the instrument wrote, on the zero in force; NaN in a gap
	readings []club.Level // the instrument's and the bailiffs', in time order
}

// makeGauges lets the same weather fall on every river. The first river of the
// list takes the last shower that leaves it falling, and the others the same rain.
func makeGauges(cal calendar) []*gauge {
	weather := showers(cal)
	n := cal.steps(cal.latest) + 1
	var out []*gauge
	var tailMM float64
	for _, spec := range gaugeSpecs() {
		r := stream("gauge " + spec.gauge.Slug)
		rain := make([]float64, n+warmUp)
		for _, s := range weather {
			s.mm *= between(r, 0.85, 1.15)
			s.fallOn(rain)
		}
		f, mm := spec.water.run(cal, rain, spec.peakM, 0.16, tailMM)
		tailMM = mm
		g := &gauge{spec: spec, cal: cal, zeros: zeros(cal, spec), trueM: spec.water.levels(f)}
		g.write(r)
		out = append(out, g)
	}
	return out
}

func zeros(cal calendar, spec gaugeSpec) []club.Zero {
	first := club.Zero{From: cal.start.AddDate(-8, 0, 0), Reason: "First board"}
	if spec.replacedM == 0 {
		return []club.Zero{first}
	}
	second := club.Zero{From: cal.rezero, OffsetM: spec.replacedM, Reason: spec.reason}
	return []club.Zero{first, second}
}

// offsetM is the height above the datum of the zero in force at t.
func (g *gauge) offsetM(t time.Time) float64 {
	offset := 0.0
	for _, z := range g.zeros {
		if !t.Before(z.From) {
			offset = z.OffsetM
		}
	}
	return offset
}

func (g *gauge) book() club.GaugeBook {
	return club.GaugeBook{Gauge: g.spec.gauge, Zeros: g.zeros, Levels: g.readings}
}

func gaugeOf(gauges []*gauge, slug string) *gauge {
	for _, g := range gauges {
		if g.spec.gauge.Slug == slug {
			return g
		}
	}
	return nil
}
