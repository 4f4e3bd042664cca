package handlers

import (
	"net/http"

	"levelpeg/club"
	"levelpeg/club/guide"
	"levelpeg/web"
)

// guide shows the steps of setting up the rig that a code carries.
func (s *server) guide(w http.ResponseWriter, r *http.Request) error {
	g, shell, err := s.guideFor(r)
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Guide(web.NewGuidePage(s.assets, shell, g)))
}

// guideStep shows one of the steps; where there is no such step, the list of those there are.
func (s *server) guideStep(w http.ResponseWriter, r *http.Request) error {
	g, shell, err := s.guideFor(r)
	if err != nil {
		return err
	}
	i := g.At(param(r, "step"))
	if i < 0 {
		p := web.NewGuidePage(s.assets, shell, g)
		p.Problem = "This guide has no such step. Here are all of them."
		return render(r.Context(), w, http.StatusNotFound, web.Guide(p))
	}
	shell.Title = g.Steps[i].Title + ", " + g.Name
	return render(r.Context(), w, http.StatusOK, web.Step(web.NewStepPage(s.assets, shell, g, i)))
}

func (s *server) guideFor(r *http.Request) (guide.Guide, web.Shell, error) {
	g, err := guide.Read(param(r, "code"))
	if err != nil {
		return g, web.Shell{}, err
	}
	shell, err := s.plainShell(r, "Set up a "+g.Name)
	return g, shell, err
}

// plainShell is the shell of a page that shows nothing of the book. It asks for nobody
// but whose session there is, so that a junior finds the welfare contact; and without the
// book it does without.
func (s *server) plainShell(r *http.Request, title string) (web.Shell, error) {
	hash := session(r)
	if hash == nil {
		return web.NewShell(s.assets, club.Club{}, club.Member{}, title), nil
	}
	c, m, err := s.read.Asker(r.Context(), hash, s.now())
	switch club.KindOf(err) {
	case club.Unavailable:
		return web.NewShell(s.assets, club.Club{}, club.Member{}, title).Unasked(true), nil
	case club.Internal:
		if err != nil {
			return web.Shell{}, err
		}
	}
	return web.NewShell(s.assets, c, m, title), nil
}

// knots shows how the knots are tied.
func (s *server) knots(w http.ResponseWriter, r *http.Request) error {
	shell, err := s.plainShell(r, "Knots and shot")
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Knots(web.NewKnotsPage(shell)))
}
