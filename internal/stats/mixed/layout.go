package mixed

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
)

// A Layout is a model whose fixed columns come from a frame.Matrix, so that
// questions can be asked by the names of factors.
type Layout struct {
	*Model
	Matrix *frame.Matrix
}

// FitMatrix fits a model with the columns of mx. Errors as Fit.
func FitMatrix(y []float64, mx *frame.Matrix, groups []Grouping, weights []float64, opt Options) (*Layout, error) {
	if mx == nil {
		return nil, fmt.Errorf("%w: no matrix", stats.ErrEmpty)
	}
	m, err := Fit(Data{Y: y, X: mx.X, Names: mx.Names, Groups: groups, Weights: weights}, opt)
	if err != nil {
		return nil, err
	}
	return &Layout{Model: m, Matrix: mx}, nil
}

// FromColumn makes a grouping of a factor column; stats.ErrDomain for a column
// of numbers.
func FromColumn(c frame.Column) (Grouping, error) {
	if !c.IsFactor() {
		return Grouping{}, fmt.Errorf("%w: the column %q holds numbers, a grouping needs a factor", stats.ErrDomain, c.Name())
	}
	return Grouping{Name: c.Name(), Codes: c.Codes(), Levels: c.Levels()}, nil
}

// Table is the F table of the terms in the order of the model. A term that adds
// nothing to those before it (types I and II), or whose hypothesis is not
// estimable (type III with empty cells), is listed with NumDF 0 and no other
// number. Errors: stats.ErrDomain for an unknown type and those of the method.
func (l *Layout) Table(kind frame.SumsOfSquares, method Method) ([]FTest, error) {
	if kind == frame.TypeIII && len(l.Matrix.Terms) == 1 {
		kind = frame.TypeI // the same hypothesis, in the form in which it is usually written
	}
	// The rows of types I and II depend on the columns' inner products, without
	// the weights; those of the factor are the same and cost no pass over the data.
	var x mat.Matrix
	if l.data.Weights == nil {
		x = l.b.factor()
	}
	hyps, err := l.Matrix.Hypotheses(kind, x)
	if err != nil {
		return nil, err
	}
	out := make([]FTest, 0, len(hyps))
	for _, h := range hyps {
		f := FTest{Name: h.Term}
		if rows := l.hypothesisRows(h, kind); len(rows) > 0 {
			if f, err = l.Test(rows, method); err != nil {
				return nil, err
			}
			f.Name = h.Term
		}
		out = append(out, f)
	}
	return out, nil
}

// hypothesisRows are the estimable rows of a hypothesis. Rows of types I and II
// are brought to a leading 1, the form in which sequential hypotheses are usually
// written: the test does not depend on it, Satterthwaite's denominator of a test
// with several rows does.
func (l *Layout) hypothesisRows(h frame.Hypothesis, kind frame.SumsOfSquares) [][]float64 {
	if h.L == nil {
		return nil
	}
	r, _ := h.L.Dims()
	var rows [][]float64
	for i := 0; i < r; i++ {
		row := append([]float64(nil), h.L.RawRowView(i)...)
		if kind != frame.TypeIII {
			size := maxAbs(row)
			for _, lead := range row {
				if lead > 1e-10*size || lead < -1e-10*size {
					for j := range row {
						row[j] /= lead
					}
					break
				}
			}
		}
		if l.estimable(row) == nil {
			rows = append(rows, row)
		}
	}
	return rows
}

// A Mean is a marginal mean. Estimable is false where the design cannot give it
// (an empty cell); its numbers are then 0.
type Mean struct {
	Label string
	Estimate
	Estimable bool
}

// A Difference is the difference of two means, first minus second.
type Difference struct {
	First, Second int // indices into Means.Means
	Label         string
	Estimate
}

// Means are marginal means with their covariance, over the estimable ones and
// rows of 0 for the others.
type Means struct {
	Means      []Mean
	Covariance *mat.SymDense
	Method     Method

	rows  [][]float64
	model *Model
}

// Means gives the marginal means over the reference grid that spec describes.
// Errors: those of frame.Matrix.Means and of the method.
func (l *Layout) Means(spec frame.MeansSpec, method Method) (*Means, error) {
	fm, err := l.Matrix.Means(spec)
	if err != nil {
		return nil, err
	}
	cov, err := l.covariance(method)
	if err != nil {
		return nil, err
	}
	s2 := l.Sigma2
	r, _ := fm.L.Dims()
	out := &Means{Covariance: mat.NewSymDense(r, nil), Method: method, model: l.Model, rows: make([][]float64, r)}
	for i := 0; i < r; i++ {
		mean := Mean{Label: fm.Labels[i]}
		if row := fm.L.RawRowView(i); l.estimable(row) == nil {
			out.rows[i] = l.reduce(row)
			if mean.Estimate, err = l.estimate(out.rows[i], method); err != nil {
				return nil, err
			}
			mean.Estimable = true
		}
		out.Means = append(out.Means, mean)
		for j := 0; j <= i; j++ {
			if out.rows[i] != nil && out.rows[j] != nil {
				out.Covariance.SetSym(j, i, s2*bilinear(cov, out.rows[i], out.rows[j]))
			}
		}
	}
	return out, nil
}

// Pairs are all differences, in the order (0,1), (0,2) … (1,2) …, leaving out
// means that are not estimable.
func (ms *Means) Pairs() ([]Difference, error) {
	var out []Difference
	for i := range ms.Means {
		for j := i + 1; j < len(ms.Means); j++ {
			if err := ms.add(&out, i, j); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// Against are the differences of each mean to the one at index control, in the
// order of the means. stats.ErrDomain for an index outside the means.
func (ms *Means) Against(control int) ([]Difference, error) {
	if control < 0 || control >= len(ms.Means) {
		return nil, fmt.Errorf("%w: control %d of %d means", stats.ErrDomain, control, len(ms.Means))
	}
	var out []Difference
	for i := range ms.Means {
		if i != control {
			if err := ms.add(&out, i, control); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// Contrast is Σ c_i·mean_i. Errors: stats.ErrLengths, stats.ErrNonFinite,
// stats.ErrSingular when it uses a mean that is not estimable,
// stats.ErrNoVariation when c is 0.
func (ms *Means) Contrast(c []float64) (Estimate, error) {
	if err := stats.CheckLengths("the contrast", len(c), "the means", len(ms.Means)); err != nil {
		return Estimate{}, err
	}
	if err := stats.CheckFinite("the contrast", c); err != nil {
		return Estimate{}, err
	}
	row := make([]float64, ms.model.P)
	for i, x := range c {
		if x == 0 {
			continue
		}
		if ms.rows[i] == nil {
			return Estimate{}, fmt.Errorf("%w: the mean of %s is not estimable", stats.ErrSingular, ms.Means[i].Label)
		}
		for j, v := range ms.rows[i] {
			row[j] += x * v
		}
	}
	if maxAbs(c) == 0 {
		return Estimate{}, fmt.Errorf("%w: the contrast is 0 throughout", stats.ErrNoVariation)
	}
	return ms.model.estimate(row, ms.Method)
}

func (ms *Means) add(out *[]Difference, i, j int) error {
	if ms.rows[i] == nil || ms.rows[j] == nil {
		return nil
	}
	row := make([]float64, len(ms.rows[i]))
	for k := range row {
		row[k] = ms.rows[i][k] - ms.rows[j][k]
	}
	e, err := ms.model.estimate(row, ms.Method)
	if err != nil {
		return err
	}
	*out = append(*out, Difference{First: i, Second: j, Label: ms.Means[i].Label + " - " + ms.Means[j].Label, Estimate: e})
	return nil
}
