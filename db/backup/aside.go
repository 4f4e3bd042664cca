package backup

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"filippo.io/age"

	"levelpeg/db/private"
)

// Check tells whether a backup can be put back, by putting it back into a PostgreSQL that
// is started for it and thrown away: every table's rows and checksum are the same there,
// and this program's schema takes them. parent is the folder it works in; empty: the
// machine's for what passes.
func Check(ctx context.Context, path string, keys []age.Identity, parent string, log *slog.Logger) (Restored, error) {
	if _, _, err := Verify(ctx, path, keys); err != nil {
		return Restored{}, err
	}
	var out Restored
	err := aside(ctx, parent, log, func(url string) (err error) {
		out, err = Restore(ctx, url, path, Restoring{Keys: keys, Aside: true}, time.Now())
		return err
	})
	return out, err
}

// aside does something with an empty database that nobody else sees.
func aside(ctx context.Context, parent string, log *slog.Logger, do func(url string) error) (err error) {
	if err := clearAside(parent); err != nil {
		return explained(err, parent)
	}
	dir, err := os.MkdirTemp(parent, asidePrefix)
	if err != nil {
		return explained(err, parent)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := os.Chmod(dir, 0o711); err != nil { // PostgreSQL's user goes through it
		return err
	}
	// Nothing there is to outlive a power cut.
	server, err := private.Start(ctx, private.Config{Dir: filepath.Join(dir, "postgres"), Log: log, Fast: true})
	if err != nil {
		return err
	}
	defer func() {
		stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), 30*time.Second)
		defer cancel()
		err = errors.Join(err, server.Stop(stop))
	}()
	return do(server.URL())
}

const asidePrefix = "aside-"

// clearAside takes away what one that was killed left in a folder of ours.
func clearAside(parent string) error {
	if parent == "" {
		return nil
	}
	left, err := filepath.Glob(filepath.Join(parent, asidePrefix+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		info, err := os.Stat(dir)
		if err == nil && time.Since(info.ModTime()) > abandoned {
			err = os.RemoveAll(dir)
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
