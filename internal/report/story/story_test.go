package story

import (
	"regexp"
	"strings"
	"testing"
	"time"
)

func TestHTML(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, in, want string }{
		{"nothing", "", ""},
		{"blank", " \n\n", ""},
		{"words", "We cooked *six* set points.\nTwice.", "<p>We cooked <em>six</em> set points.\nTwice.</p>"},
		{"list", "1. a\n2. b", "<ol>\n<li>a</li>\n<li>b</li>\n</ol>"},
		{"list from 3", "3. a", "<ol start=\"3\">\n<li>a</li>\n</ol>"},
		{"demoted", "# One\n\n## Two\n\n# Three", "<h3>One</h3>\n<h4>Two</h4>\n<h3>Three</h3>"},
		{"no order is skipped", "### Deep\n\n##### Deeper\n\n# High", "<h3>Deep</h3>\n<h4>Deeper</h4>\n<h3>High</h3>"},
		{"no empty heading", "#\n\ntext", "<p>text</p>"},
		{"less than", "below 5 < 6 & more", "<p>below 5 &lt; 6 &amp; more</p>"},
		{"link", "[a](https://example.org/x?y=1&z=2)", `<p><a href="https://example.org/x?y=1&amp;z=2" rel="nofollow noreferrer">a</a></p>`},
		{"mail", "[a](mailto:cook@example.org)", `<p><a href="mailto:cook@example.org" rel="nofollow noreferrer">a</a></p>`},
		{"javascript", "[a *b*](javascript:alert(1))", "<p>a <em>b</em></p>"},
		{"javascript in capitals", "[a](JaVaScRiPt:alert(1))", "<p>a</p>"},
		{"javascript as entities", "[a](&#106;avascript:alert(1))", "<p>a</p>"},
		{"javascript over a tab", "[a](java&Tab;script:alert(1))", "<p>a</p>"},
		{"data", "[a](data:text/html,<script>alert(1)</script>)", "<p>a</p>"},
		{"vbscript", "[a](vbscript:x)", "<p>a</p>"},
		{"file", "[a](file:///etc/passwd)", "<p>a</p>"},
		{"relative", "[a](../b.html)", "<p>a</p>"},
		{"reference", "[a]\n\n[a]: javascript:alert(1)", "<p>a</p>"},
		{"link without words", "[](https://example.org)", ""},
		{"link around a picture", "[![cat](x.png)](https://example.org)", `<p><a href="https://example.org" rel="nofollow noreferrer">cat</a></p>`},
		{"picture", "![a *cat*](https://example.org/cat.png \"t\")", "<p>a <em>cat</em></p>"},
		{"picture without words", "a ![](x.png) b", "<p>a  b</p>"},
		{"typed HTML", "a <b onclick=x>b</b>", "<p>a &lt;b onclick=x&gt;b&lt;/b&gt;</p>"},
		{"script", "<script>alert(1)</script>", "<p>&lt;script&gt;alert(1)&lt;/script&gt;</p>"},
		{"autolink", "<https://example.org>", `<p><a href="https://example.org" rel="nofollow noreferrer">https://example.org</a></p>`},
		{"autolink of a script", "<javascript:alert(1)>", "<p>javascript:alert(1)</p>"},
		{"code", "```js\"><script>\n<b>\n```", "<pre><code>&lt;b&gt;\n</code></pre>"},
		{"comment", "<!-- x -->", "<p>&lt;!-- x --&gt;</p>"},
	} {
		if got := HTML(c.in, 3); strip(got) != strip(c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// strip levels what does not matter: an empty paragraph, and how a quotation
// mark is escaped.
func strip(s string) string {
	return strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(s, "<p></p>", ""), "&#34;", "&quot;"))
}

var (
	tag  = regexp.MustCompile(`<[^>]*>`)
	fine = regexp.MustCompile(`^<(/?(p|h[2-6]|em|strong|ul|ol|li|blockquote|code|pre|hr|br|a)|hr/|br/|ol start="\d+"|a href="(https?://|mailto:)[^"<>]*" rel="nofollow noreferrer")>$`)
)

// inert holds a result against the list of what may be in it.
func inert(t *testing.T, in, out string) {
	t.Helper()
	for _, g := range tag.FindAllString(out, -1) {
		if !fine.MatchString(g) {
			t.Fatalf("%q lets %s through: %s", in, g, out)
		}
	}
	if rest := tag.ReplaceAllString(out, ""); strings.ContainsAny(rest, "<>") {
		t.Fatalf("%q leaves a bracket: %s", in, out)
	}
}

func TestSizes(t *testing.T) {
	t.Parallel()
	start := time.Now()
	for _, in := range []string{
		strings.Repeat(">", 200_000), strings.Repeat("* ", 60_000) + "a", strings.Repeat("[", 50_000) + strings.Repeat("](", 50_000),
		strings.Repeat("> ", 40) + "a", strings.Repeat("[", 2000), strings.Repeat("*", 200_000), strings.Repeat("*a_", 20_000), strings.Repeat("`", 100_000),
		strings.Repeat("a **b ", 4000), strings.Repeat("<", 5000), strings.Repeat("line\n", 40_000), "\xff\xfe\x00a", "a\x00b",
	} {
		out := HTML(in, 3)
		inert(t, in[:min(20, len(in))], out)
		if len(out) > 6*Most {
			t.Errorf("%d bytes become %d", len(in), len(out))
		}
	}
	if d := time.Since(start); d > 10*time.Second {
		t.Errorf("it took %v", d)
	}
}

func FuzzHTML(f *testing.F) {
	for _, s := range []string{"# a\n\n[b](javascript:c)", "<a href='x'>", "![a](b)", "&lt;script&gt;", "[a](<https://x\"onclick=y>)", "`` ` ``", "[a]: https://x '\">'\n\n[a]"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		if len(in) > 10_000 {
			return
		}
		out := HTML(in, 3)
		inert(t, in, out)
		if out != HTML(in, 3) {
			t.Fatal("not the same twice")
		}
	})
}
