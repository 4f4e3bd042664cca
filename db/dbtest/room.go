package dbtest

import (
	"os"
	"syscall"
)

// memory is a file system in memory, where there is one.
const memory = "/dev/shm"

// enough is the room that the databases of a run may want, with much to spare.
const enough = 4 << 30

// Folder is a new one for a database that a test throws away, which PostgreSQL's user can enter,
// as it cannot t.TempDir. It is in memory where there is room: of the half second that a database
// of 300 files takes to make and to drop, most is the disk's. What is about the disk (a kill, one
// that is full) makes its own, and what is measured at scale (LEVELPEG_SCALE) is on one.
func Folder() (string, error) {
	at := "/tmp"
	var fs syscall.Statfs_t
	if os.Getenv("LEVELPEG_SCALE") == "" && syscall.Statfs(memory, &fs) == nil && fs.Bavail*uint64(fs.Bsize) >= enough {
		at = memory
	}
	dir, err := os.MkdirTemp(at, "levelpeg-test-")
	if err != nil {
		return "", err
	}
	return dir, os.Chmod(dir, 0o755)
}
