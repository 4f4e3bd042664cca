package paper

import (
	"codeberg.org/go-pdf/fpdf"

	"levelpeg/web"
)

// paperSize is a page in millimetres, with its margin.
type paperSize struct{ w, h, margin float64 }

// Sizes of ISO 216. The margins are what home printers leave white.
var (
	a4 = paperSize{210, 297, 12}
	a5 = paperSize{148, 210, 10}
	a6 = paperSize{105, 148, 5.5}
)

// doc is a document being printed. Lengths are millimetres, sizes of words points.
type doc struct {
	pdf   *fpdf.Fpdf
	print web.Print
	size  paperSize
	by    float64 // how much smaller words are than they should be
	head  func()  // what stands at the top of every page after the first
	foot  float64 // room that every page keeps at its foot
	y     float64 // how far down the page it is written
	in    float64 // how far in from the left edge it is written
}

func newDoc(p web.Print, size paperSize, by float64) *doc {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: size.w, Ht: size.h}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(p.At)
	pdf.SetModificationDate(p.At)
	pdf.SetProducer("Levelpeg", true)
	pdf.SetTitle(printable(p.Title), true)
	pdf.SetAuthor(printable(p.Club), true)
	pdf.SetLang("en-GB")
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes(family, "", regular)
	pdf.AddUTF8FontFromBytes(family, "B", bold)
	pdf.SetLineCapStyle("butt")
	pdf.SetLineJoinStyle("round")
	return &doc{pdf: pdf, print: p, size: size, by: by, foot: 4}
}

func (d *doc) left() float64   { return d.size.margin + d.in }
func (d *doc) right() float64  { return d.size.w - d.size.margin }
func (d *doc) wide() float64   { return d.right() - d.left() }
func (d *doc) bottom() float64 { return d.size.h - d.size.margin - d.foot }

// page begins a page.
func (d *doc) page() {
	first := d.pdf.PageCount() == 0
	d.pdf.AddPage()
	d.y, d.in = d.size.margin, 0
	if !first && d.head != nil {
		d.head()
	}
	d.footer()
}

// footer says at the foot of every page when it was printed and what it knows.
func (d *doc) footer() {
	size := 5.5
	if d.size.w > a6.w {
		size = 7
	}
	words := d.print.Printed + ", " + d.print.Known + ". " + d.print.Club
	d.words(d.left(), d.size.h-d.size.margin, size, false, d.clipped(words, size, false, d.wide()))
}

// need begins a page where less than so much is left of this one.
func (d *doc) need(h float64) {
	if d.y+h > d.bottom()+1e-9 {
		d.page()
	}
}

const mmPerPoint = 25.4 / 72

// lineOf is how far apart lines of a size stand.
func lineOf(size float64) float64 { return size * mmPerPoint * 1.22 }

// baseOf is how far below the top of a line its words stand.
func baseOf(size float64) float64 { return size * mmPerPoint * 0.95 }

func (d *doc) font(size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	d.pdf.SetFont(family, style, size)
}

// width is how wide words are.
func (d *doc) width(words string, size float64, bold bool) float64 {
	d.font(size, bold)
	return d.pdf.GetStringWidth(words)
}

// words writes printable words with their left end and the line they stand on at a place.
func (d *doc) words(x, y, size float64, bold bool, words string) {
	if words = printable(words); words == "" {
		return
	}
	d.font(size, bold)
	d.pdf.Text(x, y, words)
}

// centred writes words with their middle at x.
func (d *doc) centred(x, y, size float64, bold bool, words string) {
	words = printable(words)
	d.words(x-d.width(words, size, bold)/2, y, size, bold, words)
}

// clipped is as much of words as has room on a line, with an ellipsis where that is not
// all.
func (d *doc) clipped(words string, size float64, bold bool, w float64) string {
	words = printable(words)
	if d.width(words, size, bold) <= w {
		return words
	}
	all := []rune(words)
	for len(all) > 0 && d.width(string(all)+"…", size, bold) > w {
		all = all[:len(all)-1]
	}
	return string(all) + "…"
}

// fits is the largest size up to most at which words have room on a line, and no less
// than least.
func (d *doc) fits(words string, bold bool, w, most, least float64) float64 {
	wide := d.width(printable(words), most, bold)
	if wide <= w {
		return most
	}
	return max(least, most*w/wide*0.995)
}
