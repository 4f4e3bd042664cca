package main

import (
	"strings"
	"testing"
)

// What net/http says of a connection is passed on without whose it was.
func TestAddressesStayOutOfTheLog(t *testing.T) {
	for _, says := range []string{
		"http: TLS handshake error from 203.0.113.7:51234: EOF",
		"http: panic serving [2001:db8::7]:443: oh",
		"http: panic serving [fe80::1%eth0]:443: oh",
	} {
		var out strings.Builder
		quietLog(logging{Log: "json"}.logger(&out)).Print(says)
		got := out.String()
		if !strings.Contains(got, "http: ") || strings.Contains(got, "203.0") || strings.Contains(got, "2001") || strings.Contains(got, "fe80") {
			t.Errorf("%q became %q", says, got)
		}
	}
}
