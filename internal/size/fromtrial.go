package size

import (
	"fmt"
	"math"

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
// their mean, rounded down. Errors: *Problem where nothing is varied from cook to
// cook.
func FromTrial(t *trial.Trial, m trial.Measure) (*Taken, error) {
	tk := &Taken{Matters: m.Matters.Or(0), Words: Words{Measure: spoken(m.Name), Unit: unitOf(m), Arm: "set point"}}
	if points, why := design.Unsafe(t); len(points) > 0 {
		tk.Danger = []prose.Sentence{design.UnsafeText(points, why), prose.Say("Only weigh it, shear it and photograph it.")}
	}
	tk.Origin = Origin{File: t.Origin.Base, SHA256: t.Origin.SHA256, Title: t.Title.Or(""), Measure: m.Name}
	o := t.Observe(m)
	if len(o.Rows) == 0 {
		if err := tk.planned(t, m); err != nil {
			return nil, err
		}
	} else if err := tk.measured(t, m, o); err != nil {
		return nil, err
	}
	d := &tk.Design
	d.SetPoints, d.Cooks, d.Sessions = min(d.SetPoints, MostSetPoints), max(1, min(d.Cooks, MostCooks)), max(1, min(d.Sessions, MostSessions))
	d.Pieces, d.Assessors = max(1, min(d.Pieces, MostPieces)), min(d.Assessors, MostAssessors)
	if tk.Words.From == "" {
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
func (tk *Taken) planned(t *trial.Trial, m trial.Measure) error {
	d := &tk.Design
	if plan, ok := t.Design.Get(); ok {
		d.SetPoints, d.Cooks, d.Sessions = len(plan.SetPoints), plan.CooksEach.Or(1), plan.Sessions.Or(1)
		d.Pieces, d.Assessors = plan.PiecesPerCook.Or(1), len(plan.Assessors)
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
	if m.Kind == trial.Amount || m.By.Known {
		d.Assessors = 0
	}
	return nil
}

// measured reads what was cooked and scored.
func (tk *Taken) measured(t *trial.Trial, m trial.Measure, o trial.Observed) error {
	r := texture.Analyse(t, texture.Options{Measures: []string{m.Name}, Quick: true, Draws: 100})
	out := r.Measures.Named(m.Name)
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
