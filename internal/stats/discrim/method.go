package discrim

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Method is a kind of difference test.
type Method int

const (
	// Triangle: two alike and one odd; which is the odd one?
	Triangle Method = iota + 1
	// DuoTrio: which of two is like the reference?
	DuoTrio
	// TwoAFC: which of two has more of a named property? The paired test.
	TwoAFC
	// ThreeAFC: which of three has more (or less) of a named property?
	ThreeAFC
	// Tetrad: sort four samples into the two pairs of likes.
	Tetrad
)

var methods = []struct {
	m      Method
	name   string
	chance float64
}{
	{Triangle, "triangle", 1. / 3},
	{DuoTrio, "duo-trio", 0.5},
	{TwoAFC, "2-afc", 0.5},
	{ThreeAFC, "3-afc", 1. / 3},
	{Tetrad, "tetrad", 1. / 3},
}

// ParseMethod reads the name that String gives. Errors: ErrDomain.
func ParseMethod(name string) (Method, error) {
	for _, m := range methods {
		if m.name == name {
			return m.m, nil
		}
	}
	return 0, fmt.Errorf("%w: no difference test is called %q", stats.ErrDomain, name)
}

// String is the name: triangle, duo-trio, 2-afc, 3-afc, tetrad.
func (m Method) String() string {
	for _, x := range methods {
		if x.m == m {
			return x.name
		}
	}
	return "unknown difference test"
}

func (m Method) check() error {
	if m < Triangle || m > Tetrad {
		return fmt.Errorf("%w: difference test %d", stats.ErrDomain, int(m))
	}
	return nil
}

// Chance is the share correct of somebody who guesses: 1/2 or 1/3, and 0 for an
// unknown method.
func (m Method) Chance() float64 {
	for _, x := range methods {
		if x.m == m {
			return x.chance
		}
	}
	return 0
}

// slope is d pc/d d′. Each comes from differentiating the defining integral and
// completing the square in the product of two normal densities, which leaves
// closed forms; the defining integrals are
//
//	2-AFC    P(Y > X)                          = Φ(d/√2)
//	3-AFC    ∫ φ(z − d) Φ(z)² dz
//	duo-trio 1 − Φ(d/√2) − Φ(d/√6) + 2Φ(d/√2)Φ(d/√6)
//	triangle 2∫₀^∞ [Φ(−z√3 + d√⅔) + Φ(−z√3 − d√⅔)] φ(z) dz
//	tetrad   1 − 2∫ φ(z) [2Φ(z)Φ(z − d) − Φ(z − d)²] dz
//
// (Ennis 1993, J. Sens. Stud. 8:353; Ennis & Jesionka 2011, J. Sens. Stud. 26:371
// for the tetrad). 2Φ(x) − 1 is written as erf(x/√2) to keep its digits near 0.
func (m Method) slope(d float64) float64 {
	a, b := d/math.Sqrt2, d/math.Sqrt(6)
	switch m {
	case TwoAFC:
		return dist.NormalPDF(a) / math.Sqrt2
	case ThreeAFC:
		return math.Sqrt2 * dist.NormalPDF(a) * dist.NormalCDF(b)
	case DuoTrio:
		return dist.NormalPDF(a)/math.Sqrt2*math.Erf(b/math.Sqrt2) +
			dist.NormalPDF(b)/math.Sqrt(6)*math.Erf(a/math.Sqrt2)
	case Triangle:
		return math.Sqrt(2./3) * dist.NormalPDF(b) * math.Erf(a/math.Sqrt2)
	case Tetrad:
		return 2 * math.Sqrt2 * dist.NormalPDF(a) * math.Erf(b/math.Sqrt2)
	}
	return 0
}

// The Gauss–Legendre rule for one panel of width up to 1. The slopes are entire
// functions that vary over a length of about 1.4, so 20 nodes are exact to
// rounding.
var nodes, weights = legendre20()

