package texture

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/linear"
	"tamis/internal/stats/mixed"
	"tamis/internal/stats/ranks"
	"tamis/internal/trial"
)

// farOut is the studentised residual beyond which a unit is marked as an
// outlier, shortScale and endShare when a scale counts as short: house rules.
const (
	farOut     = 3
	shortScale = 11
	endShare   = 0.25
)

// alternatives are the other defensible analyses of the estimand.
func (a *analysis) alternatives(tb *table, out *Measure, e estimand, s *stratum) []Alternative {
	level := a.opt.Level
	var all []Alternative
	add := func(x Alternative, ok bool) {
		if ok {
			all = append(all, x)
		}
	}
	add(e.unblocked(tb, s, level))
	add(e.mixed(tb, level))
	add(e.plainMeans(tb, s, level))
	for _, c := range tb.covariates(s) {
		add(e.withCovariate(tb, s, c, level))
	}
	add(e.ordinal(tb))
	add(e.ranked(tb, s, level))
	add(e.withoutOutliers(s, level))
	if tb.obs.LeftOut > 0 {
		got, _, err := e.onUnits(tb.leftOutBack(), level)
		add(got.alternative("left-out scores back in", fmt.Sprintf("%d scores", tb.obs.LeftOut), level), err == nil)
	}
	if p := out.Panel; p != nil && len(p.OutOfStep)+len(p.Flat) > 0 {
		add(e.withoutOdd(a, tb, p, level))
	}
	add(e.logarithm(tb, level))
	add(e.permuted(tb, s, a.opt))
	return all
}

// unblocked keeps the blocks in the error.
func (e estimand) unblocked(tb *table, s *stratum, level float64) (Alternative, bool) {
	if len(s.ut.blocks) == 0 {
		return Alternative{}, false
	}
	bare := &stratum{by: s.by, ut: s.ut}
	bare.ut.blocks = nil
	bare.reduce(bare.ut.factors)
	bare.plainer = bare
	f := tb.factor(e.factor)
	got, ok := e.of(tb.levelMeans(*f, bare, level))
	return got.alternative("without blocks", "blocks stay in the error", level), ok
}

// mixed takes the estimand from the mixed model, assessors and everything below
// at random.
func (e estimand) mixed(tb *table, level float64) (Alternative, bool) {
	if tb.layout == nil {
		return Alternative{}, false
	}
	means, err := tb.layout.Means(frame.MeansSpec{By: []string{e.factor}}, mixed.Satterthwaite)
	if err != nil || len(means.Means) != len(e.weights) {
		return Alternative{}, false
	}
	c, err := means.Contrast(e.weights)
	if err != nil {
		return Alternative{}, false
	}
	got := found{value: c.Estimate, se: c.SE, df: c.DF}
	return got.alternative("mixed model", "REML, what varies at random in it, assessors too; Satterthwaite", level), true
}

// plainMeans compares the plain means of the units by one-way analysis.
func (e estimand) plainMeans(tb *table, s *stratum, level float64) (Alternative, bool) {
	if len(s.ut.blocks) == 0 && len(s.ut.factors) == 1 && !s.ut.adjusted {
		return Alternative{}, false // that is the headline
	}
	f := tb.factor(e.factor)
	one := &stratum{by: s.by, ut: s.ut}
	one.ut.blocks = nil
	one.ut.y = cellMeans(tb.y, s.ut.unit.Code, len(s.ut.unit.Levels))
	one.ut.factors = nil
	for _, g := range s.ut.factors {
		if g.Name == e.factor {
			one.ut.factors = append(one.ut.factors, g)
		}
	}
	one.reduce(one.ut.factors)
	one.plainer = one
	got, ok := e.of(tb.levelMeans(*f, one, level))
	return got.alternative("plain means", "one mean for each "+string(s.by)+", nothing adjusted", level), ok
}

// covariate is something that was recorded of every piece, averaged by unit.
type covariate struct {
	name string
	x    []float64
}

// covariates are the mass and thickness of the pieces, where each row knows them
// and they differ between units.
func (tb *table) covariates(s *stratum) []covariate {
	read := []struct {
		name string
		of   func(p *trial.Piece) (float64, bool)
	}{
		{"mass of the piece", func(p *trial.Piece) (float64, bool) { return p.Before.V.Grams(), p.Before.Known }},
		{"thickness of the piece", func(p *trial.Piece) (float64, bool) { return p.Thickness.V.Millimetres(), p.Thickness.Known }},
	}
	var out []covariate
	for _, r := range read {
		x := make([]float64, len(tb.rows))
		known := true
		for i, row := range tb.rows {
			if row.Piece < 0 {
				known = false
				break
			}
			v, ok := r.of(&tb.t.Cooks[row.Cook].Pieces[row.Piece])
			if !ok {
				known = false
				break
			}
			x[i] = v
		}
		if !known {
			continue
		}
		m := cellMeans(x, s.ut.unit.Code, len(s.ut.unit.Levels))
		for _, v := range m {
			if math.Abs(v-m[0]) > 1e-9*math.Abs(m[0]) {
				out = append(out, covariate{r.name, m})
				break
			}
		}
	}
	return out
}

