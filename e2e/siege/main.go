// Command siege measures what members notice of those who misuse the server: it offers
// sheets of pegs at a steady rate, each measured from when it was due, first alone and then
// beside each kind of trouble, turn about on one machine.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"levelpeg/e2e/under"
)

type options struct {
	binary        string
	seconds, rate int
	idle          int
}

func main() {
	log.SetFlags(0)
	var o options
	flag.StringVar(&o.binary, "binary", "build/levelpeg", "the program to besiege")
	flag.IntVar(&o.seconds, "seconds", 12, "seconds each trouble lasts")
	flag.IntVar(&o.rate, "rate", 100, "sheets a second that members ask for")
	flag.IntVar(&o.idle, "idle", 10000, "idle connections")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := besiege(ctx, o); err != nil {
		log.Fatal("siege: ", err)
	}
}

func besiege(ctx context.Context, o options) error {
	dir, err := os.MkdirTemp("/tmp", "levelpeg-siege-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := os.Chmod(dir, 0o755); err != nil {
		return err
	}
	var files syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &files); err != nil {
		return err
	}
	if most := int(files.Cur) - 1000; o.idle > most {
		log.Printf("only %d idle connections: the limit of open files is %d", most, files.Cur)
		o.idle = most
	}
	for _, crowd := range []int{o.idle + 2500, 4096} {
		fmt.Printf("with --crowd %d\n", crowd)
		if err := besiegeOne(ctx, o, filepath.Join(dir, "data"), crowd); err != nil {
			return err
		}
	}
	return nil
}

// besiegeOne is one server under every trouble.
func besiegeOne(ctx context.Context, o options, data string, crowd int) error {
	s, err := under.Start(ctx, nil, o.binary, "serve", "--demo", "--listen", "127.0.0.1:0", "--data", data, "--crowd", fmt.Sprint(crowd), "--log", "json")
	if err != nil {
		return err
	}
	defer s.Stop()
	paths, err := sheets(s.URL)
	if err != nil {
		return err
	}
	if _, err := ask(ctx, s.URL, paths, o.rate, o.seconds); err != nil { // once, to warm it
		return err
	}
	t := target{url: s.URL, address: s.Address(), data: data, idle: o.idle}
	for _, trouble := range troubles() {
		alone, err := ask(ctx, s.URL, paths, o.rate, o.seconds)
		if err != nil {
			return err
		}
		beside, says, err := askBeside(ctx, t, trouble, paths, o)
		if err != nil {
			return fmt.Errorf("%s: %w", trouble.name, err)
		}
		fmt.Printf("%-46s alone %s\n%-46s beside %s; server %.0f MB; %s\n", trouble.name, alone, "", beside, under.ResidentMB(s.PID()), says)
	}
	return nil
}

// settle is how long a trouble has to get under way, and the server to get over it.
const settle = 3 * time.Second

func askBeside(ctx context.Context, t target, tr trouble, paths []string, o options) (noticed, string, error) {
	making, end := context.WithCancel(ctx)
	done, failed := make(chan string, 1), make(chan error, 1)
	go func() {
		says, err := tr.make(making, t)
		done <- says
		failed <- err
	}()
	time.Sleep(settle)
	n, err := ask(ctx, t.url, paths, o.rate, o.seconds)
	end()
	says := <-done
	if err == nil {
		err = <-failed
	}
	time.Sleep(settle)
	return n, says, err
}
