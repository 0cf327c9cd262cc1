package browsertest

import (
	"os"
	"testing"
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
