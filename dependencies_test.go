package levelpeg_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// listed are the modules that docs/dependencies.md gives a reason for.
func listed(t *testing.T) map[string]bool {
	t.Helper()
	text, err := os.ReadFile("docs/dependencies.md")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]bool{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\| (\\S.*) \\|$").FindAllStringSubmatch(string(text), -1) {
		if out[m[1]] {
			t.Errorf("%s is listed twice", m[1])
		}
		out[m[1]] = true
	}
	return out
}

// asked are the modules that go.mod itself asks for.
func asked(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("go", "mod", "edit", "-json").Output()
	if err != nil {
		t.Fatalf("go mod edit: %v", err)
	}
	var mod struct {
		Require []struct {
			Path     string
			Indirect bool
		}
	}
	if err := json.Unmarshal(out, &mod); err != nil {
		t.Fatal(err)
	}
	var paths []string
	for _, r := range mod.Require {
		if !r.Indirect {
			paths = append(paths, r.Path)
		}
	}
	return paths
}

// built are the modules whose code is in the program.
func built(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}{{end}}{{end}}", "./cmd/levelpeg").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	return strings.Fields(string(out))
}

// Every module that go.mod asks for or the program holds is listed with its reason, and
// no other is.
func TestEveryDependencyHasItsReason(t *testing.T) {
	t.Parallel()
	reasons, used := listed(t), map[string]bool{}
	for _, path := range append(asked(t), built(t)...) {
		if !used[path] && !reasons[path] {
			t.Errorf("docs/dependencies.md does not say why %s is there", path)
		}
		used[path] = true
	}
	if len(used) < 20 {
		t.Errorf("only %d modules were found", len(used))
	}
	for path := range reasons {
		if !used[path] {
			t.Errorf("docs/dependencies.md lists %s, which nothing uses", path)
		}
	}
}
