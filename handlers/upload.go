//go:build !js

package handlers

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/photo"
)

// uploadWithin is how long a photograph may take to come: a phone on one bar sends 15 MB
// at 1 Mbit/s in two minutes.
const uploadWithin = 4 * time.Minute

// upload is a form with a file, as it came.
type upload struct {
	caption, code string
	file          *os.File // nil where none came; it has no name any more
}

func (u upload) close() {
	if u.file != nil {
		_ = u.file.Close() // it was only read
	}
}

// mostField is how long a field beside the file may be, in bytes.
const mostField = 8 << 10

// mostSent is all that a form with a photograph may be, in bytes: what is longer is read
// and thrown away up to mostDrained, since a browser that is still sending hears no answer.
const (
	mostSent    = photo.MostBytes + 256<<10
	mostDrained = 64 << 20
)

func drain(r io.Reader) { _, _ = io.Copy(io.Discard, io.LimitReader(r, mostDrained)) }

// receive reads a form's fields, and its file into one that is gone when it is closed, or
// when we are. What came before something went wrong comes with the error.
func receive(w http.ResponseWriter, r *http.Request) (upload, error) {
	var u upload
	limits := http.NewResponseController(w)
	_ = limits.SetReadDeadline(time.Now().Add(uploadWithin)) // where that cannot be, the server's own limits hold
	_ = limits.SetWriteDeadline(time.Now().Add(2 * uploadWithin))
	whole := r.Body
	r.Body = http.MaxBytesReader(w, whole, mostSent)
	parts, err := r.MultipartReader()
	for err == nil {
		var part *multipart.Part
		if part, err = parts.NextPart(); err == nil {
			err = u.take(part)
		}
	}
	if err == io.EOF { // and nothing that wraps it, which is a form cut short
		return u, nil
	}
	drain(whole)
	var tooLong *http.MaxBytesError
	switch {
	case errors.As(err, &tooLong):
		return u, photo.ErrTooLong()
	case errors.Is(err, errOnDisk) || club.KindOf(err) != club.Internal:
		return u, known(err)
	}
	return u, club.Faultf(club.Invalid, "Not all of the photograph came, or the form could not be read. Send it again.").Because(err)
}

var errOnDisk = errors.New("keeping an upload")

// take reads one part of the form; parts that are not ours are passed over.
func (u *upload) take(part *multipart.Part) error {
	switch part.FormName() {
	case "caption":
		return field(part, &u.caption)
	case "code":
		return field(part, &u.code)
	case "photograph":
		if u.file != nil || part.FileName() == "" {
			return nil
		}
		return u.keep(part)
	}
	return nil
}

func field(part io.Reader, into *string) error {
	b, err := io.ReadAll(io.LimitReader(part, mostField))
	*into = text(string(b))
	return err
}

// nameless is a file that is gone when it is closed, or when we are.
func nameless() (*os.File, error) {
	f, err := os.CreateTemp("", "levelpeg-")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

func (u *upload) keep(part io.Reader) error {
	f, err := nameless()
	if err != nil {
		return errors.Join(errOnDisk, err)
	}
	u.file = f
	n, err := io.Copy(onDisk{f}, io.LimitReader(part, photo.MostBytes+1))
	if err == nil && n > photo.MostBytes {
		return photo.ErrTooLong()
	}
	if err != nil {
		return err
	}
	_, err = f.Seek(0, io.SeekStart)
	return err
}

// onDisk tells what goes wrong with the file from what goes wrong with the sending. It has
// nothing of the file's but Write, since copying takes ReadFrom where there is one.
type onDisk struct{ file *os.File }

func (d onDisk) Write(p []byte) (int, error) {
	n, err := d.file.Write(p)
	if err != nil {
		err = errors.Join(errOnDisk, err)
	}
	return n, err
}
