//go:build !js

package markdown

import (
	"bytes"
	"net/url"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

var reader = parser.NewParser(
	parser.WithBlockParsers(
		util.Prioritized(parser.NewSetextHeadingParser(), 100),
		util.Prioritized(parser.NewThematicBreakParser(), 200),
		util.Prioritized(parser.NewListParser(), 300),
		util.Prioritized(parser.NewListItemParser(), 400),
		util.Prioritized(parser.NewCodeBlockParser(), 500),
		util.Prioritized(parser.NewATXHeadingParser(), 600),
		util.Prioritized(parser.NewFencedCodeBlockParser(), 700),
		util.Prioritized(parser.NewBlockquoteParser(), 800),
		util.Prioritized(parser.NewParagraphParser(), 1000)),
	parser.WithInlineParsers(
		util.Prioritized(parser.NewCodeSpanParser(), 100),
		util.Prioritized(parser.NewLinkParser(), 200),
		util.Prioritized(parser.NewAutoLinkParser(), 300),
		util.Prioritized(parser.NewEmphasisParser(), 500)),
	parser.WithParagraphTransformers(parser.DefaultParagraphTransformers()...),
)

// HTML is Markdown as HTML: paragraphs, line breaks where the writer broke a line, lists,
// quotations, code, emphasis, and links to pages by http, https or on this server. A
// heading is a strong line, for the page has headings of its own. A picture is its words.
func HTML(source string) string {
	if source == "" {
		return ""
	}
	src := []byte(source)
	w := writer{source: src}
	w.children(reader.Parse(text.NewReader(src)), 0)
	return w.out.String()
}

// deepest is how many lists and quotations may stand in each other; what is deeper is
// written without its own marks.
const deepest = 6

type writer struct {
	out    buffer
	source []byte
	inLink bool
}

func (w *writer) children(n ast.Node, depth int) {
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		w.node(c, depth)
	}
}

// in writes a node's children in an element.
func (w *writer) in(tag string, n ast.Node, depth int) {
	w.out.WriteString("<" + tag + ">")
	w.children(n, depth)
	w.out.WriteString("</" + tag + ">")
}

// node writes what is known, and of all else only what is in it.
func (w *writer) node(n ast.Node, depth int) {
	switch n := n.(type) {
	case *ast.Paragraph:
		w.in("p", n, depth)
	case *ast.Heading:
		w.out.WriteString("<p>")
		w.in("strong", n, depth)
		w.out.WriteString("</p>")
	case *ast.TextBlock:
		w.children(n, depth)
	case *ast.List:
		w.list(n, depth)
	case *ast.Blockquote:
		w.nested("blockquote", n, depth)
	case *ast.CodeBlock, *ast.FencedCodeBlock:
		w.code(n)
	case *ast.ThematicBreak:
		w.out.WriteString("<hr>")
	case *ast.Emphasis:
		w.in(map[bool]string{true: "strong", false: "em"}[n.Level > 1], n, depth)
	case *ast.CodeSpan:
		w.in("code", n, depth)
	case *ast.Link:
		to := util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(n.Destination)))
		w.link(string(to), func() { w.children(n, depth) })
	case *ast.AutoLink:
		to := string(n.URL(w.source))
		if n.AutoLinkType == ast.AutoLinkEmail {
			to = "" // nobody's address for the harvesting
		}
		w.link(to, func() { html.DefaultWriter.RawWrite(&w.out, n.Label(w.source)) })
	case *ast.Text:
		w.text(n)
	case *ast.String:
		html.DefaultWriter.RawWrite(&w.out, n.Value)
	default:
		w.children(n, depth)
	}
}

// nested writes an element that may stand in itself.
func (w *writer) nested(tag string, n ast.Node, depth int) {
	if depth >= deepest {
		w.children(n, depth)
		return
	}
	w.in(tag, n, depth+1)
}

func (w *writer) list(n *ast.List, depth int) {
	if depth >= deepest {
		for item := n.FirstChild(); item != nil; item = item.NextSibling() {
			w.children(item, depth)
		}
		return
	}
	tag := "ul"
	if n.IsOrdered() {
		tag = "ol"
	}
	w.out.WriteString("<" + tag + ">")
	for item := n.FirstChild(); item != nil; item = item.NextSibling() {
		w.in("li", item, depth+1)
	}
	w.out.WriteString("</" + tag + ">")
}

func (w *writer) code(n ast.Node) {
	w.out.WriteString("<pre><code>")
	for i := range n.Lines().Len() {
		line := n.Lines().At(i)
		html.DefaultWriter.RawWrite(&w.out, line.Value(w.source))
	}
	w.out.WriteString("</code></pre>")
}

func (w *writer) text(n *ast.Text) {
	value := n.Segment.Value(w.source)
	if n.IsRaw() {
		html.DefaultWriter.RawWrite(&w.out, value)
		return
	}
	html.DefaultWriter.Write(&w.out, value)
	if n.HardLineBreak() || n.SoftLineBreak() {
		w.out.WriteString("<br>")
	}
}

// link writes a link where it may lead, and else its words alone. Links do not stand in
// each other.
func (w *writer) link(to string, words func()) {
	if w.inLink || !allowed(to) {
		words()
		return
	}
	w.inLink = true
	w.out.WriteString(`<a href="`)
	w.out.Write(util.EscapeHTML(util.URLEscape([]byte(to), false)))
	w.out.WriteString(`" rel="nofollow noopener">`)
	words()
	w.out.WriteString("</a>")
	w.inLink = false
}

// allowed says whether an address is of http or https with a host, or on this server. A
// browser takes a \ for a /, and leaves out spaces, tabs and breaks; no address needs them.
func allowed(to string) bool {
	if to == "" || strings.ContainsFunc(to, func(r rune) bool { return r <= ' ' || r == '\\' || r == 0x7f }) {
		return false
	}
	u, err := url.Parse(to)
	if err != nil || u.User != nil || u.Opaque != "" {
		return false
	}
	switch u.Scheme {
	case "http", "https":
		return u.Host != ""
	case "":
		return u.Host == "" && !strings.HasPrefix(to, "//")
	}
	return false
}

// buffer is bytes.Buffer as goldmark wants to write to it.
type buffer struct{ bytes.Buffer }

func (b *buffer) Flush() error  { return nil }
func (b *buffer) Buffered() int { return 0 }
