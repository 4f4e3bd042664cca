package e2e

import (
	"net"
	"net/http"
	"strings"
	"testing"
)

// sentenceAbout checks that a command ended badly and said why in a line that
// holds the words.
func sentenceAbout(t *testing.T, code int, log string, words ...string) {
	t.Helper()
	if code == 0 {
		t.Error("it ended well")
	}
	_, said, found := strings.Cut(log, "levelpeg: ")
	if !found {
		t.Fatalf("it did not say why:\n%s", log)
	}
	for _, w := range words {
		if !strings.Contains(said, w) {
			t.Errorf("it says %q, want %q in it", strings.TrimSpace(said), w)
		}
	}
	if strings.Contains(log, "goroutine ") {
		t.Errorf("it panicked:\n%s", log)
	}
}

func TestHelpNamesFlagsAndVariables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ args, words string }{
		{"--help", "serve migrate demo closure export import --help"},
		{"export --help", "--database --data --output --levels --names"},
		{"import --help", "--database --data --look"},
		{"closure set --help", "--database --data --peg --to-peg --all --reason --from --to"},
		{"serve --help", "--database --data --listen --demo migrate --remember --connections LEVELPEG_DATABASE DATABASE_URL LEVELPEG_DATA LEVELPEG_LISTEN LEVELPEG_DEMO LEVELPEG_MIGRATE"},
		{"migrate --help", "--database --data"},
		{"demo --help", "--database --data"},
	} {
		code, out, log := once(t, nil, strings.Fields(c.args)...)
		if code != 0 {
			t.Errorf("levelpeg %s ends with %d: %s", c.args, code, log)
		}
		for _, w := range strings.Fields(c.words) {
			if !strings.Contains(out, w) {
				t.Errorf("levelpeg %s does not name %s:\n%s", c.args, w, out)
			}
		}
	}
}

func TestWhatItIsNotToldRightIsSaid(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ args, word string }{
		{"serve --nonsense", "--nonsense"},
		{"nonsense", "nonsense"},
		{"serve --connections=many", "many"},
		{"serve --listen", "--listen"},
		{"serve --database=nowhere://x", "address"},
		{"serve --data=/dev/null", "/dev/null"},
	} {
		t.Run(c.args, func(t *testing.T) {
			code, _, log := once(t, nil, strings.Fields(c.args)...)
			sentenceAbout(t, code, log, c.word)
		})
	}
}

func TestASecondProgramOnTheFolderIsRefused(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	for _, command := range []string{"serve --listen=127.0.0.1:0", "migrate", "demo"} {
		code, _, log := once(t, nil, append(strings.Fields(command), "--data", dir)...)
		sentenceAbout(t, code, log, dir)
	}
	mustGet(t, home+ordinaryPeg, http.StatusOK)
}

func TestAnAddressThatIsTakenIsSaid(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	code, _, log := once(t, nil, "serve", "--data", dir, "--listen", taken.Addr().String())
	sentenceAbout(t, code, log, taken.Addr().String())
	if left := residents(dir); len(left) > 0 {
		t.Errorf("processes of PostgreSQL left behind: %v", left)
	}
}

// The demo never takes the place of a real club's book.
func TestTheDemoDoesNotReplaceARealClub(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	p, _ := serve(t, "--data", dir)
	tell(t, inside(t, dir), "update club set demo = false")
	if err := p.stop(); err != nil {
		t.Fatal(err)
	}
	for _, command := range []string{"demo", "serve --demo --listen=127.0.0.1:0"} {
		code, _, log := once(t, nil, append(strings.Fields(command), "--data", dir)...)
		sentenceAbout(t, code, log, "real club")
	}
	_, home := serve(t, "--data", dir)
	got := mustJSON[venuesJSON](t, home+"/venues.json")
	if got.Demo || len(got.Venues) != len(venuePegs) {
		t.Errorf("the real club is marked as a demo (%v) or has lost venues: %d", got.Demo, len(got.Venues))
	}
}

// What a flag sets its variable sets, too.
func TestTheVariablesSetWhatTheFlagsSet(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	p, err := launchWith([]string{"LEVELPEG_DATA=" + dir, "LEVELPEG_LISTEN=127.0.0.1:0", "LEVELPEG_DEMO=true", "LEVELPEG_REMEMBER=0", "LEVELPEG_CONNECTIONS=1"}, "serve")
	if err != nil {
		t.Fatal(err)
	}
	defer p.kill()
	home, err := p.awaitURL(startWithin)
	if err != nil {
		t.Fatal(err)
	}
	if err := wholeSheet(home + ordinaryPeg); err != nil {
		t.Error(err)
	}
	if err := p.stop(); err != nil {
		t.Error(err)
	}
}
