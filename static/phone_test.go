package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"net/http/httptest"
	"strings"
	"testing"
)

// mostProgram is the most that the phone's program may be over the wire.
const mostProgram = 2_000_000

func TestPhoneProgram(t *testing.T) {
	if program == nil {
		t.Skip("SKIPPED: the phone's program was not built: make phone")
	}
	made, err := phoneFiles.ReadFile("phone/made")
	if err != nil {
		t.Fatal(err)
	}
	quick := bytes.Contains(made, []byte("quick"))
	if n := len(program.brotli); n > mostProgram && !quick {
		t.Errorf("the program is %d bytes with brotli, and at most %d are wanted", n, mostProgram)
	}
	t.Logf("%d bytes with brotli (quick: %v), %d with gzip", len(program.brotli), quick, len(program.gzip))
	for takes, want := range map[string]string{"gzip, deflate, br, zstd": "br", "gzip": "gzip", "": ""} {
		r := httptest.NewRequest("GET", program.path, nil)
		r.Header.Set("Accept-Encoding", takes)
		w := httptest.NewRecorder()
		Handler().ServeHTTP(w, r)
		if got := w.Header().Get("Content-Encoding"); got != want || w.Code != 200 || w.Header().Get("Content-Type") != "application/wasm" || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Errorf("who takes %q: %d, %v", takes, w.Code, w.Header())
		}
		if want == "br" {
			continue
		}
		body := io.Reader(w.Body)
		if want == "gzip" {
			if body, err = gzip.NewReader(body); err != nil {
				t.Fatal(err)
			}
		}
		h := sha256.New()
		if _, err := io.Copy(h, body); err != nil || hex.EncodeToString(h.Sum(nil)) != program.sum {
			t.Errorf("who takes %q gets another program: %v", takes, err)
		}
	}
}

// TestPhoneWorker: its script names the program, its release and what pages need, and
// nothing that they do not.
func TestPhoneWorker(t *testing.T) {
	if program == nil {
		if PhoneWorker(nil) != nil || PhoneRelease() != "" {
			t.Error("a worker without a program")
		}
		t.Skip("SKIPPED: the phone's program was not built: make phone")
	}
	script := string(PhoneWorker(map[string]string{"CSS": Path("app.css")}))
	for _, w := range []string{PhoneRelease(), program.path, program.sum, Path("app.css"), Path("saved.js"), Path("guide.js"), "class {", "keepAll"} {
		if !strings.Contains(script, w) {
			t.Errorf("it lacks %q", w)
		}
	}
	if strings.Contains(script, Path("sw.js")) || strings.Contains(script, Path("phonesw.js")) || strings.Contains(script, Path("leaflet.js")) {
		t.Error("it keeps a worker's script")
	}
}
