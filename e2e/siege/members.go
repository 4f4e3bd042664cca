package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"time"

	"levelpeg/e2e/under"
)

// sheets are the addresses of the sheets of every peg that a visitor may see.
func sheets(url string) ([]string, error) {
	var book struct {
		Venues []struct {
			Slug string
			Pegs []string
		}
	}
	res, err := http.Get(url + "/venues.json")
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	if err := json.NewDecoder(res.Body).Decode(&book); err != nil {
		return nil, err
	}
	var out []string
	for _, v := range book.Venues {
		for _, p := range v.Pegs {
			out = append(out, "/venues/"+v.Slug+"/pegs/"+p)
		}
	}
	if len(out) == 0 {
		return nil, errors.New("the demo has no pegs")
	}
	return out, nil
}

// noticed is what members noticed.
type noticed struct {
	asked, failed  int
	p50, p99, most time.Duration
}

func (n noticed) String() string {
	return fmt.Sprintf("p50 %v, p99 %v, longest %v, failed %d of %d", n.p50.Round(100*time.Microsecond), n.p99.Round(100*time.Microsecond), n.most.Round(time.Millisecond), n.failed, n.asked)
}

// ask asks for sheets at a steady rate whatever the answers do, each measured from when
// it was due.
func ask(ctx context.Context, url string, paths []string, rate, seconds int) (noticed, error) {
	transport := &http.Transport{MaxIdleConnsPerHost: 64}
	defer transport.CloseIdleConnections()
	client := &http.Client{Transport: transport, Timeout: 15 * time.Second}
	n := rate * seconds
	took, good := make(under.Took, n), make([]bool, n)
	var wait sync.WaitGroup
	start := time.Now()
	for i := range n {
		due := start.Add(time.Duration(i) * time.Second / time.Duration(rate))
		time.Sleep(time.Until(due))
		if ctx.Err() != nil {
			return noticed{}, ctx.Err()
		}
		wait.Go(func() {
			good[i] = whole(client, url+paths[(i*7919)%len(paths)])
			took[i] = time.Since(due)
		})
	}
	wait.Wait()
	out := noticed{asked: n}
	for _, ok := range good {
		if !ok {
			out.failed++
		}
	}
	at := took.Percentiles(0.5, 0.99, 1)
	out.p50, out.p99, out.most = at[0], at[1], at[2]
	return out, nil
}

// whole says whether a page came whole.
func whole(client *http.Client, url string) bool {
	res, err := client.Get(url)
	if err != nil {
		return false
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	return err == nil && res.StatusCode == http.StatusOK && strings.HasSuffix(strings.TrimSpace(string(body)), "</html>")
}
