package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/db"
)

// exportCmd writes a venue as one file, from the machine the club's server runs on. It
// works beside a running server.
type exportCmd struct {
	database
	Venue  string `arg:"" help:"The water, as its page's address has it, for example mill-reach."`
	Output string `short:"o" help:"The file to write (default: to the terminal)." placeholder:"FILE" type:"path"`
	Levels bool   `help:"With all levels of its gauge."`
	Names  bool   `help:"With the names of those who sounded, but for juniors'."`
}

func (c exportCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	return c.withBook(ctx, log, func(book *db.DB, _ club.Home, now time.Time, _ *time.Location) error {
		v, err := book.Carry(ctx, club.Writer{OnMachine: true}, c.Venue, c.Levels, now)
		if err != nil {
			return err
		}
		body, err := exchange.WriteVenue(v, exchange.Carrying{Levels: c.Levels, Names: c.Names}, now)
		if err != nil {
			return err
		}
		if c.Output == "" {
			_, err = out.Write(body)
			return err
		}
		return os.WriteFile(c.Output, body, 0o640)
	})
}

// largestVenueFile is more than the file of any venue with its levels of a century.
const largestVenueFile = 1 << 30

type importCmd struct {
	database
	File string `arg:"" help:"The file of a water." type:"existingfile"`
	Look bool   `help:"Only say what it would make."`
}

func (c importCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, largestVenueFile))
	if err != nil {
		return err
	}
	return c.withBook(ctx, log, func(book *db.DB, _ club.Home, now time.Time, _ *time.Location) error {
		v, err := exchange.ReadVenue(body, now)
		if err != nil {
			return err
		}
		made, err := book.Import(ctx, club.Writer{OnMachine: true}, v, c.Look, now)
		if err != nil {
			return err
		}
		if c.Look {
			fmt.Fprintln(out, "It would make:")
		} else {
			fmt.Fprintf(out, "Made, at /venues/%s:\n", made.Venue.Slug)
		}
		for _, say := range made.Says() {
			fmt.Fprintln(out, "  "+say)
		}
		for _, r := range made.Recoded {
			if !c.Look {
				fmt.Fprintf(out, "  Peg %s has the new code %s.\n", r.Label, r.Code)
			}
		}
		return nil
	})
}
