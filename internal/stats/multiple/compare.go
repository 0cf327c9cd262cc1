package multiple

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Method is a way to adjust a family of comparisons.
type Method int

const (
	// None leaves each comparison alone: Fisher's least significant difference.
	None Method = iota
	// Tukey is the studentized range for all pairs; with unequal standard errors
	// the Tukey–Kramer form, which errs on the careful side (Hayter 1984).
	Tukey
	// Dunnett is the exact single-step adjustment of comparisons with a control.
	Dunnett
	// Scheffe holds for every contrast of the means at once.
	Scheffe
	// Bonferroni and Sidak are single steps on p-values; Sidak is exact for
	// independent comparisons and careful for the ones used here.
	Bonferroni
	Sidak
	// Holm (step down) and Hochberg (step up) control the familywise error.
	Holm
	Hochberg
	// BenjaminiHochberg controls the false discovery rate: for exploring.
	BenjaminiHochberg
)

var methodNames = [...]string{"none", "tukey", "dunnett", "scheffe", "bonferroni", "sidak", "holm", "hochberg", "benjamini-hochberg"}

// String is the lower-case name of the method.
func (m Method) String() string {
	if m < 0 || int(m) >= len(methodNames) {
		return fmt.Sprintf("method %d", int(m))
	}
	return methodNames[m]
}

// ParseMethod is the inverse of String. Error: stats.ErrDomain.
func ParseMethod(name string) (Method, error) {
	for i, n := range methodNames {
		if n == name {
			return Method(i), nil
		}
	}
	return 0, fmt.Errorf("%w: no adjustment is called %q", stats.ErrDomain, name)
}

// Side is the alternative of a comparison.
type Side int

const (
	// TwoSided looks for a difference either way.
	TwoSided Side = iota
	// Greater looks for I above J; its intervals are open upwards.
	Greater
	// Less looks for I below J; its intervals are open downwards.
	Less
)

// Options of Compare. The zero value is a 95 % level, two-sided, with as many
// means as the contrasts name.
type Options struct {
	Level       float64     // of the simultaneous intervals; 0 means 0.95
	Means       int         // size of the family for Tukey and Scheffé; 0: count the indices
	Side        Side        // Tukey and Scheffé know TwoSided only
	Correlation [][]float64 // of the contrasts, for Dunnett (from AgainstControl)
}

// Comparison is a contrast with its test. Interval is nil for the step-wise
// methods. P is adjusted; Raw is not.
type Comparison struct {
	Contrast
	T        float64
	Raw, P   float64
	Interval *stats.Interval
}

// Result is an adjusted family, in the order of the contrasts.
type Result struct {
	Method      Method
	Level       float64
	Comparisons []Comparison
	Warnings    []stats.Warning
}

// Compare adjusts a family of contrasts. Each contrast is judged on its own
// degrees of freedom. Tukey: p = P(Q > √2|t|). Scheffé: p = P(F > t²/(k−1)).
// Dunnett: p = P(max > t) under the correlations given; where these are not
// products λᵢλⱼ the nearest such matrix is used and the warning
// "correlation-approximated" says how far it is.
// Errors: stats.ErrEmpty, stats.ErrNonFinite, stats.ErrNoVariation,
// stats.ErrDomain, stats.ErrLengths, stats.ErrTooLarge above 1000 means.
func Compare(method Method, cs []Contrast, opt Options) (Result, error) {
	if err := checkContrasts(cs); err != nil {
		return Result{}, err
	}
	if opt.Level == 0 {
		opt.Level = 0.95
	}
	if !(opt.Level > 0 && opt.Level < 1) {
		return Result{}, fmt.Errorf("%w: level %v, must lie between 0 and 1", stats.ErrDomain, opt.Level)
	}
	if opt.Side < TwoSided || opt.Side > Less {
		return Result{}, fmt.Errorf("%w: side %d", stats.ErrDomain, opt.Side)
	}
	res := Result{Method: method, Level: opt.Level, Comparisons: make([]Comparison, len(cs))}
	raw := make([]float64, len(cs))
	for i, c := range cs {
		t := c.Estimate / c.SE
		p, err := rawP(t, c.DF, opt.Side)
		if err != nil {
			return Result{}, err
		}
		raw[i] = p
		res.Comparisons[i] = Comparison{Contrast: c, T: t, Raw: p}
	}
	var err error
	switch method {
	case Tukey, Scheffe:
		err = res.byMeans(opt)
	case Dunnett:
		err = res.dunnett(opt)
	default:
		err = res.byP(raw, opt)
	}
	if err != nil {
		return Result{}, err
	}
	for i, c := range res.Comparisons {
		if math.IsInf(c.T, 0) || c.Interval != nil && math.IsInf(c.Interval.High-c.Interval.Low, 0) {
			return Result{}, fmt.Errorf("%w: contrast %d, %v with a standard error of %v, overflows", stats.ErrDomain, i, c.Estimate, c.SE)
		}
	}
	return res, nil
}

