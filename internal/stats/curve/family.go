package curve

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Family is one of the shapes that are offered as a candidate.
type Family int

// The families. With η the linear predictor of a treatment (its own level, and
// a slope that is common or its own):
//
//	Constant   level
//	Line       η
//	Quadratic  η + curvature·x², the curvature common to all treatments
//	Logistic2  low + (high−low)/(1+e^−η), between the ends of a bounded scale
//	Logistic3  low + (B−low)/(1+e^−η), the lower end of the scale known
//	Logistic4  A + (B−A)/(1+e^−η), both ends free
const (
	Constant Family = iota
	Line
	Quadratic
	Logistic2
	Logistic3
	Logistic4
)

var familyNames = [...]string{"constant", "line", "quadratic", "logistic-2", "logistic-3", "logistic-4"}

// String is the stable hyphenated name of the family.
func (f Family) String() string {
	if f < 0 || int(f) >= len(familyNames) {
		return fmt.Sprintf("family(%d)", int(f))
	}
	return familyNames[f]
}

// MarshalText writes the name of the family.
func (f Family) MarshalText() ([]byte, error) {
	if f < 0 || int(f) >= len(familyNames) {
		return nil, fmt.Errorf("%w: %v", stats.ErrDomain, f)
	}
	return []byte(familyNames[f]), nil
}

// UnmarshalText reads a name that MarshalText wrote.
func (f *Family) UnmarshalText(b []byte) error {
	for i, n := range familyNames {
		if n == string(b) {
			*f = Family(i)
			return nil
		}
	}
	return fmt.Errorf("%w: no family is called %q", stats.ErrDomain, b)
}

// Params is the number of mean parameters for a single treatment. Each further
// treatment adds one (a level of its own), or two with a slope of its own.
func (f Family) Params() int {
	return [...]int{1, 2, 3, 2, 3, 4}[f]
}

// Scale is a bounded rating scale.
type Scale struct{ Low, High float64 }

// shape is a family laid out for T treatments, on the inner coordinate
// u = (x − centre)/half-range, so that parameters are of order one.
//
// Parameter layout (S = 1 slope, or T slopes when own):
//
//	Constant             level[T]
//	Line                 level[T] slope[S]
//	Quadratic            level[T] slope[S] curvature
//	Logistic2            level[T] slope[S]             η = level + slope·u
//	Logistic3, Logistic4 ends[1 or 2] mid[T] logscale[S]  η = (u − mid)/scale
//
// The free-ended logistics use (mid, log scale) because bounds on them have a
// meaning: a transition far outside the data or narrower than the data can
// show must not run away. Logistic2 uses (level, slope) because a nearly flat
// curve is an ordinary case there, and its mid-point is then undefined.
type shape struct {
	family Family
	own    bool // a slope for each treatment
	t      int  // treatments
	scale  Scale
}

func (s shape) slopes() int {
	if s.own {
		return s.t
	}
	return 1
}

// params is the number of mean parameters.
func (s shape) params() int {
	switch s.family {
	case Constant:
		return s.t
	case Line, Logistic2:
		return s.t + s.slopes()
	case Quadratic, Logistic3:
		return s.t + s.slopes() + 1
	default:
		return s.t + s.slopes() + 2
	}
}

func (s shape) linear() bool { return s.family <= Quadratic }

// ends is the number of free ends, which come first in the layout.
func (s shape) ends() int {
	switch s.family {
	case Logistic3:
		return 1
	case Logistic4:
		return 2
	}
	return 0
}

// slopeAt is the index of the slope (or log scale) of treatment t.
func (s shape) slopeAt(t int) int {
	i := s.ends() + s.t
	if s.own {
		i += t
	}
	return i
}

// logistic is 1/(1+e^−η), written so that neither branch overflows.
func logistic(eta float64) float64 {
	if eta >= 0 {
		return 1 / (1 + math.Exp(-eta))
	}
	e := math.Exp(eta)
	return e / (1 + e)
}

// mean is the value of the curve at u for treatment t.
func (s shape) mean(b []float64, u float64, t int) float64 {
	switch s.family {
	case Constant:
		return b[t]
	case Line:
		return b[t] + b[s.slopeAt(t)]*u
	case Quadratic:
		return b[t] + b[s.slopeAt(t)]*u + b[len(b)-1]*u*u
	case Logistic2:
		return s.scale.Low + (s.scale.High-s.scale.Low)*logistic(b[t]+b[s.slopeAt(t)]*u)
	case Logistic3:
		return s.scale.Low + (b[0]-s.scale.Low)*logistic((u-b[1+t])*math.Exp(-b[s.slopeAt(t)]))
	default:
		return b[0] + (b[1]-b[0])*logistic((u-b[2+t])*math.Exp(-b[s.slopeAt(t)]))
	}
}

