package browsertest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/report"
	"tamis/internal/report/reporttest"
)

// A page for readers with photos of unlike sizes, and one with hostile words,
// hold what every page holds.
func TestReadersHold(t *testing.T) {
	for _, name := range []string{"pollack-readers", "hostile-readers"} {
		page, err := os.ReadFile(golden(name))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			hold(t, name, page)
		})
	}
}

// The first screen of a phone holds the answer, its doubt and who may eat it.
func TestReadersFirstScreen(t *testing.T) {
	for _, name := range []string{"pollack-readers", "trout-readers"} {
		b := open(t, golden(name), view{width: 360, height: 640})
		for _, part := range []string{".answer", ".lead", ".safety"} {
			if bottom := ask[float64](b, `document.querySelector('`+part+`').getBoundingClientRect().bottom`); bottom <= 0 || bottom > 640 {
				t.Errorf("%s: %s ends at %.0f of 640", name, part, bottom)
			}
		}
	}
}

// Hostile words made no element that runs or fetches.
func TestReadersHostileWords(t *testing.T) {
	b := open(t, golden("hostile-readers"), view{})
	if n := ask[int64](b, `[...document.querySelectorAll('script')].filter(s => s.type != 'application/ld+json').length + document.querySelectorAll('iframe, img:not([src^="data:image/"]), [onerror]').length`); n != 0 {
		t.Errorf("%d elements came out of words", n)
	}
	if ask[string](b, `JSON.parse(document.querySelector('script').textContent)['@type']`) != "Article" {
		t.Error("the metadata cannot be read")
	}
}

// Photos of a strip stand at one scale.
func TestReadersStripScale(t *testing.T) {
	b := open(t, golden("pollack-readers"), view{})
	for _, width := range []int64{360, 1000} {
		b.size(width, 800)
		off := ask[float64](b, `(() => { const k = [...document.querySelectorAll('.cell img')].map(i => i.getBoundingClientRect().width / i.getAttribute('width')); return Math.max(...k) / Math.min(...k) })()`)
		if off > 1.02 {
			t.Errorf("at %d px the scales differ by a factor of %.3f", width, off)
		}
	}
}

// A long title keeps clear of the unit buttons, whatever stands above it.
func TestLongTitleKeepsClear(t *testing.T) {
	for _, by := range []string{"", "Saltholm test kitchen"} {
		r := *reporttest.Trout()
		r.Trial.By, r.Trial.Date, r.Trial.Title = by, "", strings.Repeat("A very long name that goes on ", 8)
		page, err := report.Readers(&r, report.Writeup{Draft: true}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, page, 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, file, view{})
		for _, width := range []int64{360, 1000} {
			b.size(width, 800)
			if ask[bool](b, `(() => { const range = document.createRange(); range.selectNodeContents(document.querySelector('h1'));
				const u = document.getElementById('unit-c').getBoundingClientRect();
				return [...range.getClientRects()].some(r => r.right > u.left && r.top < u.bottom && r.bottom > u.top); })()`) {
				t.Errorf("by %q, %d px: the title runs under the buttons", by, width)
			}
		}
		b.close()
	}
}

// The mark of a draft is whole on every screen and sheet: turned, it is no wider
// and no higher than what it lies on.
func TestDraftMarkIsWhole(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	b := open(t, list[len(list)-1].write(t, "readers"), view{})
	for _, c := range []struct {
		width, height int64
		print         bool
	}{{360, 640, false}, {1000, 800, false}, {174 * 96 * 10 / 254, 269 * 96 * 10 / 254, true}, {180 * 96 * 10 / 254, 251 * 96 * 10 / 254, true}} {
		b.look(view{print: c.print})
		b.size(c.width, c.height)
		b.settle()
		over := ask[string](b, `(() => { const s = getComputedStyle(document.body, '::after'), e = document.createElement('span');
			if (!s.content.includes('DRAFT')) return 'there is no mark';
			for (const k of ['fontFamily', 'fontSize', 'fontWeight', 'letterSpacing', 'lineHeight', 'textIndent']) e.style[k] = s[k];
			e.style.position = 'absolute'; e.style.whiteSpace = 'nowrap'; e.textContent = 'DRAFT'; document.body.append(e);
			const w = e.getBoundingClientRect().width, h = 0.75 * parseFloat(s.fontSize), m = new DOMMatrix(s.transform); e.remove();
			const across = Math.abs(m.a) * w + Math.abs(m.c) * h, down = Math.abs(m.b) * w + Math.abs(m.d) * h;
			return across > innerWidth || down > innerHeight ? Math.round(across) + ' by ' + Math.round(down) + ' px on ' + innerWidth + ' by ' + innerHeight : ''; })()`)
		if over != "" {
			t.Errorf("print %v, %d by %d: the mark is cut: %s", c.print, c.width, c.height, over)
		}
	}
}
