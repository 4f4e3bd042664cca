package parse

import (
	"errors"
	"net/url"
	"regexp"

	"levelpeg/club"
)

// pegLabel is what a post may say.
var pegLabel = regexp.MustCompile(`^[0-9A-Za-z]{1,8}$`)

// Section reads the pegs that may be drawn, a query's "from" and "to"; empty where it
// has none.
func Section(q url.Values) (from, to string, err error) {
	from, badFrom := label(q, "from")
	to, badTo := label(q, "to")
	return from, to, errors.Join(badFrom, badTo)
}

func label(q url.Values, name string) (string, error) {
	text := said(q, name)
	if text != "" && !pegLabel.MatchString(text) {
		return "", club.Faultf(club.Invalid, "“%s” is not a peg: write what its post says, such as 14.", short(text))
	}
	return text, nil
}

// Tie reads how many rigs somebody will tie, a query's "most"; 0 where it has none.
func Tie(q url.Values) (int, error) {
	n, err := whole(q, "most", "a number of rigs")
	if err != nil || n == nil {
		return 0, err
	}
	if *n < club.TieLeast || *n > club.TieMost {
		return 0, club.Faultf(club.Invalid, "Say how many rigs you will tie, from %d to %d.", club.TieLeast, club.TieMost)
	}
	return *n, nil
}
