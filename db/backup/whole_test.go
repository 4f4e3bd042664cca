package backup_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"levelpeg/db/backup"
)

// TestMakeFolder: every folder that is made is its owner's alone, and the one it lies in is
// flushed after it was made and before anything is made in it.
func TestMakeFolder(t *testing.T) {
	t.Parallel()
	top := t.TempDir()
	deep := filepath.Join(top, "backups", "photographs", "ab")
	var flushed []string
	flush := func(dir string) error {
		if entries := files(t, dir); len(entries) != 1 || len(files(t, filepath.Join(dir, entries[0]))) != 0 {
			t.Errorf("%s was flushed with %v in it", dir, entries)
		}
		flushed = append(flushed, dir)
		return nil
	}
	if err := backup.MakeFolders(deep, flush); err != nil {
		t.Fatal(err)
	}
	made := []string{filepath.Join(top, "backups"), filepath.Join(top, "backups", "photographs"), deep}
	if want := []string{top, made[0], made[1]}; !slices.Equal(flushed, want) {
		t.Errorf("flushed were %v, want %v", flushed, want)
	}
	for _, dir := range made {
		if info, err := os.Stat(dir); err != nil || info.Mode() != fs.ModeDir|0o700 {
			t.Errorf("%s: %v, %v", dir, info.Mode(), err)
		}
	}
	if err := backup.MakeFolders(deep, flush); err != nil || len(flushed) != 3 {
		t.Errorf("once more: %v, flushed %v", err, flushed)
	}
	if err := backup.MakeFolder(filepath.Join(deep, "x", "y")); err != nil {
		t.Error(err)
	}
}

func TestMakeFolderFails(t *testing.T) {
	t.Parallel()
	top := t.TempDir()
	file := filepath.Join(top, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{file, filepath.Join(file, "within"), ""} {
		if err := backup.MakeFolder(path); err == nil {
			t.Errorf("%q was made", path)
		}
	}
	// What could not be flushed is not there, or nobody would flush it when it is tried again.
	bad, dir := errors.New("no flushing"), filepath.Join(top, "dir")
	if err := backup.MakeFolders(dir, func(string) error { return bad }); !errors.Is(err, bad) {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("it is there: %v", err)
	}
}
