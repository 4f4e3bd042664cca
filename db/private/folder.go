package private

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

const (
	socketName = ".s.PGSQL.5432"
	// A socket's address holds 107 bytes; some room is left for the lock beside it.
	maxSocketPath = 100
)

// places are the paths of one private PostgreSQL.
type places struct{ dir, data, init, run string }

// resolve fills the paths in from the folder's, or from DefaultDir.
func (p *places) resolve(dir string) error {
	if dir == "" {
		dir = DefaultDir()
	}
	if dir == "" {
		return errors.New("this user has no home folder to keep the data in: name a folder for it")
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("the folder %s: %w", dir, err)
	}
	info, err := os.Stat(dir)
	if errors.Is(err, syscall.ENOTDIR) || err == nil && !info.IsDir() {
		return fmt.Errorf("%s is not a folder: give a folder for the data", dir)
	}
	*p = places{
		dir:  dir,
		data: filepath.Join(dir, "data"),
		init: filepath.Join(dir, "data.init"),
		run:  filepath.Join(dir, "run"),
	}
	// A comma separates folders, for the server and for its clients.
	if len(p.run)+1+len(socketName) > maxSocketPath || strings.ContainsAny(p.run, `,"`) {
		p.run = shortRun(dir)
	}
	return nil
}

// shortRun is the socket's folder when its own place has too long a path. Root
// uses /run, where nobody else can take the name first.
func shortRun(dir string) string {
	base := "/tmp"
	if os.Geteuid() == 0 {
		base = "/run"
	}
	return fmt.Sprintf("%s/levelpeg-%x", base, sha256.Sum256([]byte(dir)))[:len(base)+len("/levelpeg-")+16]
}

// makeDir makes the folder where it is missing and gives it to the account.
func (p *places) makeDir(a account) error {
	if _, err := os.Stat(p.dir); err == nil {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(p.dir), 0o755); err != nil {
		return fmt.Errorf("the folder for the data cannot be made: %w", err)
	}
	return ownFolder(p.dir, a)
}

// makeRun makes the socket's folder, which only the account may enter.
func (p *places) makeRun(a account) error { return ownFolder(p.run, a) }

// ownFolder sees that a folder exists, belongs to the account and is closed to
// others. It works on the opened folder, so that nobody who can write beside it
// can lead root to another.
func ownFolder(path string, a account) error {
	if err := os.Mkdir(path, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("the folder %s cannot be made: %w", path, err)
	}
	f, err := os.OpenFile(path, os.O_RDONLY|unix.O_DIRECTORY|unix.O_NOFOLLOW, 0)
	if err != nil {
		return fmt.Errorf("the folder %s cannot be used: %w", path, err)
	}
	defer f.Close()
	if a.drop {
		if err := f.Chown(a.uid, a.gid); err != nil {
			return fmt.Errorf("the folder %s cannot be given to %s: %w", path, userName(a.uid), err)
		}
	}
	if err := f.Chmod(0o700); err != nil {
		return fmt.Errorf("the folder %s cannot be closed to others: %w", path, err)
	}
	return nil
}

// lockFolder holds the folder for this program until the returned function is
// called or the program ends, however it ends.
func lockFolder(dir string, a account) (func() error, error) {
	path := filepath.Join(dir, "app.lock")
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|unix.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, fmt.Errorf("the folder %s cannot be written to by this user: %w", dir, err)
	}
	err = lockPatiently(int(f.Fd()))
	if err == nil && a.drop {
		err = f.Chown(a.uid, a.gid) // so that the owner of the data may start it, too
	}
	if err == nil {
		return sync.OnceValue(func() error { return unlock(f) }), nil
	}
	f.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, ErrInUse{Dir: dir}
	}
	return nil, fmt.Errorf("the folder %s cannot be locked: %w", dir, err)
}

// lockPatience is for how long a lock that is held is asked for again: a program that
// was killed while it started another leaves the lock open in that one until it has
// become its own program, which takes a while on a busy machine.
const lockPatience = 2 * time.Second

func lockPatiently(fd int) error {
	for end := time.Now().Add(lockPatience); ; time.Sleep(20 * time.Millisecond) {
		err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB)
		if !errors.Is(err, syscall.EWOULDBLOCK) || time.Now().After(end) {
			return err
		}
	}
}

// checkEnterable has the account's own process enter the folder, which takes
// every parent's permissions into account.
func (s *Server) checkEnterable(ctx context.Context) error {
	_, err := s.user.output(ctx, s.places.dir, s.bin.path("postgres"), "--version")
	if err == nil || ctx.Err() != nil {
		return ctx.Err()
	}
	return fmt.Errorf("%s, as whom PostgreSQL runs, cannot enter %s (%w): keep the data where that user can go, for example under /var/lib",
		userName(s.user.uid), s.places.dir, err)
}

// url is the address of a database for a role. What the surroundings could say
// otherwise (PGPORT, PGSSLMODE) is said here. PostgreSQL's own programs do not
// read a plus as a space.
func (p *places) url(role, database string) string {
	query := url.Values{"host": {p.run}, "port": {"5432"}, "sslmode": {"disable"}}
	return fmt.Sprintf("postgres://%s@/%s?%s", role, database, strings.ReplaceAll(query.Encode(), "+", "%20"))
}

// unlock lets go of the lock itself before the file: a process that is being
// started at this moment has the file open until it becomes its own program, and
// would hold the lock for as long.
func unlock(f *os.File) error {
	return errors.Join(unix.Flock(int(f.Fd()), unix.LOCK_UN), f.Close())
}
