package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/db/private"
	"levelpeg/e2e/under"
)

// result is what a run gave.
type result struct {
	o             options
	kinds         []kind
	alone, read   []tally
	lasted        time.Duration
	entries       []entry
	lost, unasked int
	memory        []sample
	processor     under.Processor
	own           time.Duration // processor time of the tool itself
	cpus          int
	databaseMB    float64
}

// sample is the memory at a time of the run.
type sample struct {
	at time.Duration
	under.Memory
}

// within is how long an answer is waited for.
const within = 60 * time.Second

// measure starts the program on the filled folder and drives it.
func measure(ctx context.Context, o options, out io.Writer) (*result, error) {
	said, err := os.Create(filepath.Join(o.data, "server.log"))
	if err != nil {
		return nil, err
	}
	defer said.Close()
	args := append([]string{"serve", "--data", o.data, "--listen", "127.0.0.1:0", "--no-nightly", "--no-feeds", "--no-links"}, o.serve...)
	p, err := under.Start(ctx, said, o.binary, args...)
	if err != nil {
		return nil, err
	}
	defer p.Stop()
	url, err := private.RunningURL(o.data)
	if err != nil {
		return nil, err
	}
	conn, err := master(ctx, url)
	if err != nil {
		return nil, err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return drivenBy(ctx, o, p, conn, out)
}

func drivenBy(ctx context.Context, o options, p *under.Program, conn *pgx.Conn, out io.Writer) (*result, error) {
	k, err := readBook(ctx, conn, o.seed)
	if err != nil {
		return nil, err
	}
	runs, err := readSounded(ctx, conn, k)
	if err != nil {
		return nil, err
	}
	c, err := newChooser(kinds(), o.reads)
	if err != nil {
		return nil, err
	}
	b := newBrowser(p.URL, o.connections, within)
	if err := findGuides(ctx, b, k, o.seed); err != nil {
		return nil, err
	}
	r := &result{o: o, kinds: c.kinds, cpus: runtime.NumCPU()}
	fmt.Fprintf(out, "each kind alone, %d times\n", o.alone)
	r.alone = alone(ctx, b, k, c, o)
	fmt.Fprintf(out, "%d connections for %d s, after %d s that are not counted, and %d entries a second\n", o.connections, o.seconds, o.warm, o.entries)
	w := newWriter(p.URL, k, runs, o.seed)
	if err := r.counted(ctx, p, b, k, c, w); err != nil {
		return nil, err
	}
	return r, r.afterwards(ctx, conn)
}

// counted warms the program up, and then counts.
func (r *result) counted(ctx context.Context, p *under.Program, b *browser, k *book, c chooser, w *writer) error {
	o := r.o
	all := make(chan []entry, 1)
	go func() { all <- w.offer(ctx, o.entries, o.warm+o.seconds) }()
	drive(ctx, b, k, c, o, 1, time.Duration(o.warm)*time.Second)
	before, err := under.ProcessorOf(p.PID())
	if err != nil {
		return err
	}
	own, began := ownTime(), time.Now()
	sampling, stop := context.WithCancel(ctx)
	samples := make(chan []sample, 1)
	go func() { samples <- watch(sampling, p.PID(), began) }()
	r.read = drive(ctx, b, k, c, o, 2, time.Duration(o.seconds)*time.Second)
	r.lasted = time.Since(began)
	after, err := under.ProcessorOf(p.PID())
	stop()
	r.memory, r.processor, r.own = <-samples, after.Since(before), ownTime()-own
	r.entries = <-all
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// watch measures memory every second.
func watch(ctx context.Context, pid int, began time.Time) []sample {
	var out []sample
	for tick := time.NewTicker(time.Second); ; {
		if m, err := under.MemoryOf(pid); err == nil {
			out = append(out, sample{time.Since(began), m})
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			tick.Stop()
			return out
		}
	}
}

func ownTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// afterwards looks for the entries in the book, and at how large it is.
func (r *result) afterwards(ctx context.Context, conn *pgx.Conn) error {
	var err error
	if r.lost, r.unasked, err = notOnce(ctx, conn, r.entries); err != nil {
		return err
	}
	return conn.QueryRow(ctx, `select pg_database_size(current_database()) / 1048576.0`).Scan(&r.databaseMB)
}
