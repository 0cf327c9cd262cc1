package svg

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

func TestNum(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]string{0: "0", -0.001: "0", 1.5: "1.5", 1.06: "1.1", -0.04: "0", -20: "-20", 100: "100"} {
		if got := num(v); got != want {
			t.Errorf("num(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestTransforms(t *testing.T) {
	t.Parallel()
	c := newCanvas(100, true)
	at := func() string { x, y := c.place(vg.Point{X: 1, Y: 2}); return x + " " + y }
	if at() != "1 98" {
		t.Errorf("plain: %s", at())
	}
	c.Push()
	c.Translate(vg.Point{X: 10, Y: 20})
	if at() != "11 78" {
		t.Errorf("moved: %s", at())
	}
	c.Rotate(math.Pi / 2) // (1, 2) turns to (-2, 1)
	if at() != "8 79" {
		t.Errorf("turned: %s", at())
	}
	c.Scale(3, 3) // (3, 6) turns to (-6, 3)
	if at() != "4 77" {
		t.Errorf("scaled: %s", at())
	}
	c.Pop()
	c.Pop() // one too many does nothing
	if at() != "1 98" {
		t.Errorf("restored: %s", at())
	}
}

func TestFullCircle(t *testing.T) {
	t.Parallel()
	c := newCanvas(10, false)
	var p vg.Path
	p.Move(vg.Point{X: 6, Y: 5})
	p.Arc(vg.Point{X: 5, Y: 5}, 1, 0, 2*math.Pi)
	p.Close()
	c.Fill(p)
	var b strings.Builder
	write(&b, same(c.els), nil)
	s := b.String()
	if strings.Count(s, "A1 1") != 3 || !strings.Contains(s, "6 5Z") {
		t.Errorf("circle: %s", s)
	}
	if !strings.Contains(s, hex(Light, figure.Ink)) {
		t.Errorf("no colour: %s", s)
	}
}

// A colour that is no role is drawn as it is; nil is ink.
func TestPlainColours(t *testing.T) {
	t.Parallel()
	c := newCanvas(10, true)
	if got := c.paint("fill", color.NRGBA{R: 255, A: 255}); got != `fill="#ff0000"` {
		t.Error(got)
	}
	if got := c.paint("stroke", tinted(figure.Aim, 0.5)); got != `style="stroke:var(--fig-aim)" stroke-opacity="0.5"` {
		t.Error(got)
	}
	c.SetColor(nil)
	if got := c.paint("fill", c.state.ink); got != `style="fill:var(--fig-ink)"` {
		t.Error(got)
	}
}

func TestNothingToDraw(t *testing.T) {
	t.Parallel()
	c := newCanvas(10, true)
	c.Stroke(nil)
	c.Fill(nil)
	c.SetLineWidth(0)
	c.Stroke(vg.Path{{Type: vg.MoveComp}})
	c.text(vg.Point{}, "", textStyle{size: 10})
	c.text(vg.Point{}, "x", textStyle{})
	if len(c.els) > 0 {
		t.Errorf("drawn: %v", c.els)
	}
}

func TestClean(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"a\nb\tc":               "a b c",
		"x\x00\x1b\x7fy":        "xy",
		"\u202eabc\u202c\u200f": "abc",
		"\xff\ufffe":            "",
		"°C é 日本 🐟":             "°C é 日本 🐟",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	t.Parallel()
	if got := wrap("", 13, 100, false); len(got) != 0 {
		t.Errorf("nothing wraps to %q", got)
	}
	got := wrap("hold the bath within  0.6\u00a0°C of it", 13, 100, false)
	for _, l := range got {
		if width(l, 13, false) > 100 {
			t.Errorf("%q is too wide", l)
		}
		if strings.HasPrefix(l, "°C") {
			t.Errorf("the unit left its number: %q", got)
		}
	}
	if strings.Join(got, " ") != "hold the bath within 0.6\u00a0°C of it" {
		t.Errorf("words lost: %q", got)
	}
	long := wrap("a Zweihundertfünfziggrädig b", 13, 60, false)
	if strings.ReplaceAll(strings.Join(long, ""), " ", "") != "aZweihundertfünfziggrädigb" || len(long) < 4 {
		t.Errorf("a long word became %q", long)
	}
	for _, l := range long {
		if width(l, 13, false) > 60 {
			t.Errorf("%q is too wide", l)
		}
	}
	if got := wrap("üü", 13, 1, false); len(got) != 2 { // never an endless loop
		t.Errorf("no room at all gives %q", got)
	}
}

// spreadOut keeps the order, never overlaps, stays inside when there is room,
// leaves boxes alone that do not touch, and moves a touching pair equally.
func TestSpreadOut(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		wants, heights []float64
		top, bottom    float64
		at             []float64 // nil: only the properties
	}{
		{[]float64{10, 50}, []float64{10, 10}, 0, 100, []float64{10, 50}},
		{[]float64{50, 52}, []float64{10, 10}, 0, 100, []float64{46, 56}},
		{[]float64{0, 1}, []float64{10, 10}, 0, 100, []float64{5, 15}},
		{[]float64{100, 100}, []float64{10, 10}, 0, 100, []float64{85, 95}},
		{[]float64{20, 20, 20, 60, 61}, []float64{16, 32, 16, 16, 16}, 0, 200, nil},
		{[]float64{5, 6, 7, 95, 96, 97}, []float64{16, 16, 16, 16, 16, 16}, 0, 100, nil},
		{nil, nil, 0, 10, []float64{}},
	} {
		at := spreadOut(c.wants, c.heights, c.top, c.bottom)
		total := 0.0
		for i := range at {
			total += c.heights[i]
			if c.at != nil && math.Abs(at[i]-c.at[i]) > 1e-9 {
				t.Errorf("%v: got %v, want %v", c.wants, at, c.at)
			}
			if i > 0 && at[i]-c.heights[i]/2 < at[i-1]+c.heights[i-1]/2-1e-9 {
				t.Errorf("%v: %v overlap", c.wants, at)
			}
		}
		if total <= c.bottom-c.top && len(at) > 0 {
			n := len(at) - 1
			if at[0]-c.heights[0]/2 < c.top-1e-9 || at[n]+c.heights[n]/2 > c.bottom+1e-9 {
				t.Errorf("%v: %v leave %v to %v", c.wants, at, c.top, c.bottom)
			}
		}
	}
}
