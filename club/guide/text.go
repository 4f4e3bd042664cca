package guide

import (
	"fmt"
	"strings"
)

// Text is a guide as plain text, without its drawings.
func (g *Guide) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s\n", strings.ToUpper(g.Name), g.For)
	part := ""
	for i := range g.Steps {
		s := &g.Steps[i]
		if s.Part != part {
			part = s.Part
			fmt.Fprintf(&b, "\n%s\n", strings.ToUpper(part))
		}
		fmt.Fprintf(&b, "\n%d. %s\n", i+1, s.Title)
		for _, d := range s.Do {
			fmt.Fprintf(&b, "   %s\n", d)
		}
		for _, l := range s.List {
			fmt.Fprintf(&b, "   - %s\n", l)
		}
		fmt.Fprintf(&b, "   Why? %s\n", s.Why)
		if s.Hands != "" {
			fmt.Fprintf(&b, "   By hand: %s\n", s.Hands)
		}
		fmt.Fprintf(&b, "   Done when: %s\n", s.Done)
	}
	return b.String()
}
