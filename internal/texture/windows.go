package texture

import (
	"math"

	"tamis/internal/stats/curve"
	"tamis/internal/trial"
)

// mattersShare is the share of a scale that counts as a difference for an aim
// of "highest" or "lowest", unless the measure says otherwise: a house rule.
const mattersShare = 0.05

// windows draws the worlds: one joint run over the measures that have an aim,
// and one run for each other measure, for its band.
func (a *analysis) windows() {
	var joint []*fitted
	index := map[string]int{}
	problem, need := "", ""
	for _, aim := range a.t.Aims {
		if _, done := index[aim.Measure]; done {
			continue
		}
		f := a.fittedNamed(aim.Measure)
		if f == nil {
			if problem == "" {
				problem, need = a.withoutCurve(aim.Measure)
			}
			continue
		}
		index[aim.Measure] = len(joint)
		joint = append(joint, f)
	}
	for _, f := range a.fitted {
		if _, ok := index[f.out.Name]; !ok {
			a.drawAlone(f)
		}
	}
	switch {
	case len(a.t.Aims) == 0:
		a.noWindow("no aim is stated", "add an aim: a measure and what it should be")
	case problem != "":
		for _, f := range joint {
			a.drawAlone(f)
		}
		a.noWindow(problem, need)
	default:
		if err := a.drawJoint(joint, index); err != nil {
			for _, f := range joint {
				if len(f.out.Curves) > 0 && len(f.out.Curves[0].Average) == 0 {
					a.drawAlone(f)
				}
			}
			a.noWindow(plain(err), "record every measure for the same cooks")
		}
	}
}

func (a *analysis) fittedNamed(measure string) *fitted {
	for _, f := range a.fitted {
		if f.out.Name == measure {
			return f
		}
	}
	return nil
}

// drawAlone draws one measure for its band and crossings.
func (a *analysis) drawAlone(f *fitted) {
	s, err := curve.NewSampler(f.fit)
	if err != nil {
		return
	}
	grid, err := f.grid()
	if err != nil {
		return
	}
	consumers, takeBands := f.bands(0, a.opt.Level, grid)
	more, takeCrossings := f.crossings(0, a.aimsOf(f.out.Name), a.opt.Level)
	if err := s.Run(min(a.opt.Draws, asideDraws), a.opt.Seed, grid, append(consumers, more...)...); err != nil {
		return
	}
	takeBands()
	takeCrossings()
}

// drawJoint draws the measures of the aims together and finds the windows.
func (a *analysis) drawJoint(joint []*fitted, index map[string]int) error {
	fits := make([]*curve.Fit, len(joint))
	for i, f := range joint {
		fits[i] = f.fit
	}
	sampler, err := curve.NewSampler(fits...)
	if err != nil {
		return err
	}
	grid, err := joint[0].grid()
	if err != nil {
		return err
	}
	aims := a.curveAims(joint, index)
	var consumers []curve.Consumer
	var takes []func()
	for i, f := range joint {
		c, take := f.bands(i, a.opt.Level, grid)
		consumers, takes = append(consumers, c...), append(takes, take)
		c, take = f.crossings(i, a.aimsOf(f.out.Name), a.opt.Level)
		consumers, takes = append(consumers, c...), append(takes, take)
	}
	methods := joint[0].tb.methods
	windows := make([]*curve.Window, len(methods))
	planners := make([]*planner, len(methods))
	for t := range methods {
		if windows[t], err = curve.NewWindow(t, aims, a.opt.Level); err != nil {
			return err
		}
		planners[t] = newPlanner(t, windows[t], joint)
		consumers = append(consumers, windows[t], planners[t])
	}
	if err := sampler.Run(a.opt.Draws, a.opt.Seed, grid, consumers...); err != nil {
		return err
	}
	for _, take := range takes {
		take()
	}
	a.out.Warnings = append(a.out.Warnings, sampler.Warnings()...)
	for t := range methods {
		r, err := windows[t].Result()
		if err != nil {
			return err
		}
		a.out.Windows = append(a.out.Windows, a.window(t, r, joint, index))
	}
	head := a.markHeadline()
	a.together(windows)
	if head >= 0 {
		a.out.Next = planners[head].proposals(a.out.Windows[head].Method)
	}
	return nil
}

