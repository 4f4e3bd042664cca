// Package migrations holds the numbered steps that bring a database to the
// schema this program was written for. A step that has landed is never edited.
package migrations

import (
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

// FS holds every NNNN_name.up.sql and its .down.sql. Each runs as one
// transaction of its own, which it opens and commits.
//
//go:embed 0*.sql
var FS embed.FS

// Latest is the version of the newest step.
func Latest() uint {
	names, err := fs.Glob(FS, "*.up.sql")
	if err != nil || len(names) == 0 {
		panic("migrations: none embedded")
	}
	v, err := version(names[len(names)-1]) // Glob sorts by name
	if err != nil {
		panic(err)
	}
	return v
}

func version(file string) (uint, error) {
	number, _, _ := strings.Cut(file, "_")
	v, err := strconv.ParseUint(number, 10, 32)
	if err != nil {
		return 0, fmt.Errorf("migrations: %s does not begin with a number: %w", file, err)
	}
	return uint(v), nil
}
