package frame

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// SumsOfSquares is the type of the hypotheses of terms.
type SumsOfSquares int

const (
	// TypeI: each term after those before it.
	TypeI SumsOfSquares = iota + 1
	// TypeII: each term after all terms that do not contain it. A term contains
	// another when it has all its variables and more.
	TypeII
	// TypeIIByCovariates is TypeII, but a term contains only those terms that
	// have the same numeric variables: "recipe" is then tested after
	// "recipe:temp" with a numeric temp.
	TypeIIByCovariates
	// TypeIII: each term after all others in the model with sum-to-zero coding,
	// whatever the coding of this matrix. For a factor that also has an
	// interaction with a numeric variable this is the effect where that variable
	// (the first column of its basis) is 0.
	TypeIII
)

// Hypothesis is "L·coefficients = 0" for one term. L has a row per degree of
// freedom and a column per coefficient; it is nil when the term adds nothing to
// the terms before it (types I and II).
type Hypothesis struct {
	Term  string
	Index int // into Matrix.Terms
	L     *mat.Dense
}

// dependent is the share of a column's length below which what is left of it
// after projection on earlier columns counts as rounding error.
const dependent = 1e-10

// Hypotheses returns the hypothesis of each term. For types I and II it depends
// on the data through x, the (for instance whitened) matrix with the columns of
// X; nil stands for X. Rows of type III may be inestimable where cells are empty.
// Errors: stats.ErrLengths and stats.ErrNonFinite for x, stats.ErrDomain for an
// unknown type.
func (m *Matrix) Hypotheses(kind SumsOfSquares, x mat.Matrix) ([]Hypothesis, error) {
	out := make([]Hypothesis, len(m.Terms))
	for i, t := range m.Terms {
		out[i] = Hypothesis{Term: t.String(), Index: i}
	}
	if kind == TypeIII {
		for i := range out {
			out[i].L = m.typeIII(i)
		}
		return out, nil
	}
	if kind != TypeI && kind != TypeII && kind != TypeIIByCovariates {
		return nil, fmt.Errorf("%w: there is no type %d of sums of squares", stats.ErrDomain, kind)
	}
	if x == nil {
		x = m.X
	}
	_, p := x.Dims()
	if err := stats.CheckLengths("x", p, "the model", len(m.Names)); err != nil {
		return nil, err
	}
	w, err := compress(x)
	if err != nil {
		return nil, err
	}
	for i := range out {
		var before []int
		for j, a := range m.Assign {
			keep := a == 0 || a-1 < i
			if kind != TypeI {
				keep = a == 0 || a-1 != i && !m.contains(a-1, i, kind)
			}
			if keep {
				before = append(before, j)
			}
		}
		out[i].L = newDirections(w, before, m.columns(i))
	}
	return out, nil
}

// columns are the columns of X that belong to term i.
func (m *Matrix) columns(i int) []int {
	var out []int
	for j, a := range m.Assign {
		if a == i+1 {
			out = append(out, j)
		}
	}
	return out
}

// contains reports whether term s contains term t in the sense of kind.
func (m *Matrix) contains(s, t int, kind SumsOfSquares) bool {
	if s == t || len(m.Terms[s]) <= len(m.Terms[t]) {
		return false
	}
	has := map[string]bool{}
	for _, v := range m.Terms[s] {
		has[v.key()] = true
	}
	for _, v := range m.Terms[t] {
		if !has[v.key()] {
			return false
		}
	}
	return kind == TypeII || m.terms[s].numericKey() == m.terms[t].numericKey()
}

// Contains reports whether term s contains term t (TypeII or
// TypeIIByCovariates); false for indices outside the model.
func (m *Matrix) Contains(s, t int, kind SumsOfSquares) bool {
	if min(s, t) < 0 || max(s, t) >= len(m.Terms) {
		return false
	}
	return m.contains(s, t, kind)
}

// compress returns a matrix with the same inner products between columns and
// at most as many rows as columns: the R of a QR decomposition. Columns are
// copied into rows, because all further work is on columns.
func compress(x mat.Matrix) ([][]float64, error) {
	n, p := x.Dims()
	for j := range p {
		if err := stats.CheckFinite("x", mat.Col(nil, j, x)); err != nil {
			return nil, err
		}
	}
	if n > p {
		var qr mat.QR
		qr.Factorize(x)
		var r mat.Dense
		qr.RTo(&r)
		x, n = r.Slice(0, p, 0, p), p
	}
	cols := make([][]float64, p)
	for j := range cols {
		cols[j] = mat.Col(nil, j, x)
	}
	return cols, nil
}

// newDirections returns Qᵀ·X, where Q is an orthonormal basis of what the
// columns own add to the columns before: the sum of squares of a term is |Qᵀy|²,
// and Qᵀy estimates Qᵀ·X·β, so these rows are its hypothesis. Gram–Schmidt with
// each projection done twice, which keeps Q orthonormal to rounding error.
func newDirections(cols [][]float64, before, own []int) *mat.Dense {
	var basis [][]float64
	extend := func(j int) bool {
		v := slices.Clone(cols[j])
		size := norm(v)
		for range 2 {
			for _, q := range basis {
				d := dot(q, v)
				for i := range v {
					v[i] -= d * q[i]
				}
			}
		}
		left := norm(v)
		if !(left > dependent*size) {
			return false
		}
		for i := range v {
			v[i] /= left
		}
		basis = append(basis, v)
		return true
	}
	for _, j := range before {
		extend(j)
	}
	start := len(basis)
	for _, j := range own {
		extend(j)
	}
	fresh := basis[start:]
	if len(fresh) == 0 {
		return nil
	}
	l := mat.NewDense(len(fresh), len(cols), nil)
	for i, q := range fresh {
		for j, c := range cols {
			// What came before is orthogonal to q exactly; rounding must not
			// make the hypothesis depend on it.
			if !slices.Contains(before, j) {
				l.Set(i, j, dot(q, c))
			}
		}
	}
	return l
}

// numericKey identifies the numeric variables of a term.
func (e encodedTerm) numericKey() string {
	var t Term
	for i, v := range e.vars {
		if !v.column.IsFactor() {
			t = append(t, e.term[i])
		}
	}
	return t.key()
}

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
		if l == nil {
			l = rows
		} else {
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
// given factors: the level deviations of all levels but the last, times the
// columns of the numeric variables.
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
// component of own: level minus mean for a factor of the component, the mean for
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
	mean := v.mean()
	if !factors[v.column.name] {
		return mean
	}
	out := make([]float64, len(mean))
	for j := range out {
		out[j] = v.table[at][j] - mean[j]
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

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

// norm is the Euclidean length, safe against overflow.
func norm(a []float64) float64 {
	largest := 0.0
	for _, x := range a {
		largest = math.Max(largest, math.Abs(x))
	}
	if largest == 0 {
		return 0
	}
	s := 0.0
	for _, x := range a {
		s += (x / largest) * (x / largest)
	}
	return largest * math.Sqrt(s)
}
