package frame

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/vec"
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
// the terms before it (types I and II) or has one level only (type III).
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
		size := vec.Norm(v)
		for range 2 {
			for _, q := range basis {
				d := dot(q, v)
				for i := range v {
					v[i] -= d * q[i]
				}
			}
		}
		left := vec.Norm(v)
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

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}
