package pool

import (
	"math"

	"tamis/internal/stats"
)

// between is an estimate of τ² with its standard error.
type between struct {
	tau2, se float64
	hasSE    bool
	status   stats.Status
}

// estimate runs the method. There are residual degrees of freedom (checked).
func (d *design) estimate(m Method) (between, error) {
	df := float64(d.k() - d.p())
	zero, err := d.fit(0)
	if err != nil {
		return between{}, err
	}
	b := between{status: stats.Status{Converged: true}}
	// moment finishes an estimator that is c·y'Py − constant for weights f.
	moment := func(f *weighted, c, value float64) {
		b.status.Boundary = value <= 0
		b.tau2 = math.Max(value, 0)
		b.se, b.hasSE = c*math.Sqrt(d.quadVariance(f, b.tau2)), true
	}
	switch m {
	case Fixed:
		return b, nil
	case DerSimonianLaird:
		moment(zero, 1/zero.trP, (zero.rss-df)/zero.trP)
	case HunterSchmidt:
		moment(zero, 1/zero.sumW, (zero.rss-float64(d.k()))/zero.sumW)
	case SidikJonkman:
		// A first τ²: the plain variance about the mean, divisor k, also where
		// there are moderators (Sidik & Jonkman 2005, J. Biopharm. Stat. 15).
		mean, first, top := 0.0, 0.0, 0.0
		for _, y := range d.y {
			mean += y / float64(d.k())
			top = math.Max(top, math.Abs(y))
		}
		for _, y := range d.y {
			first += (y - mean) * (y - mean) / float64(d.k())
		}
		if math.Sqrt(first) <= 1e-14*top { // all equal but for rounding
			b.status.Boundary = true
			return b, nil
		}
		f, err := d.fit(first)
		if err != nil {
			return b, err
		}
		moment(f, first/df, first*f.rss/df)
	case PauleMandel:
		tau2, its, ok, err := d.solveQ(df)
		if err != nil {
			return b, err
		}
		b.tau2 = tau2
		b.status.Iterations, b.status.Boundary, b.status.Converged = its, tau2 == 0, ok
		f, err := d.fit(tau2)
		if err != nil {
			return b, err
		}
		// Delta method on Q(τ²) = k − p, whose variance is 2(k − p): the slope of
		// Q is −y'PPy, in expectation −tr P, taken as Σw (k−p)/k, which is exact
		// for equal variances (the usual form for this estimator).
		b.se, b.hasSE = math.Sqrt(2/df)*float64(d.k())/f.sumW, true
	default:
		return d.likelihood(m == REML)
	}
	return b, nil
}

// solveQ finds τ² ≥ 0 with generalised Q(τ²) = target; 0 when Q(0) is below it.
// Q is convex and falls, so Newton's method from 0 climbs to the root without
// passing it.
func (d *design) solveQ(target float64) (tau2 float64, iterations int, ok bool, err error) {
	for it := range 2000 {
		f, err := d.fit(tau2)
		if err != nil {
			return 0, it, false, err
		}
		gap := f.rss - target
		if gap <= 0 || f.yppy == 0 {
			return tau2, it, true, nil
		}
		step := gap / f.yppy
		if step <= 1e-15*tau2 {
			return tau2, it, true, nil
		}
		tau2 += step
	}
	return tau2, 2000, false, nil
}

// likelihood is Fisher scoring for (RE)ML with step halving, bounded at 0:
// score ½(y'PPy − tr P), information ½ tr PP (REML); tr W and tr W² (ML). The
// likelihood can have two maxima, so scoring starts at the best point of a
// grid that spans the variances and the effects.
func (d *design) likelihood(restricted bool) (between, error) {
	value := func(tau2 float64) (float64, *weighted, error) {
		f, err := d.fit(tau2)
		if err != nil {
			return 0, nil, err
		}
		return d.logLik(f, tau2, restricted), f, nil
	}
	ll, f, err := value(0)
	if err != nil {
		return between{}, err
	}
	low, high := math.Inf(1), 0.0
	for _, v := range d.v {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	for _, e := range f.e {
		high = math.Max(high, e*e)
	}
	tau2 := 0.0
	const grid = 60
	for g := range grid {
		at := low * 1e-3 * math.Pow(1e4*high/low, float64(g)/(grid-1))
		l, fg, err := value(at)
		if err != nil {
			return between{}, err
		}
		if l > ll {
			tau2, ll, f = at, l, fg
		}
	}
	b := between{}
	trace := func() (score, information float64) {
		if restricted {
			return 0.5 * (f.yppy - f.trP), 0.5 * f.trPP
		}
		return 0.5 * (f.yppy - f.sumW), 0.5 * f.sumW2
	}
	for it := 1; it <= 1000; it++ {
		score, information := trace()
		b.status.Iterations, b.status.GradientNorm = it, math.Abs(score)
		step := score / information
		if tau2 == 0 && step <= 0 {
			b.status.Converged, b.status.Boundary, b.status.GradientNorm = true, true, 0
			break
		}
		next := math.Max(tau2+step, 0)
		moved := false
		for range 60 {
			l, fn, err := value(next)
			if err != nil {
				return b, err
			}
			// Within rounding of the maximum the likelihood no longer decides.
			if l >= ll-1e-12*(1+math.Abs(ll)) {
				moved = next != tau2
				step = next - tau2
				tau2, ll, f = next, l, fn
				break
			}
			next = tau2 + (next-tau2)/2
		}
		if !moved || math.Abs(step) <= 1e-14*tau2 {
			b.status.Converged = true
			break
		}
	}
	b.tau2 = tau2
	_, information := trace()
	b.se, b.hasSE = 1/math.Sqrt(information), true
	if !b.status.Converged {
		b.status.Message = "iteration limit reached"
	}
	return b, nil
}
