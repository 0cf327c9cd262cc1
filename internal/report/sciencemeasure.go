package report

import (
	"math"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// results is a part for each measure: means, tests, models, curves, panel,
// sensitivity and diagnostics.
func (s *science) results() {
	s.section("results", "Results")
	ms := measuresOf(s.r)
	aimed := map[string]bool{}
	for _, m := range ms {
		aimed[m.Name] = true
	}
	for _, m := range s.r.Measures {
		if !has(ms, m) {
			ms = append(ms, m)
		}
	}
	for i, m := range ms {
		s.part(measureHead(m))
		s.measure(m, aimed[m.Name], i == 0)
	}
	s.drop()
}

// measure is one measure: all of it where an aim is on it (full), else its means,
// tests, differences and models; the rest is in the JSON.
func (s *science) measure(m *texture.Measure, full, primary bool) {
	n := 0
	var counts []any
	for _, x := range []struct {
		n    int
		name string
	}{{m.Observations, "number"}, {m.Cooks, "cook"}, {m.Pieces, "piece"}, {m.Assessors, "taster"}} {
		if x.n > 0 {
			if len(counts) > 0 {
				counts = append(counts, ", ")
			}
			counts = append(counts, count(x.n, x.name))
		}
	}
	if m.Blank > 0 {
		counts = append(counts, "; ", answer.Quantity{Kind: answer.Count, Value: float64(m.Blank)}, " blank")
	}
	if m.LeftOut > 0 {
		counts = append(counts, "; ", answer.Quantity{Kind: answer.Count, Value: float64(m.LeftOut)}, " left out")
	}
	if len(counts) > 0 {
		s.p(append(counts, ".")...)
	}
	at := beside
	if primary {
		at = across
	}
	if before := s.figures; full {
		if s.draw(at, built(measureFigure(s.r, m, primary))); primary && shownWindow(s.r) != nil && s.figures > before {
			s.strip = strconv.Itoa(s.figures)
		}
	}
	if len(m.Arms)+len(m.Levels)+len(m.Cells) > 0 {
		s.subpart("Means", &n)
		s.means(m)
	}
	if len(m.Tests) > 0 || m.Line != nil || len(m.Place) > 0 {
		s.subpart("Tests", &n)
		s.addTable(s.tests(m, primary))
	}
	if len(m.Differences) > 0 {
		s.subpart("Differences", &n)
		s.differences(m, full)
	}
	if m.Model != nil {
		s.subpart("Mixed model", &n)
		s.model(m, full)
	}
	if m.Line != nil || len(m.Curves) > 0 {
		s.subpart("Curves", &n)
		s.curves(m, full)
	}
	if len(m.Treatments) > 0 {
		s.subpart("Treatments", &n)
		s.treatments(m, full)
	}
	if m.Panel != nil || len(m.PanelDifferences) > 0 {
		s.subpart("Panel", &n)
		s.panel(m, full)
	}
	s.penalty(m, &n)
	if x := m.Sensitivity; x != nil && len(x.Analyses)+len(x.LeaveOut) > 0 {
		s.subpart("Would another analysis say the same", &n)
		s.sensitivity(m, full)
	}
	if len(m.Diagnostics) > 0 && full {
		s.subpart("Diagnostics", &n)
		s.diagnostics(m, primary)
	}
	if len(m.Cannot) > 0 || len(m.Warnings) > 0 {
		s.subpart("What has no answer here", &n)
		t := s.table(phrase("No answer: "+plain(m.Name)), "What", "Why", "What would give one")
		for _, c := range m.Cannot {
			t.row(capital(levelWord(strings.ReplaceAll(c.What, "test:", "test of "))), c.Why, c.Need)
		}
		s.addTable(t)
		var ws []words
		for _, w := range m.Warnings {
			ws = append(ws, phrase(clean(w.Text)))
		}
		if len(ws) > 0 {
			s.add(block{List: ws})
		}
	}
}

// means are the means by set point, by other factors and by cells, in one table.
func (s *science) means(m *texture.Measure) {
	var parts [][]texture.Arm
	letters := false
	verdicts := map[string]bool{}
	for _, arms := range append(append([][]texture.Arm{m.Arms}, texture.ByTerm(m.Levels)...), m.Cells) {
		if len(arms) > 0 {
			parts = append(parts, arms)
		}
		for _, a := range arms {
			letters = letters || a.Letters != ""
			if v := s.verdictAt(a.SetPoint); v != "" {
				verdicts[v] = true
			}
		}
	}
	t := s.table(phrase("Means of "+plain(m.Name)), "Level", "#n", "#Numbers", "#Mean", "#SE", "#df",
		"#"+short(100*s.r.Level)+" % interval", "Letters", "Unadjusted letters", "Interval from", "#Raw mean", "Who may eat it")
	for _, arms := range parts {
		term := arms[0].Term
		if term == "" {
			term = "level"
		}
		head, covers := "By "+levelWord(term)+"; n counts "+plural(s.unitFor(term)), map[string]bool{}
		for _, a := range arms {
			if a.Low.Known() && a.Covers != "" {
				covers[a.Covers] = true
			}
		}
		if c := sorted(covers); len(c) == 1 {
			head += "; intervals from " + scatter(c[0])
		}
		t.group(head)
		for _, a := range arms {
			d := answer.DigitsFor(a.SE.Or(0))
			cover, verdict := "", ""
			if len(verdicts) > 1 {
				verdict = s.verdictAt(a.SetPoint)
			}
			if len(covers) > 1 && a.Covers != "" {
				cover = scatter(a.Covers)
			}
			t.row(armName(a), a.N, a.Obs, t.fixed(a.Mean, d), t.fixed(a.SE, d), t.df(a.DF), t.interval(a.Low, a.High, d), a.Letters, a.LSD, cover,
				t.fixed(quantity.Num(a.RawMean), d), verdict)
		}
	}
	if v := sorted(verdicts); len(v) == 1 {
		t.note("Who may eat it, at every set point: " + lower(v[0]) + ".")
	}
	if letters {
		t.note("Of one factor, means that share a letter do not differ at ", answer.Quantity{Kind: answer.Share, Value: 1 - s.r.Level, Digits: levelDigits(s.r.Level)}, ".")
	}
	s.addOrFold("Means", t)
}

// verdictAt is who may eat what was cooked at a set point: the worst of its
// cooks, in a word or three.
func (s *science) verdictAt(at quantity.Number) string {
	x, ok := at.Get()
	if !ok || s.rec.Heat == nil {
		return ""
	}
	rank := map[string]int{answer.VerdictDoNotEat: 4, answer.VerdictNone: 3, answer.VerdictNotPasteurised: 2, answer.VerdictPasteurised: 1}
	worst, word := 0, ""
	for i := range s.rec.Heat.Cooks {
		c := &s.rec.Heat.Cooks[i]
		if v, ok := c.SetPoint.Get(); ok && math.Abs(v-x) <= trial.ArmTolerance && rank[c.Safety.Verdict] > worst {
			worst, word = rank[c.Safety.Verdict], c.Safety.Verdict
		}
	}
	return capital(word)
}

// unitFor is the unit of a factor or of a product of factors.
func (s *science) unitFor(term string) string {
	for _, u := range s.r.Units {
		if u.Factor == term {
			return u.Unit
		}
	}
	return "cook"
}

// roleWords name the kinds of tests by what they are judged against.
var roleWords = map[string]string{texture.RoleHeadline: "by unit (to quote)", texture.RoleMixed: "mixed model", texture.RoleL1: "tasters (L1)", texture.RoleCurve: "curve"}

// tests is every test of a measure with the unit and the question.
func (s *science) tests(m *texture.Measure, first bool) *numbered {
	t := s.table(phrase("Tests of "+plain(m.Name)), "Term", "Judged", "Unit", "Statistic", "#Value", "#df", "#df of error", "#p", "Method", "Blocks removed", "Note")
	for _, x := range m.Tests {
		s.testRow(t, x)
	}
	if l := m.Line; l != nil {
		for _, x := range []struct {
			from string
			test texture.Test
		}{{"departure from a straight line", l.LackOfLine}, {"departure from a parabola", l.LackOfQuad}} {
			x.test.Term, x.test.Role = x.from, texture.RoleCurve
			s.testRow(t, x.test)
		}
	}
	for _, x := range m.Place {
		x.Test.Term, x.Test.Role = x.Kind, texture.RoleMixed
		if x.Absent != "" {
			x.Test.Cannot = x.Absent
		}
		s.testRow(t, x.Test)
	}
	if first {
		t.note("By unit: does the mean differ, judged by how units differ under the same treatment? Mixed model: the same question, asked of all numbers at once. Tasters: would these tasters tell the very same food apart again? That says nothing about another cook.")
	}
	return t
}

func (s *science) testRow(t *numbered, x texture.Test) {
	role := roleWords[x.Role]
	if role == "" {
		role = plain(x.Role)
	}
	note := x.Note
	if x.Cannot != "" {
		note = strings.Join(nonEmpty(x.Cannot, x.Need), "; ")
		t.row(capital(levelWord(x.Term)), role, unitWord(x.Unit), statName(x.Stat), dash, dash, dash, dash, tasters(x.Method), levelWord(plainList(x.Blocks)), note)
		return
	}
	df2 := cellView{}
	if x.DF2.Known() {
		df2 = t.df(x.DF2)
	}
	df1 := cellView{}
	if x.DF1.Known() {
		df1 = t.df(x.DF1)
	}
	t.row(capital(levelWord(x.Term)), role, unitWord(x.Unit), statName(x.Stat), t.fixed(x.Value, 2), df1, df2, t.p(x.P), tasters(x.Method), levelWord(plainList(x.Blocks)), note)
}

// tasters says taster for assessor, as every page does.
func tasters(words string) string { return strings.ReplaceAll(clean(words), "assessor", "taster") }

func statName(stat string) string {
	if stat == "chi2" {
		return "χ²"
	}
	return plain(stat)
}

// drawnUpTo is how many differences are drawn: more is read better in the table.
const drawnUpTo = 10

// differences are the comparisons between levels.
func (s *science) differences(m *texture.Measure, full bool) {
	seen := map[string]bool{}
	for _, d := range m.Differences {
		if seen[d.Term] {
			continue
		}
		seen[d.Term] = true
		t := s.table(phrase("Differences in "+plain(m.Name)+" between levels of "+levelWord(d.Term)), "Comparison", "#Estimate", "#SE", "#df", "#"+short(100*s.r.Level)+" % interval", "#t", "#p", "#p unadjusted")
		for _, x := range m.Differences {
			if x.Term != d.Term {
				continue
			}
			k := answer.DigitsFor(x.SE.Or(0))
			t.row(dual(less(levelText(m, x.A), levelText(m, x.B))), t.fixed(x.Estimate, k), t.fixed(x.SE, k), t.df(x.DF), t.interval(x.Low, x.High, k), t.fixed(x.T, 2), t.p(x.P), t.p(x.PRaw))
		}
		if by := adjustment(d.Adjust); by != "" {
			t.note("Intervals and p are adjusted for all comparisons of the table: " + by + ".")
		}
		if full && len(t.Rows) > 1 && len(t.Rows) <= drawnUpTo {
			s.draw(untabled, built(differencesFigure(s.r, m, d.Term)))
		}
		s.addOrFold("Differences between levels of "+levelWord(d.Term), t)
	}
}

func adjustment(by string) string {
	switch by {
	case "tukey":
		return "Tukey"
	case "dunnett":
		return "Dunnett"
	}
	return plain(by)
}

// model is the mixed model with its variance parts and coefficients.
func (s *science) model(m *texture.Measure, full bool) {
	x := m.Model
	if x.Absent != "" {
		s.p("There is no mixed model: " + clean(strings.TrimRight(x.Absent, ".")) + ".")
		return
	}
	s.add(block{Code: &codeBox{Label: "The model of " + plain(m.Name), Text: formula(m)}})
	total := x.Residual.Or(0)
	for _, c := range x.Random {
		total += c.Variance
	}
	t := s.table(phrase("Variance parts of "+plain(m.Name)), "Level", "#Groups", "#Variance", "#SD", "#Share, %")
	row := func(name string, groups any, v float64) {
		share := quantity.Absent("no variation")
		if total > 0 {
			share = quantity.Num(v / total)
		}
		t.row(capital(levelWord(name)), groups, t.significant(quantity.Num(v), 3), t.significant(quantity.Num(math.Sqrt(v)), 3), t.percent(share))
	}
	for _, c := range x.Random {
		row(c.Term, c.Levels, c.Variance)
	}
	if v, ok := x.Residual.Get(); ok {
		row("residual", "", v)
	}
	status := "did not converge"
	if x.Status.Converged {
		status = "converged"
	}
	status += " in " + strconv.Itoa(x.Status.Iterations) + " iterations"
	if x.Status.Boundary {
		status += "; a variance ended at 0"
	}
	t.note("REML criterion ", significantOr(x.REML, 7), "; ", count(x.Rows, "row"), "; "+status+"; gradient "+significant(x.Status.GradientNorm, 2)+".")
	if len(x.Aliased) > 0 {
		t.note("Left out, because others determine them: " + plainList(x.Aliased) + ".")
	}
	if x.Warn != nil {
		t.note(clean(x.Warn.Text))
	}
	s.addTable(t)
	if !full {
		return
	}
	c := s.table(phrase("Coefficients of the mixed model of "+plain(m.Name)), "Coefficient", "#Estimate", "#SE", "#df", "#t", "#p")
	for _, k := range x.Coeffs {
		s.coefficient(c, k)
	}
	s.addOrFold("Coefficients of the mixed model", c)
}

func (s *science) coefficient(t *numbered, k texture.Coefficient) {
	d := answer.DigitsFor(k.SE.Or(0))
	tv, p := cellView{}, cellView{}
	if k.T.Known() {
		tv = t.fixed(k.T, 2)
	}
	if k.P.Known() {
		p = t.p(k.P)
	}
	t.row(levelWord(k.Name), t.fixed(k.Estimate, d), t.fixed(k.SE, d), t.df(k.DF), tv, p)
}

// wholeOr prints degrees of freedom: whole where they are whole.
func wholeOr(n quantity.Number) string {
	if v, ok := n.Get(); ok && v != math.Trunc(v) {
		return answer.Fixed(v, 1)
	} else if ok {
		return answer.Fixed(v, 0)
	}
	return "absent (" + clean(n.Reason()) + ")"
}

func significantOr(n quantity.Number, digits int) string {
	v, ok := n.Get()
	if !ok {
		return "absent (" + clean(n.Reason()) + ")"
	}
	return significant(v, digits)
}

// formula is the model as a formula.
func formula(m *texture.Measure) string {
	out := plain(m.Name) + " ~ " + tasters(m.Model.Fixed)
	for _, r := range m.Model.Random {
		out += " + (1 | " + tasters(r.Term) + ")"
	}
	return out
}
