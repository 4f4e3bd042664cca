package backup_test

import (
	"bytes"
	"io/fs"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"filippo.io/age"

	"levelpeg/club"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

func newKey(t *testing.T) *age.X25519Identity {
	t.Helper()
	key, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// lockedFolder is a folder whose second place is encrypted to a key, and what was logged.
func lockedFolder(t *testing.T) (n *backup.Nightly, s sql, key *age.X25519Identity, log *bytes.Buffer) {
	t.Helper()
	n, s = folder(t)
	key, log = newKey(t), &bytes.Buffer{}
	n.Copy, n.CopyTo, n.Log = t.TempDir(), []*age.X25519Recipient{key.Recipient()}, slog.New(slog.NewTextHandler(log, nil))
	return n, s, key, log
}

// all lists the files of a place, with their paths within it.
func all(t *testing.T, dir string) (names []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			names = append(names, rel)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

// count is how many of some files are encrypted nights, nights in the clear, encrypted
// photographs and photographs in the clear.
func count(names []string) (c [4]int) {
	for _, name := range names {
		kind := 0
		switch {
		case strings.HasPrefix(name, "photographs"):
			kind = 2
		case !strings.HasPrefix(name, "levelpeg-"):
			continue
		}
		if !strings.HasSuffix(name, ".age") {
			kind++
		}
		c[kind]++
	}
	return c
}

// having lists the files of a place in which some bytes stand as they are, or would once
// what is compressed is unpacked.
func having(t *testing.T, dir string, what []byte) (names []string) {
	t.Helper()
	for _, name := range all(t, dir) {
		path := filepath.Join(dir, name)
		in := bytes.Contains(content(t, path), what)
		_ = backup.Rewrite(background(t), path, func(_ string, body []byte) []byte { // not of photographs, nor of what is encrypted
			in = in || bytes.Contains(body, what)
			return body
		})
		if in {
			names = append(names, name)
		}
	}
	return names
}

// TestAMonthOfEncryptedNights: the same nights are kept in both places, nothing can be read
// in the second, and the second alone and the key give all of it back.
func TestAMonthOfEncryptedNights(t *testing.T) {
	t.Parallel()
	n, s, key, log := lockedFolder(t)
	s.do(`insert into members (name, role) values ('Quillon Zephyrine', 'junior')`)
	r := rand.NewChaCha8([32]byte{5})
	first := s.photograph(r, 200_000)
	var made backup.Made
	for day := range 31 {
		if day%10 == 5 {
			s.photograph(r, 70_000)
		}
		made = makeNight(t, n, now.AddDate(0, 0, day))
	}
	here, there := count(all(t, n.Dir)), count(all(t, n.Copy))
	if here[1] < 9 || here[3] != 5 || there != [4]int{here[1], 0, here[3], 0} {
		t.Errorf("in the first place lie %v, in the second %v", here, there)
	}
	if log := log.String(); strings.Contains(log, "WARN") || strings.Contains(log, "ERROR") {
		t.Error(log)
	}
	pixels := one[[]byte](s, `select substr(data, 1, 24) from picture_data where hash = $1`, first[:])
	for what, want := range map[string]int{"Quillon Zephyrine": here[1], string(pixels): 1} {
		if found := having(t, n.Dir, []byte(what)); len(found) != want {
			t.Errorf("%q stands in %v of the first place", what, found)
		}
		if found := having(t, n.Copy, []byte(what)); len(found) != 0 {
			t.Errorf("%q stands in %v of the second place", what, found)
		}
	}
	if err := os.RemoveAll(n.Dir); err != nil {
		t.Fatal(err)
	}
	file, other := filepath.Join(n.Copy, filepath.Base(made.Path)+".age"), dbtest.Empty(t)
	out := restore(t, other, file, backup.Restoring{Aside: true, Keys: []age.Identity{key}})
	sameHoldings(t, connect(t, other).holds("backups"), s.holds("backups"))
	if out.Manifest.Photographs.Count != 5 {
		t.Errorf("%d photographs came back", out.Manifest.Photographs.Count)
	}
}

// locked is where a night lies in the second place.
func locked(n *backup.Nightly, made backup.Made) string {
	return filepath.Join(n.Copy, filepath.Base(made.Path)+".age")
}

// TestWhatAnEncryptedNightRefuses: another key, none, a photograph that is missing,
// damaged anywhere, another's, or encrypted to another.
func TestWhatAnEncryptedNightRefuses(t *testing.T) {
	t.Parallel()
	n, s, key, _ := lockedFolder(t)
	made := makeNight(t, n, now)
	verify := func(keys ...age.Identity) error {
		_, _, err := backup.Verify(background(t), locked(n, made), keys)
		return err
	}
	if err := verify(key); err != nil {
		t.Fatal(err)
	}
	refused(t, verify(newKey(t)), club.Invalid, "does not open this backup")
	refused(t, verify(), club.Invalid, "is encrypted")

	path := photos(t, n.Copy)[0]
	whole := content(t, path)
	rewrite := func(b []byte) {
		t.Helper()
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r, _ := random()
	for _, at := range places(r, len(whole), 50)[:400] {
		spoilt := bytes.Clone(whole)
		spoilt[at] ^= byte(1 + r.IntN(255))
		rewrite(spoilt)
		if err := verify(key); club.KindOf(err) != club.Invalid {
			t.Fatalf("byte %d of %d: %v", at, len(whole), err)
		}
	}
	rewrite(whole[:len(whole)-1])
	refused(t, verify(key), club.Invalid, "damaged")
	rewrite(encrypted(t, []byte("another photograph"), key.Recipient()))
	refused(t, verify(key), club.Invalid, "damaged")
	rewrite(encrypted(t, one[[]byte](s, `select data from picture_data`), newKey(t).Recipient()))
	refused(t, verify(key), club.Invalid, "does not open the photograph")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	refused(t, verify(key), club.Invalid, "photographs lie in the folder")
	// One that lies there in the clear does as well, and is looked at as closely.
	path = strings.TrimSuffix(path, ".age")
	rewrite([]byte("another photograph"))
	refused(t, verify(key), club.Invalid, "damaged")
	rewrite(one[[]byte](s, `select data from picture_data`))
	if err := verify(key); err != nil {
		t.Error(err)
	}
}

func encrypted(t *testing.T, plain []byte, to age.Recipient) []byte {
	t.Helper()
	var out bytes.Buffer
	w, err := age.Encrypt(&out, to)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(plain); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
