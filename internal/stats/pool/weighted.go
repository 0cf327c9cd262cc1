package pool

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// design holds effects, variances and the model matrix with an intercept first;
// moderators are centred and scaled.
type design struct {
	y, v        []float64
	x           [][]float64
	mean, scale []float64 // of the moderators
	names       []string  // of all coefficients
}

func (d *design) k() int { return len(d.y) }
func (d *design) p() int { return len(d.names) }

func newDesign(effects, variances []float64, moderators *mat.Dense, names []string) (*design, error) {
	if err := stats.CheckSample("effects", effects); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("variances", len(variances), "effects", len(effects)); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("variances", variances); err != nil {
		return nil, err
	}
	k := len(effects)
	low, high := math.Inf(1), 0.0
	for i, v := range variances {
		if v <= 0 {
			return nil, fmt.Errorf("%w: variances[%d] = %v, above 0 needed", stats.ErrDomain, i, v)
		}
		low, high = math.Min(low, v), math.Max(high, v)
	}
	// Weights to the third power are summed: all must stay finite and above 0.
	if low < 1e-90 || high > 1e90 || high/low > 1e30 {
		return nil, fmt.Errorf("%w: variances from %v to %v are too far apart to be weighed", stats.ErrDomain, low, high)
	}
	for i, y := range effects {
		if y*y/low > 1e280 {
			return nil, fmt.Errorf("%w: effects[%d] = %v is out of proportion to the variances", stats.ErrDomain, i, y)
		}
	}
	d := &design{y: append([]float64(nil), effects...), v: append([]float64(nil), variances...),
		x: make([][]float64, k), names: []string{"intercept"}}
	for i := range d.x {
		d.x[i] = []float64{1}
	}
	if moderators == nil || moderators.IsEmpty() {
		if len(names) > 0 {
			return nil, fmt.Errorf("%w: no moderators and %d names", stats.ErrLengths, len(names))
		}
		return d, nil
	}
	r, m := moderators.Dims()
	if err := stats.CheckLengths("moderators", r, "effects", k); err != nil {
		return nil, err
	}
	if names != nil {
		if err := stats.CheckLengths("names", len(names), "moderators", m); err != nil {
			return nil, err
		}
	}
	for j := range m {
		col := mat.Col(nil, j, moderators)
		if err := stats.CheckFinite(fmt.Sprintf("moderator %d", j), col); err != nil {
			return nil, err
		}
		name := fmt.Sprintf("moderator%d", j+1)
		if names != nil {
			name = names[j]
		}
		mean, top := 0.0, 0.0
		for _, x := range col {
			mean += x / float64(k)
			top = math.Max(top, math.Abs(x))
		}
		scale := 0.0
		for _, x := range col {
			scale = math.Max(scale, math.Abs(x-mean))
		}
		if scale <= 1e-13*top || math.IsInf(scale, 0) {
			return nil, fmt.Errorf("%w: moderator %s is constant", stats.ErrSingular, name)
		}
		for i, x := range col {
			d.x[i] = append(d.x[i], (x-mean)/scale)
		}
		d.mean, d.scale, d.names = append(d.mean, mean), append(d.scale, scale), append(d.names, name)
	}
	if k < d.p() {
		return nil, fmt.Errorf("%w: %d trials, at least %d needed", stats.ErrTooFew, k, d.p())
	}
	X := mat.NewDense(k, d.p(), nil)
	for i, row := range d.x {
		X.SetRow(i, row)
	}
	var svd mat.SVD
	if !svd.Factorize(X, mat.SVDNone) {
		return nil, fmt.Errorf("%w: singular value decomposition", stats.ErrNotConverged)
	}
	if s := svd.Values(nil); s[len(s)-1] <= 1e-9*s[0] {
		return nil, fmt.Errorf("%w: the moderators depend on each other", stats.ErrSingular)
	}
	return d, nil
}

// weighted is the weighted least squares fit at one τ².
type weighted struct {
	w, e   []float64 // weights 1/(v+τ²) and residuals
	beta   []float64
	a      *mat.SymDense // (X'WX)⁻¹
	logDet float64       // log det X'WX
	rss    float64       // Σ w e² = y'Py, the generalised Q
	yppy   float64       // Σ w² e² = y'PPy
	trP    float64       // trace of P = W − WX(X'WX)⁻¹X'W
	trPP   float64
	sumW   float64
	sumW2  float64
}

