package pool

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Options choose the analysis. The zero value is REML, no moderators, 95 %.
type Options struct {
	Method Method
	// Moderators has one row per trial and no intercept; nil: none.
	Moderators *mat.Dense
	Names      []string // of the moderators; nil: moderator1, …
	Level      float64  // of all intervals; 0 means 0.95
}

// Coefficient is an estimate with a test of 0.
type Coefficient struct {
	Name     string
	Estimate float64
	SE       float64
	Stat     float64 // z, or t for Knapp–Hartung
	P        float64 // two-sided
	Interval stats.Interval
}

// Moderation is the joint test of all moderators.
type Moderation struct {
	Q           float64 // Wald χ²
	DF          int
	P           float64
	R2          float64 // share of τ² that the moderators explain, 0 to 1
	F, FP       float64 // Knapp–Hartung: F on DF and k − p, and its p
	HasF        bool
	WithoutTau2 float64 // τ² without moderators
}

// Result is a pooled analysis of K trials.
type Result struct {
	Method Method
	K      int
	DF     int // K less the number of coefficients
	// Coefficients are the intercept (the pooled effect, without moderators)
	// and the moderators, with normal tests and intervals.
	Coefficients []Coefficient
	Covariance   [][]float64
	// KnappHartung has the same with standard errors rescaled by the weighted
	// residuals, t tests and intervals on DF degrees of freedom; nil where there
	// are none, or no spread at all. The scale is not held at or above 1.
	KnappHartung []Coefficient

	Tau2, Tau2SE float64
	HasTau2SE    bool
	// Tau2Interval is the Q-profile interval; nil for Fixed or without DF.
	Tau2Interval *stats.Interval
	// I2 (0 to 1) is τ²/(τ² + s²) and H2 is 1 + τ²/s², s² the typical sampling
	// variance (k − p)/tr P. Fixed: from Q, max(0, 1 − DF/Q) and Q/DF.
	I2, H2 float64
	HasI2  bool    // false without DF
	Q, QP  float64 // test of homogeneity (of the residuals), χ² on DF

	// Prediction holds the effect of a new trial of the same kind: estimate
	// ± t √(τ² + SE²) on k − 2 degrees of freedom (k − p − 1 with moderators, at
	// their means), after Higgins et al. 2009. PredictionNormal has a normal
	// quantile instead, and PredictionKH the Knapp–Hartung standard error with
	// k − p degrees of freedom. nil where undefined, and for Fixed.
	Prediction, PredictionNormal, PredictionKH *stats.Interval

	Moderators *Moderation // nil without moderators
	// LogLik is restricted for REML and the full one otherwise.
	LogLik float64
	// Weights are the shares of the trials in the pooled effect; they sum to 1.
	Weights  []float64
	Status   stats.Status
	Warnings []stats.Warning

	design *design
	fit    *weighted
	back   *mat.Dense
	level  float64
}

// Pool analyses effects with their sampling variances (the squared standard
// errors, not those of single observations). One trial is allowed for Fixed
// only. Warnings: "few-trials" below five for a random-effects method, "boundary"
// for τ² = 0, "no-spread" where all residuals are 0, "not-converged".
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain (a variance not above 0,
// numbers out of proportion, level), ErrTooFew (random effects need one trial
// more than coefficients), ErrSingular (constant or dependent moderators).
func Pool(effects, variances []float64, opt Options) (*Result, error) {
	if opt.Method < REML || opt.Method > SidikJonkman {
		return nil, fmt.Errorf("%w: method %d", stats.ErrDomain, int(opt.Method))
	}
	level := opt.Level
	if level == 0 {
		level = 0.95
	}
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("%w: level %v is not between 0 and 1", stats.ErrDomain, level)
	}
	d, err := newDesign(effects, variances, opt.Moderators, opt.Names)
	if err != nil {
		return nil, err
	}
	r := &Result{Method: opt.Method, K: d.k(), DF: d.k() - d.p(), design: d, level: level}
	if r.DF < 1 && opt.Method != Fixed {
		return nil, fmt.Errorf("%w: %d trials, %d needed to estimate the variance between trials", stats.ErrTooFew, d.k(), d.p()+1)
	}
	b := between{status: stats.Status{Converged: true}}
	if r.DF >= 1 {
		if b, err = d.estimate(opt.Method); err != nil {
			return nil, err
		}
	}
	r.Tau2, r.Tau2SE, r.HasTau2SE, r.Status = b.tau2, b.se, b.hasSE, b.status
	if r.fit, err = d.fit(b.tau2); err != nil {
		return nil, err
	}
	for _, w := range r.fit.w {
		r.Weights = append(r.Weights, w/r.fit.sumW)
	}
	r.LogLik = d.logLik(r.fit, b.tau2, opt.Method == REML)
	if opt.Method == REML {
		// + ½ log det X'X makes the restricted likelihood free of the scaling of
		// the moderators (Harville 1974, Biometrika 61, 383–385).
		r.LogLik += 0.5 * d.logDetXX()
	}
	if err := r.heterogeneity(opt.Method); err != nil {
		return nil, err
	}
	r.coefficients()
	if err := r.knappHartung(); err != nil {
		return nil, err
	}
	if d.p() > 1 {
		if err := r.moderation(opt); err != nil {
			return nil, err
		}
	}
	if opt.Method != Fixed {
		at := append([]float64(nil), d.mean...)
		pr, err := r.At(at)
		if err != nil {
			return nil, err
		}
		r.Prediction, r.PredictionNormal, r.PredictionKH = pr.Prediction, pr.PredictionNormal, pr.PredictionKH
		if r.Prediction == nil {
			r.warn("no-prediction", "Too few trials for a prediction interval.", float64(d.p()+2))
		}
		if r.K < 5*d.p() {
			r.warn("few-trials", "With so few trials the variance between trials is hardly known.", float64(5*d.p()))
		}
		if r.Status.Boundary {
			r.warn("boundary", "The variance between trials is estimated as 0.", 0)
		}
		if !r.Status.Converged {
			r.warn("not-converged", "The variance between trials did not settle.", 0)
		}
	}
	return r, r.finite()
}

