package backup_test

import (
	"math/rand/v2"
	"path/filepath"
	"testing"

	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
	"levelpeg/e2e/forgetful"
)

// strictDisk is a disk on which even a name lasts only where its folder was flushed.
func strictDisk(t *testing.T) (*forgetful.Disk, string) {
	t.Helper()
	at := t.TempDir()
	disk, err := forgetful.Mount(at, true)
	if err != nil {
		t.Skipf("SKIPPED, not tested: no file system of our own can be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := disk.Unmount(); err != nil {
			t.Error(err)
		}
	})
	return disk, at
}

// TestPowerLostAfterABackup: what was said to be made is there, whole, in both places, when
// power is lost the moment after, on disks that keep nothing but what was flushed; and the
// list of removals with it. The nights go on from there.
func TestPowerLostAfterABackup(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	here, at := strictDisk(t)
	there, second := strictDisk(t)
	n.Dir, n.Copy = filepath.Join(at, "var", "backups"), second
	random := rand.New(rand.NewPCG(20260614, 8))
	r := rand.NewChaCha8([32]byte{8})
	s.do(`insert into removals (club_id, member_id, member_since, removed_at) select id, 1000, now() - interval '1 year', now() from club`)
	var made backup.Made
	for night := range 3 {
		s.photograph(r, 30_000)
		made = makeNight(t, n, now.AddDate(0, 0, night))
		for _, d := range []*forgetful.Disk{here, there} {
			d.PowerOff()
			if err := d.PowerOn(random, 0); err != nil {
				t.Fatal(err)
			}
		}
		for _, dir := range []string{n.Dir, n.Copy} {
			for before := range night + 1 {
				if _, _, err := backup.Verify(background(t), filepath.Join(dir, backup.NameOf(now.AddDate(0, 0, before))), nil); err != nil {
					t.Errorf("night %d of %d in %s: %v", before, night, dir, err)
				}
			}
			if all, err := backup.ReadRemovals(filepath.Join(dir, backup.RemovalsName)); err != nil || len(all) != 1 {
				t.Errorf("the list of removals in %s: %v, %v", dir, all, err)
			}
		}
	}
	other := dbtest.Empty(t)
	restore(t, other, filepath.Join(n.Copy, filepath.Base(made.Path)), backup.Restoring{Aside: true})
	if got := one[int](connect(t, other), `select count(*) from picture_data`); got != made.Manifest.Photographs.Count {
		t.Errorf("%d photographs came back of %d", got, made.Manifest.Photographs.Count)
	}
}
