package forgetful

import (
	"errors"
	"fmt"
	"io"
	"log"
	"math/rand/v2"
	"syscall"
	"time"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
	"golang.org/x/sys/unix"
)

// Mount makes an empty disk at a folder. letter: folders last as POSIX says, and no better.
func Mount(at string, letter bool) (*Disk, error) {
	d := &Disk{at: at, letter: letter}
	d.root = d.node(fuse.Attr{Mode: syscall.S_IFDIR | 0o755})
	return d, d.mount()
}

// PowerOn mounts what a loss of power left where the disk was.
func (d *Disk) PowerOn(random *rand.Rand, luck float64) error {
	d.mu.Lock()
	d.off = true
	left := d.remains(random, luck)
	d.mu.Unlock()
	if err := d.unmount(); err != nil {
		return err
	}
	d.mu.Lock()
	d.root, d.off = left, false
	d.mu.Unlock()
	return d.mount()
}

// Unmount takes the disk away, with all that is on it.
func (d *Disk) Unmount() error {
	d.PowerOff()
	return d.unmount()
}

// unmount does not wait for whoever has a file open still.
func (d *Disk) unmount() error {
	if err := unix.Unmount(d.at, unix.MNT_DETACH); err != nil {
		return fmt.Errorf("forgetful: unmounting %s: %w", d.at, err)
	}
	return nil
}

func (d *Disk) mount() error {
	day := 24 * time.Hour // all changes go through this mount
	_, err := fs.Mount(d.at, d.root, &fs.Options{
		EntryTimeout: &day, AttrTimeout: &day,
		MountOptions: fuse.MountOptions{
			AllowOther: true, DirectMountStrict: true, DisableXAttrs: true, FsName: "forgetful", Name: "forgetful",
			Options: []string{"default_permissions"}, Logger: log.New(io.Discard, "", 0), // it complains of every unmounting
		},
	})
	if err != nil {
		return errors.Join(fmt.Errorf("forgetful: mounting at %s", d.at), err)
	}
	return nil
}
