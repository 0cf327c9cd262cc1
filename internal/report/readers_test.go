package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/png"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/quantity"
	"tamis/internal/report/photo"
	"tamis/internal/report/reporttest"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// drawnPhoto is a plain coloured picture.
func drawnPhoto(t *testing.T, w, h int) *photo.Photo {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = []byte{180, 160, 140, 255}[i%4]
	}
	m.Set(w/2, h/2, color.White)
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// writeups are the fixtures with a trial, photos and a conclusion beside them.
func writeups(t *testing.T) map[string]Writeup {
	t.Helper()
	return map[string]Writeup{
		"pollack": reporttestWriteup(t, `Cook it at 52 °C. At 56 °C it is twice as firm.`, "A cook's photo"),
		"trout":   {Trial: reporttest.TroutTrial(), Draft: true},
		"hostile": reporttestWriteup(t, hostileWords, hostileWords),
	}
}

const hostileWords = `</script><script>alert(1)</script><img src=x onerror=alert(2)> "q" 'q' {{.}}`

func reporttestWriteup(t *testing.T, conclusion, words string) Writeup {
	t.Helper()
	x := reporttest.PollackTrial()
	x.Conclusion = trial.Some(conclusion)
	w := Writeup{Trial: x, Draft: true}
	for i, of := range []string{"A", "B", "C", ""} {
		p := trial.Photo{File: "p.png", Caption: trial.Some(words), Credit: trial.Some(words), Licence: trial.Some("CC0")}
		if of != "" {
			p.Of = trial.Some(of)
		}
		if i%2 == 0 {
			p.Alt = trial.Some(words)
		}
		w.Photos = append(w.Photos, Shot{Of: p, Photo: drawnPhoto(t, 300+100*i, 200)})
	}
	return w
}

func readersPageOf(t *testing.T, name string, o Options) string {
	t.Helper()
	r := fixtures()[name]
	if name == "pollack" {
		r.Safety.Verdict, r.Windows[0].Mean.Top = answer.VerdictNotPasteurised, quantity.Num(0.9)
		r.Findings = []fairness.Finding{
			{Slug: "ratio-on-ratings", Outcome: fairness.Fires, Severity: fairness.Weakens, Text: answer.Say("“twice as” treats scores as amounts. Say “these pieces scored 1.4 higher”."),
				Where: fairness.Where{Quote: "At 56 °C it is twice as firm.", Fields: []string{"conclusion"}}},
			{Slug: "one-lot", Outcome: fairness.Fires, Severity: fairness.Note, Text: answer.Say("All pieces came from one delivery."), Accepted: &fairness.Accepted{Because: "Only one came that week."}},
		}
	}
	b, err := Readers(r, writeups(t)[name], o)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestReadersGolden(t *testing.T) {
	t.Parallel()
	for name := range fixtures() {
		got := readersPageOf(t, name, Options{})
		if got != readersPageOf(t, name, Options{}) {
			t.Errorf("%s differs the second time", name)
		}
		path := filepath.Join("testdata", name+"-readers.html")
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), got); d != "" {
			t.Errorf("%s (-want +got, renew with -update):\n%s", name, d)
		}
	}
}

// readable is the page as it is read in °C, without styles and scripts.
func readable(s string) string {
	return text(regexp.MustCompile(`(?s)<script.*?</script>`).ReplaceAllString(s, " "), "f")
}

// The order of the page: the answer with its doubt, who may eat it, how sure,
// and only then the story; the caution is the first step of the method.
func TestReadersOrder(t *testing.T) {
	t.Parallel()
	raw := readersPageOf(t, "pollack", Options{})
	s := readable(raw)
	at := -1
	for _, part := range []string{"51.5 °C, dry-brined", "hold together", "Not pasteurised:", "How sure is this", "Holds for:", "thinner than they looked", "Side by side",
		"Firmness passes 5", "Before you cook", "As it was cooked", "What this trial cannot tell", "What the author concludes", "twice as firm", "Say “these pieces", "Known, and lived with", "Only one came that week.", "The data", "SHA-256"} {
		i := strings.Index(s, part)
		if i < 0 {
			t.Fatalf("%q is missing in %s", part, s)
		}
		if i < at {
			t.Errorf("%q comes too early", part)
		}
		at = i
	}
	if !regexp.MustCompile(`<ol>\s*<li class="first">Not pasteurised:`).MatchString(raw) {
		t.Error("the method does not begin with the caution")
	}
	if regexp.MustCompile(`\bL[0-4]\b`).MatchString(s) {
		t.Error("a level is shown by its number")
	}
	if !strings.Contains(raw, "<em>thinner</em>") {
		t.Error("the story is not read as Markdown")
	}
}

