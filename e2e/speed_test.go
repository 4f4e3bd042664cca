package e2e

import (
	"net/http"
	"strconv"
	"testing"
	"time"
)

// sheetWithin is how long the quickest of ten sheets that nobody has asked for yet
// may take. They take 10 ms; ten times that is a plan or a calculation gone wrong
// rather than a busy machine, since all ten would have to be held up.
const sheetWithin = 100 * time.Millisecond

func TestASheetIsQuickTheFirstTime(t *testing.T) {
	t.Parallel()
	_, home := serve(t, "--demo", "--data", withDemo(t))
	quickest := time.Minute
	for peg := 1; peg <= 10; peg++ {
		began := time.Now()
		mustGet(t, home+"/venues/tansy-meadow/pegs/"+strconv.Itoa(peg), http.StatusOK)
		quickest = min(quickest, time.Since(began))
	}
	t.Logf("the quickest of ten sheets took %v", quickest)
	if quickest > sheetWithin {
		t.Errorf("the quickest of ten sheets took %v, want at most %v", quickest, sheetWithin)
	}
}
