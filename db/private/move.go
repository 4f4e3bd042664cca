package private

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

// Moved says what a move left.
type Moved struct {
	From, To int    // the major versions
	Kept     string // the folder of the data as it was
}

// haltWithin is how long a PostgreSQL may take to write down what it holds.
const haltWithin = time.Minute

// Move brings the data to the PostgreSQL in another folder of programs, as a new major
// version asks: it makes a new cluster beside the old one, has fill bring everything from
// one to the other, and puts the new one in the old one's place in one step. The old data
// is kept. Nobody else uses the folder meanwhile; where anything fails, or is killed, the
// old data is in its place as it was.
func Move(ctx context.Context, cfg Config, binDir string, fill func(ctx context.Context, oldURL, newURL string) error) (Moved, error) {
	var p places
	if err := p.resolve(cfg.Dir); err != nil {
		return Moved{}, err
	}
	if major, err := dataVersion(p.data); err != nil || major == 0 {
		return Moved{}, errors.Join(fmt.Errorf("there is no data in %s to move", p.dir), err)
	}
	old, err := Start(ctx, cfg)
	if err != nil {
		return Moved{}, err
	}
	m := &move{old: old, side: filepath.Join(old.places.dir, "upgrade"), ctx: ctx}
	out, err := m.do(cfg, binDir, fill)
	m.halt(old)
	return out, errors.Join(err, old.unlock())
}

type move struct {
	ctx  context.Context
	old  *Server
	side string // the folder of the new one
}

func (m *move) do(cfg Config, binDir string, fill func(ctx context.Context, oldURL, newURL string) error) (Moved, error) {
	if err := m.clear(); err != nil {
		return Moved{}, err
	}
	cfg.Dir, cfg.BinDir, cfg.as = m.side, binDir, &m.old.user
	next, err := Start(m.ctx, cfg)
	if err != nil {
		return Moved{}, err
	}
	out := Moved{From: m.old.bin.major, To: next.bin.major}
	err = fill(m.ctx, m.old.URL(), next.URL())
	stopped := m.halt(next)
	if err := errors.Join(err, stopped, next.unlock()); err != nil {
		return out, errors.Join(err, os.RemoveAll(m.side))
	}
	if err := m.halt(m.old); err != nil {
		return out, err
	}
	out.Kept, err = m.swap(next.places.data)
	return out, err
}

// clear takes away what an earlier move left that was cut short.
func (m *move) clear() error {
	var p places
	if err := p.resolve(m.side); err != nil {
		return err
	}
	if err := clearLeftovers(m.ctx, p); err != nil {
		return err
	}
	return os.RemoveAll(m.side)
}

func (m *move) halt(s *Server) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(m.ctx), haltWithin)
	defer cancel()
	return s.halt(ctx)
}

// swap exchanges the two clusters in one step, so that there is never a moment without
// one, and keeps the old one under a name of its own. Before that the new one leaves the
// folder that the next move clears: at no moment is the old one in it. Each step is on the
// disk before the next. What is killed between two of them leaves a folder named data.moving-…,
// which nothing takes away.
func (m *move) swap(next string) (kept string, err error) {
	p, at := m.old.places, time.Now().UTC().Format("20060102T150405Z")
	moving := filepath.Join(p.dir, "data.moving-"+at)
	if err := renamed(next, moving); err != nil {
		return "", fmt.Errorf("the new data cannot leave %s, and the old is where it was: %w", next, err)
	}
	if err := unix.Renameat2(unix.AT_FDCWD, moving, unix.AT_FDCWD, p.data, unix.RENAME_EXCHANGE); err != nil {
		err = fmt.Errorf("the new data cannot take the place of the old in %s, where everything is as it was: %w", p.dir, err)
		return "", errors.Join(err, os.RemoveAll(moving)) // still the new one
	}
	if err := syncFolder(p.dir); err != nil {
		return moving, fmt.Errorf("the new data is in its place and the old in %s, but the disk does not say that it lasts: %w", moving, err)
	}
	kept = filepath.Join(p.dir, fmt.Sprintf("data.%d-%s", m.old.bin.major, at))
	if err := renamed(moving, kept); err != nil {
		return moving, fmt.Errorf("the new data is in its place; the old, from %s, did not get the name %s for good: %w", moving, kept, err)
	}
	return kept, os.RemoveAll(m.side)
}

// renamed renames into a folder, and has that on the disk.
func renamed(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(to))
}
