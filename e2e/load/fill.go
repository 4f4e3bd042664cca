package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/db"
	"levelpeg/db/private"
)

// filled says what a folder was filled with, in the folder.
type filled struct {
	Size size
	At   time.Time
}

const filledFile = "load.json"

func readFilled(dir string) (filled, error) {
	var f filled
	text, err := os.ReadFile(filepath.Join(dir, filledFile))
	if err == nil {
		err = json.Unmarshal(text, &f)
	}
	return f, err
}

func (f filled) write(dir string) error {
	text, err := json.Marshal(f)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, filledFile), append(text, '\n'), 0o644)
}

// prepare fills the folder, or brings one that was filled before up to date: its schema,
// and the levels of the time since.
func prepare(ctx context.Context, o options, now time.Time, out io.Writer) error {
	was, err := readFilled(o.data)
	switch {
	case err == nil && was.Size != o.size:
		return fmt.Errorf("%s was filled with %d pegs, %d soundings and %d levels: ask for as many, or for another folder", o.data, was.Size.Pegs, was.Size.Soundings, was.Size.Levels)
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return err
	}
	fresh := err != nil
	if left, err := os.ReadDir(o.data); fresh && err == nil && len(left) > 0 {
		return fmt.Errorf("%s holds something else, or was not filled to the end", o.data)
	}
	// What a power cut would spoil is filled anew; nobody's book lies here.
	server, err := private.Start(ctx, private.Config{Dir: o.data, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Fast: fresh})
	if err != nil {
		return err
	}
	defer func() { _ = server.Stop(context.WithoutCancel(ctx)) }()
	if err := db.Migrate(ctx, server.URL()); err != nil {
		return err
	}
	conn, err := master(ctx, server.URL())
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	f := filling{ctx: ctx, conn: conn, size: o.size, now: now.UTC().Truncate(time.Minute), out: out}
	if !fresh {
		f.filledAt = was.At
		return f.catchUp()
	}
	if err := f.all(); err != nil {
		return err
	}
	return filled{Size: o.size, At: f.now}.write(o.data)
}

// master connects as the cluster's own superuser, who may put triggers and the checks of
// foreign keys off.
func master(ctx context.Context, url string) (*pgx.Conn, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	cfg.User = "postgres"
	cfg.RuntimeParams["work_mem"], cfg.RuntimeParams["maintenance_work_mem"], cfg.RuntimeParams["jit"] = "128MB", "256MB", "off"
	return pgx.ConnectConfig(ctx, cfg)
}

// filling is a book being made.
type filling struct {
	ctx      context.Context
	conn     *pgx.Conn
	size     size
	now      time.Time
	filledAt time.Time // of a folder that was filled before
	out      io.Writer
}

func (f filling) do(query string, args ...any) error {
	if _, err := f.conn.Exec(f.ctx, query, args...); err != nil {
		return fmt.Errorf("%w, of: %.200s", err, query)
	}
	return nil
}

func (f filling) say(format string, args ...any) { fmt.Fprintf(f.out, format+"\n", args...) }

// all makes the whole book, triggers and the checks of foreign keys off, and looks it
// over.
func (f filling) all() error {
	began := time.Now()
	f.say("filling: %d pegs, %d soundings, %d levels", f.size.Pegs, f.size.Soundings, f.size.Levels)
	if err := f.do(`set session_replication_role = replica`); err != nil {
		return err
	}
	for _, part := range []struct {
		name string
		make func() error
	}{{"the club", f.club}, {"levels", f.levels}, {"soundings", f.soundings}, {"counting", f.count}} {
		at := time.Now()
		if err := part.make(); err != nil {
			return fmt.Errorf("%s: %w", part.name, err)
		}
		f.say("filling: %s, %v", part.name, time.Since(at).Round(time.Second))
	}
	if err := f.check(); err != nil {
		return err
	}
	f.say("filled in %v", time.Since(began).Round(time.Second))
	return nil
}

func (f filling) count() error {
	if err := f.do(`set session_replication_role = origin`); err != nil {
		return err
	}
	return f.do(`vacuum analyze`)
}
