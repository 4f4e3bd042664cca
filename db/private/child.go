package private

import (
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"syscall"
	"time"
)

// child is one run of postgres.
type child struct {
	process *os.Process
	ended   chan struct{} // closed when it has ended
	how     error         // set before ended is closed
	journal *journal
}

// launch starts postgres itself, not pg_ctl, so that it is our own child: its
// end is seen at once, and ours makes it shut down.
func (s *Server) launch() (*child, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	defer w.Close()
	cmd := exec.Command(s.bin.path("postgres"), s.settings()...)
	cmd.Stdout, cmd.Stderr = w, w
	s.user.dress(cmd, syscall.SIGINT)
	c := &child{ended: make(chan struct{}), journal: follow(r, s.log)}
	started := make(chan error)
	go c.run(cmd, started)
	if err := <-started; err != nil {
		return nil, fmt.Errorf("PostgreSQL cannot be started: %w", err)
	}
	return c, nil
}

// run starts postgres and waits for its end on one thread, because the signal at
// our death is really the one at the death of the thread that started it.
func (c *child) run(cmd *exec.Cmd, started chan<- error) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer close(c.ended)
	err := cmd.Start()
	c.process = cmd.Process
	started <- err
	if err == nil {
		c.how = cmd.Wait()
	}
}

// settings are given on the command line, so that nothing in the data folder
// has to be written by us and no edit there can open the server to a network.
func (s *Server) settings() []string {
	args := []string{"-D", s.places.data}
	set := func(name, value string) { args = append(args, "-c", name+"="+value) }
	set("listen_addresses", "")
	set("port", "5432")
	set("unix_socket_directories", s.places.run)
	set("unix_socket_permissions", "0700")
	set("shared_buffers", "32MB")
	set("max_connections", "20")
	set("max_wal_size", "256MB")
	set("TimeZone", "UTC")
	set("logging_collector", "off")
	set("log_destination", "stderr")
	set("log_line_prefix", "")
	set("log_min_error_statement", "panic") // a failed statement may hold what a member wrote
	set("lc_messages", "C")
	if s.fast {
		set("fsync", "off")
		set("synchronous_commit", "off")
		set("full_page_writes", "off")
	}
	return args
}

// How long postgres may take for each way of ending.
const (
	fastWait      = 45 * time.Second // SIGINT: roll back, write everything, end
	immediateWait = 15 * time.Second // SIGQUIT: just end; it kills its own after five
)

// end sees that postgres has ended, asking first and insisting when that takes
// too long or the hurry begins.
func (c *child) end(hurry <-chan struct{}) error {
	c.process.Signal(syscall.SIGINT) // it may just have ended, which is seen below
	select {
	case <-c.ended:
		return nil
	case <-hurry:
	case <-time.After(fastWait):
	}
	c.process.Signal(syscall.SIGQUIT)
	select {
	case <-c.ended:
		return nil
	case <-time.After(immediateWait):
		return fmt.Errorf("PostgreSQL, process %d, does not end", c.process.Pid)
	}
}

// unasked describes an end that nobody asked for, with postgres's own words.
func (c *child) unasked() error {
	how := "exit status 0"
	if c.how != nil {
		how = c.how.Error()
	}
	if said := c.journal.lastWords(); said != "" {
		return fmt.Errorf("PostgreSQL ended by itself (%s): %s", how, said)
	}
	return fmt.Errorf("PostgreSQL ended by itself (%s)", how)
}
