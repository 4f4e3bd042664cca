package handlers

import (
	"net/http"

	"levelpeg/club"
)

// RouteLine is a line of the table of routes.
type RouteLine struct {
	Method, Pattern string
	Visitors        bool
	Roles           []club.Role
}

// Routes is the table of routes, for tests that walk it.
func Routes() []RouteLine {
	var out []RouteLine
	for _, r := range (&server{}).table() {
		out = append(out, RouteLine{r.method, r.pattern, r.who.visitors, r.who.roles})
	}
	return out
}

// NobodyMay says whether a route that names nobody lets a role in.
func NobodyMay(r club.Role) bool { return who{}.may(r) }

// Device and Local are device and local.
var (
	Device = device
	Local  = local
)

// Squeezed is how every answer goes over the wire.
func Squeezed(next http.HandlerFunc) http.Handler { return compressed(next) }
