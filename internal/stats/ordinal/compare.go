package ordinal

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// LRTest is a likelihood-ratio test between two nested fits.
type LRTest struct {
	Statistic float64 // 2 (log L large − log L small), not below 0
	DF        int
	// P is the tail of χ² with DF. Where the only difference is the random
	// intercept, the hypothesis lies on the boundary of the parameter space and
	// P is that of the even mixture of χ²_0 and χ²_1 (Self & Liang 1987, J. Am.
	// Stat. Assoc. 82, 605–610), half the plain one; Mixture is then true.
	P       float64
	Mixture bool
}

// LikelihoodRatio tests small against large, two fits to the same rows with the
// same link. Fits with infinite estimates take part with the limit of their
// likelihood.
//
// Errors: stats.ErrDomain for a nil or unfinished fit, different links, data or
// quadrature, and for models that cannot be nested (no more parameters, or a
// smaller likelihood). That the columns are nested is not checked otherwise.
func LikelihoodRatio(small, large *Result) (LRTest, error) {
	if small == nil || large == nil || small.problem == nil || large.problem == nil {
		return LRTest{}, fmt.Errorf("%w: a fit is missing", stats.ErrDomain)
	}
	if small.Outcome == Unfinished || large.Outcome == Unfinished {
		return LRTest{}, fmt.Errorf("%w: a fit without a maximum has no likelihood to compare", stats.ErrNotConverged)
	}
	a, b := small.problem, large.problem
	if small.Options.Link != large.Options.Link {
		return LRTest{}, fmt.Errorf("%w: links %v and %v are not nested", stats.ErrDomain, small.Options.Link, large.Options.Link)
	}
	if !slices.Equal(a.w, b.w) || !slices.Equal(small.Categories, large.Categories) || !slices.Equal(a.place, b.place) {
		return LRTest{}, fmt.Errorf("%w: the fits are of different rows", stats.ErrDomain)
	}
	if small.Random != nil && large.Random == nil {
		return LRTest{}, fmt.Errorf("%w: the smaller model has a random intercept and the larger has none", stats.ErrDomain)
	}
	if small.Random != nil && small.Random.Points != large.Random.Points {
		return LRTest{}, fmt.Errorf("%w: different numbers of quadrature points", stats.ErrDomain)
	}
	df := large.Parameters - small.Parameters
	if df <= 0 {
		return LRTest{}, fmt.Errorf("%w: the larger model has no more parameters (%d and %d)", stats.ErrDomain, large.Parameters, small.Parameters)
	}
	lr := 2 * (large.LogLik - small.LogLik)
	if lr < -1e-6*(1+math.Abs(small.LogLik)) {
		return LRTest{}, fmt.Errorf("%w: the larger model fits worse, so the models are not nested", stats.ErrDomain)
	}
	t := LRTest{Statistic: math.Max(lr, 0), DF: df}
	var err error
	if t.P, err = dist.ChiSquareUpper(t.Statistic, float64(df)); err != nil {
		return LRTest{}, err
	}
	if small.Random == nil && large.Random != nil && df == 1 {
		t.Mixture = true
		if t.Statistic > 0 { // at 0 the point mass of χ²_0 counts in full
			t.P /= 2
		}
	}
	return t, nil
}

// Term is a set of columns of Data.X that belong together.
type Term struct {
	Name    string
	Columns []int
}

// TermTest is the test of one term: the model with its columns moved against
// the model as given.
type TermTest struct {
	Term string
	LRTest
	LogLik, AIC float64 // of the larger model
	// Outcome of the larger model. Where it is Unfinished there is no test: the
	// statistic is 0 and P is 1.
	Outcome Outcome
}

// NominalTests asks of each term whether its effect is the same at all
// thresholds (proportional odds, for the logit): the columns move from X to
// Nominal, one term at a time. Needs flexible thresholds.
//
// Errors: those of Fit and LikelihoodRatio; stats.ErrDomain for columns that X
// does not have.
func NominalTests(d Data, opt Options, terms []Term) ([]TermTest, error) {
	return termTests(d, opt, terms, func(d Data, t Term) Data {
		out := d
		var stay []int
		_, p := dims(d.X)
		for j := range p {
			if !slices.Contains(t.Columns, j) {
				stay = append(stay, j)
			}
		}
		moved, movedNames := selectColumns(d.X, d.Names, t.Columns, "x")
		out.X, out.Names = selectColumns(d.X, d.Names, stay, "x")
		out.Nominal, out.NominalNames = beside(d.Nominal, d.NominalNames, moved, movedNames, "nominal")
		return out
	})
}

// ScaleTests asks of each term whether it changes the spread: its columns are
// added to Spread, one term at a time. Errors as NominalTests.
func ScaleTests(d Data, opt Options, terms []Term) ([]TermTest, error) {
	return termTests(d, opt, terms, func(d Data, t Term) Data {
		out := d
		added, names := selectColumns(d.X, d.Names, t.Columns, "x")
		out.Spread, out.SpreadNames = beside(d.Spread, d.SpreadNames, added, names, "spread")
		return out
	})
}

func termTests(d Data, opt Options, terms []Term, change func(Data, Term) Data) ([]TermTest, error) {
	small, err := Fit(d, opt)
	if err != nil {
		return nil, err
	}
	_, p := dims(d.X)
	var out []TermTest
	for _, t := range terms {
		if len(t.Columns) == 0 {
			return nil, fmt.Errorf("%w: term %s has no columns", stats.ErrDomain, t.Name)
		}
		for _, c := range t.Columns {
			if c < 0 || c >= p {
				return nil, fmt.Errorf("%w: term %s names column %d of %d", stats.ErrDomain, t.Name, c, p)
			}
		}
		large, err := Fit(change(d, t), opt)
		if err != nil {
			return nil, err
		}
		if large.Outcome == Unfinished {
			out = append(out, TermTest{Term: t.Name, LRTest: LRTest{DF: large.Parameters - small.Parameters, P: 1},
				LogLik: large.LogLik, AIC: large.AIC, Outcome: Unfinished})
			continue
		}
		test, err := LikelihoodRatio(small, large)
		if err != nil {
			return nil, fmt.Errorf("term %s: %w", t.Name, err)
		}
		out = append(out, TermTest{Term: t.Name, LRTest: test, LogLik: large.LogLik, AIC: large.AIC, Outcome: large.Outcome})
	}
	return out, nil
}

func dims(m *mat.Dense) (r, c int) {
	if m == nil {
		return 0, 0
	}
	return m.Dims()
}

func selectColumns(m *mat.Dense, names []string, cols []int, prefix string) (*mat.Dense, []string) {
	if len(cols) == 0 {
		return nil, nil
	}
	n, _ := m.Dims()
	out := mat.NewDense(n, len(cols), nil)
	picked := make([]string, len(cols))
	for k, j := range cols {
		out.SetCol(k, mat.Col(nil, j, m))
		if names != nil {
			picked[k] = names[j]
		} else {
			picked[k] = fmt.Sprintf("%s%d", prefix, j+1)
		}
	}
	return out, picked
}

func beside(a *mat.Dense, aNames []string, b *mat.Dense, bNames []string, prefix string) (*mat.Dense, []string) {
	_, p := dims(a)
	if p == 0 {
		return b, bNames
	}
	all := make([]int, p)
	for j := range all {
		all[j] = j
	}
	a, aNames = selectColumns(a, aNames, all, prefix)
	var out mat.Dense
	out.Augment(a, b)
	return &out, append(aNames, bNames...)
}
