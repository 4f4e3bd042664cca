package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// postedRow is what book_notes and book_pictures have in common, as it comes.
type postedRow struct {
	ID            int64
	At            micros
	By            string
	Author        int64
	Junior        bool
	Waits, Hidden bool
	Why           string
}

func (r postedRow) posted() club.Posted {
	return club.Posted{ID: r.ID, At: r.At.time(), Author: r.By, AuthorID: r.Author, Junior: r.Junior, Waits: r.Waits, Hidden: r.Hidden, Why: r.Why}
}

type noteRow struct {
	postedRow
	Text      string
	Low, High *int32
	Private   bool
}

func notesOf(rows []noteRow) []club.Note {
	var out []club.Note
	for _, n := range rows {
		out = append(out, club.Note{Posted: n.posted(), Text: n.Text, LowM: metresPtr(n.Low), HighM: metresPtr(n.High), Private: n.Private})
	}
	return out
}

type pictureRow struct {
	postedRow
	Caption, Hash, Small string
	Width, Height        int
	Open, Board          bool
}

func picturesOf(rows []pictureRow) []club.Picture {
	var out []club.Picture
	for _, p := range rows {
		out = append(out, club.Picture{Posted: p.posted(), Caption: p.Caption, Hash: p.Hash, Small: p.Small, Width: p.Width, Height: p.Height, Open: p.Open, Board: p.Board})
	}
	return out
}

// queueVenueNotes adds to a venue's batch its own notes and photographs, everybody's.
func queueVenueNotes(b *pgx.Batch, slug string, v *club.VenueView) {
	b.Queue(`select book_notes(null, v.id), book_pictures(null, v.id) from venues v where v.slug = $1`, slug).QueryRow(func(row pgx.Row) error {
		var notes []noteRow
		var pictures []pictureRow
		err := row.Scan(&notes, &pictures)
		v.Notes, v.Pictures = notesOf(notes), picturesOf(pictures)
		return err
	})
}

// Notes reads the notes and photographs of a peg, or of a venue where the place names no
// peg, that the session's member may see, in one round trip. It fails with club.NotFound
// for a place the club does not have.
func (db *DB) Notes(ctx context.Context, at club.Place, session []byte, now time.Time) (club.NotesView, error) {
	if at.Peg.Label != "" {
		v, err := db.Peg(ctx, at.Venue, at.Peg.Label, session, now)
		return club.NotesView{Club: v.Club, Member: v.Member, Venue: v.Venue, Standing: v.Standing, Peg: &v.Peg, Notes: v.Notes, Pictures: v.Pictures}, err
	}
	v, err := db.Venue(ctx, at.Venue, session, now)
	return club.NotesView{Club: v.Club, Member: v.Member, Venue: v.Venue, Standing: v.Standing, Notes: v.Notes, Pictures: v.Pictures}, err
}

// poster is a write under way, by a member, at a place.
type poster struct {
	tx      pgx.Tx
	m       club.Member
	now     time.Time
	venueID int32
	pegID   *int32
	name    string // of the place: "peg 14 of Sallow Reach"
	offsetM float64
	hasZero bool
}

// asPoster does a write in one transaction with the look whether the writer may.
func (db *DB) asPoster(ctx context.Context, who club.Writer, at club.Place, now time.Time, what string, do func(*poster) error) error {
	err := pgx.BeginFunc(ctx, db.pool, func(tx pgx.Tx) error {
		p := &poster{tx: tx, now: now}
		if err := p.check(ctx, who); err != nil {
			return err
		}
		if err := p.find(ctx, at); err != nil {
			return err
		}
		return do(p)
	})
	if errors.Is(err, errNoVenue) {
		return db.venueNotFound(ctx, at.Venue, who.Session, now)
	}
	return closing(err, what, at.Venue)
}

// check fails with club.Forbidden for whoever is no member. What one member writes takes
// turns, so that a button pressed twice writes once.
func (p *poster) check(ctx context.Context, who club.Writer) error {
	err := p.tx.QueryRow(ctx, `
		select m.id, m.name, m.role from sessions s join members m on m.id = s.member_id
		where s.token_hash = $1 and s.expires_at > $2 and m.left_at is null for share of s for no key update of m`, who.Session, p.now).Scan(&p.m.ID, &p.m.Name, &p.m.Role)
	if errors.Is(err, pgx.ErrNoRows) || err == nil && !p.m.Role.MayWrite() {
		return club.ErrMayNotPost()
	}
	return err
}

var errNoVenue = errors.New("no such venue")

