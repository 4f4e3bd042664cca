package e2e

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// program is one run of the binary.
type program struct {
	cmd    *exec.Cmd
	said   transcript // standard output
	logged transcript // standard error
	gone   chan struct{}
	how    error // set before gone is closed
}

// transcript is what a program wrote, readable while it runs.
type transcript struct {
	mu    sync.Mutex
	text  strings.Builder
	lines chan string
}

func (s *transcript) read(from io.Reader) {
	defer close(s.lines)
	for in := bufio.NewScanner(from); in.Scan(); {
		s.mu.Lock()
		s.text.WriteString(in.Text() + "\n")
		s.mu.Unlock()
		select {
		case s.lines <- in.Text():
		default: // nobody waits for it; the text has it
		}
	}
}

func (s *transcript) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// launch starts the program with nothing of our surroundings that it would read.
func launch(args ...string) (*program, error) { return launchWith(nil, args...) }

func launchWith(env []string, args ...string) (*program, error) {
	path, err := binary()
	if err != nil {
		return nil, err
	}
	p := &program{cmd: exec.Command(path, args...), gone: make(chan struct{})}
	p.cmd.Env = append(cleanEnv(), env...)
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGTERM}
	p.said.lines, p.logged.lines = make(chan string, 64), make(chan string, 64)
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	log, err := p.cmd.StderrPipe()
	if err != nil {
		return nil, err
	}
	started := make(chan error)
	go p.run(out, log, started)
	return p, <-started
}

// run keeps to one thread from the start to the end: the death signal comes when
// the starting thread ends, not when the whole test does.
func (p *program) run(out, log io.Reader, started chan<- error) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	err := p.cmd.Start()
	started <- err
	if err != nil {
		return
	}
	var reading sync.WaitGroup
	reading.Go(func() { p.said.read(out) })
	reading.Go(func() { p.logged.read(log) })
	reading.Wait()
	p.how = p.cmd.Wait()
	close(p.gone)
}

func cleanEnv() []string {
	return slices.DeleteFunc(os.Environ(), func(v string) bool {
		return strings.HasPrefix(v, "LEVELPEG_") || strings.HasPrefix(v, "DATABASE_URL=") || strings.HasPrefix(v, "PG")
	})
}

// awaitURL waits for the line that says where the server is.
func (p *program) awaitURL(limit time.Duration) (string, error) {
	deadline := time.After(limit)
	for {
		select {
		case line, open := <-p.said.lines:
			if _, url, found := strings.Cut(line, "Levelpeg is at "); found {
				return strings.TrimSpace(url), nil
			}
			if !open {
				<-p.gone
				return "", fmt.Errorf("the program ended before it served: %w\n%s", p.how, &p.logged)
			}
		case <-deadline:
			return "", fmt.Errorf("the program did not serve within %v:\n%s", limit, &p.logged)
		}
	}
}

// stopWithin is how long a polite stop may take.
const stopWithin = 30 * time.Second

// stop asks the program to end and expects that it does, and well.
func (p *program) stop() error {
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return err
	}
	select {
	case <-p.gone:
	case <-time.After(stopWithin):
		p.kill()
		return fmt.Errorf("it had not ended %v after SIGTERM:\n%s", stopWithin, &p.logged)
	}
	if p.how != nil {
		return fmt.Errorf("it ended so: %w\n%s", p.how, &p.logged)
	}
	return nil
}

// kill ends the program without a word. It may have ended already.
func (p *program) kill() {
	_ = p.cmd.Process.Kill() // fails only for one that has ended
	<-p.gone
}

// serve starts a server of the test's own and sees that it ends well.
func serve(t *testing.T, args ...string) (*program, string) {
	t.Helper()
	needPostgres(t)
	p, err := launch(append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := p.stop(); err != nil {
			t.Errorf("stopping: %v", err)
		}
	})
	url, err := p.awaitURL(startWithin)
	if err != nil {
		t.Fatal(err)
	}
	return p, url
}

// once runs the program to its end and gives its exit code and what it wrote.
func once(t *testing.T, env []string, args ...string) (code int, out, log string) {
	t.Helper()
	p, err := launchWith(env, args...)
	if err != nil {
		t.Fatal(err)
	}
	select {
	case <-p.gone:
	case <-time.After(startWithin):
		p.kill()
		t.Fatalf("levelpeg %s did not end within %v:\n%s", strings.Join(args, " "), startWithin, &p.logged)
	}
	return p.cmd.ProcessState.ExitCode(), p.said.String(), p.logged.String()
}
