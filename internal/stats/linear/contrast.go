package linear

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/vec"
)

// Estimate is a linear combination of coefficients with its standard error, the
// test that it is 0 and its confidence interval, on DF degrees of freedom.
type Estimate struct {
	Value    float64
	SE       float64
	DF       int
	T        float64
	P        float64
	Interval stats.Interval
}

// Test is a general linear hypothesis: SS on DF degrees of freedom against the
// residual mean square on ResidualDF.
type Test struct {
	SS         float64
	DF         int
	ResidualDF int
	F          float64
	P          float64
}

// estimable is the relative size below which a combination's share in the null
// space of the model counts as rounding error.
const estimable = 1e-8

// Estimable reports whether l, one weight per coefficient, is a combination that
// the data determine. Without aliased columns everything is.
func (f *Fit) Estimable(l []float64) bool {
	return len(l) == len(f.Coefficients) && stats.CheckFinite("", l) == nil && f.inestimable(l) < 0
}

// inestimable is the index (into Aliases) of an aliased column that l needs, -1
// when there is none. With x_d = Σ a_k·x_k the combination is determined when
// l_d = Σ a_k·l_k; the difference is judged against the sizes of its terms.
func (f *Fit) inestimable(l []float64) int {
	q := f.sys.qr
	for d, j := range q.dropped {
		a := f.aliasWeights(d)
		diff, size := l[j]*f.scale[j], math.Abs(l[j]*f.scale[j])
		for k, w := range a {
			t := w * l[q.kept[k]] * f.scale[q.kept[k]]
			diff -= t
			size += math.Abs(t)
		}
		if math.Abs(diff) > estimable*size {
			return d
		}
	}
	return -1
}

// aliasWeights express the scaled dropped column d in the scaled kept ones.
func (f *Fit) aliasWeights(d int) []float64 {
	c := make([]float64, f.Rank)
	copy(c, f.sys.qr.alias[d])
	f.sys.qr.solveR(c)
	return c
}

// needEstimable returns stats.ErrSingular naming the aliased column.
func (f *Fit) needEstimable(what string, l []float64) error {
	if d := f.inestimable(l); d >= 0 {
		return fmt.Errorf("%w: %s needs the aliased column %s", stats.ErrSingular, what, f.Aliases[d].Name)
	}
	return nil
}

// value is l·coefficients in double-double, in the units of y.
func (f *Fit) value(l []float64) float64 {
	var s dd
	for k, j := range f.sys.qr.kept {
		s = s.add(f.z[k].mul(twoProd(l[j], f.scale[j])))
	}
	return s.float() / f.yscale
}

// spread is l·R⁻¹ for the kept columns: the variance of the combination is its
// squared length times sigma².
func (f *Fit) spread(l []float64) []float64 {
	m := make([]float64, f.Rank)
	for k, c := range f.rinv {
		for i, x := range c {
			j := f.sys.qr.kept[i]
			m[k] += l[j] * f.scale[j] * x
		}
	}
	return m
}

// checkRow checks one row of weights.
func (f *Fit) checkRow(l []float64) error {
	if err := stats.CheckLengths("the combination", len(l), "coefficients", len(f.Coefficients)); err != nil {
		return err
	}
	return stats.CheckFinite("the combination", l)
}

// Estimate returns l·coefficients, l having one weight per coefficient. level is
// that of the interval, 0.95 for instance. Errors: stats.ErrLengths,
// stats.ErrNonFinite, stats.ErrSingular for a combination that the data do not
// determine, stats.ErrTooFew without residual degrees of freedom,
// stats.ErrNoVariation when all residuals are 0 or all weights are,
// stats.ErrDomain for a level outside (0, 1).
func (f *Fit) Estimate(l []float64, level float64) (Estimate, error) {
	if err := f.checkRow(l); err != nil {
		return Estimate{}, err
	}
	if err := f.needEstimable("the combination", l); err != nil {
		return Estimate{}, err
	}
	t, err := f.critical(level)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: f.value(l), DF: f.DF, SE: f.Sigma * vec.Norm(f.spread(l))}
	if !(e.SE > 0) {
		return Estimate{}, fmt.Errorf("%w: the standard error is 0", stats.ErrNoVariation)
	}
	e.T = e.Value / e.SE
	e.P = twoSided(e.T, f.DF)
	e.Interval = stats.Interval{Low: e.Value - t*e.SE, High: e.Value + t*e.SE, Level: level}
	return e, finite(e.Value, e.SE, e.T, e.Interval.Low, e.Interval.High)
}

// finite guards results against overflow.
func finite(xs ...float64) error {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%w: the result overflows; use other units", stats.ErrNonFinite)
		}
	}
	return nil
}

// critical is the two-sided critical value of t at the level.
func (f *Fit) critical(level float64) (float64, error) {
	return criticalT(level, float64(f.DF))
}

func criticalT(level, df float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("%w: level %v, between 0 and 1 wanted", stats.ErrDomain, level)
	}
	if !(df > 0) {
		return 0, fmt.Errorf("%w: no residual degrees of freedom", stats.ErrTooFew)
	}
	t, err := dist.TQuantile((1-level)/2, df) // lower tail: no digits lost near 1
	return -t, err
}

