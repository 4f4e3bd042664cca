package db

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// AddPicture adds a photograph to a place. The same photograph there by the same member
// is the one there was. It fails with club.Forbidden for visitors, club.Invalid for what
// makes no sense, and club.Conflict for more in a day than anybody needs.
func (db *DB) AddPicture(ctx context.Context, who club.Writer, at club.Place, d club.PictureDraft, now time.Time) (club.Picture, error) {
	var out club.Picture
	err := db.asPoster(ctx, who, at, now, "AddPicture", func(p *poster) (err error) {
		out, err = p.add(ctx, d, now, nil, "A photograph of "+p.name+".")
		return err
	})
	return out, err
}

// add puts a photograph in the book, of a gauge's board where there is a gauge, and says
// so in the log; the same one there by the same member is the one there was.
func (p *poster) add(ctx context.Context, d club.PictureDraft, at time.Time, gauge *int64, about string) (club.Picture, error) {
	d, err := d.Checked()
	if err != nil {
		return club.Picture{}, err
	}
	// It takes turns with whoever sweeps away what nothing shows any more.
	if _, err := p.tx.Exec(ctx, `lock table picture_data in share row exclusive mode`); err != nil {
		return club.Picture{}, err
	}
	large, small := sha256.Sum256(d.Large.Data), sha256.Sum256(d.Small.Data)
	out := club.Picture{Posted: club.Posted{At: at, Author: p.m.Name, AuthorID: p.m.ID, Waits: p.m.Role == club.Junior}, Caption: d.Caption, Board: gauge != nil,
		Hash: hex.EncodeToString(large[:]), Small: hex.EncodeToString(small[:]), Width: d.Small.Width, Height: d.Small.Height}
	if done, err := p.added(ctx, &out, large[:]); done || err != nil {
		return out, err
	}
	if err := keepImage(ctx, p.tx, large[:], d.Large); err != nil {
		return out, err
	}
	if err := keepImage(ctx, p.tx, small[:], d.Small); err != nil {
		return out, err
	}
	err = p.tx.QueryRow(ctx, `
		insert into pictures (hash, small, venue_id, peg_id, gauge_id, caption, at, by_member, waits) values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id`,
		large[:], small[:], p.venueID, p.pegID, gauge, d.Caption, at, p.m.ID, out.Waits).Scan(&out.ID)
	if err != nil {
		return out, err
	}
	return out, logged(ctx, p.tx, p.m.ID, "photograph added", about)
}

// keepImage keeps bytes once.
func keepImage(ctx context.Context, tx pgx.Tx, hash []byte, i club.Image) error {
	_, err := tx.Exec(ctx, `insert into picture_data (hash, kind, width, height, data) values ($1, $2, $3, $4, $5) on conflict do nothing`,
		hash, i.Kind, i.Width, i.Height, i.Data)
	return err
}

// added finds the row that is the same, and sees to it that one member does not fill
// the book.
func (p *poster) added(ctx context.Context, out *club.Picture, hash []byte) (done bool, err error) {
	var id *int64
	var today int
	err = p.tx.QueryRow(ctx, `
		select min(id) filter (where hash = $3 and venue_id = $4 and peg_id is not distinct from $5 and hidden_at is null and (gauge_id is not null) = $6),
			count(*) filter (where at > $2)
		from pictures where by_member = $1`, p.m.ID, p.now.Add(-24*time.Hour), hash, p.venueID, p.pegID, out.Board).Scan(&id, &today)
	if err != nil {
		return false, err
	}
	if id != nil {
		out.ID = *id
		return true, nil
	}
	if today >= club.PicturesADay {
		return false, club.Faultf(club.Conflict, "You have added %d photographs in a day. Add the next tomorrow.", today)
	}
	return false, nil
}

// atPicturePlace limits a statement on pictures to those of the place: $1 the peg, $2 the venue.
const atPicturePlace = `p.venue_id = $2 and p.peg_id is not distinct from $1`

