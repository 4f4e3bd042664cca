package handlers

import (
	"errors"
	"net/http"
	"net/url"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

const (
	// kitCookie keeps the kit of someone who is not signed in, on their own phone.
	kitCookie     = "levelpeg_kit"
	kitCookieDays = 400
	// largestForm is the most that a form may send: the kit's is a tenth of it.
	largestForm = 64 << 10
)

// kitOf is the kit a request goes by; nil where it goes by none. The address comes
// first (kit=none: none), then the member's, then the phone's. What is kept and cannot
// be read is as good as not there; what the address says and cannot be read is
// club.Invalid.
func (s *server) kitOf(r *http.Request, m club.Member) (*club.MyKit, error) {
	sent, asked, err := sentKit(r)
	if asked || err != nil {
		return sent, err
	}
	kept, _ := keptKit(r, m)
	return kept, nil
}

// kitIn puts the kit a request goes by into its tackle: the one in the address, or none
// where that says none, or the phone's. The member's own, which comes with the page's
// book, goes before the phone's.
func kitIn(r *http.Request, q url.Values, t club.Tackle) (club.Tackle, error) {
	if !q.Has("kit") {
		if c, err := r.Cookie(kitCookie); err == nil && c.Value != "" {
			t.Kit, t.From = c.Value, club.KitPhone
		}
		return t, nil
	}
	if q.Get("kit") == "none" {
		t.From = club.KitOff
		return t, nil
	}
	if _, err := club.ParseMyKit(q.Get("kit")); err != nil {
		return t, err
	}
	t.Kit, t.From = q.Get("kit"), club.KitAsked
	return t, nil
}

// sentKit is the kit that the address has, and whether it says anything of one.
func sentKit(r *http.Request) (kit *club.MyKit, asked bool, err error) {
	q := r.URL.Query()
	if !q.Has("kit") {
		return nil, false, nil
	}
	if q.Get("kit") == "none" {
		return nil, true, nil
	}
	k, err := club.ParseMyKit(q.Get("kit"))
	if err != nil {
		return nil, true, err
	}
	return &k, true, nil
}

// keptKit is the kit that is kept, and whether it is with the member's name.
func keptKit(r *http.Request, m club.Member) (kit *club.MyKit, withName bool) {
	if k, err := club.ParseMyKit(m.Kit); err == nil && m.ID != 0 {
		return &k, true
	}
	c, err := r.Cookie(kitCookie)
	if err != nil {
		return nil, false
	}
	k, err := club.ParseMyKit(c.Value)
	if err != nil {
		return nil, false
	}
	return &k, false
}

// kit shows what someone carries, or the kit that the address has.
func (s *server) kit(w http.ResponseWriter, r *http.Request) error {
	c, m, err := s.read.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	kept, withName := keptKit(r, m)
	sent, _, problem := sentKit(r)
	fill, code := web.KitFill{Kit: club.SupposedKit()}, http.StatusOK
	if problem != nil {
		code, fill.Problems = status(problem), []string{sentence(problem)}
	}
	switch {
	case sent != nil:
		fill.Kit = *sent
	case kept != nil:
		fill.Kit = *kept
	}
	p := s.kitPage(c, m, fill, kept, withName)
	if sent != nil && (kept == nil || sent.Code() != p.Code) {
		p.Sent, p.Replaces, p.Kept = sent.Code(), kept != nil, "Not kept yet: look it through, put it right if you like, and save it."
	}
	s.tell(&p, r, m)
	return render(r.Context(), w, code, web.Kit(p))
}

// kitPage is the page with where the kit is kept.
func (s *server) kitPage(c club.Club, m club.Member, fill web.KitFill, kept *club.MyKit, withName bool) web.KitPage {
	p := web.NewKitPage(s.assets, c, m, fill)
	if kept != nil {
		p.Code = kept.Code()
	}
	switch {
	case kept == nil && m.ID != 0:
		p.Kept = "You have not said what you carry, so the rigs go by this. Saved, it is kept with your name, wherever you sign in."
	case kept == nil:
		p.Kept = "You have not said what you carry, so the rigs go by this. Saved, it is kept on this phone only."
	case withName:
		p.Kept = "Kept with your name, wherever you sign in. Nobody else sees it."
	case m.ID != 0:
		p.Kept = "Kept on this phone only, so far. Save it once, and it is kept with your name, wherever you sign in."
	default:
		p.Kept = "Kept on this phone only, in a cookie. Nobody else sees it."
	}
	return p
}

// tell says what the address says has just been done.
func (s *server) tell(p *web.KitPage, r *http.Request, m club.Member) {
	q := r.URL.Query()
	switch {
	case q.Has("saved") && p.Code == "":
		p.Problems = append(p.Problems, "It was not kept: this browser takes no cookies from here. Let it, and save once more.")
	case q.Has("saved"):
		p.Told = "Saved."
	case q.Has("forgotten") && p.Code == "":
		p.Told = "Forgotten."
	}
	if was, err := club.ParseMyKit(q.Get("was")); err == nil && was.Code() != p.Code {
		p.Was = was.Code()
	}
}

// keepKit keeps what a form says: a common set, a kit that was sent, nothing any more,
// or the whole form. Where it cannot, the form comes back as it was typed.
func (s *server) keepKit(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, largestForm)
	if err := r.ParseForm(); err != nil {
		return s.refuseKit(w, r, nil, nil, unreadable(err))
	}
	form := tidyForm(r.PostForm)
	if form.Has("forget") {
		return s.storeKit(w, r, "", "/kit?forgotten=1")
	}
	kit, problems, err := askedKit(form)
	if err != nil {
		return s.refuseKit(w, r, nil, nil, err)
	}
	if len(problems) > 0 {
		return s.refuseKit(w, r, form, problems, nil)
	}
	return s.replaceKit(w, r, form, kit)
}

