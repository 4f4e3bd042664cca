package dbtest_test

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

// count runs a query for one whole number.
func count(t *testing.T, url, query string) int {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	var n int
	if err := conn.QueryRow(ctx, query).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

func TestCopies(t *testing.T) {
	for _, c := range []struct {
		name   string
		make   func(testing.TB) string
		tables int // of ours
		venues int
	}{
		{"empty", dbtest.Empty, 0, 0},
		{"new", dbtest.New, 1, 0},
		{"demo", dbtest.NewDemo, 1, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			url := c.make(t)
			if n := count(t, url, `select count(*) from pg_tables where tablename = 'venues'`); n != c.tables {
				t.Fatalf("%d tables called venues, want %d", n, c.tables)
			}
			if c.tables == 1 {
				if n := count(t, url, `select count(*) from venues`); n != c.venues {
					t.Fatalf("%d venues, want %d", n, c.venues)
				}
			}
			if n := count(t, url, `select count(*) from pg_roles where rolname = current_user and rolsuper`); n != 0 {
				t.Log("the tests run as a superuser, which the program's role is not")
			}
		})
	}
}

func TestDemoNowIsInTheOpenSeason(t *testing.T) {
	b := demo.Make(dbtest.DemoNow)
	if got := b.Gauges[0].Levels[len(b.Gauges[0].Levels)-1].At; dbtest.DemoNow.Sub(got).Minutes() > 60 {
		t.Fatalf("the newest level is of %v", got)
	}
	if club.InCloseSeason(dbtest.DemoNow, dbtest.DemoNow.Location()) {
		t.Fatal("DemoNow is in the close season")
	}
}
