package main

import (
	"io"
	"log"
	"log/slog"
	"regexp"
)

// logging is how a command writes its log, which goes to standard error.
type logging struct {
	Log string `help:"How to write the log: text or json." enum:"text,json" default:"text" env:"LEVELPEG_LOG"`
}

func (l logging) logger(out io.Writer) *slog.Logger {
	if l.Log == "json" {
		return slog.New(slog.NewJSONHandler(out, nil))
	}
	return slog.New(slog.NewTextHandler(out, nil))
}

// addressed are the addresses in what net/http says of a connection.
var addressed = regexp.MustCompile(`\[[0-9A-Fa-f:.%a-z]+\]:\d+|\d+\.\d+\.\d+\.\d+(:\d+)?`)

// unaddressed passes net/http's own words on without the addresses of those they are of.
type unaddressed struct{ log *slog.Logger }

func quietLog(l *slog.Logger) *log.Logger { return log.New(unaddressed{l}, "", 0) }

func (u unaddressed) Write(p []byte) (int, error) {
	u.log.Warn("connection", "says", addressed.ReplaceAllString(string(p), "…"))
	return len(p), nil
}
