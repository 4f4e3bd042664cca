package backup

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// partial ends the name of a file that is being written.
const partial = ".part"

// writeWhole writes a file under another name and gives it its own when it is on the
// disk: there is a whole file or none. What is written is read again.
func writeWhole(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".*"+partial)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreClosed(f.Close()), os.Remove(f.Name()))
		}
	}()
	sum := sha256.New()
	if err := write(io.MultiWriter(f, sum)); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := sameOnDisk(f.Name(), sum.Sum(nil)); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

func ignoreClosed(err error) error {
	if errors.Is(err, os.ErrClosed) {
		return nil
	}
	return err
}

func sameOnDisk(path string, sum []byte) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return err
	}
	if string(h.Sum(nil)) != string(sum) {
		return fmt.Errorf("%s does not read as it was written: the disk may be failing", path)
	}
	return nil
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// makeFolder makes a folder that is not there, and those it lies in, for their owner alone.
// The name of each is on the disk before anything is put into it: a file that is flushed is
// lost all the same where a power cut takes its folder.
func makeFolder(path string) error { return makeFolders(path, syncFolder) }

func makeFolders(path string, flush func(dir string) error) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && !info.IsDir():
		return &fs.PathError{Op: "mkdir", Path: path, Err: syscall.ENOTDIR}
	case err == nil || !errors.Is(err, fs.ErrNotExist):
		return err
	}
	parent := filepath.Dir(path)
	if err := makeFolders(parent, flush); err != nil {
		return err
	}
	if err := os.Mkdir(path, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	if err := flush(parent); err != nil { // gone again, so that whoever tries again flushes it
		return errors.Join(err, gone(path))
	}
	return nil
}

// gone takes a file away that may be gone already.
func gone(path string) error {
	if err := os.Remove(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
