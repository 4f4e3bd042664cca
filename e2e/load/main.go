// Command load measures the program on a federation's book: twenty thousand pegs, two
// million soundings and seven million levels, or as many as are asked for. It fills a
// private PostgreSQL with an invented club, has a fixed number of connections read a mix of
// pages as fast as they are answered, offers entries at a steady rate beside that, and
// prints what became of it: how many, how fast, what went wrong, and what it cost.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"
)

type options struct {
	binary               string
	data                 string
	size                 size
	connections, entries int
	seconds, warm, alone int
	seed                 uint64
	serve                []string // further arguments of the server
	fillOnly             bool
	reads                string
}

// size is how large the book is.
type size struct {
	Pegs, Soundings, Levels int
}

func main() {
	log.SetFlags(0)
	o := options{}
	flag.StringVar(&o.binary, "binary", "build/levelpeg", "the program to measure")
	flag.StringVar(&o.data, "data", "", "folder of the filled database: made where it is not there, kept, and used again (default: one that is thrown away)")
	flag.IntVar(&o.size.Pegs, "pegs", 20_000, "pegs, a hundred to a venue")
	flag.IntVar(&o.size.Soundings, "soundings", 2_000_000, "soundings")
	flag.IntVar(&o.size.Levels, "levels", 7_000_000, "levels")
	flag.IntVar(&o.connections, "connections", 64, "connections that read, each asking again as soon as it is answered")
	flag.IntVar(&o.entries, "entries", 20, "entries a second offered beside them")
	flag.IntVar(&o.seconds, "seconds", 60, "seconds it lasts")
	flag.IntVar(&o.warm, "warm", 30, "seconds of the same beforehand that are not counted")
	flag.IntVar(&o.alone, "alone", 10, "times each kind of page is asked for beforehand, one at a time")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of what is asked for")
	flag.StringVar(&o.reads, "only", "", "read this kind of page alone")
	flag.BoolVar(&o.fillOnly, "fill", false, "fill the folder, and measure nothing")
	flag.Parse()
	o.serve = flag.Args()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, o, os.Stdout); err != nil {
		log.Fatal("load: ", err)
	}
}

func run(ctx context.Context, o options, out *os.File) error {
	if o.size.Pegs < 2 || o.size.Soundings < 1 || o.size.Levels < 1000 || o.connections < 1 || o.entries < 0 || o.seconds < 1 {
		return fmt.Errorf("at least 2 pegs, a sounding, 1000 levels, a connection and a second are needed")
	}
	if o.data == "" {
		dir, err := os.MkdirTemp("/var/tmp", "levelpeg-load-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		if err := os.Chmod(dir, 0o755); err != nil { // PostgreSQL's own user enters it
			return err
		}
		o.data = dir
	}
	dir, err := filepath.Abs(o.data)
	if err != nil {
		return err
	}
	o.data = dir
	if err := prepare(ctx, o, time.Now(), out); err != nil || o.fillOnly {
		return err
	}
	r, err := measure(ctx, o, out)
	if err != nil {
		return err
	}
	r.print(out)
	return r.failed()
}
