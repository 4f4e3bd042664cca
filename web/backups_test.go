package web

import (
	"strings"
	"testing"
	"time"

	"levelpeg/club"
)

func TestBackupsPart(t *testing.T) {
	now := time.Date(2025, time.October, 18, 10, 7, 0, 0, time.UTC)
	yes, no := true, false
	for _, c := range []struct {
		name string
		b    club.Backups
		demo bool
		want string
	}{
		{"none", club.Backups{}, false, "|There is no backup of the club's book yet.|No backup was made at night so far."},
		{"well", club.Backups{Good: now.Add(-8 * time.Hour), Bytes: 12_345_678, Nightly: now.Add(-8 * time.Hour), Copied: &yes}, false,
			"The last good backup was made 8 hours ago, on Saturday 18 October 2025 at 02:07. It is 12.3 MB long."},
		{"old and failed", club.Backups{Good: now.Add(-50 * time.Hour), Bytes: 900, Nightly: now.Add(-2 * time.Hour), Why: "There is no room.", Copied: nil}, false,
			"The last good backup was made 2 days ago, on Thursday 16 October 2025 at 08:07. It is 1 kB long.|The last good backup is old.|Last night's backup failed: There is no room."},
		{"not copied", club.Backups{Good: now, Bytes: 450_000_000, Nightly: now, Copied: &no, CopyWhy: "It is not there."}, false,
			"The last good backup was made just now, on Saturday 18 October 2025 at 10:07. It is 450 MB long.|The last backup is not in its second place: It is not there."},
		{"made up", club.Backups{}, true, "A made-up club is not backed up."},
	} {
		p := newBackupsPart(c.b, c.demo, now, time.UTC)
		if got := strings.Join(append([]string{p.Says}, p.Worries...), "|"); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
	}
}
