package static

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"sync"
)

// kept are the files the page of recording needs where there is no signal.
var kept = []string{"app.css", "app.js", "record.js", "outbox.js", "icon-192.png"}

// WorkerVersion changes with every file that the worker keeps, and with the worker.
var WorkerVersion = sync.OnceValue(func() string {
	h := sha256.New()
	for _, name := range append([]string{"sw.js"}, kept...) {
		h.Write([]byte(Path(name) + "\n"))
	}
	return hex.EncodeToString(h.Sum(nil)[:6])
})

// Worker is the service worker's script: it keeps a page and what that needs.
func Worker(page, manifest string) []byte {
	files := []string{manifest}
	for _, name := range kept {
		files = append(files, Path(name))
	}
	var b bytes.Buffer
	for _, c := range []struct {
		name  string
		value any
	}{{"VERSION", WorkerVersion()}, {"PAGE", page}, {"FILES", files}} {
		b.WriteString("const " + c.name + " = ")
		value, err := json.Marshal(c.value)
		if err != nil {
			panic(err) // text and lists of text
		}
		b.Write(append(value, ";\n"...))
	}
	b.Write(byName["sw.js"].plain)
	return b.Bytes()
}

type icon struct {
	Src     string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose,omitempty"`
}

// Manifest is what a phone installs the app by (W3C Web Application Manifest).
func Manifest() []byte {
	b, err := json.Marshal(map[string]any{
		"id": "/record", "name": "Levelpeg", "short_name": "Levelpeg", "description": "Levels and soundings, written down on the bank.",
		"start_url": "/record", "scope": "/", "display": "standalone", "lang": "en", "background_color": "#e9eff0", "theme_color": "#0d1f24",
		"icons": []icon{
			{Src: Path("icon-192.png"), Sizes: "192x192", Type: "image/png"},
			{Src: Path("icon-512.png"), Sizes: "512x512", Type: "image/png"},
			{Src: Path("icon-512.png"), Sizes: "512x512", Type: "image/png", Purpose: "maskable"},
			{Src: Path("icon.svg"), Sizes: "any", Type: "image/svg+xml"},
		},
	})
	if err != nil {
		panic(err) // text and lists of text
	}
	return b
}
