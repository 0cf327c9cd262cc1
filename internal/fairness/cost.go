package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

// leastFreedom is the fewest residual degrees of freedom from which a cost is
// given: below it the interval is wider than anything it could say.
const leastFreedom = 3

// costOf says how many points of the primary measure a recorded number that
// moved with the compared factor could explain between the two levels at the
// ends of the gap: the slope of the measure on the number within the levels,
// times the gap, with the 95 % interval of the slope. It is nil before the
// scores and where the number hardly varies within the levels.
//
// Where the number differs between the pieces of a cook and the measure is known
// by piece, the slope is taken within cooks; otherwise within levels over cook
// means, for the cook is then the unit. The slope describes: whatever else moves
// with the number within the levels is in it.
func (c *Case) costOf(marks []mark, g gap, name prose.Sentence) *Cost {
	m, ok := c.primaryMeasure()
	if !ok || c.Fit == nil || g.low < 0 || g.low == g.high {
		return nil
	}
	y := c.measured(m)
	slope, df := c.slopeWithin(marks, y, true)
	if df < leastFreedom {
		slope, df = c.slopeWithin(marks, y, false)
	}
	if df < leastFreedom {
		return nil
	}
	q, err := dist.TQuantile(0.975, float64(df))
	if err != nil {
		return nil
	}
	means, n := c.levelMeans(y.marks(c, marks))
	if n[g.low] == 0 || n[g.high] == 0 {
		return nil
	}
	seen := means[g.high] - means[g.low]
	a, b := (slope.b-q*slope.se)*g.size, (slope.b+q*slope.se)*g.size
	out := &Cost{Measure: m.Name, Unit: m.Unit.V, Low: quantity.Num(a), High: quantity.Num(b), Of: quantity.Num(seen)}
	digits := max(0, prose.DigitsFor(math.Abs(b-a)/4)-1)
	points := func(v float64) prose.Quantity {
		return amount(v, m.Unit.V, min(digits, 2))
	}
	// In words: of the difference as a size, so that "2.3" is not "−2.3".
	if seen < 0 {
		a, b, seen = -b, -a, -seen
	}
	word := ""
	if !m.Unit.Known {
		word = " points"
	}
	switch {
	case b <= 0:
		out.Text = prose.Say("It explains none of the ", points(seen), word, " of ", m.Name, ": ", name, " works the other way.")
	case a <= 0:
		out.Text = prose.Say("Anything from none to ", points(b), " of the ", points(seen), word, " of ", m.Name, " could be ", name, ".")
	default:
		out.Text = prose.Say("Between ", points(a), " and ", points(b), " of the ", points(seen), word, " of ", m.Name, " could be ", name, ".")
	}
	return out
}

// primaryMeasure is the measure of the first aim, else the first of the file.
func (c *Case) primaryMeasure() (trial.Measure, bool) {
	if len(c.Trial.Aims) > 0 {
		return c.Trial.MeasureNamed(c.Trial.Aims[0].Measure)
	}
	if len(c.Trial.Measures) > 0 {
		return c.Trial.Measures[0], true
	}
	return trial.Measure{}, false
}

// sampleMeans is the mean of a measure for each cook and piece, and for each
// cook (piece -1). Scores that the file leaves out do not count.
type sampleMeans map[[2]int]*sum

func (c *Case) measured(m trial.Measure) sampleMeans {
	out := sampleMeans{}
	add := func(cook, piece int, v float64) {
		s := out[[2]int{cook, piece}]
		if s == nil {
			s = &sum{}
			out[[2]int{cook, piece}] = s
		}
		s.total += v
		s.n++
	}
	for _, o := range c.Trial.Observe(m).Rows {
		if o.LeftOut {
			continue
		}
		add(o.Cook, -1, o.Value)
		if o.Piece >= 0 {
			add(o.Cook, o.Piece, o.Value)
		}
	}
	return out
}

// of is the mean of a sample, and false without a number.
func (s sampleMeans) of(cook, piece int) (float64, bool) {
	have := s[[2]int{cook, piece}]
	if have == nil {
		return 0, false
	}
	return have.total / float64(have.n), true
}

// marks gives the measure where x is known: by piece where the piece has a
// number of its own, by cook otherwise.
func (s sampleMeans) marks(c *Case, x []mark) []mark {
	var out []mark
	for _, m := range x {
		v, ok := s.of(m.cook, m.piece)
		if !ok && !c.Factor.WithinCooks() {
			v, ok = s.of(m.cook, -1)
		}
		if ok {
			m.v = v
			out = append(out, m)
		}
	}
	return out
}

// slope of a line with its standard error.
type slope struct{ b, se float64 }

// slopeWithin is the least squares slope of y on x with a constant for each
// group: each cook and level when byPiece, else each level, over cook means.
// df is the residual degrees of freedom, 0 where there is no slope.
func (c *Case) slopeWithin(x []mark, y sampleMeans, byPiece bool) (slope, int) {
	type row struct{ x, y float64 }
	groups := map[[2]int][]row{}
	var order [][2]int
	put := func(key [2]int, r row) {
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], r)
	}
	if byPiece {
		for _, m := range x {
			if v, ok := y.of(m.cook, m.piece); ok && m.piece >= 0 {
				put([2]int{m.cook, m.level}, row{m.v, v})
			}
		}
	} else {
		// Cook means of both, each cook and level once.
		sums := map[[2]int]*[3]float64{} // x, y, n
		var cells [][2]int
		for _, m := range x {
			v, ok := y.of(m.cook, m.piece)
			if !ok && !c.Factor.WithinCooks() {
				v, ok = y.of(m.cook, -1)
			}
			if !ok {
				continue
			}
			key := [2]int{m.cook, m.level}
			if sums[key] == nil {
				sums[key] = &[3]float64{}
				cells = append(cells, key)
			}
			s := sums[key]
			s[0], s[1], s[2] = s[0]+m.v, s[1]+v, s[2]+1
		}
		for _, key := range cells {
			s := sums[key]
			put([2]int{-1, key[1]}, row{s[0] / s[2], s[1] / s[2]})
		}
	}
	var sxx, sxy, syy, scale float64
	n, used := 0, 0
	for _, key := range order {
		rows := groups[key]
		var mx, my float64
		for _, r := range rows {
			mx, my = mx+r.x, my+r.y
			scale = math.Max(scale, math.Abs(r.x))
		}
		mx, my = mx/float64(len(rows)), my/float64(len(rows))
		for _, r := range rows {
			sxx += (r.x - mx) * (r.x - mx)
			sxy += (r.x - mx) * (r.y - my)
			syy += (r.y - my) * (r.y - my)
		}
		n, used = n+len(rows), used+1
	}
	df := n - used - 1
	if df <= 0 || sxx <= 1e-18*scale*scale*float64(n) {
		return slope{}, 0
	}
	b := sxy / sxx
	rss := math.Max(0, syy-b*sxy)
	return slope{b, math.Sqrt(rss / float64(df) / sxx)}, df
}
