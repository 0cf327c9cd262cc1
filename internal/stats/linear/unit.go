package linear

import (
	"fmt"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
)

// UnitWeights is how unit means count.
type UnitWeights int

const (
	// EqualUnits: each unit counts once, whatever its number of observations.
	// Right when units differ more than the observations within them.
	EqualUnits UnitWeights = iota
	// CountUnits: a unit counts by its observations. Right when units do not
	// differ beyond their observations.
	CountUnits
)

// UnitModel asks for the analysis of a factor on its unit.
//
// Unit are the columns whose combination is the unit (cook; or replicate, recipe
// and temperature). Terms are the factors of interest, Blocks what is removed
// before them; both may use only columns that do not vary within a unit. Within
// are terms that do vary within units (assessor, order) and for which the unit
// means are adjusted; without them the plain means are used.
type UnitModel struct {
	Unit    []string
	Terms   []frame.Term
	Blocks  []frame.Term
	Within  []frame.Term
	Coding  map[string]frame.Coding
	Weights UnitWeights
	Type    frame.SumsOfSquares // 0 stands for type II
}

// UnitFit is the analysis of unit means. Units has one row per unit, in the
// order of first appearance, with the columns of Unit, Blocks and Terms; Means
// and Counts go with it. Fit is the model on the means, Anova its table with the
// rows of Terms only, tested against the residual of the units. Label names
// each unit.
type UnitFit struct {
	Units  *frame.Frame
	Labels []string
	Means  []float64
	Counts []int
	Fit    *Fit
	Anova  *Anova
}

// Units averages y within units (with Within: estimates each unit adjusted for
// those terms), removes the blocks and tests the terms with the units' own
// degrees of freedom. This is the residual stratum of the unit; with equal
// numbers it equals the row of the classical table. It says nothing about
// variation within units.
//
// Errors: stats.ErrDomain for a term or block that varies within a unit (named,
// with the unit); stats.ErrTooFew when the units leave no residual degree of
// freedom, saying how many units there are; stats.ErrSingular when adjustment for
// Within leaves units that cannot be compared; those of frame.Build and New.
func Units(f *frame.Frame, y []float64, m UnitModel) (*UnitFit, error) {
	if f == nil || len(m.Unit) == 0 || len(m.Terms) == 0 {
		return nil, fmt.Errorf("%w: a unit, a term and a frame are needed", stats.ErrEmpty)
	}
	if err := stats.CheckLengths("y", len(y), "the frame", f.Rows()); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("y", y); err != nil {
		return nil, err
	}
	out := &UnitFit{}
	code, first, err := out.group(f, m.Unit)
	if err != nil {
		return nil, err
	}
	if err := constantWithin(f, m, code, first, out.Labels); err != nil {
		return nil, err
	}
	if out.Units, err = f.Subset(first); err != nil {
		return nil, err
	}
	out.Counts = make([]int, len(first))
	sums := make([]dd, len(first))
	for i, u := range code {
		out.Counts[u]++
		sums[u] = sums[u].addFloat(y[i])
	}
	out.Means = make([]float64, len(first))
	for u, s := range sums {
		out.Means[u] = s.div(dd{hi: float64(out.Counts[u])}).float()
	}
	if len(m.Within) > 0 {
		if out.Means, err = adjusted(f, y, m, code, out.Labels); err != nil {
			return nil, err
		}
	}
	if err := out.analyse(m); err != nil {
		return nil, err
	}
	return out, nil
}

// group numbers the units in the order of first appearance.
func (u *UnitFit) group(f *frame.Frame, unit []string) (code, first []int, err error) {
	parts := make([][]string, f.Rows())
	for _, name := range unit {
		c, err := f.Column(name)
		if err != nil {
			return nil, nil, err
		}
		levels, codes, values := c.Levels(), c.Codes(), c.Values()
		for i := range parts {
			if c.IsFactor() {
				parts[i] = append(parts[i], levels[codes[i]])
			} else {
				parts[i] = append(parts[i], fmt.Sprint(values[i]))
			}
		}
	}
	code = make([]int, f.Rows())
	index := map[string]int{}
	for i, p := range parts {
		key := fmt.Sprintf("%q", p) // quoted: "a, b" and "a", "b" stay apart
		k, ok := index[key]
		if !ok {
			k = len(first)
			index[key] = k
			first = append(first, i)
			u.Labels = append(u.Labels, strings.Join(p, ", "))
		}
		code[i] = k
	}
	return code, first, nil
}

// constantWithin checks that terms and blocks do not vary within units.
func constantWithin(f *frame.Frame, m UnitModel, code, first []int, labels []string) error {
	for _, t := range append(append([]frame.Term{}, m.Blocks...), m.Terms...) {
		for _, v := range t {
			c, err := f.Column(v.Name)
			if err != nil {
				return err
			}
			codes, values := c.Codes(), c.Values()
			for i, u := range code {
				same := c.IsFactor() && codes[i] == codes[first[u]] || !c.IsFactor() && values[i] == values[first[u]]
				if !same {
					return fmt.Errorf("%w: %s varies within the unit %s", stats.ErrDomain, v.Name, labels[u])
				}
			}
		}
	}
	return nil
}

// adjusted are the marginal means of the units in the model "unit + within".
func adjusted(f *frame.Frame, y []float64, m UnitModel, code []int, labels []string) ([]float64, error) {
	levels := make([]string, len(labels))
	for i := range levels {
		levels[i] = fmt.Sprint(i)
	}
	name := "unit"
	for _, err := f.Column(name); err == nil; _, err = f.Column(name) {
		name += "'" // a column of that name exists already
	}
	unit, err := frame.FactorCodes(name, code, levels)
	if err != nil {
		return nil, err
	}
	with, err := f.With(unit)
	if err != nil {
		return nil, err
	}
	terms := append([]frame.Term{frame.T(name)}, m.Within...)
	x, err := frame.Build(with, frame.Model{Terms: terms, Coding: m.Coding})
	if err != nil {
		return nil, err
	}
	fit, err := NewFrame(x, y, Options{})
	if err != nil {
		return nil, err
	}
	means, err := x.Means(frame.MeansSpec{By: []string{name}})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(labels))
	for u := range out {
		row := means.L.RawRowView(u)
		if err := fit.needEstimable("the adjusted mean of "+labels[u], row); err != nil {
			return nil, err
		}
		out[u] = fit.value(row)
	}
	return out, nil
}

// analyse fits the means.
func (u *UnitFit) analyse(m UnitModel) error {
	terms := append(append([]frame.Term{}, m.Blocks...), m.Terms...)
	x, err := frame.Build(u.Units, frame.Model{Intercept: true, Terms: terms, Coding: m.Coding})
	if err != nil {
		return err
	}
	var opt Options
	if m.Weights == CountUnits {
		for _, n := range u.Counts {
			opt.Weights = append(opt.Weights, float64(n))
		}
	}
	if u.Fit, err = NewFrame(x, u.Means, opt); err != nil {
		return err
	}
	if u.Fit.DF == 0 {
		return fmt.Errorf("%w: %d units for %d coefficients; repeat units of a setting", stats.ErrTooFew, len(u.Means), u.Fit.Rank)
	}
	kind := m.Type
	if kind == 0 {
		kind = frame.TypeII
	}
	table, err := u.Fit.Anova(kind)
	if err != nil {
		return err
	}
	table.Rows = table.Rows[len(m.Blocks):]
	u.Anova = table
	return nil
}
