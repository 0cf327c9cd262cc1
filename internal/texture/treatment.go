package texture

import (
	"errors"
	"fmt"
	"strings"

	"tamis/internal/trial"
)

var errNothingWithin = errors.New("no block holds both")

// mostTreatments bounds the comparisons of one factor with its reference, so
// that a factor with a level for each piece does not fill the result.
const mostTreatments = 12

// treatments compares the levels of each factor other than the set point, on the
// factor's own unit: the two levels of a factor with two, each with the
// declared control where there are more. Without a control, several levels are
// compared in the differences alone. A level that is not stated is compared
// with nothing.
func (tb *table) treatments(out *Measure, opt Options) {
	for _, f := range tb.factors {
		if f.Name == trial.SetPointFactor {
			continue
		}
		stated := statedLevels(f)
		if len(stated) < 2 {
			name := strings.ReplaceAll(f.Name, "_", " ")
			need := "write down the " + name + " of each piece"
			if f.Name == trial.BrineFactor {
				need += ", none for a plain one"
			}
			out.Cannot = append(out.Cannot, Cannot{What: "treatment:" + f.Name, Need: need,
				Why: "for some pieces no " + name + " is stated, and what is not stated cannot be compared"})
			continue
		}
		if len(stated) > 2 && tb.controlLevel(f) < 0 {
			continue
		}
		ref := tb.reference(f)
		var failed error
		made := 0
		for _, l := range stated {
			if l == ref || made >= mostTreatments {
				continue
			}
			c := comparison{tb: tb, f: f, a: ref, b: l, level: opt.Level}
			t, err := c.treatment(out)
			if err != nil {
				failed = err
				continue
			}
			made++
			out.Treatments = append(out.Treatments, t)
		}
		if made == 0 && failed != nil {
			out.Cannot = append(out.Cannot, Cannot{What: "treatment:" + f.Name, Why: plain(failed),
				Need: "give both levels to pieces of the same source, or to cooks of the same session"})
		}
	}
}

// statedLevels are the levels that the file names.
func statedLevels(f trial.Varied) []int {
	var out []int
	for l, name := range f.Levels {
		if name != trial.NotStated {
			out = append(out, l)
		}
	}
	return out
}

// statedDifferences leaves out the differences from what is not stated.
func statedDifferences(ds []Difference) []Difference {
	var out []Difference
	for _, d := range ds {
		if d.A != trial.NotStated && d.B != trial.NotStated {
			out = append(out, d)
		}
	}
	return out
}

// fromStratum is the same contrast among the differences of the stratum, A
// minus B; for more than two levels the one that is adjusted for the control.
func (c *comparison) fromStratum(out *Measure) (Difference, bool) {
	var got Difference
	found := false
	for _, d := range out.Differences {
		if d.Term != c.f.Name || !d.Estimate.Known() {
			continue
		}
		switch {
		case d.A == c.f.Levels[c.b] && d.B == c.f.Levels[c.a]:
			d = d.turned()
		case d.A != c.f.Levels[c.a] || d.B != c.f.Levels[c.b]:
			continue
		}
		if !found || d.Against {
			got, found = d, true
		}
	}
	if len(c.f.Levels) == 2 {
		got.Adjust, got.Against = "none", false // one comparison: no procedure changes it
	}
	return got, found
}

// turned is B minus A.
func (d Difference) turned() Difference {
	negative := func(n Number) Number {
		if v, ok := n.Get(); ok {
			return num(0 - v)
		}
		return n
	}
	d.A, d.B = d.B, d.A
	d.Estimate, d.T = negative(d.Estimate), negative(d.T)
	d.Low, d.High = negative(d.High), negative(d.Low)
	return d
}

// reference is the level that the others are compared with.
func (tb *table) reference(f trial.Varied) int {
	if c := tb.controlLevel(f); c >= 0 {
		return c
	}
	if f.Name == trial.BrineFactor {
		for l, name := range f.Levels {
			if name == (trial.Brine{Kind: trial.NoBrine}).Label() {
				return l
			}
		}
	}
	return statedLevels(f)[0]
}

