package browsertest

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// The ears of TestQuiet work: a picture from elsewhere is heard, with the
// policy as a refusal and without it as a request; so is a script.
func TestQuietCanFail(t *testing.T) {
	src, err := os.ReadFile(golden("trout"))
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(string) string{
		"policy": func(s string) string {
			return strings.Replace(s, "<main>", `<img src="http://127.0.0.1:9/x.png" alt=""><main>`, 1)
		},
		"no policy": func(s string) string {
			s = regexp.MustCompile(`<meta http-equiv[^>]*>`).ReplaceAllString(s, "")
			return strings.Replace(s, "<main>", `<img src="http://127.0.0.1:9/x.png" alt=""><main>`, 1)
		},
		"script": func(s string) string {
			return strings.Replace(s, "<main>", `<script>document.title="x"</script><main>`, 1)
		},
	} {
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, []byte(change(string(src))), 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, file, view{})
		if strays, messages := b.heard(); len(strays)+len(messages) == 0 {
			t.Errorf("%s: nothing was heard", name)
		}
	}
}

// The first screen of a phone holds the answer, who may eat it, and the doubt.
func TestFirstScreen(t *testing.T) {
	for _, name := range []string{"pollack", "trout"} {
		b := open(t, golden(name), view{width: 360, height: 640})
		for _, part := range []string{".answer", ".safety", "#sure p"} {
			bottom := ask[float64](b, `document.querySelector('`+part+`').getBoundingClientRect().bottom`)
			if bottom <= 0 || bottom > 640 {
				t.Errorf("%s: %s ends at %.0f of 640", name, part, bottom)
			}
		}
	}
}

// contrasts lists text whose contrast to the ground is below 4.5 (WCAG 2.2,
// 1.4.3), as the browser computes its colours.
const contrasts = `(() => {
	const rgb = s => (s.match(/[\d.]+/g) || [0, 0, 0]).map(Number);
	const lin = v => (v /= 255) <= 0.04045 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4);
	const lum = c => 0.2126 * lin(c[0]) + 0.7152 * lin(c[1]) + 0.0722 * lin(c[2]);
	const ground = lum(rgb(getComputedStyle(document.body).backgroundColor));
	return [...document.querySelectorAll('body *')].filter(e => (e.checkVisibility() && e.getClientRects().length > 0) && !e.closest('.quiet, .skip, .fields') &&
			[...e.childNodes].some(n => n.nodeType == 3 && n.textContent.trim()))
		.map(e => [e, lum(rgb(e.namespaceURI.endsWith('svg') ? getComputedStyle(e).fill : getComputedStyle(e).color))])
		.map(([e, l]) => [e, (Math.max(l, ground) + 0.05) / (Math.min(l, ground) + 0.05)])
		.filter(([e, c]) => c < 4.5).map(([e, c]) => c.toFixed(2) + ' ' + e.textContent.trim().slice(0, 40));
})()`

func TestContrast(t *testing.T) {
	b := open(t, golden("pollack"), view{})
	for _, dark := range []bool{false, true} {
		b.look(view{dark: dark})
		for _, width := range []int64{360, 1000} {
			b.size(width, 800)
			if low := ask[[]string](b, contrasts); len(low) > 0 {
				t.Errorf("dark %v, %d px: %q", dark, width, low)
			}
		}
	}
	const ground = `getComputedStyle(document.body).backgroundColor`
	dark := ask[string](b, ground)
	b.look(view{})
	if light := ask[string](b, ground); light == dark {
		t.Errorf("light and dark stand on the same ground, %s", light)
	}
	// The measure itself: grey on the light ground is found.
	ask[any](b, `document.querySelector('.answer').style.color = '#999', 1`)
	if low := ask[[]string](b, contrasts); len(low) == 0 {
		t.Error("grey text was not found")
	}
}

// Without a script, by keyboard: Tab reaches the unit buttons, an arrow chooses
// °F, and every temperature of the page follows.
func TestUnitsByKeyboard(t *testing.T) {
	b := open(t, golden("pollack"), view{noScript: true})
	shown := func() string { return strings.Replace(ask[string](b, shownWords), "°C °F", "", 1) } // less the buttons
	if s := shown(); !strings.Contains(s, "51.5 °C, dry-brined") || strings.Contains(strings.ReplaceAll(s, "44 to 60 °C", ""), "°F") {
		t.Errorf("at first: %s", s)
	}
	reached := false
	for range 6 {
		b.do(chromedp.KeyEvent(kb.Tab))
		if ask[string](b, `document.activeElement.id`) == "unit-c" {
			reached = true
			break
		}
	}
	if !reached {
		t.Fatal("Tab does not reach the unit buttons")
	}
	if w := ask[string](b, `getComputedStyle(document.activeElement.nextSibling).outlineStyle`); w == "none" {
		t.Error("the focus does not show")
	}
	b.do(chromedp.KeyEvent(kb.ArrowRight))
	s := shown()
	// The title is the author's own text and keeps its unit.
	if !strings.Contains(s, "125 °F, dry-brined") || strings.Contains(strings.ReplaceAll(s, "44 to 60 °C", ""), "°C") {
		t.Errorf("after the arrow: %s", s)
	}
	ticks := ask[string](b, `[...document.querySelectorAll('svg text')].filter(e => (e.checkVisibility() && e.getClientRects().length > 0)).map(e => e.textContent).join('|')`)
	if !strings.Contains(ticks, "Set point, °F") || strings.Contains(ticks, "°C") {
		t.Errorf("the figures show %s", ticks)
	}
	b.do(chromedp.KeyEvent(kb.ArrowLeft))
	if s := shown(); !strings.Contains(s, "51.5 °C, dry-brined") {
		t.Errorf("and back: %s", s)
	}
}

