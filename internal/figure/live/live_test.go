package live

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"tamis/internal/figure"
	"tamis/internal/figure/figuretest"
	"tamis/internal/figure/svg"
)

func options(t *testing.T, f figure.Figure, u figure.Units) map[string]any {
	t.Helper()
	o, err := Options(f, svg.Wide, u)
	if err != nil {
		t.Fatalf("%s: %v", f.ID, err)
	}
	return o
}

func seriesOf(o map[string]any) (out []map[string]any) {
	for _, s := range o["series"].([]any) {
		out = append(out, s.(map[string]any))
	}
	return out
}

// namesOf are all names of points of the series that are words, or that the
// pointer finds.
func namesOf(o map[string]any, silent bool) (out []string) {
	for _, s := range seriesOf(o) {
		quiet, _ := s["silent"].(bool)
		names, _ := s["names"].([]any)
		for _, n := range names {
			if quiet == silent {
				out = append(out, n.(string))
			}
		}
	}
	return out
}

// Options hold data: nothing that go-echarts or ECharts would run, no name of a
// chart library's default colour, no component that was not asked for.
func TestOptionsAreData(t *testing.T) {
	t.Parallel()
	for _, f := range figuretest.Examples() {
		for _, u := range []figure.Units{figure.Metric, figure.US} {
			o := options(t, f, u)
			b, err := json.Marshal(o)
			if err != nil {
				t.Fatal(err)
			}
			for _, bad := range []string{"__f__", "function", "=>", "NaN", "#5470c6", `"title"`, `"legend"`, `"toolbox"`, "http"} {
				if strings.Contains(string(b), bad) {
					t.Errorf("%s holds %q", f.ID, bad)
				}
			}
			for i, s := range seriesOf(o) {
				switch s["type"] {
				case "line", "scatter":
				case "custom":
					if s["renderItem"] != "rectangle" {
						t.Errorf("%s: series %d is drawn by %v", f.ID, i, s["renderItem"])
					}
				default:
					t.Errorf("%s: series %d is a %v, which the runtime lacks", f.ID, i, s["type"])
				}
				if names, ok := s["names"].([]any); ok && len(names) != len(s["data"].([]any)) {
					t.Errorf("%s: series %d has %d names for %d points", f.ID, i, len(names), len(s["data"].([]any)))
				}
				if s["z"] != float64(i+2) {
					t.Errorf("%s: series %d has no place in the order", f.ID, i)
				}
			}
			for _, c := range regexp.MustCompile(`"(?:color|borderColor|backgroundColor|textBorderColor)":"([^"]*)"`).FindAllStringSubmatch(string(b), -1) {
				role := strings.TrimSuffix(strings.TrimPrefix(c[1], "var(--fig-"), ")")
				if c[1] != "transparent" && !strings.Contains(svg.Variables(svg.Dark), "--fig-"+role+":#") {
					t.Errorf("%s: the colour %q is of no role", f.ID, c[1])
				}
			}
		}
	}
}

// Both backends say the same words and point at the same numbers.
func TestWordsAreThoseOfThePicture(t *testing.T) {
	t.Parallel()
	for _, f := range figuretest.Examples() {
		for _, u := range []figure.Units{figure.Metric, figure.US} {
			plan, err := svg.PlanOf(f, svg.Wide, u)
			if err != nil {
				t.Fatal(err)
			}
			var want []string
			for _, w := range plan.Words {
				want = append(want, w.Text)
			}
			got := map[string]int{}
			for _, n := range namesOf(options(t, f, u), true) {
				got[n]++
			}
			for _, w := range want {
				if got[w]--; got[w] < 0 {
					t.Errorf("%s: %q is in the picture, not in the chart", f.ID, w)
				}
			}
		}
	}
}

