package private

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestStartsColdThenWarmAndLeavesNothingBehind(t *testing.T) {
	needPostgres(t)
	dir := filepath.Join(openDir(t), "club")
	began := time.Now()
	s := mustStart(t, quickConfig(t, dir))
	t.Logf("cold start, fsync off: %v", time.Since(began))
	tell(t, s.URL(), "CREATE TABLE kept (n int)")
	pid := s.PID()
	mustStop(t, s)
	if alive(pid) || len(residents(s.places.data)) != 0 {
		t.Errorf("after Stop postgres %d alive: %v; left in the folder: %v", pid, alive(pid), residents(s.places.data))
	}
	if s.PID() != 0 {
		t.Errorf("PID after Stop is %d, want 0", s.PID())
	}
	began = time.Now()
	s = mustStart(t, quickConfig(t, dir))
	t.Logf("warm start, fsync off: %v", time.Since(began))
	if got := ask(t, s.URL(), "SELECT count(*)::text FROM kept"); got != "0" {
		t.Errorf("the table made before has %s rows, want 0", got)
	}
}

func TestStopMayBeCalledTwiceAndInAHurry(t *testing.T) {
	needPostgres(t)
	s := mustStart(t, quickConfig(t, clubDir(t)))
	late, cancel := context.WithCancel(context.Background())
	cancel()
	if err := s.Stop(late); err != nil {
		t.Errorf("Stop in a hurry: %v", err)
	}
	if left := residents(s.places.data); len(left) != 0 {
		t.Errorf("left running: %v", left)
	}
	mustStop(t, s)
}

func TestStartGivenUpInTheMiddleLeavesNothingRunning(t *testing.T) {
	needPostgres(t)
	dir := openDir(t)
	for _, after := range []time.Duration{100, 400, 900} {
		ctx, cancel := context.WithTimeout(context.Background(), after*time.Millisecond)
		s, err := Start(ctx, quickConfig(t, dir))
		cancel()
		if err == nil {
			mustStop(t, s)
		} else if !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("Start given %d ms: %v, want the deadline", after, err)
		}
		for _, place := range []string{"data", "data.init"} {
			eventually(t, "nothing runs in "+place, func() bool { return len(residents(filepath.Join(dir, place))) == 0 })
		}
	}
	mustStart(t, quickConfig(t, dir))
}

// The settings and rights the package's comment and the operator rely on.
func TestServerIsClosedAndRoleIsPlain(t *testing.T) {
	needPostgres(t)
	s := mustStart(t, quickConfig(t, openDir(t)))
	for query, want := range map[string]string{
		"SELECT current_user":                        "levelpeg",
		"SELECT current_database()":                  "levelpeg",
		"SELECT current_setting('is_superuser')":     "off",
		"SELECT current_setting('listen_addresses')": "",
		"SELECT current_setting('shared_buffers')":   "32MB",
		"SELECT current_setting('max_connections')":  "20",
		"SELECT datcollate || ' ' || datctype || ' ' || pg_encoding_to_char(encoding) FROM pg_database WHERE datname = current_database()": "C C UTF8",
		"SELECT pg_get_userbyid(datdba) FROM pg_database WHERE datname = current_database()":                                               "levelpeg",
		"SELECT string_agg(DISTINCT type || ' ' || auth_method, ', ') FROM pg_hba_file_rules WHERE auth_method <> 'reject'":                "",
	} {
		url := s.URL()
		if strings.Contains(query, "pg_hba_file_rules") {
			url, want = s.places.url(superuser, "levelpeg"), "local trust"
		}
		if got := ask(t, url, query); got != want {
			t.Errorf("%s = %q, want %q", query, got, want)
		}
	}
	for _, folder := range []string{s.places.run, s.places.data} {
		info, err := os.Stat(folder)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o700 || int(info.Sys().(*syscall.Stat_t).Uid) != s.user.uid {
			t.Errorf("%s is %v of %v, want closed to all but %d", folder, info.Mode(), info.Sys().(*syscall.Stat_t).Uid, s.user.uid)
		}
	}
}

// fsync is the promise of every acknowledged row: only Fast may turn it off.
func TestFsyncIsOnUnlessFast(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, openDir(t))
	cfg.Fast = false
	began := time.Now()
	s := mustStart(t, cfg)
	t.Logf("cold start, fsync on: %v", time.Since(began))
	for _, name := range []string{"fsync", "full_page_writes", "synchronous_commit"} {
		if got := ask(t, s.URL(), "SELECT current_setting('"+name+"')"); got != "on" {
			t.Errorf("%s is %s, want on", name, got)
		}
	}
	mustStop(t, s)
	began = time.Now()
	mustStart(t, cfg)
	t.Logf("warm start, fsync on: %v", time.Since(began))
}

func TestRoleAndDatabaseAreMadeWhenAnEarlierStartDidNotComeSoFar(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	tell(t, s.places.url(superuser, "postgres"), "DROP DATABASE levelpeg")
	mustStop(t, s)
	s = mustStart(t, cfg)
	ask(t, s.URL(), "SELECT current_user")
	tell(t, s.places.url(superuser, "postgres"), "DROP DATABASE levelpeg")
	tell(t, s.places.url(superuser, "postgres"), "DROP ROLE levelpeg")
	mustStop(t, s)
	s = mustStart(t, cfg)
	ask(t, s.URL(), "SELECT current_user")
}

