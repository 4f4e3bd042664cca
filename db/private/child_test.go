package private

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"
)

// endThreads ends every thread of ours that is free: as many goroutines as
// there could be hold one each, and end without giving it back.
func endThreads() {
	const many = 64
	var held, let sync.WaitGroup
	held.Add(many)
	let.Add(1)
	for range many {
		go func() {
			runtime.LockOSThread()
			held.Done()
			let.Wait()
		}()
	}
	held.Wait()
	let.Done()
}

// The death signal is tied to the thread that started the child, so that thread
// must live as long as it. A child that only sleeps shows it as well as postgres
// and often.
func TestEndsOfThreadsDoNotEndTheChild(t *testing.T) {
	for i := range 100 {
		cmd := exec.Command("sleep", "60")
		account{}.dress(cmd, syscall.SIGINT)
		c := &child{ended: make(chan struct{})}
		started := make(chan error)
		go c.run(cmd, started)
		if err := <-started; err != nil {
			t.Fatal(err)
		}
		endThreads()
		time.Sleep(5 * time.Millisecond)
		select {
		case <-c.ended:
			t.Fatalf("child %d ended with a thread: %v", i, c.how)
		default:
		}
		c.process.Kill()
		<-c.ended
	}
}

// Postgres must not go on by itself when the program is killed.
func TestEndOfTheProgramEndsPostgres(t *testing.T) {
	needPostgres(t)
	dir := clubDir(t)
	w := startWriter(t, copySelf(t, openDir(t)), dir, account{})
	eventually(t, "it writes", func() bool { return w.last() > 0 })
	pid := readPidFile(filepath.Join(dir, "data")).pid
	w.kill()
	eventually(t, "postgres has ended", func() bool { return !alive(pid) })
}

// A file of another process says nothing about our child.
func TestReadyOfAnotherProcessIsNotOurs(t *testing.T) {
	dir := t.TempDir()
	s := &Server{places: places{data: dir}}
	c := &child{process: &os.Process{Pid: os.Getpid()}, ended: make(chan struct{})}
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, "postmaster.pid"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	ready := func() error {
		ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
		defer cancel()
		return s.await(ctx, c, "ready", time.Millisecond)
	}
	write("1\n\n\n\n\n\n\nready   \n")
	if err := ready(); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("another's ready: %v, want a wait until the deadline", err)
	}
	write(strconv.Itoa(os.Getpid()) + "\n\n\n\n\n\n\nstarting\n")
	if err := ready(); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("our starting: %v, want a wait until the deadline", err)
	}
	write(strconv.Itoa(os.Getpid()) + "\n\n\n\n\n\n\nready   \n")
	if err := ready(); err != nil {
		t.Errorf("our ready: %v", err)
	}
}
