package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"slices"

	"golang.org/x/image/webp"

	"levelpeg/club"
)

// kind is what a file is, by what is in it.
type kind int

const (
	isOther kind = iota
	isJPEG
	isPNG
	isWebP
	isHEIF // HEIC and AVIF among it
)

func kindOf(data []byte) kind {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return isJPEG
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return isPNG
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return isWebP
	case isHEIFBox(data):
		return isHEIF
	}
	return isOther
}

// heifBrands are the brands of files of the High Efficiency Image File Format
// (ISO/IEC 23008-12) and of AVIF, which is one of it.
var heifBrands = []string{"heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "mif2", "msf1", "avif", "avis", "miaf"}

// isHEIFBox says whether the file begins with a box of types that names such a brand.
func isHEIFBox(data []byte) bool {
	if len(data) < 12 || string(data[4:8]) != "ftyp" {
		return false
	}
	end := min(uint64(len(data)), uint64(be32(data)), 256)
	for at := uint64(8); at+4 <= end; at += 4 {
		if slices.Contains(heifBrands, string(data[at:at+4])) {
			return true
		}
	}
	return false
}

// file is what is known of a photograph before it is read.
type file struct {
	kind          kind
	width, height int
	orientation   int // as a camera writes it; 1 where it does not
	memory        int // what reading it takes, in bytes
}

const send = "Send a JPEG, a PNG or a WebP."

// look says what a file is, or why it is not taken, from its first words alone: what
// would take too much memory is never begun.
func look(data []byte) (file, error) {
	f := file{kind: kindOf(data), orientation: 1}
	var parts looked
	var config image.Config
	var err error
	switch f.kind {
	case isJPEG:
		parts = lookJPEG(data)
		config, err = jpeg.DecodeConfig(bytes.NewReader(data))
	case isPNG:
		parts = lookPNG(data)
		config, err = png.DecodeConfig(bytes.NewReader(data))
	case isWebP:
		parts = lookWebP(data)
		config, err = webp.DecodeConfig(bytes.NewReader(data))
	case isHEIF:
		return f, club.Faultf(club.Invalid, "That photograph is saved as HEIC or AVIF, which cannot be opened here. Set your phone's camera to save JPEG, or choose the photograph with the phone's own picker and let it convert it.")
	default:
		if len(data) == 0 {
			return f, club.Faultf(club.Invalid, "Choose a photograph first. %s", send)
		}
		return f, club.Faultf(club.Invalid, "That file is not a photograph we can open. %s", send)
	}
	if parts.moves {
		return f, club.Faultf(club.Invalid, "That is a moving picture. Send one that stands still, as a JPEG, a PNG or a WebP.")
	}
	if err != nil {
		return f, broken(err)
	}
	f.width, f.height = max(config.Width, parts.width), max(config.Height, parts.height)
	f.memory = f.width * f.height * max(parts.bytesEach, 1)
	if o := orientation(parts.exif); o != 0 {
		f.orientation = o
	}
	return f, f.check()
}

func (f file) check() error {
	switch {
	case f.width <= 0 || f.height <= 0:
		return broken(nil)
	case f.width > mostSide || f.height > mostSide || f.width*f.height > mostPixels:
		return club.Faultf(club.Invalid, "That picture is %d by %d points, which is more than can be opened here: at most 60 million, and %d along a side. Save it smaller and send that.", f.width, f.height, mostSide)
	case f.memory > mostMemory:
		return club.Faultf(club.Invalid, "That picture is saved in a way that takes too much memory to open. Save it smaller, or as an ordinary JPEG, and send that.")
	}
	return nil
}
