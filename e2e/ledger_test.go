package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"html"
	"maps"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// ledger is what writers were told of what they wrote.
type ledger struct {
	mu      sync.Mutex
	taken   map[string]string // the kind of each mark that was acknowledged
	kinds   map[string]int
	open    []write        // what was not acknowledged when it was sent first
	again   int            // how many writes were sent more than once
	sorry   map[string]int // sentences that said so, by how often
	wrong   []string
	lost    int
	doubled int
	offset  *int // of the book's revision over what counts in it
}

func newLedger() *ledger {
	return &ledger{taken: map[string]string{}, kinds: map[string]int{}, sorry: map[string]int{}}
}

// send sends a write and keeps what came of it; it says whether it was acknowledged.
func (l *ledger) send(home string, w write) bool {
	a, err := w.send(home)
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case err != nil:
		return false
	case a.status == http.StatusServiceUnavailable:
		says, err := sorryWords(a)
		if err != nil {
			l.wrong = append(l.wrong, fmt.Sprintf("%s: %v:\n%.600s", w.kind, err, a.body))
		}
		l.sorry[says]++
		return false
	}
	if err := w.taken(a); err != nil {
		l.wrong = append(l.wrong, fmt.Sprintf("%s: status %d, %v:\n%.600s", w.kind, a.status, err, a.body))
		return false
	}
	l.kinds[w.kind]++
	for _, m := range w.marks {
		l.taken[m] = w.kind
	}
	return true
}

// acknowledged is how many things were.
func (l *ledger) acknowledged() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.taken)
}

// sorryWords is the sentence of an answer that says that nothing can be kept for now.
func sorryWords(a answer) (string, error) {
	if a.header.Get("Retry-After") == "" {
		return "", fmt.Errorf("no word on when to come back")
	}
	for _, ours := range []string{"SQLSTATE", ".s.PGSQL", "dial ", "/tmp"} {
		if strings.Contains(a.body, ours) {
			return "", fmt.Errorf("it tells of our insides")
		}
	}
	var said struct{ Error string }
	if json.Unmarshal([]byte(a.body), &said) == nil && said.Error != "" {
		return said.Error, nil
	}
	for _, says := range []string{outOfReach, noRoom} {
		if strings.Contains(a.body, html.EscapeString(says)) && strings.HasSuffix(strings.TrimSpace(a.body), "</html>") {
			return says, nil
		}
	}
	return "", fmt.Errorf("no sentence")
}

// The sentences of a book that cannot be written in for now.
const (
	outOfReach = "The book is out of reach for the moment. Try again in a little while."
	noRoom     = "There is no room on the server's disk. Nothing can be written down until there is. Nothing is lost that was said to be in the book. Tell the club's secretary. Levels and soundings not sent yet stay on the phone, and go by themselves."
)

// keepWriting has a writer write until told to stop, and send each write until it is
// acknowledged.
func (l *ledger) keepWriting(w *writer, home string, stop <-chan struct{}) {
	for next := w.next(); ; next = w.next() {
		for tries := 0; !l.send(home, next); tries++ {
			if tries == 0 {
				l.leave(next)
			}
			select {
			case <-stop:
				return
			case <-time.After(10 * time.Millisecond):
			}
		}
		select {
		case <-stop:
			return
		default:
		}
	}
}

// leave keeps a write that was sent and not acknowledged, to be sent again.
func (l *ledger) leave(w write) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.open, l.again = append(l.open, w), l.again+1
}

// atWork has all the writers write; what it gives stops them and waits for them.
func (l *ledger) atWork(all []*writer, home string) (halt func()) {
	stop := make(chan struct{})
	var under sync.WaitGroup
	for _, w := range all {
		under.Go(func() { l.keepWriting(w, home, stop) })
	}
	return sync.OnceFunc(func() { close(stop); under.Wait() })
}

// inBook is how often each mark is in the book.
const inBook = `
	select mark, count(*) from (
		select intake_id::text as mark from levels where intake_id is not null
		union all select 'second ' || extract(epoch from at)::bigint from levels where source = 'station' and extract(second from at) <> 0
		union all select intake_id::text from soundings where intake_id is not null
		union all select intake_id::text from incidents where intake_id is not null
		union all select reason from closures
		union all select text from notes
		union all select caption from pictures
	) all_of_them group by mark`

// hold holds what the writers were told against the book: what was acknowledged is in it
// once, what was not at most once, and sent again once as well.
func (l *ledger) hold(t *testing.T, home, dir string) {
	t.Helper()
	conn := inside(t, dir)
	defer conn.Close(context.Background())
	book := marksIn(t, conn)
	for mark, kind := range l.taken {
		l.count(t, "acknowledged, "+kind, mark, book[mark], 1)
	}
	open := l.open
	l.open = nil
	for _, w := range open {
		for _, mark := range w.marks {
			l.count(t, "not acknowledged, "+w.kind, mark, book[mark], min(book[mark], 1))
		}
		if !l.send(home, w) {
			t.Errorf("sent again, %s was not acknowledged", w.kind)
		}
	}
	book = marksIn(t, conn)
	for _, w := range open {
		for _, mark := range w.marks {
			l.count(t, "sent again, "+w.kind, mark, book[mark], 1)
		}
	}
	for _, wrong := range l.wrong {
		t.Error(wrong)
	}
	l.wrong = nil
	holdTogether(t, conn)
	l.revised(t, conn)
	// A member adds so many photographs a day, and a long run more.
	tell(t, conn, `update pictures set at = at - interval '2 days' where at > now() - interval '1 day'`)
	l.offset = nil
	l.revised(t, conn)
}

