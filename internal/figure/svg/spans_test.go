package svg

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"tamis/internal/figure"
)

// A label names its own bar: where it does not fit in it, it never stands on the
// bar of another, whichever layer that is of.
func TestSpanLabelsStayAtTheirBars(t *testing.T) {
	t.Parallel()
	for _, label := range []string{"44", "44 °C", "44.5 °C and longer", "a label that fits nowhere at all, not even after its bar"} {
		f := figure.Figure{ID: "order", Title: figure.Same("Order"), Y: figure.Category("Session", figure.Same("first")),
			X: figure.Axis{Label: figure.Same("Run"), Min: 0.4, Max: 6.6}}
		for k := 1; k <= 6; k++ { // a layer each
			f.Layers = append(f.Layers, figure.Spans{Items: []figure.Span{{From: float64(k) - 0.46, To: float64(k) + 0.46,
				Role: figure.SetPoint(0.5), Label: figure.Same(strconv.Itoa(k) + "|" + label)}}})
		}
		got, err := Inline(f, Options{Name: "n", Desc: "d"})
		if err != nil {
			t.Fatal(err)
		}
		at := map[int]float64{}
		for _, m := range regexp.MustCompile(`x="([0-9.]+)"[^>]*>([0-9])\|`).FindAllStringSubmatch(got, -1) {
			x, _ := strconv.ParseFloat(m[1], 64)
			k, _ := strconv.Atoi(m[2])
			at[k] = x
		}
		ticks := map[int]float64{} // where a run is, from the bars themselves
		for i, m := range regexp.MustCompile(`<path[^>]* d="M([0-9.]+) [0-9.]+h([0-9.]+)v`).FindAllStringSubmatch(got, -1) {
			x, _ := strconv.ParseFloat(m[1], 64)
			w, _ := strconv.ParseFloat(m[2], 64)
			ticks[i+1] = x + w/2
		}
		if len(ticks) != 6 {
			t.Fatalf("%q: %d bars found in\n%s", label, len(ticks), got)
		}
		if label == "44" && len(at) != 6 {
			t.Errorf("%d of 6 short labels are drawn", len(at))
		}
		for k, x := range at {
			near := 0
			for i, mid := range ticks {
				if near == 0 || math.Abs(x-mid) < math.Abs(x-ticks[near]) {
					near = i
				}
			}
			if near != k && k != 6 { // after the last there is nothing
				t.Errorf("%q: the label of bar %d begins at %.1f, on bar %d", label, k, x, near)
			}
		}
	}
}
