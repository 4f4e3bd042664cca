package web

import (
	"net/url"
	"slices"
	"strconv"
	"time"

	"levelpeg/club"
)

// MembersPage is the list of members.
type MembersPage struct {
	Shell  Shell
	Office bool
	MembersFill
	Roles   []Choice
	Open    []OpenLink
	Members []MemberRow
	Left    []MemberRow
}

// MembersFill is what fills the page in.
type MembersFill struct {
	Said, Problem   string
	Names, Role     string
	Junior, Consent string
}

// OpenLink is a link that is out and not used.
type OpenLink struct{ Name, Says, Withdraw string }

// MemberRow is a member in the list.
type MemberRow struct {
	ID, Name, Says, Href string
	Ticked               bool
}

// NewMembersPage shapes the page.
func NewMembersPage(a Assets, v club.MembersView, f MembersFill, loc *time.Location) MembersPage {
	p := MembersPage{Shell: NewShell(a, v.Club, v.Member, "Members"), Office: v.Member.Role.MayRunClub(), MembersFill: f}
	p.Roles = roleChoices(f.Role, false)
	for _, o := range v.Open {
		says := "to join as " + o.Role.With()
		if o.Kind == club.InviteReset {
			says = "to choose a new password"
		}
		says += ", until " + dayIn(o.Expires, loc)
		if o.By != "" {
			says += ", made by " + o.By
		}
		p.Open = append(p.Open, OpenLink{Name: o.Name, Says: says, Withdraw: "/members/links/" + o.ID + "/withdraw"})
	}
	for _, m := range v.Members {
		if m.Left.IsZero() {
			p.Members = append(p.Members, memberRow(m, loc))
		} else {
			p.Left = append(p.Left, memberRow(m, loc))
		}
	}
	return p
}

func memberRow(m club.MemberLine, loc *time.Location) MemberRow {
	id := strconv.FormatInt(m.ID, 10)
	r := MemberRow{ID: id, Name: m.Name, Href: "/members/" + id, Says: string(m.Role)}
	switch {
	case !m.Left.IsZero():
		r.Says += ", left " + dayIn(m.Left, loc)
	case !m.Password && m.Passkeys == 0:
		r.Says += ", cannot sign in yet"
	default:
		r.Says += ", last signed in " + dayIn(m.Seen, loc)
	}
	return r
}

// roleChoices are the roles to choose from; juniors are made and not chosen.
func roleChoices(chosen string, junior bool) []Choice {
	if chosen == "" {
		chosen = string(club.Angler)
	}
	var out []Choice
	for _, r := range club.Roles() {
		if r != club.Junior || junior {
			out = append(out, Choice{string(r), capital(string(r)), string(r) == chosen})
		}
	}
	slices.Reverse(out)
	return out
}

// LinksPage shows links that were just made.
type LinksPage struct {
	Shell Shell
	Links []LinkCard
}

// NewLink is a link that was just made.
type NewLink struct {
	Name, What, Href string
	For              time.Duration
	Card             string // where a junior signs in later; empty for anyone else
}

// LinkCard is a link as one hands it over.
type LinkCard struct {
	Name, Says, Href string
	QR               QR
	Card             string
	CardQR           QR
}

// NewLinksPage shapes the page.
func NewLinksPage(a Assets, c club.Club, m club.Member, links []NewLink) (LinksPage, error) {
	p := LinksPage{Shell: NewShell(a, c, m, "Links to hand over")}
	for _, l := range links {
		card := LinkCard{Name: l.Name, Says: l.What + ". It works once, within " + count(int(l.For.Hours()/24), "day") + ".", Href: l.Href, Card: l.Card}
		var err error
		if card.QR, err = NewQR(l.Href); err != nil {
			return p, err
		}
		if l.Card != "" {
			if card.CardQR, err = NewQR(l.Card); err != nil {
				return p, err
			}
		}
		p.Links = append(p.Links, card)
	}
	return p, nil
}

// MemberPage is one member, for those who look after them.
type MemberPage struct {
	Shell  Shell
	Office bool
	MemberFill
	Is        string // the name as it is kept
	Facts     []Pair
	Href      string
	Left      bool
	LinkSays  string
	Roles     []Choice
	Himself   bool // it is the one who looks
	CardQR    QR
	CardSays  string
	JuniorNow bool
}

// MemberFill is what fills the page in.
type MemberFill struct {
	Said, Problem string
	Name, Role    string
	Filled        bool // Name and Role are as they were sent
	Card          string
}

// NewMemberPage shapes the page.
func NewMemberPage(a Assets, v club.MembersView, f MemberFill, loc *time.Location) (MemberPage, error) {
	m := v.Members[0]
	p := MemberPage{Shell: NewShell(a, v.Club, v.Member, m.Name), Office: v.Member.Role.MayRunClub(), MemberFill: f, Is: m.Name,
		Href: "/members/" + strconv.FormatInt(m.ID, 10), Left: !m.Left.IsZero(), Himself: m.ID == v.Member.ID, JuniorNow: m.Role == club.Junior, Facts: memberFacts(m, loc)}
	if !f.Filled {
		p.Name, p.Role = m.Name, string(m.Role)
	}
	p.Roles = roleChoices(p.Role, m.Role == club.Junior)
	p.LinkSays = "Make a link to choose a new password"
	if !m.Password && m.Passkeys == 0 {
		p.LinkSays = "Make a link to join"
	}
	var err error
	if f.Card != "" && m.SignIn != "" {
		p.CardSays = "Signs in as “" + m.SignIn + "”"
		p.CardQR, err = NewQR(f.Card)
	}
	return p, err
}

