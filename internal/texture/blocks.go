package texture

import (
	"fmt"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/linear"
	"tamis/internal/stats/ranks"
	"tamis/internal/trial"
)

// assessorTable has one mean for each assessor and level; have says where there
// is one.
type assessorTable struct {
	people []string
	value  [][]float64
	have   [][]bool
	full   bool
}

// byAssessorAnd averages to one number for each assessor and level of a factor.
func (tb *table) byAssessorAnd(f trial.Varied) assessorTable {
	a := tb.groups[byAssessor]
	k := len(f.Levels)
	t := assessorTable{people: a.Levels, full: true}
	count := make([][]int, len(a.Levels))
	for range a.Levels {
		t.value = append(t.value, make([]float64, k))
		t.have = append(t.have, make([]bool, k))
	}
	for i := range count {
		count[i] = make([]int, k)
	}
	for i, c := range f.Code {
		if p := a.Code[i]; p >= 0 && c >= 0 {
			t.value[p][c] += tb.y[i]
			count[p][c]++
		}
	}
	for p := range t.value {
		for c := range t.value[p] {
			if count[p][c] == 0 {
				t.full = false
				continue
			}
			t.value[p][c] /= float64(count[p][c])
			t.have[p][c] = true
		}
	}
	return t
}

// assessorTests are the tests on assessor blocks: would these people score
// these cooks differently again? They say nothing about another cook of the
// same set point, and they are labelled so.
func (tb *table) assessorTests(f trial.Varied) []Test {
	a := tb.groups[byAssessor]
	if !usable(a) {
		return nil
	}
	at := tb.byAssessorAnd(f)
	question := fmt.Sprintf("do assessors tell these %s apart? About the food that was served, not about another cook of it.",
		strings.ReplaceAll(f.Name, "_", " ")+" levels")
	base := Test{Term: f.Name, Role: RoleL1, Unit: "assessor", Question: question, Blocks: []string{"assessor"}}
	out := []Test{at.interactionTest(base)}
	if at.full {
		out = append(out, at.friedman(base))
	}
	return out
}

// fit is assessors and levels as additive effects on the assessor means.
func (at assessorTable) fit() (*frame.Matrix, *linear.Fit, error) {
	var y []float64
	var person, level []int
	for p := range at.value {
		for c := range at.value[p] {
			if at.have[p][c] {
				y, person, level = append(y, at.value[p][c]), append(person, p), append(level, c)
			}
		}
	}
	if len(y) == 0 {
		return nil, nil, fmt.Errorf("%w: scores with an assessor and a level", stats.ErrEmpty)
	}
	pc, err := frame.FactorCodes("assessor", person, numbered(len(at.people)))
	if err != nil {
		return nil, nil, err
	}
	lc, err := frame.FactorCodes("level", level, numbered(len(at.value[0])))
	if err != nil {
		return nil, nil, err
	}
	fr, err := frame.New(pc, lc)
	if err != nil {
		return nil, nil, err
	}
	sum := frame.Coding{Contrast: frame.Sum}
	m, err := frame.Build(fr, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("assessor"), frame.T("level")},
		Coding: map[string]frame.Coding{"assessor": sum, "level": sum}})
	if err != nil {
		return nil, nil, err
	}
	fit, err := linear.NewFrame(m, y, linear.Options{})
	return m, fit, err
}

// interactionTest judges the levels by assessor × level: assessors random.
func (at assessorTable) interactionTest(t Test) Test {
	t.Stat, t.Method = "F", "levels against assessor × level, on assessor means (assessors random)"
	fail := func(why string) Test {
		t.Cannot = why
		t.absent(why)
		return t
	}
	_, fit, err := at.fit()
	if err != nil {
		return fail(plain(err))
	}
	an, err := fit.Anova(frame.TypeII)
	if err != nil || len(an.Rows) < 2 || !an.Rows[1].Tested {
		return fail("assessors leave nothing to judge the difference by")
	}
	r := an.Rows[1]
	t.found(num(r.F), num(float64(r.DF)), num(float64(an.Residual.DF)), num(r.P))
	return t
}

// panelComparison gives the means of the levels judged by assessor × level, with
// differences by Tukey's procedure and the letters of two: what the panel tells
// apart in the food that was served.
func (tb *table) panelComparison(f trial.Varied, level float64) ([]Arm, []Difference) {
	if !usable(tb.groups[byAssessor]) {
		return nil, nil
	}
	at := tb.byAssessorAnd(f)
	m, fit, err := at.fit()
	if err != nil || fit.DF == 0 {
		return nil, nil
	}
	means, err := m.Means(frame.MeansSpec{By: []string{"level"}})
	if err != nil {
		return nil, nil
	}
	fam := family{arms: tb.bareArms(f), mean: make([]float64, len(f.Levels)), df: float64(fit.DF), ok: fit.Sigma > 0}
	for a := range f.Levels {
		est, err := fit.Estimate(means.L.RawRowView(a), level)
		if err != nil {
			return nil, nil
		}
		arm := &fam.arms[a]
		arm.N, arm.Covers = len(at.people), "assessor × "+f.Name
		fam.mean[a] = est.Value
		arm.Mean, arm.DF, arm.SE = num(est.Value), num(fam.df), num(est.SE)
		arm.Low, arm.High = num(est.Interval.Low), num(est.Interval.High)
	}
	cov, err := fit.Covariance()
	if err != nil {
		return nil, nil
	}
	fam.cov = quadraticForms(means.L, cov, 1)
	diffs := compareLevels(&fam, f.Name, tb.controlLevel(f), level)
	return fam.arms, diffs
}

// friedman is the rank test on assessor blocks.
func (at assessorTable) friedman(t Test) Test {
	t.Stat, t.Method = "chi2", "Friedman, ranks within each assessor"
	r, err := ranks.Friedman(at.value)
	if err != nil {
		t.Cannot = plain(err)
		t.absent(t.Cannot)
		return t
	}
	t.found(num(r.ChiSquare), num(r.DF), absent("a rank test has no error degrees of freedom"), num(r.P))
	if r.Exact {
		t.Method += ", exact p"
	}
	return t
}
