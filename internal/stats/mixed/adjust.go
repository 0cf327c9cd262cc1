package mixed

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/multiple"
)

// Adjust judges a family of differences together (see multiple.Compare). The
// size of the family defaults to the number of estimable means, and for Dunnett
// the correlation of the differences is taken from their covariance. Errors:
// stats.ErrDomain for a difference that is not one of these means, and those of
// multiple.Compare.
func (ms *Means) Adjust(ds []Difference, method multiple.Method, opt multiple.Options) (multiple.Result, error) {
	cs := make([]multiple.Contrast, len(ds))
	for i, d := range ds {
		for _, k := range []int{d.First, d.Second} {
			if k < 0 || k >= len(ms.Means) || !ms.Means[k].Estimable {
				return multiple.Result{}, fmt.Errorf("%w: difference %q of means %d and %d", stats.ErrDomain, d.Label, d.First, d.Second)
			}
		}
		cs[i] = multiple.Contrast{I: d.First, J: d.Second, Estimate: d.Estimate.Estimate, SE: d.SE, DF: d.DF}
	}
	// In balanced data the degrees of freedom agree but for their last digits.
	// Make them equal, so that one critical value serves them all.
	for i := range cs {
		for _, o := range cs[:i] {
			if math.Abs(cs[i].DF-o.DF) <= 1e-8*o.DF {
				cs[i].DF = o.DF
				break
			}
		}
	}
	if opt.Means == 0 {
		for _, mean := range ms.Means {
			if mean.Estimable {
				opt.Means++
			}
		}
	}
	if method == multiple.Dunnett && opt.Correlation == nil {
		opt.Correlation = ms.correlation(ds)
	}
	return multiple.Compare(method, cs, opt)
}

// correlation of differences, Cov(a-b, c-d) = Cov ac - Cov ad - Cov bc + Cov bd.
func (ms *Means) correlation(ds []Difference) [][]float64 {
	cov := func(d, e Difference) float64 {
		c := ms.Covariance
		return c.At(d.First, e.First) - c.At(d.First, e.Second) - c.At(d.Second, e.First) + c.At(d.Second, e.Second)
	}
	out := make([][]float64, len(ds))
	for i, d := range ds {
		out[i] = make([]float64, len(ds))
		for j, e := range ds {
			out[i][j] = 1
			if i != j {
				out[i][j] = cov(d, e) / math.Sqrt(cov(d, d)*cov(e, e))
			}
		}
	}
	return out
}
