package browsertest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure/live"
	"tamis/internal/report"
	"tamis/internal/report/reporttest"
)

func kitchen(t *testing.T, r *answer.Result, o report.Options) []byte {
	t.Helper()
	page, err := report.Kitchen(r, o)
	if err != nil {
		t.Fatal(err)
	}
	return page
}

// livePage is a page with the runtime in it. Without one there is nothing to
// test, and it says so.
func livePage(t *testing.T, r *answer.Result) []byte {
	t.Helper()
	if _, ok := live.Runtime(); !ok {
		t.Skip("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
	}
	return kitchen(t, r, report.Options{Live: true})
}

func TestKitchenHostile(t *testing.T) {
	t.Parallel()
	hold(t, "kitchen-hostile", kitchen(t, reporttest.Hostile(), report.Options{}))
}

func TestKitchenLive(t *testing.T) {
	for name, r := range map[string]*answer.Result{"pollack": reporttest.Pollack(), "hostile": reporttest.Hostile()} {
		holdLive(t, "live-"+name, livePage(t, r))
	}
}

// holdLive holds a page with live charts against what those must do, on top of
// hold.
func holdLive(t *testing.T, name string, page []byte) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o666); err != nil {
		t.Fatal(err)
	}
	b := open(t, file, view{width: 1000, height: 900})
	if n := ask[int64](b, `document.querySelectorAll('script.live-data').length`); n == 0 {
		t.Fatalf("%s has no live charts", name)
	}
	if left := ask[[]string](b, `[...document.querySelectorAll('script.live-data')].map(s => s.closest('figure'))
		.filter(f => !f.classList.contains('on') || !f.querySelector('.live svg path') || !f.querySelector('.live').clientHeight || f.querySelector('.still').clientHeight).map(f => f.id)`); len(left) > 0 {
		t.Errorf("%s: not drawn: %q", name, left)
	}
	// Every word of the static picture is in the live one.
	if lost := ask[[]string](b, `[...document.querySelectorAll('figure.on')].flatMap(f => {
		const words = [...f.querySelectorAll('.live svg text')].map(e => e.textContent), still = f.querySelector('.still');
		return [...still.querySelectorAll('text')].filter(e => !e.closest('.f')).map(e => e.textContent).filter(w => !words.includes(w)); })`); len(lost) > 0 {
		t.Errorf("%s: words of the picture that the chart lacks: %q", name, lost)
	}
	// Each named point shows its name, as text, when the pointer is on it.
	if wrong := ask[[]string](b, `[...document.querySelectorAll('figure.on')].flatMap(f => {
		const chart = echarts.getInstanceByDom(f.querySelector('.live')), out = [];
		let seen = 0;
		chart.getOption().series.forEach((s, i) => {
			if (s.silent || !s.data.length || !s.data[0].name) return;
			const j = Math.floor(s.data.length / 2), name = s.data[j].name;
			chart.dispatchAction({type: 'showTip', seriesIndex: i, dataIndex: j});
			const tip = [...f.querySelectorAll('.live > div')].map(d => d.textContent).join(' ');
			if (!tip.includes(name)) out.push(f.id + ': ' + s.type + ' ' + i + ' shows "' + tip + '", not "' + name + '"');
			if (/\d\.\d{5}/.test(name)) out.push('too many digits: ' + name);
			seen++;
		});
		if (!seen) out.push(f.id + ' has nothing to point at');
		if (f.querySelector('.live script, .live img, .live b')) out.push(f.id + ': a tooltip made an element');
		return out; })`); len(wrong) > 0 {
		t.Errorf("%s: %q", name, wrong)
	}
	// The other unit, and the other scheme.
	const words = `[...document.querySelectorAll('figure.on .live svg text')].map(e => e.textContent).join('|')`
	before := ask[string](b, words)
	ask[any](b, `document.getElementById('unit-f').click(), 1`)
	b.settle()
	after := ask[string](b, words)
	if strings.Contains(before, "°F") || !strings.Contains(after, "Set point, °F") || strings.Contains(after, "Set point, °C") {
		t.Errorf("%s: the unit switch shows %q, then %q", name, before, after)
	}
	const inks = `[...new Set([...document.querySelectorAll('figure.on .live svg text')].map(e => e.getAttribute('fill')))].join()`
	light := ask[string](b, inks)
	b.look(view{dark: true})
	b.settle()
	if dark := ask[string](b, inks); dark == light || strings.Contains(dark+light, "var(") {
		t.Errorf("%s: light and dark charts have the inks %q and %q", name, light, dark)
	}
	// On a phone the picture made for it is shown instead.
	b.size(360, 700)
	b.settle()
	if n := ask[int64](b, `[...document.querySelectorAll('.live svg')].filter(e => (e.checkVisibility() && e.getClientRects().length > 0) && e.clientWidth > innerWidth).length`); n != 0 {
		t.Errorf("%s: %d charts are wider than a phone", name, n)
	}
	b.size(1000, 900)
	b.settle()
	// What is saved carries what the picture must not lose.
	for _, want := range ask[[]string](b, `[...document.querySelectorAll('script.live-data')].flatMap(s => JSON.parse(s.textContent).mounts.map(m => m.words.map(w => w.text).join(' ')))`) {
		for _, part := range []string{"cooks, one large point", "tamis 0.1.0"} {
			if !strings.Contains(want, part) {
				t.Errorf("%s: the mount of a saved chart lacks %q: %s", name, part, want)
			}
		}
	}
	saved := ask[[]string](b, `(() => { const out = [], click = HTMLAnchorElement.prototype.click;
		HTMLAnchorElement.prototype.click = function () { out.push(this.download + ' ' + decodeURIComponent(this.href)); };
		document.querySelectorAll('figure.on .save').forEach(e => e.click());
		HTMLAnchorElement.prototype.click = click;
		return out.map(s => { const svg = s.slice(s.indexOf('<svg')), doc = new DOMParser().parseFromString(svg, 'image/svg+xml');
			return doc.querySelector('parsererror') ? 'no XML: ' + svg.slice(0, 200) : s.split(' ')[0] + ' ' + doc.documentElement.textContent; }); })()`)
	if len(saved) == 0 {
		t.Errorf("%s: nothing was saved", name)
	}
	for _, s := range saved {
		if strings.HasPrefix(s, "no XML") || !strings.Contains(s, "tamis 0.1.0") || !strings.Contains(s, "Set point, °F") {
			t.Errorf("%s: saved: %.400s", name, s)
		}
	}
	b.isQuiet(name)
}

