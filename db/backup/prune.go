package backup

import (
	"archive/tar"
	"context"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// prune takes away the nights that are not kept, and the photographs that only those had.
// What a night has that is encrypted here is known from the same night in the folder first.
// Where that of one that is kept is not known, no photograph goes.
func prune(ctx context.Context, dir, first string, loc *time.Location) error {
	made, err := nights(dir, "", ageSuffix)
	if err != nil {
		return err
	}
	kept := Keep(made, loc)
	for _, at := range made {
		if slices.ContainsFunc(kept, at.Equal) {
			continue
		}
		for _, end := range []string{"", ageSuffix} {
			if err := gone(filepath.Join(dir, nameOf(at)+end)); err != nil {
				return err
			}
		}
	}
	w, err := wantedBy(ctx, dir, first, kept)
	if err != nil {
		return fmt.Errorf("no photograph goes from %s: %w", dir, err)
	}
	return (&Store{Dir: filepath.Join(dir, photosName)}).each(func(sum, path string, encrypted bool) error {
		if w.needs(sum, path, encrypted) {
			return nil
		}
		return os.Remove(path)
	})
}

// wanted are the photographs that kept nights have, each by its SHA-256: by any, and by
// encrypted ones.
type wanted struct{ all, encrypted map[string]bool }

func wantedBy(ctx context.Context, dir, first string, kept []time.Time) (wanted, error) {
	w := wanted{map[string]bool{}, map[string]bool{}}
	for _, at := range kept {
		path := filepath.Join(dir, nameOf(at))
		encrypted := isThere(path + ageSuffix)
		if !isThere(path) {
			path = filepath.Join(first, nameOf(at))
		}
		photos, err := listed(ctx, path)
		if err != nil {
			return w, fmt.Errorf("what %s has is not known: %w", nameOf(at), err)
		}
		for _, p := range photos {
			w.all[p] = true
			w.encrypted[p] = w.encrypted[p] || encrypted
		}
	}
	return w, nil
}

// needs says whether a file is needed: an encrypted one not where only nights in the clear
// have the photograph, and it lies there in the clear, too.
func (w wanted) needs(sum, path string, encrypted bool) bool {
	if encrypted && !w.encrypted[sum] && isThere(path[:len(path)-len(ageSuffix)]) {
		return false
	}
	return w.all[sum]
}

func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// listed gives the photographs of a backup without reading the rest of it.
func listed(ctx context.Context, path string) ([]string, error) {
	r := &reader{ctx: ctx}
	err := withFrame(path, func(frame *frameReader) error {
		r.in = tar.NewReader(frame)
		return r.begin()
	})
	if err != nil {
		return nil, err
	}
	names := make([]string, len(r.photos))
	for i, sum := range r.photos {
		names[i] = hex.EncodeToString(sum)
	}
	return names, nil
}
