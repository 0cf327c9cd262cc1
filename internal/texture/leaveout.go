package texture

import (
	"math"
	"sort"

	"tamis/internal/stats/frame"
	"tamis/internal/trial"
)

// mostListed is how many left-out units are listed of a kind that has more than
// mostAll, and mostRefits how many of a kind are tried where each needs a fit of
// its own: house rules.
const (
	mostAll    = 40
	mostListed = 10
	mostRefits = 40
)

// leaveOut repeats the headline estimate without each cook, source and assessor.
// Where the cook is the unit, the estimate without it follows from the fit
// exactly (adjusted means of the others, where tasting was uneven, are kept).
func (a *analysis) leaveOut(tb *table, e estimand, s *stratum, head found, r *Sensitivity) {
	r.Tried = map[string]int{}
	put := func(kind string, list []LeaveOut) {
		if len(list) == 0 {
			return
		}
		r.Tried[kind] = len(list)
		if len(list) > mostAll {
			sort.SliceStable(list, func(i, j int) bool {
				return math.Abs(list[i].Shift.Or(0)) > math.Abs(list[j].Shift.Or(0))
			})
			list = list[:mostListed]
		}
		r.LeaveOut = append(r.LeaveOut, list...)
	}
	fit := s
	if f := tb.factor(e.factor); f != nil && !s.absorbed(*f) {
		fit = s.plainer
	}
	if s.by == trial.ByCook {
		put("cook", a.withoutUnits(tb, e, fit, head))
	} else {
		put("cook", a.refits(tb, e, head, string(trial.ByCook), "cook"))
	}
	put("source", a.refits(tb, e, head, string(trial.BySource), "source"))
	put("assessor", a.refits(tb, e, head, byAssessor, "assessor"))
	if len(r.Tried) == 0 {
		r.Tried = nil
	}
}

// withoutUnits deletes each unit from the fit in closed form: with M the inverse
// of X'X, l the estimand, h the leverage and e the residual,
//
//	estimate - l'Mx·e/(1-h),  RSS - e²/(1-h),  l'Ml + (l'Mx)²/(1-h)
//
// (Belsley, Kuh & Welsch 1980). A unit of leverage 1 alone carries a level.
func (a *analysis) withoutUnits(tb *table, e estimand, s *stratum, head found) []LeaveOut {
	if s.fit == nil || s.fit.DF < 2 {
		return nil
	}
	means, err := s.matrix.Means(frame.MeansSpec{By: []string{e.factor}})
	if err != nil {
		return nil
	}
	inf, err := s.fit.Influence()
	if err != nil {
		return nil
	}
	cov, err := s.fit.Covariance()
	if err != nil {
		return nil
	}
	p := len(s.fit.Coefficients)
	l := make([]float64, p)
	for lv, w := range e.weights {
		for j := 0; j < p; j++ {
			l[j] += w * means.L.At(lv, j)
		}
	}
	s2 := s.fit.Sigma * s.fit.Sigma
	lm := make([]float64, p) // l'M
	var lml float64
	for j := range lm {
		for i, w := range l {
			lm[j] += w * cov.At(i, j) / s2
		}
	}
	for j, w := range l {
		lml += lm[j] * w
	}
	df := float64(s.fit.DF - 1)
	var out []LeaveOut
	for u, id := range s.ut.unit.Levels {
		line := LeaveOut{Kind: string(s.by), ID: id}
		res, free := s.fit.Residuals[u], 1-inf.Leverage[u]
		if free < 1e-10 {
			line.gone()
			out = append(out, line)
			continue
		}
		var lmx float64
		for j := range lm {
			lmx += lm[j] * s.matrix.X.At(u, j)
		}
		rss := s.fit.RSS - res*res/free
		if rss < 1e-12*s.fit.RSS {
			rss = 0 // the others fit perfectly: no error is left
		}
		got := found{value: head.value - lmx*res/free, df: df, se: math.Sqrt(rss / df * (lml + lmx*lmx/free))}
		line.set(got, head, a.opt.Level)
		out = append(out, line)
	}
	return out
}

func (l *LeaveOut) gone() {
	const why = "it alone carries one of the levels"
	l.Estimate, l.Half, l.Shift = absent(why), absent(why), absent(why)
}

// set fills a line; the conclusion changes when p crosses the level, or with the
// sign of a difference that was told from 0: the sign of one that was not told is
// no conclusion.
func (l *LeaveOut) set(got, head found, level float64) {
	alpha := 1 - level
	l.Estimate, l.Shift = num(got.value), num((got.value-head.value)/head.se)
	l.Half = absent("no error to judge it by")
	if q, err := tQuantile(level, got.df); err == nil && got.se > 0 {
		l.Half = num(q * got.se)
	}
	before, told := head.p()
	after, ok := got.p()
	turned := got.value*head.value < 0 && (!told || before < alpha)
	l.Changes = turned || ok && (before < alpha) != (after < alpha)
}

// refits analyses the rows without one group at a time.
func (a *analysis) refits(tb *table, e estimand, head found, by, kind string) []LeaveOut {
	g := tb.groups[by]
	if len(g.Levels) < 2 || len(g.Levels) > mostRefits {
		return nil
	}
	alias := aliases(a.t)
	var out []LeaveOut
	for c, id := range g.Levels {
		line := LeaveOut{Kind: kind, ID: id}
		if by == byAssessor {
			line.ID = alias[id]
		}
		got, _, err := e.onUnits(tb.subset(func(i int) bool { return g.Code[i] != c }), a.opt.Level)
		if err != nil {
			line.Estimate, line.Half, line.Shift = absent(plain(err)), absent(plain(err)), absent(plain(err))
		} else {
			line.set(got, head, a.opt.Level)
		}
		out = append(out, line)
	}
	return out
}
