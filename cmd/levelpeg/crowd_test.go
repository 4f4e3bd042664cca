package main

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

// crowded is a server that takes so many connections and answers when let.
func crowded(t *testing.T, most int, let <-chan struct{}) (*crowd, string) {
	t.Helper()
	c := newCrowd(most)
	s := httptest.NewUnstartedServer(c.served(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/wait" {
			<-let
		}
		fmt.Fprint(w, "here")
	})))
	s.Config.ConnContext, s.Config.ConnState = c.meet, c.watch
	s.Start()
	t.Cleanup(s.Close)
	return c, s.Listener.Addr().String()
}

func dial(t *testing.T, address, says string) net.Conn {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	if _, err := conn.Write([]byte(says)); err != nil {
		t.Fatal(err)
	}
	return conn
}

// Twenty who say nothing, or half a request, where there is room for eight: those that
// are shut are the idle, and whoever asks is answered, with one that was being answered
// all along.
func TestTheIdleMakeRoom(t *testing.T) {
	let := make(chan struct{})
	c, address := crowded(t, 8, let)
	waits := dial(t, address, "GET /wait HTTP/1.1\r\nHost: a\r\n\r\n")
	time.Sleep(100 * time.Millisecond) // it is being answered by then
	for range 10 {
		dial(t, address, "")
		dial(t, address, "GET / HTTP/1.1\r\nHost: a\r\nX-Slow: ")
	}
	resp, err := http.Get("http://" + address + "/")
	if err != nil {
		t.Fatalf("nobody gets in any more: %v", err)
	}
	resp.Body.Close()
	for deadline := time.Now().Add(2 * time.Second); c.count().Open > 8 && time.Now().Before(deadline); {
		time.Sleep(10 * time.Millisecond)
	}
	if got := c.count(); got.Open > 8 || got.Shut < 13 {
		t.Errorf("%+v, want at most 8 open", got)
	}
	close(let)
	if resp, err = http.ReadResponse(bufio.NewReader(waits), nil); err != nil || resp.StatusCode != http.StatusOK {
		t.Errorf("who was being answered was shut: %v", err)
	}
}
