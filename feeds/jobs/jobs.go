// Package jobs fetches feeds in the background, by a queue in the club's own database:
// of however many servers there are one at a time sees what is due, and each feed is
// fetched by one of them. One feed's failure keeps no other from being fetched.
package jobs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivertype"

	"levelpeg/club"
	"levelpeg/feeds"
)

// Book is what is read and kept of feeds.
type Book interface {
	DueFeeds(ctx context.Context, now time.Time) ([]int64, error)
	// Feed fails with club.NotFound for one that is not to be fetched any more.
	Feed(ctx context.Context, id int64) (club.Feed, error)
	KeepFetched(ctx context.Context, f club.Feed, got club.Fetched, next, now time.Time) (club.Merged, error)
	// TidyTables lets go of the tables of levels that waited too long to be kept.
	TidyTables(ctx context.Context, now time.Time) error
}

// Config is what a runner is made of. Book, Fetcher and Log must be there.
type Config struct {
	Book    Book
	Fetcher *feeds.Fetcher
	Log     *slog.Logger
	// Work false only lets feeds be asked for: another server fetches them.
	Work bool
	// Look is how often to see what is due; 0 is half a minute.
	Look time.Duration
	Now  func() time.Time // nil is the clock
}

const (
	queue       = "feeds"
	atOnce      = 4 // so that one slow server does not keep the others waiting
	lookEvery   = 30 * time.Second
	poll        = 2 * time.Second
	tidyEvery   = time.Hour
	jobWithin   = 2 * time.Minute
	rescueAfter = jobWithin + 15*time.Second // a job has ended by then, or its server was killed or could not write its end down: it is done anew
	attempts    = 3                          // of what fails on our side; the next look begins anew
	connections = 3
)

// Runner is the queue's client.
type Runner struct {
	pool   *pgxpool.Pool
	client *river.Client[pgx.Tx]
	work   bool
}

// Open makes a runner with a few connections of its own to the database at url, so that
// fetching never keeps a page waiting for one. It starts nothing.
func Open(ctx context.Context, url string, c Config) (*Runner, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, club.Faultf(club.Invalid, "The database address cannot be read.").Because(err)
	}
	cfg.MaxConns = connections
	cfg.ConnConfig.RuntimeParams["application_name"] = "levelpeg feeds"
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("jobs.Open: %w", err)
	}
	client, err := river.NewClient(riverpgxv5.New(pool), clientConfig(c))
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("jobs.Open: %w", err)
	}
	return &Runner{pool: pool, client: client, work: c.Work}, nil
}

func clientConfig(c Config) *river.Config {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Look <= 0 {
		c.Look = lookEvery
	}
	out := &river.Config{Logger: slog.New(quiet{c.Log.Handler()}), JobTimeout: jobWithin, RescueStuckJobsAfter: rescueAfter,
		MaxAttempts: attempts, PollOnly: true, FetchPollInterval: poll}
	if !c.Work {
		return out
	}
	out.Workers = river.NewWorkers()
	river.AddWorker(out.Workers, &fetchWorker{Config: c})
	river.AddWorker(out.Workers, &lookWorker{Config: c})
	river.AddWorker(out.Workers, &tidyWorker{Config: c})
	out.Queues = map[string]river.QueueConfig{queue: {MaxWorkers: atOnce}, river.QueueDefault: {MaxWorkers: 1}}
	out.PeriodicJobs = []*river.PeriodicJob{
		river.NewPeriodicJob(river.PeriodicInterval(c.Look), func() (river.JobArgs, *river.InsertOpts) { return lookArgs{}, nil }, &river.PeriodicJobOpts{RunOnStart: true}),
		river.NewPeriodicJob(river.PeriodicInterval(tidyEvery), func() (river.JobArgs, *river.InsertOpts) { return tidyArgs{}, nil }, nil),
	}
	return out
}

// quiet leaves out what a queue says of itself all day.
type quiet struct{ slog.Handler }

func (q quiet) Enabled(ctx context.Context, l slog.Level) bool {
	return l >= slog.LevelWarn && q.Handler.Enabled(ctx, l)
}
func (q quiet) WithAttrs(a []slog.Attr) slog.Handler { return quiet{q.Handler.WithAttrs(a)} }
func (q quiet) WithGroup(name string) slog.Handler   { return quiet{q.Handler.WithGroup(name)} }

