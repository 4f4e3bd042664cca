package club

import "time"

// Backups is how the backups of the book are doing.
type Backups struct {
	Good    time.Time // when the last good one was made; zero: there is none
	Bytes   int64     // its file's
	Nightly time.Time // when the last nightly one was made or tried; zero: never
	Why     string    // what went wrong with that; empty: nothing
	Copied  *bool     // whether it is in the second place; nil: there is none
	CopyWhy string    // why it is not
}

// BackupOld is how old the last good backup may grow before the pages warn: a night, and
// half a day for a machine that is off at night.
const BackupOld = 36 * time.Hour

// Worry says what the secretary has to mend, a sentence each.
func (b Backups) Worry(now time.Time) []string {
	var says []string
	switch {
	case b.Good.IsZero():
		says = append(says, "There is no backup of the club's book yet.")
	case now.Sub(b.Good) > BackupOld:
		says = append(says, "The last good backup is old.")
	}
	if b.Why != "" {
		says = append(says, "Last night's backup failed: "+b.Why)
	}
	switch {
	case b.Nightly.IsZero():
		says = append(says, "No backup was made at night so far.")
	case b.Copied == nil && b.Why == "":
		says = append(says, "Backups are kept in one place only: a lost disk takes them along. Whoever runs the server can give a second place.")
	case b.Copied != nil && !*b.Copied:
		says = append(says, "The last backup is not in its second place: "+b.CopyWhy)
	}
	return says
}
