package private

import (
	"bufio"
	"context"
	"io"
	"log/slog"
	"strings"
	"sync"
	"time"
)

// journal passes on what postgres writes and remembers its last serious words.
type journal struct {
	log   *slog.Logger
	over  chan struct{} // closed when nobody can write any more
	level slog.Level    // of the message being read

	mu      sync.Mutex
	last    string
	serious bool
}

// follow reads until every process that may write has ended, so that none of
// them ever waits for us.
func follow(r io.ReadCloser, log *slog.Logger) *journal {
	j := &journal{log: log, over: make(chan struct{}), level: slog.LevelWarn}
	go func() {
		defer close(j.over)
		defer r.Close()
		lines := bufio.NewReader(r)
		for {
			line, _, err := lines.ReadLine() // a very long line comes in pieces
			if err != nil {
				return
			}
			j.take(string(line))
		}
	}()
	return j
}

// levels of PostgreSQL's severities. An ERROR is one statement's and comes back
// to whoever sent it, who knows better what to say and what to keep quiet; a
// FATAL is one connection's, or a failed start.
var levels = map[string]slog.Level{
	"LOG": slog.LevelDebug, "INFO": slog.LevelDebug, "NOTICE": slog.LevelDebug, "ERROR": slog.LevelDebug,
	"WARNING": slog.LevelWarn, "FATAL": slog.LevelWarn, "PANIC": slog.LevelError,
}

// take passes one line on. Lines that begin no message of their own (details,
// hints, continuations) go at the level of the one before.
func (j *journal) take(line string) {
	severity, _, _ := strings.Cut(line, ":")
	level, begins := levels[severity]
	if begins {
		j.level = level
	}
	j.log.Log(context.Background(), j.level, "PostgreSQL: "+line)
	if !strings.HasPrefix(line, turnedAway) {
		j.remember(line, severity == "FATAL" || severity == "PANIC")
	}
}

// turnedAway is what connections are told while postgres starts or ends. It is no reason
// why it did.
const turnedAway = "FATAL:  the database system is "

// remember keeps the last serious line, and until there is one the last of all.
func (j *journal) remember(line string, serious bool) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if serious || !j.serious {
		j.last, j.serious = line, serious
	}
}

// lastWords waits a moment for what is still in the pipe.
func (j *journal) lastWords() string {
	select {
	case <-j.over:
	case <-time.After(time.Second):
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.last
}
