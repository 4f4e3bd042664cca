// Package static holds the stylesheet and scripts, and serves them under an
// address that carries their content's hash, so that a browser may keep them for
// good and never keeps an old one.
package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
)

//go:embed *.css *.js *.png *.svg *.txt
var files embed.FS

type file struct {
	path, kind     string
	plain, squeeze []byte
}

var byPath, byName = load()

func load() (paths, names map[string]*file) {
	paths, names = map[string]*file{}, map[string]*file{}
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		panic(err) // embedded, so it is there
	}
	for _, e := range entries {
		body, err := files.ReadFile(e.Name())
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(body)
		f := &file{
			path: "/static/" + hex.EncodeToString(sum[:6]) + "/" + e.Name(),
			kind: mime.TypeByExtension(path.Ext(e.Name())), plain: body, squeeze: squeezed(body),
		}
		paths[f.path], names[e.Name()] = f, f
	}
	return paths, names
}

func squeezed(body []byte) []byte {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		panic(err) // the level is a constant
	}
	if _, err := w.Write(body); err != nil {
		panic(err) // a buffer takes everything
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// Path is the address of a file, by its name.
func Path(name string) string {
	f, ok := byName[name]
	if !ok {
		panic("static: no file " + name)
	}
	return f.path
}

// Handler serves the files. A wrong hash is a 404: it would be another content.
func Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if program != nil && r.URL.Path == program.path {
			program.serve(w, r)
			return
		}
		f, ok := byPath[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		h := w.Header()
		h.Set("Content-Type", f.kind)
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
		h.Set("Vary", "Accept-Encoding")
		body := f.plain
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			h.Set("Content-Encoding", "gzip")
			body = f.squeeze
		}
		h.Set("Content-Length", strconv.Itoa(len(body)))
		if r.Method != http.MethodHead {
			_, _ = w.Write(body)
		}
	})
}
