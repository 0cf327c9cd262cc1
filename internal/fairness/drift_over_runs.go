package fairness

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/linear"
)

var driftOverRuns = Check{
	Slug:   "drift-over-runs",
	Family: Replication,
	Stage:  Scored,
	Short:  "a drift over the runs",
	Asks:   "Did the results creep up or down from run to run, whatever the set point was?",
	Needs:  []string{"cooks.order", "cooks.started", "cooks.session", "cooks.block", "aim", "measures"},
	Finds: "Run means of the deciding measure are fitted as set point + session + b × run order, with every other factor of whole cooks. Where the runs have no order and stand in complete, numbered blocks, the means of the blocks take their place. It is a note at p of b below {drift-p}. It weakens at " +
		"p below 0.005 when b over the range of the order is more than {drift-share} of the range of the adjusted set points.",
	Clears:   "p is at least {drift-p}, with 3 residual degrees of freedom or more.",
	Unjudged: "The model leaves fewer than 3 residual degrees of freedom, the order is not known, or it cannot be told from the set points.",
	Why: "Batter stands, fish ages, a bath silts up. In a published series of cakes the batches fell by 20 units in the order in which they are " +
		"numbered, more than twice the whole effect of the temperature (Cook 1938, as printed in Cochran & Cox 1957).",
	Wording: "{measure} moved by {drift} from the first {unit} to the last, whatever the {factor} was. The {factor}s differ by {range}.",
	Hedge:   "{measure} drifted by {drift} over the {unit}s",
	Next:    "Draw the run order by lot, and repeat one {factor} first and last as a yardstick.",
	Fix:     "draw-order",
	Source:  "Analysis of covariance on the run order; the cake series is that of Cochran & Cox 1957, Experimental Designs (from memory). Limits are house rules.",
	Options: []string{"drift-p", "drift-share"},
	FiresOn: "cooks: [{id: A, set_point: 50 °C, session: s1, order: 1, firmness: 7.1}, {id: B, set_point: 56 °C, session: s1, order: 2, firmness: 7.0}, {id: C, set_point: 56 °C, session: s1, order: 3, firmness: 6.1}, {id: D, set_point: 50 °C, session: s1, order: 4, firmness: 5.2}, {id: E, set_point: 50 °C, session: s1, order: 5, firmness: 4.8}, {id: F, set_point: 56 °C, session: s1, order: 6, firmness: 4.9}]",
	ClearOn: "cooks: [{id: A, set_point: 50 °C, session: s1, order: 1, firmness: 4.2}, {id: B, set_point: 56 °C, session: s1, order: 2, firmness: 6.0}, {id: C, set_point: 56 °C, session: s1, order: 3, firmness: 6.3}, {id: D, set_point: 50 °C, session: s1, order: 4, firmness: 4.3}, {id: E, set_point: 50 °C, session: s1, order: 5, firmness: 4.0}, {id: F, set_point: 56 °C, session: s1, order: 6, firmness: 6.1}]",
	Judge:   judgeDrift,
	Example: exampleDrift,
}

const (
	// driftFreedom is the fewest residual degrees of freedom on which a drift is
	// judged.
	driftFreedom = 3
	// surely is the p below which a check that tests scores may weaken a claim:
	// many checks are asked of each trial, and at 0.05 fair trials are accused.
	surely = 0.005
)