// The trout: the first thing that is said is that nothing is known.
func TestReadersOfOneCookEach(t *testing.T) {
	t.Parallel()
	r, w := reporttest.Trout(), writeups(t)["trout"]
	r.Safety.Verdict = answer.VerdictNotPasteurised
	r.Units = []texture.Unit{{Factor: "set_point", Unit: "cook", N: 3, Levels: []string{"46", "50", "54"}}}
	r.Windows = []texture.Window{{Headline: true, Closest: &texture.ClosestCook{SetPoint: quantity.Num(50)}}}
	b, err := Readers(r, w, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := string(b)
	if !strings.Contains(s, `<p class="answer">This does not show which set point is best.</p>`) {
		t.Errorf("the page sounds sure: %s", readable(s)[:400])
	}
	for _, not := range []string{"tends to", "is best at", "Firmness passes"} {
		if strings.Contains(readable(s), not) {
			t.Errorf("the page says %q", not)
		}
	}
}

func TestReadersBlocked(t *testing.T) {
	t.Parallel()
	text := answer.Say("Each was cooked once.")
	for name, c := range map[string]struct {
		f       fairness.Finding
		blocked bool
	}{
		"blocks":                  {fairness.Finding{Slug: "x", Outcome: fairness.Fires, Severity: fairness.Blocks, Text: text}, true},
		"weakens":                 {fairness.Finding{Slug: "x", Outcome: fairness.Fires, Severity: fairness.Weakens, Text: text}, false},
		"accepted":                {fairness.Finding{Slug: "x", Outcome: fairness.Fires, Severity: fairness.Blocks, Text: text, Accepted: &fairness.Accepted{Because: "y"}}, false},
		"clear":                   {fairness.Finding{Slug: "safe-words", Outcome: fairness.Clear}, false},
		"safe words":              {fairness.Finding{Slug: "safe-words", Outcome: fairness.Fires, Severity: fairness.Blocks, Text: text, Under: "y"}, true},
		"safe words, accepted":    {fairness.Finding{Slug: "safe-words", Outcome: fairness.Fires, Severity: fairness.Blocks, Text: text, Accepted: &fairness.Accepted{}}, true},
		"part of something wider": {fairness.Finding{Slug: "x", Outcome: fairness.Fires, Severity: fairness.Blocks, Text: text, Under: "y"}, false},
	} {
		r := reporttest.Pollack()
		r.Findings = []fairness.Finding{c.f}
		for _, make := range []func(*answer.Result, Writeup, Options) ([]byte, error){Readers, Article} {
			if _, err := make(r, Writeup{}, Options{}); errors.Is(err, ErrBlocked) != c.blocked || err != nil && !c.blocked {
				t.Errorf("%s: %v", name, err)
			}
			b, err := make(r, Writeup{Draft: true}, Options{})
			if err != nil || strings.Contains(string(b), "Draft, not to be published") != c.blocked {
				t.Errorf("%s, as a draft: %v", name, err)
			}
			if !strings.Contains(string(b), "Not pasteurised:") {
				t.Errorf("%s: the caution is gone", name)
			}
		}
	}
}

// Whatever is written, nothing runs and nothing is asked for.
func TestReadersHostile(t *testing.T) {
	t.Parallel()
	for name := range fixtures() {
		s := bare(readersPageOf(t, name, Options{}))
		for _, el := range elements.FindAllStringSubmatch(s, -1) {
			switch strings.ToLower(el[1]) {
			case "iframe", "object", "embed", "form", "base", "audio", "video", "source", "image", "use", "foreignobject":
				t.Errorf("%s: element %s", name, el[1])
			}
		}
		if n := strings.Count(s, "<script"); n != 1 || !strings.Contains(s, `<script type="application/ld+json">{`) {
			t.Errorf("%s: %d scripts", name, n)
		}
		for _, m := range regexp.MustCompile(`<img src="([^"]{0,30})`).FindAllStringSubmatch(s, -1) {
			if !strings.HasPrefix(m[1], "data:image/png;base64,") && !strings.HasPrefix(m[1], "data:image/jpeg;base64,") {
				t.Errorf("%s: a picture from %q", name, m[1])
			}
		}
		// Attributes are matched outside of quotation marks: words stand inside.
		loose := regexp.MustCompile(`"[^"]*"`).ReplaceAllString(s, `""`)
		if on := regexp.MustCompile(`(?i)<[a-z][^>]*\son[a-z]+\s*=`).FindString(loose); on != "" {
			t.Errorf("%s: an event handler: %s", name, on)
		}
		if strings.Contains(s, "javascript:") || strings.Contains(s, "ZgotmplZ") {
			t.Errorf("%s: an address that runs, or a value that the template refused", name)
		}
		if strings.Contains(s, "script-src") {
			t.Errorf("%s: the policy allows scripts", name)
		}
	}
}

func TestReadersMetadata(t *testing.T) {
	t.Parallel()
	for name := range fixtures() {
		m := regexp.MustCompile(`(?s)<script type="application/ld\+json">(.*?)</script>`).FindStringSubmatch(readersPageOf(t, name, Options{}))
		if m == nil {
			t.Fatalf("%s: no metadata", name)
		}
		var d map[string]any
		if err := json.Unmarshal([]byte(m[1]), &d); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d["@type"] != "Article" || d["@context"] != "https://schema.org" {
			t.Errorf("%s: %v", name, d)
		}
		if name == "pollack" && !strings.Contains(d["abstract"].(string), "Not pasteurised:") {
			t.Error("the abstract goes without its caution")
		}
	}
}

// A strip is at one scale: the widths of its pictures are to each other as
// those of the photos.
func TestReadersStrip(t *testing.T) {
	t.Parallel()
	strip, single, err := shotsOf(writeups(t)["pollack"], nil)
	if err != nil || len(strip) != 3 || len(single) != 1 {
		t.Fatalf("%d and %d photos, %v", len(strip), len(single), err)
	}
	for i, want := range []int{60, 80, 100} {
		if strip[i].Share != want {
			t.Errorf("photo %d takes %d %% of its cell, want %d", i, strip[i].Share, want)
		}
		if i > 0 && abs(float64(strip[i].Width)/float64(strip[0].Width)-float64(300+100*i)/300) > 0.01 {
			t.Errorf("photo %d is %d px wide beside %d", i, strip[i].Width, strip[0].Width)
		}
	}
	if strip[1].Alt == "" || strip[1].Alt == strip[1].Caption {
		t.Errorf("no words for a photo without a description: %q", strip[1].Alt)
	}
	if one, rest, err := shotsOf(Writeup{Trial: reporttest.PollackTrial(), Photos: writeups(t)["pollack"].Photos[:1]}, nil); err != nil || len(one) != 0 || len(rest) != 1 {
		t.Errorf("a photo alone stands in a strip of %d", len(one))
	}
}

func TestReadersData(t *testing.T) {
	t.Parallel()
	x := reporttest.PollackTrial()
	x.Cooks[0].ID = "=cmd|' /C calc'!A0"
	x.Panel.V.Scores[0].Cook = x.Cooks[0].ID
	links, _ := openData(x, reporttest.Pollack())
	if len(links) != 1 {
		t.Fatalf("%d files", len(links))
	}
	_, enc, _ := strings.Cut(string(links[0].Href), "utf-8,")
	file, err := url.PathUnescape(strings.TrimSuffix(enc, `"`))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(file)).ReadAll()
	if err != nil || len(rows) < 4 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if rows[1][0] != "'=cmd|' /C calc'!A0" || rows[1][1] != "48" || rows[1][6] != "firmness" || rows[1][9] != "4" {
		t.Errorf("row %q", rows[1])
	}
}

