package report

import (
	"encoding/csv"
	"encoding/json"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report/reporttest"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// records are the fixtures with what a science report shows beside them.
func records() map[string]Record {
	return map[string]Record{
		"pollack": {Trial: reporttest.Trial(), Command: "tamis report --for science --out FILE.html pollack.yaml"},
		"trout":   {},
		"hostile": {Trial: reporttest.HostileTrial(), Command: "tamis report --for science '</script>'"},
	}
}

func sciencePageOf(t *testing.T, name string, o Options) string {
	t.Helper()
	b, err := Science(fixtures()[name], records()[name], o)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The golden pages are without the style sheet, which all pages share.
func TestScienceGolden(t *testing.T) {
	t.Parallel()
	for name := range records() {
		got := sciencePageOf(t, name, Options{})
		if got != sciencePageOf(t, name, Options{}) {
			t.Errorf("%s differs the second time", name)
		}
		got = styles.ReplaceAllString(got, "")
		path := filepath.Join("testdata", "science-"+name+".html")
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

var styles = regexp.MustCompile(`(?s)<style>.*?</style>\n`)

var dataLinks = regexp.MustCompile(`download="([^"]*)" href="data:text/csv;charset=utf-8,([^"]*)"`)

// tablesIn are the files that the page holds, by name.
func tablesIn(t *testing.T, page string) map[string][][]string {
	t.Helper()
	out := map[string][][]string{}
	for _, m := range dataLinks.FindAllStringSubmatch(page, -1) {
		text, err := url.PathUnescape(m[2])
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", m[1], err)
		}
		out[m[1]] = rows
	}
	return out
}

// The page holds the data as they were written down, with tasters by number.
func TestScienceData(t *testing.T) {
	t.Parallel()
	page := sciencePageOf(t, "pollack", Options{})
	files := tablesIn(t, page)
	for name, rows := range map[string]int{"pollack-cooks.csv": 18, "pollack-pieces.csv": 36, "pollack-scores.csv": 72} {
		if got := len(files[name]) - 1; got != rows {
			t.Errorf("%s has %d rows, want %d", name, got, rows)
		}
	}
	if d := cmp.Diff([]string{"id", "set_point", "minutes", "session", "order"}, files["pollack-cooks.csv"][0]); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"A", "44", "60", "first", "1"}, files["pollack-cooks.csv"][1]); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"P1", "A1", "A", "1.5"}, files["pollack-scores.csv"][1]); d != "" {
		t.Error(d)
	}
	for _, name := range []string{"anna", "ben"} {
		if strings.Contains(page, name) {
			t.Errorf("the page names %s", name)
		}
	}
}

// Words of the file are text, and no cell of a file would be run.
func TestScienceHostile(t *testing.T) {
	t.Parallel()
	page := sciencePageOf(t, "hostile", Options{})
	// The page's own: the feet of its figures, as data, and what saves them.
	own := regexp.MustCompile(`(?s)<script type="application/json" id="feet">.*?</script>`).ReplaceAllString(strings.Replace(page, "<script>"+saver+"</script>", "", 1), "")
	if strings.Contains(own, "<script") || strings.Contains(page, "<img") {
		t.Error("markup came through")
	}
	for _, r := range page {
		if r < 0x20 && r != '\n' && r != '\t' || r >= 0x202A && r <= 0x202E {
			t.Fatalf("the page holds %U", r)
		}
	}
	kept := false
	for name, rows := range tablesIn(t, page) {
		for _, row := range rows {
			for _, cell := range row {
				kept = kept || cell == "'@SUM(A1)"
				if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n|%") {
					t.Errorf("%s: a spreadsheet would run %q", name, cell)
				}
			}
		}
	}
	if !kept {
		t.Error("the cells to be kept from running are not there")
	}
}

// What a figure has under it when it is saved stands in the page once for all
// figures that share it, and every figure finds its own.
func TestFeet(t *testing.T) {
	t.Parallel()
	page := sciencePageOf(t, "pollack", Options{})
	m := regexp.MustCompile(`(?s)id="feet">(.*?)</script>`).FindStringSubmatch(page)
	if m == nil {
		t.Fatal("no feet")
	}
	var feet [][][]string
	if err := json.Unmarshal([]byte(m[1]), &feet); err != nil {
		t.Fatal(err)
	}
	r := fixtures()["pollack"]
	want := [][]string{}
	for _, f := range footer(r) {
		line := []string{f.Metric}
		if f.Dual() {
			line = append(line, f.US)
		}
		want = append(want, line)
	}
	if d := cmp.Diff(want, feet[0]); d != "" {
		t.Errorf("the first foot (-want +got): %s", d)
	}
	for _, k := range regexp.MustCompile(`data-foot="(\d+)"`).FindAllStringSubmatch(page, -1) {
		if n, _ := strconv.Atoi(k[1]); n >= len(feet) {
			t.Errorf("foot %d of %d", n, len(feet))
		}
	}
	// Every class of a picture has its rule.
	looks := regexp.MustCompile(`(?s)<style id="looks">(.*?)</style>`).FindStringSubmatch(page)[1]
	for _, k := range regexp.MustCompile(`class="(k[0-9a-z]+)"`).FindAllStringSubmatch(page, -1) {
		if !strings.Contains(looks, "."+k[1]+"{") {
			t.Errorf("class %s has no rule", k[1])
		}
	}
}

