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

	"filippo.io/age"

	"levelpeg/club"
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

// ageSuffix ends the name of what is encrypted.
const ageSuffix = ".age"

// read gives a photograph, from the encrypted file where there is no other. It does not say
// whether it is the one of its name.
func (s *Store) read(sum []byte, keys []age.Identity) ([]byte, error) {
	data, err := os.ReadFile(s.path(sum))
	if !errors.Is(err, fs.ErrNotExist) {
		return data, err
	}
	f, err := os.Open(s.path(sum) + ageSuffix)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	open, err := unlock(f, keys)
	var none *age.NoIdentityMatchError
	if errors.As(err, &none) {
		return nil, club.Faultf(club.Invalid, "This passphrase or key does not open the photograph %x beside the backup, which is encrypted to another. Give a file that has that key in it, too.", sum).Because(none)
	}
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(open, mostPhoto+1))
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

// each gives every photograph there is, of one that lies there both ways both.
func (s *Store) each(do func(sum, path string, encrypted bool) error) error {
	err := filepath.WalkDir(s.Dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || strings.HasSuffix(path, partial) {
			return err
		}
		sum, encrypted := strings.CutSuffix(e.Name(), ageSuffix)
		return do(sum, path, encrypted)
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
