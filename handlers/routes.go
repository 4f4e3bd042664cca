package handlers

import (
	"net/http"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

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
	// A secretary or a bailiff, which the book itself sees to.
	r.Post("/venues/{venue}/closures", s.page(s.setClosure))
	r.Post("/venues/{venue}/closures/{id}/lift", s.page(s.liftClosure))
	r.Post("/venues/{venue}/rules", s.page(s.setRule))
	r.Post("/venues/{venue}/rules/{id}/drop", s.page(s.dropRule))

	// A secretary, which the book itself sees to.
	r.Get("/gauges/{gauge}/feeds", s.page(s.feeds))
	r.Post("/gauges/{gauge}/feeds", s.page(s.addFeed))
	r.Post("/gauges/{gauge}/feeds/{id}/pause", s.page(s.feedAct("Paused: it is not fetched until you let it go on.", s.book.PauseFeed)))
	r.Post("/gauges/{gauge}/feeds/{id}/resume", s.page(s.feedAct("It goes on, and is fetched within a minute.", s.book.ResumeFeed)))
	r.Post("/gauges/{gauge}/feeds/{id}/remove", s.page(s.feedAct("Removed. Its levels stay, with their acknowledgement.", s.book.RemoveFeed)))
	r.Post("/gauges/{gauge}/feeds/{id}/fetch", s.page(s.feedAct("It is being fetched. Look here again in a few seconds.", s.fetchNow)))
	r.Post("/gauges/{gauge}/loggers", s.page(s.makeLogger))
	r.Post("/gauges/{gauge}/loggers/{logger}/revoke", s.page(s.revokeLogger))
	r.Get("/gauges/{gauge}/import", s.page(s.importForm))
	r.Post("/gauges/{gauge}/import", s.page(s.importFile))
	r.Get("/gauges/{gauge}/import/{file}", s.page(s.importPreview))
	r.Post("/gauges/{gauge}/import/{file}", s.page(s.importKeep))
	r.Get("/gauges/{gauge}/import/{file}/bad.txt", s.page(s.importBad))

	// An instrument of the club's own, by its token.
	r.Post("/api/1/levels", s.json(s.postLevels))
	return r
}
