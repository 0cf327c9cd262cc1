package svg

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
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
	"tamis/internal/figure/figuretest"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

type variant struct {
	fig  figure.Figure
	size Size
}

func (v variant) String() string { return fmt.Sprintf("%s-%d", v.fig.ID, v.size) }

func variants() (vs []variant) {
	for _, f := range figuretest.Examples() {
		for _, s := range []Size{Wide, Narrow} {
			vs = append(vs, variant{f, s})
		}
	}
	return vs
}

func (v variant) inline(t *testing.T) string {
	t.Helper()
	s, err := Inline(v.fig, Options{Size: v.size, Name: v.fig.ID + "-t", Desc: v.fig.ID + "-d"})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// mark is an element of a picture with what the groups around it hand down.
type markOf struct {
	tag, class, words string
	attrs             map[string]string
}

// marksOf are the elements of a picture, apart from groups; of a path, each piece
// that begins with a move.
func marksOf(t *testing.T, s string) (ms []markOf) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(s))
	stack := []map[string]string{{}}
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return ms
		}
		if err != nil {
			t.Fatal(err)
		}
		switch el := tok.(type) {
		case xml.StartElement:
			attrs := maps.Clone(stack[len(stack)-1])
			for _, a := range el.Attr {
				attrs[a.Name.Local] = a.Value
			}
			stack = append(stack, attrs)
			switch n := el.Name.Local; n {
			case "g", "svg":
			case "path":
				for _, d := range strings.Split(attrs["d"], "M")[1:] {
					one := maps.Clone(attrs)
					one["d"] = "M" + d
					ms = append(ms, markOf{tag: n, class: attrs["class"], attrs: one})
				}
			default:
				ms = append(ms, markOf{tag: n, class: attrs["class"], attrs: attrs})
			}
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			if n := len(ms); n > 0 {
				ms[n-1].words += strings.TrimSpace(string(el))
			}
		}
	}
}

// shownIn are the marks that a reader of one unit system sees.
func shownIn(u figure.Units, ms []markOf) (in []markOf) {
	hidden := map[figure.Units]string{figure.Metric: "f", figure.US: "c"}[u]
	for _, m := range ms {
		if m.class != hidden {
			in = append(in, m)
		}
	}
	return in
}

