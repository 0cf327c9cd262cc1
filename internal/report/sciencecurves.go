package report

import (
	"slices"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// curves are the straight line with its exact tests and every candidate curve.
func (s *science) curves(m *texture.Measure, full bool) {
	if l := m.Line; l != nil {
		t := s.table(phrase("Straight line and parabola through the unit means of "+plain(m.Name)), "Term", "#Estimate", "#SE", "#df", "#t", "#p")
		for _, x := range []struct {
			name string
			k    texture.Coefficient
		}{{"Slope, per °C", l.Slope}, {"Slope, per °F", l.SlopeF}, {"Curvature, per °C²", l.Quadratic}} {
			x.k.Name = x.name
			s.coefficient(t, x.k)
		}
		if len(l.Blocks) > 0 {
			t.note("Removed beforehand: " + plainList(l.Blocks) + ".")
		}
		s.addTable(t)
	}
	same := len(m.Curves) > 1
	for i := 0; i+1 < len(m.Curves); i++ {
		same = same && equalCandidates(m.Curves[0].Candidates, m.Curves[i+1].Candidates)
	}
	for i, c := range m.Curves {
		if !same || i == 0 {
			of := ""
			if !same && len(m.Curves) > 1 && c.Method != "" {
				of = ", " + plain(c.Method)
			}
			s.candidates(m, c, of, full)
		}
	}
	s.addTable(s.crossings(m))
	if full {
		s.addTable(s.averaged(m))
	}
}

func equalCandidates(a, b []texture.Candidate) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Name != b[i].Name || a[i].AICc != b[i].AICc || a[i].Residual != b[i].Residual || len(a[i].Coeffs) != len(b[i].Coeffs) {
			return false
		}
	}
	return true
}

// candidates is every curve that was tried.
func (s *science) candidates(m *texture.Measure, c texture.Curve, of string, full bool) {
	t := s.table(phrase("Candidate curves of "+plain(m.Name)+of), "Curve", "#K", "#AICc", "#Weight", "#Residual SD", "#Lack of fit, F", "#df", "#df of error", "#p", "Status")
	co := s.table(phrase("Coefficients of the candidate curves of "+plain(m.Name)+of), "Curve and coefficient", "#Estimate", "#SE", "#df", "#t", "#p")
	own := false
	for _, x := range c.Candidates {
		name := capital(plain(x.Name))
		if x.OwnSlope {
			name += ", a slope for each method"
		}
		status := "" // converged
		if !x.Status.Converged {
			status = strings.Join(nonEmpty("did not converge", x.Status.Message), ": ")
		}
		if x.Excluded != "" {
			status = x.Excluded
		}
		lack := []any{"", "", "", ""}
		if l := x.LackOfFit; l != nil && l.Value.Known() {
			lack = []any{t.fixed(l.Value, 2), t.df(l.DF1), t.df(l.DF2), t.p(l.P)}
		}
		aicc, weight, sd := cellView{}, cellView{}, cellView{}
		if x.AICc.Known() {
			aicc = t.fixed(x.AICc, 2)
		}
		if x.Weight.Known() {
			weight = t.share(x.Weight)
		}
		own = own || x.OwnSlope
		if x.Residual.Known() {
			sd = t.significant(x.Residual, 3)
		}
		t.row(append([]any{name, x.K, aicc, weight, sd}, append(lack, status)...)...)
		for _, k := range x.Coeffs {
			k.Name = name + ": " + k.Name
			s.coefficient(co, k)
		}
	}
	if v, ok := c.CookSD.Get(); ok {
		t.note("SD between cooks "+significant(v, 3)+", from "+clean(c.CookSDFrom)+", ", wholeOr(c.CookDF), " df. What can be seen: "+clean(c.Shape)+".")
	}
	s.explain(t, "Where the status is blank the fit converged.")
	if own {
		s.explain(t, "Of a curve with one slope and the same with a slope for each method, the one with the lower AICc takes part in the average; the other has no weight.")
	}
	s.addTable(t)
	if full {
		s.folded("Coefficients of the candidate curves", co)
	}
}

// share is a weight with three decimals, or that it is smaller.
func (t *numbered) share(n quantity.Number) cellView {
	if v, ok := n.Get(); ok && v > 0 && v < 0.0005 {
		return cellView{Words: phrase("< 0.001")}
	}
	return t.fixed(n, 3)
}

// crossings is where the straight line and each averaged curve reach the ends of
// the aim.
func (s *science) crossings(m *texture.Measure) *numbered {
	t := s.table(phrase("Where "+plain(m.Name)+" reaches the ends of the aim"), "Curve", "#Value", "End", "#Set point", "#From", "#To", "Method", "Note")
	add := func(name string, cs []texture.Crossing) {
		for _, c := range cs {
			lo, hi := t.openEnd(c.Low, c.LowOpen), t.openEnd(c.High, c.HighOpen)
			note := c.Note
			if c.SetPoint.Known() && !c.Inside {
				note = strings.Join(nonEmpty("outside what was cooked", note), "; ")
			}
			if !c.SetPoint.Known() {
				lo, hi = cellView{}, cellView{}
			}
			t.row(name, short(c.Value), clean(c.Limit), t.degrees(c.SetPoint), lo, hi, capital(clean(c.Method)), note)
		}
	}
	if m.Line != nil {
		add("Straight line", m.Line.Crossings)
	}
	for _, c := range m.Curves {
		add(strings.Join(nonEmpty("Averaged", plain(c.Method)), ", "), c.Crossings)
	}
	return t
}

