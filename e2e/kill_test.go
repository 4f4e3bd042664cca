package e2e

import (
	"math/rand/v2"
	"net/http"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// killSeed makes every run kill at the same moments.
const killSeed = 20260614

// killRounds is how often the tests below kill, together.
func killRounds() int {
	if os.Getenv("LEVELPEG_LONG") == "1" {
		return 100
	}
	return 10
}

// victims are who is killed.
var victims = []string{"program", "postgres", "both"}

// killPostgres kills the folder's postmaster, or whatever makes its cluster, and
// says whether there was one.
func killPostgres(dir string) bool {
	if pid := postmaster(dir); pid != 0 {
		return syscall.Kill(pid, syscall.SIGKILL) == nil
	}
	hit := false
	for _, pid := range residents(dir) {
		hit = syscall.Kill(pid, syscall.SIGKILL) == nil || hit
	}
	return hit
}

// strike kills as told, and says what it found to kill.
func strike(p *program, dir, victim string) string {
	found := victim
	if victim != "program" && !killPostgres(dir) {
		found += ", no postgres yet"
	}
	if victim != "postgres" {
		p.kill()
	}
	return found
}

// Killed at any moment of its first start, the program starts the next time and has
// the whole demo: what the first start did by half is done again.
func TestKilledWhileItStartsForTheFirstTime(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	first, err := made()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(killSeed, 1))
	// The moments are spread over the whole of a first start, and a little beyond.
	rounds := killRounds() * 2 / 5
	moments := random.Perm(rounds)
	// Two kills to a folder, so that one also meets what another left.
	for round := 0; round < rounds; round += 2 {
		dir := diskFolder(t)
		for i, moment := range moments[round : round+2] {
			share := (float64(moment) + random.Float64()) / float64(rounds)
			after := time.Duration(share * 1.1 * float64(first.took))
			victim := victims[(round+i)%len(victims)]
			t.Logf("round %d after %v: %s", round+i, after.Round(time.Millisecond), killFirstStart(t, dir, victim, after))
		}
		p, home := serve(t, "--demo", "--data", dir)
		if err := whole(home); err != nil {
			t.Errorf("after rounds %d and %d: %v\n%s", round, round+1, err, &p.logged)
		}
		if err := p.stop(); err != nil {
			t.Errorf("after rounds %d and %d: %v", round, round+1, err)
		}
	}
}