// comparison is one level of a factor against another, on the factor's unit.
type comparison struct {
	tb    *table
	f     trial.Varied
	a, b  int
	level float64

	ut     unitTable
	code   []int // level of f by unit
	block  []int // what is swept out, -1 for units that take no part
	paired bool
	names  []string
	cols   [][]float64
	effect map[int]int // set point → column of the effect there; -1 without set points
}

// treatment estimates the difference, A minus B with A the reference, at each
// set point, and its average: that of the stratum's differences, so that one
// contrast has one answer in a result. Only where the stratum has none is it the
// plain average over the set points where both levels were cooked.
func (c *comparison) treatment(out *Measure) (Treatment, error) {
	t := Treatment{Factor: c.f.Name, A: c.f.Levels[c.a], B: c.f.Levels[c.b], Unit: string(c.tb.units[c.f.Name].By),
		At: []Difference{}, SetPoints: []Number{}}
	own, inStratum := c.fromStratum(out)
	fit, at, err := c.atSetPoints(&t)
	switch {
	case inStratum:
		t.Average, t.From = own, FromStratum
	case err != nil:
		return t, err
	default:
		average := map[int]float64{}
		for _, s := range at {
			average[c.effect[s]] = 1 / float64(len(at))
		}
		d, ok := fit.difference(average, c.level)
		if !ok {
			return t, c.inseparable()
		}
		t.Average, t.From = c.label(d), FromComparison
	}
	if err != nil {
		t.Interaction = c.interactionTest().without("the differences at the set points cannot be told apart", "cook both levels at two set points or more")
		return t, nil
	}
	t.Interaction = c.interaction(fit, at, out)
	t.Ratio = c.ratio()
	return t, nil
}

// atSetPoints fits an effect of the level at each set point that has both, and
// fills the differences there.
func (c *comparison) atSetPoints(t *Treatment) (fit blockFit, at []int, err error) {
	if err := c.units(); err != nil {
		return fit, nil, err
	}
	t.Paired = c.paired
	c.columns()
	if fit = fitWithin(c.block, c.ut.y, c.names, c.cols); fit.err != nil {
		return fit, nil, fit.err
	}
	for s := -1; s < c.setPoints(); s++ {
		col, ok := c.effect[s]
		if !ok {
			continue
		}
		d, ok := fit.difference(map[int]float64{col: 1}, c.level)
		if !ok {
			continue
		}
		at = append(at, s) // a set point whose effect can be told
		if s >= 0 {
			t.At = append(t.At, c.label(d))
			t.SetPoints = append(t.SetPoints, num(c.tb.arms.Values[s]))
		}
	}
	if len(at) == 0 {
		return fit, nil, c.inseparable()
	}
	return fit, at, nil
}

func (c *comparison) inseparable() error {
	return fmt.Errorf("%s cannot be told from what it was cooked with", c.f.Name)
}

func (c *comparison) label(d Difference) Difference {
	d.Term, d.A, d.B = c.f.Name, c.f.Levels[c.a], c.f.Levels[c.b]
	return d
}

func (c *comparison) setPoints() int {
	if c.tb.arms == nil {
		return 0
	}
	return len(c.tb.arms.Levels)
}

