package forgetful_test

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"levelpeg/e2e/forgetful"
)

func mount(t *testing.T, letter bool) (*forgetful.Disk, string) {
	t.Helper()
	at := t.TempDir()
	d, err := forgetful.Mount(at, letter)
	if err != nil {
		t.Skipf("SKIPPED, not tested: no file system can be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := d.Unmount(); err != nil {
			t.Error(err)
		}
	})
	return d, at
}

func random() *rand.Rand { return rand.New(rand.NewPCG(20260614, 5)) }

// cut loses power, and has it come back.
func cut(t *testing.T, d *forgetful.Disk, luck float64) {
	t.Helper()
	d.PowerOff()
	if err := d.PowerOn(random(), luck); err != nil {
		t.Fatal(err)
	}
}

func must(t *testing.T, errs ...error) {
	t.Helper()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

// put writes a file, and flushes it where flush says so.
func put(t *testing.T, path string, data []byte, flush bool) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	must(t, err)
	_, err = f.Write(data)
	must(t, err)
	if flush {
		must(t, f.Sync())
	}
	must(t, f.Close())
}

func syncFolder(t *testing.T, path string) {
	t.Helper()
	f, err := os.Open(path)
	must(t, err)
	must(t, f.Sync(), f.Close())
}

// held is a file's bytes; nil where there is none.
func held(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	must(t, err)
	if data == nil {
		data = []byte{}
	}
	return data
}

// What was flushed lasts; what was only written goes where there is no luck, and stays
// where there is all of it.
func TestWhatWasFlushedLasts(t *testing.T) {
	for _, letter := range []bool{false, true} {
		d, at := mount(t, letter)
		flushed, written := filepath.Join(at, "flushed"), filepath.Join(at, "written")
		put(t, flushed, []byte("one"), true)
		syncFolder(t, at)
		put(t, flushed, []byte("two and more"), false)
		put(t, written, []byte("new"), false)
		if got := held(t, flushed); string(got) != "two and more" {
			t.Errorf("with power: %q", got)
		}
		cut(t, d, 0)
		if a, b := held(t, flushed), held(t, written); string(a) != "one" || b != nil {
			t.Errorf("letter %v: %q and %q are left", letter, a, b)
		}
		put(t, written, []byte("new"), false)
		cut(t, d, 1)
		if b := held(t, written); string(b) != "new" {
			t.Errorf("letter %v: with all luck %q is left", letter, b)
		}
	}
}

// A file that was renamed has its new name where whatever came later was flushed; to the
// letter only where the folder was.
func TestNames(t *testing.T) {
	for _, letter := range []bool{false, true} {
		d, at := mount(t, letter)
		part, whole := filepath.Join(at, "in", "part"), filepath.Join(at, "in", "whole")
		must(t, os.Mkdir(filepath.Dir(part), 0o700))
		put(t, part, []byte("book"), true)
		must(t, os.Rename(part, whole))
		put(t, filepath.Join(at, "other"), nil, true)
		cut(t, d, 0)
		if got := held(t, whole); letter == (got != nil) {
			t.Errorf("letter %v: %q is left", letter, got)
		}
		must(t, os.MkdirAll(filepath.Dir(part), 0o700))
		put(t, part, []byte("book"), true)
		must(t, os.Rename(part, whole))
		syncFolder(t, filepath.Dir(part))
		cut(t, d, 0)
		if got := held(t, whole); letter == (got != nil) { // nobody flushed the folder that "in" lies in
			t.Errorf("letter %v, in a new folder: %q is left", letter, got)
		}
		must(t, os.MkdirAll(filepath.Dir(part), 0o700))
		put(t, part, []byte("book"), true)
		must(t, os.Rename(part, whole))
		syncFolder(t, filepath.Dir(part))
		syncFolder(t, at)
		cut(t, d, 0)
		if got := held(t, whole); string(got) != "book" || held(t, part) != nil {
			t.Errorf("letter %v: %q is left", letter, got)
		}
	}
}

// Two folders that change places do so as a whole.
func TestExchanged(t *testing.T) {
	for _, luck := range []float64{0, 1} {
		d, at := mount(t, true)
		a, b := filepath.Join(at, "a"), filepath.Join(at, "b")
		must(t, os.Mkdir(a, 0o700), os.Mkdir(b, 0o700))
		put(t, filepath.Join(a, "x"), []byte("old"), true)
		put(t, filepath.Join(b, "x"), []byte("new"), true)
		d.Settle()
		must(t, unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE))
		cut(t, d, luck)
		was, is := "old", "new"
		if luck == 1 {
			was, is = is, was
		}
		if x, y := held(t, filepath.Join(a, "x")), held(t, filepath.Join(b, "x")); string(x) != was || string(y) != is {
			t.Errorf("luck %v: %q and %q", luck, x, y)
		}
	}
}

// A page that was written since it was flushed is as it was, as it became, or torn between
// two sectors; with luck in between all three are seen.
func TestTorn(t *testing.T) {
	d, at := mount(t, false)
	path, pages := filepath.Join(at, "pages"), 400
	put(t, path, bytes.Repeat([]byte{'a'}, pages*4096), true)
	put(t, path, bytes.Repeat([]byte{'b'}, pages*4096), false)
	cut(t, d, 0.5)
	var old, became, torn int
	for p := range slices.Chunk(held(t, path), 4096) {
		switch n := bytes.Count(p, []byte{'b'}); {
		case n%512 != 0 || !bytes.Equal(p, append(bytes.Repeat([]byte{'b'}, n), bytes.Repeat([]byte{'a'}, 4096-n)...)):
			t.Fatalf("a page is torn within a sector: %d", n)
		case n == 0:
			old++
		case n == 4096:
			became++
		default:
			torn++
		}
	}
	if old+became+torn != pages || old < 100 || became < 100 || torn < 20 {
		t.Errorf("%d as they were, %d as they became, %d torn", old, became, torn)
	}
}

// What is cut off a file is zeros when it grows again.
func TestCutAndGrown(t *testing.T) {
	_, at := mount(t, false)
	path := filepath.Join(at, "x")
	put(t, path, bytes.Repeat([]byte{'a'}, 10_000), false)
	must(t, os.Truncate(path, 5_000), os.Truncate(path, 9_000))
	if want := append(bytes.Repeat([]byte{'a'}, 5_000), make([]byte, 4_000)...); !bytes.Equal(held(t, path), want) {
		t.Error("it holds something else")
	}
}

// Without power nothing is read, written or flushed; and it is as any other disk with it.
func TestWithoutPower(t *testing.T) {
	d, at := mount(t, false)
	path := filepath.Join(at, "x")
	f, err := os.Create(path)
	must(t, err)
	defer f.Close()
	d.PowerOff()
	if _, err := f.Write([]byte("x")); !errors.Is(err, syscall.EIO) {
		t.Errorf("written: %v", err)
	}
	if err := f.Sync(); !errors.Is(err, syscall.EIO) {
		t.Errorf("flushed: %v", err)
	}
	must(t, d.PowerOn(random(), 1))
	if held(t, path) == nil {
		t.Error("the file is gone")
	}
	must(t, os.Link(path, path+"2"), os.Symlink("x", path+"3"), os.Remove(path), os.Mkdir(path+"4", 0o700))
	put(t, path+"4/y", []byte("y"), false)
	if err := os.Remove(path + "4"); !errors.Is(err, syscall.ENOTEMPTY) {
		t.Errorf("a folder that holds something: %v", err)
	}
	if got, err := os.Readlink(path + "3"); got != "x" || err != nil || held(t, path+"2") == nil {
		t.Errorf("a link to %q, %v", got, err)
	}
}
