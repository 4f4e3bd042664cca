package club

import "fmt"

// roughDepthM is the half range of a depth that wants plumbing before a float is set.
const roughDepthM = 0.10

// Unsure says whether a run's depth wants plumbing before anybody trusts it.
func (r *RunSheet) Unsure() bool {
	return r.Plumbed && !r.Ours.Depth && (r.Borrowed() || r.Flooded || r.Above || r.Below || (r.Depth.High-r.Depth.Low)/2 > roughDepthM)
}

// Borrowed says whether a run's depth is its neighbours' alone.
func (r *RunSheet) Borrowed() bool { return r.Basis.Soundings == 0 && r.Basis.Borrowed > 0 }

// Doubts lists what is unsure of the run the rigs are for, in sentences.
func (s *Sheet) Doubts() []string {
	if len(s.Answer.Rigs) == 0 {
		return nil
	}
	var out []string
	r, float := &s.Runs[s.Chosen], &s.Answer.Rigs[0]
	out = append(out, r.ownDoubts()...)
	if r.Unsure() {
		out = append(out, fmt.Sprintf("The depth may be from %.2f to %.2f m: plumb it before you set the float.", r.Depth.Low, r.Depth.High))
	}
	switch {
	case !r.Timed:
		out = append(out, "Nobody has timed this run: time a float for ten seconds or more before you choose one.")
	case r.Pace.High >= float.PaceHighMPS+0.01: // a difference that two decimals show
		out = append(out, fmt.Sprintf("The pace may be up to %.2f m/s, and the first float is right to %.2f: time it, and go heavier if it is faster.", r.Pace.High, float.PaceHighMPS))
	}
	return out
}
