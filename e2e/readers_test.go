package e2e

import (
	"fmt"
	"net/http"
	"strings"
	"time"
)

// crowdCount is what someone who asks for pages all the time saw.
type crowdCount struct {
	fine, sorry int
	wrong       []string
}

// crowd asks for pages until told to stop. A program that is killed answers
// nothing, which is no page and is not counted.
func crowd(home string, stop <-chan struct{}, out chan<- crowdCount) {
	var c crowdCount
	for i := 0; ; i++ {
		select {
		case <-stop:
			out <- c
			return
		default:
		}
		a, err := get(home + []string{"/", ordinaryPeg, "/gauges/teasel-bridge"}[i%3])
		switch {
		case err != nil:
			time.Sleep(5 * time.Millisecond)
		case a.status == http.StatusOK && strings.HasSuffix(strings.TrimSpace(a.body), "</html>"):
			c.fine++
		case a.status == http.StatusServiceUnavailable && saysSorry(a) == nil:
			c.sorry++
			time.Sleep(5 * time.Millisecond)
		default:
			c.wrong = append(c.wrong, fmt.Sprintf("status %d, %v:\n%.600s", a.status, saysSorry(a), a.body))
		}
	}
}

// saysSorry says what is wrong with the page of a book that is out of reach: it is
// a whole page with a sentence, says when to come back, and tells nothing of ours.
func saysSorry(a answer) error {
	switch {
	case !strings.Contains(a.body, "The book is out of reach"):
		return fmt.Errorf("no sentence")
	case !strings.HasSuffix(strings.TrimSpace(a.body), "</html>"):
		return fmt.Errorf("half a page")
	case a.header.Get("Retry-After") == "":
		return fmt.Errorf("no word on when to come back")
	case strings.Contains(a.body, "SQLSTATE") || strings.Contains(a.body, ".s.PGSQL") || strings.Contains(a.body, "dial "):
		return fmt.Errorf("it tells of our insides")
	}
	return nil
}
