package web

import (
	"fmt"
	"math"
	"time"

	"levelpeg/club"
	"levelpeg/hydro"
)

// unknownDepth stands where nobody has plumbed.
const unknownDepth = "?"

func runLine(s *club.Sheet, i int) RunLine {
	r := &s.Runs[i]
	l := RunLine{
		Name: capital(r.Name), Out: fixed(r.DistanceM, 1) + " m out", Chosen: i == s.Chosen,
		Href: pegHref(s, s.Peg.Label, s.Level.LevelM, r.Slug),
	}
	switch {
	case r.Basis.Soundings == 0 && r.Basis.Borrowed == 0:
		l.Depth = unknownDepth
	case !s.Level.Known:
		l.Depth = "bed at " + metres(r.Bed.Mid-s.Standing.Zero.OffsetM)
	case r.Dry:
		l.Depth = "dry"
	default:
		l.Depth, l.Feet = metres(r.Depth.Mid), feet(r.Depth.Mid)
		if l.Give = give(r.Depth); r.Ours.Depth {
			l.Give = "yours"
		}
		l.Pace = paceWords(r)
		if i == s.Chosen && r.Timed {
			l.Pace += ", about " + fixed(hydro.NearBed(r.Pace).Mid, 2) + " near the bed"
		}
	}
	l.Rests = rests(s, r)
	return l
}

func paceWords(r *club.RunSheet) string {
	if !r.Timed {
		return fmt.Sprintf("pace not known, perhaps %s to %s m/s", fixed(r.Pace.Low, 1), fixed(r.Pace.High, 1))
	}
	return fmt.Sprintf("%s, %s m/s (%s to %s)", r.Word, fixed(r.Pace.Mid, 2), fixed(r.Pace.Low, 2), fixed(r.Pace.High, 2))
}

// rests says what a run's figures rest on, and what is wrong with them.
func rests(s *club.Sheet, r *club.RunSheet) []string {
	b, off := r.Basis, s.Standing.Zero.OffsetM
	if b.Soundings == 0 && b.Borrowed > 0 {
		return []string{"Nobody has plumbed this yet: borrowed from " + count(b.Borrowed, "run") + " nearby. Plumb it before you trust it."}
	}
	if b.Soundings == 0 {
		return []string{"Nobody has plumbed this yet."}
	}
	out := []string{fmt.Sprintf("%s, last %s, %s%s", count(b.Soundings, "sounding"), ago(max(0, s.Now.Sub(b.Last))),
		sounded(b.LowestM-off, b.HighestM-off), timed(r))}
	switch {
	case r.Above:
		out = append(out, fmt.Sprintf("Beyond anything sounded: the highest was at %s.", metres(b.HighestM-off)))
	case r.Below:
		out = append(out, fmt.Sprintf("Beyond anything sounded: the lowest was at %s.", metres(b.LowestM-off)))
	}
	if r.Flooded {
		out = append(out, fmt.Sprintf("The bed may have moved: nobody has plumbed it since the flood of %s.", lastFlood(s).In(s.Loc).Format("January 2006")))
	}
	return out
}

func sounded(lowest, highest float64) string {
	if math.Abs(highest-lowest) < 0.005 {
		return "at level " + fixed(lowest, 2)
	}
	return "at levels " + fixed(lowest, 2) + " to " + fixed(highest, 2)
}

func timed(r *club.RunSheet) string {
	if !r.Timed {
		return "; never timed"
	}
	return fmt.Sprintf("; %s timed", numberWord(r.Basis.Timed))
}

func lastFlood(s *club.Sheet) time.Time {
	if n := len(s.Standing.Floods); n > 0 {
		return s.Standing.Floods[n-1]
	}
	return time.Time{}
}
