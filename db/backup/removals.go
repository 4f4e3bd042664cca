package backup

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
)

// Removal is a member who was removed from a club, by their number alone.
type Removal struct {
	ClubID  string
	Member  int64
	Since   time.Time // when the member was made
	Removed time.Time
}

// RemovalsName is the file beside the backups in which removals of people are kept, for
// the day the database itself is lost.
const RemovalsName = "removals"

const removalsFirst = "Levelpeg: members removed since, form 1. Keep this file beside the backups."

func (r Removal) same(o Removal) bool {
	return r.ClubID == o.ClubID && r.Member == o.Member && r.Since.Equal(o.Since)
}

// ReadRemovals reads the list at path; none where there is no such file.
func ReadRemovals(path string) ([]Removal, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	lines := strings.Split(string(text), "\n")
	if lines[0] != removalsFirst || lines[len(lines)-1] != "" {
		return nil, spoiltList(path, errors.New("its first or its last line is not as it was written"))
	}
	var all []Removal
	for _, line := range lines[1 : len(lines)-1] {
		r, err := removalOf(line)
		if err != nil {
			return nil, spoiltList(path, fmt.Errorf("%.100q: %w", line, err))
		}
		all = append(all, r)
	}
	return all, nil
}

func spoiltList(path string, why error) error {
	return club.Faultf(club.Invalid, "The list of removed members in %s is damaged. Without it people who were removed would be back: put a copy of it in its place.", path).Because(why)
}

func removalOf(line string) (r Removal, err error) {
	f := strings.Fields(line)
	if len(f) != 4 {
		return r, fmt.Errorf("%d words", len(f))
	}
	r.ClubID = f[0]
	if r.Member, err = strconv.ParseInt(f[1], 10, 64); err != nil {
		return r, err
	}
	if r.Since, err = time.Parse(time.RFC3339Nano, f[2]); err != nil {
		return r, err
	}
	r.Removed, err = time.Parse(time.RFC3339Nano, f[3])
	return r, err
}

// KeepRemovals brings the list at path up to date with the database's, which may know of
// fewer: a backup of before may have been put back. It writes nothing where nothing is new,
// but for the list itself: one without a line says that nobody was removed.
func KeepRemovals(ctx context.Context, url, path string) error {
	conn, err := connect(ctx, url)
	if err != nil {
		return fmt.Errorf("backup.KeepRemovals: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	rows, err := conn.Query(ctx, `select club_id::text, member_id, member_since, removed_at from removals`)
	if err != nil {
		return fmt.Errorf("backup.KeepRemovals: %w", err)
	}
	known, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Removal])
	if err != nil {
		return fmt.Errorf("backup.KeepRemovals: %w", err)
	}
	return mergeRemovals(path, known)
}

func mergeRemovals(path string, more []Removal) error {
	kept, err := ReadRemovals(path)
	if err != nil { // the book knows of all that a list knew: what is spoilt is put by
		if err := os.Rename(path, path+".damaged"); err != nil {
			return err
		}
	}
	all := union(kept, more)
	if _, err := os.Stat(path); err == nil && len(all) == len(kept) {
		return nil
	}
	return writeWhole(path, func(w io.Writer) error {
		text := removalsFirst + "\n"
		for _, r := range all {
			text += fmt.Sprintf("%s %d %s %s\n", r.ClubID, r.Member, r.Since.UTC().Format(time.RFC3339Nano), r.Removed.UTC().Format(time.RFC3339Nano))
		}
		_, err := io.WriteString(w, text)
		return err
	})
}

func union(lists ...[]Removal) []Removal {
	all := slices.Concat(lists...)
	slices.SortStableFunc(all, func(a, b Removal) int {
		return cmp.Or(strings.Compare(a.ClubID, b.ClubID), cmp.Compare(a.Member, b.Member), a.Since.Compare(b.Since))
	})
	return slices.CompactFunc(all, Removal.same)
}

// RemovalsFor gathers what is known of removals for a backup that is to be put back: of
// the lists named, the one beside it, and those in the folders.
func RemovalsFor(path string, named []string, folders ...string) (all []Removal, found bool, err error) {
	files := slices.Clone(named)
	for _, dir := range append(folders, filepath.Dir(path)) {
		if dir != "" {
			files = append(files, filepath.Join(dir, RemovalsName))
		}
	}
	for i, file := range files {
		_, err := os.Stat(file)
		if err != nil && (i < len(named) || !errors.Is(err, fs.ErrNotExist)) {
			return nil, false, club.Faultf(club.Invalid, "The list of removed members %s cannot be read.", file).Because(err)
		}
		if err != nil {
			continue
		}
		some, err := ReadRemovals(file)
		if err != nil {
			return nil, false, err
		}
		all, found = union(all, some), true
	}
	return all, found, nil
}

// finish removes again whoever was removed, begins a new epoch, and lets the database be
// used.
func finish(ctx context.Context, tx pgx.Tx, head Head, o Restoring, now time.Time) (removed int, err error) {
	if !o.Aside {
		if removed, err = removeAgain(ctx, tx, o.Removals); err != nil {
			return removed, err
		}
		if _, err := tx.Exec(ctx, `update club set epoch = gen_random_uuid()`); err != nil {
			return removed, err
		}
		about := fmt.Sprintf("It was made at %s UTC.", head.MadeAt.Format("2006-01-02 15:04"))
		if _, err := tx.Exec(ctx, `insert into log (at, what, about) values ($1, 'put a backup back', $2)`, now, about); err != nil {
			return removed, err
		}
	}
	_, err = tx.Exec(ctx, `drop table `+db.UnfinishedRestore)
	return removed, err
}

func removeAgain(ctx context.Context, tx pgx.Tx, more []Removal) (int, error) {
	for _, r := range more {
		_, err := tx.Exec(ctx, `
			insert into removals (club_id, member_id, member_since, removed_at) select id, $2, $3, $4 from club where id::text = $1
			on conflict do nothing`, r.ClubID, r.Member, r.Since, r.Removed)
		if err != nil {
			return 0, err
		}
	}
	rows, err := tx.Query(ctx, `
		select m.id from members m join removals r on r.member_id = m.id and r.member_since = m.created_at join club c on c.id = r.club_id order by m.id`)
	if err != nil {
		return 0, err
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil {
		return 0, err
	}
	for _, id := range ids {
		for _, statement := range db.RemovalStatements {
			if _, err := tx.Exec(ctx, statement, id); err != nil {
				return 0, fmt.Errorf("removing member %d again: %w", id, err)
			}
		}
	}
	// Numbers that were given since are not given to somebody else.
	_, err = tx.Exec(ctx, `
		select setval(pg_get_serial_sequence('members', 'id'), greatest((select max(member_id) from removals),
			(select last_value from members_id_seq))) where exists (select from removals)`)
	return len(ids), err
}
