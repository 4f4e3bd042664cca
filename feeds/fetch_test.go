package feeds_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/feeds"
)

// loopback lets a test fetch from its own servers.
var loopback = []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}

func fetcher(set feeds.Settings) *feeds.Fetcher {
	set.Now = func() time.Time { return now }
	return feeds.NewFetcher(set)
}

// served answers at an address of this machine.
func served(t *testing.T, do http.HandlerFunc) string {
	t.Helper()
	s := httptest.NewServer(do)
	t.Cleanup(s.Close)
	return s.URL
}

func saying(body string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, body) }
}

const goodEA = `{"items": [{"measure": "a-level-stage-i-15_min-m", "dateTime": "2026-11-05T14:00:00Z", "value": 0.5}]}`

// TestHostileServers: each ends in good levels or in a sentence, and soon.
func TestHostileServers(t *testing.T) {
	t.Parallel()
	inside := served(t, func(w http.ResponseWriter, r *http.Request) {
		t.Errorf("reached a private address: %s", r.URL)
		fmt.Fprint(w, goodEA)
	})
	_, port, _ := net.SplitHostPort(strings.TrimPrefix(inside, "http://"))
	private := "http://127.0.0.2:" + port // this machine too, and not the one that is allowed
	servers := []struct {
		name   string
		do     http.HandlerFunc
		levels int
		says   string
	}{
		{"good", saying(goodEA), 1, ""},
		{"slow to answer", func(_ http.ResponseWriter, r *http.Request) { <-r.Context().Done() }, 0, "did not answer in time"},
		{"slow in the middle", func(w http.ResponseWriter, r *http.Request) {
			fmt.Fprint(w, goodEA[:20])
			w.(http.Flusher).Flush()
			<-r.Context().Done()
		}, 0, "broke off"},
		{"drip", func(w http.ResponseWriter, r *http.Request) {
			for r.Context().Err() == nil {
				fmt.Fprint(w, " ")
				w.(http.Flusher).Flush()
				time.Sleep(5 * time.Millisecond)
			}
		}, 0, "broke off"},
		{"huge", func(w http.ResponseWriter, r *http.Request) {
			fmt.Fprint(w, `{"items": [`)
			for range 1 << 20 {
				if _, err := fmt.Fprint(w, `{"measure": "a", "dateTime": "2026-11-05T14:00:00Z", "value": 0.5},`); err != nil {
					return
				}
			}
		}, 0, "values. Ask it for fewer days"},
		{"one huge value", func(w http.ResponseWriter, r *http.Request) {
			fmt.Fprint(w, `{"meta": "`)
			for {
				if _, err := w.Write(make([]byte, 64<<10)); err != nil {
					return
				}
			}
		}, 0, ""},
		{"endless spaces", func(w http.ResponseWriter, r *http.Request) {
			line := []byte(strings.Repeat(" ", 64<<10))
			for {
				if _, err := w.Write(line); err != nil {
					return
				}
			}
		}, 0, "too long"},
		{"half a document", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "1000")
			fmt.Fprint(w, goodEA[:40])
		}, 0, "middle"},
		{"hung up", func(w http.ResponseWriter, _ *http.Request) { panic(http.ErrAbortHandler) }, 0, "could not be reached"},
		{"a page", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/html")
			fmt.Fprint(w, "<html><script>alert(1)</script></html>")
		}, 0, "is not the Environment Agency"},
		{"a picture", saying("\x89PNG\r\n\x1a\n\x00\x00"), 0, "is not the Environment Agency"},
		{"nothing", saying(""), 0, "middle"},
		{"not found", http.NotFound, 0, "nothing at the address"},
		{"not allowed", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(403) }, 0, "may not have it"},
		{"broken", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(500) }, 0, "something is wrong with it"},
		{"unasked 304", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(304) }, 0, "304"},
		{"long header", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("X", strings.Repeat("x", 1<<20))
			fmt.Fprint(w, goodEA)
		}, 0, "could not be reached"},
		{"to a private address", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, private, http.StatusFound) }, 0, "private network"},
		{"to the clouds' own address", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://169.254.169.254/latest", http.StatusFound)
		}, 0, "private network"},
		{"to IPv6's own", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://[::1]:"+port+"/", http.StatusFound)
		}, 0, "private network"},
		{"to IPv4 in IPv6", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://[::ffff:127.0.0.2]:"+port+"/", http.StatusFound)
		}, 0, "private network"},
		{"to a whole number", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://2130706434:"+port+"/", http.StatusFound)
		}, 0, ""},
		{"to a file", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "file:///etc/passwd", http.StatusFound)
		}, 0, "not one of the web"},
		{"round and round", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, r.URL.Path+"x", http.StatusFound) }, 0, "never arrives"},
		{"latest elsewhere, and private", saying(`{"items": {"measures": "` + private + `/m"}}`), 0, "private network"},
	}
	f := fetcher(feeds.Settings{Allow: loopback, Within: 700 * time.Millisecond, Limits: feeds.Limits{Bytes: 4 << 20, Points: 20_000}})
	for _, s := range servers {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			feed := metresFeed(club.EnvironmentAgency)
			feed.Address = served(t, s.do)
			begun := time.Now()
			got := f.Fetch(context.Background(), feed)
			if took := time.Since(begun); took > 10*time.Second {
				t.Errorf("took %v", took)
			}
			if len(got.Levels) != s.levels || !strings.Contains(got.Problem, s.says) || s.levels == 0 && got.Problem == "" {
				t.Errorf("%d levels, problem %q, want %q", len(got.Levels), got.Problem, s.says)
			}
			if strings.Contains(got.Problem, "alert") || strings.Contains(got.Problem, "127.0.0") {
				t.Errorf("says %q", got.Problem)
			}
		})
	}
}

