package backup

import (
	"archive/tar"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"filippo.io/age"

	"levelpeg/club"
	"levelpeg/migrations"
)

// Limits on what stands in a backup, so that a file that only says it is one does no harm.
const (
	mostText  = 256 << 20 // a list of photographs
	mostPart  = 1 << 30   // one row at least
	mostPhoto = 256 << 20
)

// visitor takes what a backup holds, in its order. What is nil takes nothing.
type visitor struct {
	head       func(Head) error
	part       func(t Table, rows []byte) error
	photograph func(sum, data []byte) error
}

// Verify reads a backup to its end and says what it holds. It fails with a sentence where
// it is not as it was written, is newer than this program, or the keys do not open it.
func Verify(ctx context.Context, path string, keys []age.Identity) (Head, Manifest, error) {
	return read(ctx, path, keys, visitor{})
}

// read reads a backup. What it gives a visitor is only good once it has returned without
// an error.
func read(ctx context.Context, path string, keys []age.Identity, v visitor) (Head, Manifest, error) {
	f, err := os.Open(path)
	if err != nil {
		return Head{}, Manifest{}, club.Faultf(club.Invalid, "The backup %s cannot be read.", path).Because(err)
	}
	defer f.Close()
	frame, err := openFrame(f, keys)
	if err != nil {
		return Head{}, Manifest{}, err
	}
	defer frame.Decoder.Close()
	r := &reader{ctx: ctx, in: tar.NewReader(frame), v: v, keys: keys, store: Store{Dir: filepath.Join(filepath.Dir(path), photosName)}}
	err = r.read()
	var mine visitorError
	var say *club.Fault
	switch {
	case errors.As(err, &mine):
		return r.head, r.manifest, mine.error
	case ctx.Err() != nil:
		return r.head, r.manifest, ctx.Err()
	case errors.As(err, &say):
		return r.head, r.manifest, err
	case err == nil:
		err = frame.sealed()
	}
	if err != nil {
		return r.head, r.manifest, damaged(err)
	}
	return r.head, r.manifest, nil
}

// visitorError is an error of whoever takes what is read, not of what is read.
type visitorError struct{ error }

func (e visitorError) Unwrap() error { return e.error }

func visited(err error) error {
	if err == nil {
		return nil
	}
	return visitorError{err}
}

type reader struct {
	ctx      context.Context
	in       *tar.Reader
	v        visitor
	keys     []age.Identity
	store    Store
	head     Head
	photos   [][]byte
	found    Manifest
	manifest Manifest
	next     *tar.Header
}

