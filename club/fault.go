package club

import (
	"errors"
	"fmt"
	"time"
)

// Kind is the kind of a fault: what a page or a program does about it.
type Kind int

// The kinds.
const (
	Internal    Kind = iota // something went wrong on our side; logged, never shown
	NotFound                // what was asked for is not in the book
	Invalid                 // what was asked makes no sense as it stands
	Unavailable             // the book is out of reach for now; the same may work later
	Conflict                // it would undo or repeat what is there
	NotAllowed              // this is not done at this address
	Forbidden               // this person may not do it
	TooMany                 // it was tried too often; later it may work
	NoSignal                // only the server can answer it, and this is a phone without signal
)

// Fault is an error with a sentence for the person who caused or met it.
type Fault struct {
	Kind Kind
	Say  string // a whole sentence, for the page
	Err  error  // what lies behind it, for the log; may be nil
	// Wait is how long it will be before trying again can help, of TooMany.
	Wait time.Duration
	// Full says of Unavailable that it is a disk that has no room.
	Full bool
}

// Faultf makes a fault with a sentence.
func Faultf(kind Kind, format string, args ...any) *Fault {
	return &Fault{Kind: kind, Say: fmt.Sprintf(format, args...)}
}

// Because attaches what lies behind the fault.
func (f *Fault) Because(err error) *Fault {
	f.Err = err
	return f
}

// Error is for logs: the sentence and its cause.
func (f *Fault) Error() string {
	if f.Err == nil {
		return f.Say
	}
	return f.Say + ": " + f.Err.Error()
}

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Err }

// NoRoom is of a disk that is full, at the server or at its database.
func NoRoom() *Fault {
	f := Faultf(Unavailable, "There is no room on the server's disk. Nothing can be written down until there is. "+
		"Nothing is lost that was said to be in the book. Tell the club's secretary. Levels and soundings not sent yet stay on the phone, and go by themselves.")
	f.Full = true
	return f
}

// IsNoRoom says whether the first fault in err's chain is of a disk that is full.
func IsNoRoom(err error) bool {
	var f *Fault
	return errors.As(err, &f) && f.Full
}

// KindOf is the kind of the first fault in err's chain, Internal where there is none.
func KindOf(err error) Kind {
	var f *Fault
	if errors.As(err, &f) {
		return f.Kind
	}
	return Internal
}
