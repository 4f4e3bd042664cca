package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"hash/crc32"
	"io"
	"testing"

	"github.com/a-h/templ"
	"pgregory.net/rapid"
)

// TestSqueezedPageIsThePage, read by the standard library, which checks the sum.
func TestSqueezedPageIsThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching("[a-z <>\u00e9]{0,400}")
		var parts []templ.Component
		want := ""
		for range rapid.IntRange(0, 6).Draw(t, "parts") {
			s := text.Draw(t, "text")
			want += s
			if !rapid.Bool().Draw(t, "beforehand") {
				parts = append(parts, templ.Raw(s))
				continue
			}
			p, err := newPiece([]byte(s))
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, p)
		}
		var scratch, out bytes.Buffer
		if err := Squeeze(context.Background(), templ.Join(parts...), &scratch, &out); err != nil {
			t.Fatal(err)
		}
		r, err := gzip.NewReader(&out)
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(r)
		if err != nil || string(got) != want {
			t.Fatalf("%q, %v, want %q", got, err, want)
		}
	})
}

// TestHolesAreCounted: a page with a stray hole is refused and not sent broken.
func TestHolesAreCounted(t *testing.T) {
	var scratch, out bytes.Buffer
	if err := Squeeze(context.Background(), templ.Raw("a\x00b"), &scratch, &out); err == nil {
		t.Error("a hole with no piece for it is sent")
	}
}

func TestChecksumsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SliceOf(rapid.Byte()).Draw(t, "a"), rapid.SliceOf(rapid.Byte()).Draw(t, "b")
		got := crcTimes(crcShift(len(b)), crc32.ChecksumIEEE(a)) ^ crc32.ChecksumIEEE(b)
		if want := crc32.ChecksumIEEE(append(a, b...)); got != want {
			t.Fatalf("%08x, want %08x", got, want)
		}
	})
}
