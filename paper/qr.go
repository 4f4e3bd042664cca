package paper

import (
	"github.com/skip2/go-qrcode"
)

// qr draws an address as a QR code in a square with its quiet zone of four modules inside
// it, as one area, so that no seam shows between its parts. Recovery is Q: a quarter of it
// may be dirt. Source of the zone and the levels: ISO/IEC 18004, from memory.
func (d *doc) qr(address string, x, y, side float64) {
	code, err := qrcode.New(address, qrcode.High)
	if err != nil {
		d.pdf.SetError(err)
		return
	}
	bits := code.Bitmap() // with the zone
	m := side / float64(len(bits))
	d.pdf.SetFillColor(0, 0, 0)
	for row, line := range bits {
		for from := 0; from < len(line); from++ {
			to := from
			for to < len(line) && line[to] {
				to++
			}
			if to > from {
				d.square(x+float64(from)*m, y+float64(row)*m, float64(to-from)*m, m)
			}
			from = to
		}
	}
	d.pdf.DrawPath("F")
}

// square puts a rectangle into the path.
func (d *doc) square(x, y, w, h float64) {
	d.pdf.MoveTo(x, y)
	d.pdf.LineTo(x+w, y)
	d.pdf.LineTo(x+w, y+h)
	d.pdf.LineTo(x, y+h)
	d.pdf.ClosePath()
}
