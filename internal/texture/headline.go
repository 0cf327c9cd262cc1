package texture

import (
	"errors"
	"fmt"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/linear"
	"tamis/internal/trial"
)

// stratum is the least squares fit on the means of one unit, blocks first.
type stratum struct {
	by      trial.Grouping
	ut      unitTable
	matrix  *frame.Matrix
	fit     *linear.Fit
	terms   []frame.Term // factor terms in the model, without the blocks
	dropped []string     // interactions left out so that there is an error to test against
	exact   bool         // degrees of freedom are left, and no variation
	err     error
	// plainer is the same stratum without the factors that a block has one level
	// of: their means cannot be told from the blocks, and everybody else's can.
	plainer *stratum
	// covariate, when there is one, enters beside the terms.
	covariate *covariate
}

// fitStratum fits the unit means of one stratum: blocks, then all factors that
// a unit has one level of, with the interactions whose cells all occur. When
// nothing is left to estimate the error with, the interactions of the highest
// order go into the error, order by order, and the caller is told.
func (tb *table) fitStratum(by trial.Grouping) *stratum {
	s := &stratum{by: by}
	unit := tb.t.UnitRows(by, tb.rows)
	s.ut = tb.unitTableOf(unit, tb.blocksOf(by))
	s.reduce(s.ut.factors)
	s.plainer = s
	var free []trial.Varied
	for _, f := range s.ut.factors {
		if !s.absorbed(f) {
			free = append(free, f)
		}
	}
	if len(free) < len(s.ut.factors) {
		s.plainer = &stratum{by: by, ut: s.ut}
		s.plainer.ut.factors = free
		s.plainer.reduce(free)
	}
	return s
}

// absorbed reports whether every unit of each block has the same level of the
// factor of f's name. f may be coded by row; the units' own codes count.
func (s *stratum) absorbed(f trial.Varied) bool {
	for _, g := range s.ut.factors {
		if g.Name != f.Name {
			continue
		}
		for _, b := range s.ut.blocks {
			if _, ok := perUnit(g.Code, b.Code, len(b.Levels)); ok {
				return true
			}
		}
	}
	return false
}

// reduce fits the terms of the factors, with as many orders of interaction as
// leave an error.
func (s *stratum) reduce(factors []trial.Varied) {
	for _, f := range factors {
		for _, c := range f.Code {
			if c < 0 {
				s.err = fmt.Errorf("%w: the level of %s is not stated everywhere", stats.ErrDomain, f.Name)
				return
			}
		}
	}
	all := factorTerms(factors)
	order := 1
	for _, t := range all {
		order = max(order, len(t))
	}
	for ; order >= 1; order-- {
		s.terms, s.dropped = nil, nil
		for _, t := range all {
			if len(t) <= order {
				s.terms = append(s.terms, t)
			} else {
				s.dropped = append(s.dropped, termName(t))
			}
		}
		if s.err = s.solve(); s.err != nil || s.fit.DF > 0 {
			return
		}
	}
}

// solve builds the matrix of blocks and terms and fits it.
func (s *stratum) solve() error {
	var cols []frame.Column
	model := frame.Model{Intercept: true, Coding: map[string]frame.Coding{}}
	for i, b := range s.ut.blocks {
		name := blockColumn(i)
		c, err := frame.FactorCodes(name, b.Code, numbered(len(b.Levels)))
		if err != nil {
			return err
		}
		cols = append(cols, c)
		model.Terms = append(model.Terms, frame.T(name))
		model.Coding[name] = frame.Coding{Contrast: frame.Sum}
	}
	for _, f := range s.ut.factors {
		c, err := frame.FactorCodes(f.Name, f.Code, f.Levels)
		if err != nil {
			return err
		}
		cols = append(cols, c)
		model.Coding[f.Name] = frame.Coding{Contrast: frame.Sum}
	}
	model.Terms = append(model.Terms, s.terms...)
	if s.covariate != nil {
		c, err := frame.Numeric("\x00covariate", s.covariate.x)
		if err != nil {
			return err
		}
		cols = append(cols, c)
		model.Terms = append(model.Terms, frame.T("\x00covariate"))
	}
	fr, err := frame.New(cols...)
	if err != nil {
		return err
	}
	if s.matrix, err = frame.Build(fr, model); err != nil {
		return err
	}
	if s.fit, err = linear.NewFrame(s.matrix, s.ut.y, linear.Options{}); err != nil {
		return err
	}
	s.exact = s.fit.DF > 0 && onlyRounding(s.fit.RSS, s.ut.y)
	return nil
}

