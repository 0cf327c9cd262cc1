package sensitivity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Regression is a least squares fit of an outcome on a treatment and covariates
// with an intercept, kept for its benchmarks.
type Regression struct {
	Estimate   // of the treatment
	outcome    []float64
	treatment  []float64
	covariates [][]float64 // centred and scaled columns
}

// Regress fits outcome = intercept + treatment + covariates by QR on centred
// columns. covariates has one row per value, or is nil.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew (no residual degrees of
// freedom), ErrSingular (a column depends on the others), ErrNoVariation (the
// outcome is constant or fitted exactly, so that nothing is left to explain).
func Regress(outcome, treatment []float64, covariates *mat.Dense) (*Regression, error) {
	if err := stats.CheckSample("outcome", outcome); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("treatment", len(treatment), "outcome", len(outcome)); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("treatment", treatment); err != nil {
		return nil, err
	}
	r := &Regression{}
	var outcomeScale, scale float64
	var ok bool
	if r.outcome, outcomeScale, ok = centre(outcome); !ok {
		return nil, fmt.Errorf("%w: the outcome is constant", stats.ErrNoVariation)
	}
	if r.treatment, scale, ok = centre(treatment); !ok {
		return nil, fmt.Errorf("%w: the treatment is constant", stats.ErrSingular)
	}
	if covariates != nil && !covariates.IsEmpty() {
		n, p := covariates.Dims()
		if err := stats.CheckLengths("covariates", n, "outcome", len(outcome)); err != nil {
			return nil, err
		}
		for j := range p {
			col := mat.Col(nil, j, covariates)
			if err := stats.CheckFinite(fmt.Sprintf("covariate %d", j), col); err != nil {
				return nil, err
			}
			c, _, ok := centre(col)
			if !ok {
				return nil, fmt.Errorf("%w: covariate %d is constant", stats.ErrSingular, j)
			}
			r.covariates = append(r.covariates, c)
		}
	}
	df := len(outcome) - 2 - len(r.covariates)
	if df < 1 {
		return nil, fmt.Errorf("%w: %d rows, %d needed", stats.ErrTooFew, len(outcome), len(r.covariates)+3)
	}
	others := r.covariates
	ry, rd := residuals(r.outcome, others), residuals(r.treatment, others)
	dd := dotProduct(rd, rd)
	if independent, err := r.independent(); err != nil {
		return nil, err
	} else if !independent {
		return nil, fmt.Errorf("%w: the columns depend on each other", stats.ErrSingular)
	}
	// Frisch–Waugh: the coefficient is that of residual on residual.
	b := dotProduct(ry, rd) / dd
	rss := 0.0
	for i := range ry {
		e := ry[i] - b*rd[i]
		rss += e * e
	}
	if rss <= 1e-26*dotProduct(r.outcome, r.outcome) {
		return nil, fmt.Errorf("%w: the outcome is fitted exactly", stats.ErrNoVariation)
	}
	r.DF = float64(df)
	r.Value = b * outcomeScale / scale
	r.SE = math.Sqrt(rss/r.DF/dd) * outcomeScale / scale
	if err := r.Estimate.check(); err != nil {
		return nil, err
	}
	return r, nil
}

