package measure

import (
	"context"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Source tells what is not counted but looked up when it is asked for. A nil function
// tells nothing.
type Source struct {
	Pool func() Pool
	Book func(ctx context.Context) (Book, error)
	// Copy is how the copy of the database that is read from stands; false where there is none.
	Copy    func() (Copy, bool)
	Crowd   func() Crowd
	Serving func() bool // not told to stop
	// LastBackup is when the last backup that was found good was made; the zero time for
	// none yet.
	LastBackup func(ctx context.Context) (time.Time, error)
}

// Pool is how the connections to the database stand.
type Pool struct {
	InUse, Idle, Most  int
	Waiting            int   // for a connection
	Waited, TurnedAway int64 // since the start
}

// Copy is how a copy of the database stands.
type Copy struct {
	Behind time.Duration // at most
	Known  bool          // how far it is behind
	Reads  int64         // since the start
	InUse  int           // connections
}

// Book is what the book says of itself.
type Book struct {
	WaitingForMending int
	Feeds             []Feed
}

// Feed is how a feed of levels stands. The times are zero where there was none.
type Feed struct {
	ID           int64
	Gauge        string
	Good, Newest time.Time // it was last read well; its newest level is of
	Failures     int       // since then
}

// Crowd is how many connections from outside there are.
type Crowd struct {
	Open int
	Shut int64 // to make room for others, since the start
}

// bookWithin is how long the database may take to tell.
const bookWithin = 2 * time.Second

// asked collects what a Source tells.
type asked struct{ Source }

func newAsked(s Source) asked { return asked{s} }

func describe(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("levelpeg_"+name, help, labels, nil)
}

var (
	serving     = describe("serving", "1 while requests are taken; 0 once it was told to stop.")
	connections = describe("database_connections", "Connections to the database.", "state")
	most        = describe("database_connections_most", "As many connections to the database as there may be.")
	waiting     = describe("database_waiting", "Requests that wait for a connection to the database.")
	waited      = describe("database_waits_total", "Times that a connection to the database had to be waited for.")
	turnedAway  = describe("database_turned_away_total", "Times that none came free in time, or too many waited, and the answer was 503.")
	copyBehind  = describe("database_copy_behind_seconds", "How far the copy that is read from is behind, at most; not there while that is not known.")
	copyReads   = describe("database_copy_reads_total", "Reads from the copy.")
	copyInUse   = describe("database_copy_connections", "Connections to the copy that are in use.")
	bookUp      = describe("database_up", "1 if the database answered just now.")
	mending     = describe("entries_waiting_for_mending", "Entries that their writers have to look at again.")
	feedAge     = describe("feed_age_seconds", "Time since a feed was last read well.", "feed", "gauge")
	feedNewest  = describe("feed_newest_level_age_seconds", "Age of the newest level that a feed gave.", "feed", "gauge")
	feedFailed  = describe("feed_failures", "Times that reading a feed has failed since it was last read well.", "feed", "gauge")
	backupAge   = describe("backup_age_seconds", "Age of the last good backup; not there while there is none.")
	clients     = describe("connections", "Open connections from outside.")
	shut        = describe("connections_shut_total", "Connections from outside that were shut to make room for others.")
)

// Describe tells nothing beforehand: what there is depends on the club.
func (a asked) Describe(chan<- *prometheus.Desc) {}

// Collect asks, and leaves out what could not be told.
func (a asked) Collect(out chan<- prometheus.Metric) {
	say := func(d *prometheus.Desc, v float64, labels ...string) {
		out <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	count := func(d *prometheus.Desc, v int64) {
		out <- prometheus.MustNewConstMetric(d, prometheus.CounterValue, float64(v))
	}
	if a.Serving != nil {
		say(serving, one(a.Serving()))
	}
	if a.Crowd != nil {
		c := a.Crowd()
		say(clients, float64(c.Open))
		count(shut, c.Shut)
	}
	if a.Pool != nil {
		p := a.Pool()
		say(connections, float64(p.InUse), "in use")
		say(connections, float64(p.Idle), "idle")
		say(most, float64(p.Most))
		say(waiting, float64(p.Waiting))
		count(waited, p.Waited)
		count(turnedAway, p.TurnedAway)
	}
	a.copy(say, count)
	ctx, cancel := context.WithTimeout(context.Background(), bookWithin)
	defer cancel()
	a.book(ctx, say)
	a.backup(ctx, say)
}

type sayer func(d *prometheus.Desc, v float64, labels ...string)

func (a asked) copy(say sayer, count func(*prometheus.Desc, int64)) {
	if a.Copy == nil {
		return
	}
	c, there := a.Copy()
	if !there {
		return
	}
	say(copyInUse, float64(c.InUse))
	count(copyReads, c.Reads)
	if c.Known {
		say(copyBehind, c.Behind.Seconds())
	}
}

func (a asked) book(ctx context.Context, say sayer) {
	if a.Book == nil {
		return
	}
	b, err := a.Book(ctx)
	say(bookUp, one(err == nil))
	if err != nil {
		return
	}
	say(mending, float64(b.WaitingForMending))
	for _, f := range b.Feeds {
		of := []string{strconv.FormatInt(f.ID, 10), f.Gauge}
		say(feedFailed, float64(f.Failures), of...)
		if !f.Good.IsZero() {
			say(feedAge, time.Since(f.Good).Seconds(), of...)
		}
		if !f.Newest.IsZero() {
			say(feedNewest, time.Since(f.Newest).Seconds(), of...)
		}
	}
}

func (a asked) backup(ctx context.Context, say sayer) {
	if a.LastBackup == nil {
		return
	}
	if at, err := a.LastBackup(ctx); err == nil && !at.IsZero() {
		say(backupAge, time.Since(at).Seconds())
	}
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
