package private

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

func needRoot(t *testing.T) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("SKIPPED: only root changes users")
	}
}

func TestMissingProgramsNameTheCommand(t *testing.T) {
	cfg := quickConfig(t, openDir(t))
	cfg.BinDir = filepath.Join(cfg.Dir, "nothing")
	_, err := Start(testContext(t), cfg)
	var missing ErrNoPostgres
	if !errors.As(err, &missing) || missing.Command != "apt-get install postgresql" {
		t.Fatalf("Start: %v, want ErrNoPostgres with the command", err)
	}
	if !strings.Contains(err.Error(), missing.Command) || !strings.Contains(err.Error(), cfg.BinDir) {
		t.Errorf("%q does not tell the command and where it looked", err)
	}
}

func TestDataOfAnotherVersionIsRefusedUntouched(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	mustStop(t, s)
	version := filepath.Join(s.places.data, "PG_VERSION")
	if err := os.WriteFile(version, []byte("14\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Start(testContext(t), cfg)
	var missing ErrNoPostgres
	if !errors.As(err, &missing) || missing.Major != 14 || missing.Command != "apt-get install postgresql-14" {
		t.Fatalf("Start: %v, want ErrNoPostgres for 14", err)
	}
	if err := os.WriteFile(version, []byte(strconv.Itoa(s.bin.major)), 0o600); err != nil {
		t.Fatal(err)
	}
	mustStart(t, cfg)
}

// fakePostgres makes root/<version>/bin with a postgres that only tells a version.
func fakePostgres(t *testing.T, root, version string) string {
	t.Helper()
	bin := filepath.Join(root, version, "bin")
	if err := os.MkdirAll(bin, 0o755); err != nil {
		t.Fatal(err)
	}
	script := fmt.Sprintf("#!/bin/sh\necho 'postgres (PostgreSQL) %s.3 (Debian %s.3-1)'\n", version, version)
	for _, program := range []string{"postgres", "initdb"} {
		if err := os.WriteFile(filepath.Join(bin, program), []byte(script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return bin
}

func TestNewestProgramsOnlyForNewData(t *testing.T) {
	root := openDir(t)
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	for _, v := range []string{"9.6", "13", "15", "16", "17"} {
		fakePostgres(t, root, v)
	}
	for want, major := range map[int]int{0: 17, 15: 15, 16: 16} {
		b, err := findBinaries(context.Background(), me, newestFirst(root), want)
		if err != nil || b.major != major {
			t.Errorf("for data of version %d: %d, %v, want %d", want, b.major, err, major)
		}
	}
	for _, want := range []int{13, 14, 18} {
		if b, err := findBinaries(context.Background(), me, newestFirst(root), want); err == nil {
			t.Errorf("for data of version %d: %s, want an error", want, b.dir)
		}
	}
}

func TestPGBinDirComesFirst(t *testing.T) {
	t.Setenv("PG_BINDIR", "/some/place")
	if got := searchPath("")[0]; got != "/some/place" {
		t.Errorf("first looks in %s", got)
	}
	if got := searchPath("/mine"); len(got) != 1 || got[0] != "/mine" {
		t.Errorf("a named folder gives %v", got)
	}
}

func TestBadPlacesAreSaidPlainly(t *testing.T) {
	needPostgres(t)
	open := openDir(t)
	file := filepath.Join(open, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	full := filepath.Join(open, "full")
	if err := os.MkdirAll(filepath.Join(full, "data", "photos"), 0o755); err != nil {
		t.Fatal(err)
	}
	a, err := pickAccount(filepath.Join(open, "none"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(filepath.Join(full, "data"), a.uid, a.gid); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(open, "link")
	if err := os.MkdirAll(link, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("/tmp", filepath.Join(link, "data")); err != nil {
		t.Fatal(err)
	}
	for dir, want := range map[string]string{
		file:                       "is not a folder",
		filepath.Join(file, "sub"): "is not a folder",
		full:                       "something other than",
		link:                       "is not a folder",
	} {
		_, err := Start(testContext(t), quickConfig(t, dir))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q in it", dir, err, want)
		}
	}
}

func TestRootIsToldOfAFolderThatPostgresCannotEnter(t *testing.T) {
	needPostgres(t)
	needRoot(t)
	closed := openDir(t)
	if err := os.Chmod(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(closed, "club")
	_, err := Start(testContext(t), quickConfig(t, dir))
	if err == nil || !strings.Contains(err.Error(), "cannot enter "+dir) {
		t.Errorf("Start: %v, want that it cannot enter", err)
	}
}

func TestDataOfRootIsRefused(t *testing.T) {
	needRoot(t)
	dir := openDir(t)
	if err := os.Mkdir(filepath.Join(dir, "data"), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(testContext(t), quickConfig(t, dir)); err == nil || !strings.Contains(err.Error(), "belongs to root") {
		t.Errorf("Start: %v, want that the data is root's", err)
	}
}

// A plain user starts it, then root does, then the user again.
func TestRootRunsAsTheOwnerOfTheData(t *testing.T) {
	needPostgres(t)
	needRoot(t)
	owner := otherUser(t)
	dir := openDir(t)
	helper := copySelf(t, dir)
	club := filepath.Join(dir, "club")
	if err := ownFolder(club, owner); err != nil {
		t.Fatal(err)
	}
	startAs := func() {
		t.Helper()
		w := startWriter(t, helper, club, owner)
		eventually(t, "the user's writer has written", func() bool { return w.last() > 0 })
		w.stop(t)
	}
	startAs()
	s := mustStart(t, quickConfig(t, club))
	info, err := os.Stat(fmt.Sprintf("/proc/%d", s.PID()))
	if err != nil {
		t.Fatal(err)
	}
	if uid := int(info.Sys().(*syscall.Stat_t).Uid); uid != owner.uid {
		t.Errorf("root's postgres runs as %d, want the owner %d", uid, owner.uid)
	}
	mustStop(t, s)
	startAs()
}

func TestDataOfAnotherUserIsRefusedToAPlainUser(t *testing.T) {
	needPostgres(t)
	needRoot(t)
	dir := openDir(t)
	helper := copySelf(t, dir)
	club := clubDir(t)
	mustStop(t, mustStart(t, quickConfig(t, club)))
	cmd := exec.Command(helper)
	otherUser(t).dress(cmd, syscall.SIGKILL)
	cmd.Env = append(cmd.Env, helperDir+"="+club)
	out, err := cmd.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "run this as that user or as root") {
		t.Errorf("another user's start: %v, %s", err, out)
	}
}

// otherUser is an ordinary system user that is not the one root would choose.
func otherUser(t *testing.T) account {
	t.Helper()
	if _, err := user.Lookup("games"); err != nil {
		t.Skip("SKIPPED: there is no other user to try")
	}
	a, err := systemAccount("games")
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestDefaultDir(t *testing.T) {
	if os.Geteuid() == 0 {
		if got := DefaultDir(); got != "/var/lib/levelpeg" {
			t.Errorf("root's is %s", got)
		}
		return
	}
	t.Setenv("XDG_DATA_HOME", "/x")
	if got := DefaultDir(); got != "/x/levelpeg" {
		t.Errorf("with XDG_DATA_HOME it is %s", got)
	}
	t.Setenv("XDG_DATA_HOME", "")
	t.Setenv("HOME", "/home/angler")
	if got := DefaultDir(); got != "/home/angler/.local/share/levelpeg" {
		t.Errorf("without it is %s", got)
	}
}

func TestURLHoldsOddPaths(t *testing.T) {
	var p places
	if err := p.resolve("/tmp/a club & more?"); err != nil {
		t.Fatal(err)
	}
	want := "postgres://levelpeg@/levelpeg?host=%2Ftmp%2Fa%20club%20%26%20more%3F%2Frun&port=5432&sslmode=disable"
	if got := p.url("levelpeg", "levelpeg"); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
