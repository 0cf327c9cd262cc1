package linear

import (
	"fmt"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/vec"
)

// Compare tests whether the larger of two nested models fits better: the
// difference of their residual sums of squares against the residual of the
// larger. With a factor beside a line this is the test of the lack of linearity.
// Errors: stats.ErrDomain when the fits are of different observations or
// weights, or the small model is not inside the large one; stats.ErrNoVariation
// when they are the same model or all residuals are 0; stats.ErrTooFew.
func Compare(small, large *Fit) (Test, error) {
	if small == nil || large == nil {
		return Test{}, fmt.Errorf("%w: two fits are needed", stats.ErrEmpty)
	}
	if !slices.Equal(small.y, large.y) || !small.white.equal(large.white) {
		return Test{}, fmt.Errorf("%w: the two fits are of different observations or weights", stats.ErrDomain)
	}
	// The small model is inside the large one when each of its columns is a
	// combination of the large one's.
	for k, c := range small.sys.a {
		c = slices.Clone(c)
		size := vec.Norm(c)
		large.sys.qr.applyQT(c)
		if vec.Norm(c[large.Rank:]) > 1e-7*size {
			name := small.Coefficients[small.sys.qr.kept[k]].Name
			return Test{}, fmt.Errorf("%w: the models are not nested: the larger has no %s", stats.ErrDomain, name)
		}
	}
	df := large.Rank - small.Rank
	if df == 0 {
		return Test{}, fmt.Errorf("%w: the two models are the same", stats.ErrNoVariation)
	}
	if err := large.needDF(); err != nil {
		return Test{}, err
	}
	// The difference of two projections of y is the difference of the residuals;
	// its square has no cancellation.
	ss := 0.0
	for i := range small.rw {
		d := small.rw[i]/small.yscale - large.rw[i]/large.yscale
		ss += d * d
	}
	return large.against(ss, df)
}

func (w whitener) equal(o whitener) bool {
	if !slices.Equal(w.root, o.root) || (w.lower == nil) != (o.lower == nil) {
		return false
	}
	return w.lower == nil || mat.Equal(w.lower, o.lower)
}

// LackOfFit is the test of a model against repeated observations.
type LackOfFit struct {
	Test             // lack of fit against pure error; ResidualDF is that of pure error
	PureErrorSS      float64
	DistinctSettings int
	RepeatedSettings int
}

// LackOfFit compares the model with the means of the observations that share
// all their columns: what the model misses against the pure error within such
// groups. Errors: stats.ErrTooFew without repeated settings or without more
// settings than coefficients, stats.ErrNoVariation when repeats are all equal,
// stats.ErrDomain for a fit with a given covariance.
func (f *Fit) LackOfFit() (LackOfFit, error) {
	if f.white.lower != nil {
		return LackOfFit{}, fmt.Errorf("%w: pure error is not defined for correlated observations", stats.ErrDomain)
	}
	index := map[string]int{}
	var groups [][]int
	for i := range f.N {
		key := ""
		for _, v := range f.x.RawRowView(i) {
			key += strconv.FormatFloat(v+0, 'b', -1, 64) + " " // +0 joins 0 and -0
		}
		g, ok := index[key]
		if !ok {
			g = len(groups)
			index[key] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], i)
	}
	out := LackOfFit{DistinctSettings: len(groups)}
	out.DF, out.ResidualDF = len(groups)-f.Rank, f.N-len(groups)
	if out.ResidualDF == 0 {
		return LackOfFit{}, fmt.Errorf("%w: no setting was repeated, so there is no pure error", stats.ErrTooFew)
	}
	if out.DF == 0 {
		return LackOfFit{}, fmt.Errorf("%w: %d distinct settings for %d coefficients leave no lack of fit to see", stats.ErrTooFew, len(groups), f.Rank)
	}
	// Within a group the fitted value is one number, so residuals carry both
	// parts: their group mean is the lack of fit, the rest is pure error.
	lack, pure := 0.0, 0.0
	for _, g := range groups {
		if len(g) > 1 {
			out.RepeatedSettings++
		}
		var sum, weight float64
		for _, i := range g {
			w := f.white.weight(i)
			sum += w * f.Residuals[i]
			weight += w
		}
		mean := sum / weight
		lack += weight * mean * mean
		for _, i := range g {
			d := f.Residuals[i] - mean
			pure += f.white.weight(i) * d * d
		}
	}
	out.SS, out.PureErrorSS = lack, pure
	if !(pure > 0) {
		return LackOfFit{}, fmt.Errorf("%w: repeated observations are all equal", stats.ErrNoVariation)
	}
	var err error
	out.F, out.P, err = ratioTest(lack, out.DF, pure, out.ResidualDF)
	return out, err
}

func (w whitener) weight(i int) float64 {
	if w.root == nil {
		return 1
	}
	return w.root[i] * w.root[i]
}

// ratioTest is F = (a/da)/(b/db) with its p-value; b is above 0.
func ratioTest(a float64, da int, b float64, db int) (f, p float64, err error) {
	f = (a / float64(da)) / (b / float64(db))
	if err := finite(f); err != nil {
		return 0, 0, err
	}
	p, err = dist.FUpper(f, float64(da), float64(db))
	return f, p, err
}
