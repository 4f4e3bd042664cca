package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	neturl "net/url"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

// target is what is besieged.
type target struct {
	url, address, data string
	idle               int
}

// trouble is a kind of misuse. It goes on until its context ends, and says what it did.
type trouble struct {
	name string
	make func(ctx context.Context, t target) (string, error)
}

func troubles() []trouble {
	return []trouble{
		{"2,000 who send a head a byte a second", slowHeads},
		{"200 who send a form a byte a second", slowBodies},
		{"idle connections", idle},
		{"200 who ask and do not listen", deaf},
		{"4 who send bodies of 1 GB, again and again", gigabytes},
		{"a query that hangs, again and again", hangs(1)},
		{"a session of PostgreSQL that is stopped", stopped},
		{"8 queries that hang at once, again and again", hangs(8)},
	}
}

// many runs so many of a kind beside each other until the context ends.
func many(ctx context.Context, n int, one func()) {
	var wait sync.WaitGroup
	for range n {
		wait.Go(func() {
			for ctx.Err() == nil {
				one()
			}
		})
	}
	wait.Wait()
}

// dribble sends the beginning, and then a byte a second, until it is hung up on.
func dribble(ctx context.Context, t target, begin string, hungUp *atomic.Int64) {
	conn, err := net.DialTimeout("tcp", t.address, 5*time.Second)
	if err != nil {
		time.Sleep(time.Second)
		return
	}
	defer conn.Close()
	if _, err := io.WriteString(conn, begin); err != nil {
		return
	}
	for ctx.Err() == nil {
		time.Sleep(time.Second)
		if _, err := io.WriteString(conn, "a"); err != nil {
			hungUp.Add(1)
			return
		}
	}
}

func slowHeads(ctx context.Context, t target) (string, error) {
	var hungUp atomic.Int64
	many(ctx, 2000, func() { dribble(ctx, t, "GET / HTTP/1.1\r\nHost: a\r\nX-Slow: ", &hungUp) })
	return fmt.Sprintf("hung up on %d times", hungUp.Load()), nil
}

func slowBodies(ctx context.Context, t target) (string, error) {
	var hungUp atomic.Int64
	begin := "POST /sign-in HTTP/1.1\r\nHost: a\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 9000\r\n\r\nname="
	many(ctx, 200, func() { dribble(ctx, t, begin, &hungUp) })
	return fmt.Sprintf("hung up on %d times", hungUp.Load()), nil
}

// idle makes connections that ask once and then say nothing.
func idle(ctx context.Context, t target) (string, error) {
	conns := make([]net.Conn, 0, t.idle)
	defer func() {
		for _, c := range conns {
			_ = c.Close()
		}
	}()
	for len(conns) < t.idle && ctx.Err() == nil {
		conn, err := net.DialTimeout("tcp", t.address, 5*time.Second)
		if err != nil {
			return "", fmt.Errorf("after %d: %w", len(conns), err)
		}
		conns = append(conns, conn)
		if _, err := io.WriteString(conn, "GET /healthz HTTP/1.1\r\nHost: a\r\n\r\n"); err != nil {
			continue // it was shut to make room
		}
		if res, err := http.ReadResponse(bufio.NewReader(conn), nil); err == nil {
			_, _ = io.Copy(io.Discard, res.Body)
		}
	}
	<-ctx.Done()
	open := 0
	for _, c := range conns {
		_ = c.SetReadDeadline(time.Now().Add(time.Millisecond))
		_, err := c.Read(make([]byte, 1))
		if late, ok := err.(net.Error); ok && late.Timeout() {
			open++ // nothing came, and no end either
		}
	}
	return fmt.Sprintf("%d were made, %d of them still open at the end", len(conns), open), nil
}

// deaf asks for forty pages, more than a connection holds, and reads none.
func deaf(ctx context.Context, t target) (string, error) {
	asks := strings.Repeat("GET / HTTP/1.1\r\nHost: a\r\n\r\n", 40)
	many(ctx, 200, func() {
		conn, err := net.DialTimeout("tcp", t.address, 5*time.Second)
		if err != nil {
			time.Sleep(time.Second)
			return
		}
		defer conn.Close()
		_ = conn.(*net.TCPConn).SetReadBuffer(4096)
		_ = conn.SetWriteDeadline(time.Now().Add(2 * time.Second))
		_, _ = io.WriteString(conn, asks)
		<-ctx.Done()
	})
	return "", nil
}

// zeros is a body of a gigabyte; it counts what is taken of it.
type zeros struct {
	left  int64
	taken *atomic.Int64
}

func (z *zeros) Read(p []byte) (int, error) {
	if z.left == 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), z.left)
	clear(p[:n])
	z.left -= n
	z.taken.Add(n)
	return int(n), nil
}

func gigabytes(ctx context.Context, t target) (string, error) {
	var sent, taken atomic.Int64
	transport := &http.Transport{}
	defer transport.CloseIdleConnections()
	many(ctx, 4, func() {
		req, err := http.NewRequestWithContext(ctx, http.MethodPost, t.url+"/sign-in", &zeros{1 << 30, &taken})
		if err != nil {
			return
		}
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		sent.Add(1)
		if res, err := transport.RoundTrip(req); err == nil {
			_ = res.Body.Close()
		}
	})
	return fmt.Sprintf("%d were begun, and %.1f MB were taken in all", sent.Load(), float64(taken.Load())/(1<<20)), nil
}

// inside connects to the private PostgreSQL as the program does.
func inside(ctx context.Context, data string) (*pgx.Conn, error) {
	where := neturl.Values{"host": {filepath.Join(data, "run")}, "port": {"5432"}, "sslmode": {"disable"}}
	return pgx.Connect(ctx, "postgres://levelpeg@/levelpeg?"+where.Encode())
}

// hangs locks what signing in reads, and has so many try to sign in all the time.
func hangs(n int) func(context.Context, target) (string, error) {
	return func(ctx context.Context, t target) (string, error) {
		conn, err := inside(ctx, t.data)
		if err != nil {
			return "", err
		}
		defer conn.Close(context.Background())
		if _, err := conn.Exec(ctx, "begin; lock table tries in access exclusive mode"); err != nil {
			return "", err
		}
		var answers sync.Map
		many(ctx, n, func() {
			req, err := http.NewRequestWithContext(ctx, http.MethodPost, t.url+"/sign-in", strings.NewReader("name=somebody&password=wrong"))
			if err != nil {
				return
			}
			req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if res, err := http.DefaultClient.Do(req); err == nil {
				count, _ := answers.LoadOrStore(res.StatusCode, new(atomic.Int64))
				count.(*atomic.Int64).Add(1)
				_ = res.Body.Close()
			}
		})
		says := "they were answered"
		answers.Range(func(code, count any) bool {
			says += fmt.Sprintf(" %d (%d times)", code, count.(*atomic.Int64).Load())
			return true
		})
		return says, nil
	}
}

// stopped halts one of the program's sessions, which then hears of no time limit of its own.
func stopped(ctx context.Context, t target) (string, error) {
	conn, err := inside(ctx, t.data)
	if err != nil {
		return "", err
	}
	defer conn.Close(context.Background())
	var pid int
	if err := conn.QueryRow(ctx, "select pid from pg_stat_activity where application_name = 'levelpeg' limit 1").Scan(&pid); err != nil {
		return "", err
	}
	if err := syscall.Kill(pid, syscall.SIGSTOP); err != nil {
		return "", err
	}
	<-ctx.Done()
	return fmt.Sprintf("session %d was stopped", pid), syscall.Kill(pid, syscall.SIGCONT)
}
