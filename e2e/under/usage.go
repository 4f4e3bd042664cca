package under

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Memory is the proportional set size of a server and of the PostgreSQL it runs, whose
// processes are its descendants, in kB.
type Memory struct{ ServerKB, DatabaseKB int }

// MemoryOf measures the server that is a process, and its descendants.
func MemoryOf(pid int) (Memory, error) {
	server, err := pss(pid)
	m := Memory{ServerKB: server}
	for _, child := range descendants(pid) {
		if one, err := pss(child); err == nil { // it may just have ended
			m.DatabaseKB += one
		}
	}
	return m, err
}

// KB is both together.
func (m Memory) KB() int { return m.ServerKB + m.DatabaseKB }

// String gives the two parts in MB.
func (m Memory) String() string {
	return fmt.Sprintf("server %.1f, PostgreSQL %.1f", MB(m.ServerKB), MB(m.DatabaseKB))
}

// MB turns kB into MB of 1024 kB.
func MB(kb int) float64 { return float64(kb) / 1024 }

func pss(pid int) (int, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", pid))
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(text)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "Pss:" {
			return strconv.Atoi(f[1])
		}
	}
	return 0, fmt.Errorf("no Pss of process %d", pid)
}

// ResidentMB is the resident memory of one process.
func ResidentMB(pid int) float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid))
	if err != nil {
		return 0
	}
	f := strings.Fields(string(text))
	pages, _ := strconv.Atoi(f[1])
	return float64(pages*os.Getpagesize()) / (1 << 20)
}

func descendants(pid int) []int {
	var out []int
	files, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			continue
		}
		for _, word := range strings.Fields(string(text)) {
			if child, err := strconv.Atoi(word); err == nil {
				out = append(append(out, child), descendants(child)...)
			}
		}
	}
	return out
}

// Processor is the processor time that a server and its PostgreSQL have taken so far.
type Processor struct{ Server, Database time.Duration }

// ProcessorOf measures as MemoryOf does. Of a descendant those of its own children that
// have ended count, too.
func ProcessorOf(pid int) (Processor, error) {
	own, _, err := ticks(pid)
	p := Processor{Server: own}
	for _, child := range descendants(pid) {
		if own, gone, err := ticks(child); err == nil {
			p.Database += own + gone
		}
	}
	return p, err
}

// Since is what was taken after an earlier measurement.
func (p Processor) Since(before Processor) Processor {
	return Processor{Server: p.Server - before.Server, Database: p.Database - before.Database}
}

// tick is the unit of times in /proc, a hundredth of a second on Linux (USER_HZ).
const tick = 10 * time.Millisecond

// ticks gives what a process has taken itself, and its children that have ended.
func ticks(pid int) (own, gone time.Duration, err error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0, 0, err
	}
	// The name, in brackets, may hold anything; utime is the 14th field, the 12th after it.
	f := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
	if len(f) < 15 {
		return 0, 0, fmt.Errorf("process %d: /proc/%d/stat has %d fields", pid, pid, len(f))
	}
	var n [4]int64
	for i := range n {
		if n[i], err = strconv.ParseInt(f[11+i], 10, 64); err != nil {
			return 0, 0, err
		}
	}
	return time.Duration(n[0]+n[1]) * tick, time.Duration(n[2]+n[3]) * tick, nil
}
