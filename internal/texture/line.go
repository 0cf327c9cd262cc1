package texture

import (
	"errors"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/linear"
	"tamis/internal/trial"
)

// columnX is the name of the set point as a number in a model.
const columnX = "\x00x"

// line fits the straight line and the parabola of the unit means against the
// set point, with the blocks and the other factors of the same unit removed.
func (tb *table) line(s *stratum, aims []trial.Aim, level float64) (*Line, *Cannot) {
	if tb.arms == nil || s == nil {
		return nil, nil
	}
	x := make([]float64, len(s.ut.y))
	for _, f := range s.ut.factors {
		if f.Name != trial.SetPointFactor {
			continue
		}
		for u, c := range f.Code {
			if c < 0 {
				return nil, &Cannot{What: "line", Why: "a cook has no set point"}
			}
			x[u] = f.Values[c]
		}
	}
	lineFit, lineX, err := s.against(x, 1)
	if err != nil {
		return nil, &Cannot{What: "line", Why: plain(err)}
	}
	if lineFit.DF == 0 {
		return nil, &Cannot{What: "line", Why: "as many things are estimated as there are " + plural(string(s.by)) + ", so nothing is left to judge a line by", Need: "cook more set points, or each twice"}
	}
	out := &Line{Blocks: append([]string{}, s.blockNames()...), Crossings: []Crossing{}}
	if out.Slope, err = coefficient("slope", lineFit, lineX.column(lineFit, lineX.last), 1/lineX.unit); err != nil {
		return nil, &Cannot{What: "line", Why: "the slope cannot be told from the blocks"}
	}
	out.SlopeF, _ = coefficient("slope per °F", lineFit, lineX.column(lineFit, lineX.last), 1/lineX.unit/1.8)
	out.LackOfLine = s.lackOfFit(lineFit, "set_point, beyond a line")
	none := "needs three set points or more"
	out.Quadratic = Coefficient{Name: "curvature", Estimate: absent(none), SE: absent(none), DF: absent(none), T: absent(none), P: absent(none)}
	out.LackOfQuad = Test{Term: "set_point, beyond a parabola", Cannot: none}
	out.LackOfQuad.absent(none)
	if len(tb.arms.Levels) >= 3 {
		if quadFit, quadX, err := s.against(x, 2); err == nil && quadFit.DF > 0 {
			if c, err := coefficient("curvature", quadFit, quadX.column(quadFit, quadX.last), 1/(quadX.unit*quadX.unit)); err == nil {
				out.Quadratic = c
			}
			out.LackOfQuad = s.lackOfFit(quadFit, "set_point, beyond a parabola")
		}
	}
	for _, a := range aims {
		out.Crossings = append(out.Crossings, crossingsOf(a, lineFit, lineX, tb.arms.Values, level)...)
	}
	return out, nil
}

// xLine says how the set point stands in a model: the columns are powers of
// (x - center)/unit, the last one at index last.
type xLine struct {
	last         int
	center, unit float64
}

func (c xLine) column(f *linear.Fit, index int) []float64 {
	l := make([]float64, len(f.Coefficients))
	l[index] = 1
	return l
}

// against fits blocks, the other factors and a polynomial of x. The set point
// as a category leaves the model, and with it every interaction that it is in.
func (s *stratum) against(x []float64, degree int) (*linear.Fit, xLine, error) {
	var cols []frame.Column
	model := frame.Model{Intercept: true, Coding: map[string]frame.Coding{}}
	add := func(name string, codes []int, levels []string) error {
		c, err := frame.FactorCodes(name, codes, levels)
		cols = append(cols, c)
		model.Terms = append(model.Terms, frame.T(name))
		model.Coding[name] = frame.Coding{Contrast: frame.Sum}
		return err
	}
	for i, b := range s.ut.blocks {
		if err := add(blockColumn(i), b.Code, numbered(len(b.Levels))); err != nil {
			return nil, xLine{}, err
		}
	}
	for _, f := range s.ut.factors {
		if f.Name == trial.SetPointFactor || s.absorbed(f) {
			continue
		}
		if err := add(f.Name, f.Code, f.Levels); err != nil {
			return nil, xLine{}, err
		}
	}
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	c, err := frame.Numeric(columnX, x)
	if err != nil {
		return nil, xLine{}, err
	}
	fr, err := frame.New(append(cols, c)...)
	if err != nil {
		return nil, xLine{}, err
	}
	// Scaled powers: °C and kelvin give the same columns, so the same curve.
	model.Terms = append(model.Terms, frame.Poly(columnX, degree, frame.Scaled))
	m, err := frame.Build(fr, model)
	if err != nil {
		return nil, xLine{}, err
	}
	fit, err := linear.NewFrame(m, s.ut.y, linear.Options{})
	return fit, xLine{last: len(m.Names) - 1, center: (low + high) / 2, unit: (high - low) / 2}, err
}

