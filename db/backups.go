package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
)

// backupsSQL is the last good backup and the last nightly one that was tried.
const backupsSQL = `
	select g.began_at, g.bytes, n.began_at, coalesce(n.why, ''), n.copied, coalesce(n.copy_why, '')
	from (values (1)) as one (n)
	left join lateral (select * from backups where why = '' order by began_at desc limit 1) g on true
	left join lateral (select * from backups where kind = 'nightly' order by began_at desc limit 1) n on true`

func queueBackups(b *pgx.Batch, to *club.Backups) {
	b.Queue(backupsSQL).QueryRow(func(row pgx.Row) error {
		var good, nightly *time.Time
		var bytes *int64
		err := row.Scan(&good, &bytes, &nightly, &to.Why, &to.Copied, &to.CopyWhy)
		to.Good, to.Nightly = timeOrZero(good), timeOrZero(nightly)
		if bytes != nil {
			to.Bytes = *bytes
		}
		return err
	})
}

// Backups says how the backups of the book are doing.
func (db *DB) Backups(ctx context.Context) (club.Backups, error) {
	var out club.Backups
	b := &pgx.Batch{}
	queueBackups(b, &out)
	return out, fail(db.pool.SendBatch(ctx, b).Close(), "db.Backups")
}
