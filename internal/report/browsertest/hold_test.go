package browsertest

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
)

var shots = flag.String("shots", "", "write pictures of every page that is held to this folder, to be looked at")

// hold holds a page against everything that every page must do, at its sizes,
// in both colour schemes, with and without scripts, on screen and paper. name
// goes into the messages and the names of the pictures of -shots.
//
// A page that carries live charts is held on a screen with them, and is right
// without them.
func hold(t *testing.T, name string, page []byte) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o666); err != nil {
		t.Fatal(err)
	}
	in := <-idle
	defer func() { idle <- in }()
	b := openIn(t, in, file, view{})
	b.isQuiet(name)
	for _, width := range []int64{320, 360, 560, 768, 1000, 1600} {
		b.size(width, 700)
		b.settle()
		b.fits(name, width)
		if width >= 360 {
			b.figuresRead(name, width)
		}
	}
	// Where every figure is the picture: a chart has the same words in its own order.
	b.size(340, 800)
	b.settle()
	with := ask[string](b, shownWords)

	// What follows needs less of the page: the rows of a table are alike.
	ask[any](b, `document.querySelectorAll('tbody tr:nth-child(n+7)').forEach(e => e.remove()), 1`)
	for _, dark := range []bool{false, true} {
		b.look(view{dark: dark})
		for _, width := range []int64{360, 1000} {
			b.size(width, 800)
			b.settle()
			if low := ask[[]string](b, contrasts); len(low) > 0 {
				t.Errorf("%s, dark %v, %d px: contrast %q", name, dark, width, low)
			}
		}
	}
	b.printsWhole(name)
	// To a screen reader a picture is one thing, and more rows are more of the same.
	ask[any](b, `document.querySelectorAll('svg[role=img] > :not(title, desc), tbody tr:nth-child(n+4):not(:last-child)').forEach(e => e.remove()), 1`)
	b.size(360, 800)
	b.settle()
	b.accessible(name, false, 360, rules)
	b.look(view{dark: true})
	b.size(1000, 800)
	b.settle()
	b.accessible(name, true, 1000, rulesOfColour)
	b.isQuiet(name) // still
	b.close()

	plain := openIn(t, in, file, view{noScript: true})
	plain.figuresRead(name+" without scripts", 1000)
	for _, dark := range []bool{true, false} {
		plain.look(view{dark: dark})
		if low := ask[[]string](plain, contrasts); len(low) > 0 {
			t.Errorf("%s without scripts, dark %v: contrast %q", name, dark, low)
		}
	}
	plain.size(340, 800)
	if without := ask[string](plain, shownWords); with != without || len(with) < 100 {
		t.Errorf("%s reads differently without scripts", name)
	}
	plain.inFahrenheit(name)
	plain.isQuiet(name)
	plain.close()
	if *shots != "" {
		photograph(t, name, file)
	}
}

// inFahrenheit: the reader's choice of °F changes every temperature of the page
// but those in the author's own words, without a script, and nothing gets too
// wide for it.
func (b *tab) inFahrenheit(name string) {
	b.t.Helper()
	if !ask[bool](b, `!!document.getElementById('unit-f')`) {
		return // nothing to choose
	}
	ask[any](b, `document.getElementById('unit-f').checked = true, 1`)
	if left := ask[[]string](b, `[...document.querySelectorAll('main .c')].filter(e => e.checkVisibility() && e.getClientRects().length).map(e => e.textContent.slice(0, 40))`); len(left) > 0 {
		b.t.Errorf("%s in °F still shows %q", name, left)
	}
	own := ask[[]string](b, `(() => {
		const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), out = [], title = document.querySelector('h1').textContent.replaceAll('\u00a0', ' ');
		for (let n; n = walk.nextNode();) {
			const e = n.parentElement;
			// The title is the author's own, and data are kept in °C.
			const said = n.data.replaceAll('\u00a0', ' ').replace(title, '').replace('temperatures are in °C', '');
			if (said.includes('°C') && e.checkVisibility() && e.getClientRects().length && !e.closest('bdi, [dir=auto], label, script, code, a[download], table, .wide-table')) out.push(n.data.trim().slice(0, 60));
		}
		return out; })()`)
	if len(own) > 0 {
		b.t.Errorf("%s in °F says %q", name, own)
	}
	b.size(360, 700)
	b.fits(name+" in °F", 360)
	b.figuresRead(name+" in °F", 360)
}

