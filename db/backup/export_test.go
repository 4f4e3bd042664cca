package backup

import (
	"archive/tar"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"time"
)

// Due is due.
var Due = due

// Nights lists the nights in a folder, encrypted or not.
func Nights(dir string) ([]time.Time, error) { return nights(dir, "", ageSuffix) }

// NameOf is nameOf.
var NameOf = nameOf

// MakeFolder is makeFolder.
var MakeFolder = makeFolder

// MakeFolders is makeFolders.
var MakeFolders = makeFolders

// Make makes a night's backup as if it were due.
func (n *Nightly) Make(ctx context.Context, now time.Time) (Made, error) {
	conn, err := connect(ctx, n.URL)
	if err != nil {
		return Made{}, err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return n.make(ctx, conn, now, time.UTC)
}

// Rewrite changes the members of a backup and seals it again.
func Rewrite(ctx context.Context, path string, change func(name string, body []byte) []byte) error {
	var out bytes.Buffer
	w, err := newFrameWriter(&out, nil)
	if err != nil {
		return err
	}
	b := &writer{ctx: ctx, out: tar.NewWriter(w)}
	err = withFrame(path, func(frame *frameReader) error {
		for in := tar.NewReader(frame); ; {
			h, err := in.Next()
			if errors.Is(err, io.EOF) {
				return nil
			}
			if err != nil {
				return err
			}
			body, err := io.ReadAll(in)
			if err != nil {
				return err
			}
			if err := b.member(h.Name, change(h.Name, body)); err != nil {
				return err
			}
		}
	})
	if err != nil {
		return err
	}
	if err := errors.Join(b.out.Close(), w.Close()); err != nil {
		return err
	}
	return os.WriteFile(path, out.Bytes(), 0o600)
}
