package main

import (
	"context"
	"log/slog"
	"net/netip"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/feeds"
	"levelpeg/feeds/jobs"
)

// feedsStopWithin is how long fetches under way may take to end.
const feedsStopWithin = 10 * time.Second

// startFeeds begins to fetch levels from elsewhere, where that is not turned off.
func (c serveCmd) startFeeds(ctx context.Context, url string, book *db.DB, log *slog.Logger) (*jobs.Runner, error) {
	allow, err := networks(c.FeedsAllow)
	if err != nil {
		return nil, err
	}
	r, err := jobs.Open(ctx, url, jobs.Config{Book: book, Fetcher: feeds.NewFetcher(feeds.Settings{Allow: allow}), Log: log, Work: c.Feeds})
	if err != nil {
		return nil, err
	}
	if err := r.Start(ctx); err != nil {
		stopFeeds(r, log)
		return nil, err
	}
	return r, nil
}

func stopFeeds(r *jobs.Runner, log *slog.Logger) {
	ctx, cancel := context.WithTimeout(context.Background(), feedsStopWithin)
	defer cancel()
	if err := r.Stop(ctx); err != nil {
		log.Error("fetching did not stop cleanly", "err", err)
	}
}

// networks reads 192.168.1.0/24, or a lone address.
func networks(all []string) ([]netip.Prefix, error) {
	var out []netip.Prefix
	for _, text := range all {
		p, err := netip.ParsePrefix(text)
		if a, lone := netip.ParseAddr(text); err != nil && lone == nil {
			p, err = a.Prefix(a.BitLen())
		}
		if err != nil {
			return nil, club.Faultf(club.Invalid, "“%s” is not a network such as 192.168.1.0/24.", text).Because(err)
		}
		out = append(out, p.Masked())
	}
	return out, nil
}
