package browsertest

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/report/photo"
	"tamis/internal/trialfile"
)

// giant is a PNG that says it has 20 000 × 20 000 pixels, in a few bytes.
func giant() []byte {
	chunk := func(name string, body []byte) []byte {
		named := append([]byte(name), body...)
		return binary.BigEndian.AppendUint32(append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), named...), crc32.ChecksumIEEE(named))
	}
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 20_000), 20_000)
	b := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(size, 8, 2, 0, 0, 0))...)
	return append(append(b, chunk("IDAT", nil)...), chunk("IEND", nil)...)
}

// hostileTrial writes a trial that a stranger with bad intentions sent: every
// text that a file can hold tries to leave its place, to run, to fetch, to turn
// the words around it, or to be too wide; its pictures are not what they say.
func hostileTrial(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "photos"), 0o777); err != nil {
		t.Fatal(err)
	}
	write := func(name string, b []byte) {
		if err := os.WriteFile(filepath.Join(folder, filepath.FromSlash(name)), b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	pictures := map[string][]byte{"giant.png": giant(), "zero.jpg": nil, "svg.png": []byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`),
		"lie.jpg": []byte("<!doctype html><script>alert(1)</script>")}
	long := strings.Repeat("Wwwwwwwwww", 40)
	bad := "</script></style></title><script>alert(1)</script><img src=http://127.0.0.1:9/x onerror=alert(2)>\u202eevil\u2066 "
	name := func(s string) string { return strconv.Quote(s + `<script>alert(1)</script>`) }
	text := strconv.Quote(bad + long)
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say("tamis: 1\ntitle: %s\nquestion: %s\nby: %s\ndisclosure: %s\nfood: {name: %s, kind: vegetable}", text, text, text, text, text)
	say("measures:\n  firmness: {scale: 0 to 10, low: %s, high: %s}\naim: {measure: firmness, target: 4 to 6}\nfactors: {recipe: [%s, %s]}\ncooks:", text, text, name("=1+1|cmd"), strconv.Quote(long[:90]))
	for i := range 9 {
		say("  - {id: %s, set_point: %d °C, time: 40 min, with: {recipe: %s}, firmness: %d.%d}", name("K"+strconv.Itoa(i)), 83+3*(i/3), []string{name("=1+1|cmd"), strconv.Quote(long[:90])}[i%2], 8-2*(i/3), 1+i)
	}
	say("deviations:\n  - {cook: %s, what: %s}", name("K1"), text)
	say("conclusion: %s", strconv.Quote(bad+"It is twice as firm at 83 °C as at 86 °C. This proves everything. "+long))
	say("accept:\n  - {finding: proves, because: %s}\nphotos:", text)
	for _, file := range []string{"giant.png", "zero.jpg", "svg.png", "lie.jpg", "good.png"} {
		if file == "good.png" {
			src, err := os.ReadFile(filepath.Join("..", "..", "..", "trials", "carrot", "photos", "held-83.png"))
			if err != nil {
				t.Fatal(err)
			}
			pictures[file] = src
		}
		write("photos/"+file, pictures[file])
		say("  - {file: photos/%s, of: %s, caption: %s, alt: %s, credit: %s, licence: %s}", file, name("K0"), text, text, text, text)
	}
	say("notes: |")
	for line := range strings.Lines("# " + bad + "\n\n<script>alert(3)</script> [a](javascript:alert(4)) [b](data:text/html,<script>alert(5)</script>) ![c](http://127.0.0.1:9/x.png)\n\n" +
		"<details open ontoggle=alert(6)>x</details>\n\n<style>body{display:none}</style>\n\n<iframe src=\"javascript:alert(7)\"></iframe>\n\n" +
		"[d][x] [e](JaVaScRiPt:alert(1)) [f](//127.0.0.1:9/x) [g](vbscript:x) [h](\"https://ok.example\" onclick=alert(1)) <http://127.0.0.1:9/" + long + ">\n\n" + long + "\n\n[x]: javascript:alert(10)\n") {
		say("  %s", strings.TrimRight(strings.NewReplacer("\u202e", "", "\u2066", "").Replace(line), "\n"))
	}
	write("hostile.yaml", []byte(b.String()))
	return filepath.Join(folder, "hostile.yaml")
}

// A hostile trial comes out inert on every page, and as a fragment in a page of
// somebody else, which has no policy of its own to protect it.
func TestHostileTrial(t *testing.T) {
	file := hostileTrial(t)
	tr, diags, err := trialfile.Read(file, trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err, diags)
	}
	d := &demo{name: "hostile", trial: tr, result: answer.Of(tr, answer.Options{})}
	for _, p := range tr.Photos {
		if one, err := photo.Open(filepath.Dir(file), p.File); err == nil {
			d.shots = append(d.shots, report.Shot{Of: p, Photo: one})
		}
	}
	if len(d.shots) != 1 {
		t.Errorf("%d of the pictures were taken for pictures", len(d.shots))
	}
	inert := func(t *testing.T, name string, page []byte) {
		t.Helper()
		path := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(path, page, 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, path, view{width: 360, height: 640})
		defer b.close()
		b.fits(name, 360)
		if bad := ask[[]string](b, `[...document.querySelectorAll('main *, article *')].filter(e => ['IFRAME', 'OBJECT', 'EMBED', 'FORM', 'STYLE', 'BASE', 'LINK', 'META', 'VIDEO', 'AUDIO'].includes(e.tagName)
			|| e.tagName == 'SCRIPT' && e.type != 'application/json'
			|| e.tagName == 'IMG' && !/^data:image\/(png|jpeg|svg\+xml);base64,/.test(e.getAttribute('src'))
			|| e.tagName == 'A' && !e.hasAttribute('download') && !/^(#|https?:\/\/[a-z0-9]|mailto:)/.test(e.getAttribute('href'))
			|| [...e.attributes].some(a => a.name.startsWith('on'))).map(e => e.outerHTML.slice(0, 80))`); len(bad) > 0 {
			t.Errorf("%s: %q", name, bad)
		}
		if ask[bool](b, `/[\u202a-\u202e\u2066-\u2069]/.test(document.documentElement.outerHTML)`) {
			t.Errorf("%s holds a mark that overrides direction", name)
		}
		// Every link that holds a table is safe to open in a spreadsheet.
		if cells := ask[[]string](b, `[...document.querySelectorAll('a[download]')].filter(a => a.href.startsWith('data:text/csv')).flatMap(a =>
			decodeURIComponent(a.href.slice(a.href.indexOf(',') + 1)).split(/\r?\n/).flatMap(r => r.split(','))).filter(c => /^"?[=+@\t]|^"?-\D/.test(c))`); len(cells) > 0 {
			t.Errorf("%s: cells that a spreadsheet would run: %q", name, cells)
		}
		b.isQuiet(name)
	}
	for _, reader := range readersOfPages {
		inert(t, reader, d.page(t, reader, report.Options{Live: true}))
	}
	fragment, err := report.Article(d.result, report.Writeup{Trial: d.trial, Photos: d.shots, Draft: true}, report.Options{Units: quantity.US})
	if err != nil {
		t.Fatal(err)
	}
	inert(t, "fragment", foreign(fragment))
}

// foreign is somebody else's page with a fragment in it.
func foreign(fragment []byte) []byte {
	return []byte(`<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Elsewhere</title><link rel="icon" href="data:,">
<style>body{margin:0 auto;max-width:34rem;padding:1rem;overflow-wrap:anywhere;font-family:sans-serif}img{max-width:100%;height:auto}</style></head>
<body><header><h1>A site</h1></header><main>` + string(fragment) + `</main></body></html>`)
}

// The fragment of a demo, pasted into a page of somebody else: quiet, readable on
// a phone, its headings below those of the page, its pictures whole and with
// words for those who cannot see them.
func TestFragmentElsewhere(t *testing.T) {
	list, err := demos()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range list {
		fragment, err := report.Article(d.result, report.Writeup{Trial: d.trial, Photos: d.shots, Draft: true}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(path, foreign(fragment), 0o666); err != nil {
			t.Fatal(err)
		}
		b := open(t, path, view{width: 360, height: 640})
		b.fits(d.name, 360)
		b.accessible(d.name+" elsewhere", false, 360, rules)
		if bad := ask[[]string](b, `[...document.images].filter(i => !i.complete || !i.naturalWidth || !i.alt).map(i => i.outerHTML.slice(0, 60))`); len(bad) > 0 {
			t.Errorf("%s: pictures %q", d.name, bad)
		}
		if n := ask[int64](b, `document.images.length`); n < int64(len(d.shots))+1 {
			t.Errorf("%s: %d pictures", d.name, n)
		}
		b.isQuiet(d.name)
		if *shots != "" {
			png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*shots, "fragment-"+d.name+".png"), png, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		b.close()
	}
}
