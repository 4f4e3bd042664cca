package photo

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
)

// roughSide is what a picture is reduced to by plain averages, before it is scaled well:
// good scaling of a huge picture would take more memory than the picture.
const roughSide = 2000

// reduced is a picture whose longer side is at least roughSide and under twice that,
// each of its points the average of a block of the picture's; a smaller one keeps its
// size. What can be seen through is on white.
func reduced(src image.Image) *image.RGBA {
	from := src.Bounds()
	w, h := from.Dx(), from.Dy()
	k := max(1, max(w, h)/roughSide)
	out := image.NewRGBA(image.Rect(0, 0, max(1, w/k), max(1, h/k)))
	high := out.Rect.Dy()
	strip := image.NewRGBA(image.Rect(0, 0, w, (h+high-1)/high))
	white := image.NewUniform(color.White)
	for y := range high {
		top, end := y*h/high, (y+1)*h/high
		rows := image.Rect(0, 0, w, end-top)
		draw.Draw(strip, rows, white, image.Point{}, draw.Src)
		draw.Draw(strip, rows, src, image.Pt(from.Min.X, from.Min.Y+top), draw.Over)
		average(out, y, strip, end-top)
	}
	return out
}

// average fills a row with the averages of the blocks of a strip, which is so many rows
// high.
func average(out *image.RGBA, y int, strip *image.RGBA, rows int) {
	w, wide := strip.Rect.Dx(), out.Rect.Dx()
	to := out.Pix[y*out.Stride:]
	for x := range wide {
		left, right := x*w/wide, (x+1)*w/wide
		var r, g, b uint32
		for row := range rows {
			from := strip.Pix[row*strip.Stride+4*left : row*strip.Stride+4*right]
			for ; len(from) >= 4; from = from[4:] {
				r, g, b = r+uint32(from[0]), g+uint32(from[1]), b+uint32(from[2])
			}
		}
		n := uint32(rows * (right - left))
		to[4*x], to[4*x+1], to[4*x+2], to[4*x+3] = uint8((r+n/2)/n), uint8((g+n/2)/n), uint8((b+n/2)/n), 255
	}
}

// fitted is a picture whose longer side is at most side.
func fitted(src *image.RGBA, side int) *image.RGBA {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	long := max(w, h)
	if long <= side {
		return src
	}
	out := image.NewRGBA(image.Rect(0, 0, scaled(w, side, long), scaled(h, side, long)))
	draw.CatmullRom.Scale(out, out.Rect, src, src.Rect, draw.Src, nil)
	return out
}

func scaled(n, side, long int) int { return max(1, (n*side+long/2)/long) }

// turned is a picture upright, by its orientation as a camera writes it (Exif 2.3, tag
// 0x0112): 1 as it is, 2 mirrored, 3 upside down, 4 both, 5 to 8 the same on its side.
func turned(src *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	wide, high := w, h
	if orientation >= 5 {
		wide, high = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			fromX, fromY := standing(orientation, x, y, w, h)
			copy(out.Pix[y*out.Stride+4*x:][:4], src.Pix[fromY*src.Stride+4*fromX:][:4])
		}
	}
	return out
}

// standing is where the point x, y of the upright picture is in one that is w by h.
func standing(orientation, x, y, w, h int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, h - 1 - x
	case 7:
		return w - 1 - y, h - 1 - x
	case 8:
		return w - 1 - y, x
	}
	return x, y
}
