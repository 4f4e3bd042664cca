package backup

import (
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"filippo.io/age"

	"levelpeg/club"
)

// ParseRecipients reads age recipients, which are public keys.
func ParseRecipients(texts []string) ([]*age.X25519Recipient, error) {
	var all []*age.X25519Recipient
	for _, text := range texts {
		if strings.HasPrefix(strings.ToUpper(text), "AGE-SECRET-KEY-") { // it is not repeated: logs are read
			return nil, club.Faultf(club.Invalid, "This is a secret key and not an age recipient. Give the public one, which begins with age1, and keep the secret one elsewhere.")
		}
		r, err := age.ParseX25519Recipient(text)
		if err != nil {
			return nil, club.Faultf(club.Invalid, "“%s” is not an age recipient.", text).Because(err)
		}
		all = append(all, r)
	}
	return all, nil
}

// recipientsName is the file in the second place that says to whom what lies there is
// encrypted, which cannot be told by looking at it.
const recipientsName = "recipients"

// begin finds out whether what lies there encrypted is to the same recipients.
func (s *second) begin() error {
	if len(s.to) == 0 {
		return nil
	}
	text, err := os.ReadFile(filepath.Join(s.dir, recipientsName))
	s.anew = err != nil || string(text) != s.recipients()
	s.done = map[string]bool{}
	c := counter{w: io.Discard}
	err = s.encryptTo(&c, strings.NewReader(""))
	s.empty = c.n
	return err
}

func (s *second) recipients() string {
	var lines []string
	for _, r := range s.to {
		lines = append(lines, r.String()+"\n")
	}
	slices.Sort(lines)
	return strings.Join(slices.Compact(lines), "")
}

// spoiltError is of a file of the first place that is not as it was written.
type spoiltError struct{ error }

// encryptOnce encrypts a file that is not there encrypted to the same recipients. One that
// is spoilt is left, since what lies in the second place may be better.
func (s *second) encryptOnce(from, to, name string) error {
	info, err := os.Stat(from)
	if err != nil || s.done[name] {
		return err
	}
	if have, err := os.Stat(to); err != nil || s.anew || have.Size() != s.sizeOf(info.Size()) {
		if err := asWritten(from); err != nil {
			return spoiltError{fmt.Errorf("%s: %w", from, err)}
		}
		if err := s.encrypt(from, to); err != nil {
			return err
		}
	}
	s.done[name] = true
	return nil
}

func (s *second) encrypt(from, to string) error {
	if err := makeFolder(filepath.Dir(to)); err != nil {
		return err
	}
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	return writeWhole(to, func(w io.Writer) error { return s.encryptTo(w, f) })
}

func (s *second) encryptTo(w io.Writer, r io.Reader) error {
	to := make([]age.Recipient, len(s.to))
	for i, one := range s.to {
		to[i] = one
	}
	locked, err := age.Encrypt(w, to...)
	if err != nil {
		return err
	}
	if _, err := io.Copy(locked, r); err != nil {
		return err
	}
	return locked.Close()
}

// An age file's payload (age-encryption.org/v1): pieces, the last of which may be shorter,
// and after each its tag.
const (
	agePiece = 64 << 10
	ageTag   = 16
)

// sizeOf is how many bytes a file of some bytes has when it is encrypted.
func (s *second) sizeOf(bytes int64) int64 {
	pieces := max((bytes+agePiece-1)/agePiece, 1)
	return s.empty + bytes + (pieces-1)*ageTag
}

// asWritten reads a photograph, which is named by its checksum, or a backup, which ends
// with its own.
func asWritten(path string) error {
	if sum, err := hex.DecodeString(filepath.Base(path)); err == nil {
		_, err := (&Store{Dir: filepath.Dir(filepath.Dir(path))}).check(sum, io.Discard)
		return err
	}
	return withFrame(path, func(frame *frameReader) error {
		if _, err := io.Copy(io.Discard, frame.Decoder); err != nil {
			return err
		}
		return frame.sealed()
	})
}

// changeOver encrypts what lies in the second place from before the setting, in the clear
// or to other recipients, as far as the first place has it.
func (s *second) changeOver() error {
	if len(s.to) == 0 {
		return nil
	}
	made, err := nights(s.dir, "", ageSuffix)
	if err != nil {
		return err
	}
	left := 0
	for _, at := range made {
		if err := s.change(nameOf(at), &left); err != nil {
			return err
		}
	}
	err = (&Store{Dir: filepath.Join(s.dir, photosName)}).each(func(sum, _ string, encrypted bool) error {
		if encrypted && !s.anew || len(sum) < 2 {
			return nil
		}
		return s.change(photoIn(sum), &left)
	})
	if err != nil {
		return err
	}
	return s.changed(left)
}

// change encrypts one, if the first place has it whole.
func (s *second) change(name string, left *int) error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	if !isThere(filepath.Join(s.from, name)) {
		*left++
		return nil
	}
	err := s.put(name)
	if errors.As(err, new(spoiltError)) {
		s.log.Warn("it is left in the second place as it is: the first place's is not as it was written", "file", name, "err", err)
		return nil
	}
	return err
}

// changed writes down to whom everything is encrypted now, unless something of this night
// is still to be.
func (s *second) changed(left int) error {
	if s.spoilt != nil {
		return club.Faultf(club.Unavailable, "Some photographs in %s are not as they were written, and were not encrypted for the second place. They are mended from the book within a week.", s.from).Because(s.spoilt)
	}
	if !s.anew {
		return nil
	}
	if left > 0 {
		s.log.Warn("what lies in the second place and not in the first stays as it is, in the clear or encrypted to those of before", "dir", s.dir, "files", left)
	}
	return writeWhole(filepath.Join(s.dir, recipientsName), func(w io.Writer) error {
		_, err := io.WriteString(w, s.recipients())
		return err
	})
}

// clearLeft counts what lies in a place in the clear.
func clearLeft(dir string) (files int, err error) {
	made, err := nights(dir, "")
	if err != nil {
		return 0, err
	}
	files = len(made)
	err = (&Store{Dir: filepath.Join(dir, photosName)}).each(func(_, _ string, encrypted bool) error {
		if !encrypted {
			files++
		}
		return nil
	})
	return files, err
}
