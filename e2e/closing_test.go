package e2e

import (
	"context"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/jackc/pgx/v5"
)

// sessionCookie is what the browser of somebody who has signed in holds.
const sessionCookie = "levelpeg_session"

// tokenOf is what the browser of somebody with a role holds.
func tokenOf(role string) string { return "a " + role + " of the demo" }

// demoLink is the token of a link by which one may join the demo.
const demoLink = "a-link-of-the-tests"

// addBailiff signs one of the demo's members with each role in, in the book of a running
// server, and makes a link to join by.
func addBailiff(dir string) error {
	ctx, cancel := context.WithTimeout(context.Background(), tabLimit)
	defer cancel()
	where := url.Values{"host": {filepath.Join(dir, "run")}, "port": {"5432"}, "sslmode": {"disable"}}
	conn, err := pgx.Connect(ctx, "postgres://levelpeg@/levelpeg?"+where.Encode())
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	for _, role := range []string{"secretary", "bailiff", "coach", "member", "junior"} {
		if _, err := conn.Exec(ctx, `insert into sessions (token_hash, member_id, expires_at)
			select sha256(convert_to($1, 'UTF8')), min(id), now() + interval '1 day' from members where role = $2`, url.QueryEscape(tokenOf(role)), role); err != nil {
			return err
		}
	}
	_, err = conn.Exec(ctx, `insert into invitations (token_hash, kind, role, name, expires_at) values (sha256(convert_to($1, 'UTF8')), 'join', 'member', 'Una V.', now() + interval '1 day')`, demoLink)
	return err
}

// cookies are what a page of the kind is asked with.
func (k kind) cookies() []*http.Cookie {
	if k.role() == "" {
		return nil
	}
	return []*http.Cookie{{Name: sessionCookie, Value: url.QueryEscape(tokenOf(k.role()))}}
}

// signIn makes the tab's browser a bailiff's, or a visitor's again.
func (b *tab) signIn(home string, bailiff bool) {
	b.Helper()
	if bailiff {
		b.signInAs(home, "bailiff")
	} else {
		b.signInAs(home, "")
	}
}

// signInAs makes the tab's browser that of somebody with a role; of none, a visitor's.
func (b *tab) signInAs(home, role string) {
	b.Helper()
	if role == "" {
		call(b, network.DeleteCookies, network.DeleteCookiesParams{Name: sessionCookie, URL: home})
		return
	}
	call(b, network.SetCookie, network.SetCookieParams{Name: sessionCookie, Value: url.QueryEscape(tokenOf(role)), URL: home})
}

// A bailiff closes a peg in two taps from its sheet, everyone reads it there first, and
// one button opens it again; with script and without.
func TestABailiffClosesAPegInTwoTaps(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	for _, noScript := range []bool{false, true} {
		v := phone
		v.noScript = noScript
		b, visitor := open(t, v), open(t, phone)
		b.signIn(home, true)
		b.goTo(home + ordinaryPeg)
		b.tap(`main a[href$="/closures?peg=14#close"]`)
		b.tap(`button[name=reason][value="Tree down"]`)
		if got := b.text(`[role=status]`); got != "Peg 14 is closed from now: Tree down." {
			t.Errorf("the page says %q", got)
		}
		visitor.goTo(home + ordinaryPeg)
		visitor.stopped("Do not fish here now")
		b.goTo(home + ordinaryPeg)
		b.tap(`main .ways a[href$="/closures"]`)
		if strings.Contains(b.text("main"), "is closed from now") {
			t.Error("what was said is said again")
		}
		b.tap(`button[aria-label="Lift it: Peg 14"]`)
		if got := b.text(`[role=status]`); !strings.HasPrefix(got, "Lifted: the closure of peg 14") {
			t.Errorf("the page says %q", got)
		}
		if s := mustJSON[sheetJSON](t, home+ordinaryPeg+".json"); len(s.Rigs) == 0 && !inCloseSeasonNow(s) {
			t.Errorf("no rig after the peg was opened again: %v", s.Stops)
		}
		b.quiet(home)
		visitor.quiet(home)
	}
}

