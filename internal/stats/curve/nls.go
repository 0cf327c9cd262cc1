package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// Problem is a nonlinear least squares problem: minimise Σ wᵢ(yᵢ − fᵢ(β))².
type Problem struct {
	Y []float64
	// Mean writes the n model values at beta into out. It may be called from
	// one goroutine only, with any finite beta; a NaN or an infinity in out
	// marks a point outside the model's domain.
	Mean func(beta, out []float64)
	// Jacobian, when not nil, writes ∂fᵢ/∂βⱼ to jac[i*p+j]. nil means numeric
	// differences, refined to about 1e-11 near the answer.
	Jacobian func(beta, jac []float64)
	Weights  []float64 // nil: all 1; none negative
	Names    []string  // of the parameters, for messages; may be nil
}

// SolveOptions are the limits of Solve. The zero value means the defaults.
type SolveOptions struct {
	Tolerance float64 // relative offset, default 1e-9
	MaxIter   int     // of each run, default 500
	// OneStart keeps to the given start. Otherwise runs from a few starts
	// derived from it (linear parameters solved or projected out,
	// parameters rescaled) guard against a start in the wrong valley; the least sum of squares wins.
	OneStart bool
}

// Solution is the answer of Solve.
type Solution struct {
	Coef   []float64
	SE     []float64
	Cov    [][]float64 // σ²(J'WJ)⁻¹
	RSS    float64
	Sigma  float64
	DF     int
	Fitted []float64
	// Offset is the relative offset of Bates & Watts (1981, Technometrics
	// 23:179): the length of the residual in the tangent plane over its length
	// orthogonal to it, each per degree of freedom. How far the estimate is
	// from the minimum in units of its own confidence radius.
	Offset float64
	LogLik float64
	AICc   float64 // 0 when n − p − 2 < 1
	Status stats.Status

	problem Problem
}

// Solve minimises by Levenberg–Marquardt with the scaling of Moré (1978) on a
// QR factorisation, from start.
//
// It converges when the relative offset is at most the tolerance, or when the
// residuals are down to rounding, or when the next step would change no
// parameter in its 13th digit. What ends otherwise is returned with
// Status.Converged false and the reason; its SE are then only descriptive.
//
// Errors: ErrEmpty; ErrLengths; ErrNonFinite (also when the model has no value
// at the start); ErrTooFew when n ≤ p; ErrDomain for a negative weight;
// ErrSingular when the parameters cannot be told apart at the answer.
func Solve(p Problem, start []float64, opt SolveOptions) (*Solution, error) {
	n, k := len(p.Y), len(start)
	if n == 0 || k == 0 {
		return nil, fmt.Errorf("%w: %d values, %d parameters", stats.ErrEmpty, n, k)
	}
	if p.Mean == nil {
		return nil, fmt.Errorf("%w: no model", stats.ErrEmpty)
	}
	if err := stats.CheckFinite("y", p.Y); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("start", start); err != nil {
		return nil, err
	}
	if p.Weights != nil {
		if err := stats.CheckLengths("weights", len(p.Weights), "y", n); err != nil {
			return nil, err
		}
		if err := stats.CheckFinite("weights", p.Weights); err != nil {
			return nil, err
		}
		for i, w := range p.Weights {
			if w < 0 {
				return nil, fmt.Errorf("%w: weights[%d] = %v", stats.ErrDomain, i, w)
			}
		}
	}
	if p.Names != nil {
		if err := stats.CheckLengths("names", len(p.Names), "start", k); err != nil {
			return nil, err
		}
	}
	used := n
	for _, w := range p.Weights {
		if w == 0 {
			used--
		}
	}
	if used <= k {
		return nil, fmt.Errorf("%w: %d values for %d parameters", stats.ErrTooFew, used, k)
	}
	if opt.Tolerance <= 0 {
		opt.Tolerance = 1e-9
	}
	if opt.MaxIter <= 0 {
		opt.MaxIter = 500
	}
	s := newSolver(p, k, used)
	if s.sum(start) == math.Inf(1) {
		return nil, fmt.Errorf("%w: the model has no value at the start", stats.ErrNonFinite)
	}
	best := s.run(start, opt)
	if !opt.OneStart {
		others := s.otherStarts(start)
		for _, o := range append([][]float64{start}, others[:min(2, len(others))]...) {
			if b := s.reduced(o, opt); b != nil {
				others = append(others, b)
			}
		}
		for _, other := range others {
			r := s.run(other, opt)
			// A lower valley wins. Of two runs into one valley or into equal
			// ones (a mirrored solution), the one that converged, then the one
			// that keeps the signs of the start, then the earlier.
			same := math.Abs(r.rss-best.rss) <= 1e-9*math.Max(r.rss, best.rss)
			if !same && r.rss < best.rss && (r.status.Converged || !best.status.Converged) ||
				(same || r.rss < best.rss) && r.status.Converged && !best.status.Converged ||
				same && r.status.Converged == best.status.Converged && flips(r.beta, start) < flips(best.beta, start) {
				r.status.Iterations += best.status.Iterations
				best = r
			} else {
				best.status.Iterations += r.status.Iterations
			}
		}
	}
	return s.finish(best, p)
}

