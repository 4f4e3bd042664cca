package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/feeds/jobs"
	"levelpeg/handlers"
	"levelpeg/handlers/measure"
	"levelpeg/paper"
)

type serveCmd struct {
	database
	Listen      string   `help:"Address to serve at." default:"127.0.0.1:8080" env:"LEVELPEG_LISTEN"`
	Demo        bool     `help:"Make an invented club where the database is empty." env:"LEVELPEG_DEMO"`
	Migrate     *bool    `help:"Bring the database up to date first (default: only the private one)." negatable:"" env:"LEVELPEG_MIGRATE"`
	Remember    int      `help:"How many worked-out rigs to remember, and a quarter as many pegs. 0 remembers nothing." default:"4096" env:"LEVELPEG_REMEMBER"`
	Address     string   `help:"Where people reach the server, such as https://waters.example (default: wherever a request says it came to). Behind a proxy that speaks https, set it." env:"LEVELPEG_ADDRESS" placeholder:"URL"`
	TrustProxy  []string `help:"Networks of proxies whose word for where a request comes from is taken, such as 127.0.0.1/32 (default: none)." env:"LEVELPEG_TRUST_PROXY" placeholder:"NET"`
	Feeds       bool     `help:"Fetch levels from elsewhere." default:"true" negatable:"" env:"LEVELPEG_FEEDS"`
	FeedsAllow  []string `help:"Private networks that levels may be fetched from, such as 192.168.1.0/24." placeholder:"NET" env:"LEVELPEG_FEEDS_ALLOW"`
	Backups     string   `help:"Folder of the nightly backups (default: “backups” in the data folder; of a database of another's, none are made unless this is given)." env:"LEVELPEG_BACKUPS" placeholder:"DIR" type:"path"`
	BackupCopy  string   `help:"Second place for every backup: a folder on another disk or machine, which must be there." env:"LEVELPEG_BACKUP_COPY" placeholder:"DIR" type:"path"`
	Nightly     bool     `help:"Make a backup every night." default:"true" negatable:"" env:"LEVELPEG_NIGHTLY"`
	Connections int32    `help:"Most connections to the database, and one more that is kept for what is recorded. Requests of one kind use all but one." default:"4" env:"LEVELPEG_CONNECTIONS"`
	ReadFrom    string   `help:"Address of a PostgreSQL that follows the database, for pages that only read. It is read from while it is no more than 10 seconds behind." env:"LEVELPEG_READ_FROM" placeholder:"URL"`
	Crowd       int      `help:"Most connections from outside; past them the idlest is shut." default:"4096" env:"LEVELPEG_CROWD"`

	BackupCopyRecipient []string `help:"Encrypt the second place to this age recipient (age1…), whose secret key is kept elsewhere; may be given more than once." env:"LEVELPEG_BACKUP_COPY_RECIPIENT" placeholder:"age1…"`

	MetricsListen string        `help:"Address to serve Prometheus's measures at, such as 127.0.0.1:9180 (default: nowhere). Let nobody else reach it." env:"LEVELPEG_METRICS_LISTEN" placeholder:"ADDRESS"`
	LogRequests   bool          `help:"Write a line for every request, not for slow and failed ones alone." env:"LEVELPEG_LOG_REQUESTS"`
	Drain         time.Duration `help:"How long to go on serving once told to stop, while /readyz says no, so that a proxy can look elsewhere." default:"0s" env:"LEVELPEG_DRAIN"`
	Links         bool          `help:"Print the link for the first secretary, or those to try the made-up club by. Where what is printed is kept, as by systemd, switch it off and use “levelpeg member link”." default:"true" negatable:"" env:"LEVELPEG_LINKS"`
}

