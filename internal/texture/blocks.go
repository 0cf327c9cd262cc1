package texture

import (
	"fmt"
	"strings"

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

// interactionTest judges the levels by assessor × level: assessors random.
func (at assessorTable) interactionTest(t Test) Test {
	t.Stat, t.Method = "F", "levels against assessor × level, on assessor means (assessors random)"
	var y []float64
	var person, level []int
	for p := range at.value {
		for c := range at.value[p] {
			if at.have[p][c] {
				y, person, level = append(y, at.value[p][c]), append(person, p), append(level, c)
			}
		}
	}
	fail := func(why string) Test {
		t.Cannot = why
		t.absent(why)
		return t
	}
	k := len(at.value[0])
	pc, err1 := frame.FactorCodes("assessor", person, numbered(len(at.people)))
	lc, err2 := frame.FactorCodes("level", level, numbered(k))
	if err1 != nil || err2 != nil || len(y) == 0 {
		return fail("no score has both an assessor and a level")
	}
	fr, err := frame.New(pc, lc)
	if err != nil {
		return fail(plain(err))
	}
	m, err := frame.Build(fr, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("assessor"), frame.T("level")}})
	if err != nil {
		return fail(plain(err))
	}
	fit, err := linear.NewFrame(m, y, linear.Options{})
	if err != nil {
		return fail(plain(err))
	}
	an, err := fit.Anova(frame.TypeII)
	if err != nil || len(an.Rows) < 2 || !an.Rows[1].Tested {
		return fail("assessors leave nothing to judge the difference by")
	}
	r := an.Rows[1]
	t.F, t.DF1, t.DF2, t.P = num(r.F), num(float64(r.DF)), num(float64(an.Residual.DF)), num(r.P)
	return t
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
	t.F, t.DF1, t.DF2, t.P = num(r.ChiSquare), num(r.DF), absent("a rank test has no error degrees of freedom"), num(r.P)
	if r.Exact {
		t.Method += ", exact p"
	}
	return t
}
