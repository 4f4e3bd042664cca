package main

import (
	"context"
	"net/http/httptest"
	"regexp"
	"strconv"
	"testing"
	"time"

	"levelpeg/db"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

// The age of the last good backup is measured from the book, and not there before one was
// made.
func TestBackupAgeIsMeasured(t *testing.T) {
	t.Parallel()
	ctx, url := context.Background(), dbtest.New(t)
	book, err := db.Open(ctx, url, db.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	m := measures(ctx, book, newCrowd(1))
	age := func() string {
		w := httptest.NewRecorder()
		m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
		if found := regexp.MustCompile(`(?m)^levelpeg_backup_age_seconds (\S+)$`).FindStringSubmatch(w.Body.String()); found != nil {
			return found[1]
		}
		return ""
	}
	if got := age(); got != "" {
		t.Errorf("before there is one it is %s s old", got)
	}
	if err := backup.Record(ctx, url, backup.Made{Path: "/backups/club.tar.zst", Bytes: 1}, time.Now().Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	if s, err := strconv.ParseFloat(age(), 64); err != nil || s < 3600 || s > 3900 {
		t.Errorf("an hour after one: %q s", age())
	}
}
