// Package photo makes photographs small as they arrive: a large one to look at and a
// small one for lists, turned upright, as new JPEG files that hold the picture and
// nothing else that came with it. What cannot be read is a *club.Fault whose sentence
// says what to send instead.
package photo

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"runtime/debug"
	"time"

	"golang.org/x/image/webp"

	"levelpeg/club"
)

// What is taken, and what it becomes.
const (
	MostBytes  = 15 << 20
	mostPixels = 60_000_000
	mostSide   = 20_000
	largeSide  = 1600
	smallSide  = 480
	quality    = 82 // of the JPEG
)

// mostMemory is what a picture may take while it is read, in bytes. A picture of
// mostPixels fits in every usual way of saving one, but not in the two dearest: sixteen
// bits a colour, and a JPEG that comes in many passes.
const mostMemory = 320 << 20

// waitFor is how long somebody waits while other photographs are made small.
const waitFor = 20 * time.Second

// Darkroom makes one photograph small at a time: each takes memory by the hundred
// megabytes, for a second or two.
type Darkroom struct {
	turn chan struct{}
	wait time.Duration
}

// NewDarkroom gives an empty one.
func NewDarkroom() *Darkroom {
	return &Darkroom{turn: make(chan struct{}, 1), wait: waitFor}
}

// Develop reads a photograph and makes it small, when it is its turn. It fails with
// club.Invalid for what is no photograph we take, and club.Unavailable where the others
// take too long.
func (d *Darkroom) Develop(ctx context.Context, r io.Reader) (club.Photo, error) {
	waiting := time.NewTimer(d.wait)
	defer waiting.Stop()
	select {
	case d.turn <- struct{}{}:
	case <-waiting.C:
		return club.Photo{}, club.Faultf(club.Unavailable, "Other photographs are being made small just now. Send yours again in a minute.")
	case <-ctx.Done():
		return club.Photo{}, ctx.Err()
	}
	defer func() { <-d.turn }()
	data, err := io.ReadAll(io.LimitReader(r, MostBytes+1))
	if err != nil {
		return club.Photo{}, err
	}
	return develop(data)
}

// ErrTooLong is said of a file that is over MostBytes.
func ErrTooLong() *club.Fault {
	return club.Faultf(club.Invalid, "That file is over 15 MB. Send the photograph smaller.")
}

func develop(data []byte) (club.Photo, error) {
	if len(data) > MostBytes {
		return club.Photo{}, ErrTooLong()
	}
	f, err := look(data)
	if err != nil {
		return club.Photo{}, err
	}
	if f.memory > bigMemory {
		defer debug.FreeOSMemory() // a small machine wants it back at once
	}
	img, err := decode(f.kind, data)
	if err != nil {
		return club.Photo{}, broken(err)
	}
	large := turned(fitted(reduced(img), largeSide), f.orientation)
	img = nil // the one that takes the memory
	var out club.Photo
	if out.Large, err = encoded(large); err != nil {
		return out, err
	}
	out.Small, err = encoded(fitted(large, smallSide))
	return out, err
}

// bigMemory is from when on memory is given back at once.
const bigMemory = 32 << 20

func decode(k kind, data []byte) (image.Image, error) {
	switch k {
	case isPNG:
		return png.Decode(bytes.NewReader(data))
	case isWebP:
		return webp.Decode(bytes.NewReader(data))
	}
	return jpeg.Decode(bytes.NewReader(data))
}

func broken(err error) error {
	return club.Faultf(club.Invalid, "The photograph could not be read: the file is broken, or not all of it came. Send it again, or save it anew as a JPEG.").Because(err)
}

// encoded is a picture as a file. The encoder writes no metadata at all.
func encoded(img *image.RGBA) (club.Image, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality})
	return club.Image{Kind: "image/jpeg", Data: b.Bytes(), Width: img.Rect.Dx(), Height: img.Rect.Dy()}, err
}
