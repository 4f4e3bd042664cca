package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"strconv"
	"text/tabwriter"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/handlers/parse"
)

// closureCmd closes pegs from the machine the club's server runs on, for a club nobody
// of which can sign in yet. It works beside a running server.
type closureCmd struct {
	List closureListCmd `cmd:"" help:"List what is closed, now and to come."`
	Set  closureSetCmd  `cmd:"" help:"Close a peg, a span of pegs or a whole water."`
	Lift closureLiftCmd `cmd:"" help:"Open again what a closure closed."`
}

type closureListCmd struct {
	database
}

type closureSetCmd struct {
	database
	Venue  string `arg:"" help:"The water, as its page's address has it, for example mill-reach."`
	Peg    string `help:"The peg, or the first of a span." placeholder:"PEG" xor:"which" required:""`
	All    bool   `help:"The whole water." xor:"which" required:""`
	ToPeg  string `help:"The last peg of a span." name:"to-peg" placeholder:"PEG"`
	Reason string `help:"Why, in a sentence that everyone will read." required:"" placeholder:"WORDS"`
	From   string `help:"When it begins, by the club's clock, such as 2026-11-28T10:00 (default: now)." placeholder:"TIME"`
	To     string `help:"When it ends (default: when it is lifted)." placeholder:"TIME"`
}

type closureLiftCmd struct {
	database
	ID string `arg:"" help:"The closure's number, as the list gives it."`
}

func (c closureListCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	return c.withBook(ctx, log, func(book *db.DB, h club.Home, now time.Time, loc *time.Location) error {
		t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
		n := 0
		for _, v := range h.Venues {
			for _, k := range v.Closures {
				n++
				fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", k.ID, v.Venue.Slug, club.SpanWords(k.FromLabel, k.ToLabel), k.Words(now, loc))
			}
		}
		if n == 0 {
			fmt.Fprintln(t, "Nothing is closed, now or to come.")
		}
		return t.Flush()
	})
}

func (c closureSetCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	return c.withBook(ctx, log, func(book *db.DB, _ club.Home, now time.Time, loc *time.Location) error {
		d := club.ClosureDraft{From: club.PegRef{Label: c.Peg}, To: club.PegRef{Label: c.ToPeg}, Reason: c.Reason}
		var err error
		if d.Starts, err = timeOn(c.From, loc); err != nil {
			return fmt.Errorf("--from: %w", err)
		}
		if d.Ends, err = timeOn(c.To, loc); err != nil {
			return fmt.Errorf("--to: %w", err)
		}
		set, err := book.SetClosure(ctx, club.Writer{OnMachine: true}, c.Venue, d, now)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(out, "%d: %s\n", set.ID, set.Done(now, loc))
		return err
	})
}

func (c closureLiftCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	return c.withBook(ctx, log, func(book *db.DB, h club.Home, now time.Time, _ *time.Location) error {
		id, err := strconv.ParseInt(c.ID, 10, 64)
		if err != nil {
			return club.Faultf(club.Invalid, "“%s” is not a closure's number. “levelpeg closure list” gives them.", c.ID)
		}
		was, err := book.LiftClosure(ctx, club.Writer{OnMachine: true}, venueOf(h, id), id, now)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintln(out, was.Lifted())
		return err
	})
}

// venueOf is the water whose closure has a number, or the first one where none has: the
// book then says what is wrong with it.
func venueOf(h club.Home, id int64) string {
	slug := ""
	for _, v := range h.Venues {
		if slug == "" {
			slug = v.Venue.Slug
		}
		for _, k := range v.Closures {
			if k.ID == id {
				return v.Venue.Slug
			}
		}
	}
	return slug
}

// timeOn reads a time by the club's clock; the zero time for nothing.
func timeOn(text string, loc *time.Location) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	w, err := parse.When(text)
	return w.In(loc), err
}

// withBook does something with the club's book as it is now.
func (d database) withBook(ctx context.Context, log *slog.Logger, do func(*db.DB, club.Home, time.Time, *time.Location) error) error {
	o, err := d.openBeside(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	if err := db.CheckSchema(ctx, o.url); err != nil {
		return err
	}
	book, err := db.Open(ctx, o.url, db.Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer book.Close()
	now := time.Now()
	h, err := book.Home(ctx, nil, now)
	if err != nil {
		return err
	}
	loc, err := h.Club.Zone()
	if err != nil {
		return err
	}
	return do(book, h, now, loc)
}
