package exchange

import (
	"time"

	"levelpeg/club"
)

func postedFile(p club.Posted) savedPosted {
	return savedPosted{p.ID, p.At.UTC(), p.Author, p.AuthorID, p.Junior, p.Waits, p.Hidden, p.Why}
}

func (p savedPosted) posted() club.Posted {
	return club.Posted{ID: p.ID, At: p.At, Author: p.By, AuthorID: p.ByID, Junior: p.Junior, Waits: p.Waits, Hidden: p.Hidden, Why: p.Why}
}

func savedNotes(all []club.Note) []savedNote {
	var out []savedNote
	for _, n := range all {
		out = append(out, savedNote{postedFile(n.Posted), n.Text, n.LowM, n.HighM, n.Private})
	}
	return out
}

func notesOf(all []savedNote) []club.Note {
	var out []club.Note
	for _, n := range all {
		out = append(out, club.Note{Posted: n.posted(), Text: n.Text, LowM: n.LowM, HighM: n.HighM, Private: n.Private})
	}
	return out
}

func savedPictures(all []club.Picture) []savedPicture {
	var out []savedPicture
	for _, p := range all {
		out = append(out, savedPicture{postedFile(p.Posted), p.Caption, p.Hash, p.Small, p.Width, p.Height, p.Open, p.Board})
	}
	return out
}

func picturesOf(all []savedPicture) []club.Picture {
	var out []club.Picture
	for _, p := range all {
		out = append(out, club.Picture{Posted: p.posted(), Caption: p.Caption, Hash: p.Hash, Small: p.Small, Width: p.Width, Height: p.Height, Open: p.Open, Board: p.Board})
	}
	return out
}

func lookFile(l *club.Look) *savedLook {
	if l == nil {
		return nil
	}
	return &savedLook{l.At.UTC(), l.Colour, l.WaterDeg}
}

func (l *savedLook) look() *club.Look {
	if l == nil {
		return nil
	}
	return &club.Look{At: l.At, Colour: l.Colour, WaterDeg: l.TemperatureC}
}

func feedFiles(all []club.FeedNote) []savedFeed {
	var out []savedFeed
	for _, n := range all {
		f := n.Feed
		out = append(out, savedFeed{f.Acknowledge, f.Active, f.Every.Seconds(), utc(f.Tried), utc(f.Newest), n.Removed})
	}
	return out
}

func feedsOf(all []savedFeed) []club.FeedNote {
	var out []club.FeedNote
	for _, f := range all {
		out = append(out, club.FeedNote{Removed: f.Removed, Feed: club.Feed{Acknowledge: f.Acknowledge, Active: f.Active,
			Every: time.Duration(f.EveryS * float64(time.Second)), Tried: f.Tried, Newest: f.Newest}})
	}
	return out
}
