package web

import (
	"encoding/hex"
	"time"

	"levelpeg/club"
)

// dayShape is a date as the members' pages show it.
const dayShape = "2 January 2006"

func dayIn(at time.Time, loc *time.Location) string {
	if at.IsZero() {
		return "never"
	}
	return at.In(loc).Format(dayShape)
}

// SignInPage is the page to sign in at.
type SignInPage struct {
	Shell Shell
	SignInFill
	As     string // who is signed in already; empty: nobody
	Script string
}

// SignInFill is what fills the page in.
type SignInFill struct {
	Name, To      string
	Own           bool
	Said, Problem string
	NoPasskeys    string // why there are none here; empty where there are
}

// NewSignInPage shapes the page.
func NewSignInPage(a Assets, c club.Club, m club.Member, f SignInFill) SignInPage {
	return SignInPage{Shell: NewShell(a, c, m, "Sign in"), SignInFill: f, As: m.Name, Script: a.Passkey}
}

// JoinPage is what a link leads to.
type JoinPage struct {
	Shell Shell
	JoinFill
	Heading, Lead string
	Href          string
	Tries         bool // one press signs in: the club is made up
	AskClub       bool // the database holds no club yet
	AskName       bool
	AskSignIn     bool
	Button        string
	Script        string
}

// JoinFill is what fills the page in.
type JoinFill struct {
	Name, SignIn          string
	Club, TimeZone, Place string
	Own                   bool
	Problem               string
	NoPasskeys            string
}

// NewJoinPage shapes the page.
func NewJoinPage(a Assets, i club.Invitation, href string, f JoinFill) JoinPage {
	p := JoinPage{Shell: NewShell(a, i.Club, club.Member{}, "Join"), JoinFill: f, Href: href, Script: a.Passkey, Button: "Join with this password",
		AskClub: i.Club.Name == "", AskName: i.MemberID == 0, AskSignIn: i.Role != club.Junior || i.SignIn == "", Tries: i.Tries()}
	where := i.Club.Name
	if where == "" {
		where = "the club"
	}
	switch {
	case p.Tries:
		p.Heading, p.AskClub = "Try the made-up club", false
		p.Lead = "This link signs you in as " + i.Name + ", " + i.Role.With() + " of a club that is invented. It works once."
	case i.Kind == club.InviteFirst:
		p.Heading, p.Lead = "Make the first secretary", "You will be the club's secretary here: you invite everyone else."
	case i.Kind == club.InviteReset:
		p.Heading, p.Button = "Choose a new password", "Keep this password"
		p.Lead = "For " + i.Name + ". Every phone that is signed in now is signed out, and passkeys of before no longer hold."
	default:
		p.Heading = "Join " + where
		p.Lead = "You join as " + i.Role.With() + "."
	}
	if i.Role == club.Junior && !p.Tries {
		p.Lead = "For " + i.Name + ". You sign in as “" + i.SignIn + "” with a secret of your own: three words in a row are good. Tell it to nobody but your family."
	}
	return p
}

// MePage is a member's own page.
type MePage struct {
	Shell         Shell
	Name, Role    string
	SignIn        string
	Password      bool
	Said, Problem string
	NoPasskeys    string
	Sessions      []PhoneLine
	Others        bool // there are phones besides this one
	Passkeys      []KeyLine
	Office, Teach bool
	Welfare       string
	Script        string
}

// PhoneLine is a phone that is signed in.
type PhoneLine struct {
	ID, Says string
	Current  bool
}

// orElse is words, or others where there are none.
func orElse(words, none string) string {
	if words == "" {
		return none
	}
	return words
}

// KeyLine is a passkey.
type KeyLine struct{ ID, Says string }

// NewMePage shapes the page.
func NewMePage(a Assets, v club.MyView, loc *time.Location) MePage {
	p := MePage{Shell: NewShell(a, v.Club, v.Member, "My page"), Name: v.Mine.Name, Role: v.Mine.Role.With(), SignIn: v.Mine.SignIn,
		Password: v.Mine.Password, Office: v.Member.Role.MayRunClub(), Teach: v.Member.Role.MayTeach(), Script: a.Passkey}
	if !v.Mine.Joined.IsZero() {
		p.Role += ", joined " + dayIn(v.Mine.Joined, loc)
	}
	for _, s := range v.Sessions {
		says := capital(orElse(s.Device, "a phone or computer")) + ", since " + dayIn(s.Since, loc) + ", until " + dayIn(s.Until, loc)
		if s.Own {
			says += "; your own"
		}
		p.Sessions = append(p.Sessions, PhoneLine{ID: s.ID, Says: says, Current: s.Current})
		p.Others = p.Others || !s.Current
	}
	for _, k := range v.Passkeys {
		p.Passkeys = append(p.Passkeys, KeyLine{hex.EncodeToString(k.ID), capital(k.Name) + ", made " + dayIn(k.Made, loc) + ", last used " + dayIn(k.Used, loc)})
	}
	return p
}
