package e2e

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
)

var printedLink = regexp.MustCompile(`http://[^/\s]+/join/[A-Za-z0-9_-]{43}`)

// printed waits for a link in what the program says.
func (p *program) printed(t *testing.T, after string) string {
	t.Helper()
	for began := time.Now(); time.Since(began) < 20*time.Second; time.Sleep(50 * time.Millisecond) {
		if _, rest, found := strings.Cut(p.said.String(), after); found {
			if link := printedLink.FindString(rest); link != "" {
				return link
			}
		}
	}
	t.Fatalf("no link after %q in\n%s", after, &p.said)
	return ""
}

const secretWord = "three grey swans"

// localhost is an address as a name, which passkeys need.
func localhost(home string) string { return strings.Replace(home, "127.0.0.1", "localhost", 1) }

func (b *tab) cookie(home string) string {
	b.Helper()
	for _, c := range call(b, network.GetCookies, network.GetCookiesParams{URLs: []string{home}}).Cookies {
		if c.Name == sessionCookie {
			return c.Value
		}
	}
	return ""
}

// TestAClubsFirstPeople: the program prints a link, the first secretary is made by it on
// a computer and invites a bailiff, who joins on a phone, signs out and in again; with
// script and without.
func TestAClubsFirstPeople(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := folder(t)
	p, home := serve(t, "--data", dir)
	first := p.printed(t, "The club has no secretary yet.")
	code, out, log := once(t, nil, "member", "link", "--data", dir, "--address", home)
	if code != 0 || !printedLink.MatchString(out) {
		t.Fatalf("member link: %d, %s%s", code, out, log)
	}
	ann := open(t, desk)
	ann.goTo(first)
	for field, value := range map[string]string{"#club": "Test club", "#name": "Ann B.", "#sign-in": "ann", "#password": secretWord} {
		ann.fill(field, value)
	}
	ann.tap(`form[data-passkey] button:not([data-key])`)
	if got := ann.text("h1"); got != "Settings" {
		t.Fatalf("the first secretary is led to %q", got)
	}
	if code, _, log := once(t, nil, "member", "link", "--data", dir); code == 0 || !strings.Contains(log, "The club has a secretary") {
		t.Errorf("another first link: %d, %s", code, log)
	}
	for i, noScript := range []bool{false, true} {
		name := []string{"Bob C.", "Cid D."}[i]
		ann.goTo(home + "/members")
		_ = eval[int](ann, `document.querySelectorAll("details").forEach(d => d.open = true), 1`)
		ann.fill("#names", name+", bailiff")
		ann.tap(`form[action="/members/invite"] button`)
		link := ann.text(".address a")
		if !strings.HasPrefix(link, home+"/join/") || eval[int](ann, `document.querySelectorAll("svg.qr").length`) != 1 {
			t.Fatalf("the link is %q", link)
		}
		ann.fits()
		v := phone
		v.noScript = noScript
		b := open(t, v)
		b.goTo(link)
		b.fill("#password", secretWord)
		b.check("input[name=own]")
		b.tap(`form[data-passkey] button:not([data-key])`)
		if got := b.text("h1"); got != name {
			t.Fatalf("joined as %q", got)
		}
		b.tap(`form[action="/sign-out"] button`)
		if got := b.text("[role=status]"); got != "You are signed out." || b.cookie(home) != "" {
			t.Errorf("signed out: %q, cookie %q", got, b.cookie(home))
		}
		b.goTo(home + "/sign-in?to=/kit")
		b.fill("#name", strings.ToLower(strings.ReplaceAll(strings.TrimSuffix(name, "."), " ", "-")))
		b.fill("#password", secretWord)
		b.tap(`form[action="/sign-in"] button:not([data-key])`)
		if got := b.text(".me"); !strings.HasSuffix(b.where(), "/kit") || got != strings.Fields(name)[0] {
			t.Errorf("signed in at %s as %q", b.where(), got)
		}
		b.quiet(home)
	}
	ann.quiet(home)
}

