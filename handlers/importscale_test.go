package handlers_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/feeds"
)

// leastOfCopy is how fast a table must be taken in, of the rate of PostgreSQL's own \copy
// into the same table with its constraints and rollups.
const leastOfCopy = 0.35

var tableRows = struct{ usual, scale int }{20_000, 1_000_000}

// tableOfMinutes is n levels a minute apart, oldest first, that end a day before the demo's
// present, as a file that a person would send.
func tableOfMinutes(n int) []byte {
	var out bytes.Buffer
	out.WriteString("time,level\n")
	at := dbtest.DemoNow.Add(-24 * time.Hour).Truncate(time.Minute).Add(-time.Duration(n) * time.Minute)
	for i := range n {
		fmt.Fprintf(&out, "%s,%.3f\n", at.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04:05"), 1+float64(i%900)/1000)
	}
	return out.Bytes()
}

// emptyGauge is a database with one gauge that has no levels.
func emptyGauge(t *testing.T) (*db.DB, *pgx.Conn) {
	t.Helper()
	address := dbtest.New(t)
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	board := club.GaugeBook{Gauge: club.Gauge{Slug: "board", Name: "The board", River: "Water", HighM: 1.5}, Zeros: []club.Zero{{From: time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)}}}
	if err := book.LoadDemo(context.Background(), club.Book{Club: club.Club{Name: "Test club", TimeZone: "UTC", Place: "England", Demo: true}, Gauges: []club.GaugeBook{board}}); err != nil {
		t.Fatal(err)
	}
	rec := recordsAt(t, address)
	rec.do(`insert into members (name, role) values ('Ann B.', 'secretary')`)
	rec.session("ann", club.Secretary)
	return book, rec.conn
}

// peakHeap watches the heap while do runs: the most there was, in bytes.
func peakHeap(do func()) uint64 {
	runtime.GC()
	var most atomic.Uint64
	stop, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most.Store(max(most.Load(), m.HeapAlloc))
			select {
			case <-stop:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	do()
	close(stop)
	<-ended
	return most.Load()
}

// takeTable has a table wait, fetches it, and keeps it, as the three pages of it do.
func takeTable(t *testing.T, book *db.DB, file []byte) club.Merged {
	t.Helper()
	waits, err := book.TakeTable(context.Background(), sum("ann"), "board", "old.csv", bytes.NewReader(file), dbtest.DemoNow)
	if err != nil {
		t.Fatal(err)
	}
	fetched, err := os.Create(filepath.Join(t.TempDir(), "table"))
	if err != nil {
		t.Fatal(err)
	}
	defer fetched.Close()
	if n, err := io.Copy(fetched, book.ReadTable(context.Background(), waits)); err != nil || n != int64(len(file)) {
		t.Fatalf("of %d bytes %d came back: %v", len(file), n, err)
	}
	if _, err := fetched.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	plan := club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}
	done, err := book.ImportLevels(context.Background(), club.Writer{OnMachine: true}, "board", club.Station, dbtest.DemoNow, func(put func(time.Time, float64) error) error {
		return feeds.ScanLevels(fetched, plan, club.Metres, 256<<20, dbtest.DemoNow, func(r feeds.LevelRow) error {
			if r.Why != "" {
				return fmt.Errorf("row %d: %s", r.N, r.Why)
			}
			return put(r.At, r.LevelM)
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// copyTable is what psql's \copy does: the rows as they are in the table, sent as CSV.
func copyTable(t *testing.T, conn *pgx.Conn, n int) time.Duration {
	t.Helper()
	var gauge, zero int
	if err := conn.QueryRow(context.Background(), `select gauge_id, id from gauge_zeros`).Scan(&gauge, &zero); err != nil {
		t.Fatal(err)
	}
	var rows bytes.Buffer
	at := dbtest.DemoNow.Add(-24 * time.Hour).Truncate(time.Minute).Add(-time.Duration(n) * time.Minute)
	for i := range n {
		fmt.Fprintf(&rows, "%d,%s,0,%d,%d,station\n", gauge, at.Add(time.Duration(i)*time.Minute).Format(time.RFC3339), zero, 1000+i%900)
	}
	begun := time.Now()
	if _, err := conn.PgConn().CopyFrom(context.Background(), bytes.NewReader(rows.Bytes()), `copy levels (gauge_id, at, revision, zero_id, level_mm, source) from stdin (format csv)`); err != nil {
		t.Fatal(err)
	}
	return time.Since(begun)
}

// TestTableBesideCopy takes a large table in and holds it against \copy, in one run, each
// into a database of its own:
//
//	LEVELPEG_SCALE=1 go test ./handlers -run TableBesideCopy -v
//
// takes a million rows. The rate is asserted there alone: with few rows what is done once
// weighs more. That the same file twice changes nothing, and that the heap does not grow
// with the file, holds for any number.
func TestTableBesideCopy(t *testing.T) {
	n, scale := tableRows.usual, os.Getenv("LEVELPEG_SCALE") != ""
	if scale {
		n = tableRows.scale
	}
	_, conn := emptyGauge(t)
	copied := copyTable(t, conn, n)
	book, conn := emptyGauge(t)
	file := tableOfMinutes(n)
	var first, second club.Merged
	var took, again time.Duration
	before := peakHeap(func() {})
	peak := peakHeap(func() {
		begun := time.Now()
		first = takeTable(t, book, file)
		took, begun = time.Since(begun), time.Now()
		second = takeTable(t, book, file)
		again = time.Since(begun)
	})
	rate := copied.Seconds() / took.Seconds()
	t.Logf("%d rows: \\copy %v, taken in %v (%.2f of its rate), the same again %v; the heap grew by %.1f MB over the file's own %.1f MB",
		n, copied.Round(time.Millisecond), took.Round(time.Millisecond), rate, again.Round(time.Millisecond), float64(int64(peak)-int64(before))/1e6, float64(len(file))/1e6)
	if first.New != n || second.Same != n || second.New+second.Corrected != 0 {
		t.Errorf("first %+v, again %+v", first, second)
	}
	var kept int
	if err := conn.QueryRow(context.Background(), `select count(*) from levels`).Scan(&kept); err != nil || kept != n {
		t.Errorf("%d levels are kept, want %d: %v", kept, n, err)
	}
	if grown := int64(peak) - int64(before); grown > 16<<20 {
		t.Errorf("the heap grew by %d bytes", grown)
	}
	if scale && rate < leastOfCopy {
		t.Errorf("%.2f of the rate of \\copy, want %.2f", rate, leastOfCopy)
	}
}
