package texture

import (
	"fmt"
	"math"
	"strings"

	"tamis/internal/stats/linear"
)

// roundingShare is the size of residuals, as a share of the values, up to which
// they are the rounding error of averaging and fitting and not variation: some
// hundred units in the last place.
const roundingShare = 1e-13

// onlyRounding reports whether a residual sum of squares is rounding error of y.
func onlyRounding(rss float64, y []float64) bool {
	var ss float64
	for _, v := range y {
		ss += v * v
	}
	return math.Sqrt(rss) <= roundingShare*math.Sqrt(ss)
}

// same reports whether two values differ by no more than rounding.
func same(a, b float64) bool {
	return math.Abs(a-b) <= roundingShare*math.Max(math.Abs(a), math.Abs(b))
}

// alike says why a stratum that was repeated has no variation to judge by: the
// units are all equal, or equal within each kind, or blocks and factors explain
// them to the last digit.
func (s *stratum) alike() string {
	units := plural(string(s.by))
	all := true
	for _, v := range s.ut.y {
		all = all && same(v, s.ut.y[0])
	}
	if all {
		return fmt.Sprintf("every %s has the same value", s.by)
	}
	var codes [][]int
	for _, f := range s.ut.factors {
		codes = append(codes, f.Code)
	}
	kind, n := product(codes...)
	first := make([]float64, n)
	seen := make([]bool, n)
	within := true
	for u, k := range kind {
		if k < 0 {
			continue
		}
		if !seen[k] {
			first[k], seen[k] = s.ut.y[u], true
		}
		within = within && same(s.ut.y[u], first[k])
	}
	switch {
	case within && n < len(s.ut.y):
		return fmt.Sprintf("the %s of one kind do not differ at all", units)
	case len(s.ut.blocks) > 0:
		return fmt.Sprintf("the %s of one kind differ by their %s alone", units, strings.Join(s.blockNames(), " and "))
	}
	return fmt.Sprintf("what was varied explains the %s to the last digit", units)
}

// valueOf is a combination of coefficients, without an error; 0 where it is
// rounding error of the largest.
func valueOf(fit *linear.Fit, l []float64) float64 {
	var v, top float64
	for i, w := range l {
		v += w * fit.Coefficients[i].Estimate
		top = math.Max(top, math.Abs(fit.Coefficients[i].Estimate))
	}
	if math.Abs(v) <= roundingShare*top {
		return 0
	}
	return v
}

// exactDifferences compares means that stand without an error: the estimates
// alone.
func (fam *family) exactDifferences(term, why string) []Difference {
	if len(fam.arms) > mostLevels {
		return nil
	}
	var out []Difference
	for a := range fam.arms {
		for b := a + 1; b < len(fam.arms); b++ {
			x, ok1 := fam.arms[a].Mean.Get()
			y, ok2 := fam.arms[b].Mean.Get()
			if !ok1 || !ok2 {
				continue
			}
			d := Difference{Term: term, A: fam.arms[a].Arm, B: fam.arms[b].Arm, Estimate: num(x - y), Adjust: "none"}
			if same(x, y) {
				d.Estimate = num(0)
			}
			d.unjudged(why)
			out = append(out, d)
		}
	}
	return out
}

// alike says why repeated cooks give a curve no error.
func (c *cells) alike() string {
	const end = " are all alike, so chance cannot be judged"
	if len(c.data.Blocks)+len(c.data.Random) > 0 {
		for i, y := range c.data.Y {
			for j := range i {
				if c.data.X[i] == c.data.X[j] && c.data.Treatment[i] == c.data.Treatment[j] && !same(y, c.data.Y[j]) {
					return "once their blocks are removed, the cooks of a set point" + end
				}
			}
		}
	}
	return "the cooks of a set point" + end
}
