package migrations_test

import (
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"levelpeg/migrations"
)

var fileName = regexp.MustCompile(`^([0-9]{4})_([a-z0-9_]+)\.(up|down)\.sql$`)

// TestNumbering holds the files to NNNN_name.up.sql with its .down.sql, numbered
// from 1 without a gap.
func TestNumbering(t *testing.T) {
	entries, err := fs.ReadDir(migrations.FS, ".")
	if err != nil {
		t.Fatal(err)
	}
	pairs := map[string]map[string]string{} // number, way, name
	for _, e := range entries {
		m := fileName.FindStringSubmatch(e.Name())
		if m == nil {
			t.Errorf("%s is not NNNN_name.up.sql or NNNN_name.down.sql", e.Name())
			continue
		}
		if pairs[m[1]] == nil {
			pairs[m[1]] = map[string]string{}
		}
		if other, twice := pairs[m[1]][m[3]]; twice {
			t.Errorf("step %s is there twice: %s and %s", m[1], other, m[2])
		}
		pairs[m[1]][m[3]] = m[2]
	}
	if len(pairs) == 0 || uint(len(pairs)) != migrations.Latest() {
		t.Fatalf("%d steps and the latest is %d", len(pairs), migrations.Latest())
	}
	for i := 1; i <= len(pairs); i++ {
		p := pairs[fmt.Sprintf("%04d", i)]
		if p["up"] == "" || p["up"] != p["down"] {
			t.Errorf("step %04d goes up as %q and down as %q", i, p["up"], p["down"])
		}
	}
}

// TestEachStepIsOneTransaction that writes its own number, which is what lets one
// cut short be told from one that finished.
func TestEachStepIsOneTransaction(t *testing.T) {
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		body, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.ToLower(strings.TrimSpace(string(body)))
		if !strings.HasPrefix(text, "begin;") || !strings.HasSuffix(text, "\ncommit;") {
			t.Errorf("%s does not begin with begin; and end with commit;", name)
		}
		m := fileName.FindStringSubmatch(name)
		number := strings.TrimLeft(m[1], "0")
		if m[3] == "up" && !regexp.MustCompile(writes(m[1])).MatchString(text) {
			t.Errorf("%s does not write step %s, or not who can serve it", name, number)
		}
	}
}

// writes is what a step writes of itself: from step 7 on the oldest step, too, whose programs
// can serve a database that has taken it.
func writes(number string) string {
	if number <= "0006" {
		return `insert into schema_steps \(step\) values \(` + strings.TrimLeft(number, "0") + `\);`
	}
	return `insert into schema_steps \(step, serves_from\) values \(` + strings.TrimLeft(number, "0") + `, \d+\);`
}