// Hostile words are text: they made no element, ran nothing, and the words
// after them still read from left to right.
func TestHostileWords(t *testing.T) {
	b := open(t, golden("hostile"), view{})
	if n := ask[int64](b, `document.querySelectorAll('script, img, iframe').length`); n != 0 {
		t.Errorf("%d elements came out of words", n)
	}
	if s := ask[string](b, `document.querySelector('h1').textContent`); !strings.Contains(s, "</script></title></style><script>alert(1)</script>") {
		t.Errorf("the title shows %q", s)
	}
	if s := ask[string](b, `document.title`); !strings.Contains(s, "<script>") {
		t.Errorf("the title of the window is %q", s)
	}
	if ask[bool](b, `/[\u202a-\u202e\u2066-\u2069]/.test(document.documentElement.outerHTML)`) {
		t.Error("a mark that overrides direction is on the page")
	}
}

// One sheet of A4 or Letter holds the kitchen page, on white also where the
// screen is dark.
func TestPrint(t *testing.T) {
	leaves := regexp.MustCompile(`/Type\s*/Page\b[^s]`)
	for _, name := range []string{"pollack", "trout"} {
		b := open(t, golden(name), view{dark: true})
		for paper, size := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
			pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize()))
			if err != nil {
				t.Fatal(err)
			}
			if n := len(leaves.FindAll(pdf, -1)); n != 1 {
				t.Errorf("%s takes %d sheets of %s", name, n, paper)
			}
		}
	}
	// The count itself: the same page in large print takes more.
	b := open(t, golden("pollack"), view{})
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA5)))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(leaves.FindAll(pdf, -1)); n < 2 {
		t.Errorf("A5 takes %d sheets", n)
	}

	dark := open(t, golden("pollack"), view{width: 690, height: 980, dark: true, print: true})
	if c := ask[string](dark, `getComputedStyle(document.body).backgroundColor`); c != "rgb(255, 255, 255)" {
		t.Errorf("a dark screen prints on %s", c)
	}
	if low := ask[[]string](dark, contrasts); len(low) > 0 {
		t.Errorf("a dark screen prints faintly: %q", low)
	}
	// 1 px is 0.75 pt in print.
	tiny := ask[[]string](dark, `[...document.querySelectorAll('body *')].filter(e => (e.checkVisibility() && e.getClientRects().length > 0) && !e.closest('.quiet, .skip, .fields') &&
			[...e.childNodes].some(n => n.nodeType == 3 && n.textContent.trim()))
		.filter(e => { const s = e.ownerSVGElement;
			const px = s ? parseFloat(e.getAttribute('font-size')) * s.getBoundingClientRect().width / s.viewBox.baseVal.width : parseFloat(getComputedStyle(e).fontSize);
			return px * 0.75 < 8 }).map(e => e.textContent.slice(0, 40))`)
	if len(tiny) > 0 {
		t.Errorf("smaller than 8 pt on paper: %q", tiny)
	}
}

// What a screen reader meets: names for the buttons, the pictures and the
// tables, one heading of the first order, no order skipped.
func TestScreenReader(t *testing.T) {
	b := open(t, golden("pollack"), view{})
	tree, err := chromedp.Call(b.ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		t.Fatal(err)
	}
	text := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		return strings.Trim(string(v.Value), `"`)
	}
	count := map[string]int{}
	for _, n := range tree.Nodes {
		role := text(n.Role)
		if n.Ignored {
			continue
		}
		switch role {
		case "image", "img", "radio", "table", "link", "region", "note", "heading":
			count[role]++
			if text(n.Name) == "" {
				t.Errorf("a %s has no name", role)
			}
		}
	}
	if count["image"]+count["img"] != 2 || count["radio"] != 2 || count["table"] < 1 || count["note"] != 1 {
		t.Errorf("found %v", count)
	}
	levels := ask[string](b, `[...document.querySelectorAll('h1,h2,h3,h4')].map(e => e.tagName[1]).join('')`)
	if !strings.HasPrefix(levels, "1") || strings.Count(levels, "1") != 1 || strings.Trim(levels, "12") != "" {
		t.Errorf("headings %s", levels)
	}
	if size := ask[float64](b, `Math.min(...[...document.querySelectorAll('.unit')].flatMap(e => { const r = e.getBoundingClientRect(); return [r.width, r.height] }))`); size < 44 {
		t.Errorf("a unit button of %.0f px", size)
	}
}
