package db

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// logged writes down, in the transaction of what was done, who did it; member 0 is
// whoever runs the program on the machine, or an instrument.
func logged(ctx context.Context, tx pgx.Tx, member int64, what, about string) error {
	var by *int64
	if member != 0 {
		by = &member
	}
	_, err := tx.Exec(ctx, `insert into log (member_id, what, about) values ($1, $2, $3)`, by, what, about)
	return err
}