// check ticks a box as a finger does.
func (b *tab) check(css string) {
	b.Helper()
	b.do(chromedp.Click(chromedp.CSS(css)))
	if !eval[bool](b, `document.querySelector("`+css+`").checked`) {
		b.Errorf("%s is not ticked", css)
	}
}

// fits wants no scrolling sideways.
func (b *tab) fits() {
	b.Helper()
	if n := eval[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); n > 0 {
		b.Errorf("%s is %d px too wide", b.where(), n)
	}
}

// TestPasskeys: joining by a passkey alone, signing in by it, another one made on the
// member's own page, and the last way in that cannot be taken away. The authenticator is
// the browser's own virtual one.
func TestPasskeys(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	home = localhost(home)
	b := open(t, phone)
	call(b, webauthn.Enable, webauthn.EnableParams{})
	key := call(b, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
		Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
		HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true}}).AuthenticatorID
	b.goTo(home + "/join/" + demoLink)
	b.tap("[data-key]")
	if got := b.text("h1"); got != "Una V." {
		t.Fatalf("joined by a passkey as %q: %s", got, b.text("main"))
	}
	if n := len(call(b, webauthn.GetCredentials, webauthn.GetCredentialsParams{AuthenticatorID: key}).Credentials); n != 1 {
		t.Errorf("the authenticator holds %d passkeys", n)
	}
	b.watch.forgive(home + "/me/passkeys/drop")
	b.tap(`form[action="/me/passkeys/drop"] button`)
	if got := b.text("[role=alert]"); !strings.Contains(got, "your only way in") {
		t.Errorf("the last way in: %q", got)
	}
	b.tap(`form[action="/sign-out"] button`)
	b.tap("[data-key]")
	if got := b.text(".me"); got != "Una" {
		t.Errorf("signed in by a passkey as %q", got)
	}
	// The phone has a passkey of hers already.
	b.goTo(home + "/me")
	b.do(chromedp.Click(chromedp.CSS("[data-key]")), chromedp.WaitVisible(chromedp.CSS("[data-key-problem]")))
	if got := b.text("[data-key-problem]"); !strings.Contains(got, "already") {
		t.Errorf("a second passkey on one phone: %q", got)
	}
	// Another authenticator makes a second one.
	call(b, webauthn.RemoveVirtualAuthenticator, webauthn.RemoveVirtualAuthenticatorParams{AuthenticatorID: key})
	call(b, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
		Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportUsb,
		HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true}})
	b.goTo(home + "/me")
	b.tap("[data-key]")
	if n := eval[int](b, `document.querySelectorAll("form[action='/me/passkeys/drop']").length`); n != 2 {
		t.Errorf("%d passkeys", n)
	}
	b.tap(`form[action="/me/passkeys/drop"] button`)
	if got := b.text("[role=status]"); !strings.Contains(got, "taken away") {
		t.Errorf("taking one away says %q", got)
	}
	b.quiet(home)
	// At an address that is a number the page says why there are none.
	n := open(t, phone)
	n.goTo(strings.Replace(home, "localhost", "127.0.0.1", 1) + "/sign-in")
	if got := n.text("form.wide"); !strings.Contains(got, "Passkeys need an address with a name") {
		t.Errorf("without passkeys the page says %q", got)
	}
}

// TestTheDemoLetsPeopleIn: by the links it prints, one press each, and no real club's
// server prints one that way.
func TestTheDemoLetsPeopleIn(t *testing.T) {
	t.Parallel()
	p, home := serve(t, "--demo", "--data", withDemo(t))
	b := open(t, phone)
	for _, role := range []string{"bailiff", "secretary"} {
		b.goTo(p.printed(t, "To try the made-up club as its "+role))
		b.tap("main form button")
		b.goTo(home + "/me")
		if got := b.text(".say"); !strings.Contains(got, "A "+role) {
			t.Errorf("signed in as %q", got)
		}
	}
	b.quiet(home)
}