// TestPrivateAddresses: without leave nothing but the public internet is dialled, by
// number or by name.
func TestPrivateAddresses(t *testing.T) {
	t.Parallel()
	reached := served(t, func(http.ResponseWriter, *http.Request) { t.Error("reached") })
	_, port, _ := net.SplitHostPort(strings.TrimPrefix(reached, "http://"))
	f := fetcher(feeds.Settings{Within: 5 * time.Second})
	for _, host := range []string{"127.0.0.1", "localhost", "[::1]", "10.0.0.1", "172.16.9.9", "192.168.1.1", "169.254.169.254", "100.64.0.1", "0.0.0.0", "[fe80::1]", "[fc00::1]", "[::ffff:10.0.0.1]", "[64:ff9b::a00:1]", "224.0.0.1", "255.255.255.255"} {
		feed := metresFeed(club.EnvironmentAgency)
		feed.Address = "http://" + host + ":" + port + "/"
		if got := f.Fetch(context.Background(), feed); !strings.Contains(got.Problem, "private network") {
			t.Errorf("%s: %+v", host, got)
		}
	}
}

// TestProxiesAreIgnored: a proxy named by the environment is not asked.
func TestProxiesAreIgnored(t *testing.T) {
	proxy := served(t, func(http.ResponseWriter, *http.Request) { t.Error("the proxy was asked") })
	t.Setenv("HTTP_PROXY", proxy)
	t.Setenv("http_proxy", proxy)
	feed := metresFeed(club.EnvironmentAgency)
	feed.Address = "http://10.1.2.3/levels"
	if got := fetcher(feeds.Settings{}).Fetch(context.Background(), feed); !strings.Contains(got.Problem, "private network") {
		t.Errorf("%+v", got)
	}
}

// TestNextLinks: pages are joined, each address looked at anew, and there is an end.
func TestNextLinks(t *testing.T) {
	t.Parallel()
	page := func(minute int, next string) string {
		if next != "" {
			next = `, "@iot.nextLink": "` + next + `"`
		}
		return fmt.Sprintf(`{"value": [{"phenomenonTime": "2026-11-05T14:%02d:00Z", "result": 1}]%s}`, minute, next)
	}
	f := fetcher(feeds.Settings{Allow: loopback, Within: 5 * time.Second})
	fetch := func(do http.HandlerFunc) club.Fetched {
		feed := metresFeed(club.SensorThings)
		feed.Address = served(t, do) + "/Observations"
		return f.Fetch(context.Background(), feed)
	}
	asked := 0
	got := fetch(func(w http.ResponseWriter, r *http.Request) {
		asked++
		w.Header().Set("ETag", `"a"`)
		if r.URL.Query().Get("skip") == "1" {
			fmt.Fprint(w, page(1, ""))
			return
		}
		fmt.Fprint(w, page(0, "?skip=1"))
	})
	if len(got.Levels) != 2 || got.Problem != "" || asked != 2 || got.ETag != "" {
		t.Errorf("two pages: %+v, asked %d times", got, asked)
	}
	for _, next := range []string{"http://127.0.0.3/x", "http://192.168.0.1/x", "http://[::1]/x"} {
		if got := fetch(saying(page(0, next))); !strings.Contains(got.Problem, "private network") || got.Levels != nil {
			t.Errorf("next %s: %+v", next, got)
		}
	}
	if got := fetch(saying(page(0, "file:///etc/passwd"))); !strings.Contains(got.Problem, "not one of the web") {
		t.Errorf("a file: %+v", got)
	}
	if got := fetch(saying(page(0, "/Observations"))); !strings.Contains(got.Problem, "circle") {
		t.Errorf("a circle: %+v", got)
	}
	pages := 0
	got = fetch(func(w http.ResponseWriter, _ *http.Request) {
		pages++
		fmt.Fprint(w, page(0, fmt.Sprintf("?p=%d", pages)))
	})
	if !strings.Contains(got.Problem, "more than 20 pages") || pages > 20 {
		t.Errorf("without end: %+v, %d pages", got, pages)
	}
}