// askedKit is the kit that a form is for.
func askedKit(form url.Values) (club.MyKit, []parse.Problem, error) {
	switch {
	case form.Has("preset"):
		kit, err := club.PresetKit(form.Get("preset"))
		return kit, nil, err
	case form.Has("kit"):
		kit, err := club.ParseMyKit(form.Get("kit"))
		return kit, nil, err
	}
	kit, problems := parse.Kit(form)
	return kit, problems, nil
}

// replaceKit keeps a kit; where it was not typed but taken whole, the one before can
// be put back.
func (s *server) replaceKit(w http.ResponseWriter, r *http.Request, form url.Values, kit club.MyKit) error {
	to := url.Values{"saved": {"1"}}
	if !form.Has("whole") {
		_, m, err := s.read.Asker(r.Context(), session(r), s.now())
		if err != nil {
			return err
		}
		if kept, _ := keptKit(r, m); kept != nil && kept.Code() != kit.Code() {
			to.Set("was", kept.Code())
		}
	}
	err := s.storeKit(w, r, kit.Code(), "/kit?"+to.Encode())
	if err != nil && form.Has("whole") {
		return s.refuseKit(w, r, form, nil, err)
	}
	return err
}

// storeKit keeps a code with the member's name, or for anyone else on their phone, and
// leads on. An empty one is forgotten in both places.
func (s *server) storeKit(w http.ResponseWriter, r *http.Request, code, to string) error {
	member := false
	if hash := session(r); hash != nil {
		err := s.book.SaveKit(r.Context(), hash, code, s.now())
		if err != nil && club.KindOf(err) != club.NotFound {
			return err
		}
		member = err == nil
	}
	cookie := http.Cookie{Name: kitCookie, Value: code, Path: "/", MaxAge: kitCookieDays * 24 * 60 * 60, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.secure(r)}
	if member || code == "" {
		cookie.Value, cookie.MaxAge = "", -1
	}
	http.SetCookie(w, &cookie)
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// refuseKit shows the form as it was typed, with what is wrong with it or why it could
// not be kept. It does so with the book out of reach, too.
func (s *server) refuseKit(w http.ResponseWriter, r *http.Request, form url.Values, problems []parse.Problem, err error) error {
	c, m, lost := s.read.Asker(r.Context(), session(r), s.now())
	if lost != nil && form == nil {
		return lost
	}
	if !form.Has("whole") && !form.Has("chart") {
		form = nil // nobody typed it
	}
	kept, withName := keptKit(r, m)
	fill := web.KitFill{Typed: form, Kit: club.SupposedKit()}
	switch {
	case form != nil:
		fill.Kit, _ = parse.Kit(form)
	case kept != nil:
		fill.Kit = *kept
	}
	for _, p := range problems {
		fill.Problems, fill.Bad = append(fill.Problems, p.Say), append(fill.Bad, p.Field)
	}
	code := http.StatusBadRequest
	if err != nil {
		s.note(r, err)
		setRetry(w, err)
		code, fill.Problems = status(err), []string{sentence(err)}
	}
	fill.Problems = append([]string{"Nothing was saved."}, fill.Problems...)
	page := s.kitPage(c, m, fill, kept, withName)
	if form != nil {
		page.Kept = "That is what makes sense of what you wrote. All you wrote stands below: put it right, and save it."
	}
	return render(r.Context(), w, code, web.Kit(page))
}

// unreadable is what is said of a form that cannot be read.
func unreadable(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return club.Faultf(club.Invalid, "That is more than a kit can hold.").Because(err)
	}
	return club.Faultf(club.Invalid, "What was sent could not be read.").Because(err)
}

// tidyForm puts a mark for each thing in a form that is no text.
func tidyForm(form url.Values) url.Values {
	out := make(url.Values, len(form))
	for name, all := range form {
		for _, v := range all {
			out.Add(name, text(v))
		}
	}
	return out
}

func (s *server) kitJSON(w http.ResponseWriter, r *http.Request) error {
	_, m, err := s.read.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	kit, err := s.kitOf(r, m)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewMyKit(kit))
}
