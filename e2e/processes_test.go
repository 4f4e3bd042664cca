package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// postmaster is the process that the folder's PostgreSQL says it is; 0 where it
// says nothing or that process does not work in the folder.
func postmaster(dir string) int {
	data := filepath.Join(dir, "data")
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if err != nil {
		return 0
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || !worksIn(pid, data) {
		return 0
	}
	return pid
}

// residents are the PostgreSQL processes that work in a folder's cluster, or in the
// one that is being made there.
func residents(dir string) []int {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	var out []int
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err == nil && (worksIn(pid, filepath.Join(dir, "data")) || worksIn(pid, filepath.Join(dir, "data.init"))) {
			out = append(out, pid)
		}
	}
	return out
}

// worksIn tells whether a process is PostgreSQL's and has a folder as its own. So
// no test ends a process that is not one of its program's.
func worksIn(pid int, data string) bool {
	exe, err := os.Readlink(fmt.Sprintf("/proc/%d/exe", pid))
	if err != nil {
		return false
	}
	if name := filepath.Base(exe); !strings.HasPrefix(name, "postgres") && !strings.HasPrefix(name, "initdb") {
		return false
	}
	cwd, err := os.Stat(fmt.Sprintf("/proc/%d/cwd", pid))
	if err != nil {
		return false
	}
	own, err := os.Stat(data)
	return err == nil && os.SameFile(cwd, own)
}
