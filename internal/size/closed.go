package size

import (
	"errors"
	"math"

	"tamis/internal/quantity"
	"tamis/internal/stats"
	"tamis/internal/stats/power"
)

// closed is a design laid out, with the sd of a cook's mean.
type closed struct {
	layout *power.Layout
	sd     float64
	within bool // levels of a factor of pieces are the arms
	i, j   int  // the two set points of a pair: those whose difference is known least
}

func layOut(d Design, s Spread) (*closed, error) {
	if d.within() {
		return layOutWithin(d, s)
	}
	l, err := power.New(d.counts())
	if err != nil {
		return nil, err
	}
	l = l.Less(d.OtherDF)
	c := &closed{layout: l, sd: d.CookMeanSD(s)}
	c.i, c.j = l.WorstPair()
	return c, nil
}

// effects are means of the set points with the range of effect. Without means of
// its own, the question is about the least favourable ones: two set points, those
// whose difference is known least, lie effect apart, and all others half-way
// between. No other means with that range are harder to see by the F test, because
// Σ(τ − τ̄)² is smallest there.
func (c *closed) effects(q Question, effect float64) []float64 {
	out := make([]float64, c.layout.Arms())
	if len(q.Means) == 0 {
		out[c.i], out[c.j] = -effect/2, effect/2
		return out
	}
	scale := effect / q.size()
	for i, m := range q.Means {
		out[i] = m * scale
	}
	return out
}

// size is the difference that the question asks about: its effect, or the range
// of its means.
func (q Question) size() float64 {
	if len(q.Means) == 0 {
		return q.Effect
	}
	low, high := q.Means[0], q.Means[0]
	for _, m := range q.Means {
		low, high = min(low, m), max(high, m)
	}
	return high - low
}

// power is the chance of a significant test when the true difference is effect.
func (c *closed) power(q Question, effect float64) (float64, error) {
	if q.pair(c.layout.Arms()) {
		return c.layout.Pair(c.i, c.j, effect, c.sd, q.Alpha, !q.OneSided)
	}
	return c.layout.F(c.effects(q, effect), c.sd, q.Alpha)
}

// pair: of two set points, F is t squared, and the t test has sides.
func (q Question) pair(arms int) bool { return q.Pair || arms == 2 && len(q.Means) == 0 }

// visible is the effect that is seen with the power asked for.
func (c *closed) visible(q Question) (float64, error) {
	if q.pair(c.layout.Arms()) {
		return c.layout.VisiblePair(c.i, c.j, c.sd, q.Alpha, q.Power, !q.OneSided)
	}
	return c.layout.VisibleF(c.effects(q, 1), c.sd, q.Alpha, q.Power)
}

// point is everything that the closed form says of a design.
func point(d Design, s Spread, q Question) Point {
	p := Point{Design: d, Cooks: d.TotalCooks(), SD: d.CookMeanSD(s)}
	if d.within() {
		p.PieceSD = d.PieceMeanSD(s)
	}
	c, err := layOut(d, s)
	if err == nil {
		_, p.DF = c.layout.DF()
	}
	switch {
	case errors.Is(err, stats.ErrSingular):
		p.Cannot = "sessions and set points cannot be told apart"
		p.Need = "cook several set points in each session, and fewer sessions"
	case err != nil:
		p.Cannot = err.Error()
	case p.DF < 1 && d.within():
		p.Cannot = "no piece is left to tell chance from the difference"
		p.Need = "one more cook of each set point, or more pieces in each"
	case p.DF < 1 && d.Cooks == 1:
		p.Cannot = "each set point is cooked once, so nothing tells chance from the set point"
		p.Need = "cook each set point at least twice, better three times"
	case p.DF < 1:
		p.Cannot = "sessions and set points use up all that the cooks can tell"
		p.Need = "one cook of each set point more, or fewer sessions"
	}
	if p.Cannot != "" {
		p.DF = max(0, p.DF)
		gone := quantity.Absent(p.Cannot)
		p.Visible, p.Power, p.HalfWidth = gone, gone, gone
		return p
	}
	p.Visible = number(c.visible(q))
	p.HalfWidth = number(c.layout.HalfWidth(c.i, c.j, c.sd, 0.95))
	p.Power = quantity.Absent("no difference was named")
	if e := q.size(); e > 0 {
		p.Power = number(c.power(q, e))
	}
	return p
}

func number(v float64, err error) quantity.Number {
	if err != nil {
		return quantity.Absent(err.Error())
	}
	return quantity.Num(v)
}

// needed is the smallest number of cooks of a set point, up to most, with which
// the effect is seen with the power asked for; false when there is none.
func needed(d Design, s Spread, q Question, most int) (Design, bool) {
	// One by one: where a run is spread unevenly over sessions, power does not rise
	// with every cook.
	least := 2
	if d.within() {
		least = 1 // pieces of one cook can be compared
	}
	for d.Cooks = least; d.Cooks <= most; d.Cooks++ {
		c, err := layOut(d, s)
		if err != nil {
			continue
		}
		if p, err := c.power(q, q.size()); err == nil && p >= q.Power {
			return d, true
		}
	}
	return d, false
}

// interval95 is the 95 % interval of a standard deviation estimated with df
// degrees of freedom from normal data: s·√(df/χ²).
func interval95(sd float64, df int) (low, high quantity.Number) {
	if df < 1 {
		why := quantity.Absent("the spread was not estimated from data")
		return why, why
	}
	limit := func(upper float64) quantity.Number {
		x, err := chiSquareUpper(upper, float64(df))
		return number(sd*math.Sqrt(float64(df)/x), err)
	}
	return limit(0.025), limit(0.975)
}
