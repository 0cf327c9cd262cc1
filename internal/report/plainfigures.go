package report

import (
	"fmt"
	"math"

	"tamis/internal/figure"
)

// The builders of this file take numbers, computed elsewhere, and the words of
// their caller; footer(r) is the usual footer.

// frameOf is what a caller gives to a figure of plain numbers.
type frameOf struct {
	ID                   string
	Title, Caption, Desc figure.Text
	Footer               []figure.Text
}

func (w frameOf) figure() figure.Figure {
	return figure.Figure{ID: w.ID, Title: w.Title, Caption: w.Caption, Desc: w.Desc, Footer: w.Footer}
}

// residualFigure is residuals (y) against fitted values or an order (x), with
// the line of zero. names, when given, say what each point is. ok is false
// without two points, or where lists differ in length.
func residualFigure(w frameOf, xLabel, yLabel string, x, y []float64, names []figure.Text) (figure.Figure, bool) {
	return cloud(w, xLabel, yLabel, x, y, names, func(lo, hi float64) figure.Layer {
		return figure.Threshold{At: 0, Role: figure.Muted}
	})
}

// normalFigure is ordered residuals (y) against normal scores (x) with the line
// on which they would lie, of the given intercept and slope.
func normalFigure(w frameOf, yLabel string, scores, y []float64, names []figure.Text, intercept, slope float64) (figure.Figure, bool) {
	return cloud(w, "Expected of a normal distribution", yLabel, scores, y, names, func(lo, hi float64) figure.Layer {
		return figure.Line{X: []float64{lo, hi}, Y: []float64{round4(intercept + slope*lo), round4(intercept + slope*hi)},
			Style: figure.Style{Role: figure.Muted, Dash: figure.Dashed}}
	})
}

// crowd is how many points are drawn small.
const crowd = 40

func cloud(w frameOf, xLabel, yLabel string, x, y []float64, names []figure.Text, under func(lo, hi float64) figure.Layer) (f figure.Figure, ok bool) {
	if len(x) < 2 || len(x) != len(y) {
		return f, false
	}
	f = w.figure()
	xlo, xhi, okX := figure.Extent(x)
	ylo, yhi, okY := figure.Extent(y, []float64{0})
	if !okX || !okY {
		return f, false
	}
	xlo, xhi = figure.Padded(xlo, xhi, 0.06)
	ylo, yhi = figure.Padded(ylo, yhi, 0.08)
	f.X, f.Y = figure.Number(xLabel, "", round4(xlo), round4(xhi), 6), figure.Number(yLabel, "", round4(ylo), round4(yhi), 6)
	p := figure.Points{Style: figure.Style{Role: figure.Curve}, Names: names}
	if len(x) > crowd {
		p.Size = figure.Piece
	}
	for i := range x {
		p.X, p.Y = append(p.X, round4(x[i])), append(p.Y, round4(y[i]))
	}
	f.Layers = []figure.Layer{under(f.X.Min, f.X.Max), p}
	return f, f.Validate() == nil
}

// span is one use of a bath or a person, in minutes after midnight of the first
// day.
type span struct {
	Row      int
	From, To float64
	Label    figure.Text
	Role     figure.Role
}

// timelineFigure is who or what is busy when: a row each, clock time across.
// mark, if not negative, is a moment with a name.
func timelineFigure(w frameOf, rows []figure.Text, spans []span, mark float64, markName figure.Text) (f figure.Figure, ok bool) {
	if len(rows) == 0 || len(spans) == 0 {
		return f, false
	}
	f = w.figure()
	var seen []float64
	var s figure.Spans
	for _, p := range spans {
		seen = append(seen, p.From, p.To)
		s.Items = append(s.Items, figure.Span{Row: p.Row, From: p.From, To: p.To, Role: p.Role, Label: p.Label})
	}
	if mark >= 0 {
		seen = append(seen, mark)
	}
	lo, hi, _ := figure.Extent(seen)
	f.X, f.Y = clockAxis(lo, hi), figure.Category("", rows...)
	f.Layers = []figure.Layer{s}
	if mark >= 0 {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongX, At: mark, Role: figure.Ink, Label: markName})
	}
	return f, f.Validate() == nil
}

// clockAxis has its ticks at round times, at most eight.
func clockAxis(lo, hi float64) figure.Axis {
	lo, hi = figure.Padded(lo, hi, 0.03)
	a := figure.Axis{Label: figure.Same("Clock"), Min: round4(lo), Max: round4(hi)}
	for _, step := range []float64{1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080} {
		if (hi-lo)/step > 8 {
			continue
		}
		for t := math.Ceil(lo/step) * step; t <= hi; t += step {
			a.Metric = append(a.Metric, figure.Tick{At: t, Label: clock(t)})
		}
		break
	}
	return a
}

// clock prints minutes after midnight, with the day where it is not the first.
func clock(minutes float64) string {
	m := int(math.Round(minutes))
	day, m := int(math.Floor(float64(m)/1440)), ((m%1440)+1440)%1440
	s := fmt.Sprintf("%02d:%02d", m/60, m%60)
	if day != 0 {
		s += fmt.Sprintf(" (%+d d)", day)
	}
	return s
}
