// Package markdown turns what members write into HTML that is safe in any of our pages.
//
// goldmark reads the Markdown (CommonMark 0.31) without its parsers of raw HTML, so that
// a < is only ever text; and the HTML is written here, from a list of what may stand in
// it, rather than by goldmark and then cleaned: nothing can come through that is not on
// the list, and no second reading of the HTML can differ from the browser's.
package markdown

import "strings"

// Plain says whether text reads the same with its Markdown or without: one line, with no
// sign in it that could be markup.
func Plain(text string) bool {
	return !strings.ContainsAny(text, "\n\t\\`*_[]<>&#!~|") && !listLike(text)
}

// listLike says whether text begins as a list's line, a rule or an indented block does.
func listLike(text string) bool {
	rest := strings.TrimLeft(text, "0123456789")
	if len(rest) < len(text) {
		return strings.HasPrefix(rest, ".") || strings.HasPrefix(rest, ")")
	}
	return text != "" && strings.ContainsAny(text[:1], "-+= ")
}