// flips counts the parameters that left the sign of the start.
func flips(beta, start []float64) int {
	n := 0
	for i := range beta {
		if beta[i]*start[i] < 0 {
			n++
		}
	}
	return n
}

// finish computes the covariance and the likelihood at the answer.
func (s *solver) finish(r run, p Problem) (*Solution, error) {
	n, k := s.n, s.p
	out := &Solution{Coef: r.beta, RSS: r.rss, DF: s.used - k, Offset: r.offset, Status: r.status, problem: p}
	out.Fitted = make([]float64, n)
	p.Mean(r.beta, out.Fitted)
	out.Sigma = math.Sqrt(out.RSS / float64(out.DF))
	s.fineJacobian(r.beta)
	// What is left of a column below ten times the error of the differences is
	// rounding, not information.
	tol := dependent
	if p.Jacobian == nil {
		tol = math.Min(math.Max(1e-10, 10*s.noise), 1e-6)
	}
	q, ok := newLeastSquares(s.jac, n, k, tol)
	if !ok {
		return nil, fmt.Errorf("%w: the parameters at the answer (%s)", stats.ErrSingular, r.status.Message)
	}
	out.Cov = q.inverse()
	out.SE = make([]float64, k)
	for i := range out.Cov {
		for j := range out.Cov[i] {
			out.Cov[i][j] *= out.Sigma * out.Sigma
		}
		out.SE[i] = math.Sqrt(out.Cov[i][i])
	}
	if anyBad(out.SE) {
		return nil, fmt.Errorf("%w: the parameters at the answer (%s)", stats.ErrSingular, r.status.Message)
	}
	m := float64(s.used)
	logw := 0.0
	for _, w := range p.Weights {
		if w > 0 {
			logw += math.Log(w)
		}
	}
	out.LogLik = -m/2*(math.Log(2*math.Pi*math.Max(out.RSS, 1e-300)/m)+1) + logw/2
	if s.used-k-2 >= 1 {
		out.AICc = -2*out.LogLik + penalty(k+1, s.used)
	}
	return out, nil
}

// Wald is the interval estimate ± t·SE of parameter i.
//
// Errors: ErrDomain.
func (s *Solution) Wald(i int, level float64) (stats.Interval, error) {
	if i < 0 || i >= len(s.Coef) || !(level > 0 && level < 1) {
		return stats.Interval{}, fmt.Errorf("%w: parameter %d, level %v", stats.ErrDomain, i, level)
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(s.DF)}.Quantile((1 + level) / 2)
	return stats.Interval{Low: s.Coef[i] - t*s.SE[i], High: s.Coef[i] + t*s.SE[i], Level: level}, nil
}