// blockColumn names a block in the model so that it cannot meet a factor.
func blockColumn(i int) string { return fmt.Sprintf("\x00block%d", i) }

// headline gives the headline tests of every stratum: each term is tested on
// the finest unit of its factors, against what is left there once the blocks
// are removed.
func (tb *table) headline(kind frame.SumsOfSquares) (tests []Test, strata map[trial.Grouping]*stratum) {
	strata = map[trial.Grouping]*stratum{}
	for _, by := range tb.strata() {
		s := tb.fitStratum(by)
		strata[by] = s
		tests = append(tests, tb.stratumTests(s, kind)...)
	}
	return tests, strata
}

func (tb *table) stratumTests(s *stratum, kind frame.SumsOfSquares) []Test {
	var out []Test
	var rows map[string]linear.AnovaRow
	var residual linear.AnovaRow
	why, need := "", ""
	switch {
	case s.err != nil:
		why = plain(s.err)
		if errors.Is(s.err, stats.ErrTooFew) {
			need = tb.need(s)
		}
	case s.fit.DF == 0:
		why, need = fmt.Sprintf("no %s is left to tell chance from the difference", s.by), tb.need(s)
	case s.exact:
		why = s.alike()
	default:
		a, err := s.fit.Anova(kind)
		if err != nil {
			why = plain(err)
			break
		}
		rows = map[string]linear.AnovaRow{}
		for i, r := range a.Rows {
			rows[termName(s.matrix.Terms[i])] = r
		}
		residual = a.Residual
	}
	for _, term := range factorTerms(s.ut.factors) {
		name := termName(term)
		if !tb.testedHere(term, s.by) {
			continue
		}
		t := Test{Term: name, Role: RoleHeadline, Unit: string(s.by), Stat: "F", Blocks: s.blockNames()}
		t.Question = fmt.Sprintf("does the mean differ by %s, judged by how %s differ under the same treatment?",
			strings.ReplaceAll(name, "_", " "), plural(string(s.by)))
		t.Method = fmt.Sprintf("analysis of variance on %s means, type %s", s.by, typeWord(kind))
		if s.ut.adjusted {
			t.Method = fmt.Sprintf("analysis of variance on adjusted %s means, type %s", s.by, typeWord(kind))
		}
		row, ok := rows[name]
		switch {
		case why != "":
			t.Cannot, t.Need = why, need
		case contains(s.dropped, name):
			t.Cannot, t.Need = "it serves as the error of the main effects", tb.need(s)
		case !ok || row.DF == 0:
			t.Cannot, t.Need = "it moves together with something that was removed or tested before it", "vary it apart from the rest"
		case !row.Tested:
			t.Cannot = s.alike()
		}
		if t.Cannot != "" {
			t.absent(t.Cannot)
		} else {
			t.found(num(row.F), num(float64(row.DF)), num(float64(residual.DF)), num(row.P))
			t.SumSq, t.ErrorSumSq = ptr(num(row.SS)), ptr(num(residual.SS))
		}
		out = append(out, t)
	}
	return out
}

// testedHere reports whether the finest unit of a term's factors is by.
func (tb *table) testedHere(term frame.Term, by trial.Grouping) bool {
	return tb.termUnit(termName(term)) == string(by)
}

