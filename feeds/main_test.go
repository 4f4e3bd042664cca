package feeds_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/feeds"
)

// now is the present of every test here.
var now = time.Date(2026, 11, 5, 14, 20, 0, 0, time.UTC)

// openData is a file of the open data, which is not part of the project.
func openData(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../shared/data", name))
	if os.IsNotExist(err) {
		t.Skipf("the open data is not here: %s", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// parsed reads a document as a feed does, to levels or a sentence.
func parsed(f club.Feed, doc string) (levels []club.Level, left, problem string) {
	b, err := feeds.Parse(f.Format, strings.NewReader(doc), f.Plan, feeds.DefaultLimits())
	if err == nil {
		levels, left, err = feeds.Levels(b, f, now)
	}
	if err != nil {
		problem = err.Error()
	}
	return levels, left, problem
}

func metresFeed(format club.FeedFormat) club.Feed {
	return club.Feed{Format: format, Unit: club.Metres, Plan: club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}}
}
