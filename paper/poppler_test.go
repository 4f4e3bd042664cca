package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// long says whether to try everything there is.
var long = os.Getenv("LEVELPEG_LONG") != ""

// read is what was read of a PDF already.
var read sync.Map

// poppler runs one of the poppler programs on a PDF, which reads it as another program
// than ours does. Where there are none the test skips aloud, and fails where CI is set.
func poppler(t *testing.T, pdf []byte, program string, args ...string) []byte {
	t.Helper()
	key := fmt.Sprintf("%x %s %q", sha256.Sum256(pdf), program, args)
	if out, ok := read.Load(key); ok && !slices.Contains(args, "-png") {
		return out.([]byte)
	}
	at, err := exec.LookPath(program)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no %s: %v", program, err)
		}
		t.Skipf("skipped: no %s (poppler-utils)", program)
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	for i := range args {
		if args[i] == "FILE" {
			args[i] = file
		}
	}
	var stderr bytes.Buffer
	cmd := exec.Command(at, args...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil || stderr.Len() > 0 {
		t.Fatalf("%s: %v: %s", program, err, stderr.String())
	}
	read.Store(key, out)
	return out
}

// textOf is what can be selected in a PDF, its lines joined.
func textOf(t *testing.T, pdf []byte) string {
	t.Helper()
	return strings.Join(strings.Fields(string(poppler(t, pdf, "pdftotext", "FILE", "-"))), " ")
}

// says checks that words can be selected.
func says(t *testing.T, pdf []byte, words ...string) {
	t.Helper()
	text := textOf(t, pdf)
	for _, w := range words {
		if !strings.Contains(text, strings.Join(strings.Fields(w), " ")) {
			t.Errorf("nothing says “%s” in: %.1500s", w, text)
		}
	}
}

// boxed is a word where it stands, in points.
type boxed struct {
	XMin  float64 `xml:"xMin,attr"`
	YMin  float64 `xml:"yMin,attr"`
	XMax  float64 `xml:"xMax,attr"`
	YMax  float64 `xml:"yMax,attr"`
	Words string  `xml:",chardata"`
}

// leaf is a page with its words.
type leaf struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []boxed `xml:"word"`
}

func leaves(t *testing.T, pdf []byte) []leaf {
	t.Helper()
	out := poppler(t, pdf, "pdftotext", "-bbox", "FILE", "-")
	var doc struct {
		Pages []leaf `xml:"body>doc>page"`
	}
	if err := xml.Unmarshal(out, &doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// tidy checks every word of every page: none nearer to an edge than three millimetres, and
// no two over one another. It gives the number of pages.
func tidy(t *testing.T, pdf []byte) int {
	t.Helper()
	all := leaves(t, pdf)
	inside(t, all)
	for n, p := range all {
		for i, w := range p.Words {
			for _, o := range p.Words[i+1:] {
				if w.over(o) {
					t.Errorf("page %d: “%s” lies over “%s” at %.0f, %.0f", n+1, w.Words, o.Words, w.XMin, w.YMin)
				}
			}
		}
	}
	if len(all) == 0 {
		t.Error("it has no pages")
	}
	return len(all)
}

// inside checks that no word is nearer to an edge of its page than three millimetres.
func inside(t *testing.T, all []leaf) {
	t.Helper()
	const edge = 3 / mmPerPoint
	for n, p := range all {
		for _, w := range p.Words {
			if w.XMin < edge || w.YMin < edge || w.XMax > p.Width-edge || w.YMax > p.Height-edge {
				t.Errorf("page %d of %.0f × %.0f: “%s” goes from %.1f, %.1f to %.1f, %.1f", n+1, p.Width, p.Height, w.Words, w.XMin, w.YMin, w.XMax, w.YMax)
			}
		}
	}
}

// over says whether two words share a part of their letters' heights and more than a hair
// of their widths. A word's box reaches above and below its letters.
func (w boxed) over(o boxed) bool {
	high := min(w.YMax, o.YMax) - max(w.YMin, o.YMin)
	return min(w.XMax, o.XMax)-max(w.XMin, o.XMin) > 0.5 && high > 0.45*min(w.YMax-w.YMin, o.YMax-o.YMin)
}

// pictures are a PDF's pages as poppler draws them.
func pictures(t *testing.T, pdf []byte, dpi int) []image.Image {
	t.Helper()
	return rasterised(t, pdf, dpi)
}

// firstPicture is the first page alone: a booklet has many.
func firstPicture(t *testing.T, pdf []byte, dpi int) image.Image {
	t.Helper()
	return rasterised(t, pdf, dpi, "-l", "1")[0]
}

func rasterised(t *testing.T, pdf []byte, dpi int, which ...string) []image.Image {
	t.Helper()
	dir := t.TempDir()
	args := append([]string{"-png", "-gray", "-r", fmt.Sprint(dpi)}, which...)
	poppler(t, pdf, "pdftoppm", append(args, "FILE", filepath.Join(dir, "p"))...)
	files, err := filepath.Glob(filepath.Join(dir, "*.png"))
	if err != nil {
		t.Fatal(err)
	}
	var out []image.Image
	for _, f := range files { // Glob sorts, and poppler pads the numbers
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		picture, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, picture)
	}
	return out
}

// scanned is what a QR code in a picture says, as read by a decoder that shares nothing
// with what drew it.
func scanned(picture image.Image) (string, error) {
	bits, err := gozxing.NewBinaryBitmapFromImage(picture)
	if err != nil {
		return "", err
	}
	hints := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true}
	r, err := qrcode.NewQRCodeReader().Decode(bits, hints)
	if err != nil {
		return "", err
	}
	return r.GetText(), nil
}

// part is a part of a picture by shares of its width and height.
func part(p image.Image, x0, y0, x1, y1 float64) image.Image {
	b := p.Bounds()
	w, h := float64(b.Dx()), float64(b.Dy())
	return p.(interface {
		SubImage(image.Rectangle) image.Image
	}).SubImage(image.Rect(int(x0*w), int(y0*h), int(x1*w), int(y1*h)))
}
