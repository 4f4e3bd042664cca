package club

import (
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Roles are all of them, from most to least.
func Roles() []Role { return []Role{Secretary, Bailiff, Coach, Angler, Junior} }

// MayRunClub says whether a role may see and change members, settings and the log.
func (r Role) MayRunClub() bool { return r == Secretary }

// MayTeach says whether a role may make juniors and look after them.
func (r Role) MayTeach() bool { return r == Secretary || r == Coach }

// With its article: “a bailiff”.
func (r Role) With() string { return "a " + string(r) }

// Account is what signing in by name and password needs. The zero value is nobody's.
type Account struct {
	ID       int64
	Password string // encoded, with its parameters; empty where there is none
}

// How long somebody stays signed in.
const (
	ownPhoneFor   = 90 * 24 * time.Hour
	otherPhoneFor = 12 * time.Hour
)

// NewSession is a session that begins. Hash is SHA-256 of the token in the cookie.
type NewSession struct {
	Hash   []byte
	Own    bool // the member calls the phone their own
	Device string
}

// For is how long it lasts.
func (s NewSession) For() time.Duration {
	if s.Own {
		return ownPhoneFor
	}
	return otherPhoneFor
}

// SessionLine is one of a member's sessions.
type SessionLine struct {
	ID           string // its hash in hex: of no use for signing in
	Device       string
	Own, Current bool
	Since, Until time.Time
}

// Passkey is a passkey as it is kept. Credential is what the check of its next use needs,
// as JSON, and is nobody else's business.
type Passkey struct {
	ID         []byte
	Credential []byte
	Name       string
	Made, Used time.Time
}

// InvitationKind is what a link is for.
type InvitationKind string

// The kinds.
const (
	InviteFirst InvitationKind = "first" // to make the first secretary
	InviteJoin  InvitationKind = "join"
	InviteReset InvitationKind = "reset" // to choose a new password
)

// How long a link holds.
const (
	joinLinkFor  = 14 * 24 * time.Hour
	resetLinkFor = 2 * 24 * time.Hour
	firstLinkFor = 7 * 24 * time.Hour
)

// For is how long a link of the kind holds.
func (k InvitationKind) For() time.Duration {
	switch k {
	case InviteReset:
		return resetLinkFor
	case InviteFirst:
		return firstLinkFor
	}
	return joinLinkFor
}

// Invitation is a link that somebody has opened and may use.
type Invitation struct {
	Club     Club // its zero value where the database holds no club yet
	Kind     InvitationKind
	Role     Role
	MemberID int64 // of whom it is for already; zero: it makes a new member
	Name     string
	SignIn   string // what they sign in by already
	Expires  time.Time
}

// Tries says whether the link alone signs in, which only a made-up club's does.
func (i Invitation) Tries() bool { return i.Club.Demo && i.Kind == InviteReset }

// Joining is what somebody says who uses a link. A password or a passkey is enough.
type Joining struct {
	Name, SignIn string
	Password     string // encoded
	Passkey      *Passkey
	Session      NewSession
	Club         ClubDraft // where the database holds no club yet
}

// InviteDraft is somebody to be invited.
type InviteDraft struct {
	Name string
	Role Role
	Hash []byte // SHA-256 of the link's token
}

// JuniorDraft is a junior to be made. Consent is whose was given, and how, in the words
// of whoever notes it.
type JuniorDraft struct {
	Name, Consent string
	Hash          []byte
}

// OpenInvitation is a link that is out and not used yet.
type OpenInvitation struct {
	ID            string // its hash in hex: of no use for joining
	Kind          InvitationKind
	Role          Role
	Name, By      string
	Made, Expires time.Time
}

// MemberLine is a member in the list of members.
type MemberLine struct {
	ID                 int64
	Name               string
	Role               Role
	SignIn             string
	Password           bool
	Passkeys           int
	Joined, Seen, Left time.Time
	Consent, ConsentBy string
	ConsentAt          time.Time
}

// MembersView is what the list of members is made of.
type MembersView struct {
	Club    Club
	Member  Member
	Members []MemberLine
	Open    []OpenInvitation
}

// MemberChange is what a secretary changes of a member.
type MemberChange struct {
	Name string
	Role Role
}

// MyView is what a member's own page is made of.
type MyView struct {
	Club     Club
	Member   Member
	Mine     MemberLine
	Sessions []SessionLine
	Passkeys []Passkey
}

// LogLine is what somebody did.
type LogLine struct {
	ID          int64
	At          time.Time
	MemberID    int64
	By          string // empty: whoever runs the server, or somebody who has been removed
	What, About string
	Whom        string // whom it was done to; empty: nobody, or somebody who has been removed
}

// LogAsk is what of the log is asked for. Zero values ask for everything, newest first.
type LogAsk struct {
	Before int64 // only what was written before the line with that number
	Member int64
	What   string
}

// LogPage is how many lines of the log a page has.
const LogPage = 50

// LogView is what the log's page is made of.
type LogView struct {
	Club    Club
	Member  Member
	Lines   []LogLine
	Older   bool // there are more
	Whats   []string
	Members []MemberLine
}

// ClubDraft is the club's settings as somebody asks for them.
type ClubDraft struct {
	Name, TimeZone, Place string
	Welfare, Incident     string
	Open                  []string // slugs of the venues that visitors may see
	Tiles                 Tiles
	Was                   string `json:"-"` // stamp of what the writer saw; empty: not looked at
}

// Stamp marks the settings as the draft has them.
func (d ClubDraft) Stamp() string {
	d.Open = append([]string{}, d.Open...)
	return stamp(d)
}

// ClubView is what the page of the club's settings is made of.
type ClubView struct {
	Club     Club
	Member   Member
	Incident string
	Tiles    Tiles
	Venues   []VenueOpen
	Backups  Backups
}

// Draft is the settings as their form has them.
func (v ClubView) Draft() ClubDraft {
	d := ClubDraft{Name: v.Club.Name, TimeZone: v.Club.TimeZone, Place: v.Club.Place, Welfare: v.Club.Welfare, Incident: v.Incident, Tiles: v.Tiles}
	for _, x := range v.Venues {
		if x.Open {
			d.Open = append(d.Open, x.Slug)
		}
	}
	return d
}

// VenueOpen is a venue and whether visitors may see it.
type VenueOpen struct {
	Slug, Name string
	Open       bool
}

// Longest texts, in signs.
const (
	nameMost       = 60
	juniorNameMost = 20
	consentMost    = 200
	settingMost    = 200
	// PasswordLeast is how short a password may be. Source: NIST SP 800-63B, 5.1.1.2.
	PasswordLeast = 8
	passwordMost  = 200
	// InviteMost is how many are invited at a time.
	InviteMost = 200
)

// bad is the fault of what makes no sense as it was written.
func bad(format string, args ...any) *Fault { return Faultf(Invalid, format, args...) }

// unseen says whether a sign is one that nobody sees or that turns text around.
func unseen(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == utf8.RuneError
}

// CheckName is a person's name in order, or a fault.
func CheckName(text string) (string, error) {
	name := oneLine(text)
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return name, bad("Write a name.")
	case n > nameMost:
		return name, bad("That name is %d signs long. Write it in %d or fewer.", n, nameMost)
	case strings.ContainsFunc(name, unseen):
		return name, bad("That name holds a sign that nobody can see. Write it again.")
	}
	return name, nil
}

