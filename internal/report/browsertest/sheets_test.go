package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"tamis/internal/answer"
	"tamis/internal/design/schedule"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/report/reporttest"
	"tamis/internal/trial"
)

func printed(t *testing.T, x *trial.Trial) []report.Sheet {
	t.Helper()
	list, err := report.Sheets(x, answer.SheetsOf(x), report.OnClock{}, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestSheets(t *testing.T) {
	for _, s := range printed(t, reporttest.Planned()) {
		t.Run(s.Name, func(t *testing.T) {
			if !testing.Short() || s.Name == "run.html" || s.Name == "ballots.html" {
				hold(t, "sheet-"+s.Name, s.HTML)
			}
			file := filepath.Join(t.TempDir(), s.Name)
			if err := os.WriteFile(file, s.HTML, 0o666); err != nil {
				t.Fatal(err)
			}
			b := open(t, file, view{})
			for paper := range sheets {
				b.onPaper(s.Name, paper)
			}
		})
	}
}

// Forty pieces, and names as long as a file may hold: on every sheet and both
// papers nothing is cut, whatever is written in boxes stays in them, and a row is
// never split between two pages.
func TestSheetsHoldMuch(t *testing.T) {
	for what, x := range map[string]*trial.Trial{"forty pieces": reporttest.FortyPieces(), "long names": reporttest.LongPlan()} {
		clock := schedule.Options{ServeAt: trial.Some(trial.Clock{Minute: 19*60 + 30}), Hands: 2}
		day, conflicts := schedule.Of(x, clock)
		for _, us := range []bool{false, true} {
			o := report.Options{}
			if us {
				o.Units = quantity.US
			}
			list, err := report.Sheets(x, answer.SheetsOf(x), report.OnClock{Schedule: day, Conflicts: conflicts}, o)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range list {
				name := fmt.Sprintf("%s, us %t, %s", what, us, s.Name)
				file := filepath.Join(t.TempDir(), s.Name)
				if err := os.WriteFile(file, s.HTML, 0o666); err != nil {
					t.Fatal(err)
				}
				b := open(t, file, view{})
				for paper := range sheets {
					b.onPaper(name, paper)
				}
				b.pages(name, s.Name == "record.html" && what == "forty pieces")
			}
		}
	}
}

// pages: every page says which of how many it is, and where a table goes on its
// heads stand again. Long is a sheet that takes several pages.
func (b *tab) pages(name string, long bool) {
	b.t.Helper()
	out, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{})
	if err != nil {
		b.t.Fatal(err)
	}
	n := len(pdfPage.FindAll(out.Data, -1))
	if n == 0 || long && n < 5 {
		b.t.Errorf("%s: printed on %d pages", name, n)
	}
	if foot := ask[bool](b, `[...document.styleSheets].some(s => [...s.cssRules].some(r => r.cssText.startsWith('@page') && r.cssText.includes('counter(pages)')))`); !foot {
		b.t.Errorf("%s: the pages have no numbers", name)
	}
	heads := ask[[]string](b, `[...document.querySelectorAll('thead')].map(e => getComputedStyle(e).display).filter(d => d != 'table-header-group')`)
	if len(heads) > 0 {
		b.t.Errorf("%s: the heads of %d tables are not printed again", name, len(heads))
	}
}

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

func TestHostileSheetsAreQuiet(t *testing.T) {
	for _, s := range printed(t, reporttest.HostilePlan()) {
		file := filepath.Join(t.TempDir(), s.Name)
		if err := os.WriteFile(file, s.HTML, 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, file, view{})
		b.isQuiet(s.Name)
		if n := ask[int64](b, `document.querySelectorAll('script, img, iframe, object').length`); n != 0 {
			t.Errorf("%s: texts made %d elements", s.Name, n)
		}
	}
}

// onPaper: boxes of at least 8 mm both ways, nothing past the margins, black on
// white, and on the run sheet what is acted on at 20 pt or more.
func (b *tab) onPaper(name, paper string) {
	b.t.Helper()
	p := sheets[paper]
	b.look(view{print: true, dark: true})
	b.size(p.width, p.height)
	b.settle()
	const mm = 96 / 25.4
	small := ask[[]string](b, fmt.Sprintf(`[...document.querySelectorAll('.box')].filter(e => e.getClientRects().length)
		.map(e => e.getBoundingClientRect()).filter(r => r.width < %f || r.height < %f).map(r => r.width + ' by ' + r.height)`, 8*mm-0.1, 8*mm-0.1))
	if len(small) > 0 {
		b.t.Errorf("%s on %s: %d boxes below 8 mm, such as %s px", name, paper, len(small), small[0])
	}
	if n := ask[int64](b, `document.querySelectorAll('.box').length`); n == 0 && !strings.HasSuffix(name, "labels.html") {
		b.t.Errorf("%s has no box", name)
	}
	out := ask[[]string](b, `[...document.querySelectorAll('main *')].filter(e => e.getClientRects().length && !e.closest('.quiet'))
		.filter(e => e.getBoundingClientRect().right > innerWidth + 1).map(e => e.tagName + ' ' + e.textContent.slice(0, 30))`)
	if len(out) > 0 {
		b.t.Errorf("%s on %s: past the margin: %q", name, paper, out[:min(4, len(out))])
	}
	// What is written, as the reader sees it: inside the sheet, and where it stands
	// in a box inside that.
	cut := ask[[]string](b, `(() => { const bad = [], walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
		for (let n; n = walk.nextNode();) {
			const e = n.parentElement; if (!n.data.trim() || !e.getClientRects().length || e.closest('.quiet')) continue;
			const box = e.closest('.box, .label'), r = document.createRange(); r.selectNodeContents(n);
			for (const q of r.getClientRects()) {
				const o = box ? box.getBoundingClientRect() : {left: -1, right: innerWidth, top: -1e9, bottom: 1e9};
				if (q.right > o.right + 1 || q.left < o.left - 1 || q.bottom > o.bottom + 2 || q.top < o.top - 2) { bad.push(e.className + ' ' + n.data.trim().slice(0, 30)); break; }
			}
		} return bad; })()`)
	if len(cut) > 0 {
		b.t.Errorf("%s on %s: %d texts are cut: %q", name, paper, len(cut), cut[:min(4, len(cut))])
	}
	split := ask[[]string](b, `[...document.querySelectorAll('main tr, main .check li, main .label')].filter(e => e.getClientRects().length && !e.closest('thead'))
		.filter(e => getComputedStyle(e).breakInside != 'avoid').map(e => e.tagName + ' ' + e.textContent.slice(0, 30))`)
	if len(split) > 0 {
		b.t.Errorf("%s on %s: may be split between pages: %q", name, paper, split[:min(4, len(split))])
	}
	grey := ask[[]string](b, `[...document.querySelectorAll('body, main *')].filter(e => e.getClientRects().length).flatMap(e => {
		const s = getComputedStyle(e); return [s.color, s.borderTopColor, s.backgroundColor].filter(c => !['rgb(0, 0, 0)', 'rgb(255, 255, 255)', 'rgba(0, 0, 0, 0)'].includes(c)); })`)
	if len(grey) > 0 {
		b.t.Errorf("%s on %s: not black and white: %s", name, paper, grey[0])
	}
	if strings.HasSuffix(name, "run.html") {
		// 20 pt is a capital of 5 mm, a two-hundredth of a metre (common practice, no source).
		if faint := ask[[]string](b, `[...document.querySelectorAll('.run .key')].filter(e => parseFloat(getComputedStyle(e).fontSize) < 20 * 96 / 72 - 0.1).map(e => e.textContent)`); len(faint) > 0 {
			b.t.Errorf("%s on %s: cannot be read from a metre: %q", name, paper, faint)
		}
		if n := ask[int64](b, `document.querySelectorAll('.run .key').length`); n == 0 {
			b.t.Errorf("%s has nothing to be read from a metre", name)
		}
	}
}

// The eyes of onPaper work: a box that is too small is one.
func TestOnPaperCanFail(t *testing.T) {
	file := filepath.Join(t.TempDir(), "small.html")
	if err := os.WriteFile(file, []byte(`<!doctype html><main><span class="box" style="display:inline-block;width:7mm;height:8mm"></span></main>`), 0o666); err != nil {
		t.Fatal(err)
	}
	b := open(t, file, view{print: true})
	if w := ask[float64](b, `document.querySelector('.box').getBoundingClientRect().width`); w > 8*96/25.4-0.1 || w < 26 {
		t.Errorf("7 mm measure %f px", w)
	}
}
