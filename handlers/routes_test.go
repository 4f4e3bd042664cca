package handlers_test

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers"
)

// walkers are whom every route is walked as, the visitor first.
var walkers = []club.Role{"", club.Junior, club.Angler, club.Coach, club.Bailiff, club.Secretary}

// mayUse is who may use which route: visitor, junior, member, coach, bailiff, secretary;
// a dot is one who may not. It is written by hand, beside the table in the code.
const mayUse = `
GET  /healthz                              VJMCBS
GET  /readyz                               VJMCBS
GET  /static/*                             VJMCBS
GET  /words                                VJMCBS
GET  /knots                                VJMCBS
GET  /guide/{code}                         VJMCBS
GET  /guide/{code}.pdf                     VJMCBS
GET  /guide/{code}/{step}                  VJMCBS
GET  /                                     VJMCBS
GET  /venues                               VJMCBS
GET  /venues.json                          VJMCBS
GET  /venues/{venue}                       VJMCBS
GET  /venues/{venue}.json                  VJMCBS
GET  /venues/{venue}.pdf                   VJMCBS
GET  /venues/{venue}/labels.pdf            .JMCBS
GET  /venues/{venue}/closures              VJMCBS
GET  /venues/{venue}/pegs/{peg}            VJMCBS
GET  /venues/{venue}/pegs/{peg}.json       VJMCBS
GET  /venues/{venue}/pegs/{peg}.pdf        VJMCBS
GET  /venues/{venue}/tonight               VJMCBS
GET  /venues/{venue}/tonight.json          VJMCBS
GET  /venues/{venue}/tonight.txt           VJMCBS
GET  /venues/{venue}/tonight.pdf           VJMCBS
GET  /venues/{venue}/saved.json            VJMCBS
GET  /gauges/{gauge}                       VJMCBS
GET  /gauges/{gauge}.json                  VJMCBS
GET  /rig                                  VJMCBS
GET  /rig.json                             VJMCBS
GET  /p/{code}                             VJMCBS
GET  /find                                 VJMCBS
GET  /kit                                  VJMCBS
POST /kit                                  VJMCBS
GET  /kit/help                             VJMCBS
GET  /kit.json                             VJMCBS
POST /venues/{venue}/closures              ....BS
POST /venues/{venue}/closures/{id}/lift    ....BS
POST /venues/{venue}/rules                 ....BS
POST /venues/{venue}/rules/{id}/drop       ....BS
GET  /saved                                VJMCBS
GET  /phone.js                             VJMCBS
GET  /sw.js                                VJMCBS
GET  /app.webmanifest                      VJMCBS
GET  /record                               .JMCBS
POST /record                               .JMCBS
POST /api/1/entries                        .JMCBS
POST /api/1/entries/{id}/photograph        .JMCBS
GET  /incidents                            ....BS
POST /incidents/{id}/close                 ....BS
GET  /sign-in                              VJMCBS
POST /sign-in                              VJMCBS
POST /sign-in/passkey/begin                VJMCBS
POST /sign-in/passkey/finish               VJMCBS
POST /sign-out                             VJMCBS
GET  /join/{token}                         VJMCBS
POST /join/{token}                         VJMCBS
POST /join/{token}/passkey/begin           VJMCBS
POST /join/{token}/passkey/finish          VJMCBS
GET  /me                                   .JMCBS
GET  /me/data.json                         .JMCBS
POST /me/password                          .JMCBS
POST /me/phones/end                        .JMCBS
POST /me/passkeys/begin                    .JMCBS
POST /me/passkeys/finish                   .JMCBS
POST /me/passkeys/drop                     .JMCBS
POST /me/remove                            .JMCBS
GET  /members                              ...C.S
POST /members/invite                       .....S
POST /members/juniors                      ...C.S
POST /members/links/{id}/withdraw          ...C.S
GET  /members/leavers                      .....S
POST /members/leavers                      .....S
GET  /members/{id}                         ...C.S
POST /members/{id}                         .....S
POST /members/{id}/link                    ...C.S
POST /members/{id}/leave                   .....S
POST /members/{id}/back                    .....S
POST /members/{id}/remove                  .....S
GET  /log                                  .....S
GET  /settings                             .....S
POST /settings                             .....S
GET  /venues/{venue}/map                                    VJMCBS
GET  /venues/{venue}/pegs.geojson                           VJMCBS
GET  /venues/{venue}/fixtures.ics                           VJMCBS
GET  /venues/{venue}/soundings.csv                          .JMCBS
GET  /gauges/{gauge}/levels.csv                             .JMCBS
GET  /setup                                                 .....S
GET  /setup/gauges/new                                      .....S
POST /setup/gauges                                          .....S
GET  /setup/gauges/{gauge}                                  .....S
POST /setup/gauges/{gauge}                                  .....S
POST /setup/gauges/{gauge}/zeros                            .....S
POST /setup/gauges/{gauge}/zeros/{id}                       .....S
GET  /setup/venues/new                                      .....S
POST /setup/venues                                          .....S
GET  /setup/venues/{venue}                                  .....S
POST /setup/venues/{venue}                                  .....S
POST /setup/venues/{venue}/move                             .....S
GET  /setup/venues/{venue}/export.json                      .....S
GET  /setup/venues/{venue}/pegs                             .....S
POST /setup/venues/{venue}/pegs                             .....S
POST /setup/venues/{venue}/pegs/between                     .....S
POST /setup/venues/{venue}/pegs/renumber                    .....S
GET  /setup/venues/{venue}/pegs/{code}                      .....S
POST /setup/venues/{venue}/pegs/{code}                      .....S
POST /setup/venues/{venue}/pegs/{code}/drop                 .....S
POST /setup/venues/{venue}/pegs/{code}/runs                 .....S
GET  /setup/venues/{venue}/pegs/{code}/runs/{id}            .....S
POST /setup/venues/{venue}/pegs/{code}/runs/{id}            .....S
POST /setup/venues/{venue}/pegs/{code}/runs/{id}/drop       .....S
GET  /setup/venues/{venue}/runs                             .....S
POST /setup/venues/{venue}/runs                             .....S
GET  /setup/venues/{venue}/hazards                          ....BS
POST /setup/venues/{venue}/hazards                          ....BS
GET  /setup/venues/{venue}/hazards/{id}                     ....BS
POST /setup/venues/{venue}/hazards/{id}                     ....BS
POST /setup/venues/{venue}/hazards/{id}/drop                ....BS
GET  /setup/venues/{venue}/positions                        .....S
POST /setup/venues/{venue}/positions                        .....S
POST /setup/venues/{venue}/positions/geojson                .....S
GET  /setup/venues/{venue}/fixtures                         .....S
POST /setup/venues/{venue}/fixtures                         .....S
POST /setup/venues/{venue}/fixtures/calendar                .....S
POST /setup/venues/{venue}/fixtures/{id}/drop               .....S
GET  /setup/import                                          .....S
POST /setup/import                                          .....S
GET  /gauges/{gauge}/feeds                                  ....BS
POST /gauges/{gauge}/feeds                                  ....BS
GET  /gauges/{gauge}/feeds/{id}                             ....BS
POST /gauges/{gauge}/feeds/{id}                             ....BS
POST /gauges/{gauge}/feeds/{id}/pause                       ....BS
POST /gauges/{gauge}/feeds/{id}/resume                      ....BS
POST /gauges/{gauge}/feeds/{id}/remove                      ....BS
POST /gauges/{gauge}/feeds/{id}/fetch                       ....BS
POST /gauges/{gauge}/loggers                                ....BS
POST /gauges/{gauge}/loggers/{logger}/end                   ....BS
GET  /gauges/{gauge}/import                                 ....BS
POST /gauges/{gauge}/import                                 ....BS
GET  /gauges/{gauge}/import/{file}                          ....BS
POST /gauges/{gauge}/import/{file}                          ....BS
GET  /gauges/{gauge}/import/{file}/bad.txt                  ....BS
POST /api/1/levels                                          VJMCBS
GET  /pictures/{hash}                                       VJMCBS
GET  /waiting                                               ...CBS
GET  /venues/{venue}/notes                                  VJMCBS
POST /venues/{venue}/notes                                  .JMCBS
POST /venues/{venue}/notes/{id}                             .JMCBS
POST /venues/{venue}/photographs                            .JMCBS
POST /venues/{venue}/notes/{id}/remove                      .JMCBS
POST /venues/{venue}/notes/{id}/hide                        ....BS
POST /venues/{venue}/notes/{id}/show                        ....BS
POST /venues/{venue}/notes/{id}/approve                     ...CBS
POST /venues/{venue}/notes/{id}/refuse                      ...CBS
POST /venues/{venue}/photographs/{id}/remove                .JMCBS
POST /venues/{venue}/photographs/{id}/hide                  ....BS
POST /venues/{venue}/photographs/{id}/show                  ....BS
POST /venues/{venue}/photographs/{id}/approve               ...CBS
POST /venues/{venue}/photographs/{id}/refuse                ...CBS
POST /venues/{venue}/photographs/{id}/open                  ....BS
POST /venues/{venue}/photographs/{id}/shut                  ....BS
GET  /venues/{venue}/pegs/{peg}/notes                       VJMCBS
POST /venues/{venue}/pegs/{peg}/notes                       .JMCBS
POST /venues/{venue}/pegs/{peg}/notes/{id}                  .JMCBS
POST /venues/{venue}/pegs/{peg}/photographs                 .JMCBS
POST /venues/{venue}/pegs/{peg}/notes/{id}/remove           .JMCBS
POST /venues/{venue}/pegs/{peg}/notes/{id}/hide             ....BS
POST /venues/{venue}/pegs/{peg}/notes/{id}/show             ....BS
POST /venues/{venue}/pegs/{peg}/notes/{id}/approve          ...CBS
POST /venues/{venue}/pegs/{peg}/notes/{id}/refuse           ...CBS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/remove     .JMCBS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/hide       ....BS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/show       ....BS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/approve    ...CBS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/refuse     ...CBS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/open       ....BS
POST /venues/{venue}/pegs/{peg}/photographs/{id}/shut       ....BS
`

