package size

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/design"
	"tamis/internal/prose"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Taken is what a trial says of sizes and spreads.
type Taken struct {
	Design  Design
	Spread  Spread
	Words   Words
	Matters float64 // the smallest difference worth seeing, 0 when not stated
	Origin  Origin
	// Danger says which set points must not be eaten nor tasted, and why; nil where
	// there are none.
	Danger []prose.Sentence
}

// FromTrial takes sizes and spreads of one measure from a trial: from its data,
// or from its design and the expected spread while nothing was measured.
//
// The variance of a cook's mean is the residual mean square of the headline test
// on cook means. Pieces (with the sources they come from), scores and assessors
// are the components of the mixed model, and what they do not explain of a cook's
// mean lies between cooks, at least 0; so that the variance at the trial's own
// size is the one that fit tests against. Unequal numbers of cooks are taken as
// their mean, rounded down.
//
// factor names what is compared where that is not the set point. Varied from piece
// to piece, such as a brine, its test is on piece means, and the residual mean
// square of that is the variance of a piece's mean. Errors: *Problem where nothing
// of the kind is varied.
func FromTrial(t *trial.Trial, m trial.Measure, factor string) (*Taken, error) {
	tk := &Taken{Matters: m.Matters.Or(0), Words: Words{Measure: spoken(m.Name), Unit: unitOf(m), Arm: "set point"}}
	if points, why := design.Unsafe(t); len(points) > 0 {
		tk.Danger = []prose.Sentence{design.UnsafeText(points, why), prose.Say("Only weigh it, shear it and photograph it.")}
	}
	tk.Origin = Origin{File: t.Origin.Base, SHA256: t.Origin.SHA256, Title: t.Title.Or(""), Measure: m.Name}
	o := t.Observe(m)
	if len(o.Rows) == 0 {
		if err := tk.planned(t, m, factor); err != nil {
			return nil, err
		}
	} else if err := tk.measured(t, m, o, factor); err != nil {
		return nil, err
	}
	d := &tk.Design
	d.SetPoints, d.Cooks, d.Sessions = min(d.SetPoints, MostSetPoints), max(1, min(d.Cooks, MostCooks)), max(1, min(d.Sessions, MostSessions))
	d.Pieces, d.Assessors = max(1, min(d.Pieces, MostPieces)), min(d.Assessors, MostAssessors)
	if tk.Words.From == "" && d.within() {
		tk.Spread, tk.Words.From, tk.Words.Unit, tk.Matters = Spread{Pieces: 1}, FromNoPieces, "SD", 0
	} else if tk.Words.From == "" {
		tk.expected(m)
	}
	return tk, nil
}

// expected takes the spread that the file expects, or none: differences then
// count in standard deviations, and what matters in the unit of the measure says
// nothing.
func (tk *Taken) expected(m trial.Measure) {
	if v, ok := m.Spread.Get(); ok && v > 0 {
		tk.Spread, tk.Words.From = Spread{Cooks: v}, FromDeclared
		return
	}
	tk.Spread, tk.Words.From, tk.Words.Unit, tk.Matters = Spread{Cooks: 1}, FromNowhere, "SD", 0
}

// planned reads the design, or the cooks that are laid out.
func (tk *Taken) planned(t *trial.Trial, m trial.Measure, factor string) error {
	d := &tk.Design
	if plan, ok := t.Design.Get(); ok {
		d.SetPoints, d.Cooks, d.Sessions = len(plan.SetPoints), plan.CooksEach.Or(1), plan.Sessions.Or(1)
		d.Pieces, d.Assessors = plan.PiecesPerCook.Or(1), len(plan.Assessors)
		d.crossed(&plan)
		if factor != "" && factor != trial.SetPointFactor {
			d.OtherDF = 0 // between cooks, which are the blocks of pieces
			return tk.plannedWithin(m, &plan, factor)
		}
	} else if factor != "" && factor != trial.SetPointFactor {
		return problem("factor", fmt.Sprintf("%q: nothing was measured yet, and the trial has no design to take it from", factor),
			"without a file, for example: --within 2 --cooks 3 --spread-pieces 0.5")
	} else {
		arms := t.Arms()
		d.SetPoints = len(arms)
		pieces, cooks := 0, 0
		for _, a := range arms {
			cooks += len(a.Cooks)
			for _, c := range a.Cooks {
				pieces += max(1, len(t.Cooks[c].Pieces))
			}
		}
		if cooks > 0 {
			d.Cooks, d.Pieces = cooks/len(arms), pieces/cooks
		}
		d.Sessions = len(t.Sessions)
		if p, ok := t.Panel.Get(); ok {
			d.Assessors = len(p.Assessors)
		}
	}
	if d.SetPoints < 2 {
		return problem("the trial", "compares no two set points, so there is nothing to size", "give --set-points, --cooks and --spread-cooks, without a file")
	}
	tk.untasted(m)
	return nil
}

