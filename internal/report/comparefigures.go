package report

import (
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/texture"
)

// treatmentFigure is the difference between two treatments at each set point
// with its interval, the average over set points as a line, and no difference.
// ok is false where it was computed at fewer than two set points.
func treatmentFigure(r *answer.Result, m *texture.Measure, t texture.Treatment) (f figure.Figure, ok bool) {
	bars := figure.ErrorBars{Style: figure.Style{Role: figure.Curve}, Label: figure.Same("interval")}
	points := figure.Points{Style: figure.Style{Role: figure.Curve}}
	seen := []float64{0}
	for i, d := range t.At {
		if i >= len(t.SetPoints) {
			break
		}
		x, okX := t.SetPoints[i].Get()
		y, okY := d.Estimate.Get()
		if !okX || !okY {
			continue
		}
		points.X, points.Y = append(points.X, round4(x)), append(points.Y, round4(y))
		seen = append(seen, round4(y))
		lo, okLo := d.Low.Get()
		hi, okHi := d.High.Get()
		if okLo && okHi && lo <= hi {
			bars.At, bars.Low, bars.High = append(bars.At, round4(x)), append(bars.Low, round4(lo)), append(bars.High, round4(hi))
			seen = append(seen, round4(lo), round4(hi))
		}
	}
	if len(points.X) < 2 {
		return f, false
	}
	xlo, xhi, _ := figure.Extent(points.X)
	xlo, xhi = figure.Padded(xlo, xhi, 0.06)
	lo, hi, _ := figure.Extent(seen)
	lo, hi = figure.Padded(lo, hi, 0.08)
	a, b := plain(t.A), plain(t.B)
	f = figure.Figure{
		ID: "treatment-" + slug(m.Name) + "-" + slug(t.Factor),
		X:  setPointAxis(xlo, xhi, points.X),
		Y:  figure.Number("Difference in "+plain(m.Name)+", "+a+" less "+b, plain(m.Unit), round4(lo), round4(hi), 6),
	}
	f.Layers = append(f.Layers, figure.Threshold{At: 0, Role: figure.Muted, Label: figure.Same("no difference")})
	if v, known := t.Average.Estimate.Get(); known {
		f.Layers = append(f.Layers, figure.Line{X: []float64{xlo, xhi}, Y: []float64{round4(v), round4(v)},
			Style: figure.Style{Role: "s1", Dash: figure.Dashed}, Label: figure.Same("average")})
	}
	if len(bars.At) > 0 {
		f.Layers = append(f.Layers, bars)
	}
	f.Layers = append(f.Layers, points)
	f.Title = both(treatmentTitle(m, t, a, b))
	f.Caption = figure.Same("One point a set point; intervals at " + short(100*r.Level) + " %, each for itself, on the scatter of " + plural(t.Unit) + ".")
	f.Desc = both(answer.Say("The difference between "+a+" and "+b+" at each set point, from ", setPoint(points.X[0]), " to ", setPoint(points.X[len(points.X)-1]), ", with intervals, the average and the line of no difference. The numbers are in the table below."))
	f.Footer = footer(r)
	return f, true
}

// treatmentTitle states the average difference, or that none can be seen.
func treatmentTitle(m *texture.Measure, t texture.Treatment, a, b string) answer.Sentence {
	v, okV := t.Average.Estimate.Get()
	lo, okLo := t.Average.Low.Get()
	hi, okHi := t.Average.High.Get()
	name := plain(m.Name)
	if !okV || !okLo || !okHi {
		return answer.Say(capital(name), ": "+a+" less "+b+" at each set point")
	}
	digits := answer.DigitsFor(t.Average.SE.Or(0))
	if lo <= 0 && hi >= 0 {
		return answer.Say("On average no difference in "+name+" between "+a+" and "+b+" can be seen (", answer.Fixed(lo, digits)+" to "+answer.Fixed(hi, digits)+")")
	}
	if v < 0 {
		v, lo, hi, a, b = -v, -hi, -lo, b, a
	}
	unit := ""
	if m.Unit != "" {
		unit = " " + plain(m.Unit)
	}
	return answer.Say(capital(name), " is "+answer.Fixed(v, digits)+unit+" higher for "+a+" than for "+b+" on average ("+answer.Fixed(lo, digits)+" to "+answer.Fixed(hi, digits)+")")
}

