package e2e

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"levelpeg/db/dbtest"
)

// root holds the program and what else a run makes once. PostgreSQL's user has to be able to
// enter it, which it cannot with t.TempDir. books is where clubs' folders are.
var root, books string

func TestMain(m *testing.M) {
	os.Exit(runAll(m))
}

func runAll(m *testing.M) int {
	var err error
	if root, err = os.MkdirTemp("/tmp", "levelpeg-e2e-"); err == nil {
		err = os.Chmod(root, 0o755)
	}
	if err == nil {
		books, err = dbtest.Folder()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(root)
	defer os.RemoveAll(books)
	code := m.Run()
	closeBrowser()
	if err := closeShared(); err != nil {
		fmt.Fprintln(os.Stderr, "the shared server did not end well:", err)
		code = 1
	}
	return code
}

// missing skips the test for want of something on this machine, and fails it where
// a machine has to have everything.
func missing(t *testing.T, what, how string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing: %s", what, how)
	}
	t.Skipf("SKIPPED: %s is missing: %s", what, how)
}

// binary is the program, built once a run.
var binary = sync.OnceValues(func() (string, error) {
	path := filepath.Join(root, "levelpeg")
	with, err := phoneProgram()
	if err != nil {
		return "", err
	}
	out, err := exec.Command("go", "build", "-overlay", with, "-o", path, "levelpeg/cmd/levelpeg").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("building the program: %w\n%s", err, out)
	}
	return path, nil
})

// needPostgres skips where PostgreSQL's programs are not installed.
func needPostgres(t *testing.T) {
	t.Helper()
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if len(found) == 0 && os.Getenv("PG_BINDIR") == "" {
		missing(t, "PostgreSQL", "apt-get install postgresql")
	}
}

// folder is an empty place of the test's own that PostgreSQL's user can enter.
func folder(t *testing.T) string { return folderIn(t, books) }

// diskFolder is one on a disk, for the tests of what outlives a kill.
func diskFolder(t *testing.T) string { return folderIn(t, root) }

func folderIn(t *testing.T, parent string) string {
	t.Helper()
	dir, err := os.MkdirTemp(parent, "data-")
	if err == nil {
		err = os.Chmod(dir, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(dir, "club")
}

// startWithin is how long a first start may take: making the cluster, the schema
// and the demo takes 8 s on two idle cores, and the tests do not run on idle ones.
const startWithin = 90 * time.Second

// made is a folder whose demo a first start has made, with nothing running on it,
// and how long that start took.
var made = sync.OnceValues(func() (first struct {
	data string
	took time.Duration
}, err error) {
	dir := filepath.Join(root, "made") // on a disk: its time is what the kills of a first start are spread over
	began := time.Now()
	p, err := launch("serve", "--demo", "--data", dir, "--listen", "127.0.0.1:0")
	if err != nil {
		return first, err
	}
	if _, err := p.awaitURL(startWithin); err != nil {
		p.kill()
		return first, err
	}
	first.data, first.took = filepath.Join(dir, "data"), time.Since(began)
	return first, p.stop()
})

// demoFolder fills a folder with a demo that is made already.
func demoFolder(dir string) error {
	from, err := made()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	if out, err := exec.Command("cp", "-a", from.data, dir).CombinedOutput(); err != nil {
		return fmt.Errorf("copying the demo: %w\n%s", err, out)
	}
	return nil
}

// withDemo is a folder of the test's own that holds the demo.
func withDemo(t *testing.T) string { return holdsDemo(t, folder) }

func holdsDemo(t *testing.T, folder func(*testing.T) string) string {
	t.Helper()
	needPostgres(t)
	dir := folder(t)
	if err := demoFolder(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// shared is the server of the tests that only read.
var shared struct {
	once sync.Once
	prog *program
	url  string
	err  error
}

// site is the address of the shared server with the demo club.
func site(t *testing.T) string {
	t.Helper()
	needPostgres(t)
	shared.once.Do(func() {
		dir := filepath.Join(books, "shared")
		if shared.err = demoFolder(dir); shared.err != nil {
			return
		}
		shared.prog, shared.err = launch("serve", "--demo", "--data", dir, "--listen", "127.0.0.1:0")
		if shared.err == nil {
			shared.url, shared.err = shared.prog.awaitURL(startWithin)
		}
		if shared.err == nil {
			shared.err = addBailiff(dir)
		}
	})
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.url
}

func closeShared() error {
	if shared.prog == nil {
		return nil
	}
	return shared.prog.stop()
}

func testContext(t *testing.T, limit time.Duration) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	t.Cleanup(cancel)
	return ctx
}
