package web

import (
	"bytes"
	"context"
	"errors"
	"io"
)

// In the phone nothing is compressed, and no QR code is drawn.

// piece is a part of a page that is often wanted as it is.
type piece struct{ plain []byte }

func newPiece(html []byte) (*piece, error) { return &piece{bytes.Clone(html)}, nil }

// Render writes its HTML.
func (p *piece) Render(_ context.Context, w io.Writer) error {
	_, err := w.Write(p.plain)
	return err
}

// QR is a QR code.
type QR struct{ Size, Path, Label string }

var errNoQR = errors.New("web: no QR codes are drawn in the phone")

// NewQR makes none.
func NewQR(string) (QR, error) { return QR{}, errNoQR }
