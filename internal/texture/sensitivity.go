package texture

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tamis/internal/stats/dist"
	"tamis/internal/stats/sensitivity"
	"tamis/internal/trial"
)

// estimand is what every analysis estimates: weights on the means of the levels
// of one factor, which add up to 0.
type estimand struct {
	factor  string
	levels  []string
	weights []float64
	words   string
	ends    []float64 // the set points in words, in the order of the scale
}

// estimandOf names one number to follow through all analyses. For a set point
// or a time: the change from the lowest to the highest along a straight line
// through the means, each level counting once. For a category: the difference
// from the declared control that is largest, else the largest difference.
func (tb *table) estimandOf() (estimand, bool) {
	if len(tb.factors) == 0 {
		return estimand{}, false
	}
	f := tb.factors[0]
	k := len(f.Levels)
	e := estimand{factor: f.Name, levels: f.Levels, weights: make([]float64, k)}
	name := strings.ReplaceAll(f.Name, "_", " ")
	if len(f.Values) == k {
		if w, ok := trend(f.Values); ok {
			e.weights = w
			e.words = fmt.Sprintf("change from %s to %s along a straight line through the means", f.Levels[0], f.Levels[k-1])
			if f.Name == trial.SetPointFactor {
				e.ends = []float64{f.Values[0], f.Values[k-1]}
			}
			if k == 2 {
				e.words = fmt.Sprintf("%s minus %s", f.Levels[1], f.Levels[0])
			}
			return e, true
		}
	}
	m, n := make([]float64, k), make([]float64, k)
	for i, c := range f.Code {
		if c >= 0 {
			m[c] += tb.y[i]
			n[c]++
		}
	}
	low, high := -1, -1
	for c := range m {
		if n[c] == 0 {
			continue
		}
		m[c] /= n[c]
		if low < 0 || m[c] < m[low] {
			low = c
		}
		if high < 0 || m[c] > m[high] {
			high = c
		}
	}
	if low < 0 || low == high {
		low, high = 0, k-1
	}
	if ref := tb.controlLevel(f); ref >= 0 {
		far := high
		if math.Abs(m[low]-m[ref]) > math.Abs(m[high]-m[ref]) || high == ref {
			far = low
		}
		if far == ref {
			far = (ref + 1) % k
		}
		e.weights[far], e.weights[ref] = 1, -1
		e.words = fmt.Sprintf("%s: %s minus %s, the control", name, f.Levels[far], f.Levels[ref])
		return e, true
	}
	e.weights[high], e.weights[low] = 1, -1
	e.words = fmt.Sprintf("%s: %s minus %s, the largest difference, picked afterwards", name, f.Levels[high], f.Levels[low])
	return e, true
}

// trend gives the weights of the least squares slope over the levels, times
// their range; ok is false when they do not differ.
func trend(x []float64) ([]float64, bool) {
	mx := mean(x)
	var sxx float64
	for _, v := range x {
		sxx += (v - mx) * (v - mx)
	}
	span := x[len(x)-1] - x[0]
	if !(sxx > 0) || !(span > 0) {
		return nil, false
	}
	w := make([]float64, len(x))
	for i, v := range x {
		w[i] = (v - mx) / sxx * span
	}
	return w, true
}

// found is the estimand from one analysis. se 0 means that there is none.
type found struct{ value, se, df float64 }

func (f found) p() (float64, bool) {
	if !(f.se > 0) || !(f.df > 0) {
		return 0, false
	}
	p, err := dist.TTwoSided(f.value/f.se, f.df)
	return p, err == nil
}

// of reads the estimand off a family of means.
func (e estimand) of(fam family) (found, bool) {
	if len(fam.mean) != len(e.weights) {
		return found{}, false
	}
	var out found
	var v float64
	for a, w := range e.weights {
		out.value += w * fam.mean[a]
		for b, u := range e.weights {
			v += w * u * fam.cov[a][b]
		}
	}
	if !fam.ok {
		return out, true
	}
	out.se, out.df = math.Sqrt(math.Max(v, 0)), fam.df
	return out, true
}

// onUnits is the headline analysis of the estimand on the rows of tb.
func (e estimand) onUnits(tb *table, level float64) (found, *stratum, error) {
	f := tb.factor(e.factor)
	if f == nil || !equal(f.Levels, e.levels) {
		return found{}, nil, errLevelGone
	}
	s := tb.fitStratum(tb.units[e.factor].By)
	got, ok := e.of(tb.levelMeans(*f, s, level))
	if !ok {
		return found{}, s, errNoUnits
	}
	return got, s, nil
}

