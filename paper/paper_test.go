package paper

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/guide"
	"levelpeg/rig"
	"levelpeg/web"
)

// TestEveryCard prints a card of every peg of every invented venue: two sides, nothing off
// them or over one another, what stops fishing said, and the code leads to the peg.
func TestEveryCard(t *testing.T) {
	for i := range book().Venues {
		v := venue(t, i, nil)
		for k := range v.Pegs {
			if !long && k%13 != 3 && v.Pegs[k].Peg.Label != "18" {
				continue // the pegs of a venue are much alike
			}
			c := cardOf(t, v.Pegs[k], club.Ask{})
			pdf := printed(t, func(w io.Writer) error { return Press{}.Card(w, c) })
			t.Run(c.Label, func(t *testing.T) {
				if n := tidy(t, pdf); n != cardSides {
					t.Errorf("it has %d sides", n)
				}
				says(t, pdf, "Peg "+c.Label, c.Venue, c.Code, c.Printed, c.Known)
				says(t, pdf, c.Stops.Why...)
				for _, r := range c.Rules {
					says(t, pdf, r)
				}
				for _, r := range c.Runs {
					for _, cell := range r.Cells {
						says(t, pdf, cell.Depth)
					}
				}
				if c.Rig != nil {
					saysRig(t, pdf, c.Rig)
				}
				if got, err := scanned(part(firstPicture(t, pdf, 200), 0.7, 0, 1, 0.21)); err != nil || got != origin+"/p/"+c.Code {
					t.Errorf("its code says %q, %v", got, err)
				}
			})
		}
	}
}

// saysRig checks that every weight of a rig can be selected with its grams and its place.
func saysRig(t *testing.T, pdf []byte, r *web.RigCard) {
	t.Helper()
	said := map[string]bool{} // by words: a place that is broken over lines is read across its row
	for _, w := range strings.Fields(textOf(t, pdf)) {
		said[w] = true
	}
	for _, b := range r.Beads {
		for _, w := range strings.Fields(b.What + " " + b.Grams + " " + b.At) {
			if !said[w] {
				t.Errorf("of the rig's “%s, %s, %s” “%s” is not said", b.What, b.Grams, b.At, w)
			}
		}
	}
	says(t, pdf, r.Name, r.Set, r.Sum)
}

// TestCardOfLongNames: whatever names are, nothing runs off the card; it takes more sides.
func TestCardOfLongNames(t *testing.T) {
	v := venue(t, 0, named)
	for k := 0; k < len(v.Pegs); k += 9 {
		c := cardOf(t, v.Pegs[k], club.Ask{})
		pdf := printed(t, func(w io.Writer) error { return Press{}.Card(w, c) })
		if n := tidy(t, pdf); n > 5 {
			t.Errorf("it has %d sides", n)
		}
		says(t, pdf, "½-mile ×3 stretch (19°) ?", "Társaság’s")
	}
}

// TestCardWithoutALevel: nobody has read the board, and the card says what it can.
func TestCardWithoutALevel(t *testing.T) {
	v := venue(t, 0, nil).Pegs[3]
	v.Standing.Latest = nil
	c := cardOf(t, v, club.Ask{})
	pdf := printed(t, func(w io.Writer) error { return Press{}.Card(w, c) })
	tidy(t, pdf)
	says(t, pdf, "Nobody has read the board yet", "Low", "Middle", "High")
	v.Runs = nil
	bare := cardOf(t, v, club.Ask{})
	tidy(t, printed(t, func(w io.Writer) error { return Press{}.Card(w, bare) }))
}

