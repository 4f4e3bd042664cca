package backup_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"filippo.io/age"
	"github.com/klauspost/compress/zstd"

	"levelpeg/club"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// little is a small backup with a photograph in it: small enough to be read over and over.
func little(t *testing.T, o backup.Options) (url string, made backup.Made) {
	t.Helper()
	url = dbtest.New(t)
	s := connect(t, url)
	s.do(`insert into club (name, time_zone, place) values ('A', 'UTC', 'England')`)
	s.do(`insert into gauges (slug, name, river, low_mm, high_mm) values ('g', 'G', 'R', 0, 1000)`)
	s.do(`insert into venues (slug, name, river, gauge_id, position) select 'v', 'V', 'R', id, 1 from gauges`)
	s.odd()
	s.photograph(rand.NewChaCha8([32]byte{2}), 1500)
	return url, toFile(t, url, o)
}

// places are positions in a file: all of its beginning and its end, and random ones.
func places(r *rand.Rand, size, random int) []int {
	var at []int
	for i := range min(size, 400) {
		at = append(at, i, size-1-i)
	}
	for range random {
		at = append(at, r.IntN(size))
	}
	return at
}

func random() (r *rand.Rand, n int) {
	n = 1500
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 20_000
	}
	return rand.New(rand.NewPCG(1, 2)), n
}

// TestAFlippedByteAnywhereIsNoticed, in the open file and in an encrypted one, whichever
// way it is flipped.
func TestAFlippedByteAnywhereIsNoticed(t *testing.T) {
	t.Parallel()
	key, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	keys := []age.Identity{key}
	for name, o := range map[string]backup.Options{"open": {}, "encrypted": {Recipients: []age.Recipient{key.Recipient()}}} {
		_, made := little(t, o)
		whole := content(t, made.Path)
		if _, _, err := backup.Verify(background(t), made.Path, keys); err != nil {
			t.Fatalf("%s: as it was written: %v", name, err)
		}
		r, n := random()
		all := places(r, len(whole), n)
		for _, at := range all {
			spoilt := bytes.Clone(whole)
			spoilt[at] ^= byte(1 + r.IntN(255))
			if err := os.WriteFile(made.Path, spoilt, 0o600); err != nil {
				t.Fatal(err)
			}
			if _, _, err := backup.Verify(background(t), made.Path, keys); club.KindOf(err) != club.Invalid {
				t.Errorf("%s: byte %d of %d changed from %#x to %#x: %v", name, at, len(whole), whole[at], spoilt[at], err)
			}
		}
		t.Logf("%s: %d flips in %d bytes", name, len(all), len(whole))
	}
}

