// Command pack builds the phone's program and compresses it, into the folder that the
// server serves it from: go run ./cmd/phone/pack. It does nothing where what is there is
// of the same program.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/andybalholm/brotli"
)

// The files it makes.
const (
	brotliFile = "phone.wasm.br"
	gzipFile   = "phone.wasm.gz"
	startFile  = "wasm_exec.js"
	sumFile    = "phone.wasm.sum" // of the program itself
	madeFile   = "made"           // of what, and how well compressed
)

func main() {
	into := flag.String("into", "static/phone", "folder to write to")
	quick := flag.Bool("quick", false, "compress a little, for a test")
	flag.Parse()
	if err := pack(*into, *quick); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(1)
	}
}

func pack(into string, quick bool) error {
	program, err := build()
	if err != nil {
		return err
	}
	full := len(program)
	if err := slim(program); err != nil {
		return err
	}
	start, err := startScript()
	if err != nil {
		return err
	}
	sum := sumOf(program, start)
	if current(into, sum, quick) {
		fmt.Println("the phone's program is as it was")
		return nil
	}
	small, err := squeezed(program, quick)
	if err != nil {
		return err
	}
	zipped, err := zipped(program)
	if err != nil {
		return err
	}
	for name, body := range map[string][]byte{brotliFile: small, gzipFile: zipped, startFile: start, sumFile: []byte(sumOf(program)), madeFile: []byte(sum + quality(quick) + "\n")} {
		if err := write(filepath.Join(into, name), body); err != nil {
			return err
		}
	}
	fmt.Printf("the phone's program: %d bytes, %d with gzip, %d with brotli\n", full, len(zipped), len(small))
	return nil
}

// flags make the program small: no inlining, no HTTP/2 for a program that asks no network,
// and the JSON of before version 2, which writes the same and is a tenth of the size.
var (
	flags       = []string{"-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-tags=nethttpomithttp2"}
	environment = []string{"GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=", "GOEXPERIMENT=nojsonv2"}
)

func build() ([]byte, error) {
	dir, err := os.MkdirTemp("", "levelpeg-phone-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "phone.wasm")
	cmd := exec.Command("go", append(append([]string{"build", "-o", out}, flags...), "levelpeg/cmd/phone")...)
	cmd.Env = append(os.Environ(), environment...)
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w\n%s", err, said)
	}
	return os.ReadFile(out)
}

// startScript is the script of this release of Go that starts its programs.
func startScript() ([]byte, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", startFile))
}

func sumOf(parts ...[]byte) string {
	h := sha256.New()
	for _, p := range parts {
		h.Write(p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func quality(quick bool) string {
	if quick {
		return " quick"
	}
	return ""
}

// current says whether a folder has a program already, compressed well enough.
func current(into, sum string, quick bool) bool {
	was, err := os.ReadFile(filepath.Join(into, madeFile))
	if err != nil {
		return false
	}
	have := strings.TrimSpace(string(was))
	return have == sum || quick && have == sum+quality(true)
}

func squeezed(program []byte, quick bool) ([]byte, error) {
	o := brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24}
	if quick {
		o.Quality = 5
	}
	var out bytes.Buffer
	w := brotli.NewWriterOptions(&out, o)
	if _, err := w.Write(program); err != nil {
		return nil, err
	}
	err := w.Close()
	return out.Bytes(), err
}

func zipped(program []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(program); err != nil {
		return nil, err
	}
	err = w.Close()
	return out.Bytes(), err
}

// write puts a file in its place whole.
func write(path string, body []byte) error {
	if err := os.WriteFile(path+".new", body, 0o644); err != nil {
		return err
	}
	return os.Rename(path+".new", path)
}
