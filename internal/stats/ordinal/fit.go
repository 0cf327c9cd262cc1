package ordinal

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Options choose the model. The zero value is logit with flexible thresholds.
type Options struct {
	Link       Link
	Thresholds Thresholds
}

// Outcome says how far the estimates of a fit can be used.
type Outcome int

const (
	// Estimated: a finite maximum was found.
	Estimated Outcome = iota
	// Infinite: the categories are separated in some direction, so that at
	// least one estimate is infinite; see Coefficient.Infinite. The log
	// likelihood is its limit, and the finite estimates are their limits.
	Infinite
	// Unfinished: the iteration ended without a maximum; the numbers are the
	// best found and no basis for a statement.
	Unfinished
)

// String is the outcome in lower case.
func (o Outcome) String() string {
	return [...]string{"estimated", "infinite", "unfinished"}[min(max(int(o), 0), 2)]
}

// Coefficient is one parameter with its Wald test (z = Estimate/SE, P two-sided
// normal). Infinite is +1 or −1 where the estimate has no finite value; then
// Estimate, SE and Z are 0, P is 1, and none of them carries a meaning. SE is 0
// and P 1 also where the information is singular (warning "no-standard-errors").
type Coefficient struct {
	Name     string
	Estimate float64
	SE       float64
	Z        float64
	P        float64
	Infinite int
}

// Result is a fitted cumulative link model.
type Result struct {
	Options    Options
	Categories []int // codes in use, ascending
	Empty      []int // codes of Data.Scale without rows
	N          float64
	Groups     int // random intercept: number of groups; 0 without

	// Coefficients are the threshold parameters, nominal effects (threshold by
	// threshold), location effects and log-spread effects, in this order.
	Coefficients []Coefficient
	// Covariance of Coefficients from the observed information; rows and
	// columns of infinite estimates are 0. FitMixed: one more row and column,
	// for the standard deviation of the random intercept.
	Covariance [][]float64
	// Aliased names the columns left out because they depend on others.
	Aliased []string

	LogLik     float64
	Parameters int
	AIC, BIC   float64 // BIC counts N observations

	// Random is the random intercept of FitMixed, nil for Fit.
	Random *Random

	Outcome  Outcome
	Status   stats.Status
	Warnings []stats.Warning

	problem *problem
	psi     []float64 // internal coordinates, at the last iterate
	cov     *mat.SymDense
	flip    bool // the internal σ is below 0
}

// Fit fits a cumulative link model by maximum likelihood: Newton's method with
// step halving, analytic gradient and Hessian, from the plain shares of the
// categories.
//
// Errors: stats.ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain (weights below 0,
// a code off the scale, nominal effects with structured thresholds, unknown
// options), ErrNoVariation (one category only). Separation and a failed
// iteration are no errors: see Result.Outcome and Result.Warnings
// ("separation", "not-converged", "aliased", "empty-category",
// "no-standard-errors").
func Fit(d Data, opt Options) (*Result, error) {
	pr, err := newProblem(d, opt)
	if err != nil {
		return nil, err
	}
	best, ok := climb(pr.objective(), pr.start)
	if !ok {
		return nil, fmt.Errorf("%w: the starting values lie outside the parameter space", stats.ErrNotConverged)
	}
	return pr.result(best), nil
}

func (pr *problem) objective() objective {
	o := objective{value: pr.logLik, derivatives: pr.derivatives}
	if pr.q == 0 { // with spread effects the bounds are not linear, and the argument fails
		o.recession = pr.recession
	}
	return o
}

// result turns a maximum in internal coordinates into a Result.
func (pr *problem) result(best maximum) *Result {
	return pr.resultWith(best, func(r *Result) *mat.Dense {
		r.cov, _ = covariance(best.hess)
		return pr.back
	})
}

// resultWith leaves the covariance to information, which sets r.cov (nil when
// there is none) and returns the way back for it.
func (pr *problem) resultWith(best maximum, information func(*Result) *mat.Dense) *Result {
	r := &Result{
		Options: pr.opt, Categories: pr.codes, Empty: pr.empty, N: pr.total,
		Aliased: pr.aliased, LogLik: best.f, Parameters: pr.size(),
		Status: best.status, Warnings: append([]stats.Warning(nil), pr.warnings...),
		problem: pr, psi: best.x,
	}
	r.criteria()
	k := pr.size()
	var estimate mat.VecDense
	estimate.MulVec(pr.back, mat.NewVecDense(k, append([]float64(nil), best.x...)))
	infinite := make([]int, k)
	if best.direction != nil {
		r.Outcome = Infinite
		var d mat.VecDense
		d.MulVec(pr.back, mat.NewVecDense(k, append([]float64(nil), best.direction...)))
		var names []string
		for j := range k {
			// Compared in the unit of the column: a direction entry below 1e-3
			// of a standard deviation of it is the rest of the iteration.
			unit := pr.back.At(j, j)
			if v := d.AtVec(j) / unit; math.Abs(v) > 1e-3 {
				infinite[j] = sign(v)
				names = append(names, pr.names[j])
			}
		}
		r.Warnings = append(r.Warnings, stats.Warning{ID: "separation",
			Text: "The columns separate the categories: no finite estimate for " + strings.Join(names, ", ") + "."})
	} else if !best.status.Converged {
		r.Outcome = Unfinished
		r.Warnings = append(r.Warnings, stats.Warning{ID: "not-converged",
			Text: "The fit did not reach a maximum: " + best.status.Message + "."})
	}
	r.fillCoefficients(estimate.RawVector().Data, infinite, information(r))
	return r
}

// criteria sets AIC and BIC from the log likelihood.
func (r *Result) criteria() {
	p := float64(r.Parameters)
	r.AIC = -2*r.LogLik + 2*p
	r.BIC = -2*r.LogLik + p*math.Log(r.N)
}

// fillCoefficients sets Coefficients and Covariance: the internal covariance is
// carried to the caller's coordinates by back.
func (r *Result) fillCoefficients(estimate []float64, infinite []int, back *mat.Dense) {
	n, _ := back.Dims()
	r.Covariance = make([][]float64, n)
	for i := range r.Covariance {
		r.Covariance[i] = make([]float64, n)
	}
	if r.cov == nil {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-standard-errors",
			Text: "The information matrix is singular at the estimates, so there are no standard errors."})
	} else {
		var half, full mat.Dense
		half.Mul(back, r.cov)
		full.Mul(&half, back.T())
		for i := range n {
			for j := range n {
				if (i >= len(infinite) || infinite[i] == 0) && (j >= len(infinite) || infinite[j] == 0) {
					r.Covariance[i][j] = 0.5 * (full.At(i, j) + full.At(j, i))
				}
			}
		}
	}
	for j, name := range r.problem.names {
		c := Coefficient{Name: name, P: 1, Infinite: infinite[j]}
		if c.Infinite == 0 {
			c.Estimate = estimate[j]
			if v := r.Covariance[j][j]; v > 0 {
				c.SE = math.Sqrt(v)
				c.Z = c.Estimate / c.SE
				c.P = math.Erfc(math.Abs(c.Z) / sqrt2)
			}
		}
		r.Coefficients = append(r.Coefficients, c)
	}
}

// Coefficient returns the parameter of that name.
func (r *Result) Coefficient(name string) (Coefficient, bool) {
	for _, c := range r.Coefficients {
		if c.Name == name {
			return c, true
		}
	}
	return Coefficient{}, false
}

func sign(v float64) int {
	if v < 0 {
		return -1
	}
	return 1
}
