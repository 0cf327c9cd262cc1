package linear

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/vec"
)

// Stratum is the analysis within one error stratum: a row per term that varies
// there, in the order of the model, and the residual of the stratum, against
// which the rows are tested.
type Stratum struct {
	Name     string
	DF       int // all degrees of freedom of the stratum
	Rows     []AnovaRow
	Residual AnovaRow
}

// StrataTable is the analysis of variance of a blocked or nested layout.
type StrataTable struct {
	Strata   []Stratum
	Warnings []stats.Warning
}

// Strata splits the variation of y into error strata, one for each block term
// (each after those before it, so a coarser grouping comes first: replicate,
// then replicate:recipe) and "within" for what is left, and fits the terms of
// the model in each (sums of squares of type I). A whole-plot factor is thereby
// tested against whole plots. In a balanced layout each term lies in one
// stratum. A confounded or incompletely blocked term appears in several, with
// its degrees of freedom in each and the warning "several-strata"; its rows are
// then not combined. The mean is removed first, whether or not the model has an
// intercept.
//
// Errors: stats.ErrDomain for a block term with a numeric variable and for
// unknown variables, stats.ErrEmpty without block terms or observations,
// stats.ErrLengths, stats.ErrNonFinite, and those of frame.Build.
func Strata(f *frame.Frame, model frame.Model, blocks []frame.Term, y []float64) (*StrataTable, error) {
	if f == nil || len(blocks) == 0 {
		return nil, fmt.Errorf("%w: strata need a frame and at least one block term", stats.ErrEmpty)
	}
	if err := stats.CheckLengths("y", len(y), "the frame", f.Rows()); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("y", y); err != nil {
		return nil, err
	}
	for _, t := range blocks {
		for _, v := range t {
			if c, err := f.Column(v.Name); err == nil && !c.IsFactor() {
				return nil, fmt.Errorf("%w: the block %s is numeric; make it a factor", stats.ErrDomain, v.Name)
			}
		}
	}
	model.Intercept = true
	m, err := frame.Build(f, model)
	if err != nil {
		return nil, err
	}
	// Each block term has an indicator for each of its groups, whatever the other
	// terms; what earlier strata took away is found by the decomposition.
	one := make([]float64, len(y))
	for i := range one {
		one[i] = 1
	}
	cols, stratum := [][]float64{one}, []int{0}
	for i, t := range blocks {
		bm, err := frame.Build(f, frame.Model{Terms: []frame.Term{t}})
		if err != nil {
			return nil, err
		}
		for _, c := range columnsOf(bm.X) {
			cols, stratum = append(cols, c), append(stratum, i+1)
		}
	}
	return newStrata(m, decompose(cols, len(y), 1e-10, nil), stratum, blocks, y)
}

// newStrata turns everything into the coordinates of the block decomposition q:
// row k of Qᵀ belongs to the stratum of the k-th kept column, the rows after
// the rank to the stratum within.
func newStrata(m *frame.Matrix, q *qr, stratum []int, blocks []frame.Term, y []float64) (*StrataTable, error) {
	n := len(y)
	// The mean is taken off in double-double, so that a large offset costs no
	// digits; it lies in the first stratum, which is not reported.
	mean := meanDD(y, nil)
	ty := make([]float64, n)
	for i, v := range y {
		ty[i] = twoSum(v, 0).sub(mean).float()
	}
	yscale := scaleColumn(ty)
	q.applyQT(ty)
	cols := columnsOf(m.X)
	size := make([]float64, len(cols))
	for j, c := range cols {
		scaleColumn(c)
		size[j] = vec.Norm(c)
		q.applyQT(c)
	}
	out := &StrataTable{}
	found := make([][]string, len(m.Terms))
	for s := 1; s <= len(blocks)+1; s++ {
		name := "within"
		var rows []int
		if s <= len(blocks) {
			name = blocks[s-1].String()
			for k, j := range q.kept {
				if stratum[j] == s {
					rows = append(rows, k)
				}
			}
		} else {
			for k := q.rank(); k < n; k++ {
				rows = append(rows, k)
			}
		}
		if len(rows) == 0 {
			out.Warnings = append(out.Warnings, stats.Warning{ID: "empty-stratum",
				Text: fmt.Sprintf("The stratum %s has no degrees of freedom: its groups are those of the strata before it.", name)})
			continue
		}
		st, err := within(name, m, pick(cols, rows), size, pick([][]float64{ty}, rows)[0], yscale)
		if err != nil {
			return nil, err
		}
		for _, r := range st.Rows {
			for i, t := range m.Terms {
				if t.String() == r.Term {
					found[i] = append(found[i], name)
				}
			}
		}
		out.Strata = append(out.Strata, st)
	}
	for i, names := range found {
		if len(names) > 1 {
			out.Warnings = append(out.Warnings, stats.Warning{ID: "several-strata",
				Text: fmt.Sprintf("%s is spread over the strata %s; each row tells only its part.", m.Terms[i], strings.Join(names, ", "))})
		}
	}
	return out, nil
}

// within fits the terms in one stratum. Lengths before projection decide
// whether a column varies there at all.
func within(name string, m *frame.Matrix, cols [][]float64, size, y []float64, yscale float64) (Stratum, error) {
	q := decompose(cols, len(y), 1e-9, size)
	q.applyQT(y)
	st := Stratum{Name: name, DF: len(y), Residual: AnovaRow{Term: "residual", DF: len(y) - q.rank()}}
	unit := 1 / yscale / yscale
	rest := vec.Norm(y[q.rank():])
	// Rounding error of a stratum that is all fitted is no residual variation.
	if rest <= 1e-14*vec.Norm(y) {
		rest = 0
	}
	st.Residual.SS = rest * rest * unit
	if st.Residual.DF > 0 {
		st.Residual.MS = st.Residual.SS / float64(st.Residual.DF)
	}
	ss, df := make([]float64, len(m.Terms)+1), make([]int, len(m.Terms)+1)
	for k, j := range q.kept {
		ss[m.Assign[j]] += y[k] * y[k]
		df[m.Assign[j]]++
	}
	for i, t := range m.Terms {
		if df[i+1] == 0 {
			continue
		}
		row := AnovaRow{Term: t.String(), DF: df[i+1], SS: ss[i+1] * unit}
		row.MS = row.SS / float64(row.DF)
		if st.Residual.DF > 0 && rest > 0 {
			var err error
			if row.F, row.P, err = ratioTest(ss[i+1], row.DF, rest*rest, st.Residual.DF); err != nil {
				return st, err
			}
			row.Tested = true
		}
		st.Rows = append(st.Rows, row)
	}
	return st, finite(st.Residual.SS)
}

// pick copies the given rows of columns.
func pick(cols [][]float64, rows []int) [][]float64 {
	out := make([][]float64, len(cols))
	for j, c := range cols {
		out[j] = make([]float64, len(rows))
		for i, r := range rows {
			out[j][i] = c[r]
		}
	}
	return out
}

func columnsOf(x *mat.Dense) [][]float64 {
	_, p := x.Dims()
	out := make([][]float64, p)
	for j := range out {
		out[j] = mat.Col(nil, j, x)
	}
	return out
}
