package club

import "time"

// The bounds of tables of levels that wait to be looked at and kept.
const (
	TableMost     = 256 << 20 // bytes of one
	TablesMost    = 512 << 20 // bytes of all
	TableWaitsFor = time.Hour
)

// WaitingTable is a table of a gauge's levels that somebody sent and has not kept yet.
type WaitingTable struct {
	ID    string
	Name  string // as its sender calls it
	Bytes int64
}

// ErrNoTable is of one that is not there, or not theirs who asks.
func ErrNoTable() *Fault {
	return Faultf(NotFound, "That file is not here any more. Files wait for an hour, and less where many come at once. Choose it again.")
}
