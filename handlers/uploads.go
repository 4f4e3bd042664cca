//go:build !js

package handlers

import (
	"bytes"
	"crypto/rand"
	"encoding/base64"
	"io"
	"os"
	"sync"
	"time"

	"levelpeg/club"
)

// The bounds of files that wait to be looked at and kept.
const (
	uploadMost  = 256 << 20 // bytes of one
	uploadsMost = 512 << 20 // bytes of all
	uploadKeeps = time.Hour
)

// levelFile is a table that somebody sent and has not kept yet. It has no name on the disk:
// when the server ends, however it does, it is gone.
type levelFile struct {
	id      string
	name    string // as its sender calls it
	gauge   string
	session []byte
	at      time.Time
	file    *os.File
	size    int64
}

// read is the file from its beginning.
func (u *levelFile) read() io.Reader { return io.NewSectionReader(u.file, 0, u.size) }

// levelFiles are those that wait.
type levelFiles struct {
	mu  sync.Mutex
	all []*levelFile // oldest first
}

// take copies a file to the disk.
func (u *levelFiles) take(from io.Reader, name, gauge string, session []byte, now time.Time) (*levelFile, error) {
	file, err := os.CreateTemp("", "levelpeg-table-*")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(file.Name()); err != nil {
		file.Close()
		return nil, err
	}
	size, err := io.Copy(file, from)
	if err != nil {
		file.Close()
		return nil, err
	}
	var id [16]byte
	if _, err := rand.Read(id[:]); err != nil {
		file.Close()
		return nil, err
	}
	up := &levelFile{base64.RawURLEncoding.EncodeToString(id[:]), name, gauge, session, now, file, size}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.all = append(u.all, up)
	u.tidy(now)
	return up, nil
}

// tidy lets go of what waited too long, and of the oldest where all are too much.
func (u *levelFiles) tidy(now time.Time) {
	var bytes int64
	for _, up := range u.all {
		bytes += up.size
	}
	for len(u.all) > 1 && (bytes > uploadsMost || now.Sub(u.all[0].at) > uploadKeeps) {
		bytes -= u.all[0].size
		u.all[0].file.Close()
		u.all = u.all[1:]
	}
}

// find gives a session its own file.
func (u *levelFiles) find(id, gauge string, session []byte, now time.Time) (*levelFile, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	for _, up := range u.all {
		if up.id == id && up.gauge == gauge && bytes.Equal(up.session, session) && now.Sub(up.at) <= uploadKeeps {
			return up, nil
		}
	}
	return nil, club.Faultf(club.NotFound, "That file is not here any more. Files wait for an hour, and not longer than the server runs. Choose it again.")
}

// drop lets go of one.
func (u *levelFiles) drop(up *levelFile) {
	u.mu.Lock()
	defer u.mu.Unlock()
	for i := range u.all {
		if u.all[i] == up {
			u.all = append(u.all[:i], u.all[i+1:]...)
			up.file.Close()
			return
		}
	}
}
