package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
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

// nights lists when the backups in a folder were made.
func nights(dir string) ([]time.Time, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var made []time.Time
	for _, e := range entries {
		name, ok := strings.CutPrefix(e.Name(), namePrefix)
		if name, whole := strings.CutSuffix(name, Suffix); ok && whole {
			if at, err := time.Parse(nameTime, name); err == nil {
				made = append(made, at)
			}
		}
	}
	return made, err
}

// Newest is the newest nightly backup in a folder.
func Newest(dir string) (string, error) {
	made, err := nights(dir)
	if err != nil {
		return "", explained(err, dir)
	}
	if len(made) == 0 {
		return "", club.Faultf(club.NotFound, "There is no nightly backup in %s yet. “levelpeg backup FILE” makes one at once.", dir)
	}
	return filepath.Join(dir, nameOf(Keep(made, time.UTC)[0])), nil
}

// prune takes away what is not kept, and the photographs that only those had. Where one
// that is kept cannot be read no photograph goes.
func prune(ctx context.Context, dir string, loc *time.Location) error {
	made, err := nights(dir)
	if err != nil {
		return err
	}
	kept := map[time.Time]bool{}
	for _, at := range Keep(made, loc) {
		kept[at] = true
	}
	shown := map[string]bool{}
	for _, at := range made {
		path := filepath.Join(dir, nameOf(at))
		if !kept[at] {
			if err := os.Remove(path); err != nil {
				return err
			}
			continue
		}
		photos, err := listed(ctx, path)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		for _, p := range photos {
			shown[p] = true
		}
	}
	return (&Store{Dir: filepath.Join(dir, photosName)}).each(func(sum, path string) error {
		if shown[sum] {
			return nil
		}
		return os.Remove(path)
	})
}

// abandoned is how old a file that was being written is when nobody writes it any more.
const abandoned = 24 * time.Hour

// tidy takes away what was being written when a program was killed.
func tidy(dir string) error {
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, partial) {
			return err
		}
		info, err := e.Info()
		if err != nil || time.Since(info.ModTime()) < abandoned {
			return err
		}
		return os.Remove(path)
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// copyNight copies a backup, the photographs it wants and the list of removals to a second
// place, which must be there: a disk that is not put in is not to fill the one it hangs on.
func copyNight(ctx context.Context, from, to, name string) error {
	if info, err := os.Stat(to); err != nil || !info.IsDir() {
		return club.Faultf(club.Unavailable, "The second place for backups, %s, is not there.", to).Because(err)
	}
	photos, err := listed(ctx, filepath.Join(from, name))
	if err != nil {
		return err
	}
	for _, p := range photos {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := copyOnce(filepath.Join(from, photosName, p[:2], p), filepath.Join(to, photosName, p[:2], p)); err != nil {
			return explained(err, to)
		}
	}
	if err := copyOnce(filepath.Join(from, name), filepath.Join(to, name)); err != nil {
		return explained(err, to)
	}
	removals, err := ReadRemovals(filepath.Join(from, RemovalsName))
	if err != nil || len(removals) == 0 {
		return err
	}
	return explained(mergeRemovals(filepath.Join(to, RemovalsName), removals), to)
}

// copyOnce copies a file that is not there yet.
func copyOnce(from, to string) error {
	have, err := os.Stat(to)
	want, wantErr := os.Stat(from)
	if wantErr != nil {
		return wantErr
	}
	if err == nil && have.Size() == want.Size() {
		return nil
	}
	if err := makeFolder(filepath.Dir(to)); err != nil {
		return err
	}
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	return writeWhole(to, func(w io.Writer) error {
		_, err := io.Copy(w, f)
		return err
	})
}
