package texture

import (
	"fmt"
	"math"
	"strings"

	"tamis/internal/stats/ranks"
	"tamis/internal/trial"
)

// orderTests adds the tests on assessor blocks that look at order only: the rank
// test for tables with holes, Page's test along a set point or a time, and for
// yes or no answers the tests of their own. All are about the food that was
// served (L1).
func (tb *table) orderTests(out *Measure) {
	if !usable(tb.groups[byAssessor]) {
		return
	}
	for _, f := range tb.factors {
		at := tb.byAssessorAnd(f)
		t := Test{Term: f.Name, Role: RoleL1, Unit: "assessor", Blocks: []string{"assessor"},
			Question: fmt.Sprintf("do assessors rank these %s levels alike? About the food that was served, not about another cook of it.",
				strings.ReplaceAll(f.Name, "_", " "))}
		if !at.full {
			out.Tests = append(out.Tests, at.incomplete(t))
		} else if len(f.Values) == len(f.Levels) && len(f.Levels) >= 3 {
			out.Tests = append(out.Tests, at.page(t))
		}
		if tb.measure.Kind == trial.YesNo {
			at.yesNo(t, out)
		}
	}
	if tb.measure.Kind == trial.YesNo {
		out.Warnings = append(out.Warnings, warn("shares-as-means",
			"yes counts as 1 and no as 0: means are shares, and their intervals can leave 0 to 1 when nearly everybody agrees", 0))
	}
}

// incomplete is the rank test where not everybody tasted everything.
func (at assessorTable) incomplete(t Test) Test {
	t.Stat, t.Method = "chi2", "Skillings and Mack, ranks within each assessor, not everybody tasted every level"
	var values []ranks.Rated
	for p := range at.value {
		for c, v := range at.value[p] {
			if at.have[p][c] {
				values = append(values, ranks.Rated{Block: p, Treatment: c, Value: v})
			}
		}
	}
	r, err := ranks.Incomplete(values)
	if err != nil {
		return t.without(plain(err), "let each assessor taste two levels or more")
	}
	t.found(num(r.ChiSquare), num(r.DF), absent("a rank test has no error degrees of freedom"), num(r.P))
	return t
}

// page tests a trend along the levels. The direction was not named beforehand,
// so the smaller one-sided p counts twice.
func (at assessorTable) page(t Test) Test {
	t.Stat, t.Method = "L", "Page's trend along the levels, two-sided"
	up, err := ranks.Page(at.value, nil)
	if err != nil {
		return t.without(plain(err), "")
	}
	k := len(at.value[0])
	falling := make([]int, k)
	for j := range falling {
		falling[j] = k - j
	}
	down, err := ranks.Page(at.value, falling)
	if err != nil {
		return t.without(plain(err), "")
	}
	const none = "a rank test has no degrees of freedom"
	t.found(num(up.L), absent(none), absent(none), num(math.Min(1, 2*math.Min(up.P, down.P))))
	if up.Exact && down.Exact {
		t.Method += ", exact p"
	}
	return t
}

// yesNo names Friedman's test by what it is for answers of 0 and 1, Cochran's Q,
// and for two levels adds McNemar's exact test of the people who changed.
func (at assessorTable) yesNo(t Test, out *Measure) {
	single := at.full
	for p := range at.value {
		for _, v := range at.value[p] {
			single = single && (v == 0 || v == 1)
		}
	}
	if !single {
		return // somebody answered several times, so the blocks hold shares
	}
	for i := range out.Tests {
		if x := &out.Tests[i]; x.Role == RoleL1 && x.Term == t.Term && strings.HasPrefix(x.Method, "Friedman") {
			x.Method = strings.Replace(x.Method, "Friedman, ranks within each assessor", "Cochran's Q, answers within each assessor", 1)
		}
	}
	if len(at.value[0]) != 2 {
		return
	}
	first, second := make([]bool, len(at.value)), make([]bool, len(at.value))
	changed := 0
	for p, v := range at.value {
		first[p], second[p] = v[0] == 1, v[1] == 1
		if first[p] != second[p] {
			changed++
		}
	}
	t.Stat, t.Method = "changed", "McNemar, exact, of the assessors who answered differently"
	r, err := ranks.McNemarPairs(first, second)
	if err != nil {
		out.Tests = append(out.Tests, t.without(plain(err), ""))
		return
	}
	const none = "an exact test has no degrees of freedom"
	t.found(num(float64(changed)), absent(none), absent(none), num(r.PExact))
	out.Tests = append(out.Tests, t)
}
