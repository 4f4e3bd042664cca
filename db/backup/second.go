package backup

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"filippo.io/age"

	"levelpeg/club"
)

// second is the place that nights are copied to, encrypted where it has recipients.
type second struct {
	ctx  context.Context
	from string // the first place
	dir  string
	to   []*age.X25519Recipient
	zone *time.Location // of the days of which nights are kept
	log  *slog.Logger

	anew   bool            // what lies there encrypted is to others
	empty  int64           // bytes of an encrypted file of nothing
	done   map[string]bool // what was encrypted this time, or found so
	spoilt error           // of the night's photographs, those that are not as they were written
}

// take copies a backup, the photographs it wants and the list of removals to the second
// place, which must be there: a disk that is not put in is not to fill the one it hangs on.
func (s *second) take(name string) error {
	if info, err := os.Stat(s.dir); err != nil || !info.IsDir() {
		return club.Faultf(club.Unavailable, "The second place for backups, %s, is not there.", s.dir).Because(err)
	}
	if sameFolder(s.from, s.dir) || sameFolder(filepath.Join(s.from, photosName), filepath.Join(s.dir, photosName)) {
		return club.Faultf(club.Invalid, "The second place for backups, %s, is the first one. Give another.", s.dir)
	}
	if err := s.tidy(); err != nil {
		return explained(err, s.dir)
	}
	if err := s.begin(); err != nil {
		return explained(err, s.dir)
	}
	if err := s.night(name); err != nil {
		return explained(err, s.dir)
	}
	if err := s.others(); err != nil {
		s.log.Warn("nights of before that the second place has not got were not all copied", "dir", s.dir, "err", err)
	}
	if err := s.removals(); err != nil {
		return err
	}
	return explained(s.changeOver(), s.dir)
}

func sameFolder(a, b string) bool {
	one, err := os.Stat(a)
	other, otherErr := os.Stat(b)
	return err == nil && otherErr == nil && os.SameFile(one, other)
}

// tidy takes away what was half written. Nobody else copies nights at the same time; so
// what is half there in the clear goes at once where nothing is to lie there in the clear.
func (s *second) tidy() error {
	old := abandoned
	if len(s.to) > 0 {
		old = 0
	}
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return err
	}
	for _, e := range entries { // what lies in other folders there is not ours
		if strings.HasPrefix(e.Name(), namePrefix) && !e.IsDir() {
			if err := tidy(filepath.Join(s.dir, e.Name()), old); err != nil {
				return err
			}
		}
	}
	return tidy(filepath.Join(s.dir, photosName), old)
}

// others copies the nights that are kept and are not there: of a disk that hung there not
// always, or is new.
func (s *second) others() error {
	here, err := nights(s.from, "")
	if err != nil {
		return err
	}
	there, err := nights(s.dir, "", ageSuffix)
	if err != nil {
		return err
	}
	var failed error
	for _, at := range Keep(slices.Concat(here, there), s.zone) {
		if slices.ContainsFunc(there, at.Equal) {
			continue
		}
		if err := s.night(nameOf(at)); err != nil {
			failed = errors.Join(failed, err)
		}
	}
	return failed
}

// night copies a night and the photographs it wants, which come first.
func (s *second) night(name string) error {
	photos, err := listed(s.ctx, filepath.Join(s.from, name))
	if err != nil {
		return err
	}
	for _, sum := range photos {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		if err := s.put(photoIn(sum)); errors.As(err, new(spoiltError)) {
			s.spoilt = errors.Join(s.spoilt, err)
		} else if err != nil {
			return err
		}
	}
	return s.put(name)
}

// photoIn is where a photograph lies in a place.
func photoIn(sum string) string { return filepath.Join(photosName, sum[:2], sum) }

// put copies what has a name in the first place, or encrypts it in the place of what lies
// there in the clear.
func (s *second) put(name string) error {
	from, to := filepath.Join(s.from, name), filepath.Join(s.dir, name)
	if len(s.to) == 0 {
		return copyOnce(from, to)
	}
	if err := s.encryptOnce(from, to+ageSuffix, name); err != nil {
		return err
	}
	return gone(to)
}

func (s *second) removals() error {
	removals, err := ReadRemovals(filepath.Join(s.from, RemovalsName))
	if err != nil || len(removals) == 0 {
		return err
	}
	return explained(mergeRemovals(filepath.Join(s.dir, RemovalsName), removals), s.dir)
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
