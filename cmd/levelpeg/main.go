// Command levelpeg is a club's own server for its waters.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	_ "time/tzdata" // a machine without its own knows the club's time zone all the same

	"github.com/alecthomas/kong"

	"levelpeg/club"
	"levelpeg/db/private"
)

// database is what every command that needs the book takes.
type database struct {
	Database string `help:"Address of a PostgreSQL 15 or later. Without one a private PostgreSQL is run." placeholder:"URL" env:"LEVELPEG_DATABASE,DATABASE_URL"`
	Data     string `help:"Folder of the private PostgreSQL (default: ${data})." placeholder:"DIR" env:"LEVELPEG_DATA"`
}

type commands struct {
	logging
	Serve   serveCmd           `cmd:"" help:"Serve the club's pages."`
	Migrate migrateCmd         `cmd:"" help:"Bring the database up to this program's schema."`
	Demo    demoCmd            `cmd:"" help:"Fill an empty database with an invented club."`
	Member  memberCmd          `cmd:"" help:"Make a link for the first secretary, or to try the made-up club."`
	Closure closureCmd         `cmd:"" help:"Close pegs, open them again, and list what is closed."`
	Export  exportCmd          `cmd:"" help:"Write a water as one file, to be taken to another club."`
	Import  importCmd          `cmd:"" help:"Bring a water in from such a file."`
	Backup  backupCmd          `cmd:"" help:"Write everything to one file, while the server runs."`
	Restore restoreCmd         `cmd:"" help:"Put a backup back into an empty database."`
	Check   checkCmd           `cmd:"" help:"Tell whether a backup can be put back, by putting it back aside."`
	Upgrade postgresUpgradeCmd `cmd:"" name:"postgres-upgrade" help:"Bring the private database to another PostgreSQL."`
	Bed     bedCmd             `cmd:"" help:"Work out a run's bed, depth and pace from a file of soundings."`
	Rig     rigCmd             `cmd:"" help:"Work out rigs for a depth and a pace, without a server or a book."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		fmt.Fprintln(os.Stderr, "levelpeg: stopped before it served")
		return
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "levelpeg:", explain(err))
		os.Exit(1)
	}
}

// run does one command. It is main without the process around it, so that tests
// start the same application.
func run(ctx context.Context, args []string, out, errOut io.Writer) error {
	var c commands
	forgetEmpty()
	parser, err := kong.New(&c,
		kong.Name("levelpeg"),
		kong.Description("How deep, how fast and which rig, at every peg of the club's waters. Every flag can be set by the variable beside it."),
		kong.Vars{"data": private.DefaultDir()},
		rigVars(),
		kong.Writers(out, errOut),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.BindTo(out, (*io.Writer)(nil)),
	)
	if err != nil {
		return err
	}
	chosen, err := parser.Parse(args)
	if err != nil {
		return fmt.Errorf("%w (levelpeg --help tells what there is)", err)
	}
	return chosen.Run(c.logger(errOut))
}

// forgetEmpty takes a variable of ours that is set to nothing for one that is not set. A path
// of no letters would else be the folder the program was started in.
func forgetEmpty() {
	for _, v := range os.Environ() {
		if name, empty := strings.CutSuffix(v, "="); empty && strings.HasPrefix(name, "LEVELPEG_") {
			_ = os.Unsetenv(name) // fails only for a name that cannot be set either
		}
	}
}

// explain is what a person at the terminal is told: the sentence, and what lies
// behind it where that helps to mend it.
func explain(err error) string {
	var f *club.Fault
	if errors.As(err, &f) && f.Err != nil {
		return f.Say + "\n  " + f.Err.Error()
	}
	return err.Error()
}