// CheckJuniorName is a junior's display name in order, or a fault: short, and nothing
// that leads to the child.
func CheckJuniorName(text string) (string, error) {
	name, err := CheckName(text)
	digits := 0
	for _, r := range name {
		if unicode.IsDigit(r) {
			digits++
		}
	}
	switch n := utf8.RuneCountInString(name); {
	case err != nil:
	case n > juniorNameMost:
		err = bad("A junior's name is short: %d signs or fewer, such as a first name.", juniorNameMost)
	case strings.Contains(name, "@"):
		err = bad("A junior has no e-mail address here. Write a first name.")
	case digits > 2:
		err = bad("Leave dates and numbers out of a junior's name. Write a first name.")
	}
	return name, err
}

// CheckConsent is the words that note a guardian's consent, or a fault.
func CheckConsent(text string) (string, error) {
	text = oneLine(text)
	switch n := utf8.RuneCountInString(text); {
	case n == 0:
		return text, bad("Note who gave consent and how, such as “Her mother, on the form of 3 May”.")
	case n > consentMost:
		return text, bad("That note is %d signs long. Write it in %d or fewer.", n, consentMost)
	case strings.ContainsFunc(text, unseen):
		return text, bad("That note holds a sign that nobody can see. Write it again.")
	}
	return text, nil
}