// Benchmark is the strength of the covariates with these column numbers,
// together. Errors: ErrDomain for no, unknown or repeated columns; ErrSingular
// when they explain the treatment completely.
func (r *Regression) Benchmark(columns ...int) (Benchmark, error) {
	if r == nil || len(columns) == 0 {
		return Benchmark{}, fmt.Errorf("%w: no covariate named", stats.ErrDomain)
	}
	chosen := map[int]bool{}
	for _, c := range columns {
		if c < 0 || c >= len(r.covariates) || chosen[c] {
			return Benchmark{}, fmt.Errorf("%w: covariate %d of %d, each once", stats.ErrDomain, c, len(r.covariates))
		}
		chosen[c] = true
	}
	var others [][]float64
	for j, c := range r.covariates {
		if !chosen[j] {
			others = append(others, c)
		}
	}
	// Partial R² = 1 − RSS(with)/RSS(without) = |difference of residuals|²/RSS(without).
	share := func(y []float64, with, without [][]float64) (float64, bool) {
		rw, ro := residuals(y, with), residuals(y, without)
		part := dotProduct(ro, ro)
		if !(part > 0) {
			return 0, false
		}
		// The second form: the first would cancel for weak covariates.
		d := make([]float64, len(rw))
		for i := range d {
			d[i] = ro[i] - rw[i]
		}
		return dotProduct(d, d) / part, true
	}
	var b Benchmark
	var ok1, ok2 bool
	b.R2Treatment, ok1 = share(r.treatment, r.covariates, others)
	withD := append([][]float64{r.treatment}, r.covariates...)
	withoutJ := append([][]float64{r.treatment}, others...)
	b.R2Outcome, ok2 = share(r.outcome, withD, withoutJ)
	if !ok1 || !ok2 || b.R2Treatment >= 1 || b.R2Outcome >= 1 {
		return Benchmark{}, fmt.Errorf("%w: nothing is left to explain beside the benchmark", stats.ErrSingular)
	}
	return b, nil
}

// independent reports whether treatment and covariates have full rank: the
// smallest diagonal of R against the largest, columns having unit length.
func (r *Regression) independent() (bool, error) {
	cols := append([][]float64{r.treatment}, r.covariates...)
	n, p := len(r.outcome), len(cols)
	if n < p {
		return false, nil
	}
	A := mat.NewDense(n, p, nil)
	for j, c := range cols {
		A.SetCol(j, c)
	}
	var svd mat.SVD
	if !svd.Factorize(A, mat.SVDNone) {
		return false, fmt.Errorf("%w: singular value decomposition", stats.ErrNotConverged)
	}
	s := svd.Values(nil)
	return s[p-1] > 1e-10*s[0], nil
}

// residuals of y on the columns, by Householder QR: y minus its projection.
// The columns are independent (checked), so R has no zero on its diagonal.
func residuals(y []float64, cols [][]float64) []float64 {
	n := len(y)
	if len(cols) == 0 {
		return append([]float64(nil), y...)
	}
	A := mat.NewDense(n, len(cols), nil)
	for j, c := range cols {
		A.SetCol(j, c)
	}
	var qr mat.QR
	qr.Factorize(A)
	var x mat.Dense
	out := append([]float64(nil), y...)
	for range 2 { // the second round removes what rounding left of the first
		if err := qr.SolveTo(&x, false, mat.NewDense(n, 1, out)); err != nil {
			break // only on exact singularity, which Regress excludes
		}
		next := make([]float64, n)
		for i := range n {
			s := 0.0
			for j, c := range cols {
				s += c[i] * x.At(j, 0)
			}
			next[i] = out[i] - s
		}
		out = next
	}
	return out
}

// centre returns the column minus its mean, scaled to unit length, and the
// scale; ok is false when nothing but rounding is left.
func centre(xs []float64) (out []float64, scale float64, ok bool) {
	n := float64(len(xs))
	mean, top := 0.0, 0.0
	for _, x := range xs {
		mean += x / n
		top = math.Max(top, math.Abs(x))
	}
	// A second pass takes out the rounding of the first mean.
	rest := 0.0
	for _, x := range xs {
		rest += (x - mean) / n
	}
	mean += rest
	out = make([]float64, len(xs))
	far := 0.0
	for i, x := range xs {
		out[i] = x - mean
		far = math.Max(far, math.Abs(out[i]))
	}
	if !(far > 1e-13*top) || math.IsInf(far, 0) {
		return nil, 0, false
	}
	ss := 0.0
	for i := range out {
		out[i] /= far
		ss += out[i] * out[i]
	}
	norm := math.Sqrt(ss)
	for i := range out {
		out[i] /= norm
	}
	return out, far * norm, true
}

func dotProduct(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}
