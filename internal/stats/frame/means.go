package frame

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Weighting is how marginal means average over the factors that are not named.
type Weighting int

const (
	// Equal: every combination of levels counts once.
	Equal Weighting = iota
	// Proportional: combinations count as often as they occur in the data.
	Proportional
)

// MeansSpec asks for marginal means. By are the variables for whose
// combinations means are wanted; empty for the overall mean. A numeric variable
// in By needs its values in At; elsewhere At may hold one value for a numeric
// variable, and the mean of the data is used without it.
type MeansSpec struct {
	By        []string
	At        map[string][]float64
	Weighting Weighting
}

// Means are the rows of marginal means: L·coefficients is the mean of each
// point. Points has the columns of By, one row per mean, the first varying
// slowest; it is nil when By is empty. Labels join the levels: "B, 185".
type Means struct {
	L      *mat.Dense
	Points *Frame
	Labels []string
}

// maxMeans bounds the number of means.
const maxMeans = 100_000

// Means returns the rows of the marginal means over the reference grid: all
// combinations of the factors' levels, observed or not (a mean over an empty
// cell may be inestimable; package linear finds out). Numeric variables enter
// through their basis at one value; polynomials are not averaged over the data.
// Errors: stats.ErrDomain for a variable that is in no term, one named twice, a
// numeric one without values and values for a factor; stats.ErrNonFinite;
// stats.ErrTooLarge.
func (m *Matrix) Means(spec MeansSpec) (*Means, error) {
	vars := m.variables()
	at, err := m.fixedValues(spec, vars)
	if err != nil {
		return nil, err
	}
	points, err := byPoints(spec, vars)
	if err != nil {
		return nil, err
	}
	nuisance, err := m.nuisance(spec, vars)
	if err != nil {
		return nil, err
	}
	count := 1
	if points != nil {
		count = points.Rows()
	}
	if count > maxCells/len(m.Names) {
		return nil, fmt.Errorf("%w: %d means of %d coefficients", stats.ErrTooLarge, count, len(m.Names))
	}
	out := &Means{L: mat.NewDense(count, len(m.Names), nil), Points: points, Labels: make([]string, count)}
	buffer := make([]float64, len(m.Names))
	for r := range count {
		codes := map[string]int{}
		var label []string
		for _, name := range spec.By {
			c, err := points.Column(name)
			if err != nil {
				return nil, err
			}
			if c.IsFactor() {
				codes[name] = c.codes[r]
				label = append(label, c.levels[c.codes[r]])
			} else {
				at[name] = c.values[r]
				label = append(label, strconv.FormatFloat(c.values[r], 'g', -1, 64))
			}
		}
		out.Labels[r] = strings.Join(label, ", ")
		for _, n := range nuisance {
			maps.Copy(codes, n.codes)
			m.point(buffer, codes, at)
			for j, b := range buffer {
				out.L.RawRowView(r)[j] += n.weight * b
			}
		}
		if err := stats.CheckFinite("marginal mean", out.L.RawRowView(r)); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// variables are the columns that occur in terms.
func (m *Matrix) variables() map[string]Column {
	out := map[string]Column{}
	for _, e := range m.terms {
		for _, v := range e.vars {
			out[v.column.name] = v.column
		}
	}
	return out
}

// fixedValues are the values of the numeric variables outside By.
func (m *Matrix) fixedValues(spec MeansSpec, vars map[string]Column) (map[string]float64, error) {
	for name, xs := range spec.At {
		c, ok := vars[name]
		if !ok || c.IsFactor() {
			return nil, fmt.Errorf("%w: values for %q, which is no numeric variable of the model", stats.ErrDomain, name)
		}
		if err := stats.CheckSample("values of "+name, xs); err != nil {
			return nil, err
		}
		if len(xs) > 1 && !slices.Contains(spec.By, name) {
			return nil, fmt.Errorf("%w: %d values of %s, which the means are not by", stats.ErrDomain, len(xs), name)
		}
	}
	at := map[string]float64{}
	for name, c := range vars {
		if c.IsFactor() {
			continue
		}
		if xs := spec.At[name]; xs != nil {
			at[name] = xs[0]
			continue
		}
		mean := 0.0
		for i, x := range c.values {
			mean += (x - mean) / float64(i+1) // running mean: no overflow
		}
		at[name] = mean
	}
	return at, nil
}

// byPoints are the combinations of the variables of By.
func byPoints(spec MeansSpec, vars map[string]Column) (*Frame, error) {
	if len(spec.By) == 0 {
		return nil, nil
	}
	sizes := make([]int, len(spec.By))
	total := 1
	for i, name := range spec.By {
		c, ok := vars[name]
		if !ok {
			return nil, fmt.Errorf("%w: %q is in no term of the model", stats.ErrDomain, name)
		}
		if slices.Index(spec.By, name) != i {
			return nil, fmt.Errorf("%w: means by %s twice", stats.ErrDomain, name)
		}
		sizes[i] = len(c.levels)
		if !c.IsFactor() {
			if sizes[i] = len(spec.At[name]); sizes[i] == 0 {
				return nil, fmt.Errorf("%w: means by the numeric variable %s need its values", stats.ErrDomain, name)
			}
		}
		if total > maxMeans/sizes[i] {
			return nil, fmt.Errorf("%w: over %d means", stats.ErrTooLarge, maxMeans)
		}
		total *= sizes[i]
	}
	cols := make([]Column, len(spec.By))
	stride := total
	for i, name := range spec.By {
		c := vars[name]
		stride /= sizes[i]
		p := Column{name: name, levels: c.levels, scores: c.scores}
		for r := range total {
			k := r / stride % sizes[i]
			if c.IsFactor() {
				p.codes = append(p.codes, k)
			} else {
				p.values = append(p.values, spec.At[name][k])
			}
		}
		cols[i] = p
	}
	return New(cols...)
}

// cell is a combination of levels with its weight; a factor without a code is
// averaged over its levels.
type cell struct {
	codes  map[string]int
	weight float64
}

// nuisance are the cells over which to average. With equal weights the average
// over all combinations is the product of the averages of each coding, so one
// cell without codes stands for them all.
func (m *Matrix) nuisance(spec MeansSpec, vars map[string]Column) ([]cell, error) {
	if spec.Weighting == Equal {
		return []cell{{weight: 1}}, nil
	}
	if spec.Weighting != Proportional {
		return nil, fmt.Errorf("%w: there is no weighting %d", stats.ErrDomain, spec.Weighting)
	}
	var others []Column
	for _, name := range slices.Sorted(maps.Keys(vars)) {
		if c := vars[name]; c.IsFactor() && !slices.Contains(spec.By, name) {
			others = append(others, c)
		}
	}
	var cells []cell
	index := map[string]int{}
	for i := range m.frame.Rows() {
		key := ""
		for _, c := range others {
			key += strconv.Itoa(c.codes[i]) + ","
		}
		k, ok := index[key]
		if !ok {
			k = len(cells)
			index[key] = k
			codes := map[string]int{}
			for _, c := range others {
				codes[c.name] = c.codes[i]
			}
			cells = append(cells, cell{codes: codes})
		}
		cells[k].weight++
	}
	for k := range cells {
		cells[k].weight /= float64(m.frame.Rows())
	}
	return cells, nil
}

// point writes the row of X at one point; factors without a code are averaged.
func (m *Matrix) point(dst []float64, codes map[string]int, at map[string]float64) {
	k := 0
	if m.intercept {
		dst[0], k = 1, 1
	}
	for _, e := range m.terms {
		values := make([][]float64, len(e.vars))
		for i, v := range e.vars {
			code, fixed := codes[v.column.name]
			switch {
			case !v.column.IsFactor():
				values[i] = v.basis.eval(at[v.column.name])
			case fixed:
				values[i] = v.table[code]
			default:
				values[i] = v.mean()
			}
		}
		product(dst[k:k+e.cols], values)
		k += e.cols
	}
}
