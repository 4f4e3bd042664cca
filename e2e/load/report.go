package main

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"time"

	"levelpeg/e2e/under"
)

// slopeOver is how long at the end memory's slope is taken of.
const slopeOver = 40 * time.Second

func (r *result) print(out io.Writer) {
	var all tally
	fmt.Fprintf(out, "\n%-24s %8s %7s %8s %8s %8s %8s %8s %7s\n", "", "asked", "wrong", "p50 ms", "p90", "p99", "most", "kB each", "alone")
	for i, t := range r.read {
		all.join(t)
		printTally(out, r.kinds[i].name, t, fmt.Sprintf("%7.1f", ms(r.alone[i].took.Percentile(0.5))))
	}
	printTally(out, "all", all, "")
	s := r.lasted.Seconds()
	fmt.Fprintf(out, "\nreading   %.0f requests/s for %.1f s over %d connections\n", float64(len(all.took))/s, s, r.o.connections)
	r.printEntries(out)
	r.printMemory(out)
	fmt.Fprintf(out, "processor seconds: server %.1f, PostgreSQL %.1f, this tool %.1f; of %.1f that %d processors had\n",
		r.processor.Server.Seconds(), r.processor.Database.Seconds(), r.own.Seconds(), s*float64(r.cpus), r.cpus)
	fmt.Fprintf(out, "book      %d pegs, %d soundings, %d levels and what was written since, %.0f MB\n", r.o.size.Pegs, r.o.size.Soundings, r.o.size.Levels, r.databaseMB)
	for what, n := range r.wrong() {
		fmt.Fprintf(out, "wrong     %d times %s\n", n, what)
	}
}

func printTally(out io.Writer, name string, t tally, more string) {
	wrong := 0
	for _, n := range t.wrong {
		wrong += n
	}
	at := t.took.Percentiles(0.5, 0.9, 0.99, 1)
	fmt.Fprintf(out, "%-24s %8d %7d %8.1f %8.1f %8.1f %8.1f %8.1f %s\n", name, len(t.took), wrong, ms(at[0]), ms(at[1]), ms(at[2]), ms(at[3]), float64(t.bytes)/1024/float64(max(1, len(t.took))), more)
}

func ms(d time.Duration) float64 { return d.Seconds() * 1000 }

func (r *result) printEntries(out io.Writer) {
	t := took(r.entries)
	late := 0
	for _, one := range t {
		if one > lateAfter {
			late++
		}
	}
	at := t.Percentiles(0.5, 0.99, 1)
	fmt.Fprintf(out, "entries   %d offered at %d a second, %d acknowledged, %d of them later than %v; p50 %.1f ms, p99 %.1f ms, most %.1f ms; not in the book exactly once %d, in it unacknowledged %d\n",
		len(r.entries), r.o.entries, len(t), late, lateAfter, ms(at[0]), ms(at[1]), ms(at[2]), r.lost, r.unasked)
}

func (r *result) printMemory(out io.Writer) {
	if len(r.memory) == 0 {
		return
	}
	end := r.memory[len(r.memory)-1].at
	for _, at := range []time.Duration{10 * time.Second, end / 2, end} {
		s := r.memoryAt(at)
		fmt.Fprintf(out, "memory    after %2.0f s %6.1f MB (%v)\n", s.at.Seconds(), under.MB(s.KB()), s.Memory)
	}
	r.printSpans(out, end)
	var at []time.Duration
	var server, database []float64
	for _, s := range r.memory {
		if s.at >= end-slopeOver {
			at, server, database = append(at, s.at), append(server, under.MB(s.ServerKB)), append(database, under.MB(s.DatabaseKB))
		}
	}
	fmt.Fprintf(out, "memory    over the last %.0f s: server %+.1f MB a minute, PostgreSQL %+.1f MB a minute\n", (end - at[0]).Seconds(), under.Slope(at, server), under.Slope(at, database))
}

// printSpans prints the least and the most that the server had in each third of the run: a
// program that collects its garbage goes up and down by much, and what it keeps is the least.
func (r *result) printSpans(out io.Writer, end time.Duration) {
	fmt.Fprint(out, "memory    of the server, least and most of each third:")
	for third := range time.Duration(3) {
		least, most := math.Inf(1), 0.0
		for _, s := range r.memory {
			if s.at >= end*third/3 && s.at <= end*(third+1)/3 {
				least, most = min(least, under.MB(s.ServerKB)), max(most, under.MB(s.ServerKB))
			}
		}
		fmt.Fprintf(out, " %.0f to %.0f", least, most)
	}
	fmt.Fprintln(out, " MB")
}

// memoryAt is the sample nearest to a time.
func (r *result) memoryAt(at time.Duration) sample {
	return slices.MinFunc(r.memory, func(a, b sample) int { return int((a.at - at).Abs() - (b.at - at).Abs()) })
}

// wrong gathers what went wrong, by what it was.
func (r *result) wrong() map[string]int {
	all := map[string]int{}
	for i := range r.kinds {
		for what, n := range r.alone[i].wrong {
			all[r.kinds[i].name+", alone: "+what] += n
		}
		for what, n := range r.read[i].wrong {
			all[r.kinds[i].name+": "+what] += n
		}
	}
	for _, e := range r.entries {
		if e.wrong != "" {
			all["entry, "+e.kind+": "+e.wrong]++
		}
	}
	return all
}

// failed is an error where anything went wrong that must not.
func (r *result) failed() error {
	if r.lost > 0 {
		return fmt.Errorf("%d entries that were acknowledged are not in the book exactly once", r.lost)
	}
	if wrong := slices.Sorted(maps.Keys(r.wrong())); len(wrong) > 0 {
		return fmt.Errorf("%d kinds of wrong answers, the first of them: %s", len(wrong), wrong[0])
	}
	return nil
}
