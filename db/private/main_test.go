package private

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// helperDir, when set, makes this test binary the writer of kill_test.go.
const helperDir = "LEVELPEG_PRIVATE_HELPER"

func TestMain(m *testing.M) {
	if dir := os.Getenv(helperDir); dir != "" {
		os.Exit(writeRows(dir))
	}
	code := m.Run()
	if made != "" {
		os.RemoveAll(made)
	}
	os.Exit(code)
}

// made is the folder of a cluster for the tests that need a ready one.
var (
	made     string
	makeOnce = sync.OnceValue(func() (err error) {
		if made, err = os.MkdirTemp("/tmp", "levelpeg-private-made-"); err != nil {
			return err
		}
		if err := os.Chmod(made, 0o755); err != nil {
			return err
		}
		s, err := Start(context.Background(), Config{Dir: made, Fast: true})
		if err != nil {
			return err
		}
		return s.Stop(context.Background())
	})
)

// clubDir is a folder of its own with a ready cluster, which saves making one.
func clubDir(t *testing.T) string {
	t.Helper()
	if err := makeOnce(); err != nil {
		t.Fatal(err)
	}
	dir := openDir(t)
	if out, err := exec.Command("cp", "-a", filepath.Join(made, "data"), dir).CombinedOutput(); err != nil {
		t.Fatalf("cp: %v: %s", err, out)
	}
	return dir
}

// needPostgres skips where PostgreSQL is not installed, except in CI. The tests
// that need it run beside one another, each with a folder of its own.
func needPostgres(t *testing.T) {
	t.Helper()
	if len(newestFirst("/usr/lib/postgresql")) > 0 || os.Getenv("PG_BINDIR") != "" {
		t.Parallel()
		return
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("PostgreSQL is not installed: apt-get install postgresql")
	}
	t.Skip("SKIPPED: PostgreSQL is not installed: apt-get install postgresql")
}

// openDir is a folder that PostgreSQL's user can enter, as t.TempDir's is not.
func openDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "levelpeg-private-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// testLog collects what the package logs, for the failures.
type testLog struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *testLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *testLog) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func quickConfig(t *testing.T, dir string) Config {
	t.Helper()
	log := new(testLog)
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("log:\n%s", log)
		}
	})
	return Config{Dir: dir, Fast: true, Log: slog.New(slog.NewTextHandler(log, nil))}
}

func testContext(t *testing.T) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func mustStart(t *testing.T, cfg Config) *Server {
	t.Helper()
	s, err := Start(testContext(t), cfg)
	if err != nil {
		t.Fatalf("Start: %v", err)
	}
	t.Cleanup(func() { s.Stop(testContext(t)) })
	return s
}

func mustStop(t *testing.T, s *Server) {
	t.Helper()
	if err := s.Stop(testContext(t)); err != nil {
		t.Fatalf("Stop: %v", err)
	}
}

// ask runs a query for one text value on a new connection.
func ask(t *testing.T, url, query string) string {
	t.Helper()
	ctx := testContext(t)
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatalf("connecting: %v", err)
	}
	defer conn.Close(ctx)
	var answer string
	if err := conn.QueryRow(ctx, query).Scan(&answer); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return answer
}

func tell(t *testing.T, url, statement string) {
	t.Helper()
	ctx := testContext(t)
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatalf("connecting: %v", err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

// eventually waits for something to become so.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if is() {
			return
		}
	}
	t.Fatalf("did not happen in 20 s: %s", what)
}

// alive tells whether the process exists and is no zombie.
func alive(pid int) bool {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return false
	}
	_, after, _ := strings.Cut(string(text), ") ")
	return !strings.HasPrefix(after, "Z")
}

// copySelf puts this test binary where any user can run it.
func copySelf(t *testing.T, dir string) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(dir, "helper")
	if out, err := exec.Command("cp", self, to).CombinedOutput(); err != nil {
		t.Fatalf("cp: %v: %s", err, out)
	}
	return to
}
