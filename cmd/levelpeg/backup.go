package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"filippo.io/age"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/backup"
	"levelpeg/db/private"
)

// keys are what opens a backup.
type keys struct {
	PassphraseFile string `help:"File with the passphrase the backup is encrypted with." placeholder:"FILE" env:"LEVELPEG_PASSPHRASE_FILE"`
	IdentityFile   string `help:"File with the age identity (the secret key) the backup is encrypted to." placeholder:"FILE" env:"LEVELPEG_IDENTITY_FILE"`
}

func (k keys) identities() ([]age.Identity, error) {
	var all []age.Identity
	if k.PassphraseFile != "" {
		word, err := passphrase(k.PassphraseFile)
		if err != nil {
			return nil, err
		}
		id, err := age.NewScryptIdentity(word)
		if err != nil {
			return nil, err
		}
		all = append(all, id)
	}
	if k.IdentityFile != "" {
		text, err := os.ReadFile(k.IdentityFile)
		if err != nil {
			return nil, club.Faultf(club.Invalid, "The key in %s cannot be read.", k.IdentityFile).Because(err)
		}
		ids, err := age.ParseIdentities(bytes.NewReader(text))
		if err != nil {
			return nil, club.Faultf(club.Invalid, "%s is not a file with an age identity.", k.IdentityFile).Because(err)
		}
		all = append(all, ids...)
	}
	return all, nil
}

// leastPassphrase is the fewest letters of one: the file may be tried for ever.
const leastPassphrase = 12

func passphrase(path string) (string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return "", club.Faultf(club.Invalid, "The passphrase in %s cannot be read.", path).Because(err)
	}
	word := strings.TrimRight(string(text), "\r\n")
	if len(word) < leastPassphrase {
		return "", club.Faultf(club.Invalid, "The passphrase in %s has fewer than %d letters.", path, leastPassphrase)
	}
	return word, nil
}

type backupCmd struct {
	database
	File           string   `arg:"" help:"The file to write. What is there of that name is replaced once the new one is whole." type:"path"`
	PassphraseFile string   `help:"Encrypt it with the passphrase in this file." placeholder:"FILE" xor:"who" env:"LEVELPEG_PASSPHRASE_FILE"`
	Recipient      []string `help:"Encrypt it to this age recipient (age1…); may be given more than once." placeholder:"age1…" xor:"who"`
}

