package web

import (
	"github.com/a-h/templ"

	"levelpeg/club/sketch"
	"levelpeg/web/draw"
)

// DrawnSketch is a line drawing on a page.
type DrawnSketch sketch.Drawing

// Draw draws it.
func (d DrawnSketch) Draw() templ.Component { return draw.Sketch(sketch.Drawing(d)) }
