package private

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// writeRows is the other process of these tests: it serves from the folder and
// writes numbered rows, printing each number once its commit is acknowledged,
// until it is told to stop or killed.
func writeRows(dir string) int {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	s, err := Start(ctx, Config{Dir: dir, Log: slog.New(slog.NewTextHandler(os.Stderr, nil))})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	go func() {
		for err := range s.Failed() {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
	}()
	for ctx.Err() == nil {
		writeUntilCut(ctx, s.URL())
		time.Sleep(10 * time.Millisecond)
	}
	if err := s.Stop(context.Background()); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	return 0
}

// writeUntilCut writes on from the last row until an error.
func writeUntilCut(ctx context.Context, url string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(ctx, "CREATE TABLE IF NOT EXISTS rows (n int PRIMARY KEY)"); err != nil {
		return err
	}
	var n int
	if err := conn.QueryRow(ctx, "SELECT coalesce(max(n), 0) FROM rows").Scan(&n); err != nil {
		return err
	}
	for {
		n++
		if _, err := conn.Exec(ctx, "INSERT INTO rows VALUES ($1)", n); err != nil {
			return err
		}
		fmt.Println(n)
	}
}

// writer is that process as the test sees it.
type writer struct {
	cmd     *exec.Cmd
	dir     string
	acked   []int // to be read after gone
	newest  atomic.Int64
	gone    chan struct{}
	waitErr error
	errors  testLog
}

func startWriter(t *testing.T, helper, dir string, a account) *writer {
	t.Helper()
	w := &writer{cmd: exec.Command(helper), dir: dir, gone: make(chan struct{})}
	a.dress(w.cmd, 0)
	w.cmd.Env = append(w.cmd.Env, helperDir+"="+dir)
	w.cmd.Stderr = &w.errors
	out, err := w.cmd.StdoutPipe()
	if err == nil {
		err = w.cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.cmd.Process.Kill() })
	go func() {
		defer close(w.gone)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			// A line cut short by the kill reads as a smaller number, acknowledged before.
			if n, err := strconv.Atoi(lines.Text()); err == nil {
				w.acked = append(w.acked, n)
				w.newest.Store(int64(n))
			}
		}
		w.waitErr = w.cmd.Wait()
	}()
	return w
}

func (w *writer) last() int64 { return w.newest.Load() }

// stop ends it politely and expects that to work.
func (w *writer) stop(t *testing.T) {
	t.Helper()
	w.cmd.Process.Signal(syscall.SIGTERM)
	<-w.gone
	if w.waitErr != nil {
		t.Fatalf("the writer did not stop well: %v\n%s", w.waitErr, &w.errors)
	}
}

func (w *writer) kill() {
	w.cmd.Process.Kill()
	<-w.gone
}

// killPostgres kills the writer's postgres, or the one that is making its
// cluster, and tells where it found one to kill.
func (w *writer) killPostgres() string {
	data := filepath.Join(w.dir, "data")
	if pid := readPidFile(data).pid; pid > 0 && parentOf(pid) == w.cmd.Process.Pid && syscall.Kill(pid, syscall.SIGKILL) == nil {
		return "data"
	}
	for _, pid := range residents(data + ".init") {
		if syscall.Kill(pid, syscall.SIGKILL) == nil {
			return "data.init"
		}
	}
	return ""
}

// parentOf is zero when there is no such process.
func parentOf(pid int) int {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(after)
	parent, _ := strconv.Atoi(fields[1]) // the kernel writes a number
	return parent
}

// killRun is a folder that goes through many kills, and what was acknowledged.
type killRun struct {
	helper, dir string
	acked       []int
	hits        map[string]int
}

