package backup_test

import (
	"log/slog"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"

	"levelpeg/club"
	"levelpeg/db/backup"
)

// smallDisk is a file system of its own of some bytes.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	dir := t.TempDir()
	if err := unix.Mount("levelpeg-test", dir, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("SKIPPED, not tested: no small file system can be made here: %v", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(dir, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// TestAFullDisk: backups that are there stay, whole, and nothing half is left; with room
// again the next one is made.
func TestAFullDisk(t *testing.T) {
	url, s := filled(t)
	s.do(`update club set demo = false`)
	dir := smallDisk(t, "1800k") // one backup of the demo, and not two
	n := backup.NewNightly(url, filepath.Join(dir, "backups"), "", slog.New(slog.NewTextHandler(t.Output(), nil)))
	first := makeNight(t, n, now)
	r := rand.NewChaCha8([32]byte{4})
	for i := range 3 {
		s.photograph(r, 300_000)
		_, err := n.Make(background(t), now.AddDate(0, 0, 1+i))
		refused(t, err, club.Unavailable, "no room for a backup")
	}
	for _, name := range files(t, n.Dir) {
		if strings.HasSuffix(name, ".part") {
			t.Errorf("left behind: %s", name)
		}
	}
	if made, err := backup.Nights(n.Dir); err != nil || len(made) != 1 {
		t.Errorf("nights %v, %v", made, err)
	}
	if _, _, err := backup.Verify(background(t), first.Path, nil); err != nil {
		t.Errorf("the one there was: %v", err)
	}
	if got := one[int](s, `select count(*) from backups where why like 'There is no room%'`); got != 3 {
		t.Errorf("%d failures were written down", got)
	}
	if err := unix.Mount("levelpeg-test", dir, "tmpfs", unix.MS_REMOUNT, "size=8m"); err != nil {
		t.Fatal(err)
	}
	made := makeNight(t, n, now.AddDate(0, 0, 4))
	if _, _, err := backup.Verify(background(t), made.Path, nil); err != nil {
		t.Error(err)
	}
}
