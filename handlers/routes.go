package handlers

import (
	"net/http"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"levelpeg/club"
	"levelpeg/static"
)

// routes is the whole list of routes, by who may use them.
func (s *server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.logged, s.recovered, secured, compressed, middleware.GetHead)
	r.NotFound(s.page(noSuchPage))
	r.MethodNotAllowed(s.page(noSuchMethod))

	// Anyone: the machine's own questions and files that say nothing of the club.
	r.Get("/healthz", s.live)
	r.Get("/readyz", s.ready)
	r.Get("/words", s.page(s.words))
	r.Handle("/static/*", static.Handler())

	// Anyone the club lets read its waters.
	r.Get("/", s.page(s.home))
	r.Get("/venues", s.page(s.home))
	r.Get("/venues.json", s.json(s.homeJSON))
	r.Get("/venues/{venue}", s.page(s.venue))
	r.Get("/venues/{venue}.json", s.json(s.venueJSON))
	r.Get("/venues/{venue}/closures", s.page(s.closures))
	r.Get("/venues/{venue}/pegs/{peg}", s.page(s.peg))
	r.Get("/venues/{venue}/pegs/{peg}.json", s.json(s.pegJSON))
	r.Get("/venues/{venue}/tonight", s.page(s.tonight))
	r.Get("/venues/{venue}/tonight.json", s.json(s.tonightJSON))
	r.Get("/venues/{venue}/tonight.txt", s.page(s.tonightText))
	r.Get("/gauges/{gauge}", s.page(s.gauge))
	r.Get("/gauges/{gauge}.json", s.json(s.gaugeJSON))
	r.Get("/rig", s.page(s.rig))
	r.Get("/rig.json", s.json(s.rigJSON))
	r.Get("/p/{code}", s.page(s.code))
	r.Get("/find", s.page(s.find))

	// Anyone: what they carry themselves, kept with their name or on their phone.
	r.Get("/kit", s.page(s.kit))
	r.Post("/kit", s.page(s.keepKit))
	r.Get("/kit/help", s.page(s.kitHelp))
	r.Get("/kit.json", s.json(s.kitJSON))
	// Notes and photographs. Anyone the club lets read its waters sees those that are not
	// for members or for some of them alone. To write is any member's; what is another's
	// takes a coach (approve, refuse), or a bailiff or the secretary; the book sees to it.
	r.Get("/pictures/{hash}", s.page(s.picture))
	r.Get("/waiting", s.page(s.waiting)) // a coach, a bailiff, a secretary
	for _, at := range []string{"/venues/{venue}", "/venues/{venue}/pegs/{peg}"} {
		r.Get(at+"/notes", s.page(s.notes))
		r.Post(at+"/notes", s.page(s.writeNote))
		r.Post(at+"/notes/{id}", s.page(s.editNote)) // its writer
		for _, act := range []club.Act{club.ActRemove, club.ActHide, club.ActShow, club.ActApprove, club.ActRefuse} {
			r.Post(at+"/notes/{id}/"+string(act), s.page(s.actOnNote(act)))
		}
		r.Post(at+"/photographs", s.page(s.addPhotograph))
		for _, act := range []club.Act{club.ActRemove, club.ActHide, club.ActShow, club.ActApprove, club.ActRefuse, club.ActOpen, club.ActShut} {
			r.Post(at+"/photographs/{id}/"+string(act), s.page(s.actOnPhotograph(act)))
		}
	}

	// A secretary or a bailiff, which the book itself sees to.
	r.Post("/venues/{venue}/closures", s.page(s.setClosure))
	r.Post("/venues/{venue}/closures/{id}/lift", s.page(s.liftClosure))
	r.Post("/venues/{venue}/rules", s.page(s.setRule))
	r.Post("/venues/{venue}/rules/{id}/drop", s.page(s.dropRule))
	return r
}
