package report

import (
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// panel is how the tasters did, and what these tasters tell apart beside what
// cooks tell apart.
func (s *science) panel(m *texture.Measure, full bool) {
	if p := m.Panel; p != nil {
		if full {
			s.draw(beside, built(profileFigure(s.r, m)))
		}
		t := s.table(phrase("Tasters of "+plain(m.Name)), "Taster", "#n", "#Discriminates, F", "#df", "#df of error", "#p", "#Repeatability SD", "#Agreement r", "#Slope", "#Bias", "Verdict")
		for _, a := range p.Assessors {
			d := a.Discriminates
			t.row(clean(a.Assessor), a.N, t.fixed(d.Value, 2), t.df(d.DF1), t.df(d.DF2), t.p(d.P), t.fixed(a.Repeatability, 2), t.fixed(a.Agreement, 2), t.fixed(a.Slope, 2), t.fixed(a.Bias, 2), a.Verdict)
		}
		s.addTable(t)
		w := s.table(phrase("The panel as a whole, "+plain(m.Name)), "Question", "Statistic", "#Value", "#df", "#df of error", "#p", "Method")
		for _, x := range []texture.Test{p.Product, p.Crossover} {
			if x.Value.Known() {
				w.row(capital(tasters(x.Question)), statName(x.Stat), w.fixed(x.Value, 2), w.df(x.DF1), w.df(x.DF2), w.p(x.P), tasters(x.Method))
			} else if x.Cannot != "" {
				w.row(capital(tasters(x.Question)), "", dash, dash, dash, dash, x.Cannot)
			}
		}
		if p.Concord.Known() {
			w.row("Do they rank alike?", "Kendall's W", w.fixed(p.Concord, 2), "", "", "", "")
		}
		s.addTable(w)
		i := s.table(phrase("Agreement of scorers, "+plain(m.Name)), "Form", "#Value", "#"+short(100*s.r.Level)+" % interval")
		for _, x := range p.ICC {
			i.row("Intraclass correlation "+clean(x.Form), i.fixed(x.R, 3), i.interval(x.Low, x.High, 3))
		}
		for _, x := range p.Kappa {
			i.row("Weighted kappa, "+clean(x.A)+" and "+clean(x.B)+", "+clean(x.Weighted), i.fixed(x.K, 3), i.interval(x.Low, x.High, 3))
		}
		s.addTable(i)
		s.segments(m, p)
		var ws []words
		for _, x := range p.Warnings {
			ws = append(ws, phrase(clean(x.Text)))
		}
		if len(ws) > 0 {
			s.add(block{List: ws})
		}
	}
	if full {
		s.unitsSideBySide(m)
	}
}

// segments is whether people want different things.
func (s *science) segments(m *texture.Measure, p *texture.Panel) {
	x := p.Segments
	if x == nil {
		return
	}
	t := s.table(phrase("Who likes what best, "+plain(m.Name)), "Level", "#Share, %")
	for _, a := range x.Shares {
		t.row(dual(levelText(m, a.Arm)), t.percent(quantity.Num(a.Share)))
	}
	for i, g := range x.Groups {
		t.note("Group ", answer.Quantity{Kind: answer.Count, Value: float64(i + 1)}, ": "+plainList(g)+".")
	}
	if x.P.Known() {
		t.note("Do people differ in direction? p ", pOr(x.P), ".")
	}
	if x.Note != "" {
		t.note(clean(x.Note))
	}
	s.addTable(t)
}

// unitsSideBySide puts the intervals of the same differences side by side: from
// the scatter of cooks, and from the same cooks tasted again by these people.
func (s *science) unitsSideBySide(m *texture.Measure) {
	if len(m.PanelDifferences) == 0 {
		return
	}
	level := short(100*s.r.Level) + " %"
	t := s.table(phrase("The same differences in "+plain(m.Name)+", judged by cooks and judged by tasters"), "Comparison", "#By cooks", "#"+level+" interval by cooks", "#df", "#By tasters", "#"+level+" interval by tasters", "#df of tasters")
	for _, x := range m.PanelDifferences {
		var byCook *texture.Difference
		for i := range m.Differences {
			if d := &m.Differences[i]; d.Term == x.Term && d.A == x.A && d.B == x.B {
				byCook = d
			}
		}
		k := answer.DigitsFor(x.SE.Or(0))
		cells := []any{dual(less(levelText(m, x.A), levelText(m, x.B)))}
		if byCook != nil {
			k = answer.DigitsFor(byCook.SE.Or(x.SE.Or(0)))
			cells = append(cells, t.fixed(byCook.Estimate, k), t.interval(byCook.Low, byCook.High, k), t.df(byCook.DF))
		} else {
			cells = append(cells, dash, dash, dash)
		}
		t.row(append(cells, t.fixed(x.Estimate, k), t.interval(x.Low, x.High, k), t.df(x.DF))...)
	}
	t.note("By cooks: what another cook may bring. By tasters (L1): what these tasters would say of the very same food again; an interval of tasters says nothing about the set point.")
	if a := anotherPanel(m); a != nil {
		k := answer.DigitsFor((a.High.Or(0) - a.Low.Or(0)) / 4)
		t.note("Another panel, tasters at random: ", answer.Estimand(m.Sensitivity), " "+answer.Fixed(a.Estimate.Or(0), k)+" ("+answer.Fixed(a.Low.Or(0), k)+" to "+answer.Fixed(a.High.Or(0), k)+"), from the mixed model.")
	}
	s.addOrFold("The same differences, by cooks and by tasters", t)
}

// anotherPanel is the estimate with tasters at random, where the mixed model has
// them and how they differ in what they tell apart.
func anotherPanel(m *texture.Measure) *texture.Alternative {
	if m.Model == nil || m.Sensitivity == nil {
		return nil
	}
	random := false
	for _, r := range m.Model.Random {
		random = random || strings.HasPrefix(r.Term, "assessor:")
	}
	for i := range m.Sensitivity.Analyses {
		if a := &m.Sensitivity.Analyses[i]; random && a.Name == "mixed model" && a.Estimate.Known() && a.Low.Known() && a.High.Known() {
			return a
		}
	}
	return nil
}

// penalty is just-about-right answers against liking.
func (s *science) penalty(m *texture.Measure, n *int) {
	if len(m.Penalty) == 0 {
		return
	}
	s.subpart("What being off costs in "+plain(m.Penalty[0].Liking), n)
	t := s.table(phrase("Shares and drops in "+plain(m.Penalty[0].Liking)), "Level", "#n", "#Too low, %", "#Drop", "#Interval", "#Right, %", "#Liking when right", "#Too high, %", "#Drop when too high", "#Interval when too high")
	for _, p := range m.Penalty {
		name := dual(levelText(m, p.Arm))
		if p.Arm == "" {
			name = phrase("All")
		}
		t.row(name, p.N, t.percent(p.TooLow.Share), t.fixed(p.TooLow.Drop, 1), t.interval(p.TooLow.Low, p.TooLow.High, 1), t.percent(p.Right.Share), t.fixed(p.Right.Liking, 1),
			t.percent(p.TooHigh.Share), t.fixed(p.TooHigh.Drop, 1), t.interval(p.TooHigh.Low, p.TooHigh.High, 1))
	}
	s.addTable(t)
}