// What the pointer shows is rounded, in the reader's unit.
func TestPointerTexts(t *testing.T) {
	t.Parallel()
	f := figure.Figure{ID: "f", X: figure.Temperature("Set point", 44, 60, 5), Y: figure.Number("Loss", "g", 0, 10, 6), Layers: []figure.Layer{
		figure.Points{X: []float64{51.234567}, Y: []float64{6.123456}, Label: figure.Same("plain")},
		figure.Points{X: []float64{70}, Y: []float64{6}}, // off the axis: not there
	}}
	for u, want := range map[figure.Units]string{figure.Metric: "plain, 51.2\u00a0°C: 6.1\u00a0g", figure.US: "plain, 124.2\u00a0°F: 6.1\u00a0g"} {
		if got := namesOf(options(t, f, u), false); !reflect.DeepEqual(got, []string{want}) {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	deep := regexp.MustCompile(`\d\.\d{4}`)
	for _, f := range figuretest.Examples() {
		names := namesOf(options(t, f, figure.Metric), false)
		if len(names) == 0 {
			t.Errorf("%s has nothing to point at", f.ID)
		}
		for _, n := range names {
			if deep.MatchString(n) || n == "" {
				t.Errorf("%s: %q", f.ID, n)
			}
		}
	}
}

// The block, put together again, is the options of each unit; whatever words a
// figure has, nothing in it ends the element around it.
func TestBlock(t *testing.T) {
	t.Parallel()
	for _, f := range figuretest.Examples() {
		raw, err := Block(f, svg.Wide)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.ContainsAny(raw, "<>&\u2028\u2029") {
			t.Errorf("%s: the block holds markup", f.ID)
		}
		again, err := Block(f, svg.Wide)
		if err != nil || !bytes.Equal(raw, again) {
			t.Errorf("%s differs the second time", f.ID)
		}
		var b block
		if err := json.Unmarshal(raw, &b); err != nil {
			t.Fatal(err)
		}
		if n := map[bool]int{true: 2, false: 1}[f.Dual()]; len(b.Units) != n || len(b.Mounts) != n {
			t.Errorf("%s: %d units, %d mounts", f.ID, len(b.Units), len(b.Mounts))
		}
		for i, o := range b.Units {
			series := o["series"].([]any)
			for j, ref := range series {
				r := ref.(map[string]any)
				whole := map[string]any{}
				for k, v := range b.Shared[int(r["$"].(float64))].(map[string]any) {
					whole[k] = v
				}
				if names, ok := r["names"]; ok {
					whole["names"] = names
				}
				series[j] = whole
			}
			if want := options(t, f, figure.Units(i)); !reflect.DeepEqual(o, want) {
				t.Errorf("%s, unit %d: the block is not the options", f.ID, i)
			}
		}
		for _, m := range b.Mounts {
			all := ""
			for _, w := range m.Words {
				all += w.Text + " "
				if w.Y > m.Height || w.X > m.Width {
					t.Errorf("%s: %q leaves the mount", f.ID, w.Text)
				}
			}
			for _, want := range append([]figure.Text{f.Caption}, f.Footer...) {
				if len(strings.Fields(want.Metric)) > 0 && !strings.Contains(all, strings.Fields(want.Metric)[0]) {
					t.Errorf("%s: %q does not travel with the chart", f.ID, want.Metric)
				}
			}
		}
	}
}

type stranger struct{}

func (stranger) Kind() string { return "stranger" }

func TestErrors(t *testing.T) {
	t.Parallel()
	f := figuretest.Curve()
	f.Layers = append(f.Layers, stranger{})
	if _, err := Block(f, svg.Wide); !errors.Is(err, figure.ErrUnknownLayer) {
		t.Errorf("stranger: %v", err)
	}
	if err := (&chart{}).layer(stranger{}); !errors.Is(err, figure.ErrUnknownLayer) {
		t.Errorf("layer: %v", err)
	}
	f = figuretest.Curve()
	f.Layers = append(f.Layers, figure.Points{X: []float64{math.NaN()}, Y: []float64{1}})
	if _, err := Options(f, svg.Wide, figure.Metric); !errors.Is(err, figure.ErrNonFinite) {
		t.Errorf("NaN: %v", err)
	}
	// A number that gets past the checks of the figure is still an error, not a
	// chart that vanishes.
	_, err := generic(math.Inf(1))
	if !errors.Is(unfit(err), figure.ErrNonFinite) {
		t.Errorf("infinity: %v", unfit(err))
	}
	if _, err := Options(figure.Figure{}, svg.Wide, figure.Metric); !errors.Is(err, figure.ErrEmpty) {
		t.Errorf("nothing: %v", err)
	}
}

func TestRound(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ v, width, want float64 }{
		{51.23456789, 16, 51.235}, {0.1 + 0.2, 1, 0.3}, {-1e-9, 10, 0}, {123456.789, 1e6, 123500}, {1.23456e-7, 1e-6, 1.235e-7},
	} {
		if got := round(c.v, c.width); math.Abs(got-c.want) > 1e-12*math.Abs(c.want) || math.Signbit(got) && got == 0 {
			t.Errorf("round(%v, %v) = %v, want %v", c.v, c.width, got, c.want)
		}
	}
}

// FuzzNames: whatever a label holds, the block stays JSON without markup.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"plain", "</script><script>alert(1)</script>", "var(--fig-ink)", "\u2028\x00\xff", "{b} {c} {@[0]}", "__f__alert(1)__f__"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, label string) {
		fig := figuretest.Curve()
		fig.Title = figure.Same(label)
		fig.Layers = append(fig.Layers, figure.Points{X: []float64{50}, Y: []float64{5}, Label: figure.Same(label), Style: figure.Treatment(1)})
		raw, err := Block(fig, svg.Narrow)
		if err != nil {
			t.Fatal(err)
		}
		if !json.Valid(raw) || bytes.ContainsAny(raw, "<>&") {
			t.Errorf("%.200s", raw)
		}
	})
}
