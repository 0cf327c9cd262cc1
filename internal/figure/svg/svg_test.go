package svg

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/figure"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

type variant struct {
	fig   figure.Figure
	size  Size
	units figure.Units
}

func (v variant) String() string { return fmt.Sprintf("%s-%d-%d", v.fig.ID, v.size, v.units) }

func variants() (vs []variant) {
	for _, f := range examples() {
		for _, s := range []Size{Wide, Narrow} {
			for _, u := range []figure.Units{figure.Metric, figure.US} {
				vs = append(vs, variant{f, s, u})
			}
		}
	}
	return vs
}

func (v variant) inline(t *testing.T) string {
	t.Helper()
	s, err := Inline(v.fig, Options{Prefix: "p-", Units: v.units, Size: v.size})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestGolden(t *testing.T) {
	t.Parallel()
	for _, f := range examples() {
		inline, err := Inline(f, Options{Prefix: "g-", Size: Narrow})
		if err != nil {
			t.Fatal(err)
		}
		file, err := Standalone(f, figure.US)
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range map[string]string{f.ID + "-inline.svg": inline, f.ID + "-file.svg": string(file)} {
			path := filepath.Join("testdata", name)
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
}

// Every picture is well-formed XML without a script, a number that is none, or
// a reference to anywhere else.
func TestWellFormed(t *testing.T) {
	t.Parallel()
	check := func(name, s string) {
		d := xml.NewDecoder(strings.NewReader(s))
		d.Strict = true
		for {
			tok, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			el, ok := tok.(xml.StartElement)
			if !ok {
				continue
			}
			switch el.Name.Local {
			case "svg", "title", "desc", "path", "circle", "text", "rect", "g":
			default:
				t.Errorf("%s: element %s", name, el.Name.Local)
			}
			seen := map[string]bool{}
			for _, a := range el.Attr {
				if seen[a.Name.Local] { // the decoder lets it pass, XML does not
					t.Errorf("%s: attribute %s twice in %s", name, a.Name.Local, el.Name.Local)
				}
				seen[a.Name.Local] = true
				if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" || strings.Contains(a.Value, "url(") {
					t.Errorf("%s: attribute %s=%q", name, a.Name.Local, a.Value)
				}
			}
		}
		for _, bad := range []string{"NaN", "Inf", "\u202e", "\u202c", "%!"} {
			if strings.Contains(s, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
	}
	for _, v := range variants() {
		s := v.inline(t)
		check(v.String(), s)
		if strings.Contains(s, "#") && strings.Contains(strings.ReplaceAll(s, "&#39;", ""), "#") {
			t.Errorf("%s: a colour that is no variable", v)
		}
		if strings.Contains(s, "http") {
			t.Errorf("%s: an address in an inline picture", v)
		}
	}
	for _, f := range examples() {
		b, err := Standalone(f, figure.Metric)
		if err != nil {
			t.Fatal(err)
		}
		check(f.ID, string(b))
		if strings.Contains(string(b), "var(") {
			t.Errorf("%s: a variable in a file of its own", f.ID)
		}
	}
}

var decimals = regexp.MustCompile(`\d\.\d{3,}`)

func TestTwoDecimals(t *testing.T) {
	t.Parallel()
	for _, v := range variants() {
		if m := decimals.FindString(v.inline(t)); m != "" {
			t.Errorf("%s: %s", v, m)
		}
	}
}

// The same figure gives the same bytes and is not altered by being drawn.
func TestRepeatable(t *testing.T) {
	t.Parallel()
	before := examples()
	for i, v := range variants() {
		a, b := v.inline(t), v.inline(t)
		if a != b {
			t.Errorf("%s differs the second time", v)
		}
		if !reflect.DeepEqual(v.fig, before[i/4]) {
			t.Errorf("%s was altered", v)
		}
	}
}

// Both unit systems share one geometry: the frame and everything that is not a
// word or a tick.
func TestUnitsShareGeometry(t *testing.T) {
	t.Parallel()
	ids := regexp.MustCompile(`(?s)<text.*?</text>|<title.*?</title>|<desc.*?</desc>|aria-\S+`)
	for _, f := range examples() {
		f.X.US, f.X.Unit = nil, figure.Text{} // same ticks: what remains must be equal
		f.Y.US, f.Y.Unit = nil, figure.Text{}
		for _, s := range []Size{Wide, Narrow} {
			m, us := variant{f, s, figure.Metric}.inline(t), variant{f, s, figure.US}.inline(t)
			if d := cmp.Diff(ids.ReplaceAllString(m, ""), ids.ReplaceAllString(us, "")); d != "" {
				t.Errorf("%s: %s", f.ID, d)
			}
		}
	}
	for _, f := range examples() {
		for _, s := range []Size{Wide, Narrow} {
			m, us := layout(f, s, figure.Metric), layout(f, s, figure.US)
			m.xTitle, m.yTitle, us.xTitle, us.yTitle = nil, nil, nil, nil
			if !reflect.DeepEqual(m, us) {
				t.Errorf("%s: frames differ: %+v and %+v", f.ID, m, us)
			}
		}
	}
}

type box struct {
	s              string
	x0, x1, y0, y1 float64
}

var texts = regexp.MustCompile(`<text x="([-0-9.]+)" y="([-0-9.]+)" font-size="([0-9.]+)"([^>]*)>([^<]*)</text>`)

// boxesOf are the places that the words of a picture take, by the measure of
// the layout without its allowance for wider fonts.
func boxesOf(s string) (bs []box) {
	unescape := strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&", "&quot;", `"`, "&#39;", "'")
	for _, m := range texts.FindAllStringSubmatch(s, -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		y, _ := strconv.ParseFloat(m[2], 64)
		size, _ := strconv.ParseFloat(m[3], 64)
		w := width(unescape.Replace(m[5]), size, false) / 1.05
		switch {
		case strings.Contains(m[4], `"middle"`):
			x -= w / 2
		case strings.Contains(m[4], `"end"`):
			x -= w
		}
		bs = append(bs, box{m[5], x, x + w, y - 0.72*size, y})
	}
	return bs
}

// No word overlaps another and none leaves the picture, at either width, in
// either unit.
func TestWordsKeepApart(t *testing.T) {
	t.Parallel()
	for _, v := range variants() {
		s := v.inline(t)
		h := layout(v.fig, v.size, v.units).h
		bs := boxesOf(s)
		if len(bs) < 5 {
			t.Errorf("%s: only %d words found", v, len(bs))
		}
		for i, a := range bs {
			if a.x0 < -0.5 || a.x1 > v.size.Width()+0.5 || a.y0 < -0.5 || a.y1 > h+0.5 {
				t.Errorf("%s: %q leaves the picture: %+v", v, a.s, a)
			}
			for _, b := range bs[:i] {
				if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
					t.Errorf("%s: %q lies on %q", v, a.s, b.s)
				}
			}
		}
	}
}

func TestWordsAreLargeEnough(t *testing.T) {
	t.Parallel()
	// A4 less 15 mm margins is 180 mm = 510 pt for 720 units (1 pt = 25.4/72 mm).
	if pt := smallSize * 180 / 25.4 * 72 / Wide.Width(); pt < 8 {
		t.Errorf("the smallest text is %.1f pt on A4", pt)
	}
	for _, v := range variants() {
		if v.fig.ID == "heat" {
			continue // shrinks to its fields
		}
		for _, m := range texts.FindAllStringSubmatch(v.inline(t), -1) {
			if size, _ := strconv.ParseFloat(m[3], 64); size < smallSize {
				t.Errorf("%s: %q at %v", v, m[5], size)
			}
		}
	}
}

func TestStandaloneCarriesItsWords(t *testing.T) {
	t.Parallel()
	for _, f := range examples() {
		for _, u := range []figure.Units{figure.Metric, figure.US} {
			b, err := Standalone(f, u)
			if err != nil {
				t.Fatal(err)
			}
			var words []string
			for _, m := range texts.FindAllStringSubmatch(string(b), -1) {
				words = append(words, m[5])
			}
			all := strings.Join(words, " ")
			for _, want := range append([]figure.Text{f.Title, f.Caption}, f.Footer...) {
				if w := strings.Join(strings.Fields(escape(want.In(u))), " "); !strings.Contains(all, w) {
					t.Errorf("%s: %q is not in the picture", f.ID, w)
				}
			}
		}
	}
}

func TestIDs(t *testing.T) {
	t.Parallel()
	id := regexp.MustCompile(` id="([^"]*)"`)
	seen := map[string]bool{}
	for i, v := range variants() {
		s, err := Inline(v.fig, Options{Prefix: fmt.Sprintf("v%d-", i), Units: v.units, Size: v.size})
		if err != nil {
			t.Fatal(err)
		}
		found := id.FindAllStringSubmatch(s, -1)
		if len(found) != 2 {
			t.Errorf("%s: %d ids", v, len(found))
		}
		for _, m := range found {
			if seen[m[1]] {
				t.Errorf("id %s twice", m[1])
			}
			seen[m[1]] = true
			if !strings.Contains(s, `by="`+m[1]+`"`) {
				t.Errorf("id %s is not referred to", m[1])
			}
		}
	}
}

func TestErrors(t *testing.T) {
	t.Parallel()
	f := window()
	f.Layers = append(f.Layers, stranger{})
	if _, err := Inline(f, Options{}); !errors.Is(err, figure.ErrUnknownLayer) {
		t.Errorf("inline: %v", err)
	}
	if _, err := Standalone(f, figure.Metric); !errors.Is(err, figure.ErrUnknownLayer) {
		t.Errorf("standalone: %v", err)
	}
	d := &drawing{}
	if err := d.layer(stranger{}); !errors.Is(err, figure.ErrUnknownLayer) {
		t.Errorf("layer: %v", err)
	}
	if _, err := Inline(figure.Figure{}, Options{}); !errors.Is(err, figure.ErrEmpty) {
		t.Errorf("nothing: %v", err)
	}
}

type stranger struct{}

func (stranger) Kind() string { return "stranger" }

// Values far outside the range are clipped, never drawn outside the picture.
func TestClipped(t *testing.T) {
	t.Parallel()
	f := window()
	f.Layers = []figure.Layer{
		figure.Line{X: []float64{-1e6, 52, 1e6}, Y: []float64{-1e9, 5, 1e9}, Label: figure.Same("far")},
		figure.Band{X: []float64{-1e6, 1e6}, Low: []float64{-1e9, -1e9}, High: []float64{1e9, 1e9}},
		figure.Points{X: []float64{1e6}, Y: []float64{5}},
		figure.ErrorBars{X: []float64{50}, Low: []float64{-1e9}, High: []float64{1e9}},
		figure.Zone{Low: -1e9, High: 1e9}, figure.Zone{Along: figure.AlongX, Low: 1e8, High: 1e9},
		figure.Threshold{At: 1e9}, figure.Window{Low: -1e9, High: 1e9, Best: 1e8, HasBest: true},
		figure.Strip{X: []float64{-1e6, 1e6}, Chance: []float64{0, 1}},
		figure.Bars{At: []float64{50, 1e9}, Value: []float64{1e9, 1}, Width: 1},
		figure.Boxes{Width: 1, Boxes: []figure.Box{{At: 50, Low: -1e9, Q1: -1e8, Median: 0, Q3: 1e8, Top: 1e9}}},
		figure.Note{X: 1e9, Y: -1e9, Text: figure.Same("far")},
	}
	s, err := Inline(f, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`-?\d+(\.\d+)?`).FindAllString(regexp.MustCompile(`(?s)<desc.*?</desc>|<title.*?</title>`).ReplaceAllString(s, ""), -1) {
		if v, _ := strconv.ParseFloat(m, 64); math.Abs(v) > 800 {
			t.Errorf("a coordinate of %s", m)
		}
	}
}
