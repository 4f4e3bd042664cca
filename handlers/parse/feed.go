package parse

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// Feed reads a form that adds a feed: "format", "address", "unit", "offset" in metres
// (empty: 0), "every" in minutes, "acknowledge" and, of a table, what Plan reads.
func Feed(q url.Values, zone string) (club.FeedDraft, error) {
	d := club.FeedDraft{Format: club.FeedFormat(q.Get("format")), Address: q.Get("address"), Unit: club.Unit(q.Get("unit")), Acknowledge: q.Get("acknowledge"), Plan: Plan(q, zone)}
	minutes, err := strconv.Atoi(strings.TrimSpace(q.Get("every")))
	if err != nil || minutes < 0 || minutes > 1<<20 {
		return d, club.Faultf(club.Invalid, "Choose how often it is fetched.")
	}
	d.Every = time.Duration(minutes) * time.Minute
	text := strings.TrimSpace(strings.ReplaceAll(q.Get("offset"), "−", "-"))
	if text == "" {
		return d, nil
	}
	if !decimal.MatchString(text) {
		return d, club.Faultf(club.Invalid, "“%s” is not a height in metres. Write one such as 0.25 or -1.3, or nothing.", short(text))
	}
	d.OffsetM, err = strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return d, err
}

// Plan reads how a table is read; zone stands where the form names none.
func Plan(q url.Values, zone string) club.CSVPlan {
	p := club.CSVPlan{Comma: q.Get("comma"), Time: q.Get("time"), Clock: q.Get("clock"), Level: q.Get("level"), Layout: q.Get("layout"),
		Zone: strings.TrimSpace(q.Get("zone")), DecimalComma: q.Get("decimal") == "comma"}
	if p.Zone == "" {
		p.Zone = zone
	}
	return p
}
