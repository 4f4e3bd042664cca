//go:build !js

package web

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/skip2/go-qrcode"
)

// QR is an address as a QR code: one path of dark squares, in units of a square, within a
// quiet edge of four. Source of the edge: ISO/IEC 18004, from memory.
type QR struct {
	Size  string // of the view, a side
	Path  string
	Label string
}

// NewQR makes the code of an address.
func NewQR(address string) (QR, error) {
	code, err := qrcode.New(address, qrcode.Medium)
	if err != nil {
		return QR{}, fmt.Errorf("web: a QR code of %d signs: %w", len(address), err)
	}
	bits := code.Bitmap() // with its quiet edge
	var path strings.Builder
	for y, row := range bits {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from, y, x-from, x-from)
			}
		}
	}
	return QR{Size: "0 0 " + strconv.Itoa(len(bits)) + " " + strconv.Itoa(len(bits)), Path: path.String()}, nil
}
