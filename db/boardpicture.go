package db

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// boardEntry is a level in the book that a photograph of the board belongs to.
type boardEntry struct {
	gaugeID     int64
	gauge, slug string // the gauge's name, and the first venue that is read by it
	at          time.Time
	levelMM     int32
	zone        string
	by          int64
}

// boardEntry reads the level that an entry put in the book. It fails with club.NotFound
// where there is none by whoever asks, and club.Invalid where no water goes by its gauge.
func (db *DB) boardEntry(ctx context.Context, id string, session []byte, now time.Time) (boardEntry, error) {
	var e boardEntry
	err := db.pool.QueryRow(ctx, `
		select g.id, g.name, coalesce((select v.slug from venues v where v.gauge_id = g.id order by v.position, v.id limit 1), ''),
			l.at, l.level_mm, c.time_zone, l.by_member
		from `+asking("$2", "$3")+` m
		join levels l on l.by_member = m.id join gauges g on g.id = l.gauge_id cross join club c
		where l.intake_id = $1 and l.level_mm is not null`, id, session, now).Scan(&e.gaugeID, &e.gauge, &e.slug, &e.at, &e.levelMM, &e.zone, &e.by)
	if errors.Is(err, pgx.ErrNoRows) {
		return e, club.Faultf(club.NotFound, "There is no level of yours in the book that this photograph belongs to.")
	}
	if err == nil && e.slug == "" {
		return e, club.Faultf(club.Invalid, "No water goes by %s yet, so its photograph has no place.", e.gauge)
	}
	return e, fail(err, "db.boardEntry(%s)", id)
}

// caption says what the photograph is for.
func (e boardEntry) caption() string {
	loc, err := time.LoadLocation(e.zone)
	if err != nil {
		loc = time.UTC
	}
	return fmt.Sprintf("The board at %s, read as %.2f m on %s", e.gauge, float64(e.levelMM)/1000, e.at.In(loc).Format("2 January 2006, 15:04"))
}

// AddBoardPicture adds a photograph of a gauge's board to the level that the member's
// entry put in the book. The same photograph of it again is the one there was. It fails
// as AddPicture does, and with club.NotFound where the entry put no level in the book.
func (db *DB) AddBoardPicture(ctx context.Context, who club.Writer, entry string, photo club.Photo, now time.Time) (club.Picture, error) {
	var out club.Picture
	e, err := db.boardEntry(ctx, entry, who.Session, now)
	if err != nil {
		return out, err
	}
	err = db.asPoster(ctx, who, club.Place{Venue: e.slug}, now, "AddBoardPicture", func(p *poster) (err error) {
		if p.m.ID != e.by { // the session changed hands meanwhile
			return club.ErrMayNotPost()
		}
		out, err = p.add(ctx, club.PictureDraft{Photo: photo, Caption: e.caption()}, e.at, &e.gaugeID, e.caption()+".")
		return err
	})
	return out, err
}

// boardPicturesSQL reads the newest photographs of a gauge's board.
const boardPicturesSQL = `
	select p.id, p.at, coalesce(m.name, ''), coalesce(p.by_member, 0), p.caption, encode(p.hash, 'hex'), encode(p.small, 'hex'), d.width, d.height, p.open, p.hidden_at is not null
	from gauges g join pictures p on p.gauge_id = g.id join picture_data d on d.hash = p.small left join members m on m.id = p.by_member
	where g.slug = $1 order by p.at desc, p.id desc limit 4`

// queueBoardPictures adds to a gauge's batch the photographs of its board, for members.
func queueBoardPictures(b *pgx.Batch, slug string, v *club.GaugeView) {
	b.Queue(boardPicturesSQL, slug).Query(func(rows pgx.Rows) error {
		var p club.Picture
		_, err := pgx.ForEachRow(rows, []any{&p.ID, &p.At, &p.Author, &p.AuthorID, &p.Caption, &p.Hash, &p.Small, &p.Width, &p.Height, &p.Open, &p.Hidden}, func() error {
			if p.Board = true; v.Member.ID != 0 && p.SeenBy(v.Member) && !p.Hidden {
				v.Board = append(v.Board, p)
			}
			return nil
		})
		return err
	})
}