// A page whose runtime was refused keeps its pictures: here the policy forbids
// the script, as it would any that was changed.
func TestChangedScriptIsRefused(t *testing.T) {
	page := string(livePage(t, reporttest.Pollack()))
	file := filepath.Join(t.TempDir(), "page.html")
	if !strings.Contains(page, "<script>var echarts") {
		t.Fatal("the runtime begins otherwise; this test changed nothing")
	}
	if err := os.WriteFile(file, []byte(strings.Replace(page, "<script>var echarts", "<script>/**/var echarts", 1)), 0o666); err != nil {
		t.Fatal(err)
	}
	b := open(t, file, view{})
	if _, messages := b.heard(); !strings.Contains(strings.Join(messages, " "), "Content Security Policy") {
		t.Errorf("a changed script was not refused: %q", messages)
	}
	if ask[bool](b, `typeof echarts != 'undefined' || !!document.querySelector('.on')`) {
		t.Error("a changed script ran")
	}
	b.figuresRead("without runtime", 1000)
}

// The eyes of hold work: each fault below is found.
func TestHoldCanFail(t *testing.T) {
	page := string(kitchen(t, reporttest.Trout(), report.Options{}))
	at := func(change string) *tab {
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, []byte(strings.Replace(page, "<main>", "<main>"+change, 1)), 0o666); err != nil {
			t.Fatal(err)
		}
		return open(t, file, view{})
	}
	if vs, ok := at(`<input type="text"><p style="color:#bbb">faint words</p>`).violations(rules); ok {
		found := ""
		for _, v := range vs {
			found += v.ID + " "
		}
		if !strings.Contains(found, "label") || !strings.Contains(found, "color-contrast") {
			t.Errorf("axe-core found %q in a page with two faults", found)
		}
	}
	b := at(`<figure id="tall" style="break-inside:auto!important;height:3000px"></figure>`)
	b.look(view{print: true})
	if ask[string](b, `getComputedStyle(document.getElementById('tall')).breakInside`) == "avoid" {
		t.Error("a figure that may be cut is taken for one that may not")
	}
	if ask[string](at(""), shownWords) == ask[string](at("<p>more</p>"), shownWords) {
		t.Error("a page with a word more reads the same")
	}
}
