package report

import (
	"math"
	"sort"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// sensitivity is every defensible analysis side by side, how strong something
// unrecorded would have to be, and what leaving out one unit does.
func (s *science) sensitivity(m *texture.Measure, full bool) {
	x := m.Sensitivity
	if full {
		s.draw(untabled, built(sensitivityFigure(s.r, m)))
	}
	t := s.table(phrase(capitalised(answer.Estimand(x)), ", by other analyses"), "Analysis", "#Estimate", "#"+short(100*s.r.Level)+" % interval", "#p", "What differs")
	for _, a := range x.Analyses {
		k := answer.DigitsFor((a.High.Or(0) - a.Low.Or(0)) / 4)
		est, iv := t.fixed(a.Estimate, k), cellView{}
		if a.Low.Known() || a.High.Known() {
			iv = t.interval(a.Low, a.High, k)
		}
		t.row(capital(plain(a.Name)), est, iv, t.p(a.P), tasters(a.Note))
	}
	s.addTable(t)
	if r := x.Robustness; r != nil {
		s.p("Something unrecorded would have to explain a share of ", significantOr(r.Value, 3), " of what is left in both set point and measure to take the estimate to zero (the robustness value), and ",
			significantOr(r.ValueP, 3), " to take its interval to zero. The partial R² of the comparison is ", significantOr(r.Partial, 3), ", on ", wholeOr(r.DF), " df.")
	}
	if !full {
		return
	}
	l := s.table(phrase("Leaving out one unit at a time, "+plain(m.Name)), "Left out", "#Estimate", "#Shift, in SE", "Changes the conclusion")
	for _, o := range x.LeaveOut {
		changes := "no"
		if o.Changes {
			changes = "yes"
		}
		l.row(capital(unitWord(o.Kind))+" "+clean(o.ID), l.fixed(o.Estimate, 2), l.fixed(o.Shift, 2), changes)
	}
	s.addOrFold("Leaving out one unit at a time", l)
}

// maxResiduals is how many units have their residuals in a table of the page.
const maxResiduals = 60

// diagnostics are residuals, normal plot, pull and order of the fits on unit
// means.
func (s *science) diagnostics(m *texture.Measure, primary bool) {
	for i := range m.Diagnostics {
		d := &m.Diagnostics[i]
		unit := unitWord(d.Unit)
		fs := []drawn{built(s.againstFitted(m, d)), built(s.normalPlot(m, d)), built(s.pullFigure(m, d)), built(s.overOrder(m, d))}
		if d.Unit == string(trial.ByPiece) { // what pulls and what drifts are cooks
			fs = fs[:2]
			if !primary {
				fs = nil
			}
		}
		s.draw(untabled, fs...)
		if len(d.Units) > maxResiduals {
			s.p("The residuals of ", count(len(d.Units), unit), " are in the file of residuals, under Data.")
			continue
		}
		t := s.table(phrase("Residuals of the fit on means of "+plural(d.Unit)+", "+plain(m.Name)), capital(unit), "#Set point", "#Mean", "#Fitted", "#Residual", "#Leverage", "#Standardised", "#Studentised", "#Cook's distance", "#Normal score")
		k := answer.DigitsFor(d.SD.Or(0))
		for _, u := range d.Units {
			set := cellView{}
			if u.SetPoint.Known() {
				set = t.degrees(u.SetPoint)
			}
			t.row(unitName(u), set, t.fixed(u.Mean, k), t.fixed(u.Fitted, k), t.fixed(u.Residual, k), t.fixed(u.Leverage, 2), t.fixed(u.Standardised, 2), t.fixed(u.Studentised, 2), t.fixed(u.Distance, 3), t.fixed(u.Normal, 2))
		}
		fixed := ""
		for j, f := range d.Fixed {
			if j > 0 {
				fixed += " + "
			}
			fixed += levelWord(f)
		}
		t.note("Fit: "+fixed+". Residual SD ", significantOr(d.SD, 3), " on ", count(d.DF, "degree"), " of freedom.")
		if d.Cannot != "" {
			t.note(capital(clean(d.Cannot)) + ".")
		}
		s.folded("Residuals of the fit on means of "+plural(d.Unit), t)
	}
}

func unitName(u texture.UnitResidual) string {
	if u.Piece != "" && u.Piece != u.Cook {
		return clean(u.Piece) + " in " + clean(u.Cook)
	}
	return clean(u.Cook)
}

// residualsOf are the units of a fit whose number of a kind is known.
func residualsOf(d *texture.Diagnostics, of func(texture.UnitResidual) quantity.Number) (x, y []float64, names []figure.Text) {
	for _, u := range d.Units {
		a, okA := of(u).Get()
		b, okB := u.Residual.Get()
		if okA && okB {
			x, y, names = append(x, a), append(y, b), append(names, figure.Same(unitName(u)))
		}
	}
	return x, y, names
}

func (s *science) frame(title, what string, d *texture.Diagnostics, n int) frameOf {
	caption := "One point each; " + short(float64(n)) + " " + plural(d.Unit) + "."
	return frameOf{Title: figure.Same(title), Caption: figure.Same(caption), Desc: figure.Same(what + " The numbers are in the table below."), Footer: footer(s.r)}
}

func (s *science) againstFitted(m *texture.Measure, d *texture.Diagnostics) (figure.Figure, bool) {
	x, y, names := residualsOf(d, func(u texture.UnitResidual) quantity.Number { return u.Fitted })
	w := s.frame("Residuals against fitted means, "+plural(d.Unit), "Residuals of "+plain(m.Name)+" against what the fit expects, with the line of zero.", d, len(x))
	w.ID = "fitted"
	return residualFigure(w, "Fitted mean"+inUnit(m), "Residual", x, y, names)
}

func (s *science) normalPlot(m *texture.Measure, d *texture.Diagnostics) (figure.Figure, bool) {
	var x, y []float64
	var names []figure.Text
	for _, u := range d.Units {
		a, okA := u.Normal.Get()
		b, okB := u.Standardised.Get()
		if okA && okB {
			x, y, names = append(x, a), append(y, b), append(names, figure.Same(unitName(u)))
		}
	}
	w := s.frame("Standardised residuals against normal scores, "+plural(d.Unit), "Standardised residuals of "+plain(m.Name)+" against the scores expected of a normal distribution, with the line on which they would be equal.", d, len(x))
	w.ID = "normal"
	return normalFigure(w, "Standardised residual", x, y, names, 0, 1)
}

// pullFigure is Cook's distance over leverage or, where all pull from the same
// place, over the number of the unit.
func (s *science) pullFigure(m *texture.Measure, d *texture.Diagnostics) (figure.Figure, bool) {
	var x, y, h []float64
	var names []figure.Text
	for i, u := range d.Units {
		v, ok := u.Distance.Get()
		if !ok {
			continue
		}
		x, y, h = append(x, float64(i+1)), append(y, v), append(h, u.Leverage.Or(0))
		names = append(names, figure.Same(unitName(u)))
	}
	label := "Place in the table"
	if lo, hi, ok := figure.Extent(h); ok && hi-lo > 0.01 {
		x, label = h, "Leverage"
	}
	w := s.frame("How much each of the "+plural(d.Unit)+" pulls", "Cook's distance of each of the "+plural(d.Unit)+" in the fit of "+plain(m.Name)+".", d, len(x))
	w.ID = "pull"
	return residualFigure(w, label, "Cook's distance", x, y, names)
}

// overOrder is the residuals in the order in which the cooks were cooked.
func (s *science) overOrder(m *texture.Measure, d *texture.Diagnostics) (figure.Figure, bool) {
	rs, ok := runsOf(s.rec.Trial)
	if !ok || d.Unit != string(trial.ByCook) && d.Unit != string(trial.ByPiece) {
		return figure.Figure{}, false
	}
	at := map[string]int{}
	for i := range s.rec.Trial.Cooks {
		at[s.rec.Trial.Cooks[i].ID] = rs.of[i].all
	}
	x, y, names := residualsOf(d, func(u texture.UnitResidual) quantity.Number { return quantity.Num(float64(at[u.Cook])) })
	w := s.frame("Residuals in the order of the runs, "+plural(d.Unit), "Residuals of "+plain(m.Name)+" in the order in which they were cooked, session after session, with the line of zero.", d, len(x))
	w.ID = "runs"
	f, ok := residualFigure(w, "Run, session after session", "Residual", x, y, names)
	if !ok {
		return f, false
	}
	// A line where a session ends.
	ends := map[int]int{}
	for _, r := range rs.of {
		ends[r.row] = max(ends[r.row], r.all)
	}
	var lines []int
	for _, e := range ends {
		lines = append(lines, e)
	}
	sort.Ints(lines)
	for i := 0; i+1 < len(lines) && len(lines) <= maxRows; i++ {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongX, At: math.Round(float64(lines[i])) + 0.5, Role: figure.Rule})
	}
	return f, f.Validate() == nil
}