func TestSecondInstanceIsRefused(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	_, err := Start(testContext(t), cfg)
	var inUse ErrInUse
	if !errors.As(err, &inUse) || inUse.Dir != cfg.Dir {
		t.Fatalf("second Start: %v, want ErrInUse of %s", err, cfg.Dir)
	}
	ask(t, s.URL(), "SELECT current_user") // the first is not disturbed
	mustStop(t, s)
	mustStart(t, cfg)
}

func TestPathsNoSocketCanHaveGetAShortFolder(t *testing.T) {
	needPostgres(t)
	for _, name := range []string{strings.Repeat("long", 30), "pegs, runs"} {
		dir := filepath.Join(openDir(t), name)
		s := mustStart(t, quickConfig(t, dir))
		t.Cleanup(func() { os.RemoveAll(s.places.run) })
		if len(s.places.run)+1+len(socketName) > maxSocketPath || strings.HasPrefix(s.places.run, dir) {
			t.Errorf("the socket of %s is in %s", dir, s.places.run)
		}
		ask(t, s.URL(), "SELECT current_user")
		mustStop(t, s)
	}
}

func TestRestartsWhenToldToStopBySomebodyElse(t *testing.T) {
	needPostgres(t)
	for _, signal := range []syscall.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGQUIT} {
		t.Run(signal.String(), func(t *testing.T) {
			s := mustStart(t, quickConfig(t, clubDir(t)))
			old := s.PID()
			// A session that stays open would hold a polite stop up for ever.
			hold := holdSession(t, s.URL())
			defer hold()
			if err := syscall.Kill(old, signal); err != nil {
				t.Fatal(err)
			}
			eventually(t, "another postgres is ready", func() bool {
				pid := s.PID()
				return pid != 0 && pid != old && readPidFile(s.places.data) == pidFile{pid, "ready"}
			})
			eventually(t, "it answers", func() bool { return answers(s.URL()) })
		})
	}
}

func TestThreeFailuresInARowAreReported(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	cfg.BinDir = breakableBinDir(t)
	s := mustStart(t, cfg)
	breakPostgres(t, cfg.BinDir, "it is broken")
	old := s.PID()
	if err := syscall.Kill(old, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-s.Failed():
		if err == nil || !strings.Contains(err.Error(), "3 times") || !strings.Contains(err.Error(), "it is broken") {
			t.Errorf("Failed yields %v, want three times and the program's last words", err)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("nothing was reported in 20 s")
	}
	if _, open := <-s.Failed(); open {
		t.Error("Failed is not closed after its error")
	}
	mustStop(t, s)
	_, err := Start(testContext(t), cfg)
	if err == nil || !strings.Contains(err.Error(), "it is broken") {
		t.Errorf("Start with a broken postgres: %v, want its last words", err)
	}
	cfg.BinDir = ""
	mustStart(t, cfg) // nothing is left locked or spoilt
}

// A full disk is not given up: PostgreSQL is tried until there is room. A first start on one
// says so.
func TestAFullDiskIsWaitedFor(t *testing.T) {
	needPostgres(t)
	log := new(testLog)
	cfg := quickConfig(t, clubDir(t))
	cfg.BinDir, cfg.Log = breakableBinDir(t), slog.New(slog.NewTextHandler(log, nil))
	s := mustStart(t, cfg)
	mend := breakPostgres(t, cfg.BinDir, "FATAL:  could not write lock file: No space left on device")
	old := s.PID()
	if err := syscall.Kill(old, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	eventually(t, "as many failures as others are given up for", func() bool {
		return strings.Count(log.String(), "will be started again") >= maxFailures
	})
	select {
	case err := <-s.Failed():
		t.Fatalf("given up: %v", err)
	default:
	}
	mend()
	eventually(t, "another postgres answers", func() bool { return s.PID() != old && s.PID() != 0 && answers(s.URL()) })
	mustStop(t, s)
	breakPostgres(t, cfg.BinDir, "FATAL:  could not write lock file: No space left on device")
	_, err := Start(testContext(t), cfg)
	var full ErrNoRoom
	if !errors.As(err, &full) || full.Dir != cfg.Dir {
		t.Errorf("Start on a full disk: %v", err)
	}
}

// What connections are told meanwhile is no reason why a start failed.
func TestLastWordsAreTheReason(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(w, "PANIC:  could not write to file \"pg_wal/xlogtemp.7\": No space left on device\nFATAL:  the database system is in recovery mode\nLOG:  shutting down\n")
	w.Close()
	j := follow(r, slog.New(slog.DiscardHandler))
	if got := j.lastWords(); !strings.HasPrefix(got, "PANIC:  could not write") {
		t.Errorf("last words %q", got)
	}
}

// breakableBinDir is a folder whose postgres can be broken later.
func breakableBinDir(t *testing.T) string {
	t.Helper()
	real := searchPath("")[0]
	dir := openDir(t)
	for _, program := range []string{"postgres", "initdb"} {
		if err := os.Symlink(filepath.Join(real, program), filepath.Join(dir, program)); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// breakPostgres leaves a postgres that says something and ends; what it gives mends it.
func breakPostgres(t *testing.T, dir, words string) (mend func()) {
	t.Helper()
	path := filepath.Join(dir, "postgres")
	real, err := os.Readlink(path)
	if err == nil {
		err = os.Remove(path)
	}
	if err != nil {
		t.Fatal(err)
	}
	script := fmt.Sprintf("#!/bin/sh\n[ \"$1\" = --version ] && exec %s --version\necho %s >&2\nexit 1\n", strconv.Quote(real), strconv.Quote(words))
	if err := os.WriteFile(path, []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	return func() {
		t.Helper()
		if err := errors.Join(os.Remove(path), os.Symlink(real, path)); err != nil {
			t.Fatal(err)
		}
	}
}