func memberFacts(m club.MemberLine, loc *time.Location) []Pair {
	facts := []Pair{{"Is", m.Role.With()}, {"Joined", dayIn(m.Joined, loc)}, {"Last signed in", dayIn(m.Seen, loc)}}
	if m.SignIn != "" {
		facts = append(facts, Pair{"Signs in as", m.SignIn})
	}
	if m.Passkeys > 0 {
		facts = append(facts, Pair{"Passkeys", strconv.Itoa(m.Passkeys)})
	}
	if !m.Left.IsZero() {
		facts = append(facts, Pair{"Left", dayIn(m.Left, loc)})
	}
	if m.Consent != "" {
		by := m.ConsentBy
		if by == "" {
			by = "somebody since removed"
		}
		facts = append(facts, Pair{"Guardian's consent", m.Consent + " (noted by " + by + ", " + dayIn(m.ConsentAt, loc) + ")"})
	}
	return facts
}

// LeaversPage is the yearly round of who has left.
type LeaversPage struct {
	Shell   Shell
	Problem string
	Members []MemberRow
}

// NewLeaversPage shapes the page: those who were away longest come first.
func NewLeaversPage(a Assets, v club.MembersView, ticked []string, problem string, loc *time.Location) LeaversPage {
	p := LeaversPage{Shell: NewShell(a, v.Club, v.Member, "Who has left?"), Problem: problem}
	in := slices.DeleteFunc(slices.Clone(v.Members), func(m club.MemberLine) bool { return !m.Left.IsZero() })
	slices.SortStableFunc(in, func(a, b club.MemberLine) int { return lastUse(a).Compare(lastUse(b)) })
	for _, m := range in {
		r := memberRow(m, loc)
		if !m.Joined.IsZero() {
			r.Says += ", joined " + dayIn(m.Joined, loc)
		}
		r.Ticked = slices.Contains(ticked, r.ID)
		p.Members = append(p.Members, r)
	}
	return p
}

// lastUse is when somebody was last heard of.
func lastUse(m club.MemberLine) time.Time {
	if m.Seen.IsZero() {
		return m.Joined
	}
	return m.Seen
}

// LogPage is the club's log as a page.
type LogPage struct {
	Shell         Shell
	Lines         []LogRow
	Whats, Whoms  []Choice
	Older, Newest string // addresses; empty: there is nothing there
}

// LogRow is a line of it.
type LogRow struct{ When, By, What, About string }

// NewLogPage shapes the page.
func NewLogPage(a Assets, v club.LogView, ask club.LogAsk, loc *time.Location) LogPage {
	p := LogPage{Shell: NewShell(a, v.Club, v.Member, "Log")}
	for _, l := range v.Lines {
		r := LogRow{When: l.At.In(loc).Format("Mon 2 January 2006, 15:04"), By: l.By, What: l.What, About: l.About}
		if r.By == "" {
			r.By = "The server, or somebody since removed"
		}
		if l.Whom != "" {
			r.What += ": " + l.Whom
		}
		p.Lines = append(p.Lines, r)
	}
	member := strconv.FormatInt(ask.Member, 10)
	p.Whats, p.Whoms = []Choice{{"", "anything", ask.What == ""}}, []Choice{{"0", "anyone", ask.Member == 0}}
	for _, w := range v.Whats {
		p.Whats = append(p.Whats, Choice{w, w, w == ask.What})
	}
	for _, m := range v.Members {
		id := strconv.FormatInt(m.ID, 10)
		p.Whoms = append(p.Whoms, Choice{id, m.Name, id == member})
	}
	if v.Older {
		p.Older = logHref(ask, v.Lines[len(v.Lines)-1].ID)
	}
	if ask.Before != 0 {
		p.Newest = logHref(ask, 0)
	}
	return p
}

func logHref(ask club.LogAsk, before int64) string {
	q := url.Values{}
	for name, value := range map[string]string{"member": zeroless(ask.Member), "what": ask.What, "before": zeroless(before)} {
		if value != "" {
			q.Set(name, value)
		}
	}
	return "/log?" + q.Encode()
}

func zeroless(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// SettingsPage is the club's settings.
type SettingsPage struct {
	Shell Shell
	SettingsFill
	Venues []MemberRow // ID is the slug, Ticked: visitors may see it
	Was    string      // stamp of the settings as they are kept
	Backup BackupsPart
}

// SettingsFill is what fills the page in.
type SettingsFill struct {
	Said, Problem string
	Draft         *club.ClubDraft // as it was sent; nil: as it is kept
}

// NewSettingsPage shapes the page.
func NewSettingsPage(a Assets, v club.ClubView, f SettingsFill, now time.Time, loc *time.Location) SettingsPage {
	p := SettingsPage{Shell: NewShell(a, v.Club, v.Member, "Settings"), SettingsFill: f, Was: v.Draft().Stamp()}
	p.Backup = newBackupsPart(v.Backups, v.Club.Demo, now, loc)
	sent := f.Draft != nil
	if !sent {
		d := v.Draft()
		p.Draft = &d
	}
	for _, x := range v.Venues {
		open := x.Open
		if sent {
			open = slices.Contains(p.Draft.Open, x.Slug)
		}
		p.Venues = append(p.Venues, MemberRow{ID: x.Slug, Name: x.Name, Ticked: open})
	}
	return p
}