func (r *Result) warn(id, text string, need float64) {
	r.Warnings = append(r.Warnings, stats.Warning{ID: id, Text: text, Need: need})
}

// logDetXX is log det X'X. Together with log det X'WX it does not depend on how
// the moderators are centred and scaled.
func (d *design) logDetXX() float64 {
	s := mat.NewSymDense(d.p(), nil)
	for _, row := range d.x {
		s.SymRankOne(s, 1, mat.NewVecDense(d.p(), row))
	}
	var chol mat.Cholesky
	if !chol.Factorize(s) { // full rank was checked
		return 0
	}
	return chol.LogDet()
}

// heterogeneity fills Q, I², H² and the Q-profile interval.
func (r *Result) heterogeneity(m Method) error {
	d := r.design
	zero, err := d.fit(0)
	if err != nil {
		return err
	}
	r.QP = 1
	if r.DF < 1 {
		return nil
	}
	r.Q = zero.rss
	if r.QP, err = dist.ChiSquareUpper(r.Q, float64(r.DF)); err != nil {
		return err
	}
	r.HasI2 = true
	if m == Fixed {
		r.H2 = r.Q / float64(r.DF)
		if r.Q > 0 {
			r.I2 = math.Max(0, 1-float64(r.DF)/r.Q)
		}
		return nil
	}
	typical := float64(r.DF) / zero.trP
	r.I2, r.H2 = r.Tau2/(r.Tau2+typical), 1+r.Tau2/typical
	// Q-profile: the τ² at which Q(τ²) sits at the quantiles of χ² on DF.
	tail := (1 - r.level) / 2
	upper, err := dist.ChiSquareUpperQuantile(tail, float64(r.DF))
	if err != nil {
		return err
	}
	lower, err := dist.ChiSquareQuantile(tail, float64(r.DF))
	if err != nil {
		return err
	}
	iv := stats.Interval{Level: r.level}
	var ok1, ok2 bool
	if iv.Low, _, ok1, err = d.solveQ(upper); err != nil {
		return err
	}
	if iv.High, _, ok2, err = d.solveQ(lower); err != nil {
		return err
	}
	if ok1 && ok2 {
		r.Tau2Interval = &iv
	}
	return nil
}

// Heterogeneity turns a value of τ² (an end of Tau2Interval, say) into I² and
// H² on the scale of this result.
func (r *Result) Heterogeneity(tau2 float64) (i2, h2 float64, err error) {
	if r == nil || r.design == nil || !r.HasI2 || !(tau2 >= 0) || math.IsInf(tau2, 0) {
		return 0, 0, fmt.Errorf("%w: tau² = %v", stats.ErrDomain, tau2)
	}
	zero, err := r.design.fit(0)
	if err != nil {
		return 0, 0, err
	}
	typical := float64(r.DF) / zero.trP
	return tau2 / (tau2 + typical), 1 + tau2/typical, nil
}

