package web

import (
	"fmt"
	"math"
	"time"

	"levelpeg/club"
	"levelpeg/hydro"
)

// LevelLine says where a gauge stands: "1.24 m", "read 20 min ago, falling 2 cm an hour".
type LevelLine struct {
	Level string // empty where nothing has been read
	How   string
}

func levelLine(st club.Standing, now time.Time) LevelLine {
	if st.Latest == nil {
		return LevelLine{How: "nobody has read the board yet"}
	}
	l := LevelLine{Level: metres(st.Latest.LevelM), How: readBy(st.Latest.Source) + ago(max(0, now.Sub(st.Latest.At)))}
	if st.Earlier == nil {
		return l
	}
	trend, err := hydro.TrendOf(st.Latest.LevelM, st.Earlier.LevelM, st.Latest.At.Sub(st.Earlier.At))
	if err == nil {
		l.How += ", " + trendWords(trend)
	}
	return l
}

// readBy begins a sentence about a level: an instrument's is not to be taken for what
// somebody saw on the board.
func readBy(s club.Source) string {
	switch s {
	case club.Station:
		return "read by a station "
	case club.Board:
		return "read at the board "
	}
	return "read "
}

func trendWords(t hydro.Trend) string {
	const slowly = 0.5 // less may be no more than the board's own centimetre
	switch {
	case t.Word != "steady":
	case t.CMPerHour >= slowly:
		return "rising slowly"
	case t.CMPerHour <= -slowly:
		return "falling slowly"
	default:
		return "steady"
	}
	return fmt.Sprintf("%s %d cm an hour", t.Word, int(math.Round(math.Abs(t.CMPerHour))))
}
