// Package under has what the tools that measure the program have in common: starting it,
// what memory and processor time it and its PostgreSQL take, and the sums of many times.
package under

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"syscall"
)

// Program is a server under measurement.
type Program struct {
	URL string
	cmd *exec.Cmd
}

// Start starts a server and waits for the line that says where it is. What it says of
// errors goes to errs; nil throws that away.
func Start(ctx context.Context, errs io.Writer, binary string, args ...string) (*Program, error) {
	cmd := exec.CommandContext(ctx, binary, args...)
	cmd.Stderr = errs
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	p := &Program{cmd: cmd}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if _, url, ok := strings.Cut(lines.Text(), " is at "); ok {
			p.URL = url
			go func() { _, _ = io.Copy(io.Discard, out) }()
			return p, nil
		}
	}
	p.Stop()
	return nil, fmt.Errorf("%s did not say where it is", binary)
}

// PID is the server's process.
func (p *Program) PID() int { return p.cmd.Process.Pid }

// Address is where it listens, without the scheme.
func (p *Program) Address() string { return strings.TrimPrefix(p.URL, "http://") }

// Stop asks the server to end, and waits until it has.
func (p *Program) Stop() {
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	_ = p.cmd.Wait()
}