func (c backupCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	to, err := c.recipients()
	if err != nil {
		return err
	}
	o, err := c.openBeside(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	now := time.Now()
	made, err := backup.ToFile(ctx, o.url, c.File, backup.Options{Recipients: to}, now)
	if err != nil {
		return err
	}
	if err := backup.Record(ctx, o.url, made, now); err != nil {
		log.Warn("the pages will not know of this backup", "err", err)
	}
	if _, err := fmt.Fprintf(out, "%s: %s\n", made.Path, held(made.Head, made.Manifest)); err != nil {
		return err
	}
	return c.removals(ctx, o.url, log)
}

// removals writes the list of removed members beside the file, too: a later one goes with
// an older backup.
func (c backupCmd) removals(ctx context.Context, url string, log *slog.Logger) error {
	err := backup.KeepRemovals(ctx, url, filepath.Join(filepath.Dir(c.File), backup.RemovalsName))
	if err != nil {
		log.Warn("the list of removed members beside the backup is not up to date", "err", err)
	}
	return nil
}

func (c backupCmd) recipients() ([]age.Recipient, error) {
	var all []age.Recipient
	if c.PassphraseFile != "" {
		word, err := passphrase(c.PassphraseFile)
		if err != nil {
			return nil, err
		}
		r, err := age.NewScryptRecipient(word)
		if err != nil {
			return nil, err
		}
		return append(all, r), nil
	}
	to, err := backup.ParseRecipients(c.Recipient)
	for _, r := range to {
		all = append(all, r)
	}
	return all, err
}

// held says what a backup holds.
func held(h backup.Head, m backup.Manifest) string {
	of := h.Club
	if of == "" {
		of = "no club yet"
	}
	return fmt.Sprintf("%s, as it was on %s; %d rows in %d tables, %d photographs, every checksum good",
		of, h.MadeAt.Local().Format("2 January 2006 at 15:04:05"), m.Rows(), len(m.Tables), m.Photographs.Count)
}

type restoreCmd struct {
	database
	keys
	File     string   `arg:"" help:"The backup." type:"path"`
	Removals []string `help:"List of members removed since, besides the ones beside the backup and in the data folder." placeholder:"FILE" type:"path"`
}

func (c restoreCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	ids, err := c.identities()
	if err != nil {
		return err
	}
	if _, _, err := backup.Verify(ctx, c.File, ids); err != nil { // before a database is made for it
		return err
	}
	since, found, err := backup.RemovalsFor(c.File, c.Removals, c.backups())
	if err != nil {
		return err
	}
	o, err := c.open(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	r, err := backup.Restore(ctx, o.url, c.File, backup.Restoring{Keys: ids, Removals: since}, time.Now())
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "Put back: %s.\n", held(r.Head, r.Manifest))
	switch {
	case r.Removed > 0:
		fmt.Fprintf(out, "Removed again, as they were since: %d.\n", r.Removed)
	case !found:
		fmt.Fprintln(out, "No list of members removed since was found (a file “removals”, beside the backups). If somebody was removed since, remove them again, or begin anew with --removals FILE.")
	}
	_, err = fmt.Fprintln(out, "Everyone signs in again, and phones offer again what they sent since.")
	return err
}

// backups is the folder of nightly backups of the private database; empty for another's.
func (d database) backups() string {
	if !d.private() {
		return ""
	}
	return filepath.Join(d.dataDir(), "backups")
}

func (d database) dataDir() string {
	if d.Data == "" {
		return private.DefaultDir()
	}
	return d.Data
}

type checkCmd struct {
	database
	keys
	File string `arg:"" optional:"" help:"The backup (default: the newest nightly one)." type:"path"`
}

func (c checkCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	ids, err := c.identities()
	if err != nil {
		return err
	}
	if c.File == "" {
		if c.File, err = backup.Newest(c.backups()); err != nil {
			return err
		}
	}
	began := time.Now()
	r, err := backup.Check(ctx, c.File, ids, c.workIn(), log)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s: %s. It was put back aside and read again: the same, in %v.\n", c.File, held(r.Head, r.Manifest), time.Since(began).Round(100*time.Millisecond))
	return err
}

// workIn is the data folder where there is one that this user may write in, so that what
// is made for a while is as safe from others as the book itself.
func (c checkCmd) workIn() string {
	dir := c.dataDir()
	probe, err := os.MkdirTemp(dir, "aside-")
	if err != nil {
		return ""
	}
	if os.Remove(probe) != nil {
		return ""
	}
	return dir
}

type postgresUpgradeCmd struct {
	Data string `help:"Folder of the private PostgreSQL (default: ${data})." placeholder:"DIR" env:"LEVELPEG_DATA"`
	To   string `help:"Folder of the new PostgreSQL's programs, such as /usr/lib/postgresql/17/bin." placeholder:"DIR" required:""`
}

// Run moves the private database to another PostgreSQL by a backup of everything, sessions
// with it, which is kept, too.
func (c postgresUpgradeCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	d := database{Data: c.Data}
	file := filepath.Join(d.backups(), "before-postgres-upgrade"+backup.Suffix)
	if err := os.MkdirAll(d.backups(), 0o700); err != nil {
		return err
	}
	var r backup.Restored
	moved, err := private.Move(ctx, private.Config{Dir: d.dataDir(), Log: log}, c.To, func(ctx context.Context, oldURL, newURL string) error {
		if err := db.CheckSchema(ctx, oldURL); err != nil {
			return err
		}
		if _, err := backup.ToFile(ctx, oldURL, file, backup.Options{Everything: true}, time.Now()); err != nil {
			return err
		}
		var err error
		r, err = backup.Restore(ctx, newURL, file, backup.Restoring{Aside: true}, time.Now())
		return err
	})
	var inUse private.ErrInUse
	if errors.As(err, &inUse) {
		return club.Faultf(club.Conflict, "A server of ours is running on %s. Stop it first, then run this again.", inUse.Dir)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "Moved from PostgreSQL %d to %d: %s.\nThe old data is kept in %s and a backup in %s; take them away when all is well.\n",
		moved.From, moved.To, held(r.Head, r.Manifest), moved.Kept, file)
	return err
}
