package e2e

import (
	"context"
	"net/http"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// inside connects to the folder's own PostgreSQL as the program does.
func inside(t *testing.T, dir string) *pgx.Conn {
	t.Helper()
	where := url.Values{"host": {filepath.Join(dir, "run")}, "port": {"5432"}, "sslmode": {"disable"}}
	ctx := testContext(t, tabLimit)
	conn, err := pgx.Connect(ctx, "postgres://levelpeg@/levelpeg?"+where.Encode())
	if err != nil {
		t.Fatalf("connecting to the PostgreSQL in %s: %v", dir, err)
	}
	t.Cleanup(func() { _ = conn.Close(context.Background()) }) // the server may be gone by then
	return conn
}

func tell(t *testing.T, conn *pgx.Conn, statement string) {
	t.Helper()
	if _, err := conn.Exec(testContext(t, tabLimit), statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

// crowdSize is how many requests are under way when the program is told to stop:
// more than it has connections to the database, so that some wait for one.
const crowdSize = 12

// poolSize is how many connections the program has in that test; one kind of request uses
// all but one.
const poolSize = 4

// Told to stop while requests are under way, the program takes no more, finishes
// those, ends well within seconds, and leaves no PostgreSQL behind. The requests are
// held up by a lock on what they read.
func TestToldToStopItFinishesWhatIsUnderWay(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	p, home := serve(t, "--demo", "--data", dir, "--connections", strconv.Itoa(poolSize))
	lock := inside(t, dir)
	tell(t, lock, "begin")
	tell(t, lock, "lock table pegs in access exclusive mode")
	answers := make(chan answer, crowdSize)
	for range crowdSize {
		go func() {
			a, err := get(home + ordinaryPeg)
			if err != nil {
				a.body = err.Error()
			}
			answers <- a
		}()
	}
	awaitWaiting(t, inside(t, dir), poolSize-1)
	began := time.Now()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond)
	if a, err := get(home + "/healthz"); err == nil {
		t.Errorf("a request that comes after the word to stop gets %d", a.status)
	}
	tell(t, lock, "rollback")
	for range crowdSize {
		if a := <-answers; a.status != http.StatusOK || !strings.Contains(a.body, "</html>") {
			t.Errorf("a request under way ended with %d: %.300s", a.status, a.body)
		}
	}
	if err := p.stop(); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 10*time.Second {
		t.Errorf("stopping took %v", took)
	} else {
		t.Logf("stopping took %v", took)
	}
	if left := residents(dir); len(left) > 0 {
		t.Errorf("processes of PostgreSQL left behind: %v", left)
	}
}

// awaitWaiting waits until so many of the program's sessions wait for a lock.
func awaitWaiting(t *testing.T, conn *pgx.Conn, want int) {
	t.Helper()
	n := 0
	for deadline := time.Now().Add(4 * time.Second); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		err := conn.QueryRow(testContext(t, tabLimit), "select count(*) from pg_stat_activity where wait_event_type = 'Lock'").Scan(&n)
		if err != nil {
			t.Fatal(err)
		}
		if n >= want {
			return
		}
	}
	t.Fatalf("%d requests wait for the lock, want %d", n, want)
}

// Told to stop in the middle of its first start it ends soon and leaves nothing
// running, and the next start has the whole demo.
func TestToldToStopWhileItStarts(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := folder(t)
	for _, after := range []time.Duration{300 * time.Millisecond, 2 * time.Second} {
		p, err := launch("serve", "--demo", "--data", dir, "--listen", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(after)
		began := time.Now()
		if err := p.stop(); err != nil && !strings.Contains(p.logged.String(), "levelpeg: ") {
			t.Errorf("told to stop %v after its start it ended without a sentence: %v", after, err)
		}
		if took := time.Since(began); took > 15*time.Second {
			t.Errorf("told to stop %v after its start it took %v", after, took)
		}
		if left := residents(dir); len(left) > 0 {
			t.Errorf("told to stop %v after its start it left %v", after, left)
		}
		if log := p.logged.String(); strings.Contains(log, "panic") || strings.Contains(log, "goroutine ") {
			t.Errorf("told to stop %v after its start it said:\n%s", after, log)
		}
	}
	_, home := serve(t, "--demo", "--data", dir)
	if err := whole(home); err != nil {
		t.Error(err)
	}
}
