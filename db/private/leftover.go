package private

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// pidFile is what postgres writes of itself into postmaster.pid.
type pidFile struct {
	pid    int    // line 1
	status string // line 8: starting, ready, stopping
}

// readPidFile gives what can be read; a missing or torn file has no status.
func readPidFile(data string) pidFile {
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if err != nil {
		return pidFile{}
	}
	lines := strings.Split(string(text), "\n")
	var f pidFile
	f.pid, _ = strconv.Atoi(strings.TrimSpace(lines[0])) // torn: zero, nobody's
	if len(lines) >= 8 {
		f.status = strings.TrimSpace(lines[7])
	}
	return f
}

// grace is a signal and how long to wait for the process to end after it. The
// signal zero only waits.
type grace struct {
	signal unix.Signal
	wait   time.Duration
}

// clearLeftovers ends the postgres of an earlier run, if it is still there, and
// takes away the files by which it would keep a new one from starting. Those
// may name a process that has nothing to do with it, which is left alone.
func clearLeftovers(ctx context.Context, p places) error {
	err := endResident(ctx, p.data, readPidFile(p.data).pid,
		grace{unix.SIGINT, 30 * time.Second}, grace{unix.SIGQUIT, 10 * time.Second})
	if err != nil {
		return err
	}
	// Without their postmaster the others leave within moments. A new one beside
	// them could spoil the data, so they are waited for.
	for _, pid := range residents(p.data) {
		err := endResident(ctx, p.data, pid, grace{0, 5 * time.Second}, grace{unix.SIGQUIT, 10 * time.Second})
		if err != nil {
			return err
		}
	}
	stale := []string{filepath.Join(p.data, "postmaster.pid"), filepath.Join(p.run, socketName), filepath.Join(p.run, socketName+".lock")}
	for _, path := range stale {
		if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("a file of an earlier PostgreSQL cannot be taken away: %w", err)
		}
	}
	return nil
}

// residents lists the postgres processes that work in the folder.
func residents(dir string) []int {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	var pids []int
	for _, e := range entries {
		if pid, err := strconv.Atoi(e.Name()); err == nil && isResident(pid, dir) {
			pids = append(pids, pid)
		}
	}
	return pids
}

// isResident tells whether the process works in the folder and is a postgres;
// one whose program was replaced reads "postgres (deleted)".
func isResident(pid int, dir string) bool {
	proc := fmt.Sprintf("/proc/%d/", pid)
	exe, err := os.Readlink(proc + "exe")
	if err != nil || !strings.HasPrefix(filepath.Base(exe), "postgres") {
		return false
	}
	cwd, err := os.Stat(proc + "cwd")
	if err != nil {
		return false
	}
	own, err := os.Stat(dir)
	return err == nil && os.SameFile(cwd, own)
}

// endResident sends the signals one after another to a process until it has
// ended. It does nothing to a process that is not the folder's.
func endResident(ctx context.Context, dir string, pid int, steps ...grace) error {
	if pid <= 0 {
		return nil
	}
	// Hold the process first and look at it then: its number may pass to another.
	fd, err := unix.PidfdOpen(pid, 0)
	if errors.Is(err, unix.ESRCH) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("process %d, which may be an earlier PostgreSQL on this data, cannot be held: %w", pid, err)
	}
	defer unix.Close(fd)
	if !isResident(pid, dir) {
		return nil
	}
	for _, step := range steps {
		if step.signal != 0 {
			unix.PidfdSendSignal(fd, step.signal, nil, 0) // it may just have ended, which the wait sees
		}
		if ended, err := awaitEnd(ctx, fd, step.wait); ended || err != nil {
			return err
		}
	}
	return fmt.Errorf("an earlier PostgreSQL, process %d, still works in %s and does not end", pid, dir)
}

// awaitEnd waits for the held process to end. It looks up at times for the
// context.
func awaitEnd(ctx context.Context, fd int, limit time.Duration) (bool, error) {
	const slice = 100 * time.Millisecond
	for deadline := time.Now().Add(limit); time.Now().Before(deadline); {
		n, err := unix.Poll([]unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}, int(slice.Milliseconds()))
		if err != nil && !errors.Is(err, unix.EINTR) {
			return false, fmt.Errorf("waiting for an earlier PostgreSQL to end: %w", err)
		}
		if n > 0 {
			return true, nil
		}
		if ctx.Err() != nil {
			return false, ctx.Err()
		}
	}
	return false, nil
}
