package hydro

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"strconv"
	"testing"
)

// openData reads a file of the open data beside the repository, without its header; where
// that is absent the test is skipped, aloud.
func openData(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open("../../shared/data/" + file)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("SKIPPED: the open data are not beside the repository, so nothing was checked against a real river: ", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// number reads a field that must be one.
func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
