package backup

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"syscall"
	"time"

	"levelpeg/club"
)

// Made is a backup that was made.
type Made struct {
	Head     Head
	Manifest Manifest
	Path     string
	Bytes    int64
	Took     time.Duration
}

// ToFile makes a backup of the book at url in a file, whole or not at all.
func ToFile(ctx context.Context, url, path string, o Options, now time.Time) (Made, error) {
	began := time.Now()
	m := Made{Path: path}
	err := writeWhole(path, func(w io.Writer) (err error) {
		c := &counter{w: w}
		m.Head, m.Manifest, err = Write(ctx, url, c, o, now)
		m.Bytes = c.n
		return err
	})
	m.Took = time.Since(began)
	return m, explained(err, filepath.Dir(path))
}

// explained makes a sentence of what a person can mend.
func explained(err error, dir string) error {
	var f *club.Fault
	switch {
	case err == nil || errors.As(err, &f):
		return err
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return club.Faultf(club.Unavailable, "There is no room for a backup in %s. The ones that are there stay as they are.", dir).Because(err)
	case errors.Is(err, syscall.ENOENT), errors.Is(err, syscall.EACCES), errors.Is(err, syscall.EROFS), errors.Is(err, syscall.ENOTDIR), errors.Is(err, syscall.EIO):
		return club.Faultf(club.Unavailable, "No backup can be written to %s.", dir).Because(err)
	}
	return err
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.n += int64(n)
	return n, err
}