// The fragment is one <article> of plain HTML, in one unit system.
func TestArticle(t *testing.T) {
	t.Parallel()
	for name := range fixtures() {
		for sys, not := range map[quantity.System]string{quantity.Metric: "125 °F", quantity.US: "51.5 °C"} {
			b, err := Article(fixtures()[name], writeups(t)[name], Options{Units: sys, Live: true})
			if err != nil {
				t.Fatal(err)
			}
			s := string(b)
			if !strings.HasPrefix(s, `<article class="tamis">`) || !strings.HasSuffix(strings.TrimSpace(s), "</article>") || strings.Count(s, "<article") != 1 {
				t.Errorf("%s is no article", name)
			}
			for _, el := range elements.FindAllStringSubmatch(s, -1) {
				switch strings.ToLower(el[1]) {
				case "script", "style", "input", "svg", "link", "meta", "iframe", "form", "h1":
					t.Errorf("%s: element %s", name, el[1])
				}
			}
			if strings.Contains(s, " id=") || strings.Contains(s, " style=") || strings.Contains(s, not) || strings.Contains(s, "ZgotmplZ") {
				t.Errorf("%s in %s holds what a fragment must not", name, sys)
			}
		}
	}
}

func TestDecimalComma(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"<p>5.5 °C to 6.25.</p>":                                                                 "<p>5,5 °C to 6,25.</p>",
		"<p>tamis 0.1.0, fig.5, a2.5 and v1.2</p>":                                               "<p>tamis 0.1.0, fig.5, a2.5 and v1.2</p>",
		"<p>10.1007/b12 and −1.5 (0.8)</p>":                                                      "<p>10.1007/b12 and −1,5 (0,8)</p>",
		`<p dir="auto">1.5 <b>2.5</b></p><p>3.5</p>`:                                             `<p dir="auto">1.5 <b>2.5</b></p><p>3,5</p>`,
		"<bdi>1.5 <bdi>2.5</bdi> 3.5</bdi>4.5":                                                   "<bdi>1.5 <bdi>2.5</bdi> 3.5</bdi>4,5",
		"<style>a{b:1.5rem}</style><code>1.5</code>1.5":                                          "<style>a{b:1.5rem}</style><code>1.5</code>1,5",
		`<svg><path d="M1.5 2.5"/><text>1.5</text></svg>`:                                        `<svg><path d="M1.5 2.5"/><text>1,5</text></svg>`,
		`<a title="a>1.5" x='>1.5'>1.5</a>`:                                                      `<a title="a>1.5" x='>1.5'>1,5</a>`,
		`<a href="data:image/svg+xml;charset=utf-8,<svg x='1.5'><text>1.5</text></svg>">1.5</a>`: `<a href="data:image/svg+xml;charset=utf-8,<svg x='1.5'><text>1,5</text></svg>">1,5</a>`,
		`<script type="application/json" class="live-data">{"a":1.5,"b":"1.5 \"2.5"}</script>`:   `<script type="application/json" class="live-data">{"a":1.5,"b":"1,5 \"2,5"}</script>`,
		`<script type="application/json" id="feet">["1.5 °C"]</script>`:                          `<script type="application/json" id="feet">["1,5 °C"]</script>`,
		`<script type="application/ld+json">{"a":"1.5"}</script>`:                                `<script type="application/ld+json">{"a":"1.5"}</script>`,
		"gradient 4.0e−13. p 1.2e-5, 1.5e and 1.5ed":                                             "gradient 4,0e−13. p 1,2e-5, 1.5e and 1.5ed",
		`<script>var a = "1.5"</script>`:                                                         `<script>var a = "1.5"</script>`,
		"<":                                                                                      "<", "": "", "1.": "1.", ".5": ".5", "1.5": "1,5", "1..5": "1..5", `<a b="`: `<a b="`,
	} {
		if got := string(DecimalComma([]byte(in))); got != want {
			t.Errorf("%s becomes %s, want %s", in, got, want)
		}
	}
	for _, make := range []func() string{func() string { return readersPageOf(t, "pollack", Options{}) }, func() string { return page(t, reporttest.Pollack(), Options{}) }} {
		before := make()
		after := string(DecimalComma([]byte(before)))
		if len(after) != len(before) || strings.ReplaceAll(after, ",", ".") != strings.ReplaceAll(before, ",", ".") {
			t.Error("more than points was changed")
		}
		if s := text(regexp.MustCompile(`(?s)<(code|script|style)[^>]*>.*?</(code|script|style)>|tamis 0.1.0|data:[^"]*"`).ReplaceAllString(after, ""), "f"); regexp.MustCompile(`\d\.\d`).MatchString(s) {
			t.Errorf("a point is left: %q", regexp.MustCompile(`.{20}\d\.\d.{10}`).FindString(s))
		}
	}
}

func FuzzDecimalComma(f *testing.F) {
	f.Add(`<p dir="auto">1.5</p><script class="live-data">"1.5`)
	f.Add(`<a href="data:image/svg+xml;charset=utf-8,<`)
	f.Add(`<a aria-label="1.5`)
	f.Fuzz(func(t *testing.T, s string) {
		got := string(DecimalComma([]byte(s)))
		if len(got) != len(s) || strings.ReplaceAll(got, ",", ".") != strings.ReplaceAll(s, ",", ".") {
			t.Fatalf("%q becomes %q", s, got)
		}
	})
}
