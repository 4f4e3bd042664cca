package e2e

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"testing"
	"time"
)

// client follows no redirect, so that a test sees what the server said, and keeps
// no connection, so that one which a killed server left cannot be taken up again.
var client = &http.Client{
	Timeout:       20 * time.Second,
	Transport:     &http.Transport{DisableKeepAlives: true},
	CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
}

// answer is what came of one request.
type answer struct {
	status int
	header http.Header
	body   string
}

func get(url string, cookies ...*http.Cookie) (answer, error) {
	ask, err := http.NewRequest(http.MethodGet, url, nil)
	if err != nil {
		return answer{}, err
	}
	for _, c := range cookies {
		ask.AddCookie(c)
	}
	r, err := client.Do(ask)
	if err != nil {
		return answer{}, err
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	return answer{r.StatusCode, r.Header, string(body)}, err
}

func mustGet(t *testing.T, url string, status int, cookies ...*http.Cookie) answer {
	t.Helper()
	a, err := get(url, cookies...)
	if err != nil {
		t.Fatal(err)
	}
	if a.status != status {
		t.Fatalf("%s gives %d, want %d:\n%.400s", url, a.status, status, a.body)
	}
	return a
}

// asJSON reads what a program would.
func asJSON[T any](url string) (v T, err error) {
	a, err := get(url)
	if err != nil {
		return v, err
	}
	if a.status != http.StatusOK {
		return v, fmt.Errorf("%s gives %d: %.400s", url, a.status, a.body)
	}
	if err := json.Unmarshal([]byte(a.body), &v); err != nil {
		return v, fmt.Errorf("%s: %w", url, err)
	}
	return v, nil
}

func mustJSON[T any](t *testing.T, url string) T {
	t.Helper()
	v, err := asJSON[T](url)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The parts of the answers for programs that the tests look at.
type (
	venuesJSON struct {
		Demo   bool
		Venues []struct {
			Slug, Name string
			Pegs       []string
		}
	}
	venueJSON struct {
		Slug    string
		PegList []struct {
			Label  string
			Closed bool
		} `json:"peg_list"`
	}
	sheetJSON struct {
		LevelM *float64 `json:"level_m"`
		Stops  []string `json:"do_not_fish"`
		Chosen string   `json:"rigs_for_run"`
		Runs   []struct {
			Slug, Name string
			Depth      *struct{ Mid float64 } `json:"depth_m"`
			PaceWord   string                 `json:"pace_word"`
			Soundings  int
		}
		Rigs []struct {
			Name    string
			OnLineG float64 `json:"on_line_g"`
		}
	}
)

// openPeg is the address of the demo's ordinary peg, where it may be fished today.
// Between 15 March and 15 June no river peg may, and a rig cannot be tested.
func openPeg(t *testing.T, home string) string {
	t.Helper()
	s := mustJSON[sheetJSON](t, home+ordinaryPeg+".json")
	if len(s.Stops) > 0 {
		t.Skipf("SKIPPED: nobody may fish %s today, so it has no rig to look at: %v", ordinaryPeg, s.Stops)
	}
	return home + ordinaryPeg
}
