package sensitivity

import (
	"fmt"
	"math"
	"sort"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Specification is one defensible analysis of the same question: a name, the
// estimate, its standard error (> 0) and degrees of freedom (> 0; +Inf for a
// normal test). Declared marks the one that was fixed beforehand.
type Specification struct {
	Name          string
	Value, SE, DF float64
	Declared      bool
}

// Line is a specification with its test and interval, ready to be drawn.
type Line struct {
	Specification
	P           float64 // two-sided
	Interval    stats.Interval
	Significant bool // P < 1 − level
}

// Spread sums up the specifications beside the reference: the declared one, or
// the median when none is declared.
type Spread struct {
	Lines     []Line // by estimate, lowest first; ties by name
	Reference string // name of the reference
	Low, High float64
	Median    float64 // mean of the middle two for an even number
	// SameSign is the share of specifications with the sign of the reference;
	// SameCall the share with that sign and the same side of the level. The
	// reference counts itself. The shares are descriptions: the analyses share
	// their data, so they are no test.
	SameSign, SameCall float64
	Warnings           []stats.Warning
}

// Specifications orders the estimates and counts agreement at a level such as
// 0.95. A zero estimate has no sign and agrees only with zero.
//
// Errors: ErrEmpty; ErrNonFinite; ErrDomain for a standard error or degrees of
// freedom not above 0, a level outside (0, 1), two declared, a name twice.
func Specifications(specs []Specification, level float64) (Spread, error) {
	if len(specs) == 0 {
		return Spread{}, fmt.Errorf("%w: no specification", stats.ErrEmpty)
	}
	if !(level > 0 && level < 1) {
		return Spread{}, fmt.Errorf("%w: level %v is not between 0 and 1", stats.ErrDomain, level)
	}
	var out Spread
	seen := map[string]bool{}
	declared := ""
	for _, s := range specs {
		if seen[s.Name] {
			return Spread{}, fmt.Errorf("%w: two specifications are named %q", stats.ErrDomain, s.Name)
		}
		seen[s.Name] = true
		if err := stats.CheckFinite(s.Name, []float64{s.Value, s.SE}); err != nil {
			return Spread{}, err
		}
		if s.SE <= 0 || !(s.DF > 0) {
			return Spread{}, fmt.Errorf("%w: %s has standard error %v and %v degrees of freedom", stats.ErrDomain, s.Name, s.SE, s.DF)
		}
		if s.Declared {
			if declared != "" {
				return Spread{}, fmt.Errorf("%w: both %q and %q are declared", stats.ErrDomain, declared, s.Name)
			}
			declared = s.Name
		}
		l := Line{Specification: s}
		t := s.Value / s.SE
		if math.IsInf(t, 0) {
			return Spread{}, fmt.Errorf("%w: %s: the ratio of estimate and standard error overflows", stats.ErrDomain, s.Name)
		}
		var err error
		if l.P, err = dist.TTwoSided(t, s.DF); err != nil {
			return Spread{}, err
		}
		q, err := dist.TQuantile((1-level)/2, s.DF)
		if err != nil {
			return Spread{}, err
		}
		l.Interval = stats.Interval{Low: s.Value + q*s.SE, High: s.Value - q*s.SE, Level: level}
		if err := stats.CheckFinite(s.Name+" interval", []float64{l.Interval.Low, l.Interval.High}); err != nil {
			return Spread{}, err
		}
		l.Significant = l.P < 1-level
		out.Lines = append(out.Lines, l)
	}
	sort.SliceStable(out.Lines, func(i, j int) bool {
		a, b := out.Lines[i], out.Lines[j]
		if a.Value != b.Value {
			return a.Value < b.Value
		}
		return a.Name < b.Name
	})
	n := len(out.Lines)
	out.Low, out.High = out.Lines[0].Value, out.Lines[n-1].Value
	out.Median = out.Lines[(n-1)/2].Value/2 + out.Lines[n/2].Value/2
	reference := out.Lines[(n-1)/2]
	for _, l := range out.Lines {
		if l.Declared {
			reference = l
		}
	}
	out.Reference = reference.Name
	if declared == "" {
		out.Warnings = append(out.Warnings, stats.Warning{ID: "none-declared",
			Text: "No analysis was declared beforehand; the middle one serves as reference."})
	}
	sign, call := 0, 0
	for _, l := range out.Lines {
		if signOf(l.Value) == signOf(reference.Value) {
			sign++
			if l.Significant == reference.Significant {
				call++
			}
		}
	}
	out.SameSign, out.SameCall = float64(sign)/float64(n), float64(call)/float64(n)
	return out, nil
}

func signOf(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// Omission sums up estimates made with one unit left out at a time.
type Omission struct {
	Low, High float64
	// Largest is the largest shift of the estimate from Full, in size, with its
	// sign, and Unit the index of the unit that causes it (the first of equals).
	Largest float64
	Unit    int
	// Turns are the indices of units without which the sign is another.
	Turns []int
}

// LeaveOneOut compares estimates without one unit each with the estimate from
// all units. Errors: ErrEmpty, ErrNonFinite.
func LeaveOneOut(full float64, without []float64) (Omission, error) {
	if err := stats.CheckSample("estimates", without); err != nil {
		return Omission{}, err
	}
	if err := stats.CheckFinite("full", []float64{full}); err != nil {
		return Omission{}, err
	}
	o := Omission{Low: without[0], High: without[0], Largest: without[0] - full}
	for i, v := range without {
		o.Low, o.High = math.Min(o.Low, v), math.Max(o.High, v)
		if math.Abs(v-full) > math.Abs(o.Largest) {
			o.Largest, o.Unit = v-full, i
		}
		if signOf(v) != signOf(full) {
			o.Turns = append(o.Turns, i)
		}
	}
	if math.IsInf(o.Largest, 0) {
		return Omission{}, fmt.Errorf("%w: a shift overflows", stats.ErrDomain)
	}
	return o, nil
}
