package backup_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"filippo.io/age"

	"levelpeg/club"
	"levelpeg/db/backup"
)

func day(n int) time.Time { return now.AddDate(0, 0, n) }

// nightIn is where a day's night lies in the second place, with what ends its name.
func nightIn(n *backup.Nightly, of int, end string) string {
	return filepath.Join(n.Copy, backup.NameOf(day(of))+end)
}

func good(t *testing.T, path string, keys ...age.Identity) {
	t.Helper()
	if _, _, err := backup.Verify(background(t), path, keys); err != nil {
		t.Errorf("%s: %v", filepath.Base(path), err)
	}
}

func lies(t *testing.T, dir string, want [4]int) {
	t.Helper()
	if names := all(t, dir); count(names) != want {
		t.Errorf("there lie %v: %v, want %v", count(names), names, want)
	}
}

// TestFromClearToEncryptedAndBack: what the first place has is encrypted in the next night,
// the rest is left and told; and in the clear again, what is encrypted is read until it ages
// out.
func TestFromClearToEncryptedAndBack(t *testing.T) {
	t.Parallel()
	n, s, key, log := lockedFolder(t)
	to := n.CopyTo
	n.CopyTo = nil
	made := makeNight(t, n, day(0))
	s.do(`delete from pictures`)
	s.photograph(rand.NewChaCha8([32]byte{6}), 3000)
	if err := os.Remove(made.Path); err != nil {
		t.Fatal(err)
	}
	makeNight(t, n, day(1)) // and the first place has the first photograph no longer
	lies(t, n.Copy, [4]int{0, 2, 0, 2})
	half := nightIn(n, 1, ".1.part")
	if err := os.WriteFile(half, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}

	n.CopyTo = to
	makeNight(t, n, day(2))
	lies(t, n.Copy, [4]int{2, 1, 1, 1})
	if !strings.Contains(log.String(), "in the clear: the first place has them no longer") || !strings.Contains(log.String(), "files=2") {
		t.Error(log)
	}
	if _, err := os.Stat(half); err == nil {
		t.Error("what was half written in the clear is still there")
	}
	good(t, nightIn(n, 0, ""))
	good(t, nightIn(n, 1, ".age"), key)
	good(t, nightIn(n, 2, ".age"), key)

	n.CopyTo = nil
	makeNight(t, n, day(3))
	lies(t, n.Copy, [4]int{2, 2, 1, 2})
	good(t, nightIn(n, 2, ".age"), key)
	good(t, nightIn(n, 3, ""))
	for _, later := range []int{4, 5, 6, 7, 8, 9, 16, 23, 30} {
		makeNight(t, n, day(later))
	}
	if c := count(all(t, n.Copy)); c[0] != 0 || c[2] != 0 || c[3] != 1 {
		t.Errorf("weeks later there lie %v", all(t, n.Copy))
	}
}

// TestNothingIsEncryptedTwice to the same recipients, but for what is not whole.
func TestNothingIsEncryptedTwice(t *testing.T) {
	t.Parallel()
	n, s, key, _ := lockedFolder(t)
	r := rand.NewChaCha8([32]byte{7})
	for _, size := range []int{1, 65_535, 65_536, 65_537, 131_072, 131_073} {
		s.photograph(r, size)
	}
	makeNight(t, n, day(0))
	before := infos(t, n.Copy)
	makeNight(t, n, day(1))
	for name, info := range before {
		if now, err := os.Stat(filepath.Join(n.Copy, name)); err != nil || !os.SameFile(info, now) {
			t.Errorf("%s was written again, %v", name, err)
		}
	}
	good(t, nightIn(n, 1, ".age"), key)

	if err := os.Truncate(photos(t, n.Copy)[3], 100); err != nil {
		t.Fatal(err)
	}
	makeNight(t, n, day(2))
	good(t, nightIn(n, 2, ".age"), key)
}

// TestAnotherKey: what was encrypted to the one of before is encrypted anew, also what
// tonight does not want.
func TestAnotherKey(t *testing.T) {
	t.Parallel()
	n, s, key, _ := lockedFolder(t)
	makeNight(t, n, day(0))
	makeNight(t, n, day(1))
	s.do(`delete from pictures`) // tonight wants none of them, and the nights of before do
	next, another := newKey(t), newKey(t)
	n.CopyTo = []*age.X25519Recipient{next.Recipient()}
	makeNight(t, n, day(2))
	for of := range 3 {
		good(t, nightIn(n, of, ".age"), next)
	}
	n.CopyTo = append(n.CopyTo, another.Recipient())
	makeNight(t, n, day(3))
	for of := range 4 {
		good(t, nightIn(n, of, ".age"), next)
		good(t, nightIn(n, of, ".age"), another)
		_, _, err := backup.Verify(background(t), nightIn(n, of, ".age"), []age.Identity{key})
		refused(t, err, club.Invalid, "does not open")
	}
}

func infos(t *testing.T, dir string) map[string]os.FileInfo {
	t.Helper()
	out := map[string]os.FileInfo{}
	for _, name := range all(t, dir) {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		out[name] = info
	}
	return out
}