func (p *poster) find(ctx context.Context, at club.Place) error {
	var offset *int32
	err := p.tx.QueryRow(ctx, `
		select v.id, v.name, (select z.offset_mm from gauge_zeros z where z.gauge_id = v.gauge_id and z.valid_from <= $2 order by z.valid_from desc limit 1)
		from venues v where v.slug = $1 for share of v`, at.Venue, p.now).Scan(&p.venueID, &p.name, &offset)
	if errors.Is(err, pgx.ErrNoRows) {
		return errNoVenue
	}
	if err != nil {
		return err
	}
	p.offsetM, p.hasZero = metresOrZero(offset), offset != nil
	if at.Peg.Label == "" {
		return nil
	}
	c := closer{tx: p.tx, venue: p.name, venueID: p.venueID}
	id, label, err := c.peg(ctx, at.Peg)
	p.pegID, p.name = id, "peg "+label+" of "+p.name
	return err
}

// atPlace limits a statement on notes n to those of the place: $1 the peg, $2 the venue.
const atPlace = `(n.peg_id = $1 or ($1::integer is null and n.venue_id = $2))`

// mm is a level on the board as the book keeps it: on the datum.
func (p *poster) mm(levelM *float64) (*int32, error) {
	if levelM == nil {
		return nil, nil
	}
	if !p.hasZero {
		return nil, noZero(p.name)
	}
	onDatum := *levelM + p.offsetM
	return mmPtr(&onDatum), nil
}

func (p *poster) levels(d club.NoteDraft) (low, high *int32, err error) {
	if low, err = p.mm(d.LowM); err != nil {
		return nil, nil, err
	}
	high, err = p.mm(d.HighM)
	return low, high, err
}

// WriteNote writes a note, and gives it as it is kept: the draft's levels are on the
// board's zero in force, the note's on the datum. A note that says the same as one of
// the writer's there is that one. It fails with club.Forbidden for visitors and
// club.Invalid for what makes no sense.
func (db *DB) WriteNote(ctx context.Context, who club.Writer, at club.Place, d club.NoteDraft, now time.Time) (club.Note, error) {
	var out club.Note
	err := db.asPoster(ctx, who, at, now, "WriteNote", func(p *poster) error {
		d, err := d.Checked()
		if err != nil {
			return err
		}
		low, high, err := p.levels(d)
		if err != nil {
			return err
		}
		out = club.Note{Posted: club.Posted{At: now, Author: p.m.Name, AuthorID: p.m.ID, Waits: p.waits(d)}, Text: d.Text, LowM: metresPtr(low), HighM: metresPtr(high), Private: d.Private}
		if done, err := p.written(ctx, &out, low, high); done || err != nil {
			return err
		}
		err = p.tx.QueryRow(ctx, `
			insert into notes (peg_id, venue_id, author_id, at, text, low_mm, high_mm, private, waits)
			values ($1, case when $1::integer is null then $2::integer end, $3, $4, $5, $6, $7, $8, $9) returning id`,
			p.pegID, p.venueID, p.m.ID, now, d.Text, low, high, d.Private, out.Waits).Scan(&out.ID)
		if err != nil {
			return err
		}
		return p.log(ctx, "note written", d.Private, "A note on "+p.name+".")
	})
	return out, err
}

// waits says whether a note waits to be approved: a junior's does, unless only they see it.
func (p *poster) waits(d club.NoteDraft) bool { return p.m.Role == club.Junior && !d.Private }

// log writes a line, but not of what is private.
func (p *poster) log(ctx context.Context, what string, private bool, about string) error {
	if private {
		return nil
	}
	return logged(ctx, p.tx, p.m.ID, what, about)
}

// written finds the note that says the same, and sees to it that one member's notes do
// not fill a place.
func (p *poster) written(ctx context.Context, n *club.Note, low, high *int32) (done bool, err error) {
	var id *int64
	var many int
	err = p.tx.QueryRow(ctx, `
		select min(n.id) filter (where n.text = $4 and n.low_mm is not distinct from $5 and n.high_mm is not distinct from $6 and n.private = $7 and n.hidden_at is null),
			count(*)
		from notes n where `+atPlace+` and n.author_id = $3`, p.pegID, p.venueID, p.m.ID, n.Text, low, high, n.Private).Scan(&id, &many)
	if err != nil {
		return false, err
	}
	if id != nil {
		n.ID = *id
		return true, nil
	}
	if many >= club.NotesEach {
		return false, club.Faultf(club.Conflict, "You have %d notes here already. Take one away, or write it into one that is there.", many)
	}
	return false, nil
}

// note reads and locks a note of the place that the writer may see.
func (p *poster) note(ctx context.Context, id int64) (club.Note, error) {
	var n club.Note
	var low, high *int32
	n.ID = id
	err := p.tx.QueryRow(ctx, `
		select n.at, coalesce(n.author_id, 0), n.text, n.low_mm, n.high_mm, n.private, n.waits, n.hidden_at is not null, n.hidden_why
		from notes n where n.id = $3 and `+atPlace+` for no key update`, p.pegID, p.venueID, id).Scan(
		&n.At, &n.AuthorID, &n.Text, &low, &high, &n.Private, &n.Waits, &n.Hidden, &n.Why)
	n.LowM, n.HighM = metresPtr(low), metresPtr(high)
	if errors.Is(err, pgx.ErrNoRows) || err == nil && !n.SeenBy(p.m) {
		return n, club.NoSuchPosted("note")
	}
	return n, err
}

