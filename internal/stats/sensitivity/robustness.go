package sensitivity

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Estimate is a regression coefficient with its standard error (> 0) and the
// residual degrees of freedom of its regression (> 0, need not be whole).
type Estimate struct {
	Value, SE, DF float64
}

func (e Estimate) check() error {
	if err := stats.CheckFinite("estimate", []float64{e.Value, e.SE, e.DF}); err != nil {
		return err
	}
	if e.SE <= 0 {
		return fmt.Errorf("%w: standard error %v, above 0 needed", stats.ErrDomain, e.SE)
	}
	if e.DF <= 0 {
		return fmt.Errorf("%w: %v residual degrees of freedom, above 0 needed", stats.ErrTooFew, e.DF)
	}
	if t := e.Value / e.SE; math.Abs(t) > 1e150 { // its square must stay finite
		return fmt.Errorf("%w: the ratio of estimate and standard error overflows", stats.ErrDomain)
	}
	return nil
}

// T is the estimate over its standard error.
func (e Estimate) T() float64 { return e.Value / e.SE }

// PartialR2 is the share of the outcome's residual variance that the treatment
// explains, t²/(t² + df).
func PartialR2(e Estimate) (float64, error) {
	if err := e.check(); err != nil {
		return 0, err
	}
	t2 := e.T() * e.T()
	return t2 / (t2 + e.DF), nil
}

// CohensF is the partial Cohen's f of the treatment, |t|/√df.
func CohensF(e Estimate) (float64, error) {
	if err := e.check(); err != nil {
		return 0, err
	}
	return math.Abs(e.T()) / math.Sqrt(e.DF), nil
}

// Robustness is what an unmeasured confounder needs to explain to change an
// answer. All are shares between 0 and 1.
type Robustness struct {
	Q, Alpha float64
	// Value is the robustness value: a confounder that explains at least this
	// share of the residual variance of both treatment and outcome can take
	// away the share Q of the estimate (Alpha 1), or make a test at level Alpha
	// of that smaller effect fail to reject (Alpha below 1).
	Value float64
	// Extreme is the same for a confounder that explains all residual variance
	// of the outcome: the share of the treatment that it needs to explain. With
	// Q 1 and Alpha 1 it equals the partial R² of treatment with outcome.
	Extreme float64
}

// RobustnessValue computes both values for the share q > 0 of the estimate and
// the level alpha in (0, 1]; 1 asks for the estimate alone. With f = q|t|/√df
// and f* = t_{1−α/2, df−1}/√(df−1), a confounder with partial R² values y and d
// brings t/√(df−1) down to (f√(1−d) − √(yd))/√(1−y). With y = d that meets f*
// at d = ½(√(g⁴+4g²) − g²), g = f − f*; when f f* > 1, a smaller y does more
// harm and the condition becomes d = (f² − f*²)/(1+f²).
//
// Errors: those of Estimate (ErrNonFinite, ErrDomain, ErrTooFew), ErrDomain for
// q or alpha, ErrTooFew for alpha below 1 with 1 degree of freedom or less (the
// confounder takes one).
func RobustnessValue(e Estimate, q, alpha float64) (Robustness, error) {
	if err := e.check(); err != nil {
		return Robustness{}, err
	}
	if !(q > 0) || math.IsInf(q, 0) {
		return Robustness{}, fmt.Errorf("%w: share q = %v, above 0 needed", stats.ErrDomain, q)
	}
	critical, err := criticalF(e.DF, alpha)
	if err != nil {
		return Robustness{}, err
	}
	f := q * math.Abs(e.T()) / math.Sqrt(e.DF)
	r := Robustness{Q: q, Alpha: alpha}
	if f <= critical {
		return r, nil // already not rejected, or no effect: nothing is needed
	}
	// (f−f*)(f+f*)/(1+f²), divided through by f where f² would overflow.
	r.Extreme = (f - critical) / math.Hypot(1, f) * ((f + critical) / math.Hypot(1, f))
	if f*critical > 1 {
		r.Value = r.Extreme
		return r, nil
	}
	// ½(√(g⁴+4g²) − g²) = 2/(1 + √(1 + 4/g²)): no cancellation for large g.
	g := f - critical
	r.Value = 2 / (1 + math.Sqrt(1+4/g/g))
	return r, nil
}

// criticalF is t_{1−α/2, df−1}/√(df−1), 0 for α = 1.
func criticalF(df, alpha float64) (float64, error) {
	if !(alpha > 0 && alpha <= 1) {
		return 0, fmt.Errorf("%w: level alpha = %v, above 0 and at most 1 needed", stats.ErrDomain, alpha)
	}
	if alpha == 1 {
		return 0, nil
	}
	if df <= 1 {
		return 0, fmt.Errorf("%w: %v residual degrees of freedom, more than 1 needed for a test with one more covariate", stats.ErrTooFew, df)
	}
	t, err := dist.TQuantile(alpha/2, df-1) // the lower tail keeps its digits
	if err != nil {
		return 0, err
	}
	return -t / math.Sqrt(df-1), nil
}