// TestWhatIsSpoiltIsNotEncrypted in the place of what may be good in the second place; it
// is told, and done once the book has mended it.
func TestWhatIsSpoiltIsNotEncrypted(t *testing.T) {
	t.Parallel()
	n, s, key, log := lockedFolder(t)
	to := n.CopyTo
	n.CopyTo = nil
	made := makeNight(t, n, day(0))
	photo := photos(t, n.Dir)[0]
	from := day(1)
	for one[int](s, `select get_byte(hash, 0) % 7 from picture_data`) == int(from.Unix()/86400%7) { // that night would mend it
		from = from.AddDate(0, 0, 1)
	}
	for _, path := range []string{photo, made.Path} {
		spoilt := content(t, path)
		spoilt[len(spoilt)/2] ^= 1
		if err := os.WriteFile(path, spoilt, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	n.CopyTo = to
	makeNight(t, n, from)
	lies(t, n.Copy, [4]int{1, 1, 0, 1})
	good(t, nightIn(n, 0, ""))
	if why := one[string](s, `select copy_why from backups where not copied`); !strings.Contains(why, "mended from the book within a week") {
		t.Errorf("it is told as %q", why)
	}
	if !strings.Contains(log.String(), "left in the second place as it is") {
		t.Error(log)
	}
	var last backup.Made
	for later := range 7 {
		last = makeNight(t, n, from.AddDate(0, 0, 1+later))
	}
	good(t, locked(n, last), key)
	if c := count(all(t, n.Copy)); c[2] != 1 || c[3] != 0 {
		t.Errorf("a week on there lie %v", all(t, n.Copy))
	}
}

// TestNoPhotographGoesUnknown: while an encrypted night is kept whose photographs the first
// place does not tell, none goes, and nights go as ever.
func TestNoPhotographGoesUnknown(t *testing.T) {
	t.Parallel()
	n, s, key, log := lockedFolder(t)
	s.do(`delete from pictures`)
	unknown := makeNight(t, n, day(1)) // a Sunday: kept for four weeks
	s.photograph(rand.NewChaCha8([32]byte{8}), 3000)
	makeNight(t, n, day(2))
	s.do(`delete from pictures`)
	if err := os.Remove(unknown.Path); err != nil {
		t.Fatal(err)
	}
	for later := 3; later <= 9; later++ {
		makeNight(t, n, day(later))
	}
	lies(t, n.Dir, [4]int{0, 7, 0, 0})
	lies(t, n.Copy, [4]int{8, 0, 1, 0})
	if !strings.Contains(log.String(), "no photograph goes") {
		t.Error(log)
	}
	good(t, nightIn(n, 1, ".age"), key)
	for _, later := range []int{16, 23, 30} {
		makeNight(t, n, day(later))
	}
	if c := count(all(t, n.Copy)); c[2] != 0 {
		t.Errorf("once that is gone there lie %v", all(t, n.Copy))
	}
}

// TestAFailedEncryptionIsTold as a failed copy is, and leaves nothing in the clear.
func TestAFailedEncryptionIsTold(t *testing.T) {
	t.Parallel()
	n, s, _, _ := lockedFolder(t)
	if err := os.WriteFile(filepath.Join(n.Copy, "photographs"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	makeNight(t, n, day(0))
	if why := one[string](s, `select copy_why from backups where not copied and why = ''`); !strings.Contains(why, "No backup can be written to "+n.Copy) {
		t.Errorf("it is told as %q", why)
	}
	if names := all(t, n.Copy); len(names) != 1 {
		t.Errorf("there lie %v", names)
	}
}

// TestTheSecondPlaceIsNotTheFirst: what is encrypted takes the place of what is in the clear.
func TestTheSecondPlaceIsNotTheFirst(t *testing.T) {
	t.Parallel()
	n, _, _, log := lockedFolder(t)
	if err := os.Symlink(filepath.Join(n.Dir, "photographs"), filepath.Join(n.Copy, "photographs")); err != nil {
		t.Fatal(err)
	}
	for i, second := range []string{n.Copy, n.Dir} {
		n.Copy = second
		good(t, makeNight(t, n, day(i)).Path)
		lies(t, n.Dir, [4]int{0, 1 + i, 0, 1})
	}
	if strings.Count(log.String(), "is the first one") != 2 {
		t.Error(log)
	}
}

func TestParseRecipients(t *testing.T) {
	t.Parallel()
	key := newKey(t)
	to, err := backup.ParseRecipients([]string{key.Recipient().String()})
	if err != nil || len(to) != 1 || to[0].String() != key.Recipient().String() {
		t.Errorf("%v, %v", to, err)
	}
	_, err = backup.ParseRecipients([]string{key.Recipient().String() + "x"})
	refused(t, err, club.Invalid, "is not an age recipient")
	_, err = backup.ParseRecipients([]string{key.String()})
	refused(t, err, club.Invalid, "is a secret key")
	if strings.Contains(err.Error(), key.String()[20:40]) {
		t.Error("the secret key is repeated")
	}
}