// revised wants the revisions, the book's and those of its venues, to have gone up with every
// write that changes the book, each of which is a transaction. A level of an hour in which a
// peg was fished raises it, too, so that it may be more.
func (l *ledger) revised(t *testing.T, conn *pgx.Conn) {
	t.Helper()
	var over int
	err := conn.QueryRow(testContext(t, tabLimit), `select revision + (select coalesce(sum(revision), 0) from venue_revisions) - (select count(*) from soundings) - (select count(*) from closures)
		- (select count(*) from notes) - (select count(*) from pictures) from book_revision`).Scan(&over)
	if err != nil {
		t.Fatal(err)
	}
	if l.offset != nil && over < *l.offset {
		t.Errorf("the book's revision went up by %d less than what was written", *l.offset-over)
	}
	l.offset = &over
}

func (l *ledger) count(t *testing.T, what, mark string, n, want int) {
	t.Helper()
	switch {
	case n < want:
		l.lost++
	case n > want:
		l.doubled++
	default:
		return
	}
	t.Errorf("%s: %s is in the book %d times, want %d", what, mark, n, want)
}

func marksIn(t *testing.T, conn *pgx.Conn) map[string]int {
	t.Helper()
	rows, err := conn.Query(testContext(t, tabLimit), inBook)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	var mark string
	var n int
	if _, err := pgx.ForEachRow(rows, []any{&mark, &n}, func() error { out[mark] = n; return nil }); err != nil {
		t.Fatal(err)
	}
	return out
}

// togethers are what only a transaction that was kept by half would break: each counts
// what does not fit.
var togethers = map[string]string{
	"entries that are said to be in the book and are not, or the other way round": `
		select count(*) from (
			select intake_id as id from levels union all select intake_id from soundings union all select intake_id from incidents union all
			select i.id from intake i join closures c on c.reason = i.id::text
		) b full join (select id from intake where state = 'in the book') i using (id)
		where id is not null and (i.id is null or b.id is null)`,
	"levels without the look at the water that came with them, or the other way round": `
		select count(*) from (select intake_id from levels where intake_id is not null and revision = 0) l full join (select intake_id from looks where intake_id is not null) k using (intake_id)
		where l.intake_id is null or k.intake_id is null`,
	"hours whose summary is not what their levels give": summaryOf("hour", "levels_hour"),
	"days whose summary is not what their levels give":  summaryOf("day", "levels_day"),
	"schemas that a step was left half way of":          `select count(*) from schema_migrations where dirty`,
	"settings under which a commit may not be on the disk": `
		select count(*) from pg_settings where name in ('fsync', 'synchronous_commit', 'full_page_writes') and setting <> 'on'`,
}

// summaryOf reckons a summary anew from the levels: of each reading its highest revision,
// on the datum, and nothing that was withdrawn. A mean is kept as a four-byte real, 24 bits
// of at most 50,000 mm, twice over for a mean of means.
func summaryOf(span, table string) string {
	return fmt.Sprintf(`
		with newest as (
			select distinct on (l.gauge_id, l.at) l.gauge_id, date_trunc('%[1]s', l.at, 'UTC') as %[1]s, l.level_mm + z.offset_mm as mm
			from levels l join gauge_zeros z on z.id = l.zero_id order by l.gauge_id, l.at, l.revision desc
		), anew as (
			select gauge_id, %[1]s, min(mm) as least, max(mm) as most, avg(mm) as mean, count(*) as n from newest where mm is not null group by 1, 2
		)
		select count(*) from anew a full join %[2]s k using (gauge_id, %[1]s)
		where (a.least, a.most, a.n) is distinct from (k.least_mm, k.most_mm, k.readings::bigint) or abs(a.mean - k.mean_mm) > 2 * 50000.0 / (1 << 24)`, span, table)
}

func holdTogether(t *testing.T, conn *pgx.Conn) {
	t.Helper()
	for what, query := range togethers {
		var n int
		if err := conn.QueryRow(testContext(t, tabLimit), query).Scan(&n); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if n != 0 {
			t.Errorf("%d %s", n, what)
		}
	}
}

// say logs what there was.
func (l *ledger) say(t *testing.T) {
	t.Helper()
	t.Logf("%d things acknowledged; %d writes unanswered or refused at first, and sent again; %d lost, %d doubled", len(l.taken), l.again, l.lost, l.doubled)
	for _, kind := range slices.Sorted(maps.Keys(l.kinds)) {
		t.Logf("%5d × %s", l.kinds[kind], kind)
	}
	for _, says := range slices.Sorted(maps.Keys(l.sorry)) {
		t.Logf("%5d × said: %s", l.sorry[says], says)
	}
}