// curveAims translates the aims of the file.
func (a *analysis) curveAims(joint []*fitted, index map[string]int) []curve.Aim {
	var out []curve.Aim
	for _, aim := range a.t.Aims {
		i := index[aim.Measure]
		c := curve.Aim{Measure: i, Low: math.Inf(-1), High: math.Inf(1)}
		switch {
		case aim.Target.Known:
			c.Low, c.High = aim.Target.V.Low, aim.Target.V.High
		case aim.AtLeast.Known:
			c.Low = aim.AtLeast.V
		case aim.AtMost.Known:
			c.High = aim.AtMost.V
		case aim.Best.Known:
			c.Kind = curve.Highest
			if aim.Best.V == trial.Lowest {
				c.Kind = curve.Lowest
			}
			c.Matters = joint[i].matters()
		}
		out = append(out, c)
	}
	return out
}

// matters is the difference that counts: as the file says, else a twentieth of
// the scale, for amounts half the standard deviation between cooks.
func (f *fitted) matters() float64 {
	if f.tb.measure.Matters.Known {
		return f.tb.measure.Matters.V
	}
	if f.scale != nil {
		return mattersShare * (f.scale.High - f.scale.Low)
	}
	if len(f.fit.CookSD) > 0 && f.fit.CookSD[0] > 0 {
		return f.fit.CookSD[0] / 2
	}
	return 0
}

func (a *analysis) window(t int, r *curve.WindowResult, joint []*fitted, index map[string]int) Window {
	w := Window{Method: joint[0].tb.methods[t].Label, Grid: []ChanceDot{}, Limits: []Limit{}}
	w.Mean, w.Next = chance(r.Mean, r), chance(r.Next, r)
	w.Best, w.Low, w.High = absent("no draw has a window"), absent("no draw has a window"), absent("no draw has a window")
	if r.HasBest {
		w.Best = num(tidy(r.Best))
	}
	if r.Interval != nil {
		w.Low, w.High = num(tidy(r.Interval.Low)), num(tidy(r.Interval.High))
	}
	w.NoWindow = num(float64(r.Without) / float64(r.Draws))
	w.Tol = absent("the chance for the next cook is below one half even at the best set point")
	if r.Tolerance != nil {
		w.Tol = num(tidy(*r.Tolerance))
		w.TolToEdge = r.ToEdge
	}
	w.Called = "the best set point, for cooks like these in this kitchen"
	if unit := joint[0].tb.units[trial.SetPointFactor].By; unit != trial.ByCook {
		w.Called = "the best set point, judged by how " + plural(string(unit)) + " differ"
	}
	for _, f := range joint {
		if f.fit.ErrorFrom == curve.FromCurve {
			w.Called = "these cooks only: each set point was cooked once, so the cook is not separable from the set point"
		}
	}
	for i, x := range r.Grid {
		if i >= len(r.Mean.Chance) {
			break
		}
		d := ChanceDot{SetPoint: tidy(x), Mean: r.Mean.Chance[i], Next: r.Next.Chance[i], Aims: []float64{}}
		for k := range r.Each {
			d.Aims = append(d.Aims, r.Each[k][i])
		}
		w.Grid = append(w.Grid, d)
	}
	w.Limits = append(w.Limits, a.limit("below", r.LimitLow, t, r, joint, index), a.limit("above", r.LimitHigh, t, r, joint, index))
	w.Closest = a.closest(w.Method)
	a.out.Warnings = append(a.out.Warnings, r.Warnings...)
	return w
}

func chance(c curve.Chances, r *curve.WindowResult) Chance {
	out := Chance{Top: num(c.Max), At: absent("no draw has a window"), Range: span(c.Range), Likely: span(c.Likely)}
	if r.HasBest {
		best := 0
		for i := range c.Chance {
			if c.Chance[i] > c.Chance[best] {
				best = i
			}
		}
		out.At = num(tidy(r.Grid[best]))
	}
	return out
}

func span(s *curve.Span) Span {
	if s == nil {
		return Span{Low: absent("nowhere"), High: absent("nowhere")}
	}
	return Span{Low: num(tidy(s.Low)), High: num(tidy(s.High)), LowOpen: s.LowOpen, HighOpen: s.HighOpen, Stretches: 1}
}

