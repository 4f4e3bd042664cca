//go:build !js

package handlers

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"net/http"
	"regexp"
	"time"

	"github.com/go-chi/chi/v5/middleware"
)

// requestHeader carries a request's number, in and out.
const requestHeader = "X-Request-Id"

// numbered are the numbers that are taken over from a proxy: hexadecimal, with or without
// dashes. Anything else might say something of somebody, and ends up in the log.
var numbered = regexp.MustCompile(`^[0-9a-fA-F-]{16,64}$`)

func requestNumber(r *http.Request) string {
	if sent := r.Header.Get(requestHeader); numbered.MatchString(sent) {
		return sent
	}
	var b [16]byte
	_, _ = rand.Read(b[:]) // it never fails
	return hex.EncodeToString(b[:])
}

// slow is how long a request may take before it is logged.
const slow = time.Second

// watched gives a request its number, counts it, and writes down one that was slow, and
// where the settings say so every one.
func (s *server) watched(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		number, start := requestNumber(r), time.Now()
		w.Header().Set(requestHeader, number)
		r = r.WithContext(context.WithValue(r.Context(), requestKey{}, number))
		kept := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		s.measures.Begin()
		defer func() {
			took := time.Since(start)
			s.measures.End(pattern(r), r.Method, kept.Status(), took)
			if took > slow {
				s.log.WarnContext(r.Context(), "slow request", "method", r.Method, "path", pathOf(r), "status", kept.Status(), "took", took)
			} else if s.logAll {
				s.log.InfoContext(r.Context(), "request", "method", r.Method, "path", pathOf(r), "status", kept.Status(), "took", took, "bytes", kept.BytesWritten())
			}
		}()
		next.ServeHTTP(kept, r)
	})
}
