package handlers

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"net/url"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// Feeds is who fetches them in the background.
type Feeds interface {
	// Ask has a feed fetched as soon as may be.
	Ask(ctx context.Context, feed int64) error
}

// feeds shows a secretary where a gauge's levels come from.
func (s *server) feeds(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return err
	}
	return s.showFeeds(w, r, http.StatusOK, v, web.FeedsFilled{Said: said(w, r), Form: url.Values{}})
}

func (s *server) showFeeds(w http.ResponseWriter, r *http.Request, code int, v club.FeedsView, f web.FeedsFilled) error {
	return render(r.Context(), w, code, web.Feeds(web.NewFeedsPage(s.assets, v, f, s.now(), zone(v.Club))))
}

// feedChange is a form of the page that was sent.
type feedChange struct {
	who   club.Writer
	gauge string
	form  url.Values
	view  club.FeedsView
	now   time.Time
}

// changeFeeds does what a form asks and leads back to the page, which says what was
// done, or shows the form again as it was filled.
func (s *server) changeFeeds(w http.ResponseWriter, r *http.Request, do func(feedChange) (string, error)) error {
	c, err := s.feedForm(w, r)
	if err != nil {
		return err
	}
	done, err := do(c)
	if err == nil {
		say(w, r, "/gauges/"+c.view.Gauge.Slug+"/feeds", done)
		return nil
	}
	return s.refillFeeds(w, r, c, err)
}

func (s *server) feedForm(w http.ResponseWriter, r *http.Request) (feedChange, error) {
	r.Body = http.MaxBytesReader(w, r.Body, longestForm)
	if err := r.ParseForm(); err != nil {
		return feedChange{}, club.Faultf(club.Invalid, "The form could not be read. Go back and send it again.")
	}
	c := feedChange{who: club.Writer{Session: session(r)}, gauge: param(r, "gauge"), form: cleaned(r.PostForm), now: s.now()}
	var err error
	c.view, err = s.book.Feeds(r.Context(), c.gauge, c.who.Session, c.now)
	return c, err
}

func (s *server) refillFeeds(w http.ResponseWriter, r *http.Request, c feedChange, err error) error {
	switch club.KindOf(err) {
	case club.Invalid, club.Conflict, club.Forbidden:
		return s.showFeeds(w, r, status(err), c.view, web.FeedsFilled{Problem: sentence(err), Form: c.form})
	}
	return err
}

func (s *server) addFeed(w http.ResponseWriter, r *http.Request) error {
	return s.changeFeeds(w, r, func(c feedChange) (string, error) {
		d, err := parse.Feed(c.form, c.view.Club.TimeZone)
		if err != nil {
			return "", err
		}
		id, err := s.book.AddFeed(r.Context(), c.who, c.gauge, d, c.now)
		if err != nil {
			return "", err
		}
		return "The feed is set up. It is fetched within a minute; look here again then.", s.ask(r, id)
	})
}

// ask has a feed fetched soon. Where that cannot be asked for now it is due all the same.
func (s *server) ask(r *http.Request, feed int64) error {
	if s.fetches == nil {
		return nil
	}
	if err := s.fetches.Ask(r.Context(), feed); err != nil {
		s.note(r, err)
	}
	return nil
}

// feedAct is one of the buttons beside a feed.
func (s *server) feedAct(done string, do func(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		return s.changeFeeds(w, r, func(c feedChange) (string, error) {
			id, err := idOf(r)
			if err != nil {
				return "", err
			}
			return done, do(r.Context(), c.who, c.gauge, id, c.now)
		})
	}
}

func (s *server) fetchNow(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error {
	if err := s.book.HurryFeed(ctx, who, gauge, id, now); err != nil || s.fetches == nil {
		return err
	}
	return s.fetches.Ask(ctx, id)
}

// tokenBytes make a token that nobody guesses.
const tokenBytes = 32

// makeLogger shows the new logger's token, once: it answers the form with the page
// itself, because a redirect would have to carry the token.
func (s *server) makeLogger(w http.ResponseWriter, r *http.Request) error {
	c, err := s.feedForm(w, r)
	if err != nil {
		return err
	}
	var secret [tokenBytes]byte
	if _, err := rand.Read(secret[:]); err != nil {
		return err
	}
	token := base64.RawURLEncoding.EncodeToString(secret[:])
	hash := sha256.Sum256([]byte(token))
	if err := s.book.MakeLogger(r.Context(), c.who, c.gauge, c.form.Get("name"), hash[:], c.now); err != nil {
		return s.refillFeeds(w, r, c, err)
	}
	v, err := s.book.Feeds(r.Context(), c.gauge, c.who.Session, c.now)
	if err != nil {
		return err
	}
	return s.showFeeds(w, r, http.StatusOK, v, web.FeedsFilled{Token: token, Form: url.Values{}})
}

func (s *server) revokeLogger(w http.ResponseWriter, r *http.Request) error {
	return s.changeFeeds(w, r, func(c feedChange) (string, error) {
		hash, err := hex.DecodeString(param(r, "logger"))
		if err != nil || len(hash) != sha256.Size {
			return "", club.Faultf(club.Conflict, "There is no such logger.")
		}
		return "The logger's token is ended. What it has written stays.", s.book.RevokeLogger(r.Context(), c.who, c.gauge, hash, c.now)
	})
}