// TestAddressOfTheLatest: the Agency's station may say where the latest reading is.
func TestAddressOfTheLatest(t *testing.T) {
	t.Parallel()
	feed := metresFeed(club.EnvironmentAgency)
	feed.Address = served(t, func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/latest" {
			fmt.Fprint(w, goodEA)
			return
		}
		fmt.Fprint(w, `{"items": {"measures": {"@id": "m", "parameter": "level", "unitName": "m", "latestReading": "/latest"}}}`)
	})
	got := fetcher(feeds.Settings{Allow: loopback}).Fetch(context.Background(), feed)
	if len(got.Levels) != 1 || got.Problem != "" {
		t.Errorf("%+v", got)
	}
}

// TestConditional: what is unchanged is not sent again.
func TestConditional(t *testing.T) {
	t.Parallel()
	const tag, changed = `"v1"`, "Thu, 05 Nov 2026 14:00:00 GMT"
	feed := metresFeed(club.EnvironmentAgency)
	feed.Address = served(t, func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("If-None-Match") == tag && r.Header.Get("If-Modified-Since") == changed {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		w.Header().Set("ETag", tag)
		w.Header().Set("Last-Modified", changed)
		fmt.Fprint(w, goodEA)
	})
	f := fetcher(feeds.Settings{Allow: loopback})
	first := f.Fetch(context.Background(), feed)
	if first.ETag != tag || first.Modified != changed || len(first.Levels) != 1 {
		t.Fatalf("%+v", first)
	}
	feed.ETag, feed.Modified = first.ETag, first.Modified
	if again := f.Fetch(context.Background(), feed); !again.NotChanged || again.Problem != "" {
		t.Errorf("%+v", again)
	}
}

// TestRetryAfter: what a server asks for is kept to.
func TestRetryAfter(t *testing.T) {
	t.Parallel()
	feed := metresFeed(club.EnvironmentAgency)
	feed.Address = served(t, func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Retry-After", "7200")
		w.WriteHeader(http.StatusTooManyRequests)
	})
	got := fetcher(feeds.Settings{Allow: loopback}).Fetch(context.Background(), feed)
	if got.RetryAfter != 2*time.Hour || !strings.Contains(got.Problem, "too often") {
		t.Errorf("%+v", got)
	}
}

// TestSamplesReplayed: the open samples from a server, one sentence or level each.
func TestSamplesReplayed(t *testing.T) {
	t.Parallel()
	f := fetcher(feeds.Settings{Allow: loopback})
	feed := metresFeed(club.EnvironmentAgency)
	feed.Address = served(t, saying(openData(t, "sample_ea_station_4115.json")))
	if got := f.Fetch(context.Background(), feed); len(got.Levels) != 1 || got.Levels[0].LevelM != 0.308 {
		t.Errorf("the Agency's: %+v", got)
	}
	feed = metresFeed(club.WaterML2)
	feed.Address = served(t, saying(openData(t, "sample_waterml2_usgs_01646500.xml")))
	if got := f.Fetch(context.Background(), feed); !strings.Contains(got.Problem, "no level") {
		t.Errorf("WaterML 2.0: %+v", got)
	}
	feed = metresFeed(club.SensorThings)
	feed.Address = served(t, saying(openData(t, "sample_usgs_iv_waterml11.json")))
	if got := f.Fetch(context.Background(), feed); got.Problem == "" {
		t.Errorf("another form: %+v", got)
	}
	feed = metresFeed(club.CSVFeed)
	feed.Unit, feed.Plan.Time, feed.Plan.Level = club.Feet, "datetime", "gage_height_ft"
	feed.Address = served(t, saying(openData(t, "usgs_08068500_iv_2011-11.csv")))
	if got := f.Fetch(context.Background(), feed); len(got.Levels) != 1253 {
		t.Errorf("a table: %d levels, %q", len(got.Levels), got.Problem)
	}
}