// ExtraSS is the F test of a nested model against a fuller one on the same
// data: (ΔRSS/Δdf)/(RSS/df) of the fuller.
//
// Errors: ErrDomain when the models are not nested in their degrees of freedom;
// ErrNoVariation when the fuller model leaves no residual.
func ExtraSS(nested, full *Solution) (FTest, error) {
	if nested == nil || full == nil || nested.DF <= full.DF {
		return FTest{}, fmt.Errorf("%w: the first model must have fewer parameters", stats.ErrDomain)
	}
	return extraSS(nested.RSS, nested.DF, full.RSS, full.DF)
}

func extraSS(rss0 float64, df0 int, rss1 float64, df1 int) (FTest, error) {
	if !(rss1 > 0) {
		return FTest{}, fmt.Errorf("%w: no residual in the fuller model", stats.ErrNoVariation)
	}
	d := float64(df0 - df1)
	f := FTest{F: math.Max(0, rss0-rss1) / d / (rss1 / float64(df1)), DF1: d, DF2: float64(df1)}
	f.P = distuv.F{D1: d, D2: float64(df1)}.Survival(f.F)
	return f, nil
}

// LackOfFit compares the model with a free mean for each distinct x, which must
// hold the value that the model depends on. Weights must be equal within an x.
//
// Errors: ErrLengths, ErrNonFinite; ErrTooFew without repeats or without more
// distinct x than parameters; ErrNoVariation when repeats are all equal.
func (s *Solution) LackOfFit(x []float64) (FTest, error) {
	y := s.problem.Y
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return FTest{}, err
	}
	if err := stats.CheckFinite("x", x); err != nil {
		return FTest{}, err
	}
	type group struct{ w, sum float64 }
	groups := map[float64]*group{}
	weight := func(i int) float64 {
		if s.problem.Weights == nil {
			return 1
		}
		return s.problem.Weights[i]
	}
	for i, v := range x {
		g := groups[v]
		if g == nil {
			g = &group{}
			groups[v] = g
		}
		g.w += weight(i)
		g.sum += weight(i) * y[i]
	}
	pure := 0.0
	for i, v := range x {
		if g := groups[v]; g.w > 0 {
			d := y[i] - g.sum/g.w
			pure += weight(i) * d * d
		}
	}
	dfPure := s.DF + len(s.Coef) - len(groups)
	if dfPure < 1 || dfPure >= s.DF {
		return FTest{}, fmt.Errorf("%w: %d distinct x for %d parameters and %d values", stats.ErrTooFew, len(groups), len(s.Coef), len(y))
	}
	return extraSS(s.RSS, s.DF, pure, dfPure)
}

// Predict is the value of a function of the parameters with its standard error
// by the delta method. g returns the value at beta.
//
// Errors: ErrNonFinite when g has no value near the estimate.
func (s *Solution) Predict(g func(beta []float64) float64) (value, se float64, err error) {
	k := len(s.Coef)
	grad := make([]float64, k)
	b := append([]float64(nil), s.Coef...)
	value = g(b)
	for j := range b {
		h := 1e-3 * s.SE[j]
		if h == 0 {
			h = 1e-6 * math.Max(math.Abs(b[j]), 1e-6)
		}
		// Fourth-order central difference.
		at := func(m float64) float64 { b[j] = s.Coef[j] + m*h; return g(b) }
		grad[j] = (8*(at(1)-at(-1)) - (at(2) - at(-2))) / (12 * h)
		b[j] = s.Coef[j]
	}
	if anyBad(grad) || anyBad([]float64{value}) {
		return 0, 0, fmt.Errorf("%w: no value near the estimate", stats.ErrNonFinite)
	}
	v := mat.NewVecDense(k, grad)
	sum := 0.0
	for i := range k {
		for j := range k {
			sum += v.AtVec(i) * v.AtVec(j) * s.Cov[i][j]
		}
	}
	return value, math.Sqrt(math.Max(0, sum)), nil
}
