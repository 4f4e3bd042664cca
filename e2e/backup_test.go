package e2e

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestBackupAndRestoreByTheCommands: beside a running server a backup is made, encrypted;
// it is checked, refused where it does not belong, put back elsewhere, and served there;
// and the database is moved to another PostgreSQL and served again.
func TestBackupAndRestoreByTheCommands(t *testing.T) {
	t.Parallel()
	first := withDemo(t)
	dir := t.TempDir()
	secret := filepath.Join(dir, "word")
	if err := os.WriteFile(secret, []byte("correct horse battery\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, _ = serve(t, "--demo", "--data", first)
	file := filepath.Join(dir, "club.tar.zst.age")
	well := func(words string, args ...string) {
		t.Helper()
		code, out, log := once(t, nil, args...)
		if code != 0 || !strings.Contains(out, words) {
			t.Fatalf("levelpeg %s ends with %d: %s%s", strings.Join(args, " "), code, out, log)
		}
	}
	badly := func(words string, args ...string) {
		t.Helper()
		code, _, log := once(t, nil, args...)
		sentenceAbout(t, code, log, words)
	}
	second := folder(t)
	well("every checksum good", "backup", file, "--data", first, "--passphrase-file", secret)
	well("the same", "check", file, "--data", first, "--passphrase-file", secret)
	badly("is encrypted", "check", file, "--data", first)
	badly("in use", "restore", file, "--data", first, "--passphrase-file", secret)
	badly("no nightly backup", "check", "--data", first)
	badly("is not a backup", "restore", secret, "--data", second)
	if _, err := os.Stat(second); err == nil {
		t.Error("a database was made for a file that is no backup")
	}
	well("Put back", "restore", file, "--data", second, "--passphrase-file", secret)
	badly("holds a book already", "restore", file, "--data", second, "--passphrase-file", secret)
	badly("Stop it first", "postgres-upgrade", "--data", first, "--to", "/usr/lib/postgresql/15/bin")
	bins, _ := filepath.Glob("/usr/lib/postgresql/*/bin")
	if len(bins) == 0 {
		t.Skip("SKIPPED, not tested: no PostgreSQL in its usual place to move to")
	}
	well("Moved from PostgreSQL", "postgres-upgrade", "--data", second, "--to", bins[len(bins)-1])
	p, home := serve(t, "--data", second)
	if err := whole(home); err != nil {
		t.Errorf("what was put back: %v\n%s", err, &p.logged)
	}
}

// TestABackupKilled leaves no file of its name, and what was there of that name.
func TestABackupKilled(t *testing.T) {
	t.Parallel()
	first := withDemo(t)
	dir := t.TempDir()
	_, _ = serve(t, "--demo", "--data", first)
	file := filepath.Join(dir, "club")
	if err := os.WriteFile(file, []byte("the one before"), 0o600); err != nil {
		t.Fatal(err)
	}
	p, err := launch("backup", file, "--data", first)
	if err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(startWithin); ; time.Sleep(time.Millisecond) { // until it has begun to write
		if parts, _ := filepath.Glob(file + ".*.part"); len(parts) > 0 {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("it never began:\n%s", &p.logged)
		}
	}
	if err := p.cmd.Process.Signal(syscall.SIGKILL); err != nil {
		t.Skipf("SKIPPED: it ended first: %v", err)
	}
	<-p.gone
	if body, err := os.ReadFile(file); err != nil || string(body) != "the one before" && len(body) < 1000 {
		t.Errorf("%d bytes, %v", len(body), err)
	}
}