// inCloseSeasonNow says whether the sheet has no rig for want of a season.
func inCloseSeasonNow(s sheetJSON) bool {
	return strings.Contains(strings.Join(s.Stops, " "), "Close season")
}

// In the form that closes pegs Enter closes nothing for a reason that nobody chose, and
// what a form that was refused held is there still.
func TestEnterChoosesNoReason(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	b := open(t, desk)
	b.signIn(home, true)
	b.goTo(home + "/venues/sallow-reach/closures?peg=14")
	b.watch.forgive(home + "/venues/sallow-reach/closures")
	for range 40 {
		b.do(chromedp.KeyEvent(kb.Tab))
		if f := eval[focused](b, whatHasFocus); f.Name == "#own" {
			break
		} else if !f.Visible || !f.Marked {
			t.Errorf("the focus is on %s: on the screen %v, marked %v", f.Name, f.Visible, f.Marked)
		}
	}
	b.follow(chromedp.KeyEvent(kb.Enter))
	if got := b.text(`[role=alert]`); !strings.Contains(got, "why it is closed") {
		t.Errorf("Enter without words says %q", got)
	}
	if got := eval[string](b, `document.querySelector("#c-from").selectedOptions[0].innerText`); got != "Peg 14" {
		t.Errorf("the form now says %q", got)
	}
	b.fill("#own", "Swans on their nest")
	b.do(chromedp.Focus(chromedp.CSS("#own")))
	b.follow(chromedp.KeyEvent(kb.Enter))
	if got := b.text(`[role=status]`); got != "Peg 14 is closed from now: Swans on their nest." {
		t.Errorf("Enter with words says %q", got)
	}
	b.quiet(home)
}

var closureNumber = regexp.MustCompile(`^(\d+): Peg 14 is closed from now: Bank unsafe\.\n$`)

// The command closes pegs beside a running server, whose pages say so at once, and on a
// folder whose server is stopped.
func TestTheCommandCloses(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	p, home := serve(t, "--data", dir)
	closure := func(args ...string) string {
		t.Helper()
		code, out, log := once(t, nil, append(append([]string{"closure"}, args...), "--data", dir)...)
		if code != 0 {
			t.Fatalf("levelpeg closure %v ends with %d: %s", args, code, log)
		}
		return out
	}
	mustGet(t, home+ordinaryPeg, http.StatusOK) // so that the server remembers it
	out := closure("set", "sallow-reach", "--peg", "14", "--reason", "Bank unsafe")
	m := closureNumber.FindStringSubmatch(out)
	if m == nil {
		t.Fatalf("it says %q", out)
	}
	if s := mustJSON[sheetJSON](t, home+ordinaryPeg+".json"); len(s.Stops) == 0 || !strings.Contains(s.Stops[0], "Bank unsafe") || len(s.Rigs) != 0 {
		t.Errorf("the sheet has stops %v and %d rigs", s.Stops, len(s.Rigs))
	}
	for _, c := range []struct{ args, words string }{
		{"closure set sallow-reach --peg 99 --reason x", "Sallow Reach has no peg 99"},
		{"closure set nowhere --all --reason x", "no venue at this address"},
		{"closure set sallow-reach --peg 14 --reason x --to soon", "--to"},
		{"closure set sallow-reach --reason x", "--all"},
		{"closure lift 77777", "lifted or is over already"},
		{"closure lift many", "many"},
	} {
		code, _, log := once(t, nil, append(strings.Fields(c.args), "--data", dir)...)
		sentenceAbout(t, code, log, c.words)
	}
	if err := p.stop(); err != nil {
		t.Fatal(err)
	}
	if list := closure("list"); !strings.Contains(list, m[1]+"  sallow-reach") || !strings.Contains(list, "peg 14 ") || !strings.Contains(list, "cinder-bend") {
		t.Errorf("the list is\n%s", list)
	}
	if got := closure("lift", m[1]); !strings.HasPrefix(got, "Lifted: the closure of peg 14") {
		t.Errorf("it says %q", got)
	}
	if list := closure("list"); strings.Contains(list, "peg 14 ") {
		t.Errorf("after it was lifted the list is\n%s", list)
	}
}