// limit says what ends the window on one side, and in which direction.
func (a *analysis) limit(side string, l curve.Limit, t int, r *curve.WindowResult, joint []*fitted, index map[string]int) Limit {
	out := Limit{Side: side}
	if l.Open || l.Aim < 0 || l.Aim >= len(a.t.Aims) {
		out.Why = "end of what was cooked"
		return out
	}
	aim := a.t.Aims[l.Aim]
	out.Measure = aim.Measure
	f := joint[index[aim.Measure]]
	x := r.Best
	if s := r.Mean.Range; s != nil {
		x = s.Low
		if side == "above" {
			x = s.High
		}
	}
	step := gridStep
	if side == "below" {
		step = -step
	}
	v := f.tb.arms.Values
	x = math.Min(v[len(v)-1], math.Max(v[0], x+step))
	mean, _, err := f.fit.At(x, t)
	here, _, err2 := f.fit.At(r.Best, t)
	if err != nil || err2 != nil {
		out.Why = "leaves its aim"
		return out
	}
	// Away from the best set point the curve moves towards the limit it breaks.
	switch {
	case aim.AtMost.Known, aim.Target.Known && mean > here:
		out.Why = "too high"
	case aim.AtLeast.Known, aim.Target.Known:
		out.Why = "too low"
	default:
		out.Why = "less than the best"
	}
	return out
}

// markHeadline marks the method that the answer is about: the declared one, or
// the one with the highest chance.
func (a *analysis) markHeadline() int {
	best := -1
	for i := range a.out.Windows {
		w := &a.out.Windows[i]
		if a.t.Compare.Known && a.t.Compare.V.Method.Known && a.t.Compare.V.Method.V == w.Method {
			w.Headline, w.Declared = true, true
			return i
		}
		if best < 0 || better(w, &a.out.Windows[best]) {
			best = i
		}
	}
	if best >= 0 {
		a.out.Windows[best].Headline = true
		a.out.Windows[best].Declared = len(a.out.Windows) == 1
	}
	return best
}

// better compares by the chance of the next cook, then of the mean.
func better(a, b *Window) bool {
	if x, y := a.Next.Top.Or(0), b.Next.Top.Or(0); math.Abs(x-y) > 1e-9 {
		return x > y
	}
	return a.Mean.Top.Or(0) > b.Mean.Top.Or(0)
}

// together says whether the aims hold at once, and if not, which clash.
func (a *analysis) together(ws []*curve.Window) {
	if len(a.t.Aims) < 2 || len(a.out.Windows) == 0 {
		return
	}
	head := 0
	for i, w := range a.out.Windows {
		if w.Mean.Top.Or(0) > a.out.Windows[head].Mean.Top.Or(0) {
			head = i
		}
	}
	w := a.out.Windows[head]
	t := &Together{Top: w.Mean.Top, Method: w.Method, Hold: w.Mean.Top.Or(0) >= 0.5}
	if !t.Hold {
		for k, aim := range a.t.Aims {
			top := 0.0
			for _, d := range w.Grid {
				if k < len(d.Aims) {
					top = math.Max(top, d.Aims[k])
				}
			}
			if top >= 0.5 {
				t.Clash = append(t.Clash, aim.Measure)
			} else {
				t.Never = append(t.Never, aim.Measure)
			}
		}
		if len(t.Clash) < 2 {
			t.Clash = nil // one aim cannot clash with itself
		}
	}
	a.out.Together = t
}

// withoutCurve says why a measure with an aim has no curve.
func (a *analysis) withoutCurve(measure string) (why, need string) {
	why = "there is no curve for " + measure
	if m := a.out.Measures.Named(measure); m != nil {
		for _, what := range []string{"curve", "measure", "comparison"} {
			for _, c := range m.Cannot {
				if c.What == what {
					return why + ", because " + c.Why, c.Need
				}
			}
		}
		return why + ", because the set point was not varied", "two set points or more"
	}
	return why, "record every measure that has an aim"
}

// noWindow records why there is none, with the arm that came closest.
func (a *analysis) noWindow(why, need string) {
	a.out.Cannot = append(a.out.Cannot, Cannot{What: "window", Why: why, Need: need})
	if c := a.closest(""); c != nil {
		a.out.Windows = append(a.out.Windows, emptyWindow(why, need, c))
	}
}

func emptyWindow(why, need string, c *ClosestCook) Window {
	none := absent(why)
	nowhere := Span{Low: none, High: none}
	ch := Chance{Top: none, At: none, Range: nowhere, Likely: nowhere}
	return Window{Method: c.Method, Headline: true, Mean: ch, Next: ch, Best: none, Low: none, High: none, NoWindow: none, Tol: none,
		Called: "nothing", Limits: []Limit{}, Grid: []ChanceDot{}, Cannot: why, Need: need, Closest: c}
}
