package dbtest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/db/private"
)

// server is where databases are made. The private PostgreSQL's own role may not
// make any, so that its superuser does, and the role owns them.
type server struct {
	admin url.URL // of a role that may create databases
	owner string  // the role that the copies belong to; empty for the admin's
	made  atomic.Int64

	mu        sync.Mutex
	templates []string
}

// start finds the server the surroundings name, or runs a private one.
func start() (*server, error) {
	if named := os.Getenv("LEVELPEG_TEST_DATABASE_URL"); named != "" {
		u, err := url.Parse(named)
		if err != nil {
			return nil, errors.New("LEVELPEG_TEST_DATABASE_URL is not an address")
		}
		s := &server{admin: *u}
		stop = s.dropTemplates
		return s, nil
	}
	s, end, err := startPrivate()
	if err == nil {
		stop = end
	}
	return s, err
}

// dropTemplates leaves a server that is not ours as it was.
func (s *server) dropTemplates() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, name := range s.templates {
		if err := s.drop(name); err != nil {
			fmt.Fprintln(os.Stderr, "dbtest:", err)
		}
	}
}

// template makes a database to copy from, and remembers it.
func (s *server) template(ctx context.Context, kind, from string) (string, error) {
	name := s.nextName(kind)
	s.mu.Lock()
	s.templates = append(s.templates, name)
	s.mu.Unlock()
	return name, s.copy(ctx, name, from)
}

// startPrivate runs a PostgreSQL in a folder of its own, and says how to end it.
func startPrivate() (*server, func(), error) {
	dir, err := Folder()
	if err != nil {
		return nil, nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	p, err := private.Start(ctx, private.Config{Dir: dir, Fast: true})
	if err != nil {
		os.RemoveAll(dir)
		return nil, nil, err
	}
	end := func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if err := p.Stop(ctx); err != nil {
			fmt.Fprintln(os.Stderr, "dbtest:", err)
		}
		os.RemoveAll(dir)
	}
	u, err := url.Parse(p.URL())
	if err != nil {
		end()
		return nil, nil, err
	}
	s := &server{admin: *u, owner: u.User.Username()}
	s.admin.User, s.admin.Path = url.User("postgres"), "/postgres"
	return s, end, nil
}

// url is the address of a database for the role that owns it.
func (s *server) url(name string) string {
	u := s.admin
	u.Path = "/" + name
	if s.owner != "" {
		u.User = url.User(s.owner)
	}
	// PostgreSQL's own programs do not read a plus as a space.
	u.RawQuery = strings.ReplaceAll(u.RawQuery, "+", "%20")
	return u.String()
}

// nextName is a name that no other test binary at the same server uses.
func (s *server) nextName(kind string) string {
	return fmt.Sprintf("levelpeg_test_%d_%x_%s_%d", os.Getpid(), started, kind, s.made.Add(1))
}

var started = time.Now().UnixNano() & 0xffffffff

func (s *server) copy(ctx context.Context, name, template string) error {
	sql := fmt.Sprintf("create database %s template %s", quoted(name), quoted(template))
	if s.owner != "" {
		sql += " owner " + quoted(s.owner)
	}
	return s.do(ctx, sql)
}

// drop takes a database away, whoever still uses it.
func (s *server) drop(name string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return s.do(ctx, fmt.Sprintf("drop database if exists %s with (force)", quoted(name)))
}

func (s *server) do(ctx context.Context, sql string) error {
	conn, err := pgx.Connect(ctx, s.admin.String())
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, sql); err != nil {
		return fmt.Errorf("%s: %w", sql, err)
	}
	return nil
}

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }
