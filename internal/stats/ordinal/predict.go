package ordinal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Point is where to predict: one value for each column of the data (all
// columns given to the fit, also those left out as aliased).
type Point struct {
	X, Nominal, Spread []float64
	// Average, for a fit with a random intercept, averages over the groups of
	// the population; without it the prediction is for a group with effect 0.
	Average bool
}

// Prediction is the predicted distribution over Result.Categories.
type Prediction struct {
	Probabilities []float64
	// Mean is the mean score, SE its standard error by the delta method from
	// the covariance of all estimates. HasSE is false where there is none
	// (infinite or unfinished fit, singular information).
	Mean, SE float64
	HasSE    bool
}

// averagePoints is the number of quadrature points of a population average: a
// smooth bounded function against a normal density, so plenty.
const averagePoints = 60

// Predict returns the category probabilities and the mean score at a point.
// scores are the values of the categories in use, in the order of
// Result.Categories; nil means the codes themselves.
//
// Errors: stats.ErrLengths and ErrNonFinite for the point or the scores,
// ErrDomain for a result that no fit made.
func (r *Result) Predict(at Point, scores []float64) (Prediction, error) {
	if r == nil || r.problem == nil {
		return Prediction{}, fmt.Errorf("%w: not the result of a fit", stats.ErrDomain)
	}
	pr := r.problem
	k := len(r.Categories)
	if scores == nil {
		for _, c := range r.Categories {
			scores = append(scores, float64(c))
		}
	}
	if err := stats.CheckLengths("scores", len(scores), "categories", k); err != nil {
		return Prediction{}, err
	}
	if err := stats.CheckFinite("scores", scores); err != nil {
		return Prediction{}, err
	}
	nominal, err := pr.nominal.internal("Nominal", at.Nominal)
	if err != nil {
		return Prediction{}, err
	}
	location, err := pr.location.internal("X", at.X)
	if err != nil {
		return Prediction{}, err
	}
	spread, err := pr.spread.internal("Spread", at.Spread)
	if err != nil {
		return Prediction{}, err
	}

	sigma, n := 0.0, pr.size()
	if r.Random != nil {
		sigma = r.Random.SD
	}
	node, share := []float64{0}, []float64{1}
	if at.Average && sigma > 0 {
		x, lnw := hermite(averagePoints)
		node, share = make([]float64, len(x)), make([]float64, len(x))
		for q := range x { // ∫ g(u) φ(u) du = Σ w π^(−1/2) g(√2 x)
			node[q], share[q] = sqrt2*x[q], math.Exp(lnw[q]-x[q]*x[q])
		}
	}
	shrink := 1.0
	if pr.q > 0 {
		shrink = math.Exp(-dot(spread, r.psi[pr.p:]))
	}
	out := Prediction{Probabilities: make([]float64, k)}
	// grad is the gradient of the mean by (ψ, σ): mean = s_K − Σ (s_{j+1} − s_j) F_j.
	grad := make([]float64, n+1)
	for q, u := range node {
		below := math.Inf(-1)
		for j := range k {
			above := math.Inf(1)
			var row []float64
			if j < k-1 {
				row = pr.row(j, nominal, location)
				above = dot(row, r.psi)*shrink - sigma*u
			}
			// A nominal effect can cross thresholds away from the data: then
			// there is no probability, and 0 is the nearest one.
			if l := pr.link.logDiff(above, below); !math.IsNaN(l) {
				out.Probabilities[j] += share[q] * math.Exp(l)
			}
			if row != nil {
				lf, _, _ := pr.link.density(above)
				v := -share[q] * math.Exp(lf) * (scores[j+1] - scores[j])
				addScaled(grad, row, v*shrink)
				for t, z := range spread {
					grad[pr.p+t] -= v * (above + sigma*u) * z
				}
				grad[n] -= v * u
			}
			below = math.Max(above, below)
		}
	}
	for j, p := range out.Probabilities {
		out.Mean += p * scores[j]
	}
	if r.cov != nil && r.Outcome == Estimated {
		m := r.cov.SymmetricDim()
		v := mat.NewVecDense(m, append([]float64(nil), grad[:m]...))
		if r.flip {
			v.SetVec(m-1, -v.AtVec(m-1))
		}
		if q := mat.Inner(v, r.cov, v); q >= 0 && !math.IsInf(q, 0) {
			out.SE, out.HasSE = math.Sqrt(q), true
		}
	}
	return out, nil
}

// internal brings a point to the standardised columns in use.
func (c columns) internal(what string, x []float64) ([]float64, error) {
	if err := stats.CheckLengths("the point's "+what, len(x), "columns", c.given); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite(what, x); err != nil {
		return nil, err
	}
	out := make([]float64, len(c.from))
	for k, j := range c.from {
		out[k] = (x[j] - c.mean[k]) / c.scale[k]
	}
	return out, nil
}
