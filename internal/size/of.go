package size

import (
	"context"
	"errors"
	"sort"

	"tamis/internal/quantity"
)

// Of sizes a comparison of set points: what the given design can see, how many
// cooks the effect of the question needs, the curve between, what pieces and
// people cannot buy, the cheapest design when there are prices, and a simulation
// of the headline analysis beside the closed form. Errors: *Problem for arguments
// that mean nothing; the error of ctx.
func Of(ctx context.Context, r Request) (*Result, error) {
	if r.Seed == 0 {
		r.Seed = DefaultSeed
	}
	if err := r.check(); err != nil {
		return nil, err
	}
	c := &Cooks{Unit: r.Words.Unit, Arm: r.Words.Arm, Question: r.Question, Design: r.Design, Spread: r.Spread,
		SpreadFrom: r.Words.From, Seed: r.Seed}
	if r.Design.within() {
		if r.Words.Factor == "" {
			r.Words.Factor = "treatment"
		}
		c.Factor = r.Words.Factor
	}
	c.Question.Effect = r.Question.size()
	c.Design.Tastes = r.Design.tasted()
	if r.Design.Assessors == 0 {
		c.Design.Tastes = 0
	}
	c.Now = point(c.Design, r.Spread, r.Question)
	c.SpreadLow, c.SpreadHigh = interval95(r.Design.unitSD(r.Spread), r.Words.SpreadDF)
	if c.Question.Effect > 0 {
		if d, ok := needed(c.Design, r.Spread, r.Question, MostCooks); ok {
			p := point(d, r.Spread, r.Question)
			c.Needed = &p
		} else {
			c.NeededNot = "more than 1000 cooks per " + r.Words.Arm
		}
	}
	c.Floor = floor(c.Design, r.Spread, r.Question)
	c.curve(r)
	if r.Prices != nil {
		c.Cheapest = cheapest(r)
	}
	if err := c.simulate(ctx, r); err != nil {
		return nil, err
	}
	out := &Result{Tamis: Schema, Cooks: c}
	out.Text = c.text(r)
	return out, nil
}

// floor is what the cooks of a design can see when each is known perfectly: only
// the spread between cooks is left.
func floor(d Design, s Spread, q Question) quantity.Number {
	if d.within() {
		if s.Pieces == 0 {
			return quantity.Absent("no spread between pieces is assumed")
		}
		return point(d, Spread{Pieces: s.Pieces}, q).Visible
	}
	if s.Cooks == 0 {
		return quantity.Absent("no spread between cooks is assumed")
	}
	return point(d, Spread{Cooks: s.Cooks}, q).Visible
}

// curve lists designs with other numbers of cooks, around the given and the
// needed one.
func (c *Cooks) curve(r Request) {
	want := map[int]bool{1: true, 2: true, c.Design.Cooks: true}
	top := max(6, min(2*c.Design.Cooks, c.Design.Cooks+4))
	if c.Needed != nil {
		n := c.Needed.Design.Cooks
		want[n], want[max(1, n-1)] = true, true
		top = max(top, n+max(1, n/4))
	}
	top = min(top, MostCooks)
	for _, n := range rungs(2, top, 8) {
		want[n] = true
	}
	for _, n := range ordered(want) {
		d := c.Design
		d.Cooks = n
		c.Curve = append(c.Curve, point(d, r.Spread, r.Question))
	}
}

// quick reports whether a thousand such trials can be analysed in a few seconds:
// the least squares on cook means costs cooks × columns², the means cost every
// score. Above that the closed form stands alone.
func (d Design) quick() bool {
	if d.within() {
		columns := d.TotalCooks()*d.blocksOfCook() + d.SetPoints*d.Within
		return d.TotalCooks()*d.Pieces*columns*columns <= 250_000 && d.TotalCooks()*len(d.visits()) <= 10_000
	}
	columns := d.SetPoints + d.Sessions
	return d.TotalCooks()*(columns*columns+40*len(d.visits())) <= 400_000
}

// simulate checks the closed form where it matters: on the given design and on
// the needed one, for the effect of the question or else the visible one; and
// without any effect, for the rate of false alarms.
func (c *Cooks) simulate(ctx context.Context, r Request) error {
	if r.Draws == 0 {
		return nil
	}
	effect := c.Question.Effect
	if effect == 0 {
		effect = c.Now.Visible.Or(0)
	}
	type run struct {
		d      Design
		effect float64
	}
	var runs []run
	if c.Now.Cannot == "" {
		runs = append(runs, run{c.Design, effect})
	}
	if c.Needed != nil && c.Needed.Design != c.Design {
		runs = append(runs, run{c.Needed.Design, effect})
	}
	if c.Now.Cannot == "" {
		runs = append(runs, run{c.Design, 0})
	} else if c.Needed != nil {
		runs = append(runs, run{c.Needed.Design, 0})
	}
	for _, x := range runs {
		// Other factors are not invented, so there is nothing that has their df.
		if x.d.OtherDF > 0 || !x.d.quick() {
			continue
		}
		s, err := simulate(ctx, x.d, r.Spread, r.Question, x.effect, r.Seed, r.Draws)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			return errors.Join(errors.New("the simulation failed"), err)
		}
		c.Simulated = append(c.Simulated, s)
	}
	return nil
}

func ordered(set map[int]bool) []int {
	out := make([]int, 0, len(set))
	for n := range set {
		out = append(out, n)
	}
	sort.Ints(out)
	return out
}