// sensitivityFigure is the estimate by each analysis that could have been made,
// the one that was made first, and below them what leaving out one unit at a
// time does. ok is false where nothing was tried.
func sensitivityFigure(r *answer.Result, m *texture.Measure) (figure.Figure, bool) {
	s := m.Sensitivity
	if s == nil {
		return figure.Figure{}, false
	}
	var rows []estimate
	comparable := 0
	for _, a := range s.Analyses {
		style := figure.Style{Role: figure.Muted, Mark: figure.Square}
		if a.Headline {
			style = figure.Style{Role: figure.Curve}
		}
		if a.Estimate.Known() {
			comparable++
		}
		rows = append(rows, estimate{Name: figure.Same(plain(a.Name)), Mean: a.Estimate, Low: a.Low, Top: a.High, Style: style})
	}
	n := len(rows)
	kinds, points := leftOut(s.LeaveOut)
	for _, k := range kinds {
		rows = append(rows, estimate{Name: figure.Same("without one " + unitWord(k))})
	}
	f, ok := forest("sensitivity-"+slug(m.Name), both(capitalised(answer.Estimand(s))), rows[:n], true)
	if !ok || comparable < 2 {
		return f, false
	}
	// Rows of points under the analyses.
	for i, k := range kinds {
		f.Y.Categories = append(f.Y.Categories, rows[n+i].Name)
		p := figure.Points{Size: figure.Piece, Style: figure.Style{Role: figure.Curve}}
		for _, l := range points[k] {
			v := round4(l.Estimate.Or(0))
			f.X.Min, f.X.Max = min(f.X.Min, v), max(f.X.Max, v)
			p.X, p.Y = append(p.X, v), append(p.Y, float64(n+i))
			p.Names = append(p.Names, figure.Same("without "+plain(l.ID)))
		}
		f.Layers = append(f.Layers, p)
	}
	f.Title = figure.Same(agreement(s, comparable))
	f.Caption = figure.Same("Dark and round: the analysis that was chosen. Grey and square: others that could have been. Intervals at " + short(100*r.Level) + " %." + leftOutWords(kinds))
	f.Desc = figure.Same("The same estimate by " + short(float64(comparable)) + " analyses under each other, with intervals and the line of no difference. " + f.Title.Metric + ".")
	f.Footer = footer(r)
	return f, true
}

func agreement(s *texture.Sensitivity, comparable int) string {
	share, ok := s.Agree.Get()
	switch n := short(float64(comparable)); {
	case !ok:
		return "The estimate by " + n + " analyses"
	case share == 1 && comparable == 2:
		return "Both analyses point the same way"
	case share == 1:
		return "All " + n + " analyses point the same way"
	default:
		return short(float64(int(100*share+0.5))) + " % of the analyses point the same way"
	}
}

// leftOut groups what was left out by kind, in the order of the list.
func leftOut(ls []texture.LeaveOut) (kinds []string, of map[string][]texture.LeaveOut) {
	of = map[string][]texture.LeaveOut{}
	for _, l := range ls {
		if !l.Estimate.Known() {
			continue
		}
		if of[l.Kind] == nil {
			kinds = append(kinds, l.Kind)
		}
		of[l.Kind] = append(of[l.Kind], l)
	}
	return kinds, of
}

func leftOutWords(kinds []string) string {
	if len(kinds) == 0 {
		return ""
	}
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = unitWord(k)
	}
	return " Small points: the chosen analysis without one " + strings.Join(names, ", one ") + " at a time."
}

// unitWord names a unit as the pages do.
func unitWord(kind string) string {
	if kind == "assessor" {
		return "taster"
	}
	return plain(kind)
}

func plural(unit string) string {
	if unit = unitWord(unit); unit == "" {
		return "units"
	}
	return unit + "s"
}
