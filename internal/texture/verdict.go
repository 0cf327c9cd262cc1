package texture

import (
	"math"
	"sort"

	"tamis/internal/stats/agree"
	"tamis/internal/stats/dist"
)

// The verdicts on an assessor.
const (
	verdictInStep   = "in step"
	verdictReversed = "reversed"
	verdictFlat     = "indifferent"
	verdictUnclear  = "not clear"
	verdictTooFew   = "too few"
)

// House rules of the verdicts.
const (
	// verdictError is the chance, for a whole panel, of calling anybody reversed
	// whose line against the rest does not fall, and again of calling anybody
	// indifferent who uses the scale as the rest does: 5 % for both together. It is
	// shared among the assessors (Bonferroni).
	verdictError = 0.025
	// flatSlope is the share of the rest's scale that an indifferent assessor
	// stays below.
	flatSlope = 1.0 / 3
	// leastProducts is how many products, and leastFreedom how many degrees of
	// freedom, a verdict needs.
	leastProducts = 3
	leastFreedom  = 3
)

// judge gives the verdict of each of n assessors from a regression of his own
// scores on the means that the rest of the panel gave the same products:
//
//   - reversed: the slope is below 0, one-sided, at verdictError/n;
//   - indifferent: it is below 1 (the rest's own) at that level, less than flatSlope
//     as it stands, and nothing shows that it is above 0 (one-sided, 5 %);
//   - in step: it is above 0, one-sided, at 5 %;
//   - not clear: the scores do not say, or the rest of the panel sees no
//     difference (5 %), so that there is nothing to be in step with.
//
// Those who are reversed leave the rest before the others are judged.
func judge(scores []agree.Score, n int) map[int]string {
	level := verdictError / float64(max(n, 1))
	own := map[int][]agree.Score{}
	for _, s := range scores {
		own[s.Assessor] = append(own[s.Assessor], s)
	}
	reversed := map[int]bool{}
	for who := range own {
		r := restOf(scores, who, nil)
		if line, ok := againstRest(own[who], r); ok && r.differs && line.below(0) < level {
			reversed[who] = true
		}
	}
	out := map[int]string{}
	for who := range own {
		if reversed[who] {
			out[who] = verdictReversed
			continue
		}
		r := restOf(scores, who, reversed)
		line, ok := againstRest(own[who], r)
		rising := line.slope > 0 && 1-line.below(0) < 0.05
		line = line.noSurerThan(r)
		switch {
		case !ok:
			out[who] = verdictTooFew
		case !r.differs:
			out[who] = verdictUnclear
		case rising:
			out[who] = verdictInStep
		case line.slope < flatSlope && line.below(1) < level:
			out[who] = verdictFlat
		default:
			out[who] = verdictUnclear
		}
	}
	return out
}

// rest is what the others found.
type rest struct {
	mean    map[int]float64 // by product
	differs bool            // their products differ, judged by product × assessor at 5 %
	ms, df  float64         // product × assessor among them, of cell means; df 0 for none
}

// restOf averages each product over the other assessors, each of whom counts
// once, after his own level is taken off: who happened to taste which product
// then matters little. The test is the two-way analysis of these cell means,
// exact where everybody tasted everything.
func restOf(scores []agree.Score, who int, without map[int]bool) rest {
	level, count := map[int]float64{}, map[int]float64{}
	for _, s := range scores {
		level[s.Assessor] += s.Value
		count[s.Assessor]++
	}
	type cell struct{ a, p int }
	sum, n := map[cell]float64{}, map[cell]float64{}
	var cells []cell
	people, seen := map[int]bool{}, map[int]float64{}
	var products []int
	for _, s := range scores {
		if s.Assessor == who || without[s.Assessor] {
			continue
		}
		people[s.Assessor] = true
		c := cell{s.Assessor, s.Product}
		if n[c] == 0 {
			cells = append(cells, c)
			if seen[s.Product] == 0 {
				products = append(products, s.Product)
			}
			seen[s.Product]++
		}
		sum[c] += s.Value - level[s.Assessor]/count[s.Assessor]
		n[c]++
	}
	out := rest{mean: map[int]float64{}}
	for _, c := range cells {
		out.mean[c.p] += sum[c] / n[c] / seen[c.p]
	}
	var grand, between, within float64
	for _, p := range products {
		grand += seen[p] * out.mean[p] / float64(len(cells))
	}
	for _, p := range products {
		d := out.mean[p] - grand
		between += seen[p] * d * d
	}
	for _, c := range cells {
		d := sum[c]/n[c] - out.mean[c.p]
		within += d * d
	}
	df1 := float64(len(products) - 1)
	df2 := float64(len(cells)-len(products)-len(people)) + 1
	if df2 >= 1 {
		out.ms, out.df = within/df2, df2
	}
	if df1 >= 1 && df2 >= 1 && between > 0 {
		if within == 0 {
			out.differs = true
		} else if p, err := dist.FUpper(between/df1/(within/df2), df1, df2); err == nil {
			out.differs = p < 0.05
		}
	}
	return out
}