func judgeDrift(c *Case) Judgement {
	factors := c.wholeCookFactors()
	if len(factors) == 0 {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	m, ok := c.primaryMeasure()
	if !ok {
		return notApplicable("nothing is measured")
	}
	main := c.of(factors[0])
	runs, y := main.runMeans(c.measured(m))
	if len(runs) == 0 {
		return notApplicable("no run has a value of the deciding measure")
	}
	d := main.driftRows(factors, runs, y)
	if d.cannot != nil {
		return *d.cannot
	}
	fit, at := d.fit()
	if fit == nil || fit.DF < driftFreedom {
		have := 0
		if fit != nil {
			have = fit.DF
		}
		return tooFew(d.what+"s", len(d.y), len(d.y)+driftFreedom-have)
	}
	b := fit.Coefficients[at]
	if b.Aliased {
		j := tooFew(d.what+"s in another order", 0, 1)
		j.Remark = prose.Say("The order cannot be told from what was compared, or from the sessions.")
		return j
	}
	reach := d.reach()
	drift, spread := b.Estimate*reach, main.rangeOf(runs, y)
	if d.what == "run" { // adjusted for the order; the first level has the coefficient 0
		low, high := 0.0, 0.0
		for _, k := range fit.Coefficients[1:main.Levels()] {
			low, high = math.Min(low, k.Estimate), math.Max(high, k.Estimate)
		}
		spread = high - low
	}
	// A perfect fit has no residual spread and no p: the drift is then as sure as
	// the numbers are.
	p := b.P
	if fit.RSS == 0 {
		p = 1
		if b.Estimate != 0 {
			p = 0
		}
	}
	limit := c.set.number("drift-p")
	if !(p < limit) {
		return clear()
	}
	digits := min(2, prose.DigitsFor(b.SE*reach))
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "p of the slope on the order", Value: quantity.Num(p), Threshold: quantity.Num(limit), Option: "drift-p",
		Where: main.whereLevels(allLevels(main)...),
		Fill: Fill{"measure": prose.Upper(measureWords(m.Name)), "factor": main.factorWords(), "unit": d.what,
			"drift": amount(math.Abs(drift), m.Unit.V, digits), "range": amount(spread, m.Unit.V, digits)},
		Details: []Detail{
			{Name: "slope", Value: quantity.Num(b.Estimate), Unit: m.Unit.V}, {Name: "drift over the order", Value: quantity.Num(drift), Unit: m.Unit.V},
			{Name: "range of the adjusted levels", Value: quantity.Num(spread), Unit: m.Unit.V},
		},
	}
	j.Where.Measures = []string{m.Name}
	if p < surely && math.Abs(drift) > c.set.number("drift-share")*spread {
		j.Severity = Weakens
	}
	return j
}

// wholeCookFactors are the compared factors that were applied to whole cooks, the
// set point first.
func (c *Case) wholeCookFactors() []*Factor {
	var out []*Factor
	for _, f := range c.facts.factors {
		if len(f.Levels) > 1 && !f.WithinCooks() {
			out = append(out, f)
		}
	}
	return out
}

// runMeans are the runs at compared levels that have a value, with the mean of
// their cooks' means.
func (c *Case) runMeans(y sampleMeans) (runs []bathRun, mean []float64) {
	for _, r := range c.runs() {
		total, n := 0.0, 0
		for _, k := range r.Cooks {
			if v, ok := y.of(k, -1); ok {
				total, n = total+v, n+1
			}
		}
		if n > 0 {
			runs, mean = append(runs, r), append(mean, total/float64(n))
		}
	}
	return runs, mean
}

// driftModel is what a drift is looked for in: a row for each run, or for each
// block where the runs have no order and the blocks are numbered.
type driftModel struct {
	what    string // run or block
	y       []float64
	order   []float64
	session []int       // of each row; nil for blocks
	columns [][]float64 // indicators of the compared factors and the sessions
	cannot  *Judgement
}

func (c *Case) driftRows(factors []*Factor, runs []bathRun, y []float64) driftModel {
	o := c.orders(runs)
	if len(o.noOrder) == len(runs) {
		if d, ok := c.driftBlocks(factors, runs, y); ok {
			return d
		}
	}
	j := Judgement{}
	switch {
	case len(o.noOrder) > 0:
		j = cannot("cooks.order", o.noOrder...)
		return driftModel{cannot: &j}
	case len(o.noSession) > 0:
		j = cannot("cooks.session", o.noSession...)
		return driftModel{cannot: &j}
	}
	d := driftModel{what: "run", y: y, order: o.order, session: o.session}
	for _, f := range factors {
		d.indicators(len(f.Levels), func(i int) int { return f.Cook[runs[i].Cooks[0]] })
	}
	d.indicators(slices.Max(o.session)+1, func(i int) int { return o.session[i] })
	return d
}

// reach is how far the order goes within one session, at most. The sessions have
// means of their own, and the clock times of two days lie a day apart, in which
// nothing was cooked.
func (d *driftModel) reach() float64 {
	low, high, most := map[int]float64{}, map[int]float64{}, 0.0
	for i, v := range d.order {
		s := 0
		if d.session != nil {
			s = d.session[i]
		}
		if _, seen := low[s]; !seen {
			low[s], high[s] = v, v
		}
		low[s], high[s] = min(low[s], v), max(high[s], v)
		most = max(most, high[s]-low[s])
	}
	return most
}

