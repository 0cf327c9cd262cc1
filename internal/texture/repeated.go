package texture

import (
	"tamis/internal/stats/frame"
	"tamis/internal/stats/multiple"
	"tamis/internal/trial"
)

// Repeated is the headline analysis of one measure, laid out once and run on
// many sets of numbers: units, blocks and factors depend on the layout, not on
// the values. It serves simulation. Different goroutines may use one.
type Repeated struct {
	tb    *table
	order []int // place of each row of the table among the values
}

// NewRepeated lays out a measure. The rows of o say to which cook, piece and
// assessor each number will belong; their values are not looked at, and rows
// left out stay out.
func NewRepeated(t *trial.Trial, o trial.Observed) *Repeated {
	indexed := o
	indexed.Rows = append([]trial.Observation(nil), o.Rows...)
	for i := range indexed.Rows {
		indexed.Rows[i].Value = float64(i) // read back below: the table has an order of its own
	}
	r := &Repeated{tb: tableOf(t, o.Measure, indexed)}
	r.order = make([]int, len(r.tb.y))
	for i, v := range r.tb.y {
		r.order[i] = int(v)
	}
	return r
}

// Headline is what Analyse reports with the role "headline" for these values,
// one for each row of o (type II sums of squares), and the differences of all
// pairs of levels of the named factor, each judged by itself (Differences of
// Analyse are adjusted for their number; PRaw there is P here). A factor without
// an error to judge it by has no differences. Values that do not match the rows
// give no tests.
func (r *Repeated) Headline(values []float64, factor string) ([]Test, []Difference) {
	tb := *r.tb
	tb.y = make([]float64, len(r.order))
	for i, from := range r.order {
		if from >= len(values) {
			return nil, nil
		}
		tb.y[i] = values[from]
	}
	tests, strata := tb.headline(frame.TypeII)
	f := tb.factor(factor)
	if f == nil {
		return tests, nil
	}
	const level = DefaultLevel // of intervals, which nobody reads here
	fam := tb.levelMeans(*f, strata[tb.units[f.Name].By], level)
	if !fam.ok || len(fam.mean) < 2 {
		return tests, nil
	}
	pairs, err := multiple.Pairs(fam.mean, fam.cov, []float64{fam.df})
	if err != nil {
		return tests, nil
	}
	judged, err := multiple.Compare(multiple.None, pairs, multiple.Options{Level: level})
	if err != nil {
		return tests, nil
	}
	return tests, fam.differences(judged, f.Name, "none")
}
