package report

import (
	"math"
	"sort"
	"strconv"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/texture"
)

// setPointAxis has its ticks at the set points that were cooked where they read
// as whole or half degrees in the unit and are few, else at round numbers.
func setPointAxis(lo, hi float64, xs []float64) figure.Axis {
	a := figure.Temperature("Set point", lo, hi, 7)
	if ts := ticksAt(xs, figure.Conversion{}); ts != nil {
		a.Metric = ts
	}
	if ts := ticksAt(xs, figure.Fahrenheit); ts != nil {
		a.US = ts
	}
	return a
}

func ticksAt(xs []float64, c figure.Conversion) (ts []figure.Tick) {
	sorted := append([]float64{}, xs...)
	sort.Float64s(sorted)
	for _, x := range sorted {
		if n := len(ts); n > 0 && x-ts[n-1].At < 0.05 {
			continue // one arm
		}
		v := c.Apply(x)
		if math.Abs(2*v-math.Round(2*v)) > 0.1 {
			return nil
		}
		ts = append(ts, figure.Tick{At: x, Label: strconv.FormatFloat(math.Round(2*v)/2, 'f', -1, 64)})
	}
	if len(ts) > 9 {
		return nil
	}
	return ts
}

// measureAxis spans the scale of a measure, or for an amount what was seen.
func measureAxis(r *answer.Result, m *texture.Measure, ps []texture.Point) figure.Axis {
	title := capital(plain(m.Name))
	if len(m.Scale) == 2 && m.Scale[0] < m.Scale[1] {
		a := figure.Number(title, "", m.Scale[0], m.Scale[1], 6)
		a.Unit = figure.Same("scale " + short(m.Scale[0]) + " to " + short(m.Scale[1]))
		return a
	}
	var seen, bands []float64
	for _, p := range ps {
		seen = append(append(seen, p.Mean), p.Pieces...)
	}
	for _, c := range curvesOf(r, m) {
		_, _, low, high := curveOf(m, c)
		bands = append(append(bands, low...), high...)
	}
	lo, hi, _ := figure.Extent(seen)
	w := math.Max(hi-lo, 1e-9)
	// A band may run wild beyond the data: it gets half the data's range more.
	if bl, bh, ok := figure.Extent(bands); ok {
		lo, hi = math.Max(math.Min(lo, bl), lo-w/2), math.Min(math.Max(hi, bh), hi+w/2)
	}
	lo, hi = figure.Padded(round4(lo), round4(hi), 0.05)
	return figure.Number(title, plain(m.Unit), lo, hi, 6)
}

// round4 keeps four decimals: more is not seen, and the bytes of a figure do
// not hang on the last bits of a fit.
func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// slug is a name as part of an id.
func slug(s string) string {
	out := []rune{}
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			out = append(out, r)
		case r >= 'A' && r <= 'Z':
			out = append(out, r-'A'+'a')
		default:
			out = append(out, '-')
		}
	}
	return string(out)
}
