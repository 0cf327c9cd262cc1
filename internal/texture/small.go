package texture

import (
	"sort"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/frame"
)

func num(v float64) Number     { return quantity.Num(v) }
func absent(why string) Number { return quantity.Absent(why) }
func ptr(n Number) *Number     { return &n }

// absent marks every number of the test as missing for one reason.
func (t *Test) absent(why string) {
	n := absent(why)
	t.Value, t.F, t.DF1, t.DF2, t.P = n, n, n, n, n
}

// variables makes a term of named factors.
func variables(names []string) frame.Term { return frame.T(names...) }

// found fills the test. Only a statistic that is an F stands under F as well.
func (t *Test) found(value, df1, df2, p Number) {
	t.Value, t.DF1, t.DF2, t.P = value, df1, df2, p
	t.F = absent("the statistic is " + t.Stat + ", not F")
	if t.Stat == "F" {
		t.F = value
	}
}

// termName is the stable name of a term: recipe:set_point.
func termName(t frame.Term) string {
	names := make([]string, len(t))
	for i, v := range t {
		names[i] = v.Name
	}
	return strings.Join(names, ":")
}

// sumsOfSquares reads the type of an option, II by default.
func sumsOfSquares(s string) frame.SumsOfSquares {
	switch s {
	case "I", "1":
		return frame.TypeI
	case "III", "3":
		return frame.TypeIII
	}
	return frame.TypeII
}

func typeWord(k frame.SumsOfSquares) string {
	return map[frame.SumsOfSquares]string{frame.TypeI: "I", frame.TypeII: "II", frame.TypeIII: "III"}[k]
}

// units is the plural of a grouping's name.
func plural(unit string) string {
	switch unit {
	case "batch":
		return "batches"
	}
	return unit + "s"
}

// tQuantile is the two-sided Student quantile at a level.
func tQuantile(level, df float64) (float64, error) { return dist.TQuantile(0.5+level/2, df) }

func sortFloats(v []float64) { sort.Float64s(v) }