func legendre20() (x, w [20]float64) {
	quad.Legendre{}.FixedLocations(x[:], w[:], -1, 1)
	return x, w
}

// integrateSlope is ∫ slope over [from, to].
func (m Method) integrateSlope(from, to float64) float64 {
	panels := math.Ceil(to - from)
	if panels < 1 {
		panels = 1
	}
	half := (to - from) / panels / 2
	sum := 0.0
	for i := range int(panels) {
		mid := from + (2*float64(i)+1)*half
		for j, x := range nodes {
			sum += weights[j] * m.slope(mid+half*x)
		}
	}
	return sum * half
}

// farD is the d′ beyond which nobody errs: the slowest tail, φ(d/√6), is below
// 1e-300 there.
const farD = 95

// above is pc − chance at d ≥ 0, relatively accurate near 0.
func (m Method) above(d float64) float64 { return m.integrateSlope(0, min(d, farD)) }

// below is 1 − pc at d ≥ 0, relatively accurate for large d.
func (m Method) below(d float64) float64 {
	if d >= farD {
		return 0
	}
	return m.integrateSlope(d, min(d+45, farD)) // 45 further on nothing is left
}

// ProbCorrect is the psychometric function: the share correct at a sensory
// distance d ≥ 0. Errors: ErrDomain (unknown method, d below 0), ErrNonFinite.
func (m Method) ProbCorrect(d float64) (float64, error) {
	if err := m.check(); err != nil {
		return 0, err
	}
	if err := stats.CheckFinite("d′", []float64{d}); err != nil {
		return 0, err
	}
	if d < 0 {
		return 0, fmt.Errorf("%w: d′ = %v, 0 or more needed", stats.ErrDomain, d)
	}
	if d > 2 {
		return 1 - m.below(d), nil
	}
	return m.Chance() + m.above(d), nil
}

// DPrime is the inverse of ProbCorrect. pc at or below chance gives 0: nothing
// below guessing has a distance of its own. pc = 1 (an unbounded distance) and
// values outside [0, 1] are ErrDomain, NaN is ErrNonFinite.
func (m Method) DPrime(pc float64) (float64, error) {
	if err := m.check(); err != nil {
		return 0, err
	}
	if err := stats.CheckFinite("share correct", []float64{pc}); err != nil {
		return 0, err
	}
	if pc < 0 || pc >= 1 {
		return 0, fmt.Errorf("%w: share correct %v, needed in [0, 1)", stats.ErrDomain, pc)
	}
	return m.distance(pc), nil
}

// distance solves pc(d) = pc for pc < 1 by Newton's method inside a bracket. The
// smaller of the two tails is matched, so that both ends keep their digits.
func (m Method) distance(pc float64) float64 {
	chance := m.Chance()
	if pc <= chance {
		return 0
	}
	excess, rest := pc-chance, 1-pc
	gap := func(d float64) float64 { // rises with d
		if excess <= rest {
			return m.above(d) - excess
		}
		return rest - m.below(d)
	}
	lo, hi := 0.0, 1.0
	for gap(hi) < 0 && hi < farD {
		lo, hi = hi, 2*hi
	}
	d := (lo + hi) / 2
	for range 200 {
		g := gap(d)
		if g < 0 {
			lo = d
		} else {
			hi = d
		}
		next := d - g/m.slope(d)
		if !(next > lo && next < hi) { // also catches a NaN
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-d) <= 1e-15*d || next == lo || next == hi {
			return next
		}
		d = next
	}
	return d
}

// ShareFromPC turns a share correct into a share of discriminators,
// (pc − chance)/(1 − chance); below chance it is negative.
func (m Method) ShareFromPC(pc float64) float64 {
	c := m.Chance()
	return (pc - c) / (1 - c)
}

// PCFromShare turns a share of discriminators into a share correct.
func (m Method) PCFromShare(pd float64) float64 {
	c := m.Chance()
	return c + pd*(1-c)
}
