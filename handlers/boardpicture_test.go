package handlers_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

// boardPicture sends a photograph of the board as a phone does.
func (b *bank) boardPicture(role club.Role, id string, data []byte) (int, string, string) {
	b.Helper()
	kind, body := photoForm(b.T, "", "board.jpg", data)
	a := b.send("/api/1/entries/"+id+"/photograph", kind, body, "Sec-Fetch-Site", "same-origin", "Cookie", b.rec.cookie(string(role)))
	var said struct{ ID, State, Why, Epoch, Error string }
	if err := json.Unmarshal([]byte(a.body), &said); err != nil || a.status == 200 && (said.ID != id || said.Epoch == "") {
		b.Fatalf("%d, %v: %.300s", a.status, err, a.body)
	}
	return a.status, said.State, said.Why + said.Error
}

// TestAPhotographOfTheBoard follows its level into the book, once, without its position;
// members see it with the gauge, and nobody on a sheet.
func TestAPhotographOfTheBoard(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	id, photo := b.id(), taken(t)
	if code, state, why := b.boardPicture(club.Bailiff, id, photo); code != 200 || state != needsMending || !strings.Contains(why, "no level of yours") {
		t.Errorf("before its level: %d %s: %s", code, state, why)
	}
	last := b.lastLevel("teasel-bridge")
	at := dbtest.DemoNow.Add(-time.Minute).Format(time.RFC3339)
	if state, words, _ := b.one(club.Bailiff, entry(id, "kind", "level", "gauge", "teasel-bridge", "level", last, "at", at)); state != inTheBook {
		t.Fatalf("%s: %s", state, words)
	}
	for range 3 {
		if code, state, why := b.boardPicture(club.Bailiff, id, photo); code != 200 || state != inTheBook {
			t.Fatalf("%d %s: %s", code, state, why)
		}
	}
	if got := b.rec.text(`select string_agg(g.slug || ' ' || (p.at = l.at) || ' ' || p.caption, ',') from pictures p join gauges g on g.id = p.gauge_id join levels l on l.intake_id = $1`, id); !strings.HasPrefix(got, fmt.Sprintf("teasel-bridge true The board at Teasel Bridge board, read as %.2f m on ", last)) || strings.Contains(got, ",teasel") {
		t.Errorf("in the book: %s", got)
	}
	for _, c := range []struct {
		role club.Role
		data []byte
		says string
	}{{club.Secretary, photo, "no level of yours"}, {club.Bailiff, []byte("GIF89a"), "photograph"}, {club.Bailiff, nil, "No photograph came"}} {
		if code, state, why := b.boardPicture(c.role, id, c.data); code != 200 || state != needsMending || !strings.Contains(why, c.says) {
			t.Errorf("%s, %.6q: %d %s: %s", c.role, c.data, code, state, why)
		}
	}
	as := func(role club.Role, path string) string {
		return b.get(path, "Cookie", b.rec.cookie(string(role))).body
	}
	m := pictureLink.FindStringSubmatch(as(club.Junior, "/gauges/teasel-bridge"))
	if m == nil || !strings.Contains(m[5], "The board at Teasel Bridge") {
		t.Fatalf("the gauge's page shows %v", m)
	}
	if large := as(club.Junior, m[1]); strings.Contains(large, whereTaken) || len(large) < 1000 {
		t.Error("it is not there, or says where it was taken")
	}
	if strings.Contains(b.get("/gauges/teasel-bridge").body, m[1]) || b.get(m[1]).status != 404 {
		t.Error("a visitor sees it")
	}
	if strings.Contains(as(club.Bailiff, "/venues/sallow-reach"), m[1]) || !strings.Contains(as(club.Bailiff, "/venues/sallow-reach/notes"), m[1]) {
		t.Error("it is on the water's own page, or not where it may be hidden")
	}
}