func (d *design) fit(tau2 float64) (*weighted, error) {
	k, p := d.k(), d.p()
	f := &weighted{w: make([]float64, k), e: make([]float64, k)}
	xwx, xw2x, xw3x := mat.NewSymDense(p, nil), mat.NewSymDense(p, nil), mat.NewSymDense(p, nil)
	xwy := mat.NewVecDense(p, nil)
	for i := range k {
		w := 1 / (d.v[i] + tau2)
		f.w[i] = w
		f.sumW += w
		f.sumW2 += w * w
		for r := range p {
			for s := r; s < p; s++ {
				c := d.x[i][r] * d.x[i][s] * w
				xwx.SetSym(r, s, xwx.At(r, s)+c)
				xw2x.SetSym(r, s, xw2x.At(r, s)+c*w)
				xw3x.SetSym(r, s, xw3x.At(r, s)+c*w*w)
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(xwx) || math.IsInf(chol.Cond(), 0) || chol.Cond() > 1e14 {
		return nil, fmt.Errorf("%w: the moderators, as weighted, depend on each other", stats.ErrSingular)
	}
	f.logDet = chol.LogDet()
	f.a = mat.NewSymDense(p, nil)
	if err := chol.InverseTo(f.a); err != nil {
		return nil, fmt.Errorf("%w: %v", stats.ErrSingular, err)
	}
	// β, then once more on the residuals: the second round repairs rounding
	// where effects are large and differences small.
	f.beta = make([]float64, p)
	copy(f.e, d.y)
	for range 2 {
		for r := range p {
			s := 0.0
			for i := range k {
				s += d.x[i][r] * f.w[i] * f.e[i]
			}
			xwy.SetVec(r, s)
		}
		var step mat.VecDense
		step.MulVec(f.a, xwy)
		for r := range p {
			f.beta[r] += step.AtVec(r)
		}
		for i := range k {
			for r := range p {
				f.e[i] -= d.x[i][r] * step.AtVec(r)
			}
		}
	}
	for i := range k {
		f.rss += f.w[i] * f.e[i] * f.e[i]
		f.yppy += f.w[i] * f.w[i] * f.e[i] * f.e[i]
	}
	// tr P = Σw − tr(A X'W²X); tr PP = Σw² − 2 tr(A X'W³X) + tr((A X'W²X)²).
	var a2, a3, a22 mat.Dense
	a2.Mul(f.a, xw2x)
	a3.Mul(f.a, xw3x)
	a22.Mul(&a2, &a2)
	f.trP = f.sumW - mat.Trace(&a2)
	f.trPP = f.sumW2 - 2*mat.Trace(&a3) + mat.Trace(&a22)
	return f, nil
}

// quadVariance is 2 tr((PΣ)²), the variance of y'Py when Σ = diag(v + τ²) holds
// and P is that of the fit.
func (d *design) quadVariance(f *weighted, tau2 float64) float64 {
	s := 0.0
	for i := range d.k() {
		xi := mat.NewVecDense(d.p(), d.x[i])
		var ax mat.VecDense
		ax.MulVec(f.a, xi)
		for j := range d.k() {
			pij := -f.w[i] * f.w[j] * mat.Dot(&ax, mat.NewVecDense(d.p(), d.x[j]))
			if i == j {
				pij += f.w[i]
			}
			s += pij * pij * (d.v[i] + tau2) * (d.v[j] + tau2)
		}
	}
	return 2 * s
}

// logLik is the log likelihood at a fit with variance tau2, restricted or not.
func (d *design) logLik(f *weighted, tau2 float64, restricted bool) float64 {
	ll := 0.0
	for _, v := range d.v {
		ll -= 0.5 * math.Log(v+tau2)
	}
	ll -= 0.5 * f.rss
	n := float64(d.k())
	if restricted {
		n -= float64(d.p())
		ll -= 0.5 * f.logDet
	}
	return ll - 0.5*n*math.Log(2*math.Pi)
}
