//go:build !js

package web

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"sync"

	"github.com/a-h/templ"
	"github.com/klauspost/compress/flate"
)

// piece is a part of a page, compressed beforehand so that it can stand as it is in
// any page's gzip stream: whole deflate blocks that refer to nothing before them and
// end on a byte (RFC 1951, 3.2.4). It is a third of its HTML.
type piece struct {
	deflated []byte
	length   int
	crc      uint32 // of its HTML
	shift    uint32 // what a checksum before it is multiplied by, to go on behind it
	plain    []byte // its HTML, where that is short or often wanted as it is; otherwise nil
}

func newPiece(html []byte) (*piece, error) {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(html); err != nil {
		return nil, err
	}
	if err := w.Flush(); err != nil {
		return nil, err
	}
	return &piece{deflated: bytes.Clone(b.Bytes()), length: len(html), crc: crc32.ChecksumIEEE(html), shift: crcShift(len(html))}, nil
}

// html is the piece as it was.
func (p *piece) html() ([]byte, error) {
	if p.plain != nil {
		return p.plain, nil
	}
	out := make([]byte, p.length)
	_, err := io.ReadFull(flate.NewReader(bytes.NewReader(p.deflated)), out)
	return out, err
}

// pieces are those a page is being rendered with, in their order.
type pieces struct{ all []*piece }

type piecesKey struct{}

// hole stands in a page for a piece. Nothing else in HTML may be this byte.
const hole = 0

// Render writes a piece's HTML, or only a hole where the page is being squeezed.
func (p *piece) Render(ctx context.Context, w io.Writer) error {
	out := []byte{hole}
	if into, ok := ctx.Value(piecesKey{}).(*pieces); ok {
		into.all = append(into.all, p)
	} else {
		var err error
		if out, err = p.html(); err != nil {
			return err
		}
	}
	_, err := w.Write(out)
	return err
}

var writers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, flate.BestSpeed)
	if err != nil {
		panic(err) // only for a level there is not
	}
	return w
}}

// Squeeze renders a page into out as gzip (RFC 1952), with what was compressed
// beforehand put in as it is; scratch is used on the way. What is compressed now is at
// the fast level.
func Squeeze(ctx context.Context, page templ.Component, scratch, out *bytes.Buffer) error {
	var with pieces
	if err := page.Render(context.WithValue(ctx, piecesKey{}, &with), scratch); err != nil {
		return err
	}
	html := scratch.Bytes()
	if n := bytes.Count(html, []byte{hole}); n != len(with.all) {
		return fmt.Errorf("web: %d holes in a page for %d pieces", n, len(with.all))
	}
	out.Write([]byte{0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 4, 255}) // deflate, no name, no time, fast, any system
	w := writers.Get().(*flate.Writer)
	defer writers.Put(w)
	crc, length := uint32(0), 0
	for _, p := range append(with.all, nil) {
		part, rest, _ := bytes.Cut(html, []byte{hole})
		html = rest
		if err := squeezePart(w, part, out); err != nil {
			return err
		}
		crc, length = crc32.Update(crc, crc32.IEEETable, part), length+len(part)
		if p != nil {
			out.Write(p.deflated)
			crc, length = crcTimes(p.shift, crc)^p.crc, length+p.length
		}
	}
	out.Write([]byte{3, 0}) // a last block, empty
	out.Write(binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(nil, crc), uint32(length)))
	return nil
}

// storedMost is how long a part may be that is not compressed. A short one gains a few
// hundred bytes, and its table of codes takes as long to make as ten times as much HTML.
const storedMost = 1100

// squeezePart puts a part into out as whole blocks that end on a byte.
func squeezePart(w *flate.Writer, part []byte, out *bytes.Buffer) error {
	if len(part) == 0 {
		return nil
	}
	if n := len(part); n <= storedMost { // RFC 1951, 3.2.4
		out.Write([]byte{0, byte(n), byte(n >> 8), ^byte(n), ^byte(n >> 8)})
		out.Write(part)
		return nil
	}
	w.Reset(out)
	if _, err := w.Write(part); err != nil {
		return err
	}
	return w.Flush()
}

// A CRC-32 of a and b together is that of a, times x to the power of 8·len(b), plus
// that of b, in polynomials over two elements modulo the CRC's own; bit 31 is x⁰.
const crcPoly = 0xedb88320

// crcTimes is the product.
func crcTimes(a, b uint32) uint32 {
	var product uint32
	for bit := uint32(1 << 31); bit != 0; bit >>= 1 {
		if a&bit != 0 {
			product ^= b
		}
		b = b>>1 ^ crcPoly&-(b&1)
	}
	return product
}

// crcShift is x to the power of 8·n, by squaring.
func crcShift(n int) uint32 {
	power, square := uint32(1<<31), uint32(1<<23) // x⁰ and x⁸
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			power = crcTimes(square, power)
		}
		square = crcTimes(square, square)
	}
	return power
}