// lackOfFit compares a polynomial with free means of the set points.
func (s *stratum) lackOfFit(small *linear.Fit, term string) Test {
	t := Test{Term: term, Role: RoleHeadline, Unit: string(s.by), Stat: "F", Blocks: s.blockNames(),
		Question: "do the means leave the curve by more than chance?", Method: "comparison with free means, blocks removed"}
	free := s.mains()
	if free != nil && free.exact {
		return t.without(free.alike(), "")
	}
	if free == nil {
		t.Cannot = "the free means cannot be fitted"
		t.absent(t.Cannot)
		return t
	}
	cmp, err := linear.Compare(small, free.fit)
	if err != nil {
		t.Cannot = "no set point was repeated beyond what the curve uses"
		t.absent(t.Cannot)
		return t
	}
	t.found(num(cmp.F), num(float64(cmp.DF)), num(float64(cmp.ResidualDF)), num(cmp.P))
	return t
}

// mains fits blocks and main effects only, the set point as a category. Factors
// that a block has one level of are left out: they cannot be told from the
// blocks. nil when that cannot be fitted with an error left.
func (s *stratum) mains() *stratum {
	free := &stratum{by: s.by, ut: s.ut, covariate: s.covariate}
	for _, f := range s.ut.factors {
		if !s.absorbed(f) {
			free.terms = append(free.terms, frame.T(f.Name))
		}
	}
	if free.err = free.solve(); free.err != nil || free.fit.DF == 0 {
		return nil
	}
	return free
}

// crossingsOf finds where the line meets the ends of an aim, with Fieller's
// interval.
func crossingsOf(a trial.Aim, fit *linear.Fit, x xLine, setPoints []float64, level float64) []Crossing {
	var out []Crossing
	at := func(v float64, limit string) {
		c := Crossing{Value: v, Limit: limit, Method: "fieller", SetPoint: absent("the line is level"), Low: absent("open"), High: absent("open"),
			LowOpen: true, HighOpen: true}
		inter := make([]float64, len(fit.Coefficients))
		inter[0] = 1
		slope := valueOf(fit, x.column(fit, x.last))
		if fit.Sigma == 0 && slope != 0 {
			// The line is exact, and so is the place where it meets the value.
			at := x.center + x.unit*(v-valueOf(fit, inter))/slope
			const why = "no variation is left to judge it by"
			c.SetPoint, c.Low, c.High, c.LowOpen, c.HighOpen = num(at), absent(why), absent(why), false, false
			if c.Inside = at >= setPoints[0] && at <= setPoints[len(setPoints)-1]; !c.Inside {
				c.Note = "outside the set points that were cooked"
			}
			out = append(out, c)
			return
		}
		r, err := fit.Inverse(inter, x.column(fit, x.last), v, 0, level)
		if err != nil {
			c.Note = plain(err)
			out = append(out, c)
			return
		}
		r = r.Affine(x.center, x.unit)
		if r.HasEstimate {
			c.SetPoint = num(r.Estimate)
			c.Inside = r.Estimate >= setPoints[0] && r.Estimate <= setPoints[len(setPoints)-1]
			if !c.Inside {
				c.Note = "outside the set points that were cooked"
			}
		}
		c.LowOpen, c.HighOpen = r.Interval.LowOpen, r.Interval.HighOpen
		if !c.LowOpen {
			c.Low = num(r.Interval.Low)
		}
		if !c.HighOpen {
			c.High = num(r.Interval.High)
		}
		if r.Shape == linear.Outside {
			c.Note = "the slope is too uncertain to give an interval"
		}
		out = append(out, c)
	}
	if a.Target.Known {
		at(a.Target.V.Low, "low")
		at(a.Target.V.High, "high")
	}
	if a.AtLeast.Known {
		at(a.AtLeast.V, "low")
	}
	if a.AtMost.Known {
		at(a.AtMost.V, "high")
	}
	return out
}

// coefficient reads one contrast as a coefficient, multiplied by scale.
func coefficient(name string, fit *linear.Fit, l []float64, scale float64) (Coefficient, error) {
	est, err := fit.Estimate(l, 0.95)
	if errors.Is(err, stats.ErrNoVariation) {
		// The curve goes through every mean: the coefficient is what it is.
		const why = "no variation is left to judge it by"
		return Coefficient{Name: name, Estimate: num(valueOf(fit, l) * scale), SE: num(0), DF: num(float64(fit.DF)), T: absent(why), P: absent(why)}, nil
	}
	if err != nil {
		return Coefficient{}, err
	}
	return Coefficient{Name: name, Estimate: num(est.Value * scale), SE: num(est.SE * scale), DF: num(float64(est.DF)),
		T: num(est.T), P: num(est.P)}, nil
}
