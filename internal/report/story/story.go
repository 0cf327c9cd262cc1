package story

import (
	"bytes"
	"strings"

	"github.com/microcosm-cc/bluemonday"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// Most is how many bytes of notes are turned; what lies beyond is cut off at a
// line. A book of notes is not a story.
const Most = 256 << 10

// maxNesting is how deep quotes and lists may nest. Deeper text is shown as it
// was typed.
const maxNesting = 30

var markdown = goldmark.New(
	goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(shown{}, 100))),
)

// allowed is what may be left in the end, whatever was written before.
var allowed = func() *bluemonday.Policy {
	p := bluemonday.NewPolicy()
	p.AllowElements("p", "h2", "h3", "h4", "h5", "h6", "em", "strong", "ul", "ol", "li", "blockquote", "code", "pre", "hr", "br")
	p.AllowAttrs("start").Matching(bluemonday.Integer).OnElements("ol")
	p.AllowAttrs("href").OnElements("a")
	p.AllowURLSchemes("http", "https", "mailto")
	p.RequireParseableURLs(true)
	p.AllowRelativeURLs(false)
	p.RequireNoFollowOnLinks(true)
	p.RequireNoReferrerOnLinks(true)
	return p
}()

// HTML turns Markdown into HTML whose highest headings are of order top, 2 to 6.
func HTML(notes string, top int) string {
	notes = cut(strings.ToValidUTF8(notes, "\uFFFD"))
	source := []byte(notes)
	if tangled(notes) {
		return allowed.Sanitize("<p>" + escape(notes) + "</p>")
	}
	doc := markdown.Parser().Parse(text.NewReader(source), parser.WithContext(parser.NewContext()))
	if depth(doc) > maxNesting {
		return allowed.Sanitize("<p>" + escape(notes) + "</p>")
	}
	tame(doc, source, min(6, max(2, top)))
	var b bytes.Buffer
	if err := markdown.Renderer().Render(&b, source, doc); err != nil {
		return "<p>" + escape(notes) + "</p>" // a buffer takes everything; kept as words all the same
	}
	return strings.TrimSpace(allowed.Sanitize(b.String()))
}

// How many opening brackets and marks of emphasis are looked at: the work grows
// with their square.
const maxBrackets, maxEmphasis = 2000, 6000

// tangled reports whether the marks of a text would cost more time to take apart
// than any notes are worth; it is then shown as it was typed.
func tangled(s string) bool {
	if strings.Count(s, "[") > maxBrackets || strings.Count(s, "*")+strings.Count(s, "_") > maxEmphasis {
		return true
	}
	for line := range strings.Lines(s) {
		marks := 0
		for _, r := range line {
			if strings.ContainsRune(">*+-", r) {
				marks++
			} else if !strings.ContainsRune(" \t0123456789.)", r) {
				break
			}
		}
		if marks > 2*maxNesting && strings.Trim(line, "-*+ \t\r\n") != "" { // a rule may be long
			return true
		}
	}
	return false
}

func cut(s string) string {
	if len(s) <= Most {
		return s
	}
	s = s[:Most]
	if i := strings.LastIndexByte(s, '\n'); i > 0 {
		s = s[:i]
	}
	return strings.ToValidUTF8(s, "")
}

// depth is how deep a document nests.
func depth(n ast.Node) int {
	most, at := 0, 0
	_ = ast.Walk(n, func(_ ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			at++
			most = max(most, at)
		} else {
			at--
		}
		return ast.WalkContinue, nil
	})
	return most
}

// tame puts headings below the page's, and takes out links that lead nowhere
// good, pictures, and headings and links without words.
func tame(doc ast.Node, source []byte, top int) {
	var nodes []ast.Node
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			nodes = append(nodes, n)
		}
		return ast.WalkContinue, nil
	})
	var open []int // the author's orders of the headings that are open
	for _, n := range nodes {
		switch n := n.(type) {
		case *ast.Heading:
			if strings.TrimSpace(words(n, source)) == "" {
				n.Parent().RemoveChild(n.Parent(), n)
				continue
			}
			for len(open) > 0 && open[len(open)-1] >= n.Level {
				open = open[:len(open)-1]
			}
			open = append(open, n.Level)
			n.Level = min(6, top+len(open)-1)
		case *ast.Image:
			unwrap(n)
		case *ast.Link:
			if !goes(string(n.Destination)) || strings.TrimSpace(words(n, source)) == "" {
				unwrap(n)
			}
			n.Title = nil
		}
	}
}

// unwrap puts the children of a node in its place.
func unwrap(n ast.Node) {
	parent := n.Parent()
	if parent == nil {
		return
	}
	for c := n.FirstChild(); c != nil; {
		next := c.NextSibling()
		parent.InsertBefore(parent, n, c)
		c = next
	}
	parent.RemoveChild(parent, n)
}

// goes reports whether an address may be a link.
func goes(to string) bool {
	to = strings.ToLower(strings.TrimSpace(to))
	for _, scheme := range []string{"http://", "https://", "mailto:"} {
		if strings.HasPrefix(to, scheme) && len(to) > len(scheme) {
			return true
		}
	}
	return false
}

// words is the text under a node.
func words(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			switch c := c.(type) {
			case *ast.Text:
				b.Write(c.Segment.Value(source))
			case *ast.String:
				b.Write(c.Value)
			case *ast.RawHTML:
				b.WriteString("<>")
			}
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}

func escape(s string) string { return string(util.EscapeHTML([]byte(s))) }

// shown writes typed HTML as text, and code without a class.
type shown struct{}

func (shown) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(ast.KindRawHTML, func(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			s := n.(*ast.RawHTML).Segments
			for i := range s.Len() {
				seg := s.At(i)
				_, _ = w.WriteString(escape(string(seg.Value(source))))
			}
		}
		return ast.WalkSkipChildren, nil
	})
	r.Register(ast.KindHTMLBlock, func(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		b := n.(*ast.HTMLBlock)
		var s strings.Builder
		for i := range b.Lines().Len() {
			line := b.Lines().At(i)
			s.Write(line.Value(source))
		}
		if b.HasClosure() {
			s.Write(b.ClosureLine.Value(source))
		}
		_, _ = w.WriteString("<p>" + escape(strings.TrimSpace(s.String())) + "</p>\n")
		return ast.WalkContinue, nil
	})
}

var _ renderer.NodeRenderer = shown{}
