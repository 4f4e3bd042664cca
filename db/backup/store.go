package backup

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Store is a folder of photographs that backups share, each under its SHA-256.
type Store struct{ Dir string }

func (s *Store) path(sum []byte) string {
	name := hex.EncodeToString(sum)
	return filepath.Join(s.Dir, name[:2], name)
}

// nightsToLook is in how many nights each photograph is read once to see that it is still
// as it was written.
const nightsToLook = 7

// has says that a photograph is there, and how long it is. Each is looked at on one night
// of some; one that has gone bad is not there.
func (s *Store) has(sum []byte, now time.Time) (int64, bool) {
	info, err := os.Stat(s.path(sum))
	if err != nil {
		return 0, false
	}
	if night := now.Unix() / 86400; int64(sum[0])%nightsToLook == night%nightsToLook {
		if _, err := s.check(sum, io.Discard); err != nil {
			return 0, false
		}
	}
	return info.Size(), true
}

// check reads a photograph into w and says whether it is the one of its name.
func (s *Store) check(sum []byte, w io.Writer) (int64, error) {
	f, err := os.Open(s.path(sum))
	if err != nil {
		return 0, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(h, w), f)
	if err == nil && string(h.Sum(nil)) != string(sum) {
		err = fmt.Errorf("the photograph %x is not as it was written", sum)
	}
	return n, err
}

func (s *Store) put(sum, data []byte) error {
	path := s.path(sum)
	if err := makeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	return writeWhole(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// each gives every photograph there is.
func (s *Store) each(do func(sum, path string) error) error {
	err := filepath.WalkDir(s.Dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || strings.HasSuffix(path, partial) {
			return err
		}
		return do(e.Name(), path)
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