// withCovariate adds one covariate to the headline model; means are compared at
// its average.
func (e estimand) withCovariate(tb *table, s *stratum, c covariate, level float64) (Alternative, bool) {
	f := tb.factor(e.factor)
	if !s.absorbed(*f) {
		s = s.plainer
	}
	with := &stratum{by: s.by, ut: s.ut, terms: s.terms, covariate: &c}
	if with.err = with.solve(); with.err != nil || with.fit.DF == 0 {
		return Alternative{}, false
	}
	with.plainer = with
	got, ok := e.of(tb.levelMeans(*f, with, level))
	return got.alternative("with the "+c.name, "means compared at its average", level), ok
}

// ranked compares two levels by their rank sums, with the shift of Hodges and
// Lehmann; more levels or blocks by the headline analysis of the ranks.
func (e estimand) ranked(tb *table, s *stratum, level float64) (Alternative, bool) {
	f := tb.factor(e.factor)
	if len(f.Levels) == 2 && len(s.ut.blocks) == 0 && len(s.ut.factors) == 1 {
		var x, y []float64
		for u, c := range s.ut.factors[0].Code {
			if c == 1 {
				x = append(x, s.ut.y[u])
			} else {
				y = append(y, s.ut.y[u])
			}
		}
		r, err := ranks.RankSum(x, y, ranks.TwoSided, level)
		if err != nil {
			return Alternative{}, false
		}
		sign := e.weights[1]
		out := found{value: sign * r.Shift}.alternative("ranks", "rank sum test, shift of Hodges and Lehmann", level)
		out.P = num(r.P)
		return out, true
	}
	q, err := ranks.Midranks(s.ut.y)
	if err != nil {
		return Alternative{}, false
	}
	by := &stratum{by: s.by, ut: s.ut}
	by.ut.y = q
	by.reduce(by.ut.factors)
	by.plainer = by
	if s.plainer != s {
		by.plainer = &stratum{by: s.by, ut: s.plainer.ut}
		by.plainer.ut.y = q
		by.plainer.reduce(by.plainer.ut.factors)
	}
	got, ok := e.of(tb.levelMeans(*f, by, level))
	p, tested := got.p()
	if !ok || !tested {
		return Alternative{}, false
	}
	return testOnly("ranks", "the headline analysis of the ranks of the means; "+direction(got.value), p), true
}

func direction(v float64) string {
	if v < 0 {
		return "it falls"
	}
	return "it rises"
}

// withoutOutliers leaves out units far from the model.
func (e estimand) withoutOutliers(s *stratum, level float64) (Alternative, bool) {
	fit := s.plainer
	if fit == nil || fit.fit == nil {
		return Alternative{}, false
	}
	inf, err := fit.fit.Influence()
	if err != nil {
		return Alternative{}, false
	}
	keep := []int{}
	for u, r := range inf.Studentised {
		if math.Abs(r) <= farOut {
			keep = append(keep, u)
		}
	}
	n := len(s.ut.y) - len(keep)
	if n == 0 || len(keep) == 0 {
		return Alternative{}, false
	}
	x := mat.NewDense(len(keep), len(fit.matrix.Names), nil)
	y := make([]float64, len(keep))
	for i, u := range keep {
		x.SetRow(i, fit.matrix.X.RawRowView(u))
		y[i] = s.ut.y[u]
	}
	means, err := fit.matrix.Means(frame.MeansSpec{By: []string{e.factor}})
	if err != nil {
		return Alternative{}, false
	}
	refit, err := linear.New(x, fit.matrix.Names, y, linear.Options{})
	if err != nil {
		return Alternative{}, false
	}
	l := make([]float64, len(fit.matrix.Names))
	for lv, w := range e.weights {
		for j := range l {
			l[j] += w * means.L.At(lv, j)
		}
	}
	est, err := refit.Estimate(l, level)
	if err != nil {
		return Alternative{}, false
	}
	got := found{value: est.Value, se: est.SE, df: float64(est.DF)}
	return got.alternative("without outliers", fmt.Sprintf("%d of %d %s lie more than %d studentised residuals off", n, len(s.ut.y),
		plural(string(s.by)), farOut), level), true
}

// withoutOdd leaves out assessors who run against the panel or tell nothing
// apart.
func (e estimand) withoutOdd(a *analysis, tb *table, p *Panel, level float64) (Alternative, bool) {
	alias := aliases(a.t)
	odd := append(append([]string{}, p.OutOfStep...), p.Flat...)
	got, _, err := e.onUnits(tb.subset(func(i int) bool { return !contains(odd, alias[tb.rows[i].Assessor]) }), level)
	return got.alternative("without assessors out of step", fmt.Sprint(len(odd), " left out: reversed or indifferent"), level), err == nil
}

// logarithm analyses the logarithm of amounts above 0 and gives the change at
// the geometric mean, in the unit of the measure.
func (e estimand) logarithm(tb *table, level float64) (Alternative, bool) {
	if tb.measure.Kind != trial.Amount {
		return Alternative{}, false
	}
	var sum float64
	for _, v := range tb.y {
		if !(v > 0) {
			return Alternative{}, false
		}
		sum += math.Log(v)
	}
	at := math.Exp(sum / float64(len(tb.y)))
	got, _, err := e.onUnits(tb.mapped(math.Log), level)
	got.value, got.se = got.value*at, got.se*at
	return got.alternative("logarithm", "differences of logarithms, times the geometric mean", level), err == nil
}
