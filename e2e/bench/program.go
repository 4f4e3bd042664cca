package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"time"

	"levelpeg/e2e/under"
)

// Levels a hundredth apart, over the ordinary range of each venue's board.
const levelStep = 0.01

// sheetPaths are the sheets of every peg that may be fished, at every level of its
// board's ordinary range, in a fixed order that mixes pegs and levels.
func sheetPaths(url string) ([]string, error) {
	var venues struct {
		Venues []struct {
			Slug  string
			Pegs  []string
			Gauge struct {
				Low  float64 `json:"ordinary_low_m"`
				High float64 `json:"ordinary_high_m"`
			}
		}
	}
	if err := getJSON(url+"/venues.json", &venues); err != nil {
		return nil, err
	}
	var paths []string
	for _, v := range venues.Venues {
		for _, p := range v.Pegs {
			for level := v.Gauge.Low; level <= v.Gauge.High; level += levelStep {
				paths = append(paths, fmt.Sprintf("/venues/%s/pegs/%s?level=%.2f", v.Slug, p, level))
			}
		}
	}
	if len(paths) == 0 {
		return nil, errors.New("the demo has no pegs")
	}
	return paths, nil
}

func getJSON(url string, v any) error {
	res, err := http.Get(url)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	return json.NewDecoder(res.Body).Decode(v)
}

func askAll(url string, paths []string) error {
	for _, p := range paths {
		if _, err := get(http.DefaultClient, url+p); err != nil {
			return err
		}
	}
	return nil
}

func fetchCompressed(url string) ([]byte, error) { return get(http.DefaultClient, url) }

var cssPath = regexp.MustCompile(`/static/[0-9a-f]+/app\.css`)

func cssBytes(url, page string) (int, error) {
	body, err := fetchCompressed(url + page)
	if err != nil {
		return 0, err
	}
	plain, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	html, err := io.ReadAll(plain)
	if err != nil {
		return 0, err
	}
	path := cssPath.Find(html)
	if path == nil {
		return 0, errors.New("the page names no stylesheet")
	}
	css, err := fetchCompressed(url + string(path))
	return len(css), err
}

// startStatic serves the same bytes, compressed beforehand, from a process of its own.
func startStatic(ctx context.Context, dir string, page []byte) (*under.Program, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	file := filepath.Join(dir, "page.gz")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		return nil, err
	}
	return under.Start(ctx, os.Stderr, self, "-static", file)
}

func serveStatic(ctx context.Context, o options) error {
	body, err := os.ReadFile(o.static)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	fmt.Printf("static is at http://%s\n", l.Addr())
	server := &http.Server{ReadHeaderTimeout: time.Second, Handler: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		h := w.Header()
		h.Set("Content-Type", "text/html; charset=utf-8")
		h.Set("Content-Encoding", "gzip")
		h.Set("Content-Length", strconv.Itoa(len(body)))
		_, _ = w.Write(body)
	})}
	go func() {
		<-ctx.Done()
		_ = server.Close()
	}()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