// wantedRoutes is mayUse by route.
func wantedRoutes(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(mayUse), "\n") {
		f := strings.Fields(line)
		if len(f) != 3 || len(f[2]) != len(walkers) {
			t.Fatalf("line %q", line)
		}
		out[f[0]+" "+f[1]] = f[2]
	}
	return out
}

// refusals are what whoever may not use a route is told.
var refusals = []string{"who is signed in may do that.", "Sign in first"}

// TestEveryRouteWithEveryRole walks the whole table as a visitor and with every role. A
// route that is not in the list above fails, and so does one that lets anyone else in.
func TestEveryRouteWithEveryRole(t *testing.T) {
	t.Parallel()
	s, conn := peopleSite(t)
	want := wantedRoutes(t)
	fill := strings.NewReplacer("{venue}", "sallow-reach", "{peg}", "14", "{gauge}", "teasel-bridge", "{code}", "ZZZZ", "{id}", "777777", "{step}", "plumb", "{token}", "none", "{file}", "none", "{logger}", "none", "*", "none")
	var printed strings.Builder
	cells := 0
	for i, r := range handlers.Routes() {
		name := r.Method + " " + r.Pattern
		row, listed := want[name]
		if !listed {
			t.Errorf("%s is in nobody's list", name)
			continue
		}
		delete(want, name)
		got := ""
		for k, role := range walkers {
			a := s.walk(conn, fmt.Sprintf("walk %d %d", i, k), role, r.Method, fill.Replace(r.Pattern))
			let := !slices.ContainsFunc(refusals, func(say string) bool { return strings.Contains(a.body, say) })
			if a.status >= 500 || let == ((a.status == 403 || a.status == 401 && strings.Contains(name, "/api/1/entries")) && !strings.Contains(name, "/sign-in")) {
				t.Errorf("%s as %q: %d, let in %v: %.200s", name, role, a.status, let, a.body)
			}
			if may := r.Visitors || slices.Contains(r.Roles, role) && role != ""; may != let {
				t.Errorf("%s as %q: the table says %v, the server %v", name, role, may, let)
			}
			if !let && strings.Contains(a.header.Get("Content-Type"), "html") && !strings.Contains(a.body, `href="/sign-in`) {
				t.Errorf("%s as %q leads to no signing in", name, role)
			}
			if let {
				got += string("VJMCBS"[k])
			} else {
				got += "."
			}
			cells++
		}
		fmt.Fprintf(&printed, "%-4s %-40s %s\n", r.Method, r.Pattern, got)
		if got != row {
			t.Errorf("%s lets in %s, want %s", name, got, row)
		}
	}
	for name := range want {
		t.Errorf("%s is not served", name)
	}
	t.Logf("visitor, junior, member, coach, bailiff, secretary: %d cells\n%s", cells, &printed)
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

// TestRefusedByDefault: a route that says nothing of who may use it lets nobody in.
func TestRefusedByDefault(t *testing.T) {
	t.Parallel()
	for _, role := range append(walkers, "nobody") {
		if handlers.NobodyMay(role) {
			t.Errorf("%q may use a route of nobody's", role)
		}
	}
}

// TestCrossSitePosts: no route that changes anything takes a form from another site's
// page, whoever's cookie comes with it.
func TestCrossSitePosts(t *testing.T) {
	t.Parallel()
	s, conn := peopleSite(t)
	fill := strings.NewReplacer("{venue}", "sallow-reach", "{id}", "1", "{token}", "none")
	posts := 0
	for i, r := range handlers.Routes() {
		if r.Method != "POST" {
			continue
		}
		posts++
		conn.session(fmt.Sprintf("cross %d", i), club.Secretary)
		for _, header := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Origin", "https://elsewhere.example"}} {
			a := s.post(fill.Replace(r.Pattern), url.Values{"sure": {"1"}, "name": {"x"}}, append(header, "Cookie", conn.cookie(fmt.Sprintf("cross %d", i)))...)
			if a.status != 403 || !strings.Contains(a.body, "cross-origin") {
				t.Errorf("%s with %v: %d %.100s", r.Pattern, header, a.status, a.body)
			}
		}
	}
	if posts < 25 {
		t.Errorf("only %d routes take a form", posts)
	}
}