func (t *numbered) openEnd(n quantity.Number, open bool) cellView {
	if open {
		return cellView{Words: phrase("open")}
	}
	return t.degrees(n)
}

// averaged is the averaged curve of each method at the set points that were
// cooked.
func (s *science) averaged(m *texture.Measure) *numbered {
	t := s.table(phrase("The averaged curve of "+plain(m.Name)), "Set point", "Method", "#Mean of many cooks", "#"+short(100*s.r.Level)+" % interval", "#Interval of the next cook")
	var cooked []float64
	for _, p := range m.Points {
		if x, ok := p.SetPoint.Get(); ok {
			cooked = append(cooked, x)
		}
	}
	covers := map[string]bool{}
	for _, c := range m.Curves {
		if len(c.Average) == 0 {
			continue
		}
		covers[c.Covers] = true
		mid := c.Average[len(c.Average)/2]
		d := answer.DigitsFor((mid.High - mid.Low) / 4)
		for _, a := range c.Average {
			if slices.ContainsFunc(cooked, func(x float64) bool { return abs(x-a.SetPoint) < gridStep/2+1e-9 }) {
				t.row(phrase(armTemperature(a.SetPoint)), plain(c.Method), t.fixed(quantity.Num(a.Mean), d), t.interval(quantity.Num(a.Low), quantity.Num(a.High), d), t.interval(quantity.Num(a.NextLow), quantity.Num(a.NextHigh), d))
			}
		}
	}
	for _, c := range sorted(covers) {
		if c != "" {
			t.note("Intervals come from " + scatter(c) + ".")
		}
	}
	return t
}

// gridStep is the step of the grid on which curves are given, °C.
const gridStep = 0.1

// treatments is the effect of each factor with two levels.
func (s *science) treatments(m *texture.Measure, full bool) {
	for _, x := range m.Treatments {
		if full {
			s.draw(untabled, built(treatmentFigure(s.r, m, x)))
		}
		a, b := plain(x.A), plain(x.B)
		t := s.table(phrase("Difference in "+plain(m.Name)+", "+a+" less "+b), "Set point", "#Estimate", "#SE", "#df", "#"+short(100*s.r.Level)+" % interval", "#t", "#p")
		row := func(name words, d texture.Difference) {
			k := answer.DigitsFor(d.SE.Or(0))
			t.row(name, t.fixed(d.Estimate, k), t.fixed(d.SE, k), t.df(d.DF), t.interval(d.Low, d.High, k), t.fixed(d.T, 2), t.p(d.P))
		}
		for i, d := range x.At {
			if i < len(x.SetPoints) {
				if v, ok := x.SetPoints[i].Get(); ok {
					row(phrase(armTemperature(v)), d)
				}
			}
		}
		row(phrase("Average"), x.Average)
		paired := "not paired"
		if x.Paired {
			paired = "paired by source"
		}
		t.note("Unit: " + unitWord(x.Unit) + "; " + paired + ". Intervals are not adjusted for their number.")
		if i := x.Interaction; i.Value.Known() {
			t.note("Does the difference change with the set point? F ", significantOr(i.Value, 3), " on ", wholeOr(i.DF1), " and ", wholeOr(i.DF2), " df, p ", pOr(i.P), ".")
		} else if i.Cannot != "" {
			t.note("Whether the difference changes with the set point was not tested: " + clean(i.Cannot) + ".")
		}
		if q := x.Ratio; q != nil && q.Estimate.Known() {
			t.note("As a ratio, "+a+" over "+b+": ", significantOr(q.Estimate, 3), " (", significantOr(q.Low, 3), " to ", significantOr(q.High, 3), ").")
		}
		s.addTable(t)
	}
}

func pOr(n quantity.Number) any {
	v, ok := n.Get()
	if !ok {
		return "absent"
	}
	return answer.Quantity{Kind: answer.PValue, Value: v}
}