func TestGolden(t *testing.T) {
	t.Parallel()
	for _, f := range figuretest.Examples() {
		inline := variant{f, Narrow}.inline(t)
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
		if strings.Contains(s, " id=") {
			t.Errorf("%s: an id, which would be on the page twice", v)
		}
		if strings.Contains(s, "#") && strings.Contains(strings.ReplaceAll(s, "&#39;", ""), "#") {
			t.Errorf("%s: a colour that is no variable", v)
		}
		if strings.Contains(s, "http") {
			t.Errorf("%s: an address in an inline picture", v)
		}
	}
	for _, f := range figuretest.Examples() {
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

func TestOneDecimal(t *testing.T) {
	t.Parallel()
	fine := regexp.MustCompile(`\d\.\d\d`)
	for _, v := range variants() {
		for _, m := range marksOf(t, v.inline(t)) {
			for name, value := range m.attrs {
				if !strings.HasSuffix(name, "-opacity") && fine.MatchString(value) {
					t.Errorf("%s: %s=%q", v, name, value)
				}
			}
		}
	}
}

// The same figure gives the same bytes and is not altered by being drawn.
func TestRepeatable(t *testing.T) {
	t.Parallel()
	before := figuretest.Examples()
	for i, v := range variants() {
		a, b := v.inline(t), v.inline(t)
		if a != b {
			t.Errorf("%s differs the second time", v)
		}
		if !reflect.DeepEqual(v.fig, before[i/2]) {
			t.Errorf("%s was altered", v)
		}
	}
}

// Both unit systems share one geometry: the frame and everything that is not a
// word or a tick stands in the picture once.
func TestUnitsShareGeometry(t *testing.T) {
	t.Parallel()
	for _, v := range variants() {
		drawing, err := draw(v.fig, v.size, figure.Metric, true)
		if err != nil {
			t.Fatal(err)
		}
		us, err := draw(v.fig, v.size, figure.US, true)
		if err != nil {
			t.Fatal(err)
		}
		a, b := drawing.frame, us.frame
		a.xTitle, a.yTitle, b.xTitle, b.yTitle = nil, nil, nil, nil
		if !reflect.DeepEqual(a, b) {
			t.Errorf("%s: frames differ: %+v and %+v", v, a, b)
		}
		// Each reader sees what was drawn for their units, in that order.
		ms := marksOf(t, v.inline(t))
		for u, want := range map[figure.Units][]element{figure.Metric: drawing.canvas.els, figure.US: us.canvas.els} {
			var got []string
			for _, m := range shownIn(u, ms) {
				got = append(got, m.tag+" "+m.attrs["d"]+m.attrs["x"]+m.attrs["cx"]+m.words)
			}
			var drawn []string
			for _, m := range marksOf(t, "<svg>"+written(same(want))+"</svg>") {
				drawn = append(drawn, m.tag+" "+m.attrs["d"]+m.attrs["x"]+m.attrs["cx"]+m.words)
			}
			if d := cmp.Diff(drawn, got); d != "" {
				t.Errorf("%s, units %d (-drawn +shown): %s", v, u, d)
			}
		}
		for _, m := range ms {
			if m.class == "c" || m.class == "f" {
				if !v.fig.Dual() {
					t.Errorf("%s: %s in one unit only, of a figure that has one wording", v, m.tag)
				}
				if d := m.attrs["d"]; m.tag == "circle" || strings.Contains(d, "Z") || strings.HasSuffix(d, "h0") || len(numbers.FindAllString(d, -1)) > 4 {
					t.Errorf("%s: data drawn twice: %s", v, d)
				}
			}
		}
	}
}

var numbers = regexp.MustCompile(`-?\d*\.?\d+`)

func written(els []drawn) string {
	var b strings.Builder
	write(&b, els, nil)
	return b.String()
}

type box struct {
	s              string
	x0, x1, y0, y1 float64
}

// boxesOf are the places that the words of a picture take, by the measure of
// the layout without its allowance for wider fonts.
func boxesOf(ms []markOf) (bs []box) {
	for _, m := range ms {
		if m.tag != "text" {
			continue
		}
		x, _ := strconv.ParseFloat(m.attrs["x"], 64)
		y, _ := strconv.ParseFloat(m.attrs["y"], 64)
		size, _ := strconv.ParseFloat(m.attrs["font-size"], 64)
		w := width(m.words, size, false) / 1.05
		switch m.attrs["text-anchor"] {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		bs = append(bs, box{m.words, x, x + w, y - 0.72*size, y})
	}
	return bs
}

// No word overlaps another and none leaves the picture, at either width, in
// either unit.
func TestWordsKeepApart(t *testing.T) {
	t.Parallel()
	for _, v := range variants() {
		ms := marksOf(t, v.inline(t))
		for _, u := range []figure.Units{figure.Metric, figure.US} {
			h := layout(v.fig, v.size, u).h
			bs := boxesOf(shownIn(u, ms))
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
}

func TestWordsAreLargeEnough(t *testing.T) {
	t.Parallel()
	// A4 less 15 mm margins is 180 mm = 510 pt for 720 units (1 pt = 25.4/72 mm).
	if pt := smallSize * 180 / 25.4 * 72 / Wide.Width(); pt < 8 {
		t.Errorf("the smallest text is %.1f pt on A4", pt)
	}
	for _, v := range variants() {
		for _, m := range marksOf(t, v.inline(t)) {
			if size, _ := strconv.ParseFloat(m.attrs["font-size"], 64); m.tag == "text" && size < smallSize {
				t.Errorf("%s: %q at %v", v, m.words, size)
			}
		}
	}
}

func TestStandaloneCarriesItsWords(t *testing.T) {
	t.Parallel()
	for _, f := range figuretest.Examples() {
		for _, u := range []figure.Units{figure.Metric, figure.US} {
			b, err := Standalone(f, u)
			if err != nil {
				t.Fatal(err)
			}
			var words []string
			for _, m := range marksOf(t, string(b)) {
				if m.tag == "text" {
					words = append(words, m.words)
				}
			}
			all := strings.Join(words, " ")
			for _, want := range append([]figure.Text{f.Title, f.Caption}, f.Footer...) {
				if w := strings.Join(strings.Fields(clean(want.In(u))), " "); !strings.Contains(all, w) {
					t.Errorf("%s: %q is not in the picture", f.ID, w)
				}
			}
		}
	}
}

// The picture takes its name and its description from the page.
func TestNames(t *testing.T) {
	t.Parallel()
	for _, v := range variants() {
		s := v.inline(t)
		if !strings.Contains(s, ` aria-labelledby="`+v.fig.ID+`-t" aria-describedby="`+v.fig.ID+`-d"`) {
			t.Errorf("%s has no name: %.200s", v, s)
		}
	}
}

func TestErrors(t *testing.T) {
	t.Parallel()
	f := figuretest.Curve()
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
	f := figuretest.Curve()
	f.Layers = []figure.Layer{
		figure.Line{X: []float64{-1e6, 52, 1e6}, Y: []float64{-1e9, 5, 1e9}, Label: figure.Same("far")},
		figure.Band{X: []float64{-1e6, 1e6}, Low: []float64{-1e9, -1e9}, High: []float64{1e9, 1e9}},
		figure.Points{X: []float64{1e6}, Y: []float64{5}},
		figure.ErrorBars{At: []float64{50}, Low: []float64{-1e9}, High: []float64{1e9}},
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
