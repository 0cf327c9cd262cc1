package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// components are the variances of V = fixed + Σ θᵢKᵢ, by REML.
type components struct {
	theta  []float64
	v      *mat.SymDense
	status stats.Status
}

// reml estimates θ ≥ 0 by Fisher scoring on the restricted likelihood.
//
//	score_i = ½(y'PKᵢPy − tr PKᵢ),  info_ij = ½ tr PKᵢPKⱼ,
//	P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹
//
// (Harville 1977, J. Am. Stat. Assoc. 72:320). A component that a step would
// make negative is held at 0 while its score points outwards; a step that
// lowers the likelihood is halved. fixed may be nil. x must have full column
// rank. Cost is that of a few dense N × N inverses per iteration; where the first
// component is a residual and the rest are groups, see compact.
//
// sets hold the level of each row, nil standing for the identity; x must have
// orthonormal columns.
func reml(y []float64, x *mat.Dense, fixed *mat.SymDense, sets [][]int) (*components, error) {
	n := len(y)
	_, p := x.Dims()
	if n <= p {
		return nil, fmt.Errorf("%w: %d cells and %d mean parameters", stats.ErrTooFew, n, p)
	}
	yv := mat.NewVecDense(n, append([]float64(nil), y...))

	// Start: the residual variance of least squares shared out equally.
	var qr mat.QR
	qr.Factorize(x)
	var b, fit mat.VecDense
	if err := qr.SolveVecTo(&b, false, yv); err != nil {
		return nil, fmt.Errorf("%w: means and blocks of the cells", stats.ErrSingular)
	}
	fit.MulVec(x, &b)
	s2, top := 0.0, 0.0
	for i := range n {
		d := y[i] - fit.AtVec(i)
		s2 += d * d
		top = math.Max(top, math.Abs(y[i]))
	}
	s2 /= float64(n - p)
	if s2 <= 1e-26*top*top && fixed == nil {
		return nil, fmt.Errorf("%w: repeated cells are all equal", stats.ErrNoVariation)
	}
	theta := make([]float64, len(sets))
	for i := range theta {
		theta[i] = s2 / float64(len(sets))
	}
	if s2 == 0 {
		for i := range theta {
			theta[i] = 1e-3 * fixed.At(0, 0)
		}
	}

	eval := compact(y, x, fixed, sets)
	if eval == nil {
		eval = dense(yv, x, fixed, sets)
	}

	cur, ok := eval(theta)
	if !ok {
		return nil, fmt.Errorf("%w: the covariance of the cells", stats.ErrSingular)
	}
	st := stats.Status{}
	for st.Iterations = 1; st.Iterations <= 200; st.Iterations++ {
		score, trace := cur.derivatives()
		var free []int
		for i := range sets {
			if theta[i] > 0 || score[i] > 0 {
				free = append(free, i)
			}
		}
		if len(free) == 0 {
			st.Converged = true
			break
		}
		info := mat.NewSymDense(len(free), nil)
		g := mat.NewVecDense(len(free), nil)
		for a, i := range free {
			g.SetVec(a, score[i])
			for b := a; b < len(free); b++ {
				info.SetSym(a, b, 0.5*trace(i, free[b]))
			}
		}
		var step mat.VecDense
		if err := step.SolveVec(info, g); err != nil {
			if _, soft := err.(mat.Condition); !soft || anyBad(step.RawVector().Data) {
				return nil, fmt.Errorf("%w: variance components of the cells", stats.ErrSingular)
			}
		}
		// gain = g'I⁻¹g is twice the predicted rise of the log likelihood.
		gain := mat.Dot(g, &step)
		moved := false
		for h := 1.0; h > 1e-6; h /= 2 {
			next := append([]float64(nil), theta...)
			for a, i := range free {
				next[i] = math.Max(0, theta[i]+h*step.AtVec(a))
			}
			cand, ok := eval(next)
			if ok && cand.ll >= cur.ll-1e-12*(1+math.Abs(cur.ll)) {
				change := 0.0
				for i := range next {
					change = math.Max(change, math.Abs(next[i]-theta[i])/(s2+1e-300))
				}
				moved = change > 1e-12
				theta, cur = next, cand
				break
			}
		}
		st.GradientNorm = 0
		for _, s := range score {
			st.GradientNorm = math.Max(st.GradientNorm, math.Abs(s))
		}
		if gain < 1e-16 || !moved {
			st.Converged = true
			break
		}
	}
	for _, th := range theta {
		if th == 0 {
			st.Boundary = true
		}
	}
	if !st.Converged {
		st.Message = "variance components did not settle"
	}
	return &components{theta, sum(n, fixed, sets, theta), st}, nil
}

func anyBad(xs []float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return true
		}
	}
	return false
}

// likelihood is the restricted log likelihood at one θ. derivatives gives the
// score, and the traces tr PKᵢPKⱼ of the information.
type likelihood struct {
	ll          float64
	derivatives func() (score []float64, trace func(i, j int) float64)
}

// sum is V at θ.
func sum(n int, fixed *mat.SymDense, sets [][]int, theta []float64) *mat.SymDense {
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s := 0.0
			if fixed != nil {
				s = fixed.At(i, j)
			}
			for k, th := range theta {
				if i == j || sets[k] != nil && sets[k][i] == sets[k][j] {
					s += th
				}
			}
			v.SetSym(i, j, s)
		}
	}
	return v
}

// dense evaluates the likelihood from the N × N matrices.
func dense(yv *mat.VecDense, x *mat.Dense, fixed *mat.SymDense, sets [][]int) func([]float64) (*likelihood, bool) {
	n, p := x.Dims()
	return func(theta []float64) (*likelihood, bool) {
		v := sum(n, fixed, sets, theta)
		var ch, cx mat.Cholesky
		if !ch.Factorize(v) {
			return nil, false
		}
		var vi mat.SymDense
		if ch.InverseTo(&vi) != nil {
			return nil, false
		}
		var vix mat.Dense
		vix.Mul(&vi, x)
		xvx := mat.NewSymDense(p, nil)
		var tmp mat.Dense
		tmp.Mul(x.T(), &vix)
		for i := range p {
			for j := i; j < p; j++ {
				xvx.SetSym(i, j, tmp.At(i, j))
			}
		}
		if !cx.Factorize(xvx) {
			return nil, false
		}
		var sol mat.Dense
		if cx.SolveTo(&sol, vix.T()) != nil {
			return nil, false
		}
		pm := mat.NewDense(n, n, nil)
		pm.Mul(&vix, &sol)
		pm.Sub(&vi, pm)
		py := mat.NewVecDense(n, nil)
		py.MulVec(pm, yv)
		ll := -0.5 * (ch.LogDet() + cx.LogDet() + mat.Dot(yv, py))
		return &likelihood{ll, func() ([]float64, func(i, j int) float64) {
			pk := make([]*mat.Dense, len(sets))
			score := make([]float64, len(sets))
			for i, levels := range sets {
				k := same(levels, n)
				pk[i] = mat.NewDense(n, n, nil)
				pk[i].Mul(pm, k)
				var kpy mat.VecDense
				kpy.MulVec(k, py)
				score[i] = 0.5 * (mat.Dot(py, &kpy) - mat.Trace(pk[i]))
			}
			return score, func(i, j int) float64 {
				tr := 0.0
				for r := range n {
					for c := range n {
						tr += pk[i].At(r, c) * pk[j].At(c, r)
					}
				}
				return tr
			}
		}}, !math.IsNaN(ll)
	}
}