// window is the range of set points that keeps the aims, for every method.
func (s *science) window() {
	r := s.r
	if len(r.Windows) == 0 {
		return
	}
	s.section("window", "Window")
	if r.Safety.Verdict == answer.VerdictDoNotEat {
		s.sentences(r.Safety.Lead)
		s.p("No window is printed for what is not to be eaten.")
		return
	}
	s.add(block{Caution: &cautionBox{Label: "Who may eat it", Items: all(cautionsUnderAnswer(r))}})
	if s.strip != "" {
		s.add(block{See: &see{ID: "figure-" + s.strip, Words: "The chance at each set point is drawn in Figure " + s.strip + "."}})
	}
	if r.OneCookEach() {
		s.p("Each set point was cooked once, so there is no window and no interval of the best set point.")
	}
	for _, x := range []struct {
		title string
		of    func(texture.Window) texture.Chance
	}{{"Set points that keep the aims in the next cook", func(w texture.Window) texture.Chance { return w.Next }},
		{"Set points that keep the aims for the mean of many cooks", func(w texture.Window) texture.Chance { return w.Mean }}} {
		t := s.table(phrase(x.title), "Method", "#Largest chance", "#At", "#Chance at least 1 in 2", "#Chance at least 9 in 10")
		for _, w := range r.Windows {
			if w.Cannot != "" || r.OneCookEach() {
				continue
			}
			c := x.of(w)
			t.row(methodName(w), t.fixed(c.Top, 2), t.degrees(c.At), t.span(c.Range), t.span(c.Likely))
		}
		s.addTable(t)
	}
	t := s.table(phrase("Best set point"), "Method", "#Best", "#From", "#To", "Interval of", "#Draws without a window, %", "Below it", "Above it", "#Hold the bath within")
	for _, w := range r.Windows {
		if w.Cannot != "" || r.OneCookEach() {
			continue
		}
		below, above := "", ""
		for _, l := range w.Limits {
			text := strings.Join(nonEmpty(plain(l.Measure), plain(l.Why)), " ")
			if l.Side == "below" {
				below = strings.Join(nonEmpty(below, text), ", ")
			} else {
				above = strings.Join(nonEmpty(above, text), ", ")
			}
		}
		var hold cellView
		if v, ok := w.Tol.Get(); ok {
			hold = cellView{Words: phrase(answer.Quantity{Kind: answer.Tolerance, Value: v})}
		} else {
			hold = t.none(w.Tol) // which also notes why
		}
		t.row(methodName(w), t.degrees(w.Best), t.degrees(w.Low), t.degrees(w.High), w.Called, t.percent(w.NoWindow), below, above, hold)
	}
	t.note("The chance is a confidence statement: the share of redrawn worlds in which all aims hold together.")
	s.addTable(t)
	for _, w := range r.Windows {
		if w.Cannot != "" {
			s.p(strings.Join(nonEmpty(methodName(w), clean(strings.Join(nonEmpty(w.Cannot, w.Need), "; "))), ": ") + ".")
		}
		if c := w.Closest; c != nil && c.SetPoint.Known() && (w.Cannot != "" || r.OneCookEach()) {
			s.p("Of what was cooked, ", armTemperature(c.SetPoint.Or(0)), " came closest to the aims"+with(c.Method)+"; summed distance ", significantOr(c.Miss, 3), " of the scale.")
		}
	}
	if x := r.Together; x != nil && (len(x.Clash)+len(x.Never) > 0) {
		if len(x.Clash) > 0 {
			s.p("Each holds somewhere, not at once: " + plainList(x.Clash) + ".")
		}
		if len(x.Never) > 0 {
			s.p("Held nowhere, even alone: " + plainList(x.Never) + ".")
		}
	}
	if g := s.chances(); g != nil {
		s.folded("The chance at each set point", g)
	}
}

func with(method string) string {
	if method == "" {
		return ""
	}
	return " (" + plain(method) + ")"
}

func methodName(w texture.Window) string {
	name := plain(w.Method)
	if name == "" {
		name = "all"
	}
	if w.Headline {
		name += " (headline"
		if !w.Declared {
			name += ", picked afterwards"
		}
		name += ")"
	}
	return capital(name)
}

// span is a stretch of set points; an open end says so.
func (t *numbered) span(x texture.Span) cellView {
	lo, ok := x.Low.Get()
	hi, okHi := x.High.Get()
	if x.Stretches == 0 || !ok || !okHi {
		return cellView{Words: phrase("nowhere")}
	}
	w := append(tenths(lo), piece{Text: " to "})
	return cellView{Words: append(append(w, tenths(hi)...), piece{Text: beyond(x)})}
}

// chances is the chance of each method on a grid of half degrees.
func (s *science) chances() *numbered {
	var w *texture.Window
	for i := range s.r.Windows {
		if s.r.Windows[i].Headline {
			w = &s.r.Windows[i]
		}
	}
	if w == nil || len(w.Grid) == 0 || s.r.OneCookEach() || w.Cannot != "" {
		return nil
	}
	t := s.table(phrase("The chance that all aims hold, "+lower(methodName(*w))), "Set point", "#Mean of many cooks", "#Next cook")
	for i, d := range w.Grid {
		if i%5 == 0 || i == len(w.Grid)-1 {
			t.row(phrase(armTemperature(d.SetPoint)), t.fixed(quantity.Num(d.Mean), 2), t.fixed(quantity.Num(d.Next), 2))
		}
	}
	return t
}