// gradient writes ∂mean/∂b into g (all of it, zeros included) and returns the
// mean.
func (s shape) gradient(b []float64, u float64, t int, g []float64) float64 {
	inv := 0.0
	if s.ends() > 0 {
		inv = math.Exp(-b[s.slopeAt(t)])
	}
	return s.gradientAt(b, u, t, s.share(b, u, t), inv, g)
}

// share is the logistic of a point, the part between the ends that is reached;
// 0 for the linear families.
func (s shape) share(b []float64, u float64, t int) float64 {
	switch s.family {
	case Logistic2:
		return logistic(b[t] + b[s.slopeAt(t)]*u)
	case Logistic3, Logistic4:
		return logistic((u - b[s.ends()+t]) * math.Exp(-b[s.slopeAt(t)]))
	}
	return 0
}

// gradientAt is gradient for a known share p and, with free ends, 1/scale.
func (s shape) gradientAt(b []float64, u float64, t int, p, inv float64, g []float64) float64 {
	for i := range g {
		g[i] = 0
	}
	switch s.family {
	case Constant:
		g[t] = 1
		return b[t]
	case Line:
		k := s.slopeAt(t)
		g[t], g[k] = 1, u
		return b[t] + b[k]*u
	case Quadratic:
		k, q := s.slopeAt(t), len(b)-1
		g[t], g[k], g[q] = 1, u, u*u
		return b[t] + b[k]*u + b[q]*u*u
	case Logistic2:
		k, h := s.slopeAt(t), s.scale.High-s.scale.Low
		d := h * p * (1 - p) // dp/dη = p(1−p)
		g[t], g[k] = d, d*u
		return s.scale.Low + h*p
	}
	e, k := s.ends(), s.slopeAt(t)
	low, high := s.scale.Low, b[0]
	if e == 2 {
		low, high = b[0], b[1]
	}
	d := (high - low) * p * (1 - p)
	if e == 2 {
		g[0], g[1] = 1-p, p
	} else {
		g[0] = p
	}
	g[e+t] = -d * inv              // ∂η/∂mid = −1/scale
	g[k] = -d * (u - b[e+t]) * inv // ∂η/∂log scale = −η
	return low + (high-low)*p
}

// polynomial is the level, slope and curvature of treatment t of a linear family.
func (s shape) polynomial(b []float64, t int) (level, slope, curvature float64) {
	level = b[t]
	if s.family >= Line {
		slope = b[s.slopeAt(t)]
	}
	if s.family == Quadratic {
		curvature = b[len(b)-1]
	}
	return level, slope, curvature
}

// add adds weight × the logistic of treatment t on the grid to out. even says that
// the grid is equally spaced: e^−η is then a geometric sequence, taken by
// multiplication and anchored anew every 32 points (rounding below 1e-14).
func (s shape) add(b, grid []float64, even bool, t int, weight float64, out []float64) {
	var low, high, at0, slope float64
	switch s.family {
	case Logistic2:
		low, high = s.scale.Low, s.scale.High
		at0, slope = b[t], b[s.slopeAt(t)]
	case Logistic3, Logistic4:
		low, high = s.scale.Low, b[0]
		if s.family == Logistic4 {
			low, high = b[0], b[1]
		}
		slope = math.Exp(-b[s.slopeAt(t)])
		at0 = -b[s.ends()+t] * slope
	}
	low, high = weight*low, weight*high
	const anchor = 32
	if !even || len(grid) < anchor {
		for g, u := range grid {
			out[g] += low + (high-low)*logistic(at0+slope*u)
		}
		return
	}
	ratio := math.Exp(-slope * (grid[len(grid)-1] - grid[0]) / float64(len(grid)-1))
	for from := 0; from < len(grid); from += anchor {
		// Far out the curve stands on an end; the clamp keeps e finite.
		e := math.Exp(math.Min(-(at0 + slope*grid[from]), 500))
		for g := from; g < min(from+anchor, len(grid)); g++ {
			out[g] += low + (high-low)/(1+e)
			e *= ratio
		}
	}
}

// bounds of the inner parameters; gap is the smallest distance of neighbouring
// u. Free-ended logistics: the mid-point stays within one range of the data
// (u from −3 to 3) and the scale between a tenth of the smallest gap, where the
// curve is a step that no data between the points could resolve, and twice the
// range, where it is a straight line to a per cent. House rule; a fit on a
// bound says so in its status. Logistic2 only bounds the steepness, the same way.
func (s shape) bounds(gap float64) (lo, hi []float64) {
	p := s.params()
	lo, hi = make([]float64, p), make([]float64, p)
	for i := range lo {
		lo[i], hi[i] = math.Inf(-1), math.Inf(1)
	}
	steep := 10 / gap
	for t := range s.t {
		k := s.slopeAt(t)
		switch s.family {
		case Logistic2:
			lo[k], hi[k] = -steep, steep
			lo[t], hi[t] = -4*steep, 4*steep
		case Logistic3, Logistic4:
			lo[s.ends()+t], hi[s.ends()+t] = -3, 3
			lo[k], hi[k] = -math.Log(steep), math.Log(4)
		}
	}
	return lo, hi
}
