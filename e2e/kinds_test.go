package e2e

import (
	"net/http"
	"strings"
	"time"
)

// kind is a kind of page, with an address in the demo club that shows it.
type kind struct {
	name, path string
	status     int
}

// The pegs of the demo that the tests go to: an ordinary one, and one that is
// closed. Nothing but what the demo itself says is relied on.
const (
	ordinaryPeg  = "/venues/sallow-reach/pegs/14"
	closedPeg    = "/venues/sallow-reach/pegs/18"
	pegWithNotes = "/venues/sallow-reach/pegs/6"
	setupPeg     = "/setup/venues/sallow-reach/pegs/5FH79" // of the ordinary one
)

// sentKit is a kit that somebody sent: with lead, sizes off its chart, own weights and
// floats of no usual size.
const sentKit = "1~ccounts~mln~sSSG-4_BB-40_8--64_11~o2.5-3_3.3~favon-short_3_3.3~fstick_4x4_9x4~lr160-2.5~hn120_f140~k14_15~r13_15"

// demoPegs is how many pegs the demo has, and venuePegs where.
const demoPegs = 67

var venuePegs = map[string]int{"sallow-reach": 27, "tansy-meadow": 22, "cinder-bend": 18}

// kinds is every kind of page there is.
func kinds() []kind {
	return []kind{
		{"home", "/", http.StatusOK},
		{"venue", "/venues/sallow-reach", http.StatusOK},
		{"sheet", ordinaryPeg, http.StatusOK},
		{"sheet-stop", closedPeg, http.StatusOK},
		{"sheet-asked", ordinaryPeg + "?level=1.10&run=inside", http.StatusOK},
		{"sheet-high", ordinaryPeg + "?level=1.60", http.StatusOK},
		{"sheet-over", ordinaryPeg + "?level=1.90", http.StatusOK},
		{"sheet-problem", ordinaryPeg + "?level=high", http.StatusBadRequest},
		{"sheet-shot", ordinaryPeg + "?run=middle&chart=counts&shot=tungsten&hold=50", http.StatusOK},
		{"sheet-free", ordinaryPeg + "?run=inside&hold=0", http.StatusOK},
		{"sheet-still", ordinaryPeg + "?run=middle&hold=100", http.StatusOK},
		{"sheet-lead", ordinaryPeg + "?chart=continental&shot=lead&olivette=lead&hold=100", http.StatusOK},
		{"sheet-shot-problem", ordinaryPeg + "?chart=brass&hold=33", http.StatusBadRequest},
		{"sheet-coming", ordinaryPeg + "?at=" + atTen(1), http.StatusOK},
		{"sheet-then", ordinaryPeg + "?run=inside&at=" + atTen(-5), http.StatusOK},
		{"sheet-unknown", ordinaryPeg + "?at=" + atTen(90), http.StatusOK},
		{"sheet-hour-problem", ordinaryPeg + "?at=saturday", http.StatusBadRequest},
		{"sheet-own", ordinaryPeg + "?depth=2.20&pace=slower&wind=SW&force=4&fish=chub", http.StatusOK},
		{"sheet-own-timed", ordinaryPeg + "?run=inside&depth=1.2&over=5&secs=8", http.StatusOK},
		{"sheet-own-problem", ordinaryPeg + "?depth=deep&wind=gale", http.StatusBadRequest},
		{"sheet-junior", ordinaryPeg + "?junior=1&fish=dace", http.StatusOK},
		{"rig", "/rig", http.StatusOK},
		{"rig-own", "/rig?depth=1.83&pace=0.8&boil=1&out=9&wind=facing&force=5&fish=chub", http.StatusOK},
		{"rig-none", "/rig?depth=5.5&pace=1.5", http.StatusOK},
		{"rig-problem", "/rig?depth=deep", http.StatusBadRequest},
		{"tonight", "/venues/sallow-reach/tonight", http.StatusOK},
		{"tonight-at", "/venues/sallow-reach/tonight?at=" + atTen(2), http.StatusOK},
		{"tonight-all", "/venues/tansy-meadow/tonight?run=all&most=3&fish=bream", http.StatusOK},
		{"tonight-over", "/venues/sallow-reach/tonight?level=1.90", http.StatusOK},
		{"tonight-unknown", "/venues/sallow-reach/tonight?at=" + atTen(90), http.StatusOK},
		{"tonight-problem", "/venues/sallow-reach/tonight?most=1&from=99", http.StatusBadRequest},
		{"saved", "/saved", http.StatusOK},
		{"words", "/words", http.StatusOK},
		{"knots", "/knots", http.StatusOK},
		{"guide", aGuide, http.StatusOK},
		{"junior-guide", aGuide + "/hooklength", http.StatusOK},
		{"guide-layout", avonGuide + "/layout", http.StatusOK},
		{"guide-bulk", avonGuide + "/bulk", http.StatusOK},
		{"guide-float", wagglerGuide + "/float", http.StatusOK},
		{"guide-plumb", wagglerGuide + "/plumb", http.StatusOK},
		{"guide-finger", aGuide + "/finger", http.StatusOK},
		{"guide-lost-step", aGuide + "/nowhere", http.StatusNotFound},
		{"guide-lost", "/guide/1ZZZ", http.StatusBadRequest},
		{"gauge", "/gauges/teasel-bridge", http.StatusOK},
		{"gauge-hours", "/gauges/cinder-lane?span=6h", http.StatusOK},
		{"gauge-ten-days", "/gauges/teasel-bridge?span=10d", http.StatusOK},
		{"gauge-weeks", "/gauges/teasel-bridge?span=6w", http.StatusOK},
		{"gauge-year", "/gauges/cinder-lane?days=365", http.StatusOK},
		{"gauge-years", "/gauges/cinder-lane?span=5y", http.StatusOK},
		{"gauge-all", "/gauges/teasel-bridge?span=all", http.StatusOK},
		{"gauge-past", "/gauges/cinder-lane?span=2d&to=" + longPast(), http.StatusOK},
		{"gauge-before", "/gauges/cinder-lane?span=10d&to=1999-12-31", http.StatusOK},
		{"gauge-problem", "/gauges/teasel-bridge?span=9d&to=soon", http.StatusBadRequest},
		{"venue-at", "/venues/sallow-reach?at=2026-11-28T10:00", http.StatusOK},
		{"venue-at-problem", "/venues/sallow-reach?at=saturday", http.StatusBadRequest},
		{"kit", "/kit", http.StatusOK},
		{"kit-help", "/kit/help?kit=" + sentKit, http.StatusOK},
		{"kit-help-none", "/kit/help", http.StatusOK},
		{"sheet-kit", ordinaryPeg + "?kit=1~s4_8~fstick_5x4~h~r13", http.StatusOK},
		{"sheet-kit-empty", ordinaryPeg + "?kit=1~f~l~h~k~r", http.StatusOK},
		{"tonight-kit", "/venues/sallow-reach/tonight?kit=" + sentKit, http.StatusOK},
		{"tonight-kit-empty", "/venues/sallow-reach/tonight?kit=1~f~l~h~k~r", http.StatusOK},
		{"kit-sent", "/kit?kit=" + sentKit, http.StatusOK},
		{"kit-problem", "/kit?kit=brass", http.StatusBadRequest},
		{"closures", "/venues/sallow-reach/closures", http.StatusOK},
		{"closures-problem", "/venues/sallow-reach/closures?peg=99", http.StatusBadRequest},
		{"bailiff-closures", "/venues/cinder-bend/closures", http.StatusOK},
		{"bailiff-close", "/venues/sallow-reach/closures?peg=14", http.StatusOK},
		{"bailiff-sheet", ordinaryPeg, http.StatusOK},
		{"bailiff-record", "/record", http.StatusOK},
		{"bailiff-record-incident", "/record?kind=incident", http.StatusOK},
		{"bailiff-record-closure", "/record?kind=closure", http.StatusOK},
		{"member-record", "/record?kind=sounding", http.StatusOK},
		{"sign-in", "/sign-in?name=ann&to=/kit", http.StatusOK},
		{"bailiff-sign-in", "/sign-in", http.StatusOK},
		{"join", "/join/" + demoLink, http.StatusOK},
		{"join-lost", "/join/none", http.StatusNotFound},
		{"me-refused", "/me", http.StatusForbidden},
		{"bailiff-me", "/me", http.StatusOK},
		{"junior-me", "/me", http.StatusOK},
		{"junior-sheet", ordinaryPeg, http.StatusOK},
		{"secretary-me", "/me", http.StatusOK},
		{"secretary-members", "/members", http.StatusOK},
		{"coach-members", "/members", http.StatusOK},
		{"secretary-junior", "/members/8", http.StatusOK},
		{"secretary-member", "/members/2", http.StatusOK},
		{"secretary-leavers", "/members/leavers", http.StatusOK},
		{"secretary-log", "/log", http.StatusOK},
		{"secretary-settings", "/settings", http.StatusOK},
		{"secretary-setup", "/setup", http.StatusOK},
		{"secretary-setup-gauge-new", "/setup/gauges/new", http.StatusOK},
		{"secretary-setup-gauge", "/setup/gauges/cinder-lane", http.StatusOK},
		{"secretary-setup-venue-new", "/setup/venues/new", http.StatusOK},
		{"secretary-setup-venue", "/setup/venues/sallow-reach", http.StatusOK},
		{"secretary-setup-pegs", "/setup/venues/sallow-reach/pegs", http.StatusOK},
		{"secretary-setup-peg", setupPeg, http.StatusOK},
		{"secretary-setup-run", setupPeg + "/runs/52", http.StatusOK},
		{"secretary-setup-runs", "/setup/venues/sallow-reach/runs", http.StatusOK},
		{"secretary-setup-hazards", "/setup/venues/sallow-reach/hazards", http.StatusOK},
		{"bailiff-setup-hazards", "/setup/venues/sallow-reach/hazards", http.StatusOK},
		{"secretary-setup-hazard", "/setup/venues/sallow-reach/hazards/1", http.StatusOK},
		{"secretary-setup-positions", "/setup/venues/sallow-reach/positions", http.StatusOK},
		{"secretary-setup-fixtures", "/setup/venues/sallow-reach/fixtures", http.StatusOK},
		{"secretary-setup-import", "/setup/import", http.StatusOK},
		{"secretary-setup-lost", "/setup/venues/sallow-reach/pegs/ZZZZ", http.StatusNotFound},
		{"map", "/venues/sallow-reach/map", http.StatusOK},
		{"notes", ordinaryPeg + "/notes", http.StatusOK},
		{"notes-venue", "/venues/cinder-bend/notes", http.StatusOK},
		{"bailiff-notes", pegWithNotes + "/notes", http.StatusOK},
		{"bailiff-notes-venue", "/venues/sallow-reach/notes", http.StatusOK},
		{"bailiff-waiting", "/waiting", http.StatusOK},
		{"waiting", "/waiting", http.StatusForbidden},
		{"bailiff-incidents", "/incidents", http.StatusOK},
		{"bailiff-feeds", "/gauges/teasel-bridge/feeds", http.StatusOK},
		{"bailiff-import", "/gauges/cinder-lane/import", http.StatusOK},
		{"feeds-refused", "/gauges/teasel-bridge/feeds", http.StatusForbidden},
		{"choice", "/find?q=14", http.StatusOK},
		{"choice-stop", "/find?q=18", http.StatusOK},
		{"lost-peg", "/venues/sallow-reach/pegs/99", http.StatusNotFound},
		{"lost-page", "/nothing/here", http.StatusNotFound},
	}
}

// role is whom the page is looked at by; empty for a visitor.
func (k kind) role() string {
	switch role, _, _ := strings.Cut(k.name, "-"); role {
	case "secretary", "bailiff", "coach", "member", "junior":
		return role
	}
	return ""
}

// atTen is ten in the morning some days from now, as an address has it.
func atTen(days int) string { return time.Now().AddDate(0, 0, days).Format(time.DateOnly) + "T10:00" }

// longPast is a day that the demo's levels are of, whenever it was made.
func longPast() string { return time.Now().AddDate(-1, 0, 0).Format(time.DateOnly) }
