package frame

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Model is what Build turns into a matrix. Factors without an entry in Coding
// have treatment coding.
type Model struct {
	Intercept bool
	Terms     []Term
	Coding    map[string]Coding
}

// Matrix is a model matrix. The fields are the caller's to read, not to change.
//
// X has a row per row of the frame and a column per coefficient. Names name the
// columns ("(intercept)", "recipe[B]", "recipe[B]:temp[185]"). Assign gives for
// each column the term: 0 for the intercept, i for Terms[i-1].
type Matrix struct {
	X      *mat.Dense
	Names  []string
	Assign []int
	Terms  []Term

	intercept bool
	frame     *Frame
	terms     []encodedTerm
}

// encodedTerm and encodedVariable are a term with its coding fixed, so that new
// rows are coded exactly as the data were.
type encodedTerm struct {
	term Term
	vars []encodedVariable
	cols int
}

type encodedVariable struct {
	column Column
	names  []string
	table  [][]float64 // factors: a row per level
	basis  basis       // numeric columns
}

// Limits: more columns than maxColumns or more cells than maxCells are refused
// with stats.ErrTooLarge.
const (
	maxColumns = 20_000
	maxCells   = 100_000_000
)

// Build codes the terms of m over the rows of f. Errors: stats.ErrEmpty for a
// model without columns, stats.ErrDomain for unknown variables, a term or a
// variable given twice and codings that do not fit, stats.ErrNoVariation for a
// factor with one level or a constant in a polynomial, stats.ErrTooFew for a
// polynomial of too high a degree, stats.ErrTooLarge, and stats.ErrNonFinite
// where a product or a power overflows.
func Build(f *Frame, m Model) (*Matrix, error) {
	if f == nil {
		return nil, fmt.Errorf("%w: no frame", stats.ErrEmpty)
	}
	out := &Matrix{intercept: m.Intercept, frame: f}
	for name := range m.Coding {
		c, err := f.Column(name)
		if err != nil {
			return nil, err
		}
		if !c.IsFactor() {
			return nil, fmt.Errorf("%w: %s is numeric and has no coding", stats.ErrDomain, name)
		}
	}
	present := map[string]bool{}
	polynomial := map[string]Variable{}
	for _, t := range m.Terms {
		if err := t.check(f); err != nil {
			return nil, err
		}
		for _, v := range t {
			before, ok := polynomial[v.Name]
			if ok && v.Basis != Plain && before.key() != v.key() {
				return nil, fmt.Errorf("%w: two different polynomials of %s", stats.ErrDomain, v.Name)
			}
			if v.Basis != Plain {
				polynomial[v.Name] = v
			}
		}
		if present[t.key()] {
			return nil, fmt.Errorf("%w: the term %s occurs twice", stats.ErrDomain, t)
		}
		present[t.key()] = true
		out.Terms = append(out.Terms, slices.Clone(t))
	}
	// The empty term is present when the model has an intercept, or as soon as an
	// earlier term of factors only spans the constant.
	constant := m.Intercept
	if m.Intercept {
		out.Names, out.Assign = []string{interceptName}, []int{0}
	}
	for i, t := range out.Terms {
		e, err := encode(f, t, m.Coding, func(margin Term) bool {
			if len(margin) == 0 {
				return constant
			}
			return present[margin.key()]
		})
		if err != nil {
			return nil, err
		}
		constant = constant || e.factorsOnly()
		if len(out.Names)+e.cols > maxColumns {
			return nil, fmt.Errorf("%w: the model has over %d columns", stats.ErrTooLarge, maxColumns)
		}
		out.terms = append(out.terms, e)
		out.Names = append(out.Names, e.names()...)
		for range e.cols {
			out.Assign = append(out.Assign, i+1)
		}
	}
	if len(out.Names) == 0 {
		return nil, fmt.Errorf("%w: a model needs an intercept or a term", stats.ErrEmpty)
	}
	if f.Rows() > maxCells/len(out.Names) {
		return nil, fmt.Errorf("%w: %d rows by %d columns", stats.ErrTooLarge, f.Rows(), len(out.Names))
	}
	distinguish(out.Names)
	x, err := out.Encode(f)
	if err != nil {
		return nil, err
	}
	out.X = x
	return out, nil
}

// distinguish makes names unique that only odd levels (with brackets and colons
// in them) can make equal.
func distinguish(names []string) {
	seen := make(map[string]bool, len(names))
	for i, n := range names {
		for k := 2; seen[names[i]]; k++ {
			names[i] = fmt.Sprintf("%s (%d)", n, k)
		}
		seen[names[i]] = true
	}
}

