package feeds

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strconv"
	"syscall"
	"time"

	"levelpeg/club"
)

// Settings are what a deployment may set. The zero value serves.
type Settings struct {
	// Allow are the networks, of those that are refused otherwise, that feeds may be
	// fetched from: a club's own logger on its own network.
	Allow []netip.Prefix
	// Within is how long one feed may take with all its pages; 0 is a minute.
	Within time.Duration
	Limits Limits // of one document; zero: DefaultLimits
	Now    func() time.Time
}

// Fetcher fetches feeds. It is safe for many goroutines.
type Fetcher struct {
	set    Settings
	client *http.Client
}

// The bounds of fetching.
const (
	fetchWithin    = time.Minute
	dialWithin     = 10 * time.Second
	headerWithin   = 20 * time.Second
	headerMost     = 64 << 10
	redirectsMost  = 5
	pagesMost      = 20
	agent          = "levelpeg (levels for a club's own use)"
	longestETag    = 1000
	longestChanged = 100
)

// NewFetcher makes a fetcher. It heeds no proxy: a proxy would resolve names itself, and
// could be asked for what may not be reached.
func NewFetcher(s Settings) *Fetcher {
	if s.Within <= 0 {
		s.Within = fetchWithin
	}
	if s.Limits == (Limits{}) {
		s.Limits = DefaultLimits()
	}
	if s.Now == nil {
		s.Now = time.Now
	}
	f := &Fetcher{set: s}
	dialer := &net.Dialer{Timeout: dialWithin, Control: f.control}
	f.client = &http.Client{
		CheckRedirect: f.redirect,
		Transport: &http.Transport{
			Proxy: nil, DialContext: dialer.DialContext, ForceAttemptHTTP2: true,
			TLSHandshakeTimeout: dialWithin, ResponseHeaderTimeout: headerWithin, MaxResponseHeaderBytes: headerMost,
			MaxIdleConns: 8, MaxIdleConnsPerHost: 1, IdleConnTimeout: 30 * time.Second,
		},
	}
	return f
}

// Refused is an address that is not fetched from.
type Refused struct{ Addr netip.Addr }

func (r *Refused) Error() string { return "feeds: " + r.Addr.String() + " is not a public address" }

// control sees the address after its name was looked up, of every connection there is:
// the first, a redirect's and a next page's.
func (f *Fetcher) control(_, address string, _ syscall.RawConn) error {
	ap, err := netip.ParseAddrPort(address)
	if err != nil {
		return fmt.Errorf("feeds: dialling: %w", err)
	}
	if !f.allowed(ap.Addr()) {
		return &Refused{ap.Addr()}
	}
	return nil
}

func (f *Fetcher) allowed(a netip.Addr) bool {
	a = a.WithZone("")
	for _, p := range f.set.Allow {
		if p.Contains(a) || p.Contains(a.Unmap()) {
			return true
		}
	}
	return public(a)
}

// special are parts of the address space that are not the public internet. Source: the
// IANA registries of special-purpose IPv4 and IPv6 addresses, from memory.
var special = prefixes(
	"0.0.0.0/8", "10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12", "192.0.0.0/24", "192.0.2.0/24",
	"192.31.196.0/24", "192.52.193.0/24", "192.88.99.0/24", "192.168.0.0/16", "192.175.48.0/24", "198.18.0.0/15", "198.51.100.0/24",
	"203.0.113.0/24", "224.0.0.0/4", "240.0.0.0/4",
	"2001::/23", "2001:db8::/32", "2002::/16", "2620:4f:8000::/48", "3fff::/20",
)

// global is what IPv6 gives out; all else (loopback, local, multicast, IPv4-mapped,
// 64:ff9b::/96 that leads to IPv4) is not.
var global = netip.MustParsePrefix("2000::/3")

func prefixes(all ...string) []netip.Prefix {
	out := make([]netip.Prefix, len(all))
	for i, p := range all {
		out[i] = netip.MustParsePrefix(p)
	}
	return out
}

