package db

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// logged writes down who did what, for the secretary, in the transaction that does it.
// about is a sentence; member is zero for whoever runs the program on the machine.
func logged(ctx context.Context, tx pgx.Tx, member int64, what, about string) error {
	_, err := tx.Exec(ctx, `insert into log (member_id, what, about) values (nullif($1, 0), $2, $3)`, member, what, about)
	return err
}
