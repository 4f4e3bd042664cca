// Command bench measures a peg's sheet on the demo club, beside a static page of
// the same bytes compressed beforehand, in one run on one machine, so that what
// counts is the ratio. It drives load with wrk for closed loops, and by itself for
// a steady rate, where a late answer counts from when it was due.
package main

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"syscall"
	"time"

	"levelpeg/e2e/under"
)

type options struct {
	binary          string
	seconds, rounds int
	static          string
}

func main() {
	log.SetFlags(0)
	var o options
	flag.StringVar(&o.binary, "binary", "build/levelpeg", "the program to measure")
	flag.IntVar(&o.seconds, "seconds", 5, "seconds each load lasts")
	flag.IntVar(&o.rounds, "rounds", 5, "times the sheet and the static page are measured, turn about")
	flag.StringVar(&o.static, "static", "", "serve this compressed file and nothing else (used by the bench itself)")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	run := measure
	if o.static != "" {
		run = serveStatic
	}
	if err := run(ctx, o); err != nil {
		log.Fatal("bench: ", err)
	}
}

func measure(ctx context.Context, o options) error {
	if _, err := exec.LookPath("wrk"); err != nil {
		return errors.New("wrk is not installed; run once: apt-get install -y wrk")
	}
	dir, err := os.MkdirTemp("/tmp", "levelpeg-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := os.Chmod(dir, 0o755); err != nil {
		return err
	}
	warm, err := measureServer(ctx, o, dir, true)
	if err != nil {
		return err
	}
	cold, err := measureServer(ctx, o, dir, false)
	if err != nil {
		return err
	}
	report(warm, cold)
	return nil
}

// round is the sheet and straight after it the static page, on the same machine in the
// same half minute: a shared machine's pace wanders, and the ratio of such a pair
// wanders less than either figure.
type round struct{ sheet, static load }

func (r round) ratio() float64 { return r.sheet.rate / r.static.rate }

// figures are what one run gave.
type figures struct {
	pageBytes, cssBytes int // over the wire
	rounds              []round
	crowd               load
	steadyP99           time.Duration
	steadyRate          float64
	memory              under.Memory
}

// measureServer starts the program on the demo and measures it. Warm, it remembers
// rigs and has been asked for each page once; cold, it remembers none.
func measureServer(ctx context.Context, o options, dir string, warm bool) (figures, error) {
	var f figures
	args := []string{"serve", "--demo", "--listen", "127.0.0.1:0", "--data", filepath.Join(dir, "data")}
	if !warm {
		args = append(args, "--remember", "0")
	}
	s, err := under.Start(ctx, os.Stderr, o.binary, args...)
	if err != nil {
		return f, err
	}
	defer s.Stop()
	paths, err := sheetPaths(s.URL)
	if err != nil {
		return f, err
	}
	page, err := fetchCompressed(s.URL + paths[0])
	if err != nil {
		return f, err
	}
	f.pageBytes = len(page)
	if f.cssBytes, err = cssBytes(s.URL, paths[0]); err != nil {
		return f, err
	}
	if warm {
		if err := askAll(s.URL, paths); err != nil {
			return f, err
		}
	}
	if !warm {
		sheet, err := wrk(ctx, dir, s.URL, paths, 16, o.seconds)
		f.rounds = []round{{sheet: sheet}}
		return f, err
	}
	if f.rounds, err = turnAbout(ctx, o, dir, s.URL, paths, page); err != nil {
		return f, err
	}
	if f.crowd, err = wrk(ctx, dir, s.URL, paths, 64, o.seconds); err != nil {
		return f, err
	}
	if f.steadyRate, f.steadyP99, err = steady(ctx, s.URL, paths, 500, o.seconds); err != nil {
		return f, err
	}
	f.memory, err = under.MemoryOf(s.PID())
	return f, err
}

// turnAbout measures the sheet and the static page by turns, lowest ratio first.
func turnAbout(ctx context.Context, o options, dir, url string, paths []string, page []byte) ([]round, error) {
	static, err := startStatic(ctx, dir, page)
	if err != nil {
		return nil, err
	}
	defer static.Stop()
	rounds := make([]round, max(1, o.rounds))
	for i := range rounds {
		if rounds[i].sheet, err = wrk(ctx, dir, url, paths, 16, o.seconds); err != nil {
			return nil, err
		}
		if rounds[i].static, err = wrk(ctx, dir, static.URL, []string{"/"}, 16, o.seconds); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(rounds, func(a, b round) int { return cmp.Compare(a.ratio(), b.ratio()) })
	return rounds, nil
}

func report(warm, cold figures) {
	lowest, middle, highest := warm.rounds[0], warm.rounds[len(warm.rounds)/2], warm.rounds[len(warm.rounds)-1]
	fmt.Printf("page over the wire          %d bytes, with its stylesheet %d\n", warm.pageBytes, warm.pageBytes+warm.cssBytes)
	fmt.Printf("static page, 16 connections %8.0f requests/s  p99 %s\n", middle.static.rate, middle.static.p99)
	fmt.Printf("sheet, warm, 16             %8.0f requests/s  p99 %s  ratio %.3f, the middle of %d rounds from %.3f to %.3f\n",
		middle.sheet.rate, middle.sheet.p99, middle.ratio(), len(warm.rounds), lowest.ratio(), highest.ratio())
	c := cold.rounds[0].sheet
	fmt.Printf("sheet, nothing remembered   %8.0f requests/s  p99 %s  ratio %.3f\n", c.rate, c.p99, c.rate/middle.static.rate)
	fmt.Printf("sheet, warm, 64 closed loop %8.0f requests/s  p99 %s\n", warm.crowd.rate, warm.crowd.p99)
	fmt.Printf("sheet, warm, offered 500/s  %8.0f requests/s  p99 %s\n", warm.steadyRate, warm.steadyP99.Round(10*time.Microsecond))
	fmt.Printf("memory after it all         %8.1f MB proportional set size (%s)\n", under.MB(warm.memory.KB()), warm.memory)
}