// picture reads and locks a photograph of the place that the writer may see.
func (p *poster) picture(ctx context.Context, id int64) (club.Picture, error) {
	var out club.Picture
	out.ID = id
	err := p.tx.QueryRow(ctx, `
		select p.at, coalesce(p.by_member, 0), p.open, p.waits, p.hidden_at is not null, p.hidden_why
		from pictures p where p.id = $3 and `+atPicturePlace+` for no key update`, p.pegID, p.venueID, id).Scan(
		&out.At, &out.AuthorID, &out.Open, &out.Waits, &out.Hidden, &out.Why)
	if errors.Is(err, pgx.ErrNoRows) || err == nil && !out.SeenBy(p.m) {
		return out, club.NoSuchPosted("photograph")
	}
	return out, err
}

// pictureActSQL are the acts on photographs, as noteActSQL's. What is hidden is not open.
var pictureActSQL = map[club.Act]string{
	club.ActRemove:  `delete from pictures where id = @id`,
	club.ActHide:    `update pictures set hidden_at = @now, hidden_by = @by, hidden_why = @why, open = false where id = @id and hidden_at is null`,
	club.ActShow:    `update pictures set hidden_at = null, hidden_by = null, hidden_why = '' where id = @id and hidden_at is not null`,
	club.ActApprove: `update pictures set waits = false where id = @id and waits`,
	club.ActRefuse:  `update pictures set hidden_at = @now, hidden_by = @by, hidden_why = @why where id = @id and waits and hidden_at is null`,
	club.ActOpen:    `update pictures set open = true where id = @id and not waits and hidden_at is null`,
	club.ActShut:    `update pictures set open = false where id = @id and open`,
}

// ActOnPicture does an act to a photograph of a place. It fails as ActOnNote does.
func (db *DB) ActOnPicture(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error {
	return db.asPoster(ctx, who, at, now, "ActOnPicture", func(p *poster) error {
		was, err := p.picture(ctx, id)
		if err != nil {
			return err
		}
		if err := was.May(p.m, act); err != nil {
			return err
		}
		if why, err = reason(act, was.By(p.m), why); err != nil {
			return err
		}
		if _, err := p.tx.Exec(ctx, pictureActSQL[act], pgx.NamedArgs{"id": id, "by": p.m.ID, "now": now, "why": why}); err != nil {
			return err
		}
		return logged(ctx, p.tx, p.m.ID, "photograph: "+string(act), because("A photograph of "+p.name, why))
	})
}

// Image gives a photograph's bytes by their hash, large or small, to whoever may see one
// that shows them; to a visitor only of a venue that is open. have says that the asker
// has the bytes, so that only kind and sizes are wanted. It fails with club.NotFound,
// which does not say whether it is there.
func (db *DB) Image(ctx context.Context, hash [32]byte, session []byte, have bool, now time.Time) (club.Image, error) {
	var m club.Member
	var i club.Image
	shown := false
	b := &pgx.Batch{}
	queueMember(b, session, now, &m)
	b.Queue(`
		select coalesce(p.by_member, 0), p.open and v.open, p.waits, p.hidden_at is not null from pictures p join venues v on v.id = p.venue_id where p.hash = $1
		union all
		select coalesce(p.by_member, 0), p.open and v.open, p.waits, p.hidden_at is not null from pictures p join venues v on v.id = p.venue_id where p.small = $1`,
		hash[:]).Query(func(rows pgx.Rows) error {
		var p club.Picture
		_, err := pgx.ForEachRow(rows, []any{&p.AuthorID, &p.Open, &p.Waits, &p.Hidden}, func() error {
			shown = shown || p.SeenBy(m)
			return nil
		})
		return err
	})
	err := db.reads(ctx).SendBatch(ctx, b).Close()
	if err == nil && !shown {
		return i, club.Faultf(club.NotFound, "There is no such photograph here, or it is for members who are signed in.")
	}
	if err == nil {
		err = db.reads(ctx).QueryRow(ctx, `select kind, width, height, case when not $2 then data end from picture_data where hash = $1`, hash[:], have).Scan(&i.Kind, &i.Width, &i.Height, &i.Data)
	}
	if errors.Is(err, pgx.ErrNoRows) { // swept away meanwhile
		return i, club.Faultf(club.NotFound, "There is no such photograph here any more.")
	}
	return i, fail(err, "db.Image(%x)", hash)
}
