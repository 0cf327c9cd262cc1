package discrim

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Place says where the share correct stands, and with it what can be said of d′.
type Place string

const (
	// Inside: above guessing and below all correct; d′ is a number with an SE.
	Inside Place = "inside"
	// AtOrBelowGuessing: d′ is 0, without an SE; its intervals still hold.
	AtOrBelowGuessing Place = "at-or-below-guessing"
	// AllCorrect: d′ has no upper bound and no estimate; its intervals start at a
	// number and are open above. NoneCorrect is its mirror, two-sided only.
	AllCorrect  Place = "all-correct"
	NoneCorrect Place = "none-correct"
)

// Distance is d′ with everything that is known about it.
type Distance struct {
	Place Place
	// Value is d′ when Place is Inside; 0 when at or below guessing. Without
	// meaning when all (or none) are correct.
	Value float64
	// SE by the delta method, √(pc(1 − pc)/n)/(d pc/d d′); only when Inside.
	SE float64
	// Exact maps the exact interval of the share correct; Likelihood holds the
	// d′ whose deviance is below the χ² point (1 df); Wald is Value ± z·SE and
	// only there when Inside (HasWald). One-sided tests bound all of them at 0.
	Exact, Likelihood, Wald stats.Interval
	HasWald                 bool
}

// Result is the answer of Analyse.
type Result struct {
	Method   Method
	TwoSided bool
	Correct  int
	N        int
	// P is the exact binomial p against guessing.
	P float64
	// Z is the normal form without continuity correction.
	Z float64
	// LeastCorrect is the smallest significant count at Alpha; 0 when no count
	// is (CanReach false).
	LeastCorrect int
	CanReach     bool
	Alpha        float64
	// PC with the exact and Wilson's interval.
	PC                   float64
	PCInterval, PCWilson stats.Interval
	// PD is the share of discriminators with the exact interval, one-sided
	// results bounded at 0; two-sided it runs from −1 (all choose the other) to 1.
	PD         float64
	PDInterval stats.Interval
	DPrime     Distance
	Warnings   []stats.Warning
}

// Analyse evaluates correct out of n assessments. twoSided is for the paired test
// (TwoAFC) only: correct then counts those who chose one named sample, and d′ and
// pd carry a sign. The side is part of the question and is fixed before. alpha is
// the level of LeastCorrect, level that of all intervals.
//
// Errors: ErrEmpty (n = 0), ErrDomain, ErrTooLarge above a million assessments.
func (m Method) Analyse(correct, n int, twoSided bool, alpha, level float64) (Result, error) {
	if err := m.checkTest(n, alpha, twoSided); err != nil {
		return Result{}, err
	}
	if err := checkCounts(correct, n); err != nil {
		return Result{}, err
	}
	res := Result{Method: m, TwoSided: twoSided, Correct: correct, N: n, Alpha: alpha}
	var err error
	if res.PCInterval, err = ExactInterval(correct, n, level); err != nil {
		return Result{}, err
	}
	if res.PCWilson, err = WilsonInterval(correct, n, level); err != nil {
		return Result{}, err
	}
	chance := m.Chance()
	if res.P, err = BinomialP(correct, n, chance, twoSided); err != nil {
		return Result{}, err
	}
	res.PC = float64(correct) / float64(n)
	res.Z = (res.PC - chance) / math.Sqrt(chance*(1-chance)/float64(n))
	if k, err := m.LeastCorrect(n, alpha, twoSided); err == nil {
		res.LeastCorrect, res.CanReach = k, true
	} else {
		half := alpha
		if twoSided {
			half /= 2
		}
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "cannot-be-significant",
			Text: "With so few assessments not even all correct would be significant. Need is in assessments.",
			Need: math.Ceil(math.Log(half) / math.Log(chance)),
		})
	}
	res.PD = m.ShareFromPC(res.PC)
	res.PDInterval = stats.Interval{Low: m.ShareFromPC(res.PCInterval.Low), High: m.ShareFromPC(res.PCInterval.High), Level: level}
	if !twoSided {
		res.PD = max(0, res.PD)
		res.PDInterval.Low, res.PDInterval.High = max(0, res.PDInterval.Low), max(0, res.PDInterval.High)
	}
	if res.DPrime, err = m.distanceOf(correct, n, twoSided, res.PCInterval); err != nil {
		return Result{}, err
	}
	if res.DPrime.Place == AtOrBelowGuessing {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "at-or-below-guessing",
			Text: fmt.Sprintf("No more were correct than by guessing (%.1f expected of %d), so the distance is put at 0 and has no standard error.", chance*float64(n), n),
		})
	}
	return res, nil
}

