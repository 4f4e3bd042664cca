package private

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// holdSession opens a session and keeps it until the returned function is called.
func holdSession(t *testing.T, url string) func() {
	t.Helper()
	conn, err := pgx.Connect(testContext(t), url)
	if err != nil {
		t.Fatal(err)
	}
	return func() { conn.Close(context.Background()) }
}

func answers(url string) bool {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return false
	}
	conn.Close(ctx)
	return true
}

// bystander is a live process of PostgreSQL's own user.
func bystander(t *testing.T, a account, dir string) int {
	t.Helper()
	cmd := exec.Command("sleep", "300")
	cmd.Dir = dir
	a.dress(cmd, syscall.SIGKILL)
	started := make(chan error)
	go func() {
		started <- cmd.Start()
		cmd.Wait()
	}()
	if err := <-started; err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	return cmd.Process.Pid
}

// A stale file may name a process that got the number later. PostgreSQL itself
// would refuse to start for it, and we must not stop it, even where it happens
// to work in the data folder.
func TestStalePidFileNamingALiveProcessHurtsNobody(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	mustStop(t, s)
	for _, dir := range []string{"/", s.places.data} {
		pid := bystander(t, s.user, dir)
		stale := fmt.Sprintf("%d\n%s\n1700000000\n5432\n%s\n\n  1  2\nready   \n", pid, s.places.data, s.places.run)
		for _, path := range []string{filepath.Join(s.places.data, "postmaster.pid"), filepath.Join(s.places.run, socketName+".lock")} {
			if err := os.WriteFile(path, []byte(stale), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		s := mustStart(t, cfg)
		if !alive(pid) {
			t.Errorf("the process in %s was stopped", dir)
		}
		mustStop(t, s)
	}
}

func TestTornPidFilesDoNotKeepItFromStarting(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	s := mustStart(t, cfg)
	mustStop(t, s)
	for _, text := range []string{"", "12", "-1\n", "not a number\n", "0\n\n\n\n\n\n\nready\n"} {
		if err := os.WriteFile(filepath.Join(s.places.data, "postmaster.pid"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		mustStop(t, mustStart(t, cfg))
	}
}

// A postgres that outlived the program on this data is stopped, and what it had
// committed is there.
func TestLivingPostgresOfAnEarlierRunIsReplaced(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, clubDir(t))
	mustStop(t, mustStart(t, cfg))
	ctx := testContext(t)
	earlier, err := prepare(ctx, cfg)
	if err != nil {
		t.Fatal(err)
	}
	c, err := earlier.launch()
	if err != nil {
		t.Fatal(err)
	}
	if err := earlier.await(ctx, c, "ready", 10*time.Millisecond); err != nil {
		t.Fatal(err)
	}
	tell(t, earlier.URL(), "CREATE TABLE kept AS SELECT 1")
	defer holdSession(t, earlier.URL())()
	if err := earlier.unlock(); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, cfg)
	if alive(c.process.Pid) || s.PID() == c.process.Pid {
		t.Errorf("the earlier postgres %d still runs", c.process.Pid)
	}
	if got := ask(t, s.URL(), "SELECT count(*)::text FROM kept"); got != "1" {
		t.Errorf("its table has %s rows, want 1", got)
	}
}

// Half a cluster is what a killed initdb leaves.
func TestUnfinishedClusterIsThrownAway(t *testing.T) {
	needPostgres(t)
	cfg := quickConfig(t, openDir(t))
	half := filepath.Join(cfg.Dir, "data.init", "base", "1")
	if err := os.MkdirAll(half, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(cfg.Dir, "data.init", "PG_VERSION"), []byte("15\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, cfg)
	if _, err := os.Stat(s.places.init); !os.IsNotExist(err) {
		t.Errorf("data.init is still there: %v", err)
	}
}

// Another club's server on the same machine is none of ours.
func TestServersDoNotTakeEachOtherForTheirOwn(t *testing.T) {
	needPostgres(t)
	one, other := mustStart(t, quickConfig(t, clubDir(t))), mustStart(t, quickConfig(t, clubDir(t)))
	if isResident(one.PID(), other.places.data) || !isResident(one.PID(), one.places.data) {
		t.Errorf("%d is taken for a resident of %s or not of %s", one.PID(), other.places.data, one.places.data)
	}
}
