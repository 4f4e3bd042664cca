package web

import (
	"fmt"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
	"levelpeg/web/draw"
)

// PegCard is a peg on a card to take along.
type PegCard struct {
	Print
	Permanent
	Label, Venue string
	Level        string // the level it is for, a sentence
	Where        string
	Stops        StopBox
	Cares        []club.Care
	Rules        []string // what holds here at any time
	Doubts       []string
	Section      draw.Section
	Levels       []CardLevel
	Runs         []CardRun
	Run          string // the run the rigs are for
	NoRig        string // why there is none
	Rig          *RigCard
	Hang         string
	Lead         string
	Here         int // index of the card's own level; -1 where there is none
}

// CardLevel is one of the levels of a card.
type CardLevel struct {
	Word, Level string
	LevelM      float64
	Stop        string // why nobody fishes at it
	Rig         string // its rig in words
}

// CardRun is a run at each of a card's levels.
type CardRun struct {
	Name, Out string
	Chosen    bool
	Cells     []CardCell
}

// CardCell is a run at one level.
type CardCell struct{ Depth, Feet, Pace string }

// NewPegCard shapes a card. origin is where people reach the server.
func NewPegCard(c *club.Card, origin string) PegCard {
	s := c.Sheet
	p := PegCard{
		Print:     newPrint(s.Club, "Peg "+s.Peg.Label+", "+s.Venue.Name, s.Known(), s.Now, s.Loc),
		Permanent: permanent(origin, s.Peg.Code), Label: s.Peg.Label, Venue: s.Venue.Name,
		Level: printedLevel(s.Level, s.Standing, s.Loc),
		Where: strings.TrimSpace(fmt.Sprintf("%s bank, water flowing %s. %s", capital(string(s.Peg.Bank)), bearing(s.Peg.BearingDeg), s.Peg.Access)),
		Stops: stopBox(s.Stops), Cares: s.Cares, Doubts: s.Doubts(), Here: -1,
		Rules:   standingRules(s.Venue, s.Rules, nil, s.Standing.Zero.OffsetM, s.Now, s.Loc), // closures to come are among the cares
		Section: section(s),
	}
	for i := range c.At {
		p.Levels = append(p.Levels, cardLevel(&c.At[i], s))
		if c.At[i].Word == "" {
			p.Here = i
		}
	}
	for i := range s.Runs {
		p.Runs = append(p.Runs, cardRun(c, i))
	}
	p.addRig(s)
	return p
}

func (p *PegCard) addRig(s *club.Sheet) {
	if s.Chosen >= 0 {
		p.Run = capital(s.Runs[s.Chosen].Name)
	}
	if len(s.Answer.Rigs) == 0 {
		if p.NoRig = s.Answer.No; p.NoRig == "" && p.Stops.Head == "" {
			p.NoRig = "No run here is plumbed and deep enough for a float at this level. Plumb it first."
		}
		return
	}
	card := rigCard(&s.Answer.Rigs[0], s.Answer.For, 0)
	p.Rig, p.Lead = &card, leadWords(s.Answer.Rigs[:1])
	if s.Hang != nil {
		p.Hang = hangWords(s.Hang)
	}
}

func cardLevel(at *club.CardSheet, own *club.Sheet) CardLevel {
	l := CardLevel{Word: at.Word, Level: metres(at.Level.LevelM), LevelM: at.Level.LevelM}
	if l.Word == "" {
		l.Word = ownLevelWord(own)
	}
	switch {
	case len(at.Stops) > 0:
		l.Stop = at.Stops[0].Text
	case len(at.Answer.Rigs) > 0:
		r := &at.Answer.Rigs[0]
		l.Rig = fmt.Sprintf("%s, set at %s (%s): %s; hook length %s.", capital(r.Name), metres(r.SetM), feet(r.SetM), shotsLine(r.Weights), centimetres(r.HookLengthM))
		if stops := findings(r, rig.StopLevel); len(stops) > 0 {
			l.Rig += " Do not use it. " + stops[0]
		}
	default:
		l.Rig = noRigWords(at.Sheet)
	}
	return l
}

// ownLevelWord names the level that the card is for.
func ownLevelWord(s *club.Sheet) string {
	switch {
	case s.Level.Asked:
		return "Asked"
	case !s.Level.At.IsZero():
		return s.Level.At.In(s.Loc).Format("2 Jan 15:04")
	}
	read := s.Standing.Latest.At.In(s.Loc)
	if read.Format(paperDay) == s.Now.In(s.Loc).Format(paperDay) {
		return "Today"
	}
	return read.Format("2 Jan")
}

func noRigWords(s *club.Sheet) string {
	if s.Answer.No != "" {
		return s.Answer.No
	}
	return "No rig: the run is dry then, too shallow for a float, or not plumbed."
}

func cardRun(c *club.Card, i int) CardRun {
	r := &c.Runs[i]
	run := CardRun{Name: capital(r.Name), Out: fixed(r.DistanceM, 1) + " m out (" + feet(r.DistanceM) + ")", Chosen: i == c.Chosen}
	for k := range c.At {
		run.Cells = append(run.Cells, cardCell(&c.At[k].Runs[i]))
	}
	return run
}

func cardCell(r *club.RunSheet) CardCell {
	switch {
	case r.Basis.Soundings == 0 && r.Basis.Borrowed == 0 && !r.Ours.Depth:
		return CardCell{Depth: "not plumbed"}
	case r.Dry:
		return CardCell{Depth: "dry"}
	}
	c := CardCell{Depth: metres(r.Depth.Mid) + " " + give(r.Depth), Feet: feet(r.Depth.Mid), Pace: "pace not timed"}
	if r.Ours.Depth {
		c.Depth = metres(r.Depth.Mid) + ", yours"
	}
	if r.Timed || r.Ours.Pace {
		c.Pace = fixed(r.Pace.Mid, 2) + " m/s (" + fixed(r.Pace.Low, 2) + "–" + fixed(r.Pace.High, 2) + ")"
	}
	return c
}