func TestInert(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{"": "", "-2.5": "-2.5", "1e3": "1e3", "head": "head", "=1+1": "'=1+1", "+1+1|cmd": "'+1+1|cmd", "-2+3": "'-2+3", "@A1": "'@A1",
		"\t=1": "'\t=1", "  =1": "'  =1", "＝1": "'＝1", "a=1": "a=1", "\u202e=1": "'=1"} {
		if got := inert(in); got != want {
			t.Errorf("inert(%q) = %q, want %q", in, got, want)
		}
	}
}

// Everything that has a number can be linked to: no id stands twice, and every
// reference leads somewhere on the page; nothing is asked of anywhere else.
func TestScienceLinks(t *testing.T) {
	t.Parallel()
	for name := range records() {
		page := dataLinks.ReplaceAllString(bare(sciencePageOf(t, name, Options{})), "")
		ids := map[string]bool{}
		for _, m := range idOf.FindAllStringSubmatch(page, -1) {
			if ids[m[1]] {
				t.Errorf("%s: id %q twice", name, m[1])
			}
			ids[m[1]] = true
		}
		links := 0
		for _, m := range regexp.MustCompile(`(?:href|src)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
			to, inside := strings.CutPrefix(m[1], "#")
			if inside && !ids[to] || !inside && !strings.HasPrefix(m[1], "data:") {
				t.Errorf("%s: reference to %q", name, m[1])
			}
			links++
		}
		for _, m := range refOf.FindAllStringSubmatch(page, -1) {
			if !ids[m[1]] {
				t.Errorf("%s: reference to %q", name, m[1])
			}
		}
		if links < 20 {
			t.Errorf("%s: %d links", name, links)
		}
		if strings.Contains(page, "NaN") || strings.Contains(page, "ZgotmplZ") || strings.Contains(page, "+Inf") {
			t.Errorf("%s holds what is no number", name)
		}
	}
	shown := text(sciencePageOf(t, "pollack", Options{}), "f")
	for _, what := range []string{"Table", "Figure"} {
		for n := 1; ; n++ {
			if !strings.Contains(shown, what+" "+strconv.Itoa(n)+".") {
				if n < 5 {
					t.Errorf("%ss end at %d", what, n-1)
				}
				break
			}
		}
	}
}

func TestScienceOfNothing(t *testing.T) {
	t.Parallel()
	b, err := Science(&answer.Result{}, Record{}, Options{})
	if err != nil || !strings.Contains(string(b), "<main>") || strings.Contains(string(b), "<figure") {
		t.Errorf("a result of nothing: %v", err)
	}
	if _, err := Science(nil, Record{}, Options{}); err == nil {
		t.Error("no result gives a page")
	}
	// Not to be eaten: no window, no best set point, no decision, no next cook.
	r := reporttest.Pollack()
	r.Safety.Verdict = answer.VerdictDoNotEat
	r.Next = []texture.NextCook{{SetPoint: 50, Method: "plain", Repeats: 2, Narrows: quantity.Num(0.1)}}
	r.Text.Next = nil
	tr := reporttest.Trial()
	tr.Decision = trial.Some(trial.Decision{SetPoint: trial.Some(quantity.Celsius(49.3)), Time: trial.Some(quantity.FromMinutes(61))})
	b, err = Science(r, Record{Trial: tr}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, not := range []string{"49.3", "Best set point", "Chance at least", "would narrow"} {
		if strings.Contains(text(string(b), "f"), not) {
			t.Errorf("%q stands on the page of what is not to be eaten", not)
		}
	}
}

func TestRunsOf(t *testing.T) {
	t.Parallel()
	tr := reporttest.Trial()
	rs, ok := runsOf(tr)
	if !ok || rs.most != 6 || len(rs.sessions) != 3 {
		t.Fatalf("%+v %v", rs, ok)
	}
	seen := map[int]bool{}
	for i, r := range rs.of {
		if r.order != tr.Cooks[i].Order.V || seen[r.all] {
			t.Errorf("cook %d: %+v", i, r)
		}
		seen[r.all] = true
	}
	tr.Cooks[3].Order = trial.Opt[int]{}
	if _, ok := runsOf(tr); ok {
		t.Error("an order that is not written down is known")
	}
	if _, ok := runsOf(&trial.Trial{}); ok {
		t.Error("no cooks have an order")
	}
}

func TestSignificant(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		v    float64
		n    int
		want string
	}{{0, 3, "0"}, {0.0907, 3, "0.0907"}, {12.345, 3, "12.3"}, {-0.5, 2, "−0.50"}, {686.93742, 7, "686.9374"}, {99.96, 3, "100"}, {4e-13, 2, "4.0e−13"}, {1234567, 3, "1230000"}} {
		if got := significant(x.v, x.n); got != x.want {
			t.Errorf("significant(%v, %d) = %q, want %q", x.v, x.n, got, x.want)
		}
	}
}

func TestCSSString(t *testing.T) {
	t.Parallel()
	if got, want := cssString(`a "b"</style>`), `"a \22 b\22 \3c \2f style\3e "`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
