package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// The phone's program is not in the source: go run ./cmd/phone/pack makes it and puts it
// here, compressed. A server that was built without it says that nothing can be saved.
//
//go:embed phone
var phoneFiles embed.FS

// wasm is the phone's program, as it goes over the wire.
type wasm struct {
	path         string
	sum          string // SHA-256 of the program itself
	start        []byte // Go's own script that starts it
	brotli, gzip []byte
}

var program = loadProgram()

// loadProgram gives nil where the program was not built.
func loadProgram() *wasm {
	read := func(name string) []byte {
		b, err := phoneFiles.ReadFile("phone/" + name)
		if err != nil {
			return nil
		}
		return b
	}
	p := &wasm{start: read("wasm_exec.js"), brotli: read("phone.wasm.br"), gzip: read("phone.wasm.gz"), sum: string(bytes.TrimSpace(read("phone.wasm.sum")))}
	if p.start == nil || p.brotli == nil || p.gzip == nil || len(p.sum) != hex.EncodedLen(sha256.Size) {
		return nil
	}
	p.path = "/static/" + p.sum[:12] + "/phone.wasm"
	return p
}

func (p *wasm) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", "application/wasm")
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("Vary", "Accept-Encoding")
	body := p.gzip
	switch takes := r.Header.Get("Accept-Encoding"); {
	case strings.Contains(takes, "br"):
		h.Set("Content-Encoding", "br")
		body = p.brotli
	case strings.Contains(takes, "gzip"):
		h.Set("Content-Encoding", "gzip")
	default:
		p.plain(w, r)
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if r.Method != http.MethodHead {
		_, _ = w.Write(body)
	}
}

// plain sends it to somebody who takes nothing compressed.
func (p *wasm) plain(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodHead {
		return
	}
	z, err := gzip.NewReader(bytes.NewReader(p.gzip))
	if err != nil {
		http.Error(w, "The program cannot be read.", http.StatusInternalServerError)
		return
	}
	_, _ = io.Copy(w, z) // it fails only for someone who has hung up
}

// notForPages are the files that no page asks for.
var notForPages = []string{"sw.js", "phonesw.js"}

// onServerPages are files of pages that the server alone answers.
var onServerPages = []string{"leaflet-license.txt", "leaflet.css", "leaflet.js", "map.js"}

// PhoneRelease names the program of the phone and the files it stands with; empty where
// the program was not built.
var PhoneRelease = sync.OnceValue(func() string {
	if program == nil {
		return ""
	}
	h := sha256.New()
	h.Write([]byte(program.path + "\n"))
	h.Write(program.start)
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		h.Write([]byte(Path(name) + "\n"))
	}
	return hex.EncodeToString(h.Sum(nil)[:6])
})

// PhoneWorker is the script of the service worker that answers from what is saved; nil
// where the program was not built. assets are what the program is told of the files.
func PhoneWorker(assets any) []byte {
	if program == nil {
		return nil
	}
	var paths []string
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		if !slices.Contains(notForPages, name) && !slices.Contains(onServerPages, name) {
			paths = append(paths, Path(name))
		}
	}
	var b bytes.Buffer
	for _, c := range []struct {
		name  string
		value any
	}{{"RELEASE", PhoneRelease()}, {"PROGRAM", program.path}, {"SUM", program.sum}, {"FILES", paths}, {"ASSETS", assets}} {
		value, err := json.Marshal(c.value)
		if err != nil {
			panic(err) // text, lists and structs of text
		}
		b.WriteString("const " + c.name + " = ")
		b.Write(append(value, ";\n"...))
	}
	b.Write(program.start)
	b.Write(byName["phonesw.js"].plain)
	return b.Bytes()
}