func (c serveCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	if err := c.check(); err != nil {
		return err
	}
	o, err := c.open(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	if err := c.prepare(ctx, o.url); err != nil {
		return err
	}
	if c.Demo {
		if err := ensureDemo(ctx, o.url, log); err != nil {
			return err
		}
	}
	nightly, err := c.nightly(o.url, log)
	if err != nil {
		return err
	}
	book, err := db.Open(ctx, o.url, db.Options{MaxConns: c.Connections, Remember: c.Remember / 4, Removed: nightly.removed, ReadFrom: c.ReadFrom, Told: copyTold(log)})
	if err != nil {
		return err
	}
	defer book.Close()
	defer nightly.begin(ctx)()
	runner, err := c.startFeeds(ctx, o.url, book, log)
	if err != nil {
		return err
	}
	defer stopFeeds(runner, log)
	return c.serve(ctx, book, runner, o.failed, log, out)
}

// check looks at the settings that could not be used.
func (c serveCmd) check() error {
	if c.Address != "" {
		if err := checkAddress(c.Address); err != nil {
			return err
		}
	}
	if c.Crowd < 1 || c.Connections < 1 || c.Drain < 0 {
		return club.Faultf(club.Invalid, "--crowd and --connections are at least 1, and --drain is not negative.")
	}
	for _, network := range c.TrustProxy {
		if _, err := netip.ParsePrefix(network); err != nil {
			return club.Faultf(club.Invalid, "“%s” is not a network such as 127.0.0.1/32, of a proxy to trust.", network)
		}
	}
	return c.checkCopy()
}

// copyTold writes down what keeps the copy from being read from, and that it is again.
func copyTold(log *slog.Logger) func(error) {
	return func(err error) {
		if err == nil {
			log.Info("pages are read from the database's copy")
			return
		}
		log.Warn("pages are not read from the database's copy", "err", err)
	}
}

// prepare brings the schema up to date where that is asked for, and else refuses
// one that is not.
func (c serveCmd) prepare(ctx context.Context, url string) error {
	migrate := c.private()
	if c.Migrate != nil {
		migrate = *c.Migrate
	}
	if migrate {
		if err := db.Migrate(ctx, url); err != nil {
			return err
		}
	}
	return db.CheckSchema(ctx, url)
}

// Time limits on a connection: a phone on one bar is slow, and a connection that
// says nothing is not waited for.
const (
	headerWithin  = 10 * time.Second
	requestWithin = 30 * time.Second
	answerWithin  = 60 * time.Second
	idleFor       = 2 * time.Minute
	finishWithin  = 20 * time.Second
	headerBytes   = 16 << 10
)

func (c serveCmd) serve(ctx context.Context, book *db.DB, runner *jobs.Runner, failed <-chan error, log *slog.Logger, out io.Writer) error {
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return club.Faultf(club.Conflict, "Cannot serve at %s.", c.Listen).Because(err)
	}
	crowd := newCrowd(c.Crowd)
	counts := measures(ctx, book, crowd)
	closeMeasures, err := serveMeasures(c.MetricsListen, counts, log)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	defer closeMeasures()
	server := c.server(ctx, book, runner, crowd, counts, log)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	fmt.Fprintf(out, "Levelpeg is at http://%s\n", listener.Addr())
	if c.Links {
		if err := waysIn(ctx, book, c.origin(listener.Addr()), out); err != nil {
			log.Warn("no link to sign in with was made", "err", err)
		}
	}
	select {
	case err := <-ended:
		return fmt.Errorf("serving: %w", err)
	case err := <-failed:
		return errors.Join(err, finish(server))
	case <-ctx.Done():
		log.Info("stopping: requests under way finish first")
		c.drain(ended, failed)
		return finish(server)
	}
}

// server is the server of the club's pages.
func (c serveCmd) server(ctx context.Context, book *db.DB, runner *jobs.Runner, crowd *crowd, counts *measure.Measures, log *slog.Logger) *http.Server {
	pages := handlers.New(handlers.Config{Book: book, Feeds: runner, Rigs: club.NewRigMemory(c.Remember), Log: log, Remember: c.Remember, Address: c.Address, Proxies: c.TrustProxy,
		Paper: paper.Press{}, Measures: counts, LogAll: c.LogRequests, Copy: c.ReadFrom != "", Stopping: ctx.Done()})
	return &http.Server{
		Handler:           crowd.served(pages),
		ReadHeaderTimeout: headerWithin, ReadTimeout: requestWithin, WriteTimeout: answerWithin, IdleTimeout: idleFor,
		MaxHeaderBytes: headerBytes,
		ConnContext:    crowd.meet,
		ConnState:      crowd.watch,
		ErrorLog:       quietLog(log),
	}
}

// drain goes on serving for a while after the word to stop, unless there is nothing left
// to serve with.
func (c serveCmd) drain(ended, failed <-chan error) {
	if c.Drain == 0 {
		return
	}
	select {
	case <-time.After(c.Drain):
	case <-ended:
	case <-failed:
	}
}

// origin is what links begin with.
func (c serveCmd) origin(at net.Addr) string {
	if c.Address != "" {
		return strings.TrimSuffix(c.Address, "/")
	}
	return "http://" + at.String()
}

// finish lets requests under way end. Closing the pool and PostgreSQL come after,
// by the callers' defers, in that order.
func finish(server *http.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), finishWithin)
	defer cancel()
	return server.Shutdown(ctx)
}