// encode fixes the coding of t. has reports whether a margin is in the model.
func encode(f *Frame, t Term, codings map[string]Coding, has func(Term) bool) (encodedTerm, error) {
	e := encodedTerm{term: t, cols: 1}
	for i, v := range t {
		c, err := f.Column(v.Name)
		if err != nil {
			return e, err
		}
		ev := encodedVariable{column: c}
		switch {
		case !c.IsFactor():
			ev.basis, err = newBasis(v, c.values)
			ev.names = ev.basis.names(v.Name)
		case has(t.without(i)):
			ev.table, ev.names, err = codings[v.Name].table(c)
		default:
			ev.table, ev.names = indicators(c)
		}
		if err != nil {
			return e, err
		}
		if c.IsFactor() {
			for j, n := range ev.names {
				ev.names[j] = fmt.Sprintf("%s[%s]", v.Name, n)
			}
		}
		if len(ev.names) > maxColumns/e.cols {
			return e, fmt.Errorf("%w: the term %s has over %d columns", stats.ErrTooLarge, t, maxColumns)
		}
		e.cols *= len(ev.names)
		e.vars = append(e.vars, ev)
	}
	return e, nil
}

func (e encodedTerm) factorsOnly() bool {
	for _, v := range e.vars {
		if !v.column.IsFactor() {
			return false
		}
	}
	return true
}

// names are the column names; the first variable varies fastest.
func (e encodedTerm) names() []string {
	out := []string{""}
	for i, v := range e.vars {
		next := make([]string, 0, len(out)*len(v.names))
		for _, n := range v.names {
			for _, before := range out {
				if i > 0 {
					before += ":"
				}
				next = append(next, before+n)
			}
		}
		out = next
	}
	return out
}

// Scale returns the centre and half-width by which a Scaled variable enters the
// matrix: its powers are those of (x - centre)/halfWidth. ok is false when the
// variable has no scaled polynomial in the model.
func (m *Matrix) Scale(variable string) (centre, halfWidth float64, ok bool) {
	for _, e := range m.terms {
		for _, v := range e.vars {
			if v.column.name == variable && !v.column.IsFactor() && v.basis.kind == Scaled {
				return v.basis.centre, v.basis.width, true
			}
		}
	}
	return 0, 0, false
}

// product writes the products of one value per variable into dst, the first
// variable varying fastest.
func product(dst []float64, values [][]float64) {
	dst[0] = 1
	size := 1
	for _, vs := range values {
		// From the back, so that the block being multiplied is still untouched.
		for j := len(vs) - 1; j >= 0; j-- {
			for i := range size {
				dst[j*size+i] = dst[i] * vs[j]
			}
		}
		size *= len(vs)
	}
}

// Encode codes the rows of another frame as those of X. It needs the columns of
// the model's terms; a factor is matched by the text of its levels, so its order
// of levels may differ. Errors: stats.ErrDomain for a missing column, the wrong
// kind of column, or a level that the model has not seen; stats.ErrNonFinite
// where a power or product overflows.
func (m *Matrix) Encode(f *Frame) (*mat.Dense, error) {
	if f == nil {
		return nil, fmt.Errorf("%w: no frame", stats.ErrEmpty)
	}
	if f.Rows() > maxCells/len(m.Names) {
		return nil, fmt.Errorf("%w: %d rows by %d columns", stats.ErrTooLarge, f.Rows(), len(m.Names))
	}
	x := mat.NewDense(f.Rows(), len(m.Names), nil)
	at := 0
	if m.intercept {
		for i := range f.Rows() {
			x.Set(i, 0, 1)
		}
		at = 1
	}
	for _, e := range m.terms {
		rowValues, err := e.evaluator(f)
		if err != nil {
			return nil, err
		}
		values := make([][]float64, len(e.vars))
		for i := range f.Rows() {
			rowValues(i, values)
			dst := x.RawRowView(i)[at : at+e.cols]
			product(dst, values)
			if stats.CheckFinite("", dst) != nil {
				return nil, fmt.Errorf("%w: the term %s overflows in row %d", stats.ErrNonFinite, e.term, i)
			}
		}
		at += e.cols
	}
	return x, nil
}

// evaluator returns a function that gives the values of the variables of e in
// row i of f.
func (e encodedTerm) evaluator(f *Frame) (func(i int, dst [][]float64), error) {
	columns := make([]Column, len(e.vars))
	levels := make([][]int, len(e.vars)) // level of f → level of the model
	for j, v := range e.vars {
		c, err := f.Column(v.column.name)
		if err != nil {
			return nil, err
		}
		if c.IsFactor() != v.column.IsFactor() {
			return nil, fmt.Errorf("%w: %s is numeric in one frame and a factor in the other", stats.ErrDomain, c.name)
		}
		columns[j] = c
		if !c.IsFactor() {
			continue
		}
		levels[j] = make([]int, len(c.levels))
		for k, l := range c.levels {
			levels[j][k] = slices.Index(v.column.levels, l)
		}
		for _, code := range c.codes {
			if levels[j][code] < 0 {
				return nil, fmt.Errorf("%w: the model has no level %q of %s", stats.ErrDomain, c.levels[code], c.name)
			}
		}
	}
	return func(i int, dst [][]float64) {
		for j, v := range e.vars {
			if c := columns[j]; c.IsFactor() {
				dst[j] = v.table[levels[j][c.codes[i]]]
			} else {
				dst[j] = v.basis.eval(c.values[i])
			}
		}
	}, nil
}
