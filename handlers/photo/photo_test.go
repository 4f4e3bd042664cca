package photo

import (
	"bytes"
	"context"
	"embed"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"runtime/metrics"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
)

// testdata holds kinds of files that the standard library does not write: 64 by 40
// points, red at the top and blue at the bottom.
//
//go:embed testdata
var testdata embed.FS

func stored(t testing.TB, name string) []byte {
	t.Helper()
	data, err := testdata.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// patches is a picture in four colours: red, green, blue and white, from the top left by
// rows.
func patches(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, patch(2*x >= w, 2*y >= h))
		}
	}
	return img
}

func patch(right, low bool) color.RGBA {
	switch {
	case right && low:
		return color.RGBA{255, 255, 255, 255}
	case low:
		return color.RGBA{0, 0, 255, 255}
	case right:
		return color.RGBA{0, 255, 0, 255}
	}
	return color.RGBA{255, 0, 0, 255}
}

func asJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// secret stands in everything that must not come through.
const secret = "N 52 30.000 W 1 15.000 camera owner"

// exif is what a camera writes (Exif 2.3, 4.6): an orientation, its maker, and a
// directory of where it was.
func exif(order binary.AppendByteOrder, orientation uint16) []byte {
	mark := "II*\x00"
	if order.AppendUint16(nil, 1)[0] == 0 {
		mark = "MM\x00*"
	}
	b := order.AppendUint32([]byte(mark), 8)
	entry := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tag), kind), count)
		b = order.AppendUint32(b, value)
	}
	b = order.AppendUint16(b, 3)
	entry(0x010f, 2, uint32(len(secret)), 200)
	b = order.AppendUint16(order.AppendUint16(b, 0x0112), 3)
	b = append(order.AppendUint16(order.AppendUint32(b, 1), orientation), 0, 0)
	entry(0x8825, 4, 1, 100) // the directory of the position
	b = append(b, make([]byte, 100-len(b))...)
	b = order.AppendUint16(b, 1)
	entry(0x0002, 5, 3, 200)
	b = append(b, make([]byte, 200-len(b))...)
	return append(b, secret...)
}

