package handlers

import (
	"context"
	"encoding/json"
	"io"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// Reader is what the pages of the waters read. PostgreSQL gives it on the server, and a
// saved venue in the phone. Errors that a person can do something about are faults of
// club; every other is ours.
type Reader interface {
	Home(ctx context.Context, session []byte, now time.Time) (club.Home, error)
	Venue(ctx context.Context, slug string, session []byte, now time.Time) (club.VenueView, error)
	Peg(ctx context.Context, venue, label string, session []byte, now time.Time) (club.PegView, error)
	// PegAt is Peg with the gauge's readings about a moment, on its datum: those around
	// it, or the last few days' where it is to come. The moment is near enough by half a day.
	PegAt(ctx context.Context, venue, label string, session []byte, now, at time.Time) (club.PegView, []club.Reading, error)
	// VenuePegs is every peg of a venue as Peg gives it; at may be zero, for no readings.
	VenuePegs(ctx context.Context, venue string, session []byte, now, at time.Time) (club.VenuePegs, []club.Reading, error)
	// Hours gives a gauge's hourly means from one moment to another, on its datum.
	Hours(ctx context.Context, gauge string, from, to time.Time) (club.HourMeans, error)
	Gauge(ctx context.Context, slug string, look club.LookBack, session []byte, now time.Time) (club.GaugeView, error)
	PegByCode(ctx context.Context, code string, session []byte, now time.Time) (venue, label string, err error)
	FindPegs(ctx context.Context, label string, words []string, session []byte, now time.Time) ([]club.Found, error)
	FindVenues(ctx context.Context, words []string, session []byte, now time.Time) ([]club.Found, error)
	// Asker gives the club and who is asking; the zero member for a visitor.
	Asker(ctx context.Context, session []byte, now time.Time) (club.Club, club.Member, error)
}

// Book is what all pages read and write.
type Book interface {
	Reader
	// SavedVenue is a venue to be saved on the reader's phone.
	SavedVenue(ctx context.Context, slug string, session []byte, now time.Time) (club.SavedVenue, error)
	// SaveKit keeps the kit of the session's member; an empty code forgets it.
	SaveKit(ctx context.Context, session []byte, code string, now time.Time) error
	Ready(ctx context.Context) error
	People
	Records
	Setup

	// What follows writes. Each sees in its own transaction whether the writer may, and
	// fails with club.Forbidden where not.
	SetClosure(ctx context.Context, who club.Writer, venue string, d club.ClosureDraft, now time.Time) (club.Closure, error)
	LiftClosure(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.Closure, error)
	SetRule(ctx context.Context, who club.Writer, venue string, d club.RuleDraft, now time.Time) (club.LevelRule, error)
	DropRule(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.LevelRule, error)
	notesBook
	feedsBook
}

// feedsBook is the part of the book that says where levels come from, and keeps them.
type feedsBook interface {
	// Feeds is for those who may set feeds.
	Feeds(ctx context.Context, gauge string, session []byte, now time.Time) (club.FeedsView, error)
	AddFeed(ctx context.Context, who club.Writer, gauge string, d club.FeedDraft, now time.Time) (int64, error)
	// ChangeFeed wants the stamp of what the writer saw.
	ChangeFeed(ctx context.Context, who club.Writer, gauge string, id int64, was string, d club.FeedDraft, now time.Time) error
	PauseFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	ResumeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	RemoveFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	HurryFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	MakeLogger(ctx context.Context, who club.Writer, gauge, name string, hash []byte, now time.Time) error
	EndLogger(ctx context.Context, who club.Writer, gauge string, hash []byte, now time.Time) error
	// ImportLevels keeps what rows puts, or nothing where rows fails.
	ImportLevels(ctx context.Context, who club.Writer, gauge string, source club.Source, now time.Time,
		rows func(put func(at time.Time, levelM float64) error) error) (club.Merged, error)
	// TakeTable has a table of levels wait, for its sender's session alone, to be kept.
	TakeTable(ctx context.Context, session []byte, gauge, name string, from io.Reader, now time.Time) (club.WaitingTable, error)
	WaitingTable(ctx context.Context, id, gauge string, session []byte, now time.Time) (club.WaitingTable, error)
	ReadTable(ctx context.Context, t club.WaitingTable) io.Reader
	DropTable(ctx context.Context, id string) error
	// Logger says whether an instrument may post, by the hash of its token.
	Logger(ctx context.Context, token []byte) error
	// LoggerLevels keeps what an instrument posts, by the hash of its token.
	LoggerLevels(ctx context.Context, token []byte, levels []club.Level, now time.Time) (club.Merged, error)
}

// notesBook is the part of the book that members write notes and photographs in.
type notesBook interface {
	// Notes gives those of a place that the session's member may see.
	Notes(ctx context.Context, at club.Place, session []byte, now time.Time) (club.NotesView, error)
	Waiting(ctx context.Context, session []byte, now time.Time) (club.Waiting, error)
	// Image gives a photograph's bytes, unless have says that the asker has them.
	Image(ctx context.Context, hash [32]byte, session []byte, have bool, now time.Time) (club.Image, error)
	WriteNote(ctx context.Context, who club.Writer, at club.Place, d club.NoteDraft, now time.Time) (club.Note, error)
	EditNote(ctx context.Context, who club.Writer, at club.Place, id int64, d club.NoteDraft, now time.Time) (club.Note, error)
	ActOnNote(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error
	AddPicture(ctx context.Context, who club.Writer, at club.Place, d club.PictureDraft, now time.Time) (club.Picture, error)
	Incidents(ctx context.Context, session []byte, now time.Time) (club.IncidentsView, error)
	CloseIncident(ctx context.Context, who club.Writer, id int64, now time.Time) error
	AddBoardPicture(ctx context.Context, who club.Writer, entry string, photo club.Photo, now time.Time) (club.Picture, error)
	ActOnPicture(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error
}

// Records is what is written down on the bank, and what it is held against.
type Records interface {
	Record(ctx context.Context, session []byte, now time.Time) (club.RecordView, error)
	ClubKey(ctx context.Context) (club.ClubKey, error)
	// ReceiveEntries takes entries in as they came, before anything is made of them.
	ReceiveEntries(ctx context.Context, session []byte, raw []club.RawEntry, now time.Time) (club.Intake, error)
	// SettleEntry puts one in the book, or says that it needs mending.
	SettleEntry(ctx context.Context, id string, st club.Settling, now time.Time) (club.EntryAnswer, error)
	// Corrected is what an entry put in the book.
	Corrected(ctx context.Context, id string) (club.Corrected, error)
	// Board is a gauge about a moment.
	Board(ctx context.Context, gauge string, at, now time.Time) (club.BoardView, error)
}

// People is what the pages read and write of the club's members. Writes see in their own
// transaction whether the writer may.
type People interface {
	BeginTry(ctx context.Context, account, address string, now time.Time) ([]int64, error)
	EndTry(ctx context.Context, ids []int64) error
	Account(ctx context.Context, signIn string) (club.Account, error)
	SignIn(ctx context.Context, a club.Account, s club.NewSession, now time.Time) error
	SignOut(ctx context.Context, session []byte) error
	KeepCeremony(ctx context.Context, id, data []byte, until, now time.Time) error
	TakeCeremony(ctx context.Context, id []byte, now time.Time) ([]byte, error)
	Passkey(ctx context.Context, id []byte) (club.Passkey, int64, error)
	PasskeyUsed(ctx context.Context, p club.Passkey, now time.Time) error

	Invitation(ctx context.Context, hash []byte, now time.Time) (club.Invitation, error)
	Join(ctx context.Context, hash []byte, j club.Joining, now time.Time) error
	Invite(ctx context.Context, who club.Writer, drafts []club.InviteDraft, now time.Time) error
	Withdraw(ctx context.Context, who club.Writer, id string, now time.Time) error

	Me(ctx context.Context, session []byte, now time.Time) (club.MyView, error)
	MyAccount(ctx context.Context, session []byte, now time.Time) (club.Account, error)
	MyData(ctx context.Context, session []byte, now time.Time) (json.RawMessage, error)
	SetPassword(ctx context.Context, who club.Writer, was, password string, now time.Time) error
	EndSession(ctx context.Context, who club.Writer, id string, now time.Time) (int, error)
	AddPasskey(ctx context.Context, who club.Writer, k club.Passkey, now time.Time) error
	DropPasskey(ctx context.Context, who club.Writer, id string, now time.Time) error
	RemoveMyself(ctx context.Context, who club.Writer, now time.Time) error

	Members(ctx context.Context, session []byte, now time.Time) (club.MembersView, error)
	MemberNumber(ctx context.Context, id int64, session []byte, now time.Time) (club.MembersView, error)
	MakeJunior(ctx context.Context, who club.Writer, d club.JuniorDraft, now time.Time) (club.MemberLine, error)
	MemberLink(ctx context.Context, who club.Writer, id int64, hash []byte, now time.Time) (club.MemberLine, error)
	ChangeMember(ctx context.Context, who club.Writer, id int64, c club.MemberChange, now time.Time) (club.MemberLine, error)
	Leave(ctx context.Context, who club.Writer, ids []int64, now time.Time) (int, error)
	ComeBack(ctx context.Context, who club.Writer, id int64, hash []byte, now time.Time) (club.MemberLine, error)
	RemoveMember(ctx context.Context, who club.Writer, id int64, now time.Time) (club.MemberLine, error)

	Log(ctx context.Context, ask club.LogAsk, session []byte, now time.Time) (club.LogView, error)
	Settings(ctx context.Context, session []byte, now time.Time) (club.ClubView, error)
	ChangeSettings(ctx context.Context, who club.Writer, d club.ClubDraft, now time.Time) error
}

// Setup is what the pages read and write that set the club up. Writes see in their own
// transaction whether the writer may.
type Setup interface {
	Office(ctx context.Context, session []byte, now time.Time) (club.Office, error)
	OfficeWater(ctx context.Context, venue string, session []byte, now time.Time) (club.OfficeWater, error)
	// Tiles are where a map's come from.
	Tiles(ctx context.Context) (club.Tiles, error)

	AddGauge(ctx context.Context, who club.Writer, d club.GaugeDraft, now time.Time) (club.Gauge, error)
	ChangeGauge(ctx context.Context, who club.Writer, gauge string, d club.GaugeDraft, now time.Time) error
	MoveZero(ctx context.Context, who club.Writer, gauge string, d club.ZeroDraft, now time.Time) (string, error)
	FixZero(ctx context.Context, who club.Writer, gauge string, id int64, d club.ZeroFix, now time.Time) error
	AddVenue(ctx context.Context, who club.Writer, d club.VenueDraft, now time.Time) (club.Venue, error)
	ChangeVenue(ctx context.Context, who club.Writer, venue string, d club.VenueDraft, now time.Time) error
	MoveVenue(ctx context.Context, who club.Writer, venue string, up bool, now time.Time) (string, error)
	AddStretch(ctx context.Context, who club.Writer, venue string, d club.StretchDraft, now time.Time) (string, error)
	AddBetween(ctx context.Context, who club.Writer, venue string, d club.BetweenDraft, now time.Time) (string, error)
	Renumber(ctx context.Context, who club.Writer, venue string, d club.RenumberDraft, now time.Time) (string, error)
	ChangePeg(ctx context.Context, who club.Writer, venue, code string, d club.PegDraft, now time.Time) error
	DropPeg(ctx context.Context, who club.Writer, venue, code string, now time.Time) (string, error)
	SetPlaces(ctx context.Context, who club.Writer, venue string, places []club.PegPlace, was string, now time.Time) (int, error)
	AddRuns(ctx context.Context, who club.Writer, venue string, d club.RunSetDraft, now time.Time) (runs, pegs int, err error)
	SetRun(ctx context.Context, who club.Writer, venue, code string, id int64, d club.RunDraft, now time.Time) error
	DropRun(ctx context.Context, who club.Writer, venue, code string, id int64, now time.Time) (string, error)
	SetHazard(ctx context.Context, who club.Writer, venue string, id int64, d club.HazardDraft, now time.Time) error
	DropHazard(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (string, error)
	AddFixture(ctx context.Context, who club.Writer, venue string, d club.FixtureDraft, now time.Time) error
	DropFixture(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (string, error)
	BringFixtures(ctx context.Context, who club.Writer, venue string, all []club.Fixture, now time.Time) (made, changed int, err error)

	Carry(ctx context.Context, who club.Writer, venue string, levels bool, now time.Time) (club.Carried, error)
	Import(ctx context.Context, who club.Writer, c club.Carried, look bool, now time.Time) (club.Imported, error)
	VenueReadings(ctx context.Context, venue string, session []byte, now time.Time) ([]club.PegBook, error)
	VenueCalendar(ctx context.Context, venue string, session []byte, now time.Time) (string, []club.Fixture, error)
	GaugeLevels(ctx context.Context, gauge string, from, to time.Time, each func(l club.Level, datumM float64) error) error
}

// Paper prints. A server without one says that it cannot.
type Paper interface {
	Card(w io.Writer, c web.PegCard) error
	VenueSheet(w io.Writer, v web.VenueSheet) error
	Tonight(w io.Writer, t web.TonightPage) error
	Labels(w io.Writer, l web.Labels) error
	Booklet(w io.Writer, b web.Booklet) error
}

// Feeds is who fetches them in the background.
type Feeds interface {
	// Ask has a feed fetched as soon as may be.
	Ask(ctx context.Context, feed int64) error
}
