package club

import (
	"net/url"
	"strings"
	"unicode/utf8"
)

// tilesMost is how long the address of tiles, or their credit, may be in signs.
const tilesMost = 400

// tileHolder stands for {s} while an address is looked at: an address may begin with it.
const tileHolder = "tile-s"

// Checked is the address in order: of https, http or this server, with {z}, {x} and {y}
// in its path, and {s} at most as the first part of its name.
func (t Tiles) Checked() (Tiles, error) {
	t.Address, t.Credit = strings.TrimSpace(t.Address), oneLine(t.Credit)
	if utf8.RuneCountInString(t.Credit) > tilesMost || len(t.Address) > tilesMost {
		return t, bad("The address of the map's tiles and their credit are at most %d signs long.", tilesMost)
	}
	if t.Address == "" {
		return t, nil
	}
	for _, part := range []string{"{z}", "{x}", "{y}"} {
		if !strings.Contains(t.Address, part) {
			return t, bad("The address of the map's tiles has {z}, {x} and {y} in it, such as https://tiles.example/{z}/{x}/{y}.png.")
		}
	}
	if _, err := t.origin(); err != nil {
		return t, err
	}
	return t, nil
}

// Origin is where the tiles come from, as a content policy names it: “https://*.tiles.example”.
// It is empty for tiles of this server's own and for none.
func (t Tiles) Origin() string {
	origin, err := t.origin()
	if err != nil {
		return "" // an address that is not in order brings no tiles
	}
	return origin
}

func (t Tiles) origin() (string, error) {
	if t.Address == "" || strings.HasPrefix(t.Address, "/") && !strings.HasPrefix(t.Address, "//") {
		return "", nil
	}
	plain := strings.NewReplacer("{z}", "0", "{x}", "0", "{y}", "0", "{r}", "", "{s}", tileHolder).Replace(t.Address)
	u, err := url.Parse(plain)
	wrong := bad("That is not an address tiles can come from. Write it like https://tiles.example/{z}/{x}/{y}.png.")
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil || strings.ContainsAny(plain, " \t\r\n\"'<>\\{};,") {
		return "", wrong
	}
	host, wild := strings.CutPrefix(u.Host, tileHolder+".")
	if strings.Contains(host, tileHolder) || strings.ContainsAny(host, "*") || host == "" {
		return "", wrong
	}
	if wild {
		host = "*." + host
	}
	return u.Scheme + "://" + host, nil
}
