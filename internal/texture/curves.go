package texture

import (
	"errors"
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/curve"
	"tamis/internal/trial"
)

// gridStep is the spacing of set points at which the curve and the chance are
// computed, in °C. A range above 100 °C gets a thousand points.
const gridStep = 0.1

// bandPoints is how many points of a band are kept: a picture needs no more.
const bandPoints = 48

// asideDraws is how many worlds are drawn for a measure without an aim, whose
// band is shown and nothing more.
const asideDraws = 500

// fitted is the second stage of one measure, kept for the windows.
type fitted struct {
	tb    *table
	out   *Measure
	cells *cells
	fit   *curve.Fit
	scale *curve.Scale
}

// curves fits the candidate curves of one measure and puts them, their average
// and its band into the result.
func (a *analysis) curves(tb *table, out *Measure) {
	cannot := func(why, need string) {
		out.Cannot = append(out.Cannot, Cannot{What: "curve", Why: why, Need: need})
	}
	if tb.arms == nil {
		return // nothing to draw a curve against; the means say what there is
	}
	for _, c := range tb.arms.Code {
		if c < 0 {
			cannot("some cooks have no set point", "state the set point of every cook")
			return
		}
	}
	cl, err := tb.stageOne()
	if err != nil {
		cannot(plain(err), "")
		return
	}
	opt := curve.Options{}
	f := &fitted{tb: tb, out: out, cells: cl}
	if tb.measure.Kind == trial.ScaleScore || tb.measure.Kind == trial.JustRight {
		f.scale = &curve.Scale{Low: tb.measure.Scale.Low, High: tb.measure.Scale.High}
		opt.Scale = f.scale
	}
	stage, err := curve.New(cl.data, opt)
	if errors.Is(err, stats.ErrNoVariation) {
		cannot(cl.alike(), "")
		return
	}
	if err != nil {
		cannot(plain(err), "cook each set point at least twice")
		return
	}
	if f.fit, err = stage.Fit(); err != nil {
		cannot(plain(err), "cook more set points, or each at least twice")
		return
	}
	a.fitted = append(a.fitted, f)
	for t := range tb.methods {
		out.Curves = append(out.Curves, f.describe(t))
	}
	out.Warnings = append(out.Warnings, f.fit.Warnings...)
}

// describe puts the candidates of one method into the result.
func (f *fitted) describe(t int) Curve {
	c := Curve{Method: f.tb.methods[t].Label, Candidates: []Candidate{}, Average: []CurveDot{}, Crossings: []Crossing{}}
	c.Shape = "curve"
	if len(f.tb.arms.Levels) == 2 {
		c.Shape = "two set points give a line; no shape can be seen"
	}
	c.CookDF = num(float64(f.fit.DF))
	c.CookSD = absent("not estimated")
	if len(f.fit.CookSD) > 0 {
		c.CookSD = num(f.fit.CookSD[0])
	}
	unit := plural(string(f.tb.units[trial.SetPointFactor].By))
	c.CookSDFrom = unit + " repeated at the same set point"
	c.Covers = unit
	if f.fit.ErrorFrom == curve.FromCurve {
		c.CookSDFrom = "the scatter about the curve, because no set point was cooked twice"
		c.Covers = "the scatter about the curve; one cook each, so the cook is not separable from the set point"
		if f.tb.units[trial.SetPointFactor].N > len(f.tb.arms.Levels)*len(f.tb.methods) {
			c.CookSDFrom = "the scatter about the curve, because too few repeats are left once methods and blocks are taken out"
			c.Covers = "the scatter about the curve; too few repeats to judge it by"
		}
	}
	for _, k := range f.fit.Candidates {
		out := Candidate{Name: k.Family.String(), OwnSlope: k.OwnSlope, K: k.Params, Status: k.Status, Excluded: k.Excluded,
			AICc: absent("did not take part"), Weight: absent("did not take part"), Residual: absent("did not take part")}
		if k.Excluded == "" {
			out.AICc, out.Weight = num(k.AICc), num(k.Weight)
			out.Residual = residualSD(k.Residuals, k.Params)
			for _, p := range k.Coef {
				if p.Treatment >= 0 && p.Treatment != t {
					continue
				}
				out.Coeffs = append(out.Coeffs, Coefficient{Name: p.Name, Estimate: num(p.Value), SE: num(p.SE),
					DF: num(float64(f.fit.DF)), T: absent("not tested"), P: absent("not tested")})
			}
			if k.LackOfFit != nil {
				out.LackOfFit = &Test{Term: "set_point, beyond the " + k.Family.String(), Role: RoleCurve, Stat: "F",
					Unit: string(f.tb.units[trial.SetPointFactor].By), Question: "does this candidate miss the means by more than chance?",
					Method: "second stage, comparison with free means"}
				out.LackOfFit.found(num(k.LackOfFit.F), num(k.LackOfFit.DF1), num(k.LackOfFit.DF2), num(k.LackOfFit.P))
			}
		}
		c.Candidates = append(c.Candidates, out)
	}
	return c
}