// termUnit is the finest unit among the factors of a term.
func (tb *table) termUnit(term string) string {
	rank := map[trial.Grouping]int{}
	for i, g := range tb.strata() {
		rank[g] = i
	}
	best, found := trial.Grouping(""), -1
	for _, f := range strings.Split(term, ":") {
		if u, ok := tb.units[f]; ok && rank[u.By] > found {
			best, found = u.By, rank[u.By]
		}
	}
	return string(best)
}

// need says what to repeat when a stratum has no error.
func (tb *table) need(s *stratum) string {
	switch s.by {
	case trial.ByCook:
		var names []string
		for _, f := range s.ut.factors {
			names = append(names, strings.ReplaceAll(f.Name, "_", " "))
		}
		each := "set point"
		switch {
		case len(names) == 1:
			each = names[0]
		case len(names) > 1:
			each = "combination of " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
		}
		return "cook each " + each + " at least twice, better three times"
	case trial.ByScore:
		return "more than one score of each"
	}
	return "at least two " + plural(string(s.by)) + " of each kind"
}

func (s *stratum) blockNames() []string {
	var out []string
	for _, b := range s.ut.blocks {
		out = append(out, string(b.By))
	}
	return out
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// adjustedMeans fits y on units and inner codes as additive effects and returns
// the estimate of each unit averaged over all inner codes equally. The units
// are swept out first, so the fit is as small as the inner codes however many
// units there are. stats.ErrSingular when the inner effects cannot be told from
// the units.
func adjustedMeans(y []float64, unit []int, n int, inner [][]int) ([]float64, error) {
	var width []int
	cols := 0
	for _, codes := range inner {
		k := 0
		for _, c := range codes {
			if c < 0 {
				return nil, fmt.Errorf("%w: a level is not known", stats.ErrDomain)
			}
			k = max(k, c+1)
		}
		width = append(width, k)
		cols += k - 1
	}
	if cols == 0 {
		return nil, fmt.Errorf("%w: nothing to adjust for", stats.ErrEmpty)
	}
	// Sum-to-zero columns: the average over all levels equally is then the
	// value at 0.
	x := mat.NewDense(len(y), cols, nil)
	at := 0
	for j, codes := range inner {
		for i, c := range codes {
			if c == width[j]-1 {
				for k := 0; k < width[j]-1; k++ {
					x.Set(i, at+k, -1)
				}
			} else {
				x.Set(i, at+c, 1)
			}
		}
		at += width[j] - 1
	}
	count := make([]float64, n)
	meanY := make([]float64, n)
	meanX := mat.NewDense(n, cols, nil)
	for i, u := range unit {
		count[u]++
		meanY[u] += y[i]
		for k := 0; k < cols; k++ {
			meanX.Set(u, k, meanX.At(u, k)+x.At(i, k))
		}
	}
	for u := 0; u < n; u++ {
		meanY[u] /= count[u]
		for k := 0; k < cols; k++ {
			meanX.Set(u, k, meanX.At(u, k)/count[u])
		}
	}
	dy := make([]float64, len(y))
	names := make([]string, cols)
	for k := range names {
		names[k] = fmt.Sprint("inner ", k)
	}
	for i, u := range unit {
		dy[i] = y[i] - meanY[u]
		for k := 0; k < cols; k++ {
			x.Set(i, k, x.At(i, k)-meanX.At(u, k))
		}
	}
	fit, err := linear.New(x, names, dy, linear.Options{})
	if err != nil {
		return nil, err
	}
	if fit.Rank < cols {
		return nil, fmt.Errorf("%w: inner levels and units", stats.ErrSingular)
	}
	out := make([]float64, n)
	for u := range out {
		out[u] = meanY[u]
		for k := 0; k < cols; k++ {
			out[u] -= meanX.At(u, k) * fit.Coefficients[k].Estimate
		}
	}
	return out, nil
}