// coefficients carries β back to the caller's columns: slope/scale, and the
// intercept less Σ slope·mean/scale.
func (r *Result) coefficients() {
	d, p := r.design, r.design.p()
	r.back = mat.NewDense(p, p, nil)
	r.back.Set(0, 0, 1)
	for j := range p - 1 {
		r.back.Set(j+1, j+1, 1/d.scale[j])
		r.back.Set(0, j+1, -d.mean[j]/d.scale[j])
	}
	var beta mat.VecDense
	beta.MulVec(r.back, mat.NewVecDense(p, append([]float64(nil), r.fit.beta...)))
	var half, cov mat.Dense
	half.Mul(r.back, r.fit.a)
	cov.Mul(&half, r.back.T())
	z := math.Sqrt2 * math.Erfinv(r.level)
	for j := range p {
		row := make([]float64, p)
		for i := range p {
			row[i] = 0.5 * (cov.At(i, j) + cov.At(j, i))
		}
		r.Covariance = append(r.Covariance, row)
		c := Coefficient{Name: d.names[j], Estimate: beta.AtVec(j), SE: math.Sqrt(cov.At(j, j))}
		c.Stat = c.Estimate / c.SE
		c.P = math.Erfc(math.Abs(c.Stat) / math.Sqrt2)
		c.Interval = around(c.Estimate, z*c.SE, r.level)
		r.Coefficients = append(r.Coefficients, c)
	}
}

func around(middle, half, level float64) stats.Interval {
	return stats.Interval{Low: middle - half, High: middle + half, Level: level}
}

// kappa is the Knapp–Hartung factor on variances, weighted residual mean square.
func (r *Result) kappa() (float64, bool) {
	if r.DF < 1 || r.noSpread() {
		return 0, false
	}
	return r.fit.rss / float64(r.DF), true
}

// noSpread reports that the residuals are rounding and nothing else.
func (r *Result) noSpread() bool {
	top := 0.0
	for _, y := range r.design.y {
		top = math.Max(top, math.Abs(y))
	}
	for _, e := range r.fit.e {
		if math.Abs(e) > 1e-14*top {
			return false
		}
	}
	return true
}

func (r *Result) knappHartung() error {
	kappa, ok := r.kappa()
	if !ok {
		if r.DF >= 1 {
			r.warn("no-spread", "The effects do not differ at all, so their spread cannot widen the interval.", 0)
		}
		return nil
	}
	t, err := r.tQuantile(r.DF)
	if err != nil {
		return err
	}
	for _, c := range r.Coefficients {
		c.SE *= math.Sqrt(kappa)
		c.Stat = c.Estimate / c.SE
		if c.P, err = dist.TTwoSided(c.Stat, float64(r.DF)); err != nil {
			return err
		}
		c.Interval = around(c.Estimate, t*c.SE, r.level)
		r.KnappHartung = append(r.KnappHartung, c)
	}
	return nil
}

// tQuantile is the two-sided quantile of t at the level of the result.
func (r *Result) tQuantile(df int) (float64, error) {
	q, err := dist.TQuantile((1-r.level)/2, float64(df))
	return -q, err
}

// moderation is the Wald test of all slopes, in the scaled columns, where it is
// the same and better conditioned.
func (r *Result) moderation(opt Options) error {
	d, m := r.design, r.design.p()-1
	sub := mat.NewSymDense(m, nil)
	b := mat.NewVecDense(m, nil)
	for i := range m {
		b.SetVec(i, r.fit.beta[i+1])
		for j := i; j < m; j++ {
			sub.SetSym(i, j, r.fit.a.At(i+1, j+1))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(sub) {
		return fmt.Errorf("%w: the moderators depend on each other", stats.ErrSingular)
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, b); err != nil {
		return fmt.Errorf("%w: %v", stats.ErrSingular, err)
	}
	mod := &Moderation{Q: mat.Dot(b, &x), DF: m}
	var err error
	if mod.P, err = dist.ChiSquareUpper(mod.Q, float64(m)); err != nil {
		return err
	}
	if kappa, ok := r.kappa(); ok {
		mod.F, mod.HasF = mod.Q/kappa/float64(m), true
		if mod.FP, err = dist.FUpper(mod.F, float64(m), float64(r.DF)); err != nil {
			return err
		}
	}
	if opt.Method != Fixed {
		plain, err := newDesign(d.y, d.v, nil, nil)
		if err != nil {
			return err
		}
		b, err := plain.estimate(opt.Method)
		if err != nil {
			return err
		}
		mod.WithoutTau2 = b.tau2
		if b.tau2 > 0 {
			mod.R2 = math.Max(0, 1-r.Tau2/b.tau2)
		}
	}
	r.Moderators = mod
	return nil
}

// finite is the last guard: no result may hold a NaN or an infinity.
func (r *Result) finite() error {
	xs := []float64{r.Tau2, r.Tau2SE, r.I2, r.H2, r.Q, r.QP, r.LogLik}
	for _, c := range append(append([]Coefficient(nil), r.Coefficients...), r.KnappHartung...) {
		xs = append(xs, c.Estimate, c.SE, c.Stat, c.P, c.Interval.Low, c.Interval.High)
	}
	if r.Moderators != nil {
		xs = append(xs, r.Moderators.Q, r.Moderators.F)
	}
	return stats.CheckFinite("result", xs)
}