// TestVenueOfSixtyPegs: the sheet goes on over pages, each with the table's heads, every
// peg and every run once.
func TestVenueOfSixtyPegs(t *testing.T) {
	v := venue(t, 0, sixty)
	s, err := club.NewVenueSheet(v, club.Ask{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	page := web.NewVenueSheet(s, origin)
	pdf := printed(t, func(w io.Writer) error { return Press{}.VenueSheet(w, page) })
	if n := tidy(t, pdf); n < 3 {
		t.Errorf("sixty pegs have %d pages", n)
	}
	text, rows := textOf(t, pdf), 0
	for _, p := range page.Pegs {
		if n := strings.Count(text, p.Code); n != 1 {
			t.Errorf("peg %s is there %d times", p.Label, n)
		}
		rows += len(p.Runs)
	}
	depths := 0
	for n, p := range leaves(t, pdf) {
		heads := map[string]bool{}
		for _, w := range p.Words {
			heads[w.Words] = true
			if w.Words == "cm" {
				depths++
			}
		}
		for _, h := range []string{"Peg", "Run", "Depth", "Feet", "Pace", "Bottom"} {
			if !heads[h] {
				t.Errorf("page %d has no head “%s”", n+1, h)
			}
		}
	}
	if depths < rows*9/10 {
		t.Errorf("%d depths of %d runs", depths, rows)
	}
	says(t, pdf, page.Level, "Close season")
	if got, err := scanned(part(firstPicture(t, pdf, 150), 0.7, 0, 1, 0.2)); err != nil || got != page.Address {
		t.Errorf("its code says %q, %v", got, err)
	}
}

func TestVenueOfLongNames(t *testing.T) {
	s, err := club.NewVenueSheet(venue(t, 1, named), club.Ask{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	tidy(t, printed(t, func(w io.Writer) error { return Press{}.VenueSheet(w, web.NewVenueSheet(s, origin)) }))
}

// TestTonightOnPaper: the same rigs, pegs and figures as on the page.
func TestTonightOnPaper(t *testing.T) {
	for name, with := range map[string]func(*club.VenuePegs){"as it is": nil, "long names": named} {
		t.Run(name, func(t *testing.T) {
			tonight, err := club.NewTonight(venue(t, 0, with), club.TonightAsk{Ask: club.Ask{Now: now}}, club.NewCoverMemory())
			if err != nil {
				t.Fatal(err)
			}
			page := web.NewTonightPrint(tonight)
			if len(page.Rigs) == 0 {
				t.Fatal("there is nothing to tie")
			}
			pdf := printed(t, func(w io.Writer) error { return Press{}.Tonight(w, page) })
			tidy(t, pdf)
			says(t, pdf, page.Answer)
			for i := range page.Rigs {
				saysRig(t, pdf, &page.Rigs[i].Card)
				for _, row := range page.Rigs[i].Rows {
					says(t, pdf, row.Peg, row.Set)
				}
			}
		})
	}
}

// TestEveryLabel scans every label of sixty-four pegs at every number of labels a page:
// each leads to the peg whose code stands below it.
func TestEveryLabel(t *testing.T) {
	v := venue(t, 0, sixty)
	for per, grid := range grids {
		t.Run(fmt.Sprint(per), func(t *testing.T) {
			v := v
			if !long && per != 24 {
				v.Pegs = v.Pegs[:per+1]
			}
			l, err := web.NewLabels(&v, origin, per, now, time.UTC)
			if err != nil {
				t.Fatal(err)
			}
			pdf := printed(t, func(w io.Writer) error { return Press{}.Labels(w, l) })
			inside(t, leaves(t, pdf)) // the box of a number's sign is much higher than the number
			if n := len(leaves(t, pdf)); n != (len(v.Pegs)+per-1)/per {
				t.Errorf("%d pages", n)
			}
			scanAll(t, pdf, l, grid)
		})
	}
}

func scanAll(t *testing.T, pdf []byte, l web.Labels, grid [2]int) {
	t.Helper()
	text := leaves(t, pdf)
	pages := pictures(t, pdf, 150)
	w, h := (a4.w-2*a4.margin)/float64(grid[0])/a4.w, (a4.h-2*a4.margin-4)/float64(grid[1])/a4.h
	for i, p := range l.Pegs {
		page, at := i/l.Per, i%l.Per
		x, y := a4.margin/a4.w+float64(at%grid[0])*w, a4.margin/a4.h+float64(at/grid[0])*h
		got, err := scanned(part(pages[page], x, y, x+w, y+h))
		if err != nil || got != origin+"/p/"+p.Code {
			t.Errorf("the label of peg %s says %q, %v", p.Peg, got, err)
		}
		inside := map[string]bool{}
		for _, word := range text[page].Words {
			mx, my := (word.XMin+word.XMax)/2/text[page].Width, (word.YMin+word.YMax)/2/text[page].Height
			if mx > x && mx < x+w && my > y && my < y+h {
				inside[word.Words] = true
			}
		}
		if !inside[p.Peg] || !inside[p.Code] {
			t.Errorf("the label of peg %s does not say it and %s: %v", p.Peg, p.Code, inside)
		}
	}
}

// TestDirtyLabel: a label still scans with two blots on its code. Derived: level Q
// mends a quarter of the codewords (ISO/IEC 18004, from memory).
func TestDirtyLabel(t *testing.T) {
	v := venue(t, 0, sixty)
	l, err := web.NewLabels(&v, origin, 2, now, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	page := pictures(t, printed(t, func(w io.Writer) error { return Press{}.Labels(w, l) }), 100)[0]
	label := part(page, 0, 0.03, 1, 0.5)
	if got, err := scanned(muddy(label)); err != nil || got != origin+"/p/"+l.Pegs[0].Code {
		t.Errorf("with mud on it says %q, %v", got, err)
	}
}

func TestLabelsOfLongNames(t *testing.T) {
	v := venue(t, 0, named)
	for per := range grids {
		l, err := web.NewLabels(&v, origin, per, now, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		inside(t, leaves(t, printed(t, func(w io.Writer) error { return Press{}.Labels(w, l) })))
	}
	if _, err := web.NewLabels(&v, "https://"+strings.Repeat("a", 300)+".example", 8, now, time.UTC); club.KindOf(err) != club.Invalid {
		t.Errorf("an address too long for a code: %v", err)
	}
}

// TestBooklets prints the guide of a rig of every pattern that the invented pegs' waters
// give: every step, in order, and its code leads to it.
func TestBooklets(t *testing.T) {
	seen := map[string]bool{}
	for i, w := range [][3]float64{{1.2, 0.25, 3}, {1.85, 0.5, 6}, {2.6, 0.9, 9}, {3.8, 0.6, 12}} {
		own := club.Own{DepthM: &w[0], PaceMPS: &w[1], OutM: &w[2]}
		s, err := club.NewOwnSheet(book().Club, club.Member{}, club.Ask{Own: own, Aim: rig.Aim{Junior: i < 2}, Now: now}, rigs)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Answer.Rigs {
			if seen[r.Pattern] {
				continue
			}
			seen[r.Pattern] = true
			t.Run(r.Name, func(t *testing.T) { oneBooklet(t, r, s.Water) })
		}
	}
	if len(seen) < 4 {
		t.Errorf("only %d patterns were printed", len(seen))
	}
}

func oneBooklet(t *testing.T, r rig.Rig, w rig.Water) {
	g, err := guide.For(guide.SetupOf(r, w))
	if err != nil {
		t.Fatal(err)
	}
	b := web.NewBooklet(book().Club, club.Member{}, g, origin, now, time.UTC)
	pdf := printed(t, func(out io.Writer) error { return Press{}.Booklet(out, b) })
	inside(t, leaves(t, pdf))
	text, from := textOf(t, pdf), 0
	for i, s := range g.Steps {
		title := fmt.Sprintf("%d. %s", i+1, s.Title)
		at := strings.Index(text[from:], title)
		if at < 0 {
			t.Fatalf("“%s” does not come after the step before it", title)
		}
		from += at
		says(t, pdf, s.Do...)
	}
	says(t, pdf, "Never fish alone", g.For)
	if got, err := scanned(part(firstPicture(t, pdf, 200), 0.5, 0.6, 1, 1)); err != nil || got != origin+"/guide/"+g.Code {
		t.Errorf("its code says %q, %v", got, err)
	}
}

// TestManyAtOnce prints from many goroutines, which share the font.
func TestManyAtOnce(t *testing.T) {
	c := cardOf(t, venue(t, 0, nil).Pegs[3], club.Ask{})
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if err := (Press{}).Card(io.Discard, c); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}

// TestFontHasOurSigns: everything the pages themselves write can be printed.
func TestFontHasOurSigns(t *testing.T) {
	const ours = "½×–—°é’“”−±·→←…≥≤¼¾ŵŷâÉöñßŁłČčçØåêABCabc0123456789()[]/?!&%£€"
	if got := printable(ours); got != ours {
		t.Errorf("%q is printed as %q", ours, got)
	}
	for words, want := range map[string]string{"a\nb": "a b", "e\u0301": "é", "🐟": "?", "a\u200db": "ab", "\xff": "?"} {
		if got := printable(words); got != want {
			t.Errorf("%q is printed as %q, want %q", words, got, want)
		}
	}
}

// muddy is a picture of a label for half a page with mud on its code: two blots a
// centimetre wide, clear of the patterns that a scanner finds a code by.
func muddy(p image.Image) image.Image {
	b := p.Bounds()
	out := image.NewGray(b)
	draw.Draw(out, b, p, b.Min, draw.Src)
	d := min(b.Dx(), b.Dy())
	for _, at := range [][2]int{{b.Min.X + b.Dx()*70/100, b.Min.Y + b.Dy()*40/100}, {b.Min.X + b.Dx()*76/100, b.Min.Y + b.Dy()*20/100}} {
		blot := image.Rect(at[0], at[1], at[0]+d/14, at[1]+d/14)
		draw.Draw(out, blot, image.NewUniform(color.Gray{90}), image.Point{}, draw.Src)
	}
	return out
}