// indicators adds a column for each code but the first. A code below 0 has none.
func (d *driftModel) indicators(codes int, of func(row int) int) {
	for k := 1; k < codes; k++ {
		col := make([]float64, len(d.y))
		for i := range col {
			if of(i) == k {
				col[i] = 1
			}
		}
		d.columns = append(d.columns, col)
	}
}

// driftBlocks takes the numbers at the end of the blocks' names as their order,
// and the means of the blocks as the values. It asks that every block holds every
// level of each factor that varies within blocks equally often, so that the means
// are of the same things.
func (c *Case) driftBlocks(factors []*Factor, runs []bathRun, y []float64) (d driftModel, ok bool) {
	d.what = "block"
	index := map[string]int{}
	members := [][]int{}
	for i, r := range runs {
		b := c.Trial.Cooks[r.Cooks[0]].Block
		number, numbered := trailingNumber(b.V)
		if !b.Known || !numbered {
			return d, false
		}
		k, seen := index[b.V]
		if !seen {
			k = len(members)
			index[b.V] = k
			members = append(members, nil)
			d.order = append(d.order, number)
		}
		members[k] = append(members[k], i)
	}
	for _, rows := range members {
		sum := 0.0
		for _, i := range rows {
			sum += y[i]
		}
		d.y = append(d.y, sum/float64(len(rows)))
	}
	for _, f := range factors {
		level := func(row int) int { return f.Cook[runs[row].Cooks[0]] }
		constant, counts := true, make([][]int, len(members))
		for b, rows := range members {
			counts[b] = make([]int, len(f.Levels))
			for _, i := range rows {
				constant = constant && level(i) == level(rows[0])
				if level(i) >= 0 {
					counts[b][level(i)]++
				}
			}
		}
		if constant {
			d.indicators(len(f.Levels), func(b int) int { return level(members[b][0]) })
			continue
		}
		for b := range counts {
			if !slices.Equal(counts[b], counts[0]) {
				return d, false
			}
		}
	}
	return d, true
}

// trailingNumber is the whole number at the end of a name, as 12 in batch-A12.
func trailingNumber(name string) (float64, bool) {
	start := len(name)
	for start > 0 && name[start-1] >= '0' && name[start-1] <= '9' {
		start--
	}
	v, err := strconv.ParseFloat(name[start:], 64)
	return v, err == nil && len(name)-start <= 9
}

// fit fits constant + indicators + order. at is the column of the order, the
// last, which is therefore the one that is dropped when it tells nothing new. nil
// where nothing can be fitted.
func (d driftModel) fit() (fit *linear.Fit, at int) {
	p := len(d.columns) + 2
	if len(d.y) < 2 {
		return nil, 0
	}
	x := mat.NewDense(len(d.y), p, nil)
	names := make([]string, p)
	names[0], names[p-1] = "constant", "order"
	for j, col := range d.columns {
		names[j+1] = "indicator " + strconv.Itoa(j+1)
		x.SetCol(j+1, col)
	}
	for i, v := range d.order {
		x.Set(i, 0, 1)
		x.Set(i, p-1, v)
	}
	fit, err := linear.New(x, names, d.y, linear.Options{})
	if err != nil || len(fit.Coefficients) != p {
		return nil, 0
	}
	return fit, p - 1
}

// rangeOf is the range of the means of the compared levels over runs.
func (c *Case) rangeOf(runs []bathRun, y []float64) float64 {
	sum, n := make([]float64, c.Levels()), make([]float64, c.Levels())
	for i, r := range runs {
		sum[r.Level], n[r.Level] = sum[r.Level]+y[i], n[r.Level]+1
	}
	low, high := math.Inf(1), math.Inf(-1)
	for l := range sum {
		if n[l] > 0 {
			low, high = math.Min(low, sum[l]/n[l]), math.Max(high, sum[l]/n[l])
		}
	}
	return high - low
}

// allLevels lists the compared levels.
func allLevels(c *Case) []int {
	out := make([]int, c.Levels())
	for l := range out {
		out[l] = l
	}
	return out
}
