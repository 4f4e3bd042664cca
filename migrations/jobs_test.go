package migrations_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"

	"levelpeg/db/dbtest"
)

// TestJobQueueSteps: our step leaves the job queue's tables as the library's own steps
// do. A newer library that has one more fails here until a step of ours takes it.
func TestJobQueueSteps(t *testing.T) {
	t.Parallel()
	ours := dbtest.New(t)
	onQueue(t, ours, func(m *rivermigrate.Migrator[pgx.Tx]) {
		said, err := m.Validate(context.Background(), nil)
		if err != nil || !said.OK {
			t.Errorf("the library says of our steps %+v, %v", said, err)
		}
	})
	theirs := dbtest.Empty(t)
	onQueue(t, theirs, func(m *rivermigrate.Migrator[pgx.Tx]) {
		if _, err := m.Migrate(context.Background(), rivermigrate.DirectionUp, nil); err != nil {
			t.Fatal(err)
		}
	})
	major := serverMajor(t, ours)
	have := ordered(dump(t, ours, major))
	n := 0
	for part := range strings.SplitSeq(ordered(dump(t, theirs, major)), "\n\n") {
		n++
		if !strings.Contains(have, strings.TrimSpace(part)) {
			t.Errorf("our steps did not make\n%s", part)
		}
	}
	if n < 20 {
		t.Errorf("%d statements were compared, which cannot be all", n)
	}
}

// ordered is a dump without the order of columns, which a table altered on its way
// does not share with one made at once.
func ordered(dump string) string {
	parts := strings.Split(dump, "\n\n")
	for i, p := range parts {
		if !strings.HasPrefix(p, "CREATE TABLE") && !strings.HasPrefix(p, "CREATE UNLOGGED TABLE") {
			continue
		}
		head, rest, _ := strings.Cut(p, "\n")
		lines := strings.Split(strings.TrimSuffix(strings.TrimSpace(rest), "\n);"), "\n")
		for j := range lines {
			lines[j] = strings.TrimSuffix(lines[j], ",")
		}
		slices.Sort(lines)
		parts[i] = head + "\n" + strings.Join(lines, "\n")
	}
	return strings.Join(parts, "\n\n")
}

func onQueue(t *testing.T, url string, do func(*rivermigrate.Migrator[pgx.Tx])) {
	t.Helper()
	pool, err := pgxpool.New(context.Background(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	m, err := rivermigrate.New(riverpgxv5.New(pool), nil)
	if err != nil {
		t.Fatal(err)
	}
	do(m)
}
