// Package forgetful is a disk that forgets: a file system in memory, for tests, that keeps what
// was flushed to it apart from what was only written, and on a loss of power loses the second, or
// any part of it. Linux only, by FUSE; mounting wants root.
//
// What a loss of power leaves of a file is what was flushed (fsync, fdatasync), and of each
// page that was written since either what it was, what it became, or a page torn between two
// sectors. Folders change in one of two ways:
//
//   - journalled, as the file systems that Linux is run on do: changes of names come to the disk in their order, and
//     whatever is flushed takes along all that went before;
//   - to the letter of POSIX: a name, or that it is gone, lasts when its folder was flushed, and not before.
//
// Common practice of such tests, no source; what a page is torn into is from memory (sectors of
// 512 bytes are written whole).
package forgetful

import (
	"math/rand/v2"
	"slices"
	"sync"
	"syscall"
)

const (
	pageSize   = 4096
	sectorSize = 512
)

type page [pageSize]byte

// Disk is one that is mounted somewhere.
type Disk struct {
	at      string
	letter  bool // folders last as POSIX says, and no better
	mu      sync.Mutex
	root    *node
	pending []change // of names, not flushed yet, in their order
	off     bool
	made    uint64 // nodes
	flushed int    // how often something was
}

// change is one change of names that happens as a whole; a name is given to nil where it goes.
type change []named

type named struct {
	dir  *node
	name string
	to   *node
}

func (c change) keep() {
	for _, n := range c {
		if n.to == nil {
			delete(n.dir.lasts, n.name)
		} else {
			n.dir.lasts[n.name] = n.to
		}
	}
}

func (c change) of(dir *node) bool {
	return slices.ContainsFunc(c, func(n named) bool { return n.dir == dir })
}

// body is what a file holds; nil pages are zeros.
type body struct {
	size  int64
	pages []*page
}

func (b *body) resize(size int64) {
	want := int((size + pageSize - 1) / pageSize)
	for len(b.pages) < want {
		b.pages = append(b.pages, nil)
	}
	clear(b.pages[want:])
	b.pages = b.pages[:want]
	if over := size % pageSize; size < b.size && over != 0 && b.pages[want-1] != nil { // what is cut off is zeros when it grows again
		cut := *b.pages[want-1]
		clear(cut[over:])
		b.pages[want-1] = &cut
	}
	b.size = size
}

// write puts data at an offset. A page is never changed once it is there, as what lasts may have it, too.
func (b *body) write(data []byte, off int64) {
	if end := off + int64(len(data)); end > b.size {
		b.resize(end)
	}
	for len(data) > 0 {
		i, in := off/pageSize, off%pageSize
		var p page
		if b.pages[i] != nil {
			p = *b.pages[i]
		}
		n := copy(p[in:], data)
		b.pages[i] = &p
		data, off = data[n:], off+int64(n)
	}
}

func (b *body) read(dest []byte, off int64) []byte {
	if off >= b.size {
		return nil
	}
	dest = dest[:min(int64(len(dest)), b.size-off)]
	for done := 0; done < len(dest); {
		i, in := (off+int64(done))/pageSize, (off+int64(done))%pageSize
		part := dest[done:min(len(dest), done+int(pageSize-in))]
		clear(part)
		if p := b.pages[i]; p != nil {
			copy(part, p[in:])
		}
		done += len(part)
	}
	return dest
}

func (b *body) clone() body { return body{b.size, slices.Clone(b.pages)} }

// change takes down that names were changed.
func (d *Disk) change(names ...named) { d.pending = append(d.pending, names) }

// flush makes a node last.
func (d *Disk) flush(n *node) {
	d.flushed++
	if !n.folder() {
		n.kept = n.body.clone()
	}
	var rest []change
	for _, c := range d.pending {
		if d.letter && !c.of(n) {
			rest = append(rest, c)
			continue
		}
		c.keep()
	}
	d.pending = rest
}

// remains is what a loss of power leaves, in nodes of their own. luck is how much of what was
// never flushed is there all the same, from 0 to 1.
func (d *Disk) remains(random *rand.Rand, luck float64) *node {
	for _, c := range d.pending {
		if random.Float64() < luck {
			c.keep()
		} else if !d.letter {
			break
		}
	}
	d.pending = nil
	return d.remnant(d.root, random, luck, map[*node]*node{})
}

func (d *Disk) remnant(n *node, random *rand.Rand, luck float64, seen map[*node]*node) *node {
	if there := seen[n]; there != nil {
		return there
	}
	out := d.node(n.attr)
	seen[n] = out
	out.target = n.target
	if n.folder() {
		for _, name := range sorted(n.lasts) { // in an order of its own, so that a seed gives one outcome
			out.lasts[name] = d.remnant(n.lasts[name], random, luck, seen)
		}
		return out
	}
	out.body = n.left(random, luck)
	out.kept = out.body.clone()
	return out
}

// left is what of a file is there.
func (n *node) left(random *rand.Rand, luck float64) body {
	out := n.kept.clone()
	if n.body.size != out.size && random.Float64() < luck {
		out.resize(n.body.size)
	}
	for i := range out.pages {
		if i >= len(n.body.pages) || n.body.pages[i] == out.pages[i] || random.Float64() >= luck {
			continue
		}
		out.pages[i] = torn(out.pages[i], n.body.pages[i], random, luck)
	}
	return out
}

// torn is a page as it became, or where luck is not all, in one case of four, only up to a sector.
func torn(was, became *page, random *rand.Rand, luck float64) *page {
	if luck == 1 || random.IntN(4) > 0 {
		return became
	}
	var p page
	if was != nil {
		p = *was
	}
	upTo := sectorSize * random.IntN(pageSize/sectorSize+1)
	if became == nil {
		clear(p[:upTo])
	} else {
		copy(p[:upTo], became[:upTo])
	}
	return &p
}

// Settle makes everything last, as after a while without writing.
func (d *Disk) Settle() {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, c := range d.pending {
		c.keep()
	}
	d.pending = nil
	d.root.settle()
}

func (n *node) settle() {
	n.kept = n.body.clone()
	for _, to := range n.lasts {
		to.settle()
	}
}

// PowerOff is the moment from which nothing more lasts: every request fails from now on, as
// whoever makes it is to be killed.
func (d *Disk) PowerOff() {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.off = true
}

// Flushed is how often something was flushed.
func (d *Disk) Flushed() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.flushed
}

// ok is whether there is power.
func (d *Disk) ok() syscall.Errno {
	if d.off {
		return syscall.EIO
	}
	return 0
}
