// Package backup makes a club's book one file while it is in use, tells whether such a
// file is whole, and puts it back. docs/backup.md describes the file.
package backup

import (
	"time"

	"filippo.io/age"

	"levelpeg/club"
)

// Format is the version of the file that this program writes. It reads no newer one.
const Format = 1

// Suffix ends a backup's name: the file is a tar, compressed by zstd.
const Suffix = ".tar.zst"

// Head stands at the beginning of a backup: what made it, of what.
type Head struct {
	Format      int        `json:"format"`
	MadeAt      time.Time  `json:"made_at"`
	Step        uint       `json:"step"` // of the schema
	Club        string     `json:"club"`
	ClubID      string     `json:"club_id"`
	PostgreSQL  string     `json:"postgresql"`
	Photographs string     `json:"photographs"` // inside or beside
	Everything  bool       `json:"everything"`  // with sessions, to move a database rather than to keep it
	Tables      []Table    `json:"tables"`
	Sequences   []Sequence `json:"sequences"`
}

// Where a backup's photographs are.
const (
	inside = "inside" // in the file
	beside = "beside" // in the folder of photographs beside it
)

// Table is a table as it is copied: its columns, and the order of its rows. Tables stand
// in an order in which each comes after those it refers to.
type Table struct {
	Name    string   `json:"name"`
	Columns []string `json:"columns"`
	Order   string   `json:"order"` // SQL
}

// Sequence is the last number a sequence gave.
type Sequence struct {
	Name string `json:"name"`
	Last int64  `json:"last"`
}

// Manifest stands at the end of a backup: what it holds.
type Manifest struct {
	Tables      []Content `json:"tables"`
	Photographs Held      `json:"photographs"`
}

// Content is what a table holds: the SHA-256 of its rows as COPY writes them.
type Content struct {
	Name   string `json:"name"`
	Rows   int64  `json:"rows"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Held counts photographs.
type Held struct {
	Count int   `json:"count"`
	Bytes int64 `json:"bytes"`
}

// Rows is how many rows all tables have.
func (m Manifest) Rows() int64 {
	var n int64
	for _, t := range m.Tables {
		n += t.Rows
	}
	return n
}

// Options are how a backup is made. The zero value makes one file that holds everything,
// for anyone to read.
type Options struct {
	// Recipients are who may read it; none: anyone.
	Recipients []age.Recipient
	// Photographs takes photographs in the file's place; nil: they are in the file.
	Photographs *Store
	// Everything has sessions in it, too, to move a database and not to keep it.
	Everything bool
}

// damaged is a fault of a file that is not as it was written.
func damaged(why error) error {
	return club.Faultf(club.Invalid, "This backup is damaged: it is not as it was written. Use another one.").Because(why)
}

func tooNew(what string, has, knows uint) error {
	return club.Faultf(club.Conflict, "This backup was made by a newer Levelpeg (%s %d, and this one knows %d). Use the newer program.", what, has, knows)
}
