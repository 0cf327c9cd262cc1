package sensitivity

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Confounder is an assumed unmeasured variable by its two partial R²: with the
// outcome given treatment and covariates (0 to 1), and with the treatment given
// the covariates (0 to below 1).
type Confounder struct {
	R2Outcome, R2Treatment float64
}

// Adjusted is what the regression would have said with the confounder in it.
type Adjusted struct {
	Bias  float64 // size of the bias, in the unit of the estimate
	Value float64 // estimate moved by Bias toward 0, or past it
	SE    float64
	DF    float64 // one less than before
	T     float64 // Value/SE; HasT is false where SE is 0
	HasT  bool
}

// Adjust takes the confounder into account, in the direction that shrinks the
// estimate: bias = SE √df √(y d/(1−d)), and SE √((1−y)/(1−d)) √(df/(df−1)), with
// y and d the two partial R² (Cinelli & Hazlett 2020, section 3).
//
// Errors: those of Estimate, ErrTooFew for 1 degree of freedom or less,
// ErrNonFinite and ErrDomain for the confounder.
func Adjust(e Estimate, c Confounder) (Adjusted, error) {
	if err := e.check(); err != nil {
		return Adjusted{}, err
	}
	if e.DF <= 1 {
		return Adjusted{}, fmt.Errorf("%w: %v residual degrees of freedom, more than 1 needed for one more covariate", stats.ErrTooFew, e.DF)
	}
	y, d := c.R2Outcome, c.R2Treatment
	if err := stats.CheckFinite("confounder", []float64{y, d}); err != nil {
		return Adjusted{}, err
	}
	if y < 0 || y > 1 || d < 0 || d >= 1 {
		return Adjusted{}, fmt.Errorf("%w: partial R² %v with the outcome (0 to 1) and %v with the treatment (0 to below 1)", stats.ErrDomain, y, d)
	}
	a := Adjusted{DF: e.DF - 1}
	a.Bias = e.SE * math.Sqrt(e.DF) * math.Sqrt(y*d/(1-d))
	a.Value = math.Copysign(1, e.Value) * (math.Abs(e.Value) - a.Bias)
	a.SE = e.SE * math.Sqrt((1-y)/(1-d)) * math.Sqrt(e.DF/(e.DF-1))
	if a.SE > 0 {
		a.T, a.HasT = a.Value/a.SE, true
	}
	if err := stats.CheckFinite("adjusted estimate", []float64{a.Bias, a.Value, a.SE, a.T}); err != nil {
		return Adjusted{}, err
	}
	return a, nil
}

// Benchmark is the strength of a recorded covariate (or group of covariates):
// its partial R² with the outcome given treatment and the other covariates, and
// with the treatment given the other covariates.
type Benchmark struct {
	R2Outcome, R2Treatment float64
}

// Bound is the strongest confounder that is KTreatment times as strong as the
// benchmark in explaining the treatment and KOutcome times in explaining the
// outcome.
type Bound struct {
	KOutcome, KTreatment float64
	Confounder
	// Possible is false where no confounder can be that much stronger: it would
	// explain more than all of the treatment. Confounder is then zero.
	Possible bool
	// Capped: the bound on the outcome's side was above 1 and was set to 1.
	Capped bool
}

// Bound computes the bound of section 4.4 of Cinelli & Hazlett (2020). With
// d_j, y_j the benchmark, d = k_D d_j/(1−d_j),
// z = k_D d_j²/((1 − k_D d_j)(1−d_j)) the partial R² of confounder and covariate
// given the treatment, and
// y = ((√k_Y + √z)/√(1−z))² y_j/(1−y_j), at most 1.
//
// Errors: ErrNonFinite; ErrDomain for a partial R² outside [0, 1) or k ≤ 0.
func (b Benchmark) Bound(kOutcome, kTreatment float64) (Bound, error) {
	if err := stats.CheckFinite("benchmark", []float64{b.R2Outcome, b.R2Treatment, kOutcome, kTreatment}); err != nil {
		return Bound{}, err
	}
	dj, yj := b.R2Treatment, b.R2Outcome
	if dj < 0 || dj >= 1 || yj < 0 || yj >= 1 {
		return Bound{}, fmt.Errorf("%w: benchmark partial R² %v and %v, from 0 to below 1 needed", stats.ErrDomain, yj, dj)
	}
	if kOutcome <= 0 || kTreatment <= 0 {
		return Bound{}, fmt.Errorf("%w: multiples %v and %v, above 0 needed", stats.ErrDomain, kOutcome, kTreatment)
	}
	out := Bound{KOutcome: kOutcome, KTreatment: kTreatment}
	d := kTreatment * dj / (1 - dj)
	if d >= 1 || kTreatment*dj >= 1 {
		return out, nil
	}
	z := kTreatment * dj * dj / ((1 - kTreatment*dj) * (1 - dj))
	if z >= 1 {
		return out, nil
	}
	root := (math.Sqrt(kOutcome) + math.Sqrt(z)) / math.Sqrt(1-z)
	y := root * root * yj / (1 - yj)
	if y > 1 {
		y, out.Capped = 1, true
	}
	out.Possible, out.Confounder = true, Confounder{R2Outcome: y, R2Treatment: d}
	return out, nil
}

// Scenario is one line of an extreme-scenario plot.
type Scenario struct {
	R2Outcome float64
	// R2Treatment is the share of the treatment that a confounder with
	// R2Outcome must explain to bring the estimate to 0; Possible is false
	// where none below 1 does (R2Outcome is 0 and the estimate is not).
	R2Treatment float64
	Possible    bool
}

// Extreme solves |estimate| = SE √df √(y d/(1−d)) for d at each share y of the
// outcome's residual variance: d = f²/(y + f²), f Cohen's f. Usual: 1, 0.75, 0.5.
//
// Errors: those of Estimate; ErrNonFinite and ErrDomain for a share outside
// [0, 1].
func Extreme(e Estimate, r2Outcome []float64) ([]Scenario, error) {
	f, err := CohensF(e)
	if err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("r2Outcome", r2Outcome); err != nil {
		return nil, err
	}
	out := make([]Scenario, len(r2Outcome))
	for i, y := range r2Outcome {
		if y < 0 || y > 1 {
			return nil, fmt.Errorf("%w: share %v of the outcome, 0 to 1 needed", stats.ErrDomain, y)
		}
		out[i] = Scenario{R2Outcome: y}
		switch {
		case f == 0:
			out[i].Possible = true // nothing to explain away
		case y > 0:
			h := math.Hypot(math.Sqrt(y), f)
			out[i].R2Treatment, out[i].Possible = (f/h)*(f/h), true
		}
	}
	return out, nil
}
