package frame

import "gonum.org/v1/gonum/mat"

// typeIII returns the rows for term i. Write each column of a factor as its
// mean over the levels plus deviations: that is sum-to-zero coding. A column of
// a term is a product over its variables, so it spreads over components, one
// for each subset of the term's factors. The coefficient of a component in the
// sum-to-zero model is therefore a known combination of all coefficients. A
// component belongs to the term with exactly its variables or, where the model
// has none, to the first term that contains it.
func (m *Matrix) typeIII(i int) *mat.Dense {
	e := m.terms[i]
	var l *mat.Dense
	nf := 0
	for _, v := range e.vars {
		if v.column.IsFactor() {
			nf++
		}
	}
	for set := (1 << nf) - 1; set >= 0; set-- {
		in := map[string]bool{}
		k := 0
		for _, v := range e.vars {
			if !v.column.IsFactor() {
				continue
			}
			if set&(1<<k) != 0 {
				in[v.column.name] = true
			}
			k++
		}
		if m.owner(in, e.numericKey()) != i {
			continue
		}
		rows := m.component(i, in)
		switch {
		case rows == nil:
		case l == nil:
			l = rows
		default:
			var both mat.Dense
			both.Stack(l, rows)
			l = &both
		}
	}
	return l
}

// owner is the index of the term to which a component belongs, -1 for the
// intercept.
func (m *Matrix) owner(factors map[string]bool, numeric string) int {
	if m.intercept && len(factors) == 0 && numeric == "" {
		return -1
	}
	first := -1
	for i, e := range m.terms {
		if e.numericKey() != numeric {
			continue
		}
		covered, size := 0, 0
		for _, v := range e.vars {
			if !v.column.IsFactor() {
				continue
			}
			size++
			if factors[v.column.name] {
				covered++
			}
		}
		if covered != len(factors) {
			continue
		}
		if size == covered {
			return i
		}
		if first < 0 {
			first = i
		}
	}
	return first
}

// component returns a row per coefficient of the component of term i with the
// given factors: the differences of all levels but the first from the first (they
// span the deviations from the mean), times the
// columns of the numeric variables; nil when there are none.
func (m *Matrix) component(i int, factors map[string]bool) *mat.Dense {
	own := m.terms[i]
	numeric := own.numericKey()
	dims := make([]int, len(own.vars)) // rows contributed by each variable
	rows := 1
	for k, v := range own.vars {
		switch {
		case !v.column.IsFactor():
			dims[k] = v.basis.degree
		case factors[v.column.name]:
			dims[k] = len(v.column.levels) - 1
		default:
			dims[k] = 1
		}
		rows *= dims[k]
	}
	if rows == 0 {
		return nil // a factor with one level has no deviations
	}
	l := mat.NewDense(rows, len(m.Names), nil)
	at := 0
	if m.intercept {
		at = 1
	}
	index := make([]int, len(own.vars))
	for _, e := range m.terms {
		if e.numericKey() == numeric && e.covers(factors) {
			values := make([][]float64, len(e.vars))
			for r := range rows {
				rest := r
				for k := range index {
					index[k], rest = rest%dims[k], rest/dims[k]
				}
				for k, v := range e.vars {
					values[k] = v.deviation(own, index, factors)
				}
				product(l.RawRowView(r)[at:at+e.cols], values)
			}
		}
		at += e.cols
	}
	return l
}

// covers reports whether the term has all the factors.
func (e encodedTerm) covers(factors map[string]bool) bool {
	n := 0
	for _, v := range e.vars {
		if v.column.IsFactor() && factors[v.column.name] {
			n++
		}
	}
	return n == len(factors)
}

// deviation gives, for each column of v, its coefficient in one row of a
// component of own: level minus first level for a factor of the component (the
// form matters to denominators by Satterthwaite's method), the mean for
// another factor, 1 at its own column for a numeric variable.
func (v encodedVariable) deviation(own encodedTerm, index []int, factors map[string]bool) []float64 {
	at := 0
	for k, o := range own.vars {
		if o.column.name == v.column.name {
			at = index[k]
		}
	}
	if !v.column.IsFactor() {
		out := make([]float64, v.basis.degree)
		out[at] = 1
		return out
	}
	if !factors[v.column.name] {
		return v.mean()
	}
	out := make([]float64, len(v.names))
	for j := range out {
		out[j] = v.table[at+1][j] - v.table[0][j]
	}
	return out
}

// mean is the average of the coding over the levels, each counting once.
func (v encodedVariable) mean() []float64 {
	out := make([]float64, len(v.names))
	for j := range out {
		for _, row := range v.table {
			out[j] += row[j]
		}
		out[j] /= float64(len(v.table))
	}
	return out
}
