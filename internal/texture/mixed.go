package texture

import (
	"errors"
	"strconv"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/mixed"
	"tamis/internal/trial"
)

// randomLevels are the levels of variation that a model may hold, coarsest
// first, with the words in which a reader knows them.
var randomLevels = []string{
	string(trial.BySession), string(trial.ByBlock), string(trial.BySource), string(trial.ByCook), string(trial.ByPiece),
	byAssessor, assessorArm,
}

const assessorArm = "assessor:arm"

// cellCodes sorts the rows by everything varied on purpose.
func (tb *table) cellCodes() ([]int, int) {
	var codes [][]int
	for _, f := range tb.factors {
		codes = append(codes, f.Code)
	}
	if len(codes) == 0 {
		return make([]int, len(tb.rows)), 1
	}
	return product(codes...)
}

// candidates gives the groupings that may vary at random, and for each level of
// variation whether it can be told from the others.
func (tb *table) candidates() (groups []mixed.Grouping, levels []VarianceLevel) {
	cell, cells := tb.cellCodes()
	fixed := trial.Groups{Code: cell, Levels: make([]string, cells), Known: true}
	var taken []trial.Groups
	for _, name := range randomLevels {
		g := tb.groups[name]
		if name == assessorArm {
			a := tb.groups[byAssessor]
			if !usable(a) || cells < 2 {
				continue
			}
			code, n := product(a.Code, cell)
			g = trial.Groups{Code: code, Levels: numbered(n), Known: true}
		}
		if len(g.Levels) == 0 {
			continue
		}
		v := VarianceLevel{Level: name, N: len(g.Levels)}
		switch {
		case !g.Known:
			v.NotRecorded, v.MixedWith, v.Cost = true, "the residual", "its part stays in the residual"
		case len(g.Levels) == 1:
			v.MixedWith, v.Cost = "everything: there is one "+name, "nothing can be said beyond it"
		case trial.Nested(fixed, g) && trial.Nested(g, fixed):
			v.MixedWith, v.Cost = tb.cellWords(), "intervals cover less than the "+name+"s would add"
		case len(g.Levels) == len(tb.rows):
			v.MixedWith, v.Cost = "the residual", "it is the residual"
		case trial.Nested(fixed, g):
			v.MixedWith, v.Cost = tb.cellWords(), "the difference between "+name+"s is part of the comparison"
		default:
			for _, t := range taken {
				if trial.Nested(t, g) && trial.Nested(g, t) {
					v.MixedWith, v.Cost = string(t.By), "counted once, under "+string(t.By)
				}
			}
		}
		if v.MixedWith == "" {
			v.Separable = true
			g.By = trial.Grouping(name)
			taken = append(taken, g)
			groups = append(groups, mixed.Grouping{Name: name, Codes: g.Code, Levels: g.Levels})
		}
		levels = append(levels, v)
	}
	return groups, levels
}

// cellWords names what cooks are compared by.
func (tb *table) cellWords() string {
	var names []string
	for _, f := range tb.factors {
		names = append(names, strings.ReplaceAll(f.Name, "_", " "))
	}
	return strings.Join(names, " × ")
}

func numbered(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = strconv.Itoa(i + 1)
	}
	return out
}

// mixedModel fits the mixed model that stands beside the headline tests. A
// grouping that turns out not to be separable is left out, with its reason in
// the variance levels, and the model is fitted again.
func (tb *table) mixedModel(kind frame.SumsOfSquares) (*mixed.Layout, *Model, []VarianceLevel) {
	groups, levels := tb.candidates()
	m := &Model{Rows: len(tb.rows), Random: []RandomTerm{}}
	mx, fixed, err := tb.fixedPart()
	if err != nil {
		m.Absent = plain(err)
		return nil, m, levels
	}
	m.Fixed = fixed
	for {
		layout, err := mixed.FitMatrix(tb.y, mx, groups, nil, mixed.Options{})
		if ge, ok := mixed.AsGroupingError(err); ok {
			if ge.Reason == mixed.NoResidualLeft {
				// A model without this level would take its variation for chance.
				nothingLeft(levels)
				m.Absent = "the " + strings.ReplaceAll(ge.Grouping, ":", " × ") + " takes up all that is left, so there is nothing to compare it with"
				return nil, m, levels
			}
			if i := groupNamed(groups, ge.Grouping); i >= 0 {
				groups = append(groups[:i:i], groups[i+1:]...)
				markMixed(levels, ge)
				continue
			}
		}
		if err != nil {
			if errors.Is(err, stats.ErrNoVariation) {
				nothingLeft(levels)
			}
			m.Absent = plain(err)
			return nil, m, levels
		}
		for _, c := range layout.Components {
			m.Random = append(m.Random, RandomTerm{Term: c.Grouping, Levels: c.Levels, Variance: c.Variance})
		}
		m.Residual, m.REML = num(layout.Sigma2), num(layout.Criterion)
		m.Aliased, m.Status = layout.Aliased, layout.Status
		for _, w := range layout.Warnings {
			w := w
			m.Warn = &w
		}
		return layout, m, levels
	}
}

