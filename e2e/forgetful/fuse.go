package forgetful

import (
	"context"
	"maps"
	"slices"
	"syscall"
	"time"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
	"golang.org/x/sys/unix"
)

// node is a file, a folder, a link or a socket.
type node struct {
	fs.Inode
	d          *Disk
	attr       fuse.Attr
	body, kept body             // a file's, as it is and as it lasts
	lasts      map[string]*node // a folder's names that last; those that are, go-fuse holds
	target     string           // a link's
}

func (d *Disk) node(a fuse.Attr) *node {
	d.made++
	a.Ino, a.Nlink, a.Blksize = d.made, 1, pageSize
	n := &node{d: d, attr: a}
	if n.folder() {
		n.lasts = map[string]*node{}
	}
	return n
}

func (n *node) folder() bool { return n.attr.Mode&syscall.S_IFMT == syscall.S_IFDIR }

func sorted(names map[string]*node) []string { return slices.Sorted(maps.Keys(names)) }

// OnAdd gives go-fuse what is on the disk when it is mounted.
func (n *node) OnAdd(ctx context.Context) {
	for _, name := range sorted(n.lasts) {
		to := n.lasts[name]
		if to.Inode.StableAttr().Ino == 0 {
			n.NewPersistentInode(ctx, to, to.stable())
		}
		n.AddChild(name, to.EmbeddedInode(), true)
	}
}

func (n *node) stable() fs.StableAttr {
	return fs.StableAttr{Mode: n.attr.Mode & syscall.S_IFMT, Ino: n.attr.Ino}
}

func (n *node) fill(a *fuse.Attr) {
	*a = n.attr
	a.Size = uint64(n.body.size)
	a.Blocks = uint64(len(n.body.pages)) * (pageSize / sectorSize)
}

// add puts something new into a folder. The caller holds the lock.
func (n *node) add(ctx context.Context, name string, mode uint32, out *fuse.EntryOut) (*node, syscall.Errno) {
	if err := n.d.ok(); err != 0 {
		return nil, err
	}
	if n.GetChild(name) != nil {
		return nil, syscall.EEXIST
	}
	a := fuse.Attr{Mode: mode}
	if by, ok := fuse.FromContext(ctx); ok {
		a.Owner = by.Owner
	}
	now := time.Now()
	a.SetTimes(&now, &now, &now)
	child := n.d.node(a)
	n.NewPersistentInode(ctx, child, child.stable())
	n.AddChild(name, child.EmbeddedInode(), false)
	n.d.change(named{n, name, child})
	child.fill(&out.Attr)
	return child, 0
}

func (n *node) lock() func() {
	n.d.mu.Lock()
	return n.d.mu.Unlock
}

// Mkdir, and what follows, are what go-fuse asks of a node.
func (n *node) Mkdir(ctx context.Context, name string, mode uint32, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	defer n.lock()()
	child, err := n.add(ctx, name, syscall.S_IFDIR|mode&0o7777, out)
	return inodeOf(child), err
}

func inodeOf(n *node) *fs.Inode {
	if n == nil {
		return nil
	}
	return n.EmbeddedInode()
}

func (n *node) Mknod(ctx context.Context, name string, mode, _ uint32, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	defer n.lock()()
	child, err := n.add(ctx, name, mode, out)
	return inodeOf(child), err
}

func (n *node) Create(ctx context.Context, name string, _, mode uint32, out *fuse.EntryOut) (*fs.Inode, fs.FileHandle, uint32, syscall.Errno) {
	defer n.lock()()
	child, err := n.add(ctx, name, syscall.S_IFREG|mode&0o7777, out)
	return inodeOf(child), nil, fuse.FOPEN_KEEP_CACHE, err
}

func (n *node) Symlink(ctx context.Context, target, name string, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	defer n.lock()()
	child, err := n.add(ctx, name, syscall.S_IFLNK|0o777, out)
	if err == 0 {
		child.target = target
	}
	return inodeOf(child), err
}

func (n *node) Readlink(context.Context) ([]byte, syscall.Errno) {
	defer n.lock()()
	return []byte(n.target), n.d.ok()
}

