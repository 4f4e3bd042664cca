package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/url"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/handlers/secret"
)

// memberCmd is for a club nobody of which can sign in yet, or any more.
type memberCmd struct {
	Link memberLinkCmd `cmd:"" help:"Print a one-time link that makes the first secretary, while the club has none who can sign in; of the made-up club, links to try it by."`
}

type memberLinkCmd struct {
	database
	Address string `help:"Where people reach the server, such as https://waters.example." default:"http://127.0.0.1:8080" env:"LEVELPEG_ADDRESS" placeholder:"URL"`
}

func (c memberLinkCmd) Run(ctx context.Context, log *slog.Logger, out io.Writer) error {
	if err := checkAddress(c.Address); err != nil {
		return err
	}
	o, err := c.openBeside(ctx, log)
	if err != nil {
		return err
	}
	defer o.close()
	if err := db.CheckSchema(ctx, o.url); err != nil {
		return err
	}
	book, err := db.Open(ctx, o.url, db.Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer book.Close()
	origin := strings.TrimSuffix(c.Address, "/")
	state, err := book.State(ctx)
	switch {
	case err != nil:
		return err
	case state.Demo:
		return tryLinks(ctx, book, origin, out)
	}
	return firstLink(ctx, book, origin, out)
}

// waysIn prints what lets somebody in who has no other way: of a club without a secretary
// the link for the first, of the made-up club links to try it by. Of any other club it
// prints nothing.
func waysIn(ctx context.Context, book *db.DB, origin string, out io.Writer) error {
	state, err := book.State(ctx)
	if err != nil {
		return err
	}
	if state.Demo {
		return tryLinks(ctx, book, origin, out)
	}
	err = firstLink(ctx, book, origin, out)
	if club.KindOf(err) == club.Conflict {
		return nil // there is a secretary
	}
	return err
}

func firstLink(ctx context.Context, book *db.DB, origin string, out io.Writer) error {
	token, hash := secret.NewToken()
	if err := book.FirstLink(ctx, hash, time.Now()); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "The club has no secretary yet. Open this link once, within %d days, to be the first:\n  %s/join/%s\n", int(club.InviteFirst.For().Hours()/24), origin, token)
	return err
}

// tried are the roles of the made-up club that one can try.
var tried = []club.Role{club.Bailiff, club.Secretary}

func tryLinks(ctx context.Context, book *db.DB, origin string, out io.Writer) error {
	for _, role := range tried {
		token, hash := secret.NewToken()
		name, err := book.TryLink(ctx, hash, role, time.Now())
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(out, "To try the made-up club as its %s, %s, open this link once:\n  %s/join/%s\n", role, name, origin, token); err != nil {
			return err
		}
	}
	return nil
}

// checkAddress refuses an address that no link can begin with.
func checkAddress(address string) error {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" || u.User != nil {
		return club.Faultf(club.Invalid, "“%s” is not an address such as https://waters.example.", address)
	}
	return nil
}
