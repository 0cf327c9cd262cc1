package browsertest

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	cdbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"

	"tamis/internal/figure/live"
	"tamis/internal/report"
)

// saved clicks what a selector finds, as a hand would, and returns the file that
// the browser wrote.
func (b *tab) saved(selector string) (name, content string) {
	b.t.Helper()
	folder := b.t.TempDir()
	if _, err := chromedp.Call(b.ctx, cdbrowser.SetDownloadBehavior, cdbrowser.SetDownloadBehaviorParams{Behavior: cdbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: folder}); err != nil {
		b.t.Fatal(err)
	}
	b.do(chromedp.Click(chromedp.CSS(selector)))
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		files, err := filepath.Glob(filepath.Join(folder, "*.svg"))
		if err != nil {
			b.t.Fatal(err)
		}
		if len(files) != 1 {
			continue
		}
		got, err := os.ReadFile(files[0])
		if err != nil {
			b.t.Fatal(err)
		}
		if strings.HasSuffix(strings.TrimSpace(string(got)), "</svg>") {
			return filepath.Base(files[0]), string(got)
		}
	}
	b.t.Fatalf("a click on %s saved nothing", selector)
	return "", ""
}

// textOf is the text of an XML file, and whether it is one.
func textOf(content string) (string, error) {
	var words []string
	for d := xml.NewDecoder(strings.NewReader(content)); ; {
		switch tok, err := d.Token(); {
		case errors.Is(err, io.EOF):
			return strings.Join(words, " "), nil
		case err != nil:
			return "", err
		default:
			if c, ok := tok.(xml.CharData); ok {
				words = append(words, strings.ReplaceAll(strings.TrimSpace(string(c)), "\u00a0", " "))
			}
		}
	}
}

// A figure that is saved by clicking travels with who may eat it, how many cooks
// it rests on, where it is from and when: by the script of the science report, by
// a live chart, and by the link of a page without scripts.
func TestSaveByClicking(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	trout := list[len(list)-1]
	_, built := live.Runtime()
	for _, c := range []struct {
		name, reader, figure, click string
		o                           report.Options
		noScript                    bool
	}{
		{"script", "science", `figure:has(> details button.save):not(:has(.live))`, "button.save", report.Options{}, false},
		{"live chart", "kitchen", `#fig-firmness`, "button.save", report.Options{Live: true}, false},
		{"link", "kitchen", `#fig-firmness`, "a[download].c, .c a[download]", report.Options{}, true},
	} {
		if c.o.Live && !built {
			t.Log("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "page.html")
			if err := os.WriteFile(file, trout.page(t, c.reader, c.o), 0o666); err != nil {
				t.Fatal(err)
			}
			b := open(t, file, view{width: 1000, height: 800, noScript: c.noScript})
			defer b.close()
			ask[any](b, `(() => { const f = document.querySelector('`+c.figure+`'); f.id ||= 'one'; document.querySelectorAll('details').forEach(d => d.open = d.closest('figure') == f);
				const e = f.querySelector('`+c.click+`'); e.id = 'click-here'; e.scrollIntoView(); })(), 1`)
			name, content := b.saved("#click-here")
			words, err := textOf(content)
			if err != nil {
				t.Fatalf("%s is no SVG: %v", name, err)
			}
			for what, want := range map[string]string{
				"the caution": "Not pasteurised", "who must not eat it": "young children", "n": "3 cooks", "the source": "Saltholm test kitchen", "the date": "2026-04-02",
				"the file": "trout.yaml", "that it is invented": "Invented data", "the program": "tamis 0.1.0", "the axis": "Set point, °C",
			} {
				if !strings.Contains(words, want) {
					t.Errorf("%s lacks %s, %q: %s", name, what, want, words)
				}
			}
			if strings.Contains(content, "var(--") || strings.Contains(content, "<script") || regexp.MustCompile(`\son[a-z]+=`).MatchString(content) || strings.Contains(words, "°F") {
				t.Errorf("%s is not a picture that stands alone: %.300s", name, content)
			}
			b.isQuiet(c.name)
			// It opens by itself, and no word is cut.
			alone := filepath.Join(t.TempDir(), "alone.svg")
			if err := os.WriteFile(alone, []byte(content), 0o666); err != nil {
				t.Fatal(err)
			}
			p := open(t, alone, view{width: 1000, height: 1200})
			defer p.close()
			if cut := ask[[]string](p, `(() => { const o = document.documentElement.getBoundingClientRect();
				return [...document.querySelectorAll('text')].filter(e => { const r = e.getBoundingClientRect(); return r.width && (r.left < o.left - 1 || r.right > o.right + 1 || r.bottom > o.bottom + 3) }).map(e => e.textContent); })()`); len(cut) > 0 {
				t.Errorf("%s: cut: %q", name, cut)
			}
		})
	}
}

// With a decimal comma no number of the program is left with a point: on the
// page, in its charts, where the pointer is, and in what is saved. The program's
// version and what the author wrote stay.
func TestDecimalCommaInTheBrowser(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	_, built := live.Runtime()
	if !built {
		t.Log("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
	}
	point := regexp.MustCompile(`(?:^|[^\d.])\d+\.\d+(?:[^\d.]|$)`)
	for _, reader := range readersOfPages {
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, report.DecimalComma(list[0].page(t, reader, report.Options{Live: true})), 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, file, view{width: 1000, height: 900})
		const words = `(() => { const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), out = [];
			for (let n; n = walk.nextNode();) if (!n.parentElement.closest('script, style, bdi, code, [translate=no], [dir=auto]:not(h2, h3, h4)')) out.push(n.data);
			return out; })()`
		said := ask[[]string](b, words)
		comma := false
		for _, s := range said {
			comma = comma || regexp.MustCompile(`\d,\d`).MatchString(s)
			if point.MatchString(s) {
				t.Errorf("%s: %q", reader, s)
			}
		}
		if !comma {
			t.Errorf("%s has no number with a comma", reader)
		}
		if built {
			tips := ask[[]string](b, `[...document.querySelectorAll('figure.on')].flatMap(f => { const chart = echarts.getInstanceByDom(f.querySelector('.live')), out = [];
				chart.getOption().series.forEach((s, i) => { if (s.silent || !s.data.length || !s.data[0].name) return;
					chart.dispatchAction({type: 'showTip', seriesIndex: i, dataIndex: Math.floor(s.data.length / 2)});
					out.push([...f.querySelectorAll('.live > div')].map(d => d.textContent).join(' ')); });
				return out; })`)
			comma = false
			for _, s := range tips {
				comma = comma || strings.Contains(s, ",")
				if point.MatchString(s) {
					t.Errorf("%s: at the pointer: %q", reader, s)
				}
			}
			if !comma {
				t.Errorf("%s: no number with a comma at the pointer: %q", reader, tips)
			}
		}
		ask[any](b, `(() => { document.querySelectorAll('details').forEach(d => d.open = true); const e = document.querySelector('figure button.save, figure a[download]'); e.id = 'click-here'; e.scrollIntoView(); })(), 1`)
		_, content := b.saved("#click-here")
		text, err := textOf(regexp.MustCompile(`(?s)<style.*?</style>`).ReplaceAllString(content, ""))
		if err != nil {
			t.Fatal(err)
		}
		if point.MatchString(text) || !regexp.MustCompile(`\d,\d`).MatchString(text) {
			t.Errorf("%s: saved: %q", reader, point.FindAllString(text, 5))
		}
		b.isQuiet(reader)
		b.close()
	}
}