func segment(marker byte, body string) []byte {
	return append([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// withSegments puts segments behind a JPEG's first mark.
func withSegments(data []byte, all ...[]byte) []byte {
	return bytes.Join([][]byte{data[:2], bytes.Join(all, nil), data[2:]}, nil)
}

func chunk(name, body string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, name...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// withChunks puts chunks behind a PNG's head.
func withChunks(data []byte, all ...[]byte) []byte {
	const head = 8 + 25
	return bytes.Join([][]byte{data[:head], bytes.Join(all, nil), data[head:]}, nil)
}

// extended is a WebP as RFC 9649, 2.7 has it with metadata.
func extended(data []byte, flags byte, w, h int, more ...string) []byte {
	part := func(name, body string) []byte {
		b := append([]byte(name), binary.LittleEndian.AppendUint32(nil, uint32(len(body)))...)
		b = append(b, body...)
		return append(b, make([]byte, len(body)&1)...)
	}
	w, h = w-1, h-1
	body := append([]byte("WEBP"), part("VP8X", string([]byte{flags, 0, 0, 0, byte(w), byte(w >> 8), byte(w >> 16), byte(h), byte(h >> 8), byte(h >> 16)}))...)
	body = append(body, data[12:]...)
	for i := 0; i+1 < len(more); i += 2 {
		body = append(body, part(more[i], more[i+1])...)
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func near(a, b color.Color) bool {
	r, g, bl, _ := a.RGBA()
	r2, g2, bl2, _ := b.RGBA()
	far := func(a, b uint32) bool { return max(a, b)-min(a, b) > 60<<8 }
	return !far(r, r2) && !far(g, g2) && !far(bl, bl2)
}

// opened reads what was made, and wants it to be a plain JPEG that holds a picture alone.
func opened(t testing.TB, i club.Image) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(i.Data))
	if err != nil {
		t.Fatal(err)
	}
	if i.Kind != "image/jpeg" || img.Bounds().Dx() != i.Width || img.Bounds().Dy() != i.Height {
		t.Errorf("said to be %s, %d by %d, and is %v", i.Kind, i.Width, i.Height, img.Bounds())
	}
	if got := markers(i.Data); slices.ContainsFunc(strings.Fields(got), func(m string) bool { return !slices.Contains([]string{"db", "c0", "c4", "da"}, m) }) {
		t.Errorf("the file has the segments %s", got)
	}
	for _, word := range []string{secret, "Exif", "xap", "ICC_PROFILE", "JFIF", "Photoshop", "camera"} {
		if bytes.Contains(i.Data, []byte(word)) {
			t.Errorf("the file says %q", word)
		}
	}
	return img
}

// markers are the segments of a JPEG up to the picture.
func markers(data []byte) string {
	var out []string
	for at := 2; at+4 <= len(data); at += 2 + be16(data[at+2:]) {
		out = append(out, fmt.Sprintf("%02x", data[at+1]))
		if data[at+1] == 0xda {
			break
		}
	}
	return strings.Join(out, " ")
}

func TestKindsThatAreTaken(t *testing.T) {
	t.Parallel()
	deep := image.NewNRGBA64(image.Rect(0, 0, 64, 40))
	for y := range 40 {
		for x := range 64 {
			deep.Set(x, y, color.RGBA{uint8(200 - 4*y), 0, uint8(5 * y), 255})
		}
	}
	for name, data := range map[string][]byte{
		"JPEG": asJPEG(t, deep), "PNG": asPNG(t, deep), "CMYK": stored(t, "cmyk.jpg"), "progressive": stored(t, "progressive.jpg"),
		"grey": stored(t, "grey.jpg"), "lossy WebP": stored(t, "lossy.webp"), "lossless WebP": stored(t, "lossless.webp"), "WebP to see through": stored(t, "alpha.webp"),
		"PNG in passes": stored(t, "interlaced.png"), "WebP with metadata": extended(stored(t, "lossy.webp"), 0x0c, 64, 40, "EXIF", string(exif(binary.LittleEndian, 1)), "XMP ", secret),
	} {
		p, err := develop(data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		img := opened(t, p.Large)
		if p.Large.Width != 64 || p.Large.Height != 40 || p.Small.Width != 64 {
			t.Errorf("%s: %d by %d, small %d", name, p.Large.Width, p.Large.Height, p.Small.Width)
		}
		if name == "grey" {
			continue
		}
		top, foot := color.RGBAModel.Convert(img.At(32, 2)).(color.RGBA), color.RGBAModel.Convert(img.At(32, 37)).(color.RGBA)
		if top.R < foot.R+40 || foot.B < top.B+40 {
			t.Errorf("%s: %v at the top and %v at the foot", name, top, foot)
		}
	}
}

// TestNothingComesThrough: what a camera, a phone or a program writes into a file beside
// the picture.
func TestNothingComesThrough(t *testing.T) {
	t.Parallel()
	img := patches(300, 200)
	xmp := "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>" + secret
	for name, data := range map[string][]byte{
		"JPEG": withSegments(asJPEG(t, img), segment(0xe0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"), segment(0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, 1))),
			segment(0xe1, xmp), segment(0xe2, "ICC_PROFILE\x00\x01\x01"+secret), segment(0xed, "Photoshop 3.0\x00"+secret), segment(0xfe, secret)),
		"JPEG with words behind": append(asJPEG(t, img), secret...),
		"PNG":                    withChunks(asPNG(t, img), chunk("eXIf", string(exif(binary.BigEndian, 1))), chunk("tEXt", "Comment\x00"+secret), chunk("iTXt", "XML:com.adobe.xmp\x00\x00\x00\x00\x00"+secret)),
		"WebP":                   extended(stored(t, "lossless.webp"), 0x0c, 64, 40, "EXIF", "Exif\x00\x00"+string(exif(binary.LittleEndian, 1)), "XMP ", secret),
	} {
		if !bytes.Contains(data, []byte(secret)) {
			t.Fatalf("%s holds no secret", name)
		}
		p, err := develop(data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		opened(t, p.Large)
		opened(t, p.Small)
	}
}

// TestTurnedUpright: which side of the scene a picture's first row and first column are
// (Exif 2.3, 4.6.4, tag 0x0112).
func TestTurnedUpright(t *testing.T) {
	t.Parallel()
	sides := [...]struct{ row, column string }{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}
	scene := patches(60, 40)
	for o := 1; o <= 8; o++ {
		taken := image.NewRGBA(image.Rect(0, 0, 60, 40))
		if o >= 5 {
			taken = image.NewRGBA(image.Rect(0, 0, 40, 60))
		}
		for row := range taken.Rect.Dy() {
			for column := range taken.Rect.Dx() {
				var x, y int
				for _, at := range []struct {
					side string
					n    int
				}{{sides[o].row, row}, {sides[o].column, column}} {
					switch at.side {
					case "top":
						y = at.n
					case "bottom":
						y = 39 - at.n
					case "left":
						x = at.n
					case "right":
						x = 59 - at.n
					}
				}
				taken.Set(column, row, scene.At(x, y))
			}
		}
		for how, data := range map[string][]byte{
			"JPEG, big end":    withSegments(asJPEG(t, taken), segment(0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, uint16(o))))),
			"JPEG, little end": withSegments(asJPEG(t, taken), segment(0xe1, xmpFirst), segment(0xe1, "Exif\x00\x00"+string(exif(binary.LittleEndian, uint16(o))))),
			"PNG":              withChunks(asPNG(t, taken), chunk("eXIf", string(exif(binary.BigEndian, uint16(o))))),
		} {
			p, err := develop(data)
			if err != nil {
				t.Errorf("%d, %s: %v", o, how, err)
				continue
			}
			img := opened(t, p.Large)
			if img.Bounds().Dx() != 60 {
				t.Errorf("%d, %s: %v", o, how, img.Bounds())
				continue
			}
			for _, at := range []image.Point{{10, 8}, {50, 8}, {10, 32}, {50, 32}} {
				if !near(img.At(at.X, at.Y), scene.At(at.X, at.Y)) {
					t.Errorf("%d, %s: at %v is %v, want %v", o, how, at, img.At(at.X, at.Y), scene.At(at.X, at.Y))
				}
			}
		}
	}
}

const xmpFirst = "http://ns.adobe.com/xap/1.0/\x00<x/>"

func TestMadeSmall(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ w, h, lw, lh, sw, sh int }{
		{1600, 1200, 1600, 1200, 480, 360}, {1601, 1200, 1600, 1199, 480, 360}, {3000, 4000, 1200, 1600, 360, 480}, {4032, 3024, 1600, 1200, 480, 360},
		{480, 480, 480, 480, 480, 480}, {1, 1, 1, 1, 1, 1}, {12000, 3, 1600, 1, 480, 1}, {2, 6000, 1, 1600, 1, 480},
	} {
		p, err := develop(asPNG(t, patches(c.w, c.h)))
		if err != nil {
			t.Errorf("%v: %v", c, err)
			continue
		}
		if p.Large.Width != c.lw || p.Large.Height != c.lh || p.Small.Width != c.sw || p.Small.Height != c.sh {
			t.Errorf("%d by %d becomes %d by %d and %d by %d, want %+v", c.w, c.h, p.Large.Width, p.Large.Height, p.Small.Width, p.Small.Height, c)
		}
		for _, i := range []club.Image{p.Large, p.Small} {
			img := opened(t, i)
			if i.Width < 100 || i.Height < 100 {
				continue
			}
			for _, at := range []image.Point{{1, 1}, {3, 1}, {1, 3}, {3, 3}} {
				if got := img.At(at.X*i.Width/4, at.Y*i.Height/4); !near(got, patch(at.X > 2, at.Y > 2)) {
					t.Errorf("%d by %d at %v is %v", i.Width, i.Height, at, got)
				}
			}
		}
	}
}

// TestWhatCanBeSeenThroughIsOnWhite, where it would else come out black.
func TestWhatCanBeSeenThroughIsOnWhite(t *testing.T) {
	t.Parallel()
	p, err := develop(asPNG(t, image.NewNRGBA(image.Rect(0, 0, 20, 20))))
	if err != nil || !near(opened(t, p.Large).At(10, 10), color.White) {
		t.Error(err)
	}
}

// pngSaying is a PNG of a few bytes that says it is huge.
func pngSaying(w, h uint32, depth, passes byte) []byte {
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return bytes.Join([][]byte{[]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", string(append(head, depth, 6, 0, 0, passes))), chunk("IDAT", "x"), chunk("IEND", "")}, nil)
}

func jpegSaying(marker byte, w, h uint16, hv ...byte) []byte {
	body := []byte{8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), byte(len(hv))}
	for i, each := range hv {
		body = append(body, byte(i+1), each, 0)
	}
	return append([]byte("\xff\xd8"), append(segment(marker, string(body)), segment(0xda, "\x01\x01\x00\x00\x3f\x00")...)...)
}

func TestWhatIsNotTaken(t *testing.T) {
	t.Parallel()
	whole := asJPEG(t, patches(600, 400))
	const broken, tooMany, tooDear, notOne = "could not be read", "more than can be opened", "too much memory", "not a photograph we can open"
	lossy := stored(t, "lossy.webp")
	hugeInside := bytes.Clone(stored(t, "lossless.webp"))
	binary.LittleEndian.PutUint32(hugeInside[21:], 16383|16383<<14)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"nothing":                       {nil, "Choose a photograph first"},
		"words":                         {[]byte("hello"), notOne},
		"a page":                        {[]byte("<html><script>alert(1)</script>"), notOne},
		"a drawing":                     {[]byte("<svg xmlns='http://www.w3.org/2000/svg'/>"), notOne},
		"GIF":                           {[]byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), notOne},
		"TIFF":                          {exif(binary.LittleEndian, 1), notOne},
		"PDF":                           {[]byte("%PDF-1.7"), notOne},
		"a film":                        {[]byte("\x00\x00\x00\x18ftypisom\x00\x00\x00\x00isommp42"), notOne},
		"HEIC":                          {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "Set your phone's camera to save JPEG"},
		"HEIF by its second brand":      {[]byte("\x00\x00\x00\x18ftypmp41\x00\x00\x00\x00mif1"), "Set your phone's camera to save JPEG"},
		"AVIF":                          {[]byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1"), "Set your phone's camera to save JPEG"},
		"half a JPEG":                   {whole[:len(whole)/2], broken},
		"a JPEG's head":                 {whole[:200], broken},
		"three bytes of a JPEG":         {whole[:3], broken},
		"a JPEG of no size":             {jpegSaying(0xc0, 0, 0, 0x11), broken},
		"a PNG's head":                  {asPNG(t, patches(20, 20))[:60], broken},
		"half a WebP":                   {lossy[:len(lossy)/2], broken},
		"a WebP's head":                 {lossy[:12], broken},
		"a PNG with a wrong sum":        {withChunks(asPNG(t, patches(9, 9)), []byte("\x00\x00\x00\x01tEXtxAAAA")), broken},
		"30,000 by 30,000":              {pngSaying(30_000, 30_000, 8, 0), tooMany},
		"a JPEG 65,000 wide":            {jpegSaying(0xc0, 65_000, 10, 0x11, 0x11, 0x11), tooMany},
		"a JPEG of 61 million":          {jpegSaying(0xc0, 10_000, 6_100, 0x22, 0x11, 0x11), tooMany},
		"a PNG 20,001 high":             {pngSaying(1, 20_001, 8, 0), tooMany},
		"a PNG as large as can be said": {pngSaying(1<<31-1, 1<<31-1, 8, 0), ""},
		"a WebP of 16,384 by 16,384":    {hugeInside, tooMany},
		"a small WebP, huge inside":     {extended(hugeInside, 0, 64, 40), tooMany},
		"a WebP that says it is huge":   {extended(lossy, 0, 1<<24, 100), tooMany},
		"60 million by sixteen bits":    {pngSaying(10_000, 6_000, 16, 0), tooDear},
		"60 million in passes":          {pngSaying(10_000, 6_000, 8, 1), tooDear},
		"48 million in many passes":     {jpegSaying(0xc2, 8_000, 6_000, 0x22, 0x11, 0x11), tooDear},
		"a WebP that moves":             {extended(lossy, 2, 64, 40), "moving picture"},
		"a WebP of moving parts":        {bytes.Replace(lossy, []byte("VP8 "), []byte("ANMF"), 1), "moving picture"},
		"a PNG that moves":              {withChunks(asPNG(t, patches(9, 9)), chunk("acTL", "\x00\x00\x00\x02\x00\x00\x00\x00")), "moving picture"},
		"over 15 MB":                    {append(bytes.Clone(whole), make([]byte, MostBytes)...), "over 15 MB"},
	} {
		p, err := NewDarkroom().Develop(context.Background(), bytes.NewReader(c.data))
		if club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), c.want) || len(p.Large.Data) > 0 {
			t.Errorf("%s: %v, want “%s”", name, err, c.want)
		}
	}
}

// TestHugeSaidInLittleTakesNoMemory: what says it is huge is refused before it is begun.
func TestHugeSaidInLittleTakesNoMemory(t *testing.T) {
	if n := testing.AllocsPerRun(5, func() { _, _ = look(pngSaying(30_000, 30_000, 8, 0)) }); n > 200 {
		t.Errorf("%v allocations", n)
	}
	most := peak(func() {
		for range 20 {
			_, _ = develop(pngSaying(30_000, 30_000, 8, 0))
			_, _ = develop(jpegSaying(0xc0, 65_000, 65_000, 0x11))
		}
	})
	if most > 64<<20 {
		t.Errorf("%d MB", most>>20)
	}
}

// TestOneAtATime: the second waits, and is told so where it takes too long.
func TestOneAtATime(t *testing.T) {
	t.Parallel()
	d := NewDarkroom()
	d.wait = 50 * time.Millisecond
	d.turn <- struct{}{}
	if _, err := d.Develop(context.Background(), bytes.NewReader(nil)); club.KindOf(err) != club.Unavailable || !strings.Contains(err.Error(), "in a minute") {
		t.Errorf("a wait that is too long: %v", err)
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := d.Develop(gone, bytes.NewReader(nil)); err == nil {
		t.Error("somebody who has gone is served")
	}
	<-d.turn
	d.wait = 10 * time.Second
	data := asJPEG(t, patches(600, 400))
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if _, err := d.Develop(context.Background(), bytes.NewReader(data)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if len(d.turn) != 0 {
		t.Error("a turn was kept")
	}
}

// peak is the most that the heap held while something was done, in bytes.
func peak(do func()) uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	stop, done := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		for {
			metrics.Read(sample)
			most = max(most, sample[0].Value.Uint64())
			select {
			case <-stop:
				done <- most
				return
			case <-time.After(2 * time.Millisecond):
			}
		}
	}()
	do()
	close(stop)
	return <-done
}

// TestAPhonesPhotograph measures one of 12 million points, and in full counts one of 48.
func TestAPhonesPhotograph(t *testing.T) {
	sizes := []image.Rectangle{image.Rect(0, 0, 4000, 3000)}
	if os.Getenv("LEVELPEG_LONG") != "" {
		sizes = append(sizes, image.Rect(0, 0, 8000, 6000))
	}
	for _, size := range sizes {
		data := func() []byte { // so that the picture it is made of is gone before the measuring
			img := image.NewYCbCr(size, image.YCbCrSubsampleRatio420)
			for i := range img.Y {
				img.Y[i] = uint8(i >> 5 * 5)
			}
			return asJPEG(t, img)
		}()
		if len(data) > MostBytes {
			t.Fatalf("made %d MB", len(data)>>20)
		}
		began, took := time.Now(), time.Duration(0)
		most := peak(func() {
			if _, err := develop(data); err != nil {
				t.Error(err)
			}
			took = time.Since(began)
		})
		t.Logf("%d by %d, %d kB: %v, at most %d MB on the heap", size.Dx(), size.Dy(), len(data)>>10, took, most>>20)
		if most > mostMemory {
			t.Errorf("%d MB", most>>20)
		}
	}
}

func FuzzLook(f *testing.F) {
	img := patches(30, 20)
	for _, data := range [][]byte{asJPEG(f, img), asPNG(f, img), stored(f, "lossy.webp"), stored(f, "lossless.webp"), stored(f, "alpha.webp"), extended(stored(f, "lossy.webp"), 2, 64, 40), stored(f, "cmyk.jpg"), stored(f, "progressive.jpg"),
		withSegments(asJPEG(f, img), segment(0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, 6)))), withChunks(asPNG(f, img), chunk("eXIf", string(exif(binary.LittleEndian, 8)))),
		extended(stored(f, "lossy.webp"), 8, 64, 40, "EXIF", string(exif(binary.LittleEndian, 3))), []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), exif(binary.BigEndian, 5)} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_ = orientation(data)
		for _, p := range []looked{lookJPEG(data), lookPNG(data), lookWebP(data)} {
			if p.bytesEach < 0 || p.bytesEach > 100 {
				t.Fatalf("a point takes %d bytes", p.bytesEach)
			}
		}
		file, err := look(data)
		if err != nil {
			if club.KindOf(err) != club.Invalid {
				t.Fatal(err)
			}
			return
		}
		if file.orientation < 1 || file.orientation > 8 || file.width*file.height > mostPixels || file.memory > mostMemory {
			t.Fatalf("%+v", file)
		}
		if file.width*file.height > 100_000 {
			return
		}
		if p, err := develop(data); err == nil {
			opened(t, p.Large)
		} else if club.KindOf(err) != club.Invalid {
			t.Fatal(err)
		}
	})
}