// EditNote writes a note anew: its writer alone does. A junior's waits again. It fails as
// WriteNote does, and with club.Conflict for a note that is not there any more.
func (db *DB) EditNote(ctx context.Context, who club.Writer, at club.Place, id int64, d club.NoteDraft, now time.Time) (club.Note, error) {
	var out club.Note
	err := db.asPoster(ctx, who, at, now, "EditNote", func(p *poster) error {
		n, err := p.note(ctx, id)
		if err != nil {
			return err
		}
		if err := n.MayEdit(p.m); err != nil {
			return err
		}
		d, err := d.Checked()
		if err != nil {
			return err
		}
		low, high, err := p.levels(d)
		if err != nil {
			return err
		}
		out = n
		out.Text, out.LowM, out.HighM, out.Private, out.Waits = d.Text, metresPtr(low), metresPtr(high), d.Private, p.waits(d)
		_, err = p.tx.Exec(ctx, `update notes set text = $2, low_mm = $3, high_mm = $4, private = $5, waits = $6, approved_at = null, approved_by = null where id = $1`,
			id, d.Text, low, high, d.Private, out.Waits)
		if err != nil {
			return err
		}
		return p.log(ctx, "note changed", d.Private && n.Private, "A note on "+p.name+".")
	})
	return out, err
}

// noteActSQL are the acts on notes; each repeats what it expects to find.
var noteActSQL = map[club.Act]string{
	club.ActRemove:  `delete from notes where id = @id`,
	club.ActHide:    `update notes set hidden_at = @now, hidden_by = @by, hidden_why = @why where id = @id and hidden_at is null`,
	club.ActShow:    `update notes set hidden_at = null, hidden_by = null, hidden_why = '' where id = @id and hidden_at is not null`,
	club.ActApprove: `update notes set waits = false, approved_at = @now, approved_by = @by where id = @id and waits`,
	club.ActRefuse:  `update notes set hidden_at = @now, hidden_by = @by, hidden_why = @why where id = @id and waits and hidden_at is null`,
}

// ActOnNote does an act to a note of a place. It fails with club.Forbidden for a member
// who may not, club.Invalid where a reason is wanted and missing, and club.Conflict where
// the note is not there any more or the act is done already.
func (db *DB) ActOnNote(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error {
	return db.asPoster(ctx, who, at, now, "ActOnNote", func(p *poster) error {
		n, err := p.note(ctx, id)
		if err != nil {
			return err
		}
		if err := n.May(p.m, act); err != nil {
			return err
		}
		if why, err = reason(act, n.By(p.m), why); err != nil {
			return err
		}
		if _, err := p.tx.Exec(ctx, noteActSQL[act], pgx.NamedArgs{"id": id, "by": p.m.ID, "now": now, "why": why}); err != nil {
			return err
		}
		return p.log(ctx, "note: "+string(act), n.Private, because("A note on "+p.name, why))
	})
}

// reason is the reason of an act as it is kept; empty where it needs none.
func reason(act club.Act, own bool, why string) (string, error) {
	if !act.NeedsWhy(own) {
		return "", nil
	}
	return club.CheckWhy(why)
}

// because is a line of the log with its reason.
func because(about, why string) string {
	if why == "" {
		return about + "."
	}
	return about + ": " + why
}

const waitingSQL = `
	select v.slug, v.name, coalesce(p.label, ''), count(w.note), count(w.picture)
	from (
		select coalesce(n.venue_id, p.venue_id) as venue, n.peg_id as peg, n.id as note, null::bigint as picture
		from notes n left join pegs p on p.id = n.peg_id where n.waits and n.hidden_at is null and not n.private
		union all
		select venue_id, peg_id, null, id from pictures where waits and hidden_at is null
	) w join venues v on v.id = w.venue left join pegs p on p.id = w.peg
	group by v.slug, v.name, p.label, p.position order by v.name, p.position nulls first`

// Waiting reads where juniors' notes and photographs wait to be approved, in one round
// trip. It fails with club.Forbidden for a member who does not approve.
func (db *DB) Waiting(ctx context.Context, session []byte, now time.Time) (club.Waiting, error) {
	var w club.Waiting
	b := &pgx.Batch{}
	queueMember(b, session, now, &w.Member)
	queueClub(b, &w.Club)
	b.Queue(waitingSQL).Query(func(rows pgx.Rows) (err error) {
		w.Places, err = pgx.AppendRows(w.Places, rows, pgx.RowToStructByPos[club.WaitingPlace])
		return err
	})
	err := db.pool.SendBatch(ctx, b).Close()
	if err == nil && !w.Member.Role.MayApprove() {
		return club.Waiting{}, club.ErrMayNotApprove()
	}
	return w, fail(err, "db.Waiting")
}