func residualSD(r []float64, params int) Number {
	if len(r) <= params {
		return absent("no cooks are left over")
	}
	var ss float64
	for _, v := range r {
		ss += v * v
	}
	return num(math.Sqrt(ss / float64(len(r)-params)))
}

// grid covers the set points that were cooked; nothing is extrapolated.
func (f *fitted) grid() ([]float64, error) {
	v := f.tb.arms.Values
	low, high := v[0], v[len(v)-1]
	step := gridStep
	if high-low > 100 {
		step = (high - low) / 1000
	}
	g, err := curve.Grid(low, high, step)
	if err != nil {
		return nil, err
	}
	if g[len(g)-1] < high-1e-6 {
		g = append(g, high)
	}
	return g, nil
}

// bands asks the draws for the band of each method.
func (f *fitted) bands(measure int, level float64, grid []float64) (consumers []curve.Consumer, take func()) {
	every := max(1, len(grid)/bandPoints)
	var bands []*curve.Band
	for t := range f.tb.methods {
		b, err := curve.NewBand(measure, t, every, level)
		if err != nil {
			return nil, func() {}
		}
		bands = append(bands, b)
		consumers = append(consumers, b)
	}
	return consumers, func() {
		for t, b := range bands {
			r, err := b.Result()
			if err != nil {
				continue
			}
			for i, x := range r.X {
				mean, _, err := f.fit.At(x, t)
				if err != nil {
					continue
				}
				f.out.Curves[t].Average = append(f.out.Curves[t].Average, CurveDot{SetPoint: tidy(x), Mean: mean,
					Low: r.Low[i], High: r.High[i], NextLow: r.NextLow[i], NextHigh: r.NextHigh[i]})
			}
		}
	}
}

// crossings asks the draws where each method's curve reaches the ends of the
// aims.
func (f *fitted) crossings(measure int, aims []trial.Aim, level float64) (consumers []curve.Consumer, take func()) {
	type wanted struct {
		c     *curve.Crossing
		t     int
		value float64
		limit string
	}
	var all []wanted
	add := func(v float64, limit string) {
		for t := range f.tb.methods {
			c, err := curve.NewCrossing(measure, t, v, level)
			if err != nil {
				continue
			}
			all = append(all, wanted{c, t, v, limit})
			consumers = append(consumers, c)
		}
	}
	for _, a := range aims {
		if a.Target.Known {
			add(a.Target.V.Low, "low")
			add(a.Target.V.High, "high")
		}
		if a.AtLeast.Known {
			add(a.AtLeast.V, "low")
		}
		if a.AtMost.Known {
			add(a.AtMost.V, "high")
		}
	}
	return consumers, func() {
		for _, w := range all {
			f.out.Curves[w.t].Crossings = append(f.out.Curves[w.t].Crossings, f.crossing(w.c, w.t, w.value, w.limit))
		}
	}
}

func (f *fitted) crossing(c *curve.Crossing, t int, value float64, limit string) Crossing {
	const never = "the curve does not reach it within the set points that were cooked"
	out := Crossing{Value: value, Limit: limit, Method: "draws", SetPoint: absent(never), Low: absent("open"), High: absent("open"),
		LowOpen: true, HighOpen: true}
	v := f.tb.arms.Values
	first, _, err1 := f.fit.At(v[0], t)
	last, _, err2 := f.fit.At(v[len(v)-1], t)
	if err1 != nil || err2 != nil {
		out.Note = never
		return out
	}
	r, err := c.Result(last >= first)
	if err != nil {
		out.Note = never
		return out
	}
	if r.Interval == nil {
		out.Note = fmt.Sprintf("%s in most of the draws (reached in %.0f %%)", never, 100*r.Reached)
		return out
	}
	out.SetPoint, out.Inside = num(r.Estimate), true
	out.LowOpen, out.HighOpen = r.Interval.LowOpen, r.Interval.HighOpen
	if !out.LowOpen {
		out.Low = num(r.Interval.Low)
	}
	if !out.HighOpen {
		out.High = num(r.Interval.High)
	}
	return out
}

// tidy removes the dust of adding steps to a grid point.
func tidy(x float64) float64 { return math.Round(x*1e6) / 1e6 }