// crossed counts the cooks of a design that crosses the set point with times or
// factors, each combination of which is cooked so often, and the degrees of freedom
// that those and their interactions take. Where nothing would be left, fit takes
// the interactions of the highest order as the error, order by order; so does this.
func (d *Design) crossed(plan *trial.Design) {
	others := []int{max(1, len(plan.Times), len(plan.Holds))}
	for _, f := range plan.Factors {
		others = append(others, max(1, len(f.Levels)))
	}
	combinations := 1
	for _, n := range others {
		combinations = min(combinations*n, MostCooks)
	}
	each := d.Cooks
	d.Cooks = min(each*combinations, MostCooks)
	// of[k] are the degrees of freedom of all terms of k factors: the coefficients
	// of the product of (1 + (levels − 1)·x).
	of := []int{1}
	for _, n := range append(others, d.SetPoints) {
		next := make([]int, len(of)+1)
		for k, v := range of {
			next[k] += v
			next[k+1] += v * (n - 1)
		}
		of = next
	}
	for order := len(of) - 1; order >= 1; order-- {
		terms := 0
		for _, v := range of[1 : order+1] {
			terms += v
		}
		if d.SetPoints*d.Cooks-d.Sessions-terms > 0 || order == 1 {
			d.OtherDF = max(0, terms-(d.SetPoints-1))
			return
		}
	}
}

// untasted leaves out the assessors of a measure that nobody tastes.
func (tk *Taken) untasted(m trial.Measure) {
	if m.Kind == trial.Amount || m.By.Known {
		tk.Design.Assessors = 0
	}
}

// plannedWithin reads the levels of a factor of pieces off a design: plan puts all
// of them into every cook.
func (tk *Taken) plannedWithin(m trial.Measure, plan *trial.Design, factor string) error {
	d := &tk.Design
	brines, finishes := max(1, len(plan.Brine)), max(1, len(plan.Finish))
	switch factor {
	case trial.BrineFactor:
		d.Within = brines
	case trial.FinishFactor:
		d.Within = finishes
	}
	if d.Within < 2 {
		return problem("factor", fmt.Sprintf("%q is not varied from piece to piece in this design", factor), "a brine or a finish with two or more entries is")
	}
	d.Pieces = max(d.Pieces, brines*finishes)
	tk.Words.Factor = spoken(factor)
	tk.untasted(m)
	return nil
}