// units makes one mean a unit and finds what to pair or block by: pieces of one
// source in one cook, else pieces of one cook, else units of one session or
// declared block.
func (c *comparison) units() error {
	u := c.tb.units[c.f.Name]
	c.ut = c.tb.unitTableOf(u.Groups, c.tb.blocksOf(u.By))
	n := len(c.ut.y)
	code, ok := perUnit(c.f.Code, u.Groups.Code, n)
	if !ok {
		return fmt.Errorf("%s is not known for every %s", c.f.Name, u.By)
	}
	c.code = code
	c.block = make([]int, n)
	if u.By == trial.ByPiece || u.By == trial.ByScore {
		cook, _ := perUnit(c.tb.groups[string(trial.ByCook)].Code, u.Groups.Code, n)
		source, ok := perUnit(c.tb.groups[string(trial.BySource)].Code, u.Groups.Code, n)
		if ok {
			pair, _ := product(cook, source)
			c.paired = c.holdsBoth(pair)
			if c.paired {
				c.block = pair
			}
		}
		if !c.paired && c.holdsBoth(cook) {
			c.block = append([]int(nil), cook...)
		}
	} else {
		for _, b := range c.ut.blocks {
			if c.holdsBoth(b.Code) {
				c.block = append([]int(nil), b.Code...)
				break
			}
		}
	}
	c.block = append([]int(nil), c.block...)
	for i := range c.block {
		if c.code[i] != c.a && c.code[i] != c.b {
			c.block[i] = -1
		}
	}
	return nil
}

// holdsBoth reports whether some group has units of both levels.
func (c *comparison) holdsBoth(group []int) bool {
	seen := map[int]int{}
	for i, g := range group {
		if g < 0 {
			continue
		}
		switch c.code[i] {
		case c.a:
			seen[g] |= 1
		case c.b:
			seen[g] |= 2
		}
		if seen[g] == 3 {
			return true
		}
	}
	return false
}

// columns are the other blocks, the other factors and the set point, then an
// effect of the level a at each set point that has both levels.
func (c *comparison) columns() {
	add := func(name string, code []int, levels int) {
		n, v := indicators(name, code, levels)
		c.names, c.cols = append(c.names, n...), append(c.cols, v...)
	}
	for i, b := range c.ut.blocks {
		// The swept one leaves zero columns, which the fit passes over.
		if len(b.Levels) <= 40 {
			add(blockColumn(i), b.Code, len(b.Levels))
		}
	}
	var setPoint []int
	for _, g := range c.ut.factors {
		if g.Name == c.f.Name {
			continue
		}
		if g.Name == trial.SetPointFactor {
			setPoint = g.Code
		}
		add(g.Name, g.Code, len(g.Levels))
	}
	c.effect = map[int]int{}
	effect := func(s int) {
		v := make([]float64, len(c.code))
		both := 0
		for i, l := range c.code {
			if c.block[i] < 0 || (s >= 0 && setPoint[i] != s) {
				continue
			}
			if l == c.a {
				v[i] = 1
				both |= 1
			} else {
				both |= 2
			}
		}
		if both == 3 {
			c.effect[s] = len(c.cols)
			c.names, c.cols = append(c.names, fmt.Sprint("effect ", s)), append(c.cols, v)
		}
	}
	if setPoint == nil {
		effect(-1)
		return
	}
	for s := range c.tb.arms.Levels {
		effect(s)
	}
}

// interaction asks whether the difference is the same at every set point. Where
// the set point varies inside the units of the factor, the headline test of the
// two together answers it.
func (c *comparison) interaction(fit blockFit, at []int, out *Measure) Test {
	t := c.interactionTest()
	if c.tb.arms == nil {
		return t.without("one set point was cooked", "two set points or more")
	}
	if len(at) == 1 && at[0] < 0 {
		for _, h := range out.Tests {
			if h.Role == RoleHeadline && (h.Term == t.Term || h.Term == c.f.Name+":set_point") {
				return h
			}
		}
	}
	if len(at) < 2 {
		return t.without("both levels were cooked at fewer than two set points", "cook both levels at two set points or more")
	}
	var rows []map[int]float64
	for _, s := range at[1:] {
		rows = append(rows, map[int]float64{c.effect[s]: 1, c.effect[at[0]]: -1})
	}
	return fit.test(t, rows)
}

func (c *comparison) interactionTest() Test {
	return Test{Term: "set_point:" + c.f.Name, Role: RoleHeadline, Unit: string(c.tb.units[c.f.Name].By), Stat: "F",
		Question: fmt.Sprintf("is the difference by %s another one at another set point?", strings.ReplaceAll(c.f.Name, "_", " ")),
		Method:   "differences at the set points against each other, blocks removed"}
}
