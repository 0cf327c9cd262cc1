package alias

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Spread is how far the means of some groups lie apart. D and Rel are 0 where
// HasD or HasRel is false.
type Spread struct {
	Means     []float64 `json:"means"`
	Low, High int       // groups with the smallest and the largest mean
	Range     float64   `json:"range"`
	// D is Range over the pooled SD within groups; for two groups the usual
	// standardised difference.
	D    float64 `json:"d"`
	HasD bool    `json:"has_d"` // false without spread within groups
	SD   float64 `json:"sd"`    // pooled within groups
	DF   int     `json:"df"`
	// Rel is Range over the mean of the group means.
	Rel    float64 `json:"rel"`
	HasRel bool    `json:"has_rel"` // false where that mean is 0
	CV     float64 `json:"cv"`      // the largest SD over mean within a group of two or more; 0 without one
}

// Imbalance describes how far groups lie apart, groups[j] holding the values of
// group j. It tests nothing: three values a group and no cause at all give a D
// of 0.82 on average for two groups and 1.13 for three, so D is held beside a
// difference that matters in practice.
//
// Errors: ErrTooFew for fewer than two groups, ErrEmpty for a group without
// values, ErrNonFinite.
func Imbalance(groups [][]float64) (*Spread, error) {
	if len(groups) < 2 {
		return nil, fmt.Errorf("%w: %d groups, 2 needed", stats.ErrTooFew, len(groups))
	}
	s := &Spread{Means: make([]float64, len(groups))}
	ss, grand := 0.0, 0.0
	for j, g := range groups {
		if err := stats.CheckSample(fmt.Sprintf("group %d", j), g); err != nil {
			return nil, err
		}
		mean, own := 0.0, 0.0
		for i, x := range g { // Welford's update keeps the sum of squares free of cancellation
			d := x - mean
			mean += d / float64(i+1)
			own += d * (x - mean)
		}
		s.Means[j] = mean
		grand += (mean - grand) / float64(j+1)
		ss += own
		s.DF += len(g) - 1
		if len(g) > 1 && mean != 0 {
			s.CV = math.Max(s.CV, math.Sqrt(own/float64(len(g)-1))/math.Abs(mean))
		}
		if mean < s.Means[s.Low] {
			s.Low = j
		}
		if mean > s.Means[s.High] {
			s.High = j
		}
	}
	s.Range = s.Means[s.High] - s.Means[s.Low]
	if s.DF > 0 {
		s.SD = math.Sqrt(ss / float64(s.DF))
	}
	if s.SD > 1e-12*math.Abs(grand) { // what is left of equal values is rounding
		s.D, s.HasD = s.Range/s.SD, true
	}
	if grand != 0 {
		s.Rel, s.HasRel = s.Range/math.Abs(grand), true
	}
	// Numbers near the end of the range can overflow in the steps above.
	for _, v := range []float64{s.Range, s.SD, s.D, s.Rel, s.CV} {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return nil, fmt.Errorf("%w: the groups are too far apart to compare", stats.ErrNonFinite)
		}
	}
	return s, nil
}
