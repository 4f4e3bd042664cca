package hydro

import "math"

// The m of the power law that a river's speed follows from the bed up, where nothing else
// is known. ProfileExponent gives the mean over the depth that hydrometry counts with,
// 0.857 of the surface; BedExponent the speeds at each height that the USGS found in
// rivers, all within 0.03 of the mean (Water-Supply Paper 2175, table 2), where 6 is off
// by 0.06 near the bed.
const (
	ProfileExponent = 6.0
	BedExponent     = 5.0
)

// MeanOfSurface is the mean speed in a vertical as a share of the surface speed, for a
// profile u = u_surface·η^(1/m), η being the height above the bed as a share of the
// depth: m ÷ (m + 1), which is 0.857 for 6. Rivers have 0.85 to 0.86 (hydrometry;
// common practice). m is 1 to 100; outside that, and for NaN, the answer is that of the
// nearer end, of NaN that of ProfileExponent.
func MeanOfSurface(m float64) float64 {
	m = exponent(m)
	return m / (m + 1)
}

// OfMean is the speed at a height above the bed as a share of the mean speed in the
// vertical: (1 + 1/m)·η^(1/m). η is the height as a share of the depth, held to 0 to 1;
// m as in MeanOfSurface. What lies in the last twentieth of the depth it does not know.
func OfMean(eta, m float64) float64 {
	m = exponent(m)
	if !(eta > 0) {
		return 0
	}
	return (1 + 1/m) * math.Pow(min(eta, 1), 1/m)
}

func exponent(m float64) float64 {
	if math.IsNaN(m) {
		return ProfileExponent
	}
	return min(max(m, 1), 100)
}

// Mean is the mean speed of a vertical with a surface pace and ProfileExponent.
func Mean(pace Figure) Figure { return pace.times(MeanOfSurface(ProfileExponent)) }

// NearBed is the speed at a tenth of the depth above the bed, where a bait runs, from a
// surface pace: the mean by ProfileExponent, and that height's share by BedExponent.
func NearBed(pace Figure) Figure {
	const baitEta = 0.1
	return pace.times(MeanOfSurface(ProfileExponent) * OfMean(baitEta, BedExponent))
}

func (f Figure) times(k float64) Figure { return Figure{f.Mid * k, f.Low * k, f.High * k} }