// killFirstStart starts the program, kills after a while, and says what it found.
// Where only PostgreSQL was killed the program either comes up by itself or ends and
// says why; it must not hang.
func killFirstStart(t *testing.T, dir, victim string, after time.Duration) string {
	t.Helper()
	p, err := launch("serve", "--demo", "--data", dir, "--listen", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer p.kill()
	time.Sleep(after)
	found := strike(p, dir, victim)
	if victim != "postgres" {
		return found
	}
	if home, err := p.awaitURL(startWithin); err == nil {
		await200(t, home+"/")
		return found + "; it came up by itself"
	}
	select {
	case <-p.gone:
	default:
		t.Errorf("with its PostgreSQL killed it neither serves nor ends:\n%s", &p.logged)
		return found
	}
	if !strings.Contains(p.logged.String(), "levelpeg: ") {
		t.Errorf("with its PostgreSQL killed it ended without a sentence:\n%s", &p.logged)
	}
	return found + "; it ended: " + lastLines(p.logged.String())
}

func lastLines(s string) string {
	_, end, _ := strings.Cut(s, "levelpeg: ")
	return strings.Join(strings.Fields(end), " ")
}

// await200 waits for a page, past the 503 of a PostgreSQL that is starting.
func await200(t *testing.T, url string) {
	t.Helper()
	var a answer
	var err error
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(50 * time.Millisecond) {
		if a, err = get(url); err == nil && a.status == http.StatusOK {
			return
		}
	}
	t.Fatalf("no page in 30 s: %d, %v", a.status, err)
}

// writing is how many write at once: more than one kind of request has connections.
const writing = 5

// Killed at any moment while it serves and several write in it, the program starts again
// unaided and has everything it said it had: what was acknowledged once, what was not at
// most once, what is sent again once, and of nothing a half. When only its
// PostgreSQL is killed it says so in a page, and goes on by itself.
//
// A kill leaves what the kernel holds of files: this shows that nothing is acknowledged
// before PostgreSQL was told to commit it, and that whatever a kill leaves behind is put
// in order. What the loss of power leaves is TestPowerLost's.
func TestKilledWhileItServes(t *testing.T) {
	t.Parallel()
	k := &killing{T: t, dir: holdsDemo(t, diskFolder), random: rand.New(rand.NewPCG(killSeed, 2)), ledger: newLedger(), firstPages: map[string][]time.Duration{}}
	t.Cleanup(func() { k.p.kill() })
	k.start("")
	if err := addBailiff(k.dir); err != nil {
		t.Fatal(err)
	}
	k.writers = writers(t, k.dir, killSeed, writing)
	k.hold(t, k.home, k.dir)
	rounds := killRounds() - killRounds()*2/5
	for round := range rounds {
		k.round(victims[round%len(victims)])
	}
	if err := whole(k.home); err != nil {
		t.Error(err)
	}
	if err := k.p.stop(); err != nil {
		t.Error(err)
	}
	if k.pagesSorry == 0 || k.sorry[outOfReach] == 0 {
		t.Errorf("%d pages and %d answers to writes met a PostgreSQL that was down, so too little was seen of how that is said", k.pagesSorry, k.sorry[outOfReach])
	}
	k.say(t)
	t.Logf("%d rounds; %d pages said that the book is out of reach", rounds, k.pagesSorry)
	for _, victim := range victims {
		all := slices.Sorted(slices.Values(k.firstPages[victim]))
		t.Logf("%s killed %d times: the first page after %v at the middle, %v at worst", victim, len(all),
			all[len(all)/2].Round(time.Millisecond), all[len(all)-1].Round(time.Millisecond))
	}
}

// killing is a program that is killed again and again while writers write in it.
type killing struct {
	*testing.T
	*ledger
	dir        string
	p          *program
	home       string
	random     *rand.Rand
	writers    []*writer
	firstPages map[string][]time.Duration // by who was killed: from the next start, or from PostgreSQL's end, to a page
	pagesSorry int
}

// start starts the program after a victim was killed.
func (k *killing) start(victim string) {
	k.Helper()
	began := time.Now()
	p, err := launch("serve", "--demo", "--data", k.dir, "--listen", "127.0.0.1:0")
	if err != nil {
		k.Fatal(err)
	}
	k.p = p
	if k.home, err = p.awaitURL(startWithin); err != nil {
		k.Fatal(err)
	}
	await200(k.T, k.home+ordinaryPeg)
	k.firstPages[victim] = append(k.firstPages[victim], time.Since(began))
}

// moment waits until some more are acknowledged, and a little, so that it falls anywhere in
// the writes that are under way; it gives how many were.
func (k *killing) moment() int {
	k.Helper()
	before, want := k.acknowledged(), 1+k.random.IntN(60)
	for deadline := time.Now().Add(10 * time.Second); k.acknowledged()-before < want; time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			k.Fatalf("only %d of %d writes were acknowledged in 10 s", k.acknowledged()-before, want)
		}
	}
	time.Sleep(time.Duration(k.random.IntN(20_000)) * time.Microsecond)
	return k.acknowledged() - before
}

// round is one kill.
func (k *killing) round(victim string) {
	k.Helper()
	halt := k.atWork(k.writers, k.home)
	stop, counted := make(chan struct{}), make(chan crowdCount)
	go crowd(k.home, stop, counted)
	after := k.moment()
	old, began := postmaster(k.dir), time.Now()
	strike(k.p, k.dir, victim)
	if victim == "postgres" {
		awaitAnother(k.T, k.dir, old)
		await200(k.T, k.home+ordinaryPeg)
		k.firstPages[victim] = append(k.firstPages[victim], time.Since(began))
		time.Sleep(100 * time.Millisecond) // some write after it as before
	}
	halt()
	close(stop)
	seen := <-counted
	k.pagesSorry += seen.sorry
	for _, wrong := range seen.wrong {
		k.Errorf("%s killed after %d were acknowledged: %s", victim, after, wrong)
	}
	if victim != "postgres" {
		k.start(victim)
	}
	k.hold(k.T, k.home, k.dir)
}

// awaitAnother waits until another postmaster runs. Sessions of a killed one may
// answer for a moment longer, so a page alone does not show that it has come back.
func awaitAnother(t *testing.T, dir string, old int) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if pid := postmaster(dir); pid != 0 && pid != old {
			return
		}
	}
	t.Fatal("PostgreSQL was not started again in 30 s")
}