// restLine is the slope of one assessor against the rest.
type restLine struct {
	slope, se, df float64
	spread        float64 // Σ (x - mean)² over products, each once
}

// noSurerThan widens the error to what the others differ by among themselves:
// somebody who differs no more than they do is not to be singled out.
func (l restLine) noSurerThan(r rest) restLine {
	if !(l.spread > 0) || r.df < 1 {
		return l
	}
	if se := math.Sqrt(r.ms / l.spread); se > l.se {
		l.se = se
		l.df = math.Max(r.df, l.df)
	}
	return l
}

// below is the chance of a slope this low when it is value.
func (l restLine) below(value float64) float64 {
	p, err := dist.TCDF((l.slope-value)/l.se, l.df)
	if err != nil {
		return 1
	}
	return p
}

// againstRest is the regression of own scores on what the rest found. Its error
// is the scatter about the line, or that of the product means about it where it
// is larger: an assessor with a taste of his own is no suspect.
func againstRest(own []agree.Score, r rest) (restLine, bool) {
	var xs, ys []float64
	var product []int
	for _, s := range own {
		if x, ok := r.mean[s.Product]; ok {
			xs, ys, product = append(xs, x), append(ys, s.Value), append(product, s.Product)
		}
	}
	n := float64(len(xs))
	if n < 2 {
		return restLine{}, false
	}
	mx, my := mean(xs), mean(ys)
	var sxx, sxy float64
	for i := range xs {
		sxx += (xs[i] - mx) * (xs[i] - mx)
		sxy += (xs[i] - mx) * (ys[i] - my)
	}
	type acc struct{ sum, n, x float64 }
	means := map[int]*acc{}
	for i, p := range product {
		if means[p] == nil {
			means[p] = &acc{x: xs[i]}
		}
		means[p].sum += ys[i]
		means[p].n++
	}
	products := float64(len(means))
	scale := math.Max(math.Abs(mx), 1)
	if products < leastProducts || n-2 < leastFreedom || !(sxx > 1e-18*scale*scale) {
		return restLine{}, false
	}
	slope := sxy / sxx
	var about, lack float64 // sums of squares about the line; of product means about it
	for i := range xs {
		d := ys[i] - my - slope*(xs[i]-mx)
		about += d * d
	}
	var order []int
	for p := range means {
		order = append(order, p)
	}
	sort.Ints(order) // the same sum on every run
	var sumX, sumXX float64
	for _, p := range order {
		m := means[p]
		sumX, sumXX = sumX+m.x, sumXX+m.x*m.x
		d := m.sum/m.n - my - slope*(m.x-mx)
		lack += m.n * d * d
	}
	df := n - 2
	ms := math.Max(about/df, lack/math.Max(products-2, 1))
	se := math.Sqrt(ms / sxx)
	if se == 0 {
		se = 1e-300 // every score on the line: the slope is what it is
	}
	if math.IsNaN(slope) || math.IsNaN(se) || math.IsInf(se, 0) {
		return restLine{}, false
	}
	return restLine{slope: slope, se: se, df: df, spread: sumXX - sumX*sumX/products}, true
}

func mean(xs []float64) float64 {
	var s float64
	for _, x := range xs {
		s += x
	}
	return s / float64(len(xs))
}