func rawP(t, df float64, side Side) (float64, error) {
	switch side {
	case Greater:
		return dist.TUpper(t, df)
	case Less:
		return dist.TCDF(t, df)
	}
	return dist.TTwoSided(t, df)
}

// byP serves the methods that work on p-values. The single-step ones have
// intervals: at level 1 − α/m for Bonferroni and level^{1/m} for Šidák.
func (r *Result) byP(raw []float64, opt Options) error {
	adjusted, err := AdjustP(r.Method, raw)
	if err != nil {
		return err
	}
	m := float64(len(raw))
	var tail float64 // error of one interval
	switch r.Method {
	case None:
		tail = 1 - opt.Level
	case Bonferroni:
		tail = (1 - opt.Level) / m
	case Sidak:
		tail = -math.Expm1(math.Log(opt.Level) / m)
	}
	if opt.Side == TwoSided {
		tail /= 2
	}
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		c.P = adjusted[i]
		if tail == 0 {
			continue
		}
		t, err := dist.TQuantile(tail, c.DF)
		if err != nil {
			return err
		}
		c.setInterval(-t, opt)
	}
	return nil
}

// byMeans serves the methods whose reference distribution knows the number of
// means only.
func (r *Result) byMeans(opt Options) error {
	if opt.Side != TwoSided {
		return fmt.Errorf("%w: %v is two-sided", stats.ErrDomain, r.Method)
	}
	k := opt.Means
	if k == 0 {
		seen := map[int]bool{}
		for _, c := range r.Comparisons {
			seen[c.I], seen[c.J] = true, true
		}
		k = len(seen)
	}
	if k < 2 {
		return fmt.Errorf("%w: %d means, 2 needed", stats.ErrDomain, k)
	}
	alpha := 1 - opt.Level
	critical := map[float64]float64{} // by df: one root search each
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		var err error
		if r.Method == Tukey {
			c.P, err = dist.RangeUpper(math.Sqrt2*math.Abs(c.T), k, c.DF)
		} else {
			c.P, err = dist.FUpper(c.T*c.T/float64(k-1), float64(k-1), c.DF)
		}
		if err != nil {
			return err
		}
		crit, ok := critical[c.DF]
		if !ok {
			if r.Method == Tukey {
				crit, err = dist.RangeUpperQuantile(alpha, k, c.DF)
				crit /= math.Sqrt2
			} else {
				crit, err = dist.FUpperQuantile(alpha, float64(k-1), c.DF)
				crit = math.Sqrt(float64(k-1) * crit)
			}
			if err != nil {
				return err
			}
			critical[c.DF] = crit
		}
		c.setInterval(crit, opt)
	}
	return nil
}

func (r *Result) dunnett(opt Options) error {
	lambda, off, err := loadings(opt.Correlation, len(r.Comparisons))
	if err != nil {
		return err
	}
	if off > exactCorrelation {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID:   "correlation-approximated",
			Text: fmt.Sprintf("The comparisons with the control are not correlated as products; the nearest such correlations are used, at most %.2g away.", off),
		})
	}
	family, err := dist.NewDunnett(lambda, r.Comparisons[0].DF, opt.Side == TwoSided)
	if err != nil {
		return err
	}
	critical := map[float64]float64{}
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		family, err := family.WithDF(c.DF)
		if err != nil {
			return err
		}
		t := c.T
		if opt.Side == Less { // the mirror image has the same correlations
			t = -t
		}
		if c.P, err = family.Upper(t); err != nil {
			return err
		}
		crit, ok := critical[c.DF]
		if !ok {
			if crit, err = family.Critical(1 - opt.Level); err != nil {
				return err
			}
			critical[c.DF] = crit
		}
		c.setInterval(crit, opt)
	}
	return nil
}

// setInterval is estimate ± crit·SE, or one end of it.
func (c *Comparison) setInterval(crit float64, opt Options) {
	iv := stats.Interval{Low: c.Estimate - crit*c.SE, High: c.Estimate + crit*c.SE, Level: opt.Level}
	switch opt.Side {
	case Greater:
		iv.High, iv.HighOpen = 0, true
	case Less:
		iv.Low, iv.LowOpen = 0, true
	}
	c.Interval = &iv
}

// Significant is the k × k matrix of adjusted p < alpha, ready for Letters.
// Contrasts naming an index outside 0…k−1 are stats.ErrDomain; a pair without a
// contrast counts as not different.
func (r Result) Significant(k int, alpha float64) ([][]bool, error) {
	if !(alpha > 0 && alpha < 1) {
		return nil, fmt.Errorf("%w: alpha = %v", stats.ErrDomain, alpha)
	}
	out := make([][]bool, max(k, 0))
	for i := range out {
		out[i] = make([]bool, k)
	}
	for _, c := range r.Comparisons {
		if c.I < 0 || c.J < 0 || c.I >= k || c.J >= k || c.I == c.J {
			return nil, fmt.Errorf("%w: contrast of %d and %d among %d means", stats.ErrDomain, c.I, c.J, k)
		}
		if c.P < alpha {
			out[c.I][c.J], out[c.J][c.I] = true, true
		}
	}
	return out, nil
}
