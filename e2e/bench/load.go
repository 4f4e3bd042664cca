package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"levelpeg/e2e/under"
)

// load is what a closed loop gave.
type load struct {
	rate float64
	p99  string
}

// wrkScript asks for the paths of a file in a random order of its own fixed seed.
const wrkScript = `
local requests = {}
function init(args)
  math.randomseed(1)
  for path in io.lines(args[1]) do
    requests[#requests + 1] = wrk.format("GET", path, { ["Accept-Encoding"] = "gzip", ["Host"] = "localhost" })
  end
end
function request()
  return requests[math.random(#requests)]
end
`

var (
	rateLine   = regexp.MustCompile(`Requests/sec:\s+([0-9.]+)`)
	p99Line    = regexp.MustCompile(`99%\s+([0-9.]+[a-z]+)`)
	badAnswers = regexp.MustCompile(`Non-2xx or 3xx responses: ([0-9]+)|Socket errors: .*`)
)

func wrk(ctx context.Context, dir, url string, paths []string, connections, seconds int) (load, error) {
	script, list := filepath.Join(dir, "load.lua"), filepath.Join(dir, "paths")
	if err := os.WriteFile(script, []byte(wrkScript), 0o644); err != nil {
		return load{}, err
	}
	if err := os.WriteFile(list, []byte(strings.Join(paths, "\n")+"\n"), 0o644); err != nil {
		return load{}, err
	}
	out, err := exec.CommandContext(ctx, "wrk", "-t1", "-c", strconv.Itoa(connections), "-d", strconv.Itoa(seconds)+"s",
		"--latency", "-s", script, url, "--", list).CombinedOutput()
	if err != nil {
		return load{}, fmt.Errorf("wrk: %w: %s", err, out)
	}
	if bad := badAnswers.Find(out); bad != nil {
		return load{}, fmt.Errorf("wrk on %s: %s", url, bad)
	}
	rate, p99 := rateLine.FindSubmatch(out), p99Line.FindSubmatch(out)
	if rate == nil || p99 == nil {
		return load{}, fmt.Errorf("wrk printed no rate: %s", out)
	}
	r, err := strconv.ParseFloat(string(rate[1]), 64)
	return load{rate: r, p99: string(p99[1])}, err
}

// steady offers requests at a fixed rate and measures each from when it was due,
// so that a stall is counted for every request it held up.
func steady(ctx context.Context, url string, paths []string, rate, seconds int) (got float64, p99 time.Duration, err error) {
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 256}, Timeout: 10 * time.Second}
	n, gap := rate*seconds, time.Second/time.Duration(rate)
	took, errs := make(under.Took, n), make([]error, n)
	var wait sync.WaitGroup
	start := time.Now()
	for i := range n {
		due := start.Add(time.Duration(i) * gap)
		time.Sleep(time.Until(due))
		if ctx.Err() != nil {
			return 0, 0, ctx.Err()
		}
		wait.Go(func() {
			_, errs[i] = get(client, url+paths[(i*7919)%len(paths)])
			took[i] = time.Since(due)
		})
	}
	wait.Wait()
	elapsed := time.Since(start).Seconds()
	for _, err := range errs {
		if err != nil {
			return 0, 0, err
		}
	}
	return float64(n) / elapsed, took.Percentile(0.99), nil
}

// get reads a page as it comes over the wire, compressed.
func get(client *http.Client, url string) ([]byte, error) {
	req, err := http.NewRequest(http.MethodGet, url, nil)
	if err != nil {
		return nil, err
	}
	req.Header.Set("Accept-Encoding", "gzip")
	res, err := client.Do(req)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	var body bytes.Buffer
	if _, err := io.Copy(&body, res.Body); err != nil {
		return nil, err
	}
	if res.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%s answered %s", url, res.Status)
	}
	return body.Bytes(), nil
}
