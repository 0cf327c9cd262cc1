package texture

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"tamis/internal/stats/agree"
	"tamis/internal/trial"
)

// aliases gives the assessors of the sheet their numbers, P1 first.
func aliases(t *trial.Trial) map[string]string {
	out := map[string]string{}
	for i, id := range t.AssessorIDs() {
		out[id] = "P" + strconv.Itoa(i+1)
	}
	return out
}

// panel describes how the assessors did on one measure. A product is a cell of
// everything that was varied; its repeats are the pieces and cooks of that cell.
// People appear as P1, P2 … in the natural order of their ids.
func (a *analysis) panel(tb *table, out *Measure) {
	g := tb.groups[byAssessor]
	if !tasted(g) {
		return // nobody's judgement
	}
	alias := aliases(a.t)
	if a.out.Names == nil {
		a.out.Names = map[string]string{}
		for id, p := range alias {
			a.out.Names[p] = id
		}
	}
	p := &Panel{Assessors: []AssessorLine{}, OutOfStep: []string{}, Flat: []string{}, Concord: absent("not everybody tasted everything"),
		Product: Test{Term: "product", Role: RoleL1, Unit: "assessor", Stat: "F", Blocks: []string{"assessor"},
			Question: "would another panel see the products apart?", Method: "products against product × assessor (assessors random)"},
		Crossover: Test{Term: "product:assessor", Role: RoleL1, Unit: "assessor", Stat: "F",
			Question: "do assessors differ in what they find?", Method: "product × assessor against the repeats"}}
	out.Panel = p
	cell, cells := tb.cellCodes()
	a.performance(tb, out, cell, alias)
	p.inOrder()
	tb.concordance(p, cell, cells, a.opt.Level)
	p.Kappa = tb.kappas(alias, a.opt.Level)
	if isLiking(tb.measure) {
		p.Segments = a.segments(tb, alias)
	}
}

// inOrder lists people by number: P2 before P10.
func (p *Panel) inOrder() {
	byNumber := func(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) }
	slices.SortStableFunc(p.Assessors, func(a, b AssessorLine) int { return byNumber(a.Assessor, b.Assessor) })
	slices.SortStableFunc(p.OutOfStep, byNumber)
	slices.SortStableFunc(p.Flat, byNumber)
}

// tasted reports whether anybody is named behind the numbers.
func tasted(g trial.Groups) bool {
	for _, c := range g.Code {
		if c >= 0 {
			return true
		}
	}
	return false
}

// performance fills the lines of the assessors and the tests of the panel.
func (a *analysis) performance(tb *table, out *Measure, cell []int, alias map[string]string) {
	p, g := out.Panel, tb.groups[byAssessor]
	absentTests := func(why, need string) {
		p.Product, p.Crossover = p.Product.without(why, need), p.Crossover.without(why, need)
		out.Cannot = append(out.Cannot, Cannot{What: "panel", Why: why, Need: need})
	}
	if tb.measure.Kind == trial.Rank || tb.measure.Kind == trial.YesNo {
		why := "ranks and yes or no answers have no level or spread of their own"
		p.Product, p.Crossover = p.Product.without(why, ""), p.Crossover.without(why, "")
		return
	}
	var scores []agree.Score
	for i, c := range cell {
		if c >= 0 && g.Code[i] >= 0 {
			scores = append(scores, agree.Score{Product: c, Assessor: g.Code[i], Repeat: i, Value: tb.y[i]})
		}
	}
	r, err := agree.Panel(scores)
	if err != nil {
		absentTests(plain(err), "two assessors or more who tasted the same two products or more")
		return
	}
	p.Complete = r.Complete
	p.Product = fromRatio(p.Product, r.Product)
	p.Crossover = fromRatio(p.Crossover, r.Crossover)
	p.Warnings = append(p.Warnings, r.Warnings...)
	verdicts := judge(scores, len(r.Assessors))
	profiles := tb.profiles(g.Levels, g.Code)
	for _, as := range r.Assessors {
		name := alias[g.Levels[as.Assessor]]
		line := AssessorLine{Assessor: name, N: as.Scores, Repeatability: fromAgree(as.RepeatSD), Agreement: fromAgree(as.Agreement),
			Slope: fromAgree(as.Scale), Bias: fromAgree(as.Bias), Verdict: verdicts[as.Assessor], Means: profiles[g.Levels[as.Assessor]]}
		line.Discriminates = fromRatio(Test{Term: "product", Role: RoleL1, Unit: "score", Stat: "F",
			Question: "does this assessor tell the products apart?", Method: "products against this assessor's own repeats"}, as.Discrimination)
		switch line.Verdict {
		case verdictReversed:
			p.OutOfStep = append(p.OutOfStep, name)
		case verdictFlat:
			p.Flat = append(p.Flat, name)
		}
		p.Assessors = append(p.Assessors, line)
	}
	if n := len(p.OutOfStep); n > 0 {
		p.Warnings = append(p.Warnings, warn("assessor-reversed",
			fmt.Sprintf("%d of %d assessors scored against the rest; the means with them and without them are in the sensitivity analysis", n, len(p.Assessors)), 0))
	}
}

// absence words the reasons of package agree.
var absence = map[agree.Absence]string{
	agree.NoRepeats: "nothing was scored twice", agree.OneProduct: "fewer than two products in common",
	agree.TwoProducts: "a correlation needs three products", agree.NoSpread: "all values are equal",
	agree.NoError: "the repeats agree exactly", agree.NoOthers: "nobody else scored the same products",
	agree.TooFewInIt: "fewer than two answers", agree.NobodyInIt: "nobody answered so",
	agree.NoFreedom: "no degrees of freedom are left", agree.NotJoined: "the products were never tasted by the same person",
}

func fromAgree(n agree.Number) Number {
	if n.OK() {
		return num(n.Value)
	}
	return absent(absence[n.Absent])
}

func fromRatio(t Test, r agree.Ratio) Test {
	if !r.OK() {
		return t.without(absence[r.Absent], "")
	}
	t.found(num(r.F), num(r.DF1), num(r.DF2), num(r.P))
	return t
}
