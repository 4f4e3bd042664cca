package web

import (
	"strconv"
	"time"

	"levelpeg/club"
)

// IncidentsPage is what is wrong on the waters, as a page.
type IncidentsPage struct {
	Shell            Shell
	Said, Problem    string
	Standing, Closed []IncidentLine
}

// IncidentLine is one incident.
type IncidentLine struct {
	Head, Text, Told string
	Href             string // of the water
	Close            string // address that closes it; empty where it is closed
}

// NewIncidentsPage shapes the page.
func NewIncidentsPage(a Assets, v club.IncidentsView, said, problem string, loc *time.Location) IncidentsPage {
	p := IncidentsPage{Shell: NewShell(a, v.Club, v.Member, "Incidents"), Said: said, Problem: problem}
	for _, i := range v.Standing {
		p.Standing = append(p.Standing, incidentLine(i, loc))
	}
	for _, i := range v.Closed {
		p.Closed = append(p.Closed, incidentLine(i, loc))
	}
	return p
}

func incidentLine(i club.Incident, loc *time.Location) IncidentLine {
	where := i.VenueName
	if i.PegLabel != "" {
		where += ", peg " + i.PegLabel
	}
	l := IncidentLine{Head: capital(string(i.Kind)) + ", " + where, Text: i.Text, Href: "/venues/" + i.VenueSlug,
		Told: orElse(i.By, "somebody since removed") + ", " + dayTime(i.At, loc)}
	if i.Closed.IsZero() {
		l.Close = "/incidents/" + strconv.FormatInt(i.ID, 10) + "/close"
		return l
	}
	l.Told += "; closed by " + orElse(i.ClosedBy, "somebody since removed") + ", " + dayTime(i.Closed, loc)
	return l
}

func dayTime(t time.Time, loc *time.Location) string {
	return t.In(loc).Format("2 January 2006, 15:04")
}

// lookWords is "a tinge, 8.5 °C, seen 2 h ago"; empty where nobody has looked lately.
func lookWords(l *club.Look, now time.Time) string {
	if l == nil {
		return ""
	}
	out := l.Colour
	if l.WaterDeg != nil {
		if out != "" {
			out += ", "
		}
		out += fixed(*l.WaterDeg, 1) + " °C"
	}
	return out + ", seen " + ago(now.Sub(l.At))
}
