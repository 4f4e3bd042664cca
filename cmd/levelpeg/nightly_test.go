package main

import (
	"bytes"
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"filippo.io/age"
	"github.com/jackc/pgx/v5"

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

// A second place that is not encrypted because of a slip is found out at the start.
func TestSlipsInWhomTheSecondPlaceIsEncryptedTo(t *testing.T) {
	dir, key := t.TempDir(), newKey(t)
	for _, c := range []struct {
		words, env string
		args       []string
	}{
		{"is not an age recipient", "", []string{"--backup-copy", dir, "--backup-copy-recipient", "age1nobody"}},
		{"is not an age recipient", key.Recipient().String() + ",age1nobody", []string{"--backup-copy", dir}},
		{"is a secret key", "", []string{"--backup-copy", dir, "--backup-copy-recipient", key.String()}},
		{"give --backup-copy, too", "", []string{"--backup-copy-recipient", key.Recipient().String()}},
		{"give --backup-copy, too", key.Recipient().String(), nil},
	} {
		t.Setenv("LEVELPEG_BACKUP_COPY_RECIPIENT", c.env)
		err := run(t.Context(), append([]string{"serve", "--data", filepath.Join(dir, "data")}, c.args...), &bytes.Buffer{}, &bytes.Buffer{})
		if club.KindOf(err) != club.Invalid || !strings.Contains(explain(err), c.words) {
			t.Errorf("%q, %v: got %v", c.env, c.args, err)
		}
		if strings.Contains(explain(err), key.String()) {
			t.Error("a secret key is repeated")
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "data")); err == nil {
		t.Error("a database was begun all the same")
	}
}

// The setting reaches the backups.
func TestWhomTheSecondPlaceIsEncryptedTo(t *testing.T) {
	a, b := newKey(t).Recipient().String(), newKey(t).Recipient().String()
	c := serveCmd{Backups: "/backups", Nightly: true, BackupCopy: "/copy", BackupCopyRecipient: []string{a, b}}
	n, err := c.nightly("", slog.New(slog.DiscardHandler))
	if err != nil || n.Copy != "/copy" || len(n.CopyTo) != 2 || n.CopyTo[0].String() != a || n.CopyTo[1].String() != b {
		t.Errorf("%+v, %v", n.Nightly, err)
	}
}

// encryptedNight is a night of a small club in a second place, and the file of its key.
func encryptedNight(t *testing.T) (night, keyFile string) {
	t.Helper()
	url, key := dbtest.New(t), newKey(t)
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(t.Context(), `
		insert into club (name, time_zone, place) values ('A', 'UTC', 'England');
		insert into picture_data (hash, kind, width, height, data) select sha256(d), 'image/jpeg', 1, 1, d from (values ('\x00010203'::bytea)) x (d)`); err != nil {
		t.Fatal(err)
	}
	n := backup.NewNightly(url, t.TempDir(), t.TempDir(), slog.New(slog.DiscardHandler))
	n.CopyTo = []*age.X25519Recipient{key.Recipient()}
	made, err := n.IfDue(t.Context(), time.Now().AddDate(0, 0, -2), time.Now())
	if err != nil || made == nil {
		t.Fatal(made, err)
	}
	keyFile = filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(keyFile, []byte(key.String()+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(n.Copy, filepath.Base(made.Path)+".age"), keyFile
}

// What lies in the second place is checked and put back with the key, and not without.
func TestCheckAndRestoreWithTheKey(t *testing.T) {
	t.Parallel()
	night, keyFile := encryptedNight(t)
	did := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := run(t.Context(), args, &out, &bytes.Buffer{})
		return out.String(), err
	}
	says, err := did("check", night, "--identity-file", keyFile, "--data", filepath.Join(t.TempDir(), "none")) // in the machine's own for what passes
	if err != nil || !strings.Contains(says, "1 photographs, every checksum good. It was put back aside") {
		t.Errorf("check: %s, %v", says, err)
	}
	url := dbtest.Empty(t)
	says, err = did("restore", night, "--database", url)
	if club.KindOf(err) != club.Invalid || !strings.Contains(explain(err), "--identity-file") {
		t.Errorf("restore without the key: %s, %v", says, err)
	}
	says, err = did("restore", night, "--identity-file", keyFile, "--database", url)
	if err != nil || !strings.Contains(says, "Put back: A,") || !strings.Contains(says, "1 photographs") {
		t.Errorf("restore: %s, %v", says, err)
	}
}

// A setting that is there and empty, as in a file of settings, is none: not the folder the
// program was started in.
func TestAnEmptySetting(t *testing.T) {
	t.Setenv("LEVELPEG_BACKUP_COPY", "")
	t.Setenv("LEVELPEG_BACKUP_COPY_RECIPIENT", newKey(t).Recipient().String())
	err := run(t.Context(), []string{"serve", "--data", t.TempDir()}, &bytes.Buffer{}, &bytes.Buffer{})
	if err == nil || !strings.Contains(explain(err), "give --backup-copy, too") {
		t.Errorf("got %v", err)
	}
}
