//go:build !js

package handlers

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"levelpeg/club"
)

// Limits of a request where its route says nothing else. What takes a form or a file has
// a closer limit of its own on the body, and a sentence for what is over it.
const (
	mostBody      = 1 << 20
	requestWithin = 20 * time.Second
)

// limit is what a request may bring and take.
type limit struct {
	body   int64
	within time.Duration // from its head to the last word of the database
}

// wider are the limits of routes that carry files or much of the book, by the end of their pattern.
var wider = []struct {
	end string
	limit
}{
	{"/photographs", limit{mostDrained + 1<<20, 2 * uploadWithin}},
	{"/photograph", limit{mostDrained + 1<<20, 2 * uploadWithin}},
	{"/api/1/entries", limit{largestBatch, requestWithin}},
	{"/api/1/levels", limit{longestPost, time.Minute}},
	{"/gauges/{gauge}/import", limit{club.TableMost + 1<<20, importWithin}},
	{"/import/{file}", limit{mostBody, importWithin}}, // the whole file is read, and kept
	{"/import/{file}/bad.txt", limit{mostBody, importWithin}},
	{"/setup/import", limit{2*largestFile + largestSetup, 3 * time.Minute}},
	{"/positions/geojson", limit{2*largestFile + largestSetup, time.Minute}},
	{"/fixtures/calendar", limit{2*largestFile + largestSetup, time.Minute}},
	{"/export.json", limit{mostBody, 3 * time.Minute}},
	{"/levels.csv", limit{mostBody, 3 * time.Minute}},
	{"/saved.json", limit{mostBody, time.Minute}},
	{".pdf", limit{mostBody, time.Minute}},
	{"/zeros", limit{mostBody, 2 * time.Minute}}, // every level of the gauge is stated anew
	{"/zeros/{id}", limit{mostBody, 2 * time.Minute}},
}

// recorded are the routes of what somebody recorded on the bank: it is taken in however many
// read beside.
var recorded = []string{"/record", "/api/1/entries"}

func limitOf(pattern string) limit {
	for _, w := range wider {
		if strings.HasSuffix(pattern, w.end) {
			return w.limit
		}
	}
	return limit{mostBody, requestWithin}
}

// limited holds a route to its limits: of a body that is longer no more is read, and a
// database that says nothing is waited for no longer. Its requests are of one kind.
func limited(pattern string, next http.HandlerFunc) http.HandlerFunc {
	l := limitOf(pattern)
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), l.within)
		defer cancel()
		ctx = club.InLane(ctx, pattern)
		if r.Method == http.MethodPost && slices.Contains(recorded, pattern) {
			ctx = club.First(ctx)
		}
		r = r.WithContext(ctx)
		r.Body = http.MaxBytesReader(w, r.Body, l.body)
		next(w, r)
	}
}
