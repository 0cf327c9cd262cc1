package texture

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/ordinal"
	"tamis/internal/trial"
)

// isShort reports whether a scale is short, or crowded at an end.
func (tb *table) isShort() bool {
	if tb.measure.Kind != trial.ScaleScore && tb.measure.Kind != trial.JustRight {
		return false
	}
	values := map[float64]bool{}
	atEnd := 0
	for _, v := range tb.y {
		values[v] = true
		if v == tb.measure.Scale.Low || v == tb.measure.Scale.High {
			atEnd++
		}
	}
	return len(values) <= shortScale || float64(atEnd) >= endShare*float64(len(tb.y))
}

// ordinal fits the cumulative logit model to the single scores, assessors as
// random intercepts. The estimate is the difference of the mean scores that it
// predicts for an average assessor; the test is on its own scale.
func (e estimand) ordinal(tb *table) (Alternative, bool) {
	f := tb.factor(e.factor)
	if !tb.isShort() {
		return Alternative{}, false
	}
	index := map[float64]int{}
	var values []float64
	for _, v := range tb.y {
		if _, ok := index[v]; !ok {
			index[v] = 0
			values = append(values, v)
		}
	}
	if len(values) > 4*shortScale {
		return Alternative{}, false // too many thresholds to estimate
	}
	sortFloats(values)
	for i, v := range values {
		index[v] = i
	}
	d := ordinal.Data{Y: make([]int, len(tb.y))}
	for i, v := range tb.y {
		d.Y[i] = index[v]
	}
	names, cols := indicators("level", f.Code, len(f.Levels))
	for _, g := range tb.factors {
		if g.Name != e.factor {
			n, c := indicators(g.Name, g.Code, len(g.Levels))
			names, cols = append(names, n...), append(cols, c...)
		}
	}
	d.X, d.Names = mat.NewDense(len(tb.y), len(cols), nil), names
	point := make([]float64, len(cols)) // other factors at their average
	for j, c := range cols {
		d.X.SetCol(j, c)
		if j >= len(f.Levels)-1 {
			point[j] = mean(c)
		}
	}
	var r *ordinal.Result
	var err error
	if g := tb.groups[byAssessor]; usable(g) {
		r, err = ordinal.FitMixed(d, g.Code, 1, ordinal.Options{})
	} else {
		r, err = ordinal.Fit(d, ordinal.Options{})
	}
	const note = "single scores: about these cooks; the p is that of the log odds"
	name := "ordinal model"
	if err != nil || r.Outcome != ordinal.Estimated {
		return Alternative{}, false
	}
	scores := make([]float64, len(r.Categories))
	for i, c := range r.Categories {
		scores[i] = values[c]
	}
	var diff float64
	for l, w := range e.weights {
		at := append([]float64(nil), point...)
		if l > 0 {
			at[l-1] = 1
		}
		p, err := r.Predict(ordinal.Point{X: at}, scores)
		if err != nil {
			return Alternative{}, false
		}
		diff += w * p.Mean
	}
	z, err := logOdds(r, e, names)
	if err != nil {
		return Alternative{}, false
	}
	p, ok := found{value: z, se: 1, df: math.Inf(1)}.p()
	if !ok {
		return Alternative{}, false
	}
	out := testOnly(name, note, p)
	out.Estimate = num(diff)
	return out, true
}

// logOdds is the estimand on the log odds over its standard error.
func logOdds(r *ordinal.Result, e estimand, names []string) (float64, error) {
	at := map[string]int{}
	for i, c := range r.Coefficients {
		at[c.Name] = i
	}
	var est, v float64
	for l := 1; l < len(e.weights); l++ {
		i, ok := at[names[l-1]]
		if !ok {
			return 0, errors.New("a level is not in the model")
		}
		est += e.weights[l] * r.Coefficients[i].Estimate
		for m := 1; m < len(e.weights); m++ {
			if j, ok := at[names[m-1]]; ok {
				v += e.weights[l] * e.weights[m] * r.Covariance[i][j]
			}
		}
	}
	if !(v > 0) {
		return 0, errors.New("no standard error")
	}
	return est / math.Sqrt(v), nil
}
