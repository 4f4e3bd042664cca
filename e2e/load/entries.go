package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/e2e/under"
)

// lateAfter is how long after it was due an entry has to be acknowledged not to be late.
const lateAfter = time.Second

// sounded is a run that soundings are written of.
type sounded struct {
	Code, Run string
	LevelM    float64 // of its gauge, on the board
	DepthM    float64 // at that level
}

// readSounded gives runs, anywhere in the book, with how deep they are now: unlike figures
// would be asked about.
func readSounded(ctx context.Context, conn *pgx.Conn, k *book) ([]sounded, error) {
	type row struct {
		Code, Run, Gauge string
		BedM             float64
	}
	rows, err := rowsOf[row](ctx, conn, `
		select p.code, r.name, g.slug, b.bed / 1000.0
		from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id join gauges g on g.id = v.gauge_id
		cross join lateral (select id, offset_mm from gauge_zeros where gauge_id = g.id order by valid_from desc limit 1) z
		cross join lateral (select avg(s.level_mm + y.offset_mm - z.offset_mm - s.depth_mm) as bed from soundings s join gauge_zeros y on y.id = s.zero_id where s.run_id = r.id) b
		where r.id % greatest(1, (select max(id) from runs) / 4000) = 0 and b.bed is not null order by r.id`)
	if err != nil {
		return nil, err
	}
	find := reader{book: k}
	var out []sounded
	for _, one := range rows {
		level := find.gaugeOf(one.Gauge).LevelM
		if depth := level - one.BedM; depth > 0.3 {
			out = append(out, sounded{one.Code, one.Run, level, depth})
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no run was sounded")
	}
	return out, nil
}

// entry is one that was offered, and what became of it.
type entry struct {
	id    string
	kind  string
	took  time.Duration // from when it was due
	taken bool          // acknowledged as in the book
	wrong string
}

// writer offers entries.
type writer struct {
	http  *http.Client
	url   string
	k     *book
	runs  []sounded
	reads *reader
}

func newWriter(url string, k *book, runs []sounded, seed uint64) *writer {
	return &writer{url: url, k: k, runs: runs, reads: newReader(k, seed, 500),
		http: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 256}, Timeout: 30 * time.Second}}
}

// offer sends entries at a steady rate whatever the answers do, each measured from when it
// was due: levels and soundings by turns, of bailiffs.
func (w *writer) offer(ctx context.Context, rate, seconds int) []entry {
	all := make([]entry, rate*seconds)
	var wait sync.WaitGroup
	start := time.Now()
	for i := range all {
		due := start.Add(time.Duration(i) * time.Second / time.Duration(rate))
		body, token := w.next(&all[i], i)
		time.Sleep(time.Until(due))
		if ctx.Err() != nil {
			return all[:i]
		}
		wait.Go(func() {
			all[i].wrong = w.send(ctx, body, token, &all[i])
			all[i].took = time.Since(due)
		})
	}
	wait.Wait()
	return all
}

// next makes an entry.
func (w *writer) next(e *entry, i int) (body []byte, token string) {
	r := w.reads
	e.id = uuid()
	fields := map[string]any{"form": 1, "id": e.id, "at": time.Now().UTC().Format(time.RFC3339Nano)}
	if e.kind = "level"; i%2 == 0 {
		g := r.anyGauge()
		fields["gauge"], fields["level"] = g.Slug, fmt.Sprintf("%.2f", g.LevelM+float64(r.IntN(3)-1)/100)
	} else {
		e.kind = "sounding"
		s := w.runs[r.IntN(len(w.runs))]
		fields["peg"], fields["run"], fields["depth"] = s.Code, s.Run, fmt.Sprintf("%.2f", s.DepthM)
	}
	fields["kind"] = e.kind
	body, _ = json.Marshal(map[string]any{"sent": time.Now().UTC().Format(time.RFC3339), "entries": []any{fields}})
	return body, r.bailiff()
}

func (w *writer) send(ctx context.Context, body []byte, token string, e *entry) (wrong string) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, w.url+"/api/1/entries", bytes.NewReader(body))
	if err != nil {
		return err.Error()
	}
	req.Header.Set("Content-Type", "application/json")
	req.AddCookie(&http.Cookie{Name: "levelpeg_session", Value: token})
	res, err := w.http.Do(req)
	if err != nil {
		return "no answer: " + err.Error()
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		return fmt.Sprintf("%s %v", res.Status, err)
	}
	var said struct {
		Entries []struct{ ID, State, Why string }
	}
	if err := json.Unmarshal(text, &said); err != nil || len(said.Entries) != 1 || said.Entries[0].ID != e.id {
		return fmt.Sprintf("answered %.100s", text)
	}
	if e.taken = said.Entries[0].State == "in the book"; !e.taken {
		return said.Entries[0].State + ": " + said.Entries[0].Why
	}
	return ""
}

// uuid is a random one (version 4), as a phone makes it; each run's entries are its own.
func uuid() string {
	hi, lo := rand.Uint64(), rand.Uint64()
	hi, lo = hi&^0xf000|0x4000, lo&^(3<<62)|2<<62
	return fmt.Sprintf("%08x-%04x-%04x-%04x-%012x", hi>>32, hi>>16&0xffff, hi&0xffff, lo>>48, lo&0xffffffffffff)
}

// notOnce says how many of the entries that were acknowledged are not in the book exactly
// once, and how many that were not are there all the same.
func notOnce(ctx context.Context, conn *pgx.Conn, all []entry) (lost, unasked int, err error) {
	type row struct {
		ID string
		N  int
	}
	// By who wrote them, since that is what there is an index of.
	rows, err := rowsOf[row](ctx, conn, `
		select intake_id::text, count(*) from (
			select intake_id from levels where by_member between $1 and $2 and intake_id is not null
			union all select intake_id from soundings where by_member between $1 and $2 and intake_id is not null) x
		group by 1`, secretaries+1, secretaries+bailiffs)
	if err != nil {
		return 0, 0, err
	}
	times := map[string]int{}
	for _, r := range rows {
		times[r.ID] = r.N
	}
	for _, e := range all {
		switch n := times[e.id]; {
		case e.taken && n != 1:
			lost++
		case !e.taken && n > 0:
			unasked++
		}
	}
	return lost, unasked, nil
}

// of gives how long the entries of a kind that were acknowledged took.
func took(all []entry) under.Took {
	var out under.Took
	for _, e := range all {
		if e.taken {
			out = append(out, e.took)
		}
	}
	return out
}
