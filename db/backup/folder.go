package backup

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"levelpeg/club"
)

// A folder of nightly backups: their files, named by when they were made, the photographs
// that they share, and the list of removals.
const (
	namePrefix = "levelpeg-"
	nameTime   = "20060102T150405Z"
	photosName = "photographs"
)

func nameOf(at time.Time) string { return namePrefix + at.UTC().Format(nameTime) + Suffix }

// nights lists when the backups in a folder were made, of those whose names end in one of
// some ways after Suffix.
func nights(dir string, ends ...string) ([]time.Time, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var made []time.Time
	for _, e := range entries {
		for _, end := range ends {
			if at, ok := nightOf(e.Name(), Suffix+end); ok {
				made = append(made, at)
			}
		}
	}
	slices.SortFunc(made, time.Time.Compare)
	return slices.CompactFunc(made, time.Time.Equal), err
}

func nightOf(name, end string) (time.Time, bool) {
	name, ours := strings.CutPrefix(name, namePrefix)
	name, whole := strings.CutSuffix(name, end)
	at, err := time.Parse(nameTime, name)
	return at, ours && whole && err == nil
}

// Newest is the newest nightly backup in a folder, of those that are not encrypted.
func Newest(dir string) (string, error) {
	made, err := nights(dir, "")
	if err != nil {
		return "", explained(err, dir)
	}
	if len(made) == 0 {
		return "", club.Faultf(club.NotFound, "There is no nightly backup in %s yet. “levelpeg backup FILE” makes one at once.", dir)
	}
	return filepath.Join(dir, nameOf(Keep(made, time.UTC)[0])), nil
}

// abandoned is how old a file that was being written is when nobody writes it any more.
const abandoned = 24 * time.Hour

// tidy takes away what was being written when a program was killed, if it is as old as that.
func tidy(dir string, old time.Duration) error {
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, partial) {
			return err
		}
		info, err := e.Info()
		if err != nil || time.Since(info.ModTime()) < old {
			return err
		}
		return os.Remove(path)
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