func (n *node) Link(_ context.Context, to fs.InodeEmbedder, name string, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	defer n.lock()()
	target := to.(*node)
	if err := n.d.ok(); err != 0 {
		return nil, err
	}
	target.attr.Nlink++
	n.d.change(named{n, name, target})
	target.fill(&out.Attr)
	return target.EmbeddedInode(), 0
}

func (n *node) Unlink(_ context.Context, name string) syscall.Errno {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return err
	}
	n.child(name).attr.Nlink--
	n.d.change(named{n, name, nil})
	return 0
}

func (n *node) child(name string) *node { return n.GetChild(name).Operations().(*node) }

func (n *node) Rmdir(_ context.Context, name string) syscall.Errno {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return err
	}
	if len(n.child(name).Children()) > 0 {
		return syscall.ENOTEMPTY
	}
	n.d.change(named{n, name, nil})
	return 0
}

func (n *node) Rename(_ context.Context, name string, into fs.InodeEmbedder, as string, flags uint32) syscall.Errno {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return err
	}
	dir, moved, there := into.(*node), n.child(name), into.EmbeddedInode().GetChild(as)
	switch {
	case flags == unix.RENAME_EXCHANGE:
		n.d.change(named{n, name, there.Operations().(*node)}, named{dir, as, moved})
		return 0
	case there != nil && flags == unix.RENAME_NOREPLACE:
		return syscall.EEXIST
	case flags&^unix.RENAME_NOREPLACE != 0:
		return syscall.EINVAL
	case there != nil && len(there.Children()) > 0:
		return syscall.ENOTEMPTY
	}
	if there != nil {
		there.Operations().(*node).attr.Nlink--
	}
	n.d.change(named{n, name, nil}, named{dir, as, moved})
	return 0
}

func (n *node) Getattr(_ context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	defer n.lock()()
	n.fill(&out.Attr)
	return n.d.ok()
}

func (n *node) Setattr(_ context.Context, _ fs.FileHandle, in *fuse.SetAttrIn, out *fuse.AttrOut) syscall.Errno {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return err
	}
	if mode, ok := in.GetMode(); ok {
		n.attr.Mode = n.attr.Mode&syscall.S_IFMT | mode&0o7777
	}
	if uid, ok := in.GetUID(); ok {
		n.attr.Uid = uid
	}
	if gid, ok := in.GetGID(); ok {
		n.attr.Gid = gid
	}
	if size, ok := in.GetSize(); ok {
		n.body.resize(int64(size))
	}
	if at, ok := in.GetMTime(); ok {
		n.attr.SetTimes(nil, &at, nil)
	}
	n.fill(&out.Attr)
	return 0
}

func (n *node) Open(_ context.Context, flags uint32) (fs.FileHandle, uint32, syscall.Errno) {
	defer n.lock()()
	if flags&syscall.O_TRUNC != 0 {
		n.body.resize(0)
	}
	return nil, fuse.FOPEN_KEEP_CACHE, n.d.ok()
}

func (n *node) Read(_ context.Context, _ fs.FileHandle, dest []byte, off int64) (fuse.ReadResult, syscall.Errno) {
	defer n.lock()()
	return fuse.ReadResultData(n.body.read(dest, off)), n.d.ok()
}

func (n *node) Write(_ context.Context, _ fs.FileHandle, data []byte, off int64) (uint32, syscall.Errno) {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return 0, err
	}
	n.body.write(data, off)
	now := time.Now()
	n.attr.SetTimes(nil, &now, nil)
	return uint32(len(data)), 0
}

func (n *node) Fsync(context.Context, fs.FileHandle, uint32) syscall.Errno {
	defer n.lock()()
	if err := n.d.ok(); err != 0 {
		return err
	}
	n.d.flush(n)
	return 0
}

func (n *node) Statfs(_ context.Context, out *fuse.StatfsOut) syscall.Errno {
	out.Bsize, out.NameLen, out.Blocks = pageSize, 255, 1<<20
	out.Bfree, out.Bavail = out.Blocks, out.Blocks
	return 0
}
