package frame

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/stats"
)

// Column is a named column of a Frame: numbers, or a factor with levels. The
// zero value is not a column; use Numeric, Factor, FactorLevels or FactorCodes.
// A Column never changes after it was made and may be shared.
type Column struct {
	name   string
	values []float64 // numeric columns only
	codes  []int     // factors only: index into levels
	levels []string  // factors only
	scores []float64 // factors only, optional: a number per level
}

// Numeric makes a column of numbers. It returns stats.ErrNonFinite for a NaN or
// an infinity and stats.ErrDomain for an empty name. The values are copied.
func Numeric(name string, values []float64) (Column, error) {
	if err := checkName(name); err != nil {
		return Column{}, err
	}
	if err := stats.CheckFinite(name, values); err != nil {
		return Column{}, err
	}
	return Column{name: name, values: append([]float64{}, values...)}, nil
}

// Factor makes a factor whose levels are the distinct values in natural order:
// by number when every value is one, otherwise as text in which runs of digits
// count as numbers (b2 before b10).
func Factor(name string, values []string) (Column, error) {
	levels := slices.Clone(values)
	slices.SortFunc(levels, naturalOrder(levels))
	return FactorLevels(name, values, slices.Compact(levels))
}

// FactorLevels makes a factor with levels in the given order. A level may be
// unused. It returns stats.ErrDomain for a value that is no level, for a level
// given twice and for an empty name.
func FactorLevels(name string, values, levels []string) (Column, error) {
	index := make(map[string]int, len(levels))
	for i, l := range levels {
		index[l] = i
	}
	codes := make([]int, len(values))
	for i, v := range values {
		c, ok := index[v]
		if !ok {
			return Column{}, fmt.Errorf("%w: %s[%d] = %q is not a level", stats.ErrDomain, name, i, v)
		}
		codes[i] = c
	}
	return FactorCodes(name, codes, levels)
}

// FactorCodes makes a factor from codes 0 … len(levels)-1. It returns
// stats.ErrDomain for a code outside that range, a level given twice and an
// empty name. Both slices are copied.
func FactorCodes(name string, codes []int, levels []string) (Column, error) {
	if err := checkName(name); err != nil {
		return Column{}, err
	}
	seen := make(map[string]bool, len(levels))
	for _, l := range levels {
		if seen[l] {
			return Column{}, fmt.Errorf("%w: %s has the level %q twice", stats.ErrDomain, name, l)
		}
		seen[l] = true
	}
	for i, c := range codes {
		if c < 0 || c >= len(levels) {
			return Column{}, fmt.Errorf("%w: %s[%d] = %d, but there are %d levels", stats.ErrDomain, name, i, c, len(levels))
		}
	}
	return Column{name: name, codes: append([]int{}, codes...), levels: append([]string{}, levels...)}, nil
}

// WithScores returns the factor with a number per level, in the order of the
// levels, for orthogonal polynomials with unequal spacing. It returns
// stats.ErrDomain for a numeric column and for equal scores, stats.ErrLengths
// and stats.ErrNonFinite.
func (c Column) WithScores(scores []float64) (Column, error) {
	if !c.IsFactor() {
		return Column{}, fmt.Errorf("%w: %s is not a factor", stats.ErrDomain, c.name)
	}
	if err := checkScores(c.name, scores, len(c.levels)); err != nil {
		return Column{}, err
	}
	c.scores = slices.Clone(scores)
	return c, nil
}

// Name is the name of the column.
func (c Column) Name() string { return c.name }

// IsFactor reports whether the column is a factor.
func (c Column) IsFactor() bool { return c.codes != nil }

// Len is the number of rows.
func (c Column) Len() int { return len(c.values) + len(c.codes) }

// Values returns a copy of the numbers of a numeric column, nil for a factor.
func (c Column) Values() []float64 { return slices.Clone(c.values) }

// Codes returns a copy of the codes of a factor, nil for a numeric column.
func (c Column) Codes() []int { return slices.Clone(c.codes) }

// Levels returns a copy of the levels of a factor, nil for a numeric column.
func (c Column) Levels() []string { return slices.Clone(c.levels) }

// Scores returns the numbers that stand for the levels of a factor: those of
// WithScores, else the levels themselves where every one is a finite number,
// else 1, 2, 3 …; nil for a numeric column.
func (c Column) Scores() []float64 {
	if !c.IsFactor() {
		return nil
	}
	if c.scores != nil {
		return slices.Clone(c.scores)
	}
	scores := make([]float64, len(c.levels))
	for i, l := range c.levels {
		x, err := strconv.ParseFloat(l, 64)
		if err != nil {
			scores = nil
			break
		}
		scores[i] = x
	}
	if scores == nil || checkScores(c.name, scores, len(c.levels)) != nil {
		scores = make([]float64, len(c.levels))
		for i := range scores {
			scores[i] = float64(i + 1)
		}
	}
	return scores
}

// subset returns the column at the given rows, which must be valid.
func (c Column) subset(rows []int) Column {
	out := c
	if c.IsFactor() {
		out.codes = make([]int, len(rows))
		for i, r := range rows {
			out.codes[i] = c.codes[r]
		}
		return out
	}
	out.values = make([]float64, len(rows))
	for i, r := range rows {
		out.values[i] = c.values[r]
	}
	return out
}

func checkName(name string) error {
	if name == "" {
		return fmt.Errorf("%w: a column needs a name", stats.ErrDomain)
	}
	return nil
}

func checkScores(name string, scores []float64, levels int) error {
	if err := stats.CheckLengths("scores of "+name, len(scores), "levels", levels); err != nil {
		return err
	}
	if err := stats.CheckFinite("scores of "+name, scores); err != nil {
		return err
	}
	sorted := slices.Clone(scores)
	slices.Sort(sorted)
	for i := 1; i < len(sorted); i++ {
		if sorted[i] == sorted[i-1] {
			return fmt.Errorf("%w: two levels of %s have the score %v", stats.ErrDomain, name, sorted[i])
		}
	}
	return nil
}

// naturalOrder returns the comparison that Factor documents.
func naturalOrder(values []string) func(a, b string) int {
	number := make(map[string]float64, len(values))
	for _, v := range values {
		x, err := strconv.ParseFloat(v, 64)
		if err != nil || x != x { // a level called "NaN" is text
			return compareNatural
		}
		number[v] = x
	}
	return func(a, b string) int {
		switch x, y := number[a], number[b]; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return strings.Compare(a, b) // 1 and 1.0 are two levels
	}
}

// compareNatural orders text so that runs of digits compare as numbers of any
// length; ties fall back to the bytes, so the order is total.
func compareNatural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		dx, dy := digits(x), digits(y)
		if dx > 0 && dy > 0 {
			nx, ny := strings.TrimLeft(x[:dx], "0"), strings.TrimLeft(y[:dy], "0")
			if len(nx) != len(ny) {
				return len(nx) - len(ny)
			}
			if c := strings.Compare(nx, ny); c != 0 {
				return c
			}
			x, y = x[dx:], y[dy:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) - len(y)
	}
	return strings.Compare(a, b)
}

// digits is the length of the run of digits at the start of s.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