// settle waits until the page has drawn what a change asked for. Only the tab
// that was opened last draws; another one is waited for in vain, for a second.
func (b *tab) settle() {
	b.t.Helper()
	if b.noScript {
		return // nothing is drawn later, and no promise is ever kept
	}
	if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](
		`new Promise(r => { requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(() => r(true)))); setTimeout(() => r(false), 1000) })`, chromedp.EvalAwaitPromise)); err != nil {
		b.t.Fatal(err)
	}
}

// isQuiet: nothing was asked for, nothing was complained about.
func (b *tab) isQuiet(name string) {
	b.t.Helper()
	if strays, messages := b.heard(); len(strays)+len(messages) > 0 {
		b.t.Errorf("%s: requests %q, messages %q", name, strays, messages)
	}
	if len(b.requests) == 0 {
		b.t.Errorf("%s: not even the page was seen to be requested", name)
	}
}

// fits: nothing sticks out sideways.
func (b *tab) fits(name string, width int64) {
	b.t.Helper()
	if w := ask[int64](b, `document.documentElement.scrollWidth`); w > width {
		b.t.Errorf("%s is %d px wide on %d px", name, w, width)
	}
	out := ask[[]string](b, `[...document.querySelectorAll('main *')].filter(e => !e.closest('.wide-table, .nt, .quiet, svg'))
		.filter(e => { const r = e.getBoundingClientRect(); return r.width > 1 && (r.right > innerWidth + 0.5 || r.left < -0.5) })
		.map(e => e.tagName + ' ' + e.textContent.slice(0, 40))`)
	if len(out) > 0 {
		b.t.Errorf("%s at %d px: outside: %q", name, width, out)
	}
}

// figuresRead: each figure shows one picture, whose words are at least 12 px
// and inside it; below by 3 px, as letters from another font reach lower.
func (b *tab) figuresRead(name string, width int64) {
	b.t.Helper()
	small := ask[[]string](b, `[...document.querySelectorAll('figure svg text')].filter(e => (e.checkVisibility() && e.getClientRects().length > 0) && e.textContent)
		.filter(e => { const s = e.ownerSVGElement, box = s.viewBox.baseVal, k = box && box.width ? s.getBoundingClientRect().width / box.width : 1;
			const r = e.getBoundingClientRect(), o = s.getBoundingClientRect();
			return parseFloat(getComputedStyle(e).fontSize) * k < 11.99 || r.left < o.left - 1 || r.right > o.right + 1 || r.bottom > o.bottom + 3 })
		.map(e => { const r = e.getBoundingClientRect(), o = e.ownerSVGElement.getBoundingClientRect(); return e.textContent + ' ' + [getComputedStyle(e).fontSize, r.left - o.left, r.right - o.right, r.bottom - o.bottom].join(' ') })`)
	if len(small) > 0 {
		b.t.Errorf("%s at %d px: too small or outside: %q", name, width, small)
	}
	if n := ask[int64](b, `[...document.querySelectorAll('figure')].filter(f => f.querySelector('.still') && [...f.querySelectorAll('svg')].filter(s => (s.checkVisibility() && s.getClientRects().length > 0)).length != 1).length`); n != 0 {
		b.t.Errorf("%s at %d px: %d figures do not show exactly one picture", name, width, n)
	}
}

// shownWords is an expression: what a reader sees of the page, in order, less the buttons that scripts add.
// innerText would count words of pictures that are not shown.
const shownWords = `(() => {
	const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), out = [];
	for (let n; n = walk.nextNode();)
		if (n.parentElement.checkVisibility() && n.parentElement.getClientRects().length && !n.parentElement.closest('script, button.save')) out.push(n.data);
	return out.join('').replace(/\s+/g, ' ');
})()`

// rules are the tags of axe-core that a page is held against.
const rules = `['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']`

// rulesOfColour are those of them that a colour scheme can break.
const rulesOfColour = `['cat.color']`

// axe is the accessibility checker, which npm installs by the manifest in axe/.
var axe = sync.OnceValues(func() (string, error) {
	path := filepath.Join("axe", "node_modules", "axe-core", "axe.min.js")
	src, err := os.ReadFile(path)
	if err == nil {
		return string(src), nil
	}
	npm, missing := exec.LookPath("npm")
	if missing != nil {
		return "", nil // see accessible
	}
	cmd := exec.Command(npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	cmd.Dir = "axe"
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("npm ci in %s: %w\n%s", cmd.Dir, err, out)
	}
	src, err = os.ReadFile(path)
	return string(src), err
})