func TestATruncatedBackupIsNoticed(t *testing.T) {
	t.Parallel()
	_, made := little(t, backup.Options{})
	whole := content(t, made.Path)
	r, _ := random()
	for _, at := range places(r, len(whole), 300) {
		if err := os.WriteFile(made.Path, whole[:at], 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := backup.Verify(background(t), made.Path, nil); club.KindOf(err) != club.Invalid {
			t.Errorf("the first %d of %d bytes: %v", at, len(whole), err)
		}
	}
	for name, more := range map[string][]byte{"a byte": {0}, "itself": whole} {
		if err := os.WriteFile(made.Path, append(bytes.Clone(whole), more...), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := backup.Verify(background(t), made.Path, nil); club.KindOf(err) != club.Invalid {
			t.Errorf("with %s after it: %v", name, err)
		}
	}
}

// TestADamagedBackupChangesNothing: the database it was to go into stays empty and usable.
func TestADamagedBackupChangesNothing(t *testing.T) {
	t.Parallel()
	_, made := little(t, backup.Options{})
	spoilt := content(t, made.Path)
	spoilt[len(spoilt)/2] ^= 1
	if err := os.WriteFile(made.Path, spoilt, 0o600); err != nil {
		t.Fatal(err)
	}
	other := dbtest.Empty(t)
	_, err := backup.Restore(background(t), other, made.Path, backup.Restoring{}, now)
	refused(t, err, club.Invalid, "damaged")
	if n := one[int](connect(t, other), `select count(*) from pg_class where relnamespace = 'public'::regnamespace`); n != 0 {
		t.Errorf("%d things stand in the empty database", n)
	}
}

func TestKeys(t *testing.T) {
	t.Parallel()
	good, err := age.NewScryptRecipient("correct horse battery")
	if err != nil {
		t.Fatal(err)
	}
	good.SetWorkFactor(10)
	_, made := little(t, backup.Options{Recipients: []age.Recipient{good}})
	if bytes.Contains(content(t, made.Path), []byte("README")) || bytes.Contains(content(t, made.Path), []byte("\x28\xb5\x2f\xfd")) {
		t.Error("it can be read without a key")
	}
	word := func(w string) []age.Identity {
		id, err := age.NewScryptIdentity(w)
		if err != nil {
			t.Fatal(err)
		}
		return []age.Identity{id}
	}
	_, _, err = backup.Verify(background(t), made.Path, word("correct horse battery"))
	if err != nil {
		t.Error(err)
	}
	_, _, err = backup.Verify(background(t), made.Path, word("wrong horse battery"))
	refused(t, err, club.Invalid, "does not open")
	_, _, err = backup.Verify(background(t), made.Path, nil)
	refused(t, err, club.Invalid, "is encrypted")
	other, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = backup.Verify(background(t), made.Path, []age.Identity{other})
	refused(t, err, club.Invalid, "does not open")
}

// remade is a backup whose head is changed, and sealed again as its program would.
func remade(t *testing.T, path string, change func(head map[string]any)) {
	t.Helper()
	err := backup.Rewrite(t.Context(), path, func(name string, body []byte) []byte {
		if name != "backup.json" {
			return body
		}
		head := map[string]any{}
		if err := json.Unmarshal(body, &head); err != nil {
			t.Fatal(err)
		}
		change(head)
		out, err := json.Marshal(head)
		if err != nil {
			t.Fatal(err)
		}
		return out
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestNewerBackupsAreRefused(t *testing.T) {
	t.Parallel()
	url, made := little(t, backup.Options{})
	for words, change := range map[string]func(map[string]any){
		"its form is 2, and this one knows 1":          func(h map[string]any) { h["format"] = 2 },
		"its schema is at step 99, and this one knows": func(h map[string]any) { h["step"] = 99 },
	} {
		path := filepath.Join(t.TempDir(), "x")
		if err := os.WriteFile(path, content(t, made.Path), 0o600); err != nil {
			t.Fatal(err)
		}
		remade(t, path, change)
		_, err := backup.Restore(background(t), url, path, backup.Restoring{}, now)
		refused(t, err, club.Conflict, words)
	}
	// What is sealed and makes no sense is refused, too: its SQL is never run.
	for name, change := range map[string]func(map[string]any){
		"no step":      func(h map[string]any) { h["step"] = 0 },
		"other place":  func(h map[string]any) { h["photographs"] = "../x" },
		"no tables":    func(h map[string]any) { h["tables"] = nil },
		"odd sequence": func(h map[string]any) { h["sequences"] = "x" },
	} {
		path := filepath.Join(t.TempDir(), "x")
		if err := os.WriteFile(path, content(t, made.Path), 0o600); err != nil {
			t.Fatal(err)
		}
		remade(t, path, change)
		if _, err := backup.Restore(background(t), url, path, backup.Restoring{}, now); club.KindOf(err) != club.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestNotABackup(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	enc, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, body := range map[string][]byte{"empty": nil, "text": []byte("name,depth\n1,2\n"), "zeros": make([]byte, 5000), "zstd": enc.EncodeAll([]byte("hello"), nil)} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, body, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := backup.Verify(background(t), path, nil); club.KindOf(err) != club.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, _, err = backup.Verify(background(t), filepath.Join(dir, "none"), nil)
	refused(t, err, club.Invalid, "cannot be read")
	_, _, err = backup.Verify(background(t), dir, nil)
	if err == nil {
		t.Error("a folder passes for a backup")
	}
}
