//go:build !js

package handlers

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// feedRoutes are the routes of levels from elsewhere.
func (s *server) feedRoutes() []route {
	const of = "/gauges/{gauge}/feeds"
	const one = of + "/{id}"
	const table = "/gauges/{gauge}/import"
	return []route{
		{get, of, bailiffs, s.page, s.shows(s.feedsPage)},
		{post, of, bailiffs, s.page, s.takesNamed(feedForm, s.feedsPage, s.addFeed)},
		{get, one, bailiffs, s.page, s.shows(s.feedPage)},
		{post, one, bailiffs, s.page, s.takesNamed(feedForm, s.feedPage, s.changeFeed)},
		{post, one + "/pause", bailiffs, s.page, s.takes("", s.feedsPage, s.feedAct("Paused: it is not fetched until you let it go on.", s.pauseFeed))},
		{post, one + "/resume", bailiffs, s.page, s.takes("", s.feedsPage, s.feedAct("It goes on, and is fetched within a minute.", s.resumeFeed))},
		{post, one + "/remove", bailiffs, s.page, s.takes("", s.feedsPage, s.feedAct("Removed. Its levels stay, with their acknowledgement.", s.removeFeed))},
		{post, one + "/fetch", bailiffs, s.page, s.takes("", s.feedsPage, s.feedAct("It is being fetched. Look here again in a few seconds.", s.fetchNow))},
		{post, "/gauges/{gauge}/loggers", bailiffs, s.page, s.makeLogger},
		{post, "/gauges/{gauge}/loggers/{logger}/end", bailiffs, s.page, s.takes("", s.feedsPage, s.endLogger)},
		{get, table, bailiffs, s.page, s.importForm},
		{post, table, bailiffs, s.page, s.importFile},
		{get, table + "/{file}", bailiffs, s.page, s.importPreview},
		{post, table + "/{file}", bailiffs, s.page, s.importKeep},
		{get, table + "/{file}/bad.txt", bailiffs, s.page, s.importBad},

		// An instrument of the club's own. Its token is the right to post.
		{post, "/api/1/levels", anyone, s.json, s.postLevels},
	}
}

func feedsPath(gauge string) string { return "/gauges/" + gauge + "/feeds" }

// feedForm is which of the page's forms was sent: a table's has columns.
func feedForm(r *http.Request) string {
	if r.PostForm.Get("format") == string(club.CSVFeed) {
		return web.FormTable
	}
	return web.FormFeed
}

// feedsPage says where a gauge's levels come from.
func (s *server) feedsPage(r *http.Request, f web.Fill) (web.SetupPage, error) {
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return web.SetupPage{}, err
	}
	return web.NewFeedsPage(s.assets, v, f, s.now(), zone(v.Club)), nil
}

// feedPage is where one feed is changed.
func (s *server) feedPage(r *http.Request, f web.Fill) (web.SetupPage, error) {
	id, err := idOf(r)
	if err != nil {
		return web.SetupPage{}, noSuchFeed()
	}
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return web.SetupPage{}, err
	}
	for _, feed := range v.Feeds {
		if feed.ID == id {
			return web.NewFeedPage(s.assets, v, feed, f, s.now(), zone(v.Club)), nil
		}
	}
	return web.SetupPage{}, noSuchFeed()
}

func noSuchFeed() error {
	return club.Faultf(club.NotFound, "The gauge has no such feed, or it was removed.")
}

func (s *server) addFeed(in sent) (done, error) {
	gauge := in.param("gauge")
	d, err := parse.Feed(in.q, in.loc.String())
	if err != nil {
		return done{}, err
	}
	id, err := s.book.AddFeed(in.ctx, in.who, gauge, d, in.now)
	if err != nil {
		return done{}, err
	}
	s.hurry(in.ctx, id)
	return done{feedsPath(gauge), "The feed is set up. It is fetched within a minute; look here again then."}, nil
}

func (s *server) changeFeed(in sent) (done, error) {
	gauge := in.param("gauge")
	d, err := parse.Feed(in.q, in.loc.String())
	if err != nil {
		return done{}, err
	}
	if err := s.book.ChangeFeed(in.ctx, in.who, gauge, in.id, in.q.Get("was"), d, in.now); err != nil {
		return done{}, err
	}
	s.hurry(in.ctx, in.id)
	return done{feedsPath(gauge), "The feed is changed. It is fetched within a minute; look here again then."}, nil
}

// hurry has a feed fetched soon. Where that cannot be asked for now it is due all the same.
func (s *server) hurry(ctx context.Context, feed int64) {
	if s.fetches == nil {
		return
	}
	if err := s.fetches.Ask(ctx, feed); err != nil {
		s.log.ErrorContext(ctx, "a fetch could not be asked for", "feed", feed, "err", err)
	}
}

// feedDo does something to a feed of a gauge.
type feedDo func(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error

// feedAct is one of the buttons beside a feed.
func (s *server) feedAct(says string, do feedDo) func(sent) (done, error) {
	return func(in sent) (done, error) {
		gauge := in.param("gauge")
		return done{feedsPath(gauge), says}, do(in.ctx, in.who, gauge, in.id, in.now)
	}
}

func (s *server) pauseFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return s.book.PauseFeed(ctx, who, gauge, id, now)
}

func (s *server) removeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	return s.book.RemoveFeed(ctx, who, gauge, id, now)
}

func (s *server) resumeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	if err := s.book.ResumeFeed(ctx, who, gauge, id, now); err != nil {
		return err
	}
	s.hurry(ctx, id)
	return nil
}

func (s *server) fetchNow(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	if err := s.book.HurryFeed(ctx, who, gauge, id, now); err != nil {
		return err
	}
	s.hurry(ctx, id)
	return nil
}

// tokenBytes make a token that nobody guesses.
const tokenBytes = 32

// makeLogger shows the new logger's token, once: it answers the form with the page
// itself, because a redirect would have to carry the token.
func (s *server) makeLogger(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	var secret [tokenBytes]byte
	if _, err := rand.Read(secret[:]); err != nil {
		return err
	}
	token := base64.RawURLEncoding.EncodeToString(secret[:])
	hash := sha256.Sum256([]byte(token))
	err = s.book.MakeLogger(r.Context(), writer(r), param(r, "gauge"), q.Get("name"), hash[:], s.now())
	switch {
	case err == nil:
	case !shownToThem(err):
		return err
	default:
		return s.showSetup(w, r, s.refused(w, r, err), s.feedsPage, web.Fill{Form: web.FormLogger, Values: q, Problem: sentence(err)})
	}
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Setup(web.NewLoggerPage(s.assets, v, token, s.origin(r))))
}

func (s *server) endLogger(in sent) (done, error) {
	hash, err := hex.DecodeString(in.param("logger"))
	if err != nil || len(hash) != sha256.Size {
		return done{}, club.Faultf(club.Conflict, "There is no such logger.")
	}
	gauge := in.param("gauge")
	return done{feedsPath(gauge), "The logger's token is withdrawn. What it has written stays."}, s.book.EndLogger(in.ctx, in.who, gauge, hash, in.now)
}
