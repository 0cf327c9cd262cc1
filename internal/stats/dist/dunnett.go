package dist

import (
	"fmt"
	"math"
	"sort"

	"tamis/internal/stats"
)

// Dunnett is the distribution of the largest of m Student statistics that share
// one standard deviation and have correlations λᵢλⱼ: comparisons of m groups
// with one control (Dunnett 1955, JASA 50:1096). It holds a table that is
// filled as it is used, so one value serves all p-values and the critical value
// of a family. Safe for concurrent use.
type Dunnett struct {
	df, step float64
	twoSided bool
	table    *tailTable
	tail     func(x float64) float64 // the same with known standard deviation
}

// NewDunnett takes the loadings λ (one per comparison, 1 to 1000 of them, each
// below 1 in size), the degrees of freedom of the standard deviation (real,
// +Inf allowed) and whether the statistic is max|T| or max T. Relative error of
// its tails: about 1e-11. Errors: stats.ErrEmpty, stats.ErrNonFinite,
// stats.ErrDomain, stats.ErrTooLarge.
func NewDunnett(lambda []float64, df float64, twoSided bool) (*Dunnett, error) {
	if err := firstError(stats.CheckSample("lambda", lambda), checkDF("df", df)); err != nil {
		return nil, err
	}
	if len(lambda) > maxRangeMeans {
		return nil, fmt.Errorf("%w: %d comparisons, at most %d", stats.ErrTooLarge, len(lambda), maxRangeMeans)
	}
	for i, l := range lambda {
		if 1-l*l < 1e-6 {
			return nil, fmt.Errorf("%w: lambda[%d] = %v, must be below 1 in size", stats.ErrDomain, i, l)
		}
	}
	groups := groupLoadings(lambda, twoSided)
	tail := func(x float64) float64 { return manyToOne(x, groups, twoSided) }
	return &Dunnett{df: df, step: tailStep(len(lambda) + 1), twoSided: twoSided, tail: tail, table: newTailTable(tail)}, nil
}

// DunnettLoadings returns λᵢ = √(nᵢ/(nᵢ+n₀)) for a control of n0 and treatments
// of n[i] independent observations with one variance. Errors: stats.ErrEmpty,
// stats.ErrDomain for a size below 1.
func DunnettLoadings(n0 int, n []int) ([]float64, error) {
	if len(n) == 0 {
		return nil, fmt.Errorf("%w: treatments", stats.ErrEmpty)
	}
	if n0 < 1 {
		return nil, fmt.Errorf("%w: control of %d", stats.ErrDomain, n0)
	}
	lambda := make([]float64, len(n))
	for i, ni := range n {
		if ni < 1 {
			return nil, fmt.Errorf("%w: treatment %d of %d", stats.ErrDomain, i, ni)
		}
		lambda[i] = math.Sqrt(float64(ni) / (float64(ni) + float64(n0)))
	}
	return lambda, nil
}

// Upper is P(max|T| > |t|) for the two-sided and P(max T > t) for the one-sided
// distribution: the single-step adjusted p-value of an observed t.
func (d *Dunnett) Upper(t float64) (float64, error) {
	if err := checkNumber("t", t); err != nil {
		return 0, err
	}
	if d.twoSided {
		t = math.Abs(t)
	}
	return d.upper(t), nil
}

func (d *Dunnett) upper(t float64) float64 {
	switch {
	case math.IsInf(t, 1):
		return 0
	case math.IsInf(t, -1), t == 0 && d.twoSided:
		return 1
	}
	g := func(s float64) float64 {
		if t <= 0 { // only one-sided; nothing small here, no table needed
			return d.tail(t * s)
		}
		return d.table.at(t * s)
	}
	if t < 0 {
		return math.Min(1, scaleMixture(g, d.df, 1, d.step))
	}
	return math.Min(1, scaleMixture(g, d.df, tailPeak(t*t, 4, d.df), d.step))
}

// Critical is the c with P(max > c) = alpha, the half-width of simultaneous
// intervals in standard errors.
func (d *Dunnett) Critical(alpha float64) (float64, error) {
	if err := checkProbability("alpha", alpha); err != nil {
		return 0, err
	}
	if !d.twoSided && d.upper(0) <= alpha {
		// The one-sided critical value is not above 0: search on the line.
		return solveIncreasing(func(t float64) float64 { return alpha - d.upper(t) }, 0, 0.5, -1e6, 1e6)
	}
	return tailQuantile(d.upper, alpha, false, 2)
}

// WithDF is the same family on other degrees of freedom. It shares the table,
// which does not depend on them.
func (d *Dunnett) WithDF(df float64) (*Dunnett, error) {
	if err := checkDF("df", df); err != nil {
		return nil, err
	}
	out := *d
	out.df = df
	return &out, nil
}

// loading is one distinct λ, with how often it occurs.
type loading struct {
	lambda, tau float64 // tau = √(1−λ²)
	times       int
}

// groupLoadings joins equal loadings (in size, when signs cannot matter), in
// increasing order, so that equal designs cost one normal tail per node.
func groupLoadings(lambda []float64, twoSided bool) []loading {
	sorted := make([]float64, len(lambda))
	for i, l := range lambda {
		if twoSided { // |T| and its sign: λ and −λ give the same events
			l = math.Abs(l)
		}
		sorted[i] = l
	}
	sort.Float64s(sorted)
	var out []loading
	for _, l := range sorted {
		if n := len(out); n > 0 && out[n-1].lambda == l {
			out[n-1].times++
			continue
		}
		out = append(out, loading{lambda: l, tau: math.Sqrt(1 - l*l), times: 1})
	}
	return out
}

// manyToOne is P(some Xᵢ beyond x) for Xᵢ = λᵢ Z + τᵢ Eᵢ with Z, Eᵢ independent
// standard normals: ∫ φ(z) [1 − Π(1 − rᵢ(z))^{mᵢ}] dz, rᵢ the conditional tail. The
// bracket is built up as a probability of "at least one", without subtraction.
func manyToOne(x float64, groups []loading, twoSided bool) float64 {
	steepest, largest, m := 0.0, 0.0, 0
	for _, g := range groups {
		steepest = math.Max(steepest, math.Abs(g.lambda)/g.tau)
		largest = math.Max(largest, math.Abs(g.lambda))
		m += g.times
	}
	// A conditional tail turns over within τ/λ of z; more comparisons sharpen
	// the turn as the logarithm of their number.
	h := 0.4 * math.Min(1, 1/steepest) / (1 + 0.34*math.Log(float64(m)))
	// Far tails sit near z = λx, near ones within the normal density.
	limit := 8.8 + largest*math.Max(0, x)
	steps := int(limit / h)
	first := -steps
	if twoSided { // even integrand: the half line, doubled
		first = 0
	}
	sum := 0.0
	for j := first; j <= steps; j++ {
		z := float64(j) * h
		some := 0.0
		for _, g := range groups {
			r := NormalUpper((x - g.lambda*z) / g.tau)
			if twoSided {
				r = math.Min(1, r+NormalUpper((x+g.lambda*z)/g.tau))
			}
			some += anyOf(r, g.times) * (1 - some)
		}
		term := NormalPDF(z) * some
		if twoSided && j > 0 {
			term *= 2
		}
		sum += term
	}
	return math.Min(1, sum*h)
}
