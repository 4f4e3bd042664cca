package photo

import (
	"bytes"
	"encoding/binary"
)

// looked is what the parts of a file say that the decoders do not.
type looked struct {
	exif          []byte // what a camera wrote, as TIFF; nil for nothing
	moves         bool
	width, height int // of the picture inside, where it can differ from what the file says
	bytesEach     int // of memory that reading it takes, for each point
}

func be16(b []byte) int { return int(binary.BigEndian.Uint16(b)) }
func be32(b []byte) int { return int(binary.BigEndian.Uint32(b)) }

var exifHead = []byte("Exif\x00\x00")

// lookJPEG walks the segments before the picture (ITU-T T.81, B.1).
func lookJPEG(data []byte) looked {
	out := looked{bytesEach: 3}
	for at := 2; at+4 <= len(data); {
		if data[at] != 0xff {
			return out
		}
		marker := data[at+1]
		if marker == 0xff || marker == 1 || marker >= 0xd0 && marker <= 0xd8 { // filler, and what has no length
			at++
			if marker != 0xff {
				at++
			}
			continue
		}
		length := be16(data[at+2:])
		if marker == 0xda || marker == 0xd9 || length < 2 || at+2+length > len(data) {
			return out
		}
		segment := data[at+4 : at+2+length]
		switch {
		case marker == 0xe1 && out.exif == nil && bytes.HasPrefix(segment, exifHead):
			out.exif = segment[len(exifHead):]
		case marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc:
			out.bytesEach = jpegBytes(marker, segment)
		}
		at += 2 + length
	}
	return out
}

// jpegBytes is what a point takes while a JPEG is read, from the head of its frame
// (B.2.2): a byte for each component, fewer where colours are kept coarser; and where it
// comes in many passes, four for each coefficient besides.
func jpegBytes(marker byte, frame []byte) int {
	const passes = 0xc2
	if len(frame) < 6 {
		return 3
	}
	n := int(frame[5])
	if n == 0 || n > 4 || len(frame) < 6+3*n {
		return 3
	}
	area, most := 0, 1
	for i := range n {
		hv := frame[7+3*i]
		cells := int(hv>>4) * int(hv&15)
		area, most = area+cells, max(most, cells)
	}
	each := (area + most - 1) / most
	if n == 4 {
		each += 4 // it is turned into four colours in one
	}
	if marker == passes {
		each = (5*area + most - 1) / most
	}
	return max(each, 1)
}

// lookPNG walks the chunks (PNG, third edition, 5).
func lookPNG(data []byte) looked {
	out := looked{bytesEach: 4}
	for at := 8; at+12 <= len(data); {
		length, name := be32(data[at:]), string(data[at+4:at+8])
		if length > len(data)-at-12 {
			return out
		}
		body := data[at+8 : at+8+length]
		switch name {
		case "IHDR":
			out.bytesEach = pngBytes(body)
		case "acTL":
			out.moves = true
		case "eXIf":
			out.exif = body
		case "IEND":
			return out
		}
		at += 12 + length
	}
	return out
}

// pngBytes is what a point takes while a PNG is read, from its head (11.2.1): twice as
// much with sixteen bits a colour, and half as much again where it comes in seven passes.
func pngBytes(head []byte) int {
	each := 4
	if len(head) >= 13 && head[8] == 16 {
		each = 8
	}
	if len(head) >= 13 && head[12] == 1 {
		each += each / 2
	}
	return each
}

// lookWebP walks the chunks (RFC 9649, 2). A file may say one size and hold a picture of
// another, so the picture is asked.
func lookWebP(data []byte) looked {
	out := looked{bytesEach: 2}
	for at := 12; at+8 <= len(data); {
		length, name := int(binary.LittleEndian.Uint32(data[at+4:])), string(data[at:at+4])
		body := data[at+8:]
		if length <= len(body) {
			body = body[:length]
		}
		switch name {
		case "VP8X":
			out.moves = out.moves || len(body) > 0 && body[0]&2 != 0
		case "ANIM", "ANMF":
			out.moves = true
		case "ALPH":
			out.bytesEach = max(out.bytesEach, 4)
		case "VP8 ":
			out.vp8(body)
		case "VP8L":
			out.vp8l(body)
		case "EXIF":
			out.exif = bytes.TrimPrefix(body, exifHead)
		}
		if length > len(data)-at-8 {
			return out
		}
		at += 8 + length + length&1
	}
	return out
}

// vp8 reads the head of a key frame (RFC 6386, 9.1).
func (l *looked) vp8(body []byte) {
	if len(body) >= 10 {
		l.width = max(l.width, int(binary.LittleEndian.Uint16(body[6:])&0x3fff))
		l.height = max(l.height, int(binary.LittleEndian.Uint16(body[8:])&0x3fff))
	}
}

// vp8l reads the head of a lossless picture (RFC 9649, 3.4).
func (l *looked) vp8l(body []byte) {
	if len(body) < 5 {
		return
	}
	bits := binary.LittleEndian.Uint32(body[1:])
	l.width = max(l.width, int(bits&0x3fff)+1)
	l.height = max(l.height, int(bits>>14&0x3fff)+1)
	l.bytesEach = 5
}

// orientation finds tag 0x0112 in the first directory of a TIFF (TIFF 6.0, 2); 0 where
// there is none that makes sense.
func orientation(tiff []byte) int {
	if len(tiff) < 8 {
		return 0
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 0
	}
	at := uint64(order.Uint32(tiff[4:]))
	if at+2 > uint64(len(tiff)) {
		return 0
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < 12 {
			return 0
		}
		const short = 3
		if order.Uint16(entries) == 0x0112 && order.Uint16(entries[2:]) == short {
			if o := int(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			return 0
		}
		entries = entries[12:]
	}
	return 0
}