// round starts a writer, lets it run for a while and kills as told.
func (k *killRun) round(t *testing.T, victim string, after time.Duration) {
	t.Helper()
	w := startWriter(t, k.helper, k.dir, account{uid: os.Geteuid()})
	time.Sleep(after)
	phase, killed := k.phase(w), ""
	if victim != "program" {
		killed = w.killPostgres()
	}
	if victim == "postgres" {
		w.expectToGoOn(t, killed)
	}
	if victim != "program" && killed == "" {
		victim += " (but no postgres yet)"
	}
	k.hits[phase+": "+victim]++
	w.kill()
	k.acked = append(k.acked, w.acked...)
}

// expectToGoOn looks at a writer whose postgres was killed: it must write on by
// itself, except that a start whose cluster was not made ends with an error.
func (w *writer) expectToGoOn(t *testing.T, killed string) {
	t.Helper()
	before := w.last()
	eventually(t, "the program writes again", func() bool {
		select {
		case <-w.gone:
			if killed == "data.init" && strings.Contains(w.errors.String(), "could not be made") {
				return true
			}
			t.Fatalf("the program ended: %v\n%s", w.waitErr, &w.errors)
		default:
		}
		return w.last() > before+2
	})
}

// phase names what the writer was doing.
func (k *killRun) phase(w *writer) string {
	switch {
	case w.last() > 0:
		return "writing"
	case exists(filepath.Join(k.dir, "data")):
		return "starting"
	case exists(filepath.Join(k.dir, "data.init")):
		return "initdb"
	}
	return "before"
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return !errors.Is(err, os.ErrNotExist)
}

// check starts once more and looks for every acknowledged row.
func (k *killRun) check(t *testing.T) {
	t.Helper()
	s, err := Start(testContext(t), Config{Dir: k.dir, Log: quickConfig(t, k.dir).Log})
	if err != nil {
		t.Fatalf("Start after the kills: %v", err)
	}
	defer mustStop(t, s)
	if len(k.acked) == 0 {
		return
	}
	have := k.rows(t, s.URL())
	for _, n := range k.acked {
		if !have[n] {
			t.Fatalf("row %d was acknowledged and is gone; %d rows are there of %d", n, len(have), len(k.acked))
		}
	}
}

func (k *killRun) rows(t *testing.T, url string) map[int]bool {
	t.Helper()
	ctx := testContext(t)
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	result, err := conn.Query(ctx, "SELECT n FROM rows")
	if err != nil {
		t.Fatal(err)
	}
	list, err := pgx.CollectRows(result, pgx.RowTo[int])
	if err != nil {
		t.Fatal(err)
	}
	have := make(map[int]bool, len(list))
	for _, n := range list {
		have[n] = true
	}
	return have
}

// What the whole package is for: whoever is killed and whenever, what was
// acknowledged stays and the next start works. Every third round begins with an
// empty folder, so that the kill may fall into the making of the cluster, and
// half of the others are cut short enough to fall into the start.
func TestKilledAtAnyMomentNothingAcknowledgedIsLost(t *testing.T) {
	needPostgres(t)
	rounds := 10
	if os.Getenv("LEVELPEG_LONG") == "1" {
		rounds = 100
	}
	const seed = 1
	moments := rand.New(rand.NewPCG(seed, seed))
	base := openDir(t)
	k := &killRun{helper: copySelf(t, base), hits: map[string]int{}}
	total := 0
	for i := range rounds {
		longest := []int{80, 800}[moments.IntN(2)] // ms: a warm start; and some writing, too
		if i%3 == 0 {
			total += len(k.acked)
			k.dir, k.acked = filepath.Join(base, strconv.Itoa(i)), nil
			longest = 2500 // a cold start and some writing
		}
		victim := []string{"program", "postgres", "both"}[moments.IntN(3)]
		after := time.Duration(moments.IntN(longest*1000)) * time.Microsecond
		k.round(t, victim, after)
		k.check(t)
		if t.Failed() {
			t.Fatalf("round %d: %s killed after %v", i, victim, after)
		}
	}
	t.Logf("%d rounds, %d rows acknowledged and found; kills: %v", rounds, total+len(k.acked), k.hits)
}