// measured reads what was cooked and scored.
func (tk *Taken) measured(t *trial.Trial, m trial.Measure, o trial.Observed, factor string) error {
	r := texture.Analyse(t, texture.Options{Measures: []string{m.Name}, Quick: true, Draws: 100})
	out := r.Measures.Named(m.Name)
	if factor != "" && factor != trial.SetPointFactor {
		return tk.measuredWithin(t, r, out, factor, o)
	}
	test := headline(r, out)
	if test == nil {
		return problem("the trial", "varies nothing from cook to cook in "+spoken(m.Name)+", so there is nothing to size",
			"give --set-points, --cooks and --spread-cooks, without a file")
	}
	d := &tk.Design
	for _, u := range r.Units {
		if u.Factor == test.Term {
			d.SetPoints, d.Cooks = len(u.Levels), u.N/max(1, len(u.Levels))
		}
	}
	if test.Term != trial.SetPointFactor {
		tk.Words.Arm = spoken(test.Term)
	}
	d.Sessions = 1
	for _, b := range test.Blocks {
		g := t.GroupRows(trial.Grouping(b), o.Rows)
		d.Sessions *= max(1, len(g.Levels))
		tk.Words.Block = spoken(b)
	}
	d.Pieces = max(1, out.Pieces/max(1, out.Cooks))
	d.Assessors = out.Assessors
	if d.Assessors > 0 {
		d.Tastes = max(1, int(math.Round(float64(out.Observations)/float64(out.Cooks*d.Assessors))))
		if d.Tastes > d.Pieces { // repeats, or no pieces recorded
			d.Tastes = 0
		}
	}
	ss, df := test.ErrorSumSq, test.DF2.Or(0)
	if ss == nil || df < 1 {
		return nil // nothing to tell the spread between cooks from
	}
	tk.Words.From, tk.Words.SpreadDF = FromCooks, int(df)
	// What the other factors and their interactions cost, they cost again, however
	// many cooks there are.
	if nominal := point(*d, Spread{Cooks: 1}, Question{Alpha: DefaultAlpha, Power: DefaultPower}).DF; nominal > int(df) {
		d.OtherDF = nominal - int(df)
	}
	tk.parts(out.Model, test.Blocks)
	mean := ss.Or(0) / df
	// Repeated scores of a piece count as scores of their own.
	below := d.Below(tk.Spread)
	if n := float64(out.Observations) / float64(out.Cooks); d.Tastes == 0 && n > float64(len(d.visits())) {
		below -= tk.Spread.Scores * tk.Spread.Scores * (1/float64(len(d.visits())) - 1/n)
	}
	tk.Spread.Cooks = math.Sqrt(max(0, mean-below))
	if tk.Spread.Cooks == 0 && !(below > 0) {
		tk.Words.From = "" // cooks alike to the last digit say nothing
	}
	return nil
}

// measuredWithin reads a factor of pieces: the residual mean square of its test on
// piece means is the variance of a piece's mean. Where not everybody scores every
// piece, those who score one count as the assessors.
func (tk *Taken) measuredWithin(t *trial.Trial, r *texture.Result, out *texture.Measure, factor string, o trial.Observed) error {
	var test *texture.Test
	var names []string
	for i := range out.Tests {
		x := &out.Tests[i]
		for _, u := range r.Units {
			if x.Role == texture.RoleHeadline && x.Unit == string(trial.ByPiece) && u.Factor == x.Term {
				names = append(names, x.Term)
				if x.Term == factor {
					test = x
				}
			}
		}
	}
	if test == nil {
		hint := "nothing is: leave --factor out"
		if len(names) > 0 {
			hint = "write --factor " + names[0]
		}
		return problem("factor", fmt.Sprintf("%q is not varied from piece to piece in %s", factor, spoken(out.Name)), hint)
	}
	d := &tk.Design
	tk.Words.Factor = spoken(factor)
	for _, u := range r.Units {
		switch u.Factor {
		case factor:
			d.Within = len(u.Levels)
		case trial.SetPointFactor:
			d.SetPoints = len(u.Levels)
		}
	}
	d.SetPoints, d.Sessions = max(1, d.SetPoints), max(1, len(t.Sessions))
	d.Cooks = max(1, out.Cooks/d.SetPoints)
	d.Pieces = max(d.Within, out.Pieces/max(1, out.Cooks))
	if slices.Contains(test.Blocks, "cook and source") {
		sources := map[string]bool{}
		for _, x := range o.Rows {
			if c := &t.Cooks[x.Cook]; x.Piece >= 0 && x.Piece < len(c.Pieces) {
				sources[fmt.Sprint(x.Cook, " ", c.Pieces[x.Piece].Source.V)] = true
			}
		}
		// As many as are split over all levels; the rest has no part in the test.
		d.Sources = min(len(sources)/max(1, out.Cooks), d.Pieces/d.Within)
		for d.Sources > 1 && d.Pieces%d.Sources != 0 {
			d.Sources--
		}
		if d.Sources < 2 {
			d.Sources = 0
		}
	}
	if out.Assessors > 0 {
		d.Assessors = max(1, int(math.Round(float64(out.Observations)/float64(max(1, out.Pieces)))))
		if out.Assessors > d.Assessors {
			d.Panel = float64(out.Assessors) / float64(d.Assessors)
		}
	}
	df := test.DF2.Or(0)
	if test.ErrorSumSq == nil || df < 1 {
		return nil
	}
	tk.Words.From, tk.Words.SpreadDF = FromPieces, int(df)
	tk.parts(out.Model, nil)
	mean := test.ErrorSumSq.Or(0) / df
	below := tk.Spread.Scores * tk.Spread.Scores / float64(max(1, d.Assessors))
	if d.Assessors == 0 {
		below, tk.Spread.Scores = 0, 0
	}
	tk.Spread.Cooks, tk.Spread.Pieces = 0, math.Sqrt(max(0, mean-below))
	if nominal := point(*d, Spread{Pieces: 1}, Question{Alpha: DefaultAlpha, Power: DefaultPower}).DF; nominal > int(df) {
		d.OtherDF = nominal - int(df)
	}
	if !(d.PieceMeanSD(tk.Spread) > 0) {
		tk.Words.From = "" // pieces alike to the last digit say nothing
	}
	return nil
}

