package private

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"runtime"
	"strconv"
	"syscall"
	"time"
)

// account is the operating-system user that PostgreSQL's programs run as.
type account struct {
	uid, gid int
	drop     bool // this program is root and must become the user
}

// pickAccount chooses whom PostgreSQL runs as. It refuses to run as root, so
// root becomes the owner of the data or, where there is none yet, the user
// levelpeg or postgres; never nobody, whom other services share.
func pickAccount(data string) (account, error) {
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	owner, err := ownerOf(data)
	switch {
	case errors.Is(err, fs.ErrNotExist) && me.uid != 0:
		return me, nil
	case errors.Is(err, fs.ErrNotExist):
		return systemAccount("levelpeg", "postgres")
	case err != nil:
		return account{}, err
	case me.uid != 0 && owner.uid != me.uid:
		return account{}, fmt.Errorf("%s belongs to %s: run this as that user or as root", data, userName(owner.uid))
	case owner.uid == 0:
		return account{}, fmt.Errorf("%s belongs to root, as whom PostgreSQL will not run: give it to the user levelpeg or postgres with chown -R", data)
	}
	owner.drop = me.uid == 0
	return owner, nil
}

// ownerOf tells whose the folder is. A link is refused: as root we would act on
// whatever its owner pointed it at.
func ownerOf(dir string) (account, error) {
	info, err := os.Lstat(dir)
	if errors.Is(err, fs.ErrPermission) {
		return account{}, fmt.Errorf("%s cannot be looked into by this user: give another folder, or run as its owner or as root", dir)
	}
	if err != nil {
		return account{}, err
	}
	if !info.IsDir() {
		return account{}, fmt.Errorf("%s is not a folder", dir)
	}
	stat := info.Sys().(*syscall.Stat_t)
	return account{uid: int(stat.Uid), gid: int(stat.Gid)}, nil
}

// systemAccount is the first of the named users that exists.
func systemAccount(names ...string) (account, error) {
	for _, name := range names {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, uidErr := strconv.Atoi(u.Uid)
		gid, gidErr := strconv.Atoi(u.Gid)
		if uidErr != nil || gidErr != nil || uid == 0 {
			continue
		}
		return account{uid: uid, gid: gid, drop: true}, nil
	}
	return account{}, errors.New("PostgreSQL will not run as root and there is no user levelpeg or postgres to run it as. Make one with: useradd --system levelpeg")
}

func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return "the user " + u.Username
	}
	return fmt.Sprintf("user number %d", uid)
}

// dress makes the command run as the account, apart from our terminal, with
// nothing of our surroundings (a PGDATA, a locale, a folder it cannot enter),
// and get the signal when the thread that started it ends.
func (a account) dress(cmd *exec.Cmd, atOurDeath syscall.Signal) {
	cmd.Env = []string{"LC_ALL=C", "PATH=/usr/bin:/bin"}
	if cmd.Dir == "" {
		cmd.Dir = "/"
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Pdeathsig: atOurDeath}
	if a.drop {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
	}
}

// output runs a short command as the account, in a folder, and gives what it
// said. It is killed when the context ends and when we do.
func (a account) output(ctx context.Context, dir, name string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	cmd.WaitDelay = 5 * time.Second
	a.dress(cmd, syscall.SIGKILL)
	var said []byte
	done := make(chan error)
	go func() {
		// The death signal comes when the starting thread ends, so hold it.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		var err error
		said, err = cmd.CombinedOutput()
		done <- err
	}()
	err := <-done
	return string(said), err
}
