package report

import (
	"encoding/xml"
	"flag"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report/reporttest"
)

var (
	update = flag.Bool("update", false, "write the golden pages anew")
	out    = flag.String("out", "", "write the pages of the fixtures to this folder, to be looked at")
)

func fixtures() map[string]*answer.Result {
	return map[string]*answer.Result{"pollack": reporttest.Pollack(), "trout": reporttest.Trout(), "hostile": reporttest.Hostile()}
}

func page(t *testing.T, r *answer.Result, o Options) string {
	t.Helper()
	b, err := Kitchen(r, o)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestGolden(t *testing.T) {
	t.Parallel()
	for name, r := range fixtures() {
		got := page(t, r, Options{})
		if *out != "" {
			if err := os.WriteFile(filepath.Join(*out, name+".html"), []byte(got), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		path := filepath.Join("testdata", name+".html")
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

func TestRepeatable(t *testing.T) {
	t.Parallel()
	for name, r := range fixtures() {
		a := page(t, r, Options{})
		if a != page(t, r, Options{}) {
			t.Errorf("%s differs the second time", name)
		}
		if a != page(t, fixtures()[name], Options{}) {
			t.Errorf("%s: the result was altered", name)
		}
	}
}

var (
	tags     = regexp.MustCompile(`(?s)<style>.*?</style>|<svg.*?</svg>|<[^>]*>`)
	anchors  = regexp.MustCompile(`href="data:image/svg\+xml;charset=utf-8,([^"]*)"`)
	idOf     = regexp.MustCompile(` id="([^"]*)"`)
	refOf    = regexp.MustCompile(` (?:aria-labelledby|aria-describedby|for)="([^"]*)"`)
	elements = regexp.MustCompile(`<([a-zA-Z!][a-zA-Z0-9-]*)`)
)

// saved are the pictures that links of the page hold.
func saved(t *testing.T, s string) (files []string) {
	t.Helper()
	for _, m := range anchors.FindAllStringSubmatch(s, -1) {
		file, err := url.PathUnescape(m[1])
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	return files
}

// bare is the page without the pictures in its links.
func bare(s string) string { return anchors.ReplaceAllString(s, `href="data:"`) }

// text is the page as one reads it in a unit: spans of the other are dropped.
func text(s, other string) string {
	drop := regexp.MustCompile(`<span class="` + other + `( q)?">[^<]*</span>|<t[hd][^>]* class="` + other + `">[^<]*|<t-` + other + `>[^<]*</t-.>`)
	s = bare(s)
	s = regexp.MustCompile(`</?(span|bdi|t-c|t-f)[^>]*>`).ReplaceAllString(drop.ReplaceAllString(s, ""), "")
	return strings.Join(strings.Fields(tags.ReplaceAllString(s, " ")), " ")
}

// Every sentence of the result stands on the page word for word, in both units.
func TestSentencesInBothUnits(t *testing.T) {
	t.Parallel()
	r := reporttest.Pollack()
	s := page(t, r, Options{})
	all := append([]answer.Sentence{r.Text.Answer, r.Text.Basis}, r.Text.Safety...)
	for _, more := range [][]answer.Sentence{r.Text.Doubt, r.Text.Compare, r.Text.Next, r.Text.Missing, r.Text.Cautions, r.Text.Units, r.Text.Method} {
		all = append(all, more...)
	}
	drop := func(other string) string {
		d := regexp.MustCompile(`<span class="`+other+`( q)?">[^<]*</span>`).ReplaceAllString(s, "")
		return regexp.MustCompile(`</?span[^>]*>`).ReplaceAllString(d, "")
	}
	for other, sys := range map[string]quantity.System{"f": quantity.Metric, "c": quantity.US} {
		shown := drop(other)
		for _, want := range all {
			if w := want.Text(sys); !strings.Contains(shown, ">"+w+"<") {
				t.Errorf("%q is not on the page", w)
			}
		}
	}
}

func TestOrderOfThePage(t *testing.T) {
	t.Parallel()
	s := text(page(t, reporttest.Pollack(), Options{}), "f")
	at := -1
	for _, part := range []string{"51.5 °C, dry-brined", "Not pasteurised:", "hold together", "Firmness passes 5 near", "What was cooked", "What differed", "Missing from the file", "SHA-256"} {
		i := strings.Index(s, part)
		if i < 0 {
			t.Fatalf("%q is missing in %s", part, s)
		}
		if i < at {
			t.Errorf("%q comes too early", part)
		}
		at = i
	}
}

func TestUnitShownFirst(t *testing.T) {
	t.Parallel()
	for sys, id := range map[quantity.System]string{quantity.Metric: "unit-c", quantity.US: "unit-f"} {
		s := page(t, reporttest.Pollack(), Options{Units: sys})
		if n := strings.Count(s, " checked>"); n != 1 {
			t.Errorf("%d buttons are checked", n)
		}
		if !regexp.MustCompile(`id="` + id + `"[^>]* checked>`).MatchString(s) {
			t.Errorf("%s is not checked", id)
		}
	}
}

// One file: nothing is fetched, nothing runs, and what a browser would refuse
// is not even asked for.
func TestSelfContained(t *testing.T) {
	t.Parallel()
	for name, r := range fixtures() {
		s := bare(page(t, r, Options{}))
		for _, el := range elements.FindAllStringSubmatch(s, -1) {
			switch strings.ToLower(el[1]) {
			case "script", "img", "iframe", "object", "embed", "form", "base", "audio", "video", "source", "image", "use", "foreignobject":
				t.Errorf("%s: element %s", name, el[1])
			}
		}
		if regexp.MustCompile(`(?i)<[^>]+\son[a-z]+\s*=`).MatchString(s) {
			t.Errorf("%s: an event handler", name)
		}
		for _, h := range regexp.MustCompile(`(?:href|src)="([^"]*)"`).FindAllStringSubmatch(s, -1) {
			if !strings.HasPrefix(h[1], "data:") && h[1] != "#answer" {
				t.Errorf("%s: reference to %q", name, h[1])
			}
		}
		if strings.Contains(s, "@import") || strings.Contains(s, "url(") {
			t.Errorf("%s: the style fetches something", name)
		}
		if !strings.Contains(s, `content="default-src &#39;none&#39;; style-src &#39;unsafe-inline&#39;; img-src data:"`) &&
			!strings.Contains(s, `content="default-src 'none'; style-src 'unsafe-inline'; img-src data:"`) {
			t.Errorf("%s: no policy", name)
		}
		if strings.Contains(s, "ZgotmplZ") {
			t.Errorf("%s: the template refused a value", name)
		}
	}
}

// The hostile page has the same elements as the same page without hostility,
// and shows the words as text.
func TestHostileWords(t *testing.T) {
	t.Parallel()
	s := page(t, reporttest.Hostile(), Options{})
	if strings.Contains(s, "alert(1)</script>") || strings.Contains(s, "<img") {
		t.Error("markup came through")
	}
	shown := text(s, "f")
	if n := strings.Count(shown, "&lt;script&gt;alert(1)&lt;/script&gt;"); n < 8 {
		t.Errorf("the words are shown %d times", n)
	}
	for _, r := range s {
		if r < 0x20 && r != '\n' && r != '\t' || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			t.Fatalf("the page holds %U", r)
		}
	}
	for _, file := range saved(t, s) {
		if strings.Contains(file, "<script") || strings.Contains(file, "\u202e") {
			t.Error("a saved picture holds markup")
		}
		d := xml.NewDecoder(strings.NewReader(file))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("a saved picture is no XML: %v", err)
			}
		}
	}
}

func TestIDsAndReferences(t *testing.T) {
	t.Parallel()
	for name, r := range fixtures() {
		s := bare(page(t, r, Options{}))
		ids := map[string]bool{}
		for _, m := range idOf.FindAllStringSubmatch(s, -1) {
			if ids[m[1]] {
				t.Errorf("%s: id %q twice", name, m[1])
			}
			ids[m[1]] = true
		}
		for _, m := range refOf.FindAllStringSubmatch(s, -1) {
			if !ids[m[1]] {
				t.Errorf("%s: reference to %q, which is nowhere", name, m[1])
			}
		}
	}
}

// A saved picture carries the caution, n, the source and the date.
func TestSavedPicture(t *testing.T) {
	t.Parallel()
	files := saved(t, page(t, reporttest.Pollack(), Options{}))
	if len(files) != 4 {
		t.Fatalf("%d pictures to save, want two measures in two units", len(files))
	}
	for _, file := range files {
		words := strings.Join(strings.Fields(tags.ReplaceAllString(strings.TrimPrefix(file, "<svg"), " ")), " ")
		for _, want := range []string{"Not pasteurised:", "weakened immunity", "18 cooks", "Saltholm test kitchen", "2026-02-11", "Invented data", "pollack.yaml 0b7c1f7a3f2f"} {
			if !strings.Contains(words, want) {
				t.Errorf("%q does not travel with the picture: %s", want, words)
			}
		}
	}
}

// What is not known is not on the page, and nothing is left of it.
func TestAlmostNothingKnown(t *testing.T) {
	t.Parallel()
	s := page(t, reporttest.Trout(), Options{})
	shown := text(s, "f")
	for _, want := range []string{"For now: 50 °C came closest", "No verdict. The form of the fish is not stated.", "One cook each", "Firmness of each cook"} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q is missing in %s", want, shown)
		}
	}
	for _, not := range []string{"Cautions", "How it was worked out", "Notes of the cook", "Asked:", "The band", "NaN", "not computed"} {
		if strings.Contains(shown, not) {
			t.Errorf("%q stands on the page", not)
		}
	}
	if s := page(t, &answer.Result{}, Options{}); !strings.Contains(s, "<main>") || strings.Contains(s, "<figure") {
		t.Error("a result of nothing gives no page, or a figure of nothing")
	}
	if _, err := Kitchen(nil, Options{}); err == nil {
		t.Error("no result gives a page")
	}
}

func TestFilesBeside(t *testing.T) {
	t.Parallel()
	got := filesBeside(answer.Ref{File: "a.yaml", Files: []string{"a.yaml", "cooks.csv", "logs/1.csv", "logs/2.csv", "scores.csv"}})
	if d := cmp.Diff([]string{"cooks.csv", "logs/ (2)", "scores.csv"}, got); d != "" {
		t.Error(d)
	}
}

// A caution is always under the answer, also when the prose brings none.
func TestCautionUnderAnswer(t *testing.T) {
	t.Parallel()
	for name, r := range fixtures() {
		s := page(t, r, Options{})
		a, n, d := strings.Index(s, `class="answer"`), strings.Index(s, `role="note"`), strings.Index(s, `id="sure"`)
		if a < 0 || n < a || d >= 0 && d < n {
			t.Errorf("%s: answer at %d, caution at %d, doubt at %d", name, a, n, d)
		}
	}
}
