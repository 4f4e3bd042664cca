package web

import (
	"fmt"
	"time"

	"levelpeg/club"
)

// BackupsPart is what a page says of the backups of the book.
type BackupsPart struct {
	Says    string
	Worries []string // what is to be mended, a sentence each
}

// newBackupsPart shapes it. A made-up club has none.
func newBackupsPart(b club.Backups, demo bool, now time.Time, loc *time.Location) BackupsPart {
	if demo {
		return BackupsPart{Says: "A made-up club is not backed up."}
	}
	p := BackupsPart{Worries: b.Worry(now)}
	if !b.Good.IsZero() {
		p.Says = fmt.Sprintf("The last good backup was made %s, on %s. It is %s long.", ago(max(0, now.Sub(b.Good))), b.Good.In(loc).Format("Monday 2 January 2006 at 15:04"), megabytes(b.Bytes))
	}
	return p
}

// megabytes is a length in bytes as people say it.
func megabytes(n int64) string {
	switch {
	case n < 1e6:
		return fmt.Sprintf("%d kB", (n+999)/1000)
	case n < 1e8:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%.0f MB", float64(n)/1e6)
}