// Test tests L·coefficients = rhs, L having a column per coefficient; nil rhs is
// 0. Rows that repeat others count once. Errors: stats.ErrLengths,
// stats.ErrNonFinite, stats.ErrSingular for a row that the data do not determine
// and for rows that contradict each other, stats.ErrTooFew, stats.ErrNoVariation
// when all residuals are 0 or all rows are.
func (f *Fit) Test(l mat.Matrix, rhs []float64) (Test, error) {
	if l == nil {
		return Test{}, fmt.Errorf("%w: no hypothesis", stats.ErrEmpty)
	}
	if err := f.needDF(); err != nil {
		return Test{}, err
	}
	rows, _ := l.Dims()
	if rhs == nil {
		rhs = make([]float64, rows)
	}
	if err := stats.CheckLengths("the right-hand side", len(rhs), "rows", rows); err != nil {
		return Test{}, err
	}
	if err := stats.CheckFinite("the right-hand side", rhs); err != nil {
		return Test{}, err
	}
	for i := range rows {
		row := mat.Row(nil, i, l)
		if err := f.checkRow(row); err != nil {
			return Test{}, err
		}
		if err := f.needEstimable(fmt.Sprintf("row %d of the hypothesis", i), row); err != nil {
			return Test{}, err
		}
	}
	ss, df, err := f.sumOfSquares(l, rhs)
	if err != nil {
		return Test{}, err
	}
	return f.against(ss, df)
}

// sumOfSquares is the rise of the residual sum of squares, in the units of y
// squared, when estimable rows are held at rhs: with M = L·R⁻¹ it is
// vᵀ(M·Mᵀ)⁻¹v, v = L·β - rhs, and with Mᵀ = Q·T it is |T⁻ᵀv|².
func (f *Fit) sumOfSquares(l mat.Matrix, rhs []float64) (ss float64, df int, err error) {
	rows, _ := l.Dims()
	m, v := make([][]float64, rows), make([]float64, rows)
	for i := range rows {
		row := mat.Row(nil, i, l)
		m[i] = f.spread(row)
		v[i] = f.value(row) - rhs[i]
	}
	q := decompose(m, f.Rank, 1e-10, nil)
	if q.rank() == 0 {
		return 0, 0, fmt.Errorf("%w: the hypothesis has no rows but 0", stats.ErrNoVariation)
	}
	u := make([]float64, q.rank())
	for k, i := range q.kept {
		u[k] = v[i]
	}
	w := append([]float64{}, u...)
	q.solveRT(u)
	// A repeated row must ask for what the rows it repeats ask for.
	for d, i := range q.dropped {
		c := make([]float64, q.rank())
		copy(c, q.alias[d])
		q.solveR(c)
		size := math.Abs(v[i])
		for k := range c {
			size += math.Abs(c[k] * w[k])
		}
		size += f.Sigma * vec.Norm(m[i]) // differences far below the error do not matter
		if math.Abs(v[i]-floats.Dot(c, w)) > 1e-6*size {
			return 0, 0, fmt.Errorf("%w: rows of the hypothesis contradict each other", stats.ErrSingular)
		}
	}
	size := vec.Norm(u)
	return size * size, q.rank(), nil
}

// against sets a sum of squares against the residual.
func (f *Fit) against(ss float64, df int) (Test, error) {
	t := Test{SS: ss, DF: df, ResidualDF: f.DF}
	if !(f.Sigma > 0) {
		return t, fmt.Errorf("%w: all residuals are 0", stats.ErrNoVariation)
	}
	root := math.Sqrt(ss) / f.Sigma
	t.F = root * root / float64(df)
	var err error
	if err = finite(t.SS, t.F); err != nil {
		return Test{}, err
	}
	t.P, err = dist.FUpper(t.F, float64(df), float64(f.DF))
	return t, err
}

// Overall tests all coefficients but the constant (all of them when the model
// has none). Errors as Test; stats.ErrNoVariation when there is only a constant.
func (f *Fit) Overall() (Test, error) {
	if err := f.needDF(); err != nil {
		return Test{}, err
	}
	df := f.Rank - f.constants()
	if df == 0 {
		return Test{}, fmt.Errorf("%w: the model is a constant", stats.ErrNoVariation)
	}
	return f.against(f.mss/f.yscale/f.yscale, df)
}

// estimablePart returns a basis of the combinations of the rows of l that the
// data determine, or nil when there are none; l itself when all are.
func (f *Fit) estimablePart(l *mat.Dense) *mat.Dense {
	q := f.sys.qr
	rows, _ := l.Dims()
	if len(q.dropped) == 0 {
		return l
	}
	// e(i,d) is the share of row i in the null vector of dropped column d, both
	// scaled to length 1. A combination c of rows is determined when cᵀE = 0.
	e := mat.NewDense(rows, len(q.dropped), nil)
	scaled := mat.DenseCopyOf(l)
	for i := range rows {
		row := make([]float64, len(f.scale))
		for j := range row {
			row[j] = l.At(i, j) * f.scale[j]
		}
		size := vec.Norm(row)
		if size == 0 {
			continue
		}
		floats.Scale(1/size, scaled.RawRowView(i))
		for d, j := range q.dropped {
			a := f.aliasWeights(d)
			v := row[j]
			for k, w := range a {
				v -= w * row[q.kept[k]]
			}
			v /= size * math.Sqrt(1+floats.Dot(a, a))
			if math.Abs(v) > estimable {
				e.Set(i, d, v)
			}
		}
	}
	var svd mat.SVD
	if mat.Norm(e, 1) == 0 || !svd.Factorize(e, mat.SVDFullU) {
		return l
	}
	rank := 0
	for _, s := range svd.Values(nil) {
		if s > estimable {
			rank++
		}
	}
	if rank == rows {
		return nil
	}
	var u, out mat.Dense
	svd.UTo(&u)
	out.Mul(u.Slice(0, rows, rank, rows).T(), scaled)
	return &out
}