var (
	errLevelGone = errors.New("without it one of the levels is gone")
	errNoUnits   = errors.New("the units were not repeated")
)

func equal(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// alternative words a found estimate.
func (f found) alternative(name, note string, level float64) Alternative {
	a := Alternative{Name: name, Note: note, Estimate: num(f.value), Low: absent("no error to judge it by"),
		High: absent("no error to judge it by"), P: absent("no error to judge it by")}
	if p, ok := f.p(); ok {
		a.P = num(p)
		if q, err := tQuantile(level, f.df); err == nil {
			a.Low, a.High = num(f.value-q*f.se), num(f.value+q*f.se)
		}
	}
	return a
}

// testOnly is an alternative on another scale: its sign and p can be compared,
// its size cannot.
func testOnly(name, note string, p float64) Alternative {
	const why = "on another scale"
	return Alternative{Name: name, Note: note, Estimate: absent(why), Low: absent(why), High: absent(why), P: num(p)}
}

// sensitivity follows one number through every other defensible analysis, asks
// how strong an unmeasured difference would have to be, and leaves out one
// cook, one source and one assessor in turn.
func (a *analysis) sensitivity(tb *table, out *Measure) {
	e, ok := tb.estimandOf()
	if !ok {
		return
	}
	cannot := func(why, need string) {
		out.Cannot = append(out.Cannot, Cannot{What: "sensitivity", Why: why, Need: need})
	}
	head, s, err := e.onUnits(tb, a.opt.Level)
	if err != nil {
		cannot(plain(err), "cook each level at least twice")
		return
	}
	if s.exact {
		cannot(s.alike(), "")
		return
	}
	if _, ok := head.p(); !ok {
		cannot("the headline difference has no error to be judged by", "cook each level at least twice")
		return
	}
	r := &Sensitivity{Estimand: e.words, ends: e.ends, straight: len(e.levels) > 2, Agree: absent("no estimates to compare"), LeaveOut: []LeaveOut{}}
	first := head.alternative("headline: means of "+plural(string(s.by))+", blocks removed", "", a.opt.Level)
	first.Headline = true
	r.Analyses = append([]Alternative{first}, a.alternatives(tb, out, e, s)...)
	r.Agree = sameSign(r.Analyses)
	r.Robustness = robustness(head, a.opt.Level)
	a.leaveOut(tb, e, s, head, r)
	out.Sensitivity = r
}

// sameSign is the share of analyses with an estimate whose sign is that of the
// headline; the headline counts itself.
func sameSign(all []Alternative) Number {
	head := all[0].Estimate.Or(0)
	n, same := 0, 0
	for _, x := range all {
		if v, ok := x.Estimate.Get(); ok {
			n++
			if v*head > 0 || v == head {
				same++
			}
		}
	}
	return num(float64(same) / float64(n))
}

// robustness is how much an unmeasured difference would have to explain, of
// both the factor and the measure, to take the estimate or its significance
// away (Cinelli & Hazlett 2020).
func robustness(f found, level float64) *Robustness {
	e := sensitivity.Estimate{Value: f.value, SE: f.se, DF: f.df}
	all, err := sensitivity.RobustnessValue(e, 1, 1)
	if err != nil {
		return nil
	}
	out := &Robustness{Value: num(all.Value), DF: num(f.df), Partial: absent("not computed"), ValueP: absent("one degree of freedom is too few")}
	if p, err := sensitivity.RobustnessValue(e, 1, 1-level); err == nil {
		out.ValueP = num(p.Value)
	}
	if p, err := sensitivity.PartialR2(e); err == nil {
		out.Partial = num(p)
	}
	return out
}

// leftOutBack is the table with the scores that the file leaves out.
func (tb *table) leftOutBack() *table {
	out := &table{t: tb.t, measure: tb.measure, obs: tb.obs, units: map[string]trial.Unit{}, groups: map[string]trial.Groups{}}
	for _, r := range tb.obs.Rows {
		out.rows = append(out.rows, r)
		out.y = append(out.y, r.Value)
	}
	out.derive()
	return out
}

// mapped is the table with every value changed.
func (tb *table) mapped(f func(float64) float64) *table {
	out := *tb
	out.y = make([]float64, len(tb.y))
	for i, v := range tb.y {
		out.y[i] = f(v)
	}
	return &out
}