func (r *reader) read() error {
	if err := r.begin(); err != nil {
		return err
	}
	if err := r.advance(); err != nil {
		return err
	}
	for _, t := range r.head.Tables {
		if err := r.table(t); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	for _, sum := range r.photos {
		if err := r.photograph(sum); err != nil {
			return err
		}
	}
	return r.end()
}

// advance goes to the next member.
func (r *reader) advance() (err error) {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	r.next, err = r.in.Next()
	return err
}

// body is what the member of a name holds, which is the next one.
func (r *reader) body(name string, most int64) ([]byte, error) {
	if r.next.Name != name {
		return nil, fmt.Errorf("%s stands where %s should", r.next.Name, name)
	}
	if r.next.Size > most {
		return nil, fmt.Errorf("%s is too long: %d bytes", name, r.next.Size)
	}
	body := bytes.NewBuffer(make([]byte, 0, min(r.next.Size, 2*partBytes)+bytes.MinRead))
	if _, err := body.ReadFrom(r.in); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return body.Bytes(), nil
}

func (r *reader) begin() error {
	var body []byte
	for _, name := range []string{readmeName, headName, listName} {
		err := r.advance()
		if err != nil {
			return err
		}
		if body, err = r.body(name, mostText); err != nil {
			return err
		}
		if name == headName {
			if err := r.understand(body); err != nil {
				return err
			}
		}
	}
	if err := r.list(body); err != nil {
		return err
	}
	if r.v.head != nil {
		return visited(r.v.head(r.head))
	}
	return nil
}

// understand reads the head. A newer one may have in it what is not known here.
func (r *reader) understand(body []byte) error {
	if err := json.Unmarshal(body, &r.head); err != nil {
		return err
	}
	switch {
	case r.head.Format > Format:
		return tooNew("its form is", uint(r.head.Format), Format)
	case r.head.Step > migrations.Latest():
		return tooNew("its schema is at step", r.head.Step, migrations.Latest())
	case r.head.Format < 1 || r.head.Step < 1 || r.head.Photographs != inside && r.head.Photographs != beside:
		return fmt.Errorf("its head makes no sense: %.200s", body)
	}
	return nil
}

func (r *reader) list(body []byte) error {
	for _, line := range strings.Fields(string(body)) {
		sum, err := hex.DecodeString(line)
		if err != nil || len(sum) != sha256.Size {
			return fmt.Errorf("%.80q in the list of photographs is not a SHA-256", line)
		}
		r.photos = append(r.photos, sum)
	}
	return nil
}

// table reads the parts of a table, of which there may be none.
func (r *reader) table(t Table) error {
	p := &parts{sum: sha256.New()}
	for n := 1; r.next.Name == partName(t.Name, n); n++ {
		rows, err := r.body(r.next.Name, mostPart)
		if err != nil {
			return err
		}
		p.Write(rows)
		if r.v.part != nil {
			if err := r.v.part(t, rows); err != nil {
				return visited(err)
			}
		}
		if err := r.advance(); err != nil {
			return err
		}
	}
	r.found.Tables = append(r.found.Tables, p.content(t.Name))
	return nil
}

func (r *reader) photograph(sum []byte) error {
	data, err := r.photoData(sum)
	if err != nil {
		return err
	}
	if got := sha256.Sum256(data); !bytes.Equal(got[:], sum) {
		return fmt.Errorf("the photograph %x is not as it was written", sum)
	}
	r.found.Photographs.Count++
	r.found.Photographs.Bytes += int64(len(data))
	if r.v.photograph == nil {
		return nil
	}
	return visited(r.v.photograph(sum, data))
}

func (r *reader) photoData(sum []byte) ([]byte, error) {
	if r.head.Photographs == inside {
		data, err := r.body(photoFolder+hex.EncodeToString(sum), mostPhoto)
		if err != nil {
			return nil, err
		}
		return data, r.advance()
	}
	if err := r.ctx.Err(); err != nil {
		return nil, err
	}
	data, err := r.store.read(sum, r.keys)
	if errors.Is(err, os.ErrNotExist) {
		return nil, club.Faultf(club.Invalid, "This is a nightly backup, whose photographs lie in the folder %s beside it, and one of them is not there. Bring that folder, too, or use another backup.", r.store.Dir).Because(err)
	}
	return data, err
}

func (r *reader) end() error {
	body, err := r.body(manifestName, mostText)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(body, &r.manifest); err != nil {
		return err
	}
	if err := r.manifest.same(r.found); err != nil {
		return err
	}
	if err := r.advance(); !errors.Is(err, io.EOF) {
		return errors.Join(errors.New("something stands after its end"), err)
	}
	return nil
}

// same says in what another's contents differ from what is wanted.
func (m Manifest) same(got Manifest) error {
	if m.Photographs != got.Photographs {
		return fmt.Errorf("there are photographs %+v, and should be %+v", got.Photographs, m.Photographs)
	}
	if len(m.Tables) != len(got.Tables) {
		return fmt.Errorf("there are %d tables, and should be %d", len(got.Tables), len(m.Tables))
	}
	for i, want := range m.Tables {
		if got.Tables[i] != want {
			return fmt.Errorf("a table holds %+v, and should hold %+v", got.Tables[i], want)
		}
	}
	return nil
}