func public(a netip.Addr) bool {
	if !a.IsValid() || a.Is6() && !global.Contains(a) {
		return false
	}
	for _, p := range special {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

func (f *Fetcher) redirect(req *http.Request, via []*http.Request) error {
	if len(via) > redirectsMost {
		return problem("It leads from one address to another, and never arrives.")
	}
	return fetchable(req.URL)
}

// fetchable refuses what is no web address. Where a name leads is seen when dialled.
func fetchable(u *url.URL) error {
	if u.Scheme != "http" && u.Scheme != "https" || u.Hostname() == "" || u.User != nil {
		return problem("It leads to an address that is not one of the web.")
	}
	if a, err := netip.ParseAddr(u.Hostname()); err == nil && a.Is4In6() {
		return errPrivate()
	}
	return nil
}

func errPrivate() *club.Fault {
	return problem("It leads to an address on a private network, which the settings of this server do not allow.")
}

// Fetch fetches a feed with all its pages. What goes wrong is a sentence in the result.
func (f *Fetcher) Fetch(ctx context.Context, feed club.Feed) club.Fetched {
	ctx, cancel := context.WithTimeout(ctx, f.set.Within)
	defer cancel()
	out, err := f.pages(ctx, feed)
	if err != nil {
		out.Levels, out.Remark, out.ETag, out.Modified = nil, "", "", ""
		out.Problem = sentence(err)
	}
	return out
}

func (f *Fetcher) pages(ctx context.Context, feed club.Feed) (club.Fetched, error) {
	var out club.Fetched
	var all Batch
	at, err := url.Parse(feed.Address)
	if err != nil {
		return out, problem("Its address cannot be read.")
	}
	seen := map[string]bool{}
	for page := 0; ; page++ {
		if page == pagesMost {
			return out, problem("It has more than %d pages. Ask it for fewer days.", pagesMost)
		}
		if seen[at.String()] {
			return out, problem("Its pages lead round in a circle.")
		}
		seen[at.String()] = true
		got, err := f.page(ctx, at, feed, page == 0, &out)
		if err != nil || out.NotChanged {
			return out, err
		}
		if err := all.add(got.batch, f.set.Limits); err != nil {
			return out, err
		}
		if got.batch.Next == "" {
			break
		}
		next, err := got.from.Parse(got.batch.Next)
		if err != nil {
			return out, problem("Its next page has an address that cannot be read.")
		}
		at = next
		out.ETag, out.Modified = "", "" // they speak of the first page alone
	}
	out.Levels, out.Remark, err = Levels(all, feed, f.set.Now())
	if err == nil && len(out.Levels) == 0 {
		err = nothing(all, out.Remark)
	}
	return out, err
}

// nothing is the sentence for a document that was read and holds no level.
func nothing(b Batch, left string) error {
	if left != "" {
		return problem("It holds no level that can be used. %s", left)
	}
	if b.None > 0 {
		return problem("It says itself that it has no values.")
	}
	return problem("It holds no values.")
}

// add joins the next page to those before.
func (b *Batch) add(next Batch, lim Limits) error {
	b.None += next.None
	if b.Bad == 0 {
		b.Why = next.Why
	}
	b.Bad += next.Bad
	points := 0
	for _, s := range next.Series {
		at := -1
		for i := range b.Series {
			if b.Series[i].Name == s.Name {
				at = i
			}
		}
		if at < 0 {
			b.Series = append(b.Series, s)
			continue
		}
		b.Series[at].Points = append(b.Series[at].Points, s.Points...)
	}
	for _, s := range b.Series {
		points += len(s.Points)
	}
	if points > lim.Points || len(b.Series) > seriesMost {
		return problem("It holds more than %d values. Ask it for fewer days.", lim.Points)
	}
	return nil
}

type got struct {
	batch Batch
	from  *url.URL // after redirects, which next is meant from
}

// page fetches and reads one document.
func (f *Fetcher) page(ctx context.Context, at *url.URL, feed club.Feed, first bool, out *club.Fetched) (got, error) {
	if err := fetchable(at); err != nil {
		return got{}, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, at.String(), nil)
	if err != nil {
		return got{}, problem("Its address cannot be read.")
	}
	req.Header.Set("User-Agent", agent)
	req.Header.Set("Accept", accepts(feed.Format))
	if first && feed.ETag != "" {
		req.Header.Set("If-None-Match", feed.ETag)
	}
	if first && feed.Modified != "" {
		req.Header.Set("If-Modified-Since", feed.Modified)
	}
	resp, err := f.client.Do(req)
	if err != nil {
		return got{}, unreached(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode == http.StatusNotModified && first && feed.ETag+feed.Modified != "" {
		out.NotChanged = true
		return got{}, nil
	}
	if resp.StatusCode != http.StatusOK {
		out.RetryAfter = retryAfter(resp.Header.Get("Retry-After"), f.set.Now())
		return got{}, answered(resp.StatusCode)
	}
	if first {
		out.ETag, out.Modified = kept(resp.Header.Get("ETag"), longestETag), kept(resp.Header.Get("Last-Modified"), longestChanged)
	}
	batch, err := Parse(feed.Format, resp.Body, feed.Plan, f.set.Limits)
	return got{batch, resp.Request.URL}, err
}

// kept is a header that can be kept and sent again.
func kept(text string, most int) string {
	if len(text) > most {
		return ""
	}
	for _, c := range []byte(text) {
		if c < 0x20 || c > 0x7e {
			return ""
		}
	}
	return text
}

func accepts(format club.FeedFormat) string {
	switch format {
	case club.WaterML2:
		return "application/xml, text/xml, */*;q=0.1"
	case club.CSVFeed:
		return "text/csv, text/plain, */*;q=0.1"
	}
	return "application/json, */*;q=0.1"
}

// answered is the sentence for a status that is no good.
func answered(status int) error {
	switch {
	case status == http.StatusNotFound || status == http.StatusGone:
		return problem("Its server answered that there is nothing at the address (%d).", status)
	case status == http.StatusUnauthorized || status == http.StatusForbidden:
		return problem("Its server answered that we may not have it (%d).", status)
	case status == http.StatusTooManyRequests:
		return club.Faultf(club.Unavailable, "Its server answered that we ask too often (%d).", status)
	case status >= 500:
		return club.Faultf(club.Unavailable, "Its server answered that something is wrong with it (%d).", status)
	}
	return problem("Its server answered %d, and not with values.", status)
}

// retryAfter reads how long to wait, in seconds or up to a moment.
func retryAfter(text string, now time.Time) time.Duration {
	if s, err := strconv.Atoi(text); err == nil && s > 0 {
		return min(time.Duration(min(s, 1<<20))*time.Second, club.FeedEveryMost)
	}
	if at, err := http.ParseTime(text); err == nil && at.After(now) {
		return min(at.Sub(now), club.FeedEveryMost)
	}
	return 0
}

// unreached is the sentence for a server that did not answer.
func unreached(err error) error {
	var f *club.Fault
	var refused *Refused
	var name *net.DNSError
	switch {
	case errors.As(err, &f):
		return f
	case errors.As(err, &refused):
		return errPrivate()
	case errors.As(err, &name):
		return club.Faultf(club.Unavailable, "The name in its address was not found.").Because(err)
	case errors.Is(err, context.Canceled):
		return club.Faultf(club.Unavailable, "Fetching was stopped.").Because(err)
	case isTimeout(err):
		return club.Faultf(club.Unavailable, "Its server did not answer in time.").Because(err)
	}
	return club.Faultf(club.Unavailable, "Its server could not be reached, or did not answer as a web server does.").Because(err)
}

func isTimeout(err error) bool {
	var n net.Error
	return errors.As(err, &n) && n.Timeout() || errors.Is(err, context.DeadlineExceeded)
}

// isNetwork says whether a document broke off, and was not merely wrong.
func isNetwork(err error) bool {
	var n net.Error
	var op *net.OpError
	return errors.As(err, &n) || errors.As(err, &op) || errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled)
}

// sentence is what the page says; never a word of what was fetched.
func sentence(err error) string {
	var f *club.Fault
	if errors.As(err, &f) {
		return f.Say
	}
	return "It could not be fetched."
}
