package levelpeg_test

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "levelpeg/"

// mayImport is, for each room, the rooms its code (tests apart) may import. A room
// inside another counts as the outer one. Rooms that are to come stand here too, so
// that their arrows are kept from their first day.
var mayImport = map[string][]string{
	"cmd":        {"handlers", "web", "db", "migrations", "static", "club", "hydro", "rig", "feeds", "paper"},
	"handlers":   {"web", "static", "club", "feeds", "hydro", "rig"},
	"web":        {"club", "hydro", "rig"},
	"paper":      {"web", "club"},
	"db":         {"club", "migrations"},
	"feeds":      {"club"},
	"club":       {"hydro", "rig"},
	"migrations": {},
	"static":     {},
	"hydro":      {},
	"rig":        {},
	"e2e":        {"club", "db", "handlers", "migrations", "static", "web", "hydro", "rig"},
}

// shared rooms stand on the standard library and gonum alone, so that another
// program can use them.
var shared = []string{"hydro", "rig"}

type pkg struct {
	ImportPath string
	Imports    []string
	Standard   bool
}

func packages(t *testing.T) []pkg {
	t.Helper()
	// With a build profile go list would name each package once more for its program.
	out, err := exec.Command("go", "list", "-pgo=off", "-json=ImportPath,Imports,Standard", "./...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []pkg
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p pkg
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// room is the outermost folder of one of our packages.
func room(path string) string {
	name, _, _ := strings.Cut(strings.TrimPrefix(path, module), "/")
	return name
}

func TestArrowsBetweenRooms(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range packages(t) {
		if !strings.HasPrefix(p.ImportPath, module) {
			continue
		}
		from := room(p.ImportPath)
		allowed, known := mayImport[from]
		if !known {
			t.Errorf("%s is in a room that the list of rooms does not have: a new room needs a page in docs/adr and a line here", p.ImportPath)
			continue
		}
		seen[from] = true
		for _, to := range p.Imports {
			if !strings.HasPrefix(to, module) || room(to) == from {
				continue
			}
			if !slices.Contains(allowed, room(to)) {
				t.Errorf("%s imports %s: no arrow goes from %s to %s", p.ImportPath, to, from, room(to))
			}
		}
	}
	for _, r := range []string{"cmd", "handlers", "web", "paper", "db", "club", "hydro", "rig", "migrations", "static"} {
		if !seen[r] {
			t.Errorf("no package was found in room %s: this test looked in the wrong place", r)
		}
	}
}

func TestSharedRoomsStandAlone(t *testing.T) {
	for _, p := range packages(t) {
		if !slices.Contains(shared, room(p.ImportPath)) || !strings.HasPrefix(p.ImportPath, module) {
			continue
		}
		for _, to := range p.Imports {
			standard := !strings.Contains(strings.SplitN(to, "/", 2)[0], ".") && !strings.HasPrefix(to, module)
			if !standard && room(to) != room(p.ImportPath) && !strings.HasPrefix(to, "gonum.org/v1/gonum/") {
				t.Errorf("%s imports %s: shared rooms use the standard library and gonum alone", p.ImportPath, to)
			}
		}
	}
}

// heavy are packages that the phone's program must never hold: they are the server's, and
// it is to be small.
var heavy = []string{"levelpeg/db", "levelpeg/static", "levelpeg/migrations", "levelpeg/feeds", "levelpeg/paper", "github.com/jackc", "github.com/go-webauthn", "golang.org/x/crypto/argon2", "github.com/klauspost",
	"github.com/skip2", "github.com/riverqueue", "github.com/yuin/goldmark", "codeberg.org/go-pdf", "github.com/prometheus", "image/", "net/http/pprof", "time/tzdata", "github.com/go-chi/chi/v5/middleware", "os/exec"}

// TestPhoneIsLight: what the phone's program is made of.
func TestPhoneIsLight(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "./cmd/phone")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	for _, p := range strings.Fields(string(out)) {
		if slices.ContainsFunc(heavy, func(h string) bool { return strings.HasPrefix(p, h) }) {
			t.Errorf("the phone's program holds %s: a file that needs it says //go:build !js", p)
		}
	}
	if !strings.Contains(string(out), "levelpeg/rig\n") {
		t.Error("the phone's program does not work rigs out: this test looked in the wrong place")
	}
}
