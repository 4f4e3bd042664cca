package private

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// leastMajor is the oldest PostgreSQL the program's statements are written for.
const leastMajor = 15

// binaries is a folder of PostgreSQL's programs.
type binaries struct {
	dir   string
	major int
}

func (b binaries) path(program string) string { return filepath.Join(b.dir, program) }

// dataVersion is the major version that wrote the cluster, and zero where there
// is none yet.
func dataVersion(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, clearEmpty(data)
	}
	if err != nil {
		return 0, fmt.Errorf("the data cannot be read: %w", err)
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, fmt.Errorf("%s is not the data of a PostgreSQL: its PG_VERSION is %q", data, text)
	}
	return major, nil
}

// clearEmpty takes an empty data folder away, and refuses one with something
// else in it.
func clearEmpty(data string) error {
	if err := os.Remove(data); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s holds something other than a PostgreSQL's data: move it away or give another folder", data)
	}
	return nil
}

// searchPath lists the folders to look for PostgreSQL's programs in, best first.
func searchPath(binDir string) []string {
	if binDir != "" {
		return []string{binDir}
	}
	var dirs []string
	if dir := os.Getenv("PG_BINDIR"); dir != "" {
		dirs = append(dirs, dir)
	}
	return append(dirs, newestFirst("/usr/lib/postgresql")...)
}

// newestFirst lists root/<version>/bin by falling version.
func newestFirst(root string) []string {
	dirs, _ := filepath.Glob(filepath.Join(root, "*", "bin")) // the pattern is sound
	slices.SortFunc(dirs, func(a, b string) int { return cmp.Compare(pathVersion(b), pathVersion(a)) })
	return dirs
}

func pathVersion(bin string) float64 {
	v, _ := strconv.ParseFloat(filepath.Base(filepath.Dir(bin)), 64) // not a number: last
	return v
}

// findBinaries is the first of the folders with the wanted major version or,
// when that is zero, with any from leastMajor that can also make a cluster.
func findBinaries(ctx context.Context, a account, dirs []string, want int) (binaries, error) {
	missing := ErrNoPostgres{Major: want, Command: "apt-get install postgresql"}
	if want != 0 {
		missing.Command += fmt.Sprintf("-%d", want)
	}
	for _, dir := range dirs {
		b, err := inspect(ctx, a, dir)
		if err == nil {
			err = b.suits(want)
		}
		if err == nil {
			return b, nil
		}
		if ctx.Err() != nil {
			return binaries{}, ctx.Err()
		}
		missing.Looked = append(missing.Looked, fmt.Sprintf("%s: %v", dir, err))
	}
	return binaries{}, missing
}

var versionLine = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// inspect asks the postgres in a folder for its version.
func inspect(ctx context.Context, a account, dir string) (binaries, error) {
	b := binaries{dir: dir}
	if _, err := os.Stat(b.path("postgres")); err != nil {
		return b, errors.New("no postgres there")
	}
	said, err := a.output(ctx, "/", b.path("postgres"), "--version")
	if err != nil {
		return b, fmt.Errorf("its postgres does not run for %s (%w)", userName(a.uid), err)
	}
	found := versionLine.FindStringSubmatch(said)
	if found == nil {
		return b, fmt.Errorf("its postgres does not tell its version but %.60q", said)
	}
	b.major, err = strconv.Atoi(found[1])
	return b, err
}

// suits says what keeps the programs from serving data of the wanted version,
// or from making a cluster when that is zero.
func (b binaries) suits(want int) error {
	switch {
	case b.major < leastMajor:
		return fmt.Errorf("version %d is too old", b.major)
	case want != 0 && b.major != want:
		return fmt.Errorf("version %d", b.major)
	case want != 0:
		return nil
	}
	if _, err := os.Stat(b.path("initdb")); err != nil {
		return errors.New("no initdb there")
	}
	return nil
}
