// Package private runs the PostgreSQL that serves when no database address is
// given: the distribution's own binaries, started as a child of this program in
// a folder of its own, reached through a socket only this program's user can
// enter, and started again when it ends unasked. Linux only.
//
// The folder holds app.lock (one program at a time), data (the cluster),
// data.init (a cluster being made, thrown away if that was cut short) and run
// (the socket). Whoever is killed, and whenever, the next Start finds every
// committed row.
package private

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/user"
	"path/filepath"
	"sync"
	"sync/atomic"
)

// Config says where the private PostgreSQL lives and how it runs.
type Config struct {
	Dir    string       // the folder of everything; empty for DefaultDir
	BinDir string       // PostgreSQL's programs; empty to search PG_BINDIR and the distribution's place
	Log    *slog.Logger // where PostgreSQL's own warnings go; nil for slog's default
	Fast   bool         // for tests only: a power cut may destroy the data

	as *account // whom it runs as; nil: whoever the data belongs to
}

// Server is a running private PostgreSQL.
type Server struct {
	log    *slog.Logger
	fast   bool
	places places
	user   account
	bin    binaries

	pid     atomic.Int64
	ready   func() // says, once, that the first postgres takes connections
	isReady chan struct{}
	failed  chan error
	cancel  context.CancelFunc // asks supervise to stop
	hurry   chan struct{}      // closed when stopping may no longer take its time
	hasten  func()
	done    chan struct{} // closed when supervise has returned
	endErr  error         // set before done is closed: postgres would not end
	unlock  func() error
}

// DefaultDir is where the data goes when nobody says: /var/lib/levelpeg for
// root, whose own folders the unprivileged user of PostgreSQL cannot enter, and
// the user's data folder for anybody else. It is empty when there is none.
func DefaultDir() string {
	if os.Geteuid() == 0 {
		return "/var/lib/levelpeg"
	}
	if base := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(base) {
		return filepath.Join(base, "levelpeg")
	}
	if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".local/share/levelpeg")
	}
	if u, err := user.Current(); err == nil && u.HomeDir != "" {
		return filepath.Join(u.HomeDir, ".local/share/levelpeg")
	}
	return ""
}

// Start takes the folder, makes the cluster if there is none, and returns when
// PostgreSQL takes connections and the program's role and database exist. The
// context bounds the start only. The errors are for a person to read; among
// them ErrNoPostgres and ErrInUse can be told apart with errors.As.
func Start(ctx context.Context, cfg Config) (*Server, error) {
	s, err := prepare(ctx, cfg)
	if err != nil {
		return nil, err
	}
	running, cancel := context.WithCancel(context.WithoutCancel(ctx))
	s.cancel = cancel
	go s.supervise(running)
	if err := s.awaitFirst(ctx); err != nil {
		s.Stop(ctx)
		return nil, err
	}
	return s, nil
}

// prepare does all that comes before the first postgres. On an error it leaves
// the folder unlocked.
func prepare(ctx context.Context, cfg Config) (*Server, error) {
	s := newServer(cfg)
	if err := s.places.resolve(cfg.Dir); err != nil {
		return nil, err
	}
	var err error
	if cfg.as != nil {
		s.user = *cfg.as
	} else if s.user, err = pickAccount(s.places.data); err != nil {
		return nil, err
	}
	if err := s.places.makeDir(s.user); err != nil {
		return nil, err
	}
	if s.unlock, err = lockFolder(s.places.dir, s.user); err != nil {
		return nil, err
	}
	if err := s.furnish(ctx, cfg.BinDir); err != nil {
		s.unlock()
		return nil, err
	}
	return s, nil
}

func newServer(cfg Config) *Server {
	s := &Server{
		log:     cfg.Log,
		fast:    cfg.Fast,
		isReady: make(chan struct{}),
		failed:  make(chan error, 1),
		hurry:   make(chan struct{}),
		done:    make(chan struct{}),
	}
	if s.log == nil {
		s.log = slog.Default()
	}
	s.ready = sync.OnceFunc(func() { close(s.isReady) })
	s.hasten = sync.OnceFunc(func() { close(s.hurry) })
	return s
}

// furnish finds the programs and sees that there is a cluster and a place for
// the socket. The folder is locked by now.
func (s *Server) furnish(ctx context.Context, binDir string) error {
	want, err := dataVersion(s.places.data)
	if err != nil {
		return err
	}
	if s.bin, err = findBinaries(ctx, s.user, searchPath(binDir), want); err != nil {
		return err
	}
	if err := s.checkEnterable(ctx); err != nil {
		return err
	}
	if err := s.places.makeRun(s.user); err != nil {
		return err
	}
	if want != 0 {
		return nil
	}
	return s.makeCluster(ctx)
}

// awaitFirst waits for the first postgres to take connections.
func (s *Server) awaitFirst(ctx context.Context) error {
	select {
	case <-s.isReady:
		return nil
	case err := <-s.failed:
		return err
	case <-ctx.Done():
		return fmt.Errorf("starting PostgreSQL in %s: %w", s.places.dir, ctx.Err())
	}
}

// URL is the address for the program's own role and database.
func (s *Server) URL() string { return s.places.url(appName, appName) }

// Failed yields an error, and is closed, when PostgreSQL has failed three times
// in a row and is given up: the program should end, for its supervisor to see.
// A full disk is waited for instead.
func (s *Server) Failed() <-chan error { return s.failed }

// PID is the process id of postgres, and zero while it is down.
func (s *Server) PID() int { return int(s.pid.Load()) }

// Stop ends PostgreSQL, cutting its connections off and keeping what they
// committed, and releases the folder. When the context ends first PostgreSQL is
// made to end at once, at the price of recovery at the next start. It may be
// called again.
func (s *Server) Stop(ctx context.Context) error {
	s.halt(ctx)
	if err := s.unlock(); err != nil {
		return fmt.Errorf("releasing %s: %w", s.places.dir, err)
	}
	return s.endErr
}

// halt ends PostgreSQL and keeps the folder.
func (s *Server) halt(ctx context.Context) error {
	s.cancel()
	select {
	case <-s.done:
	case <-ctx.Done():
		s.hasten()
		<-s.done
	}
	return s.endErr
}
