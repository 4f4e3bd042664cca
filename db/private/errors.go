package private

import (
	"fmt"
	"strings"
)

// ErrNoPostgres is returned when no usable PostgreSQL is installed.
type ErrNoPostgres struct {
	Major   int      // the version the data needs; zero when any from 15 will do
	Looked  []string // the folders looked in, each with what was wrong there
	Command string   // the one command that puts it right on Debian and its kin
}

func (e ErrNoPostgres) Error() string {
	what := fmt.Sprintf("no PostgreSQL %d or later was found", leastMajor)
	if e.Major != 0 {
		what = fmt.Sprintf("the data was written by PostgreSQL %d, which was not found", e.Major)
	}
	where := "no folder of programs to look in"
	if len(e.Looked) > 0 {
		where = "looked in " + strings.Join(e.Looked, "; ")
	}
	return fmt.Sprintf("%s (%s). Install it with: %s", what, where, e.Command)
}

// ErrNoRoom is returned when PostgreSQL does not run because its disk is full.
type ErrNoRoom struct {
	Dir  string
	Said string // PostgreSQL's own words
}

func (e ErrNoRoom) Error() string {
	return fmt.Sprintf("there is no room on the disk of %s, and PostgreSQL cannot run without: make some, and start again. It said: %s", e.Dir, e.Said)
}

// noSpace is what the system calls a full disk, in the locale that we run PostgreSQL in.
const noSpace = "No space left on device"

// orNoRoom is err, or ErrNoRoom where PostgreSQL said that this is why.
func (s *Server) orNoRoom(said string, err error) error {
	for line := range strings.Lines(said) {
		if strings.Contains(line, noSpace) {
			return ErrNoRoom{s.places.dir, strings.TrimSpace(line)}
		}
	}
	return err
}

// ErrInUse is returned when another program holds the folder.
type ErrInUse struct{ Dir string }

func (e ErrInUse) Error() string {
	return fmt.Sprintf("the folder %s is in use by another levelpeg: stop that one first, or give this one a folder of its own", e.Dir)
}
