package e2e

import (
	"context"
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"levelpeg/db/private"
)

// other is a PostgreSQL that is not the program's own.
func other(t *testing.T, dir string) *private.Server {
	t.Helper()
	s, err := private.Start(testContext(t, startWithin), private.Config{Dir: dir, Fast: true, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stopOther(t, s) })
	return s
}

func stopOther(t *testing.T, s *private.Server) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), stopWithin)
	defer cancel()
	if err := s.Stop(ctx); err != nil {
		t.Error(err)
	}
}

// A database address is used instead of a PostgreSQL of our own. It is never changed
// unasked, and when it goes away and comes back the program goes on.
func TestAnotherDatabase(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := folder(t)
	db := other(t, dir)
	env := []string{"DATABASE_URL=" + db.URL()}
	code, _, log := once(t, env, "serve", "--listen=127.0.0.1:0")
	sentenceAbout(t, code, log, "--migrate")
	p, err := launchWith(env, "serve", "--migrate", "--listen=127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer p.kill()
	home, err := p.awaitURL(startWithin)
	if err != nil {
		t.Fatal(err)
	}
	if page := mustGet(t, home+"/", http.StatusOK); !strings.Contains(page.body, "no venues yet") {
		t.Errorf("the home page of an empty book does not say so:\n%.600s", page.body)
	}
	stopOther(t, db)
	if a := mustGet(t, home+"/", http.StatusServiceUnavailable); saysSorry(a) != nil {
		t.Errorf("with the database away: %v\n%s", saysSorry(a), a.body)
	}
	mustGet(t, home+"/readyz", http.StatusServiceUnavailable)
	mustGet(t, home+"/healthz", http.StatusOK)
	other(t, dir)
	await200(t, home+"/")
	mustGet(t, home+"/readyz", http.StatusOK)
	if err := p.stop(); err != nil {
		t.Error(err)
	}
}

// Started while its database is away, the program says so.
func TestADatabaseThatIsAwayIsSaid(t *testing.T) {
	t.Parallel()
	began := time.Now()
	code, _, log := once(t, nil, "serve", "--listen=127.0.0.1:0", "--database=postgres://x@/x?host="+t.TempDir())
	sentenceAbout(t, code, log, "out of reach")
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("it took %v to say so", took)
	}
}