// Start begins to fetch what is due, until Stop.
func (r *Runner) Start(ctx context.Context) error {
	if !r.work {
		return nil
	}
	if err := r.client.Start(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("jobs.Start: %w", err)
	}
	return nil
}

// Stop lets fetches under way end until ctx does, breaks off the rest, and lets go of the
// database. What was broken off is due again.
func (r *Runner) Stop(ctx context.Context) error {
	defer r.pool.Close()
	if !r.work {
		return nil
	}
	if err := r.client.Stop(ctx); err == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := r.client.StopAndCancel(ctx); err != nil {
		return fmt.Errorf("jobs.Stop: %w", err)
	}
	return nil
}

// Ask has a feed fetched as soon as may be. One that is asked for already is not twice.
func (r *Runner) Ask(ctx context.Context, feed int64) error {
	_, err := r.client.Insert(ctx, fetchArgs{Feed: feed}, nil)
	if err != nil {
		return fmt.Errorf("jobs.Ask(%d): %w", feed, err)
	}
	return nil
}

// pending is a job that is not done: of each feed, and of looking, there is one at most.
func pending() river.UniqueOpts {
	return river.UniqueOpts{ByArgs: true, ByState: []rivertype.JobState{rivertype.JobStateAvailable, rivertype.JobStatePending,
		rivertype.JobStateRetryable, rivertype.JobStateRunning, rivertype.JobStateScheduled}}
}

// lookArgs is the job that sees what is due.
type lookArgs struct{}

func (lookArgs) Kind() string { return "feeds_due" }

func (lookArgs) InsertOpts() river.InsertOpts { return river.InsertOpts{UniqueOpts: pending()} }

type lookWorker struct {
	river.WorkerDefaults[lookArgs]
	Config
}

func (w *lookWorker) Work(ctx context.Context, _ *river.Job[lookArgs]) error {
	due, err := w.Book.DueFeeds(ctx, w.Now())
	if err != nil || len(due) == 0 {
		return err
	}
	jobs := make([]river.InsertManyParams, len(due))
	for i, id := range due {
		jobs[i] = river.InsertManyParams{Args: fetchArgs{Feed: id}}
	}
	_, err = river.ClientFromContext[pgx.Tx](ctx).InsertMany(ctx, jobs)
	return err
}

// tidyArgs is the job that takes away what waited too long.
type tidyArgs struct{}

func (tidyArgs) Kind() string { return "waiting_tables" }

func (tidyArgs) InsertOpts() river.InsertOpts { return river.InsertOpts{UniqueOpts: pending()} }

type tidyWorker struct {
	river.WorkerDefaults[tidyArgs]
	Config
}

func (w *tidyWorker) Work(ctx context.Context, _ *river.Job[tidyArgs]) error {
	return w.Book.TidyTables(ctx, w.Now())
}

// fetchArgs is the job that fetches one feed.
type fetchArgs struct {
	Feed int64 `json:"feed"`
}

func (fetchArgs) Kind() string { return "feed" }

func (fetchArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{Queue: queue, UniqueOpts: pending()}
}

type fetchWorker struct {
	river.WorkerDefaults[fetchArgs]
	Config
}

// Work fetches a feed. What is wrong with the feed is kept with it and said on its page,
// and it waits longer; only what is wrong with our own book fails the job.
func (w *fetchWorker) Work(ctx context.Context, job *river.Job[fetchArgs]) error {
	f, err := w.Book.Feed(ctx, job.Args.Feed)
	if club.KindOf(err) == club.NotFound || err == nil && f.Due.After(w.Now()) {
		return nil
	}
	if err != nil {
		return err
	}
	got := w.Fetcher.Fetch(ctx, f)
	if err := ctx.Err(); err != nil && errors.Is(err, context.Canceled) {
		return err // the server is stopping; the feed is not to blame
	}
	failures := 0
	if got.Problem != "" {
		failures = f.Failures + 1
		w.Log.WarnContext(ctx, "a feed failed", "feed", f.ID, "gauge", f.Gauge, "why", got.Problem)
	}
	now := w.Now()
	_, err = w.Book.KeepFetched(ctx, f, got, now.Add(club.NextFetch(f.Every, failures, got.RetryAfter, rand.Float64())), now)
	return err
}