// headline is the test of the set point, or of the first other factor, whose
// unit is the cook.
func headline(r *texture.Result, m *texture.Measure) *texture.Test {
	var first *texture.Test
	for i := range m.Tests {
		x := &m.Tests[i]
		single := false
		for _, u := range r.Units {
			single = single || u.Factor == x.Term
		}
		if x.Role != texture.RoleHeadline || x.Unit != string(trial.ByCook) || !single {
			continue
		}
		if x.Term == trial.SetPointFactor {
			return x
		}
		if first == nil {
			first = x
		}
	}
	return first
}

// parts takes the components below the cook and beside it from the mixed model.
// A component that is a block is removed before cooks are compared.
func (tk *Taken) parts(m *texture.Model, blocks []string) {
	if m == nil || m.Absent != "" {
		return
	}
	s := &tk.Spread
	pieces := 0.0
	for _, term := range m.Random {
		sd := math.Sqrt(max(0, term.Variance))
		switch term.Term {
		case string(trial.BySource):
			removed := false
			for _, b := range blocks {
				removed = removed || b == term.Term
			}
			if !removed {
				pieces += term.Variance
			}
		case string(trial.ByPiece):
			pieces += term.Variance
		case string(trial.BySession):
			s.Sessions = sd
		case "assessor":
			s.Assessors = sd
		case "assessor:arm":
			s.AssessorArm = sd
		}
	}
	rest := max(0, m.Residual.Or(0))
	switch {
	case tk.Design.Assessors > 0:
		s.Scores = math.Sqrt(rest)
	case tk.Design.Pieces > 1: // one number a piece: the residual lies between pieces
		pieces += rest
	}
	s.Pieces = math.Sqrt(max(0, pieces))
}

// spoken is a name as it is read out: "cook loss".
func spoken(name string) string {
	b := []byte(name)
	for i := range b {
		if b[i] == '_' {
			b[i] = ' '
		}
	}
	return string(b)
}

func unitOf(m trial.Measure) string {
	if u, ok := m.Unit.Get(); ok && u != "" {
		return u
	}
	return "points"
}

// MeasureOf chooses the measure: the named one, or that of the first aim, or the
// first of the file. Errors: *Problem.
func MeasureOf(t *trial.Trial, name string) (trial.Measure, error) {
	if name == "" && len(t.Aims) > 0 {
		name = t.Aims[0].Measure
	}
	if name == "" && len(t.Measures) > 0 {
		name = t.Measures[0].Name
	}
	if m, ok := t.MeasureNamed(name); ok {
		return m, nil
	}
	if name == "" {
		return trial.Measure{}, problem("the trial", "has no measure", "")
	}
	return trial.Measure{}, problem("measure", fmt.Sprintf("%q is not in the trial", name), "")
}