// distanceOf fills a Distance. exact is the interval of the share correct.
func (m Method) distanceOf(correct, n int, signed bool, exact stats.Interval) (Distance, error) {
	pc := float64(correct) / float64(n)
	d := Distance{Place: Inside, Exact: m.mapInterval(exact, signed)}
	switch {
	case correct == n:
		d.Place = AllCorrect
	case correct == 0 && signed:
		d.Place = NoneCorrect
	case pc <= m.Chance() && !signed:
		d.Place = AtOrBelowGuessing
	}
	like, err := m.likelihoodShare(correct, n, signed, exact.Level)
	if err != nil {
		return Distance{}, err
	}
	d.Likelihood = m.mapInterval(like, signed)
	if d.Place != Inside {
		return d, nil
	}
	d.Value = m.signedDistance(pc, signed)
	d.SE = math.Sqrt(pc*(1-pc)/float64(n)) / m.slope(math.Abs(d.Value))
	z, err := dist.NormalQuantile((1 - exact.Level) / 2)
	if err != nil {
		return Distance{}, err
	}
	d.Wald = stats.Interval{Low: d.Value + z*d.SE, High: d.Value - z*d.SE, Level: exact.Level}
	if !signed {
		d.Wald.Low = max(0, d.Wald.Low)
	}
	d.HasWald = true
	return d, nil
}

// signedDistance is d′ for 0 < pc < 1; when signed, a share below one half is a
// distance in the other direction.
func (m Method) signedDistance(pc float64, signed bool) float64 {
	if signed && pc < m.Chance() {
		return -m.distance(1 - pc)
	}
	return m.distance(pc)
}

// mapInterval turns an interval of the share correct into one of d′; a share of
// 1 (or 0 when signed) is an open end.
func (m Method) mapInterval(pc stats.Interval, signed bool) stats.Interval {
	iv := stats.Interval{Level: pc.Level}
	switch {
	case pc.Low <= 0 && signed:
		iv.LowOpen = true
	default:
		iv.Low = m.signedDistance(pc.Low, signed)
	}
	if pc.High >= 1 {
		iv.HighOpen = true
	} else {
		iv.High = m.signedDistance(pc.High, signed)
	}
	return iv
}

// likelihoodShare is the set of shares correct with
// 2(ℓ(best) − ℓ(pc)) ≤ χ²_{1, level}, where unsigned shares stop at guessing and
// best is the likeliest share among those allowed.
func (m Method) likelihoodShare(correct, n int, signed bool, level float64) (stats.Interval, error) {
	limit, err := dist.ChiSquareUpperQuantile(1-level, 1)
	if err != nil {
		return stats.Interval{}, err
	}
	x, nn := float64(correct), float64(n)
	loglik := func(p float64) float64 {
		l := 0.0
		if x > 0 {
			l += x * math.Log(p)
		}
		if x < nn {
			l += (nn - x) * math.Log1p(-p)
		}
		return l
	}
	bottom := 0.0
	if !signed {
		bottom = m.Chance()
	}
	best := max(bottom, x/nn)
	top := loglik(best)
	outside := func(p float64) bool { return 2*(top-loglik(p)) > limit }
	iv := stats.Interval{Low: bottom, High: 1, Level: level}
	if best > bottom && outside(bottom) {
		iv.Low = crossing(best, bottom, outside)
	}
	if best < 1 && outside(1) {
		iv.High = crossing(best, 1, outside)
	}
	return iv, nil
}

// crossing bisects between a point inside and a point outside.
func crossing(in, out float64, outside func(float64) bool) float64 {
	for range 200 {
		mid := in + (out-in)/2
		if mid == in || mid == out {
			break
		}
		if outside(mid) {
			out = mid
		} else {
			in = mid
		}
	}
	return in
}