// fixedPart is the model matrix of everything varied on purpose: all
// interactions whose cells all occur, otherwise the main effects and the
// interactions of two that do.
func (tb *table) fixedPart() (*frame.Matrix, string, error) {
	if len(tb.factors) == 0 {
		return nil, "", errors.New("nothing was varied")
	}
	if !tb.complete() {
		return nil, "", errors.New("for some observations the level of a factor is not stated")
	}
	var cols []frame.Column
	coding := map[string]frame.Coding{}
	for _, f := range tb.factors {
		c, err := frame.FactorCodes(f.Name, f.Code, f.Levels)
		if err != nil {
			return nil, "", err
		}
		cols = append(cols, c)
		coding[f.Name] = frame.Coding{Contrast: frame.Sum}
	}
	fr, err := frame.New(cols...)
	if err != nil {
		return nil, "", err
	}
	terms := factorTerms(tb.factors)
	mx, err := frame.Build(fr, frame.Model{Intercept: true, Terms: terms, Coding: coding})
	if err != nil {
		return nil, "", err
	}
	names := make([]string, len(terms))
	for i, t := range terms {
		names[i] = termName(t)
	}
	return mx, strings.Join(names, " + "), nil
}

// factorTerms lists main effects, then the interactions whose cells all occur.
func factorTerms(factors []trial.Varied) []frame.Term {
	var out []frame.Term
	n := len(factors)
	for size := 1; size <= n; size++ {
		for set := 1; set < 1<<n; set++ {
			var vars []string
			var codes [][]int
			cells := 1
			for i := 0; i < n; i++ {
				if set&(1<<i) != 0 {
					vars = append(vars, factors[i].Name)
					codes = append(codes, factors[i].Code)
					cells *= len(factors[i].Levels)
				}
			}
			if len(vars) != size {
				continue
			}
			if size > 1 {
				if _, seen := product(codes...); seen != cells {
					continue
				}
			}
			out = append(out, variables(vars))
		}
	}
	return out
}

func groupNamed(groups []mixed.Grouping, name string) int {
	for i, g := range groups {
		if g.Name == name {
			return i
		}
	}
	return -1
}

// nothingLeft marks every level that a model was to hold: no residual is left.
func nothingLeft(levels []VarianceLevel) {
	for i := range levels {
		if levels[i].Separable {
			levels[i].Separable, levels[i].MixedWith, levels[i].Cost = false, theRest, "nothing is left to compare it with"
		}
	}
}

const theRest = "the rest"

func markMixed(levels []VarianceLevel, ge *mixed.GroupingError) {
	for i := range levels {
		if levels[i].Level != ge.Grouping {
			continue
		}
		levels[i].Separable = false
		levels[i].MixedWith = ge.Reason
		if ge.Other != "" {
			levels[i].MixedWith = ge.Other
		}
		levels[i].Cost = "it is not in the model"
	}
}

// mixedTests are the F tests of the mixed model, with Satterthwaite's degrees
// of freedom.
//
// A term whose unit cannot be told from what is compared gets no test here: with
// one cook of each set point the model would judge the set point by tasters, and
// that question has its own line. Where the variance between units is estimated
// as 0 the test is judged by what lies below them, and says so.
func (tb *table) mixedTests(l *mixed.Layout, kind frame.SumsOfSquares, levels []VarianceLevel) []Test {
	if l == nil {
		return nil
	}
	table, err := l.Table(kind, mixed.Satterthwaite)
	if err != nil {
		return nil
	}
	var out []Test
	for i, ft := range table {
		t := Test{
			Term: termName(l.Matrix.Terms[i]), Role: RoleMixed, Stat: "F",
			Question: "the same, by the mixed model",
			Method:   "linear mixed model, REML, Satterthwaite",
		}
		t.Unit = tb.termUnit(t.Term)
		if ft.NumDF == 0 {
			t.Cannot = "not estimable in this layout"
			t.absent(t.Cannot)
		} else if tb.tiedToCells(t.Unit, levels) {
			t.Cannot = "the " + t.Unit + " cannot be told from what is compared, so this would be a test on tasters or pieces"
			t.absent(t.Cannot)
		} else {
			for _, c := range l.Components {
				if c.Grouping == t.Unit && c.Variance == 0 {
					t.Note = "the variance between " + plural(t.Unit) + " is estimated as 0, so this is judged by what lies below the " + t.Unit
				}
			}
			t.found(num(ft.F), num(float64(ft.NumDF)), num(ft.DenDF), num(ft.P))
		}
		out = append(out, t)
	}
	return out
}

// tiedToCells reports whether a level of variation cannot be told from the
// treatments.
func (tb *table) tiedToCells(unit string, levels []VarianceLevel) bool {
	for _, v := range levels {
		if v.Level == unit {
			return !v.Separable && v.MixedWith == tb.cellWords()
		}
	}
	return false
}

// plain words an error of the numerics for a reader.
func plain(err error) string {
	switch {
	case errors.Is(err, stats.ErrNoVariation):
		return "no variation is left to judge it by"
	case errors.Is(err, stats.ErrTooFew):
		return "there are no more observations than things to estimate"
	case errors.Is(err, stats.ErrNotConverged):
		return "the fit did not converge"
	case errors.Is(err, stats.ErrSingular):
		return "the effects cannot be told apart"
	case errors.Is(err, stats.ErrTooLarge):
		return "the table is above the size limit of the method"
	}
	return err.Error()
}
