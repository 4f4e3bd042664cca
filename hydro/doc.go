// Package hydro answers, for one run at one level, how deep the water is and how
// fast its surface goes, and how sure that is. It does no I/O and imports the
// standard library alone, so that any program can use it.
//
// # A short course
//
// What a plummet measures is the bed. The level moves every day and the bed
// stays, so depth is the level less the height of the bed, and a depth plumbed
// once answers at every level. Where the water surface does not rise evenly along
// the reach, a centimetre at the gauge is a little more or less than a centimetre
// at the peg. So the depth plumbed at sounding i is
//
//	depth_i = β0 + β1·(level_i − mean level) + δ_i + ε_i
//
// β1 is the slope, 1 ± 0.1 before anything is known and looser past a weir. β0 is
// the depth at the mean sounded level, of which nothing is assumed. ε is the error
// of one reading. δ is how the bed stood at sounding i against now: it drifts as a
// random walk and takes an independent jump at each flood, and is zero now, so
//
//	Cov(δ_i, δ_j) = drift²·min(age_i, age_j) + flood²·(floods since both)
//
// An old sounding therefore counts for less than a fresh one, and one from before
// a flood for less still, and neither is thrown away.
//
// The reading error is not known exactly either. All the variances above are
// scaled by one σ², which has an inverse-gamma prior about the stated reading
// error; the posterior is then normal–inverse-gamma and exact, and the depth at a
// level now has a Student t distribution. Readings that scatter more than expected
// widen every range, drift and slope included. Covariance is dealt with by
// whitening: δ has independent steps, so the innovations of a one-state Kalman
// filter are the rows of the Cholesky factor's inverse applied to the data, without
// the matrix.
//
// Pace follows depth by a power law, as rivers do at a station:
//
//	ln(pace) = α + β·ln(depth ÷ 1.5 m) + scatter
//
// with β about 0.7 ± 0.3 and scatter about 0.3 in natural logs before the readings
// say better. It is the same normal–inverse-gamma line.
//
// # Sources
//
// The slope and its looseness, the reading error, the exponent and the scatter are
// the project's own design figures; .34/.40 (Leopold and Maddock, USGS Professional
// Paper 252, 1953) and 2/3 (Manning, wide channel) bracket the exponent, and the
// scatter is 0.31 about a fitted power law at USGS station 01096500, so a test on
// that station is not independent of it. The drift, the flood's jump, the looseness
// past a weir, the rough timing's extra scatter and the guess at pace where nothing
// was timed are from memory, with no source.
//
// The normal–inverse-gamma line is the textbook one, for example Gelman and others,
// Bayesian Data Analysis, chapter on regression (from memory).
package hydro