var signInShape = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]$`)

// CheckSignIn is a sign-in name in order, or a fault. Capitals make no difference.
func CheckSignIn(text string) (string, error) {
	name := strings.ToLower(strings.TrimSpace(text))
	if !signInShape.MatchString(name) {
		return name, bad("A sign-in name has 3 to 40 plain letters and digits, with dots, dashes or underlines between them, such as “ann.b”.")
	}
	return name, nil
}

// SuggestSignIn is a sign-in name made of a person's name.
func SuggestSignIn(name string) string {
	s := Slug(name)
	if len(s) > 30 {
		s = strings.Trim(s[:30], "-")
	}
	if len(s) < 3 {
		s = strings.Trim("peg-"+s, "-")
	}
	return s
}

// worst are passwords that everybody tries first.
var worst = []string{"password", "password1", "passw0rd", "12345678", "123456789", "1234567890", "qwertyui", "qwertyuiop", "iloveyou", "11111111", "00000000", "levelpeg", "fishing1", "letmein1"}

// CheckPassword says what is wrong with a password, if anything is.
func CheckPassword(password, signIn string) error {
	switch n := utf8.RuneCountInString(password); {
	case n < PasswordLeast:
		return bad("That password is too short: write %d signs or more. Three words in a row are good.", PasswordLeast)
	case n > passwordMost:
		return bad("That password is too long: write %d signs or fewer.", passwordMost)
	case slices.Contains(worst, strings.ToLower(password)), strings.EqualFold(password, signIn):
		return bad("That password is one that people try first. Choose another.")
	case strings.Trim(password, string([]rune(password)[:1])) == "":
		return bad("That password is one sign over and over. Choose another.")
	}
	return nil
}

// ParseRole is the role a form names, or a fault. Juniors are made, never invited.
func ParseRole(text string) (Role, error) {
	r := Role(strings.ToLower(strings.TrimSpace(text)))
	if r == Junior || !slices.Contains(Roles(), r) {
		return "", bad("Choose what they are: a secretary, a bailiff, a coach or a member.")
	}
	return r, nil
}

// ParseInvites reads a pasted list: a name a line, and after a comma what they are where
// that is not the role given.
func ParseInvites(list string, role Role) ([]InviteDraft, error) {
	var out []InviteDraft
	for i, line := range strings.FieldsFunc(list, func(r rune) bool { return r == '\n' || r == '\r' }) {
		text, as, named := strings.Cut(line, ",")
		if strings.TrimSpace(line) == "" {
			continue
		}
		d := InviteDraft{Role: role}
		var err error
		if d.Name, err = CheckName(text); err == nil && named {
			d.Role, err = ParseRole(as)
		}
		if f, ok := err.(*Fault); ok {
			return nil, bad("Line %d, “%s”: %s", i+1, shortened(line), f.Say)
		}
		out = append(out, d)
	}
	switch n := len(out); {
	case n == 0:
		return nil, bad("Write a name, or paste names, one a line.")
	case n > InviteMost:
		return nil, bad("That is %d names. Send %d or fewer at a time.", n, InviteMost)
	}
	return out, nil
}

// shortened is a line of somebody's own words, short enough to say back.
func shortened(line string) string {
	r := []rune(oneLine(line))
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return string(r)
}

// Checked is the settings in order, or a fault.
func (d ClubDraft) Checked() (ClubDraft, error) {
	d.Name, d.TimeZone, d.Place = oneLine(d.Name), strings.TrimSpace(d.TimeZone), oneLine(d.Place)
	d.Welfare, d.Incident = oneLine(d.Welfare), oneLine(d.Incident)
	for _, text := range []string{d.Name, d.Place, d.Welfare, d.Incident} {
		if n := utf8.RuneCountInString(text); n > settingMost || strings.ContainsFunc(text, unseen) {
			return d, bad("“%s” is too long, or holds a sign that nobody can see: write %d signs or fewer.", shortened(text), settingMost)
		}
	}
	switch {
	case d.Name == "":
		return d, bad("Write the club's name.")
	case d.Place == "":
		return d, bad("Write the country whose law the club fishes by, such as England.")
	}
	if _, err := time.LoadLocation(d.TimeZone); err != nil || d.TimeZone == "" || d.TimeZone == "Local" {
		return d, bad("“%s” is not a time zone. Write one such as Europe/London.", shortened(d.TimeZone))
	}
	var err error
	d.Tiles, err = d.Tiles.Checked()
	return d, err
}

// FirstName is the first word of a name.
func (m Member) FirstName() string {
	first, _, _ := strings.Cut(m.Name, " ")
	return first
}

// ErrOnly is said to whoever is none of the roles.
func ErrOnly(roles ...Role) *Fault {
	names := make([]string, len(roles))
	for i, r := range roles {
		names[i] = r.With()
	}
	return Faultf(Forbidden, "Only %s who is signed in may do that.", oneOf(names))
}

// oneOf is words with commas and an “or”.
func oneOf(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
	return strings.Join(words, "")
}

// ErrSignInFirst is said to a visitor of what every member may do.
func ErrSignInFirst() *Fault {
	return Faultf(Forbidden, "Sign in first: that is for members of the club.")
}

// ErrLink is said of a link that does not lead in any more.
func ErrLink() *Fault {
	return Faultf(NotFound, "This link has been used, or has run out. Ask the club's secretary for another.")
}

// ErrWait is said after too many tries.
func ErrWait(wait time.Duration) *Fault {
	minutes := int((wait + time.Minute - 1) / time.Minute)
	f := Faultf(TooMany, "That was tried too often. Try again in %d minutes.", minutes)
	if minutes <= 1 {
		f = Faultf(TooMany, "That was tried too often. Try again in a minute.")
	}
	f.Wait = wait
	return f
}