// violation is what axe-core finds.
type violation struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		HTML string `json:"html"`
	} `json:"nodes"`
}

// violations runs axe-core over the page as it is shown; ok is false without
// npm.
func (b *tab) violations(tags string) (vs []violation, ok bool) {
	b.t.Helper()
	src, err := axe()
	if err != nil {
		b.t.Fatal(err)
	}
	if src == "" {
		return nil, false
	}
	if !ask[bool](b, `typeof axe != 'undefined'`) {
		ask[any](b, src+"\n;1")
	}
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](
		`axe.run(document, {runOnly: `+tags+`, resultTypes: ['violations'], preload: false}).then(r => JSON.stringify(r.violations))`, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(out), &vs); err != nil {
		b.t.Fatal(err)
	}
	return vs, true
}

// accessible: axe-core finds nothing.
func (b *tab) accessible(name string, dark bool, width int64, tags string) {
	b.t.Helper()
	vs, ok := b.violations(tags)
	if !ok {
		b.t.Log("NOT CHECKED: accessibility by axe-core, because npm is not installed")
		return
	}
	for _, v := range vs {
		var at []string
		for _, n := range v.Nodes[:min(3, len(v.Nodes))] {
			at = append(at, n.HTML[:min(160, len(n.HTML))])
		}
		b.t.Errorf("%s, dark %v, %d px: %s (%s) at %d places: %s", name, dark, width, v.ID, v.Help, len(v.Nodes), strings.Join(at, " | "))
	}
}

// sheets are the inside of the margins of paper at 96 px an inch, for margins of
// 10 mm above and below and 13 mm at the sides.
var sheets = map[string]struct{ width, height int64 }{
	"A4":     {696, 1046}, // 210 by 297 mm
	"Letter": {718, 980},  // 8.5 by 11 in
}

// printsWhole: on paper every figure is the static one, fits on a sheet and is
// kept in one piece.
func (b *tab) printsWhole(name string) {
	b.t.Helper()
	for paper, s := range sheets {
		b.look(view{print: true, dark: true})
		b.size(s.width, s.height)
		b.settle()
		bad := ask[[]string](b, fmt.Sprintf(`[...document.querySelectorAll('figure')].filter(f => (f.checkVisibility() && f.getClientRects().length > 0)).map(f => {
			const r = f.getBoundingClientRect(), pics = [...f.querySelectorAll('svg')].filter(s => (s.checkVisibility() && s.getClientRects().length > 0));
			const say = [];
			if (r.height > %d) say.push('is ' + r.height + ' px high');
			if (r.right > innerWidth + 1) say.push('ends at ' + r.right + ' px');
			if (getComputedStyle(f).breakInside != 'avoid') say.push('may be cut');
			if (f.querySelector('.still') && (pics.length != 1 || !pics[0].closest('.still'))) say.push('shows ' + pics.length + ' pictures');
			return say.length ? f.id + ' ' + say.join(', ') : '' }).filter(Boolean)`, s.height))
		if len(bad) > 0 {
			b.t.Errorf("%s on %s: %q", name, paper, bad)
		}
		if c := ask[string](b, `getComputedStyle(document.body).backgroundColor`); c != "rgb(255, 255, 255)" {
			b.t.Errorf("%s: a dark screen prints on %s", name, c)
		}
		if low := ask[[]string](b, contrasts); len(low) > 0 {
			b.t.Errorf("%s on %s: printed faintly: %q", name, paper, low)
		}
	}
	b.look(view{})
	b.size(1000, 900)
}

// photograph writes what a person should look at.
func photograph(t *testing.T, name, file string) {
	t.Helper()
	write := func(end string, data []byte) {
		if err := os.WriteFile(filepath.Join(*shots, name+end), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, v := range []view{{width: 1000, height: 800}, {width: 1000, height: 800, dark: true}, {width: 360, height: 640}, {width: 360, height: 640, dark: true}} {
		b := open(t, file, v)
		png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
		if err != nil {
			t.Fatal(err)
		}
		write(fmt.Sprintf("-%d%s.png", v.width, map[bool]string{true: "-dark"}[v.dark]), png)
	}
	b := open(t, file, view{})
	for paper, size := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize()))
		if err != nil {
			t.Fatal(err)
		}
		write("-"+paper+".pdf", pdf)
	}
}
