package handlers

import (
	"net/http"
	"net/url"

	"levelpeg/club"
)

// form reads a form of ours. One that cannot be read is club.Invalid.
func form(w http.ResponseWriter, r *http.Request) (url.Values, error) {
	r.Body = http.MaxBytesReader(w, r.Body, longestForm)
	if err := r.ParseForm(); err != nil {
		return nil, club.Faultf(club.Invalid, "The form could not be read. Go back and send it again.").Because(err)
	}
	return cleaned(r.PostForm), nil
}

// writer is who sends the request.
func writer(r *http.Request) club.Writer { return club.Writer{Session: session(r)} }

// refused notes a fault that is said on the page it came from, and gives the page's status.
func (s *server) refused(w http.ResponseWriter, r *http.Request, err error) int {
	s.note(r, err)
	setRetry(w, err)
	return status(err)
}

// shown says whether a fault is said on the page it came from, with the form as it was
// filled; anything else is a page of its own.
func shown(err error) bool {
	switch club.KindOf(err) {
	case club.Invalid, club.Conflict, club.Forbidden, club.TooMany, club.Unavailable:
		return true
	}
	return false
}

// shownToThem is shown for a page that only those see who may do what it asks.
func shownToThem(err error) bool { return shown(err) && club.KindOf(err) != club.Forbidden }
