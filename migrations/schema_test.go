package migrations_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/golang-migrate/migrate/v4"
	pgxmigrate "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"

	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/migrations"
)

// schemaFile is the schema all steps together make, for people to read and for a
// change of it to be seen in review. LEVELPEG_UPDATE=1 writes it anew.
const schemaFile = "schema.sql"

func TestSchemaIsTheOneKept(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	if err := db.Migrate(context.Background(), url); err != nil {
		t.Fatal(err)
	}
	major := serverMajor(t, url)
	got := fmt.Sprintf("-- What the steps make, as pg_dump %d writes it. Written by LEVELPEG_UPDATE=1 go test ./migrations\n\n%s", major, dump(t, url, major))
	if os.Getenv("LEVELPEG_UPDATE") == "1" {
		if err := os.WriteFile(schemaFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(want), fmt.Sprintf("as pg_dump %d writes", major)) {
		t.Skipf("SKIPPED, not compared: the server is PostgreSQL %d and %s was written by another", major, schemaFile)
	}
	if line, g, w := firstDifference(got, string(want)); line > 0 {
		t.Fatalf("line %d of the schema is\n%s\nand %s has\n%s\nIf that is meant, run LEVELPEG_UPDATE=1 go test ./migrations", line, g, schemaFile, w)
	}
}

func TestDownAndUpAgain(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	major := serverMajor(t, url)
	before := dump(t, url, major)
	if !strings.Contains(before, "CREATE TABLE public.soundings") {
		t.Fatalf("the dump holds no soundings:\n%.300s", before)
	}
	down(t, url)
	if left := strings.TrimSpace(dump(t, url, major)); left != "" {
		t.Fatalf("going down leaves\n%s", left)
	}
	if err := db.Migrate(context.Background(), url); err != nil {
		t.Fatal(err)
	}
	if line, g, w := firstDifference(dump(t, url, major), before); line > 0 {
		t.Fatalf("line %d after down and up is\n%s\nand was\n%s", line, g, w)
	}
}

// TestOneStepDown: each step's way back leaves the schema of the step before, so that
// a release can be taken back.
func TestOneStepDown(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	major := serverMajor(t, url)
	var after []string
	for range migrations.Latest() {
		onMigrator(t, url, func(m *migrate.Migrate) error { return m.Steps(1) })
		after = append(after, dump(t, url, major))
	}
	for i := len(after) - 1; i > 0; i-- {
		onMigrator(t, url, func(m *migrate.Migrate) error { return m.Steps(-1) })
		if line, g, w := firstDifference(dump(t, url, major), after[i-1]); line > 0 {
			t.Fatalf("line %d after step %d is taken back is\n%s\nand was\n%s", line, i+1, g, w)
		}
	}
}

// down takes every step back.
func down(t *testing.T, url string) {
	t.Helper()
	onMigrator(t, url, (*migrate.Migrate).Down)
}

func onMigrator(t *testing.T, url string, do func(*migrate.Migrate) error) {
	t.Helper()
	pool, err := sql.Open("pgx", url)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	driver, err := pgxmigrate.WithInstance(pool, &pgxmigrate.Config{})
	if err != nil {
		t.Fatal(err)
	}
	source, err := iofs.New(migrations.FS, ".")
	if err != nil {
		t.Fatal(err)
	}
	m, err := migrate.NewWithInstance("iofs", source, "pgx5", driver)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	if err := do(m); err != nil {
		t.Fatalf("migrating: %v", err)
	}
}

func serverMajor(t *testing.T, url string) int {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var version int
	if err := conn.QueryRow(context.Background(), `select current_setting('server_version_num')::int`).Scan(&version); err != nil {
		t.Fatal(err)
	}
	return version / 10000
}

// dump is the schema without what changes with the minor version: comments,
// settings, and psql's own commands.
func dump(t *testing.T, url string, major int) string {
	t.Helper()
	out, err := exec.Command(pgDump(t, major), "--schema-only", "--no-owner", "--no-privileges",
		"--exclude-table=schema_migrations*", "--dbname="+url).CombinedOutput()
	if err != nil {
		t.Fatalf("pg_dump: %v\n%s", err, out)
	}
	var kept []string
	for line := range strings.SplitSeq(string(out), "\n") {
		if !noise.MatchString(line) {
			kept = append(kept, line)
		}
	}
	return strings.TrimSpace(blankLines.ReplaceAllString(strings.Join(kept, "\n"), "\n\n")) + "\n"
}

var (
	noise      = regexp.MustCompile(`^(--|SET |SELECT pg_catalog\.set_config|\\)`)
	blankLines = regexp.MustCompile(`\n{3,}`)
)

// pgDump is the pg_dump of the server's own major version: another writes the
// same schema differently, and an older one refuses.
func pgDump(t *testing.T, major int) string {
	t.Helper()
	looked := []string{filepath.Join(os.Getenv("PG_BINDIR"), "pg_dump"), fmt.Sprintf("/usr/lib/postgresql/%d/bin/pg_dump", major), "pg_dump"}
	for _, path := range looked {
		said, err := exec.Command(path, "--version").Output()
		if err == nil && strings.Contains(string(said), fmt.Sprintf("(PostgreSQL) %d.", major)) {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("no pg_dump %d among %v", major, looked)
	}
	t.Skipf("SKIPPED, not compared: no pg_dump %d among %v", major, looked)
	return ""
}

func firstDifference(got, want string) (line int, g, w string) {
	gs, ws := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range max(len(gs), len(ws)) {
		g, w = "(nothing)", "(nothing)"
		if i < len(gs) {
			g = gs[i]
		}
		if i < len(ws) {
			w = ws[i]
		}
		if g != w {
			return i + 1, g, w
		}
	}
	return 0, "", ""
}
