package linear

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Influence is the pull of single observations (Belsley, Kuh & Welsch 1980,
// "Regression Diagnostics"). All slices have one entry per observation;
// DFBetas[i] has one per coefficient, 0 for aliased ones.
//
// Leverage is the diagonal of the hat matrix. Standardised is the residual over
// its own standard error, Studentised the same with sigma from the fit without
// the observation. Cook is Cook's distance, DFFits the change of the fitted
// value and DFBetas that of the coefficients when the observation is left out,
// in standard errors. An observation that alone determines a coefficient
// (leverage 1) has no such values: it has 0 there and its index in Exact.
type Influence struct {
	Leverage     []float64
	Standardised []float64
	Studentised  []float64
	Cook         []float64
	DFFits       []float64
	DFBetas      [][]float64
	PRESS        float64 // sum of squares of the leave-one-out prediction errors
	Exact        []int
	Warnings     []stats.Warning
}

// Influence computes the influence of each observation; for weighted fits on the
// weighted scale. Errors: stats.ErrTooFew with fewer than two residual degrees of
// freedom (leaving one out must leave one), stats.ErrNoVariation when all
// residuals are 0, stats.ErrDomain for a fit with a given covariance.
func (f *Fit) Influence() (*Influence, error) {
	if f.white.lower != nil {
		return nil, fmt.Errorf("%w: leaving one out is not defined here for correlated observations", stats.ErrDomain)
	}
	if f.DF < 2 {
		return nil, fmt.Errorf("%w: %d residual degrees of freedom, 2 needed", stats.ErrTooFew, f.DF)
	}
	if f.s == 0 {
		return nil, fmt.Errorf("%w: all residuals are 0", stats.ErrNoVariation)
	}
	n, p := f.N, len(f.Coefficients)
	out := &Influence{Leverage: make([]float64, n), Standardised: make([]float64, n), Studentised: make([]float64, n),
		Cook: make([]float64, n), DFFits: make([]float64, n), DFBetas: make([][]float64, n)}
	q := f.thinQ()
	diag := make([]float64, f.Rank) // of (AᵀA)⁻¹
	for _, c := range f.rinv {
		for i, x := range c {
			diag[i] += x * x
		}
	}
	nu := float64(f.DF)
	for i := range n {
		out.DFBetas[i] = make([]float64, p)
		h := 0.0
		for k := range q {
			h += q[k][i] * q[k][i]
		}
		out.Leverage[i] = math.Min(h, 1)
		rest := 1 - h
		if rest < 1e-10 {
			out.Exact = append(out.Exact, i)
			continue
		}
		r := f.rw[i]
		out.PRESS += (r / rest) * (r / rest) / f.yscale / f.yscale / f.white.weight(i)
		std := r / (f.s * math.Sqrt(rest))
		out.Standardised[i] = std
		out.Cook[i] = std * std * h / (rest * float64(f.Rank))
		// The residual variance without i: (nu - std²)/(nu - 1) times sigma².
		without := math.Sqrt(math.Max(nu-std*std, 0) / (nu - 1))
		if without < 1e-7 {
			out.Exact = append(out.Exact, i) // the others fit perfectly
			continue
		}
		out.Studentised[i] = std / without
		out.DFFits[i] = out.Studentised[i] * math.Sqrt(h/rest)
		// The change of the coefficients is R⁻¹·q_i·r_i/(1 - h).
		for k, c := range f.rinv {
			for m, x := range c {
				out.DFBetas[i][f.sys.qr.kept[m]] += x * q[k][i]
			}
		}
		for m, j := range f.sys.qr.kept {
			out.DFBetas[i][j] *= r / rest / (without * f.s * math.Sqrt(diag[m]))
		}
	}
	if len(out.Exact) > 0 {
		out.Warnings = append(out.Warnings, stats.Warning{ID: "leverage-one",
			Text: fmt.Sprintf("%d of %d observations determine a coefficient, or the error, alone; leaving them out has no answer.", len(out.Exact), n)})
	}
	return out, finite(out.PRESS)
}

// thinQ has the orthonormal columns that span the model.
func (f *Fit) thinQ() [][]float64 {
	q := make([][]float64, f.Rank)
	for k := range q {
		q[k] = make([]float64, f.N)
		q[k][k] = 1
		f.sys.qr.applyQ(q[k])
	}
	return q
}
