package texture

import (
	"slices"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/trial"
)

// The defaults of Options.
const (
	DefaultSeed  = 1
	DefaultDraws = 2000
	DefaultLevel = 0.95
)

// Analyse computes everything that the trial allows. It never fails: what has
// no answer is an absence with its reason.
func Analyse(t *trial.Trial, opt Options) *Result {
	opt = opt.withDefaults()
	r := &Result{Seed: opt.Seed, Draws: opt.Draws, Level: opt.Level, Units: []Unit{}, Variance: []VarianceLevel{},
		Measures: Measures{}, Windows: []Window{}, Warnings: []stats.Warning{}}
	a := &analysis{t: t, opt: opt, out: r}
	for _, m := range t.Measures {
		if len(opt.Measures) > 0 && !contains(opt.Measures, m.Name) {
			continue
		}
		a.analyse(newTable(t, m))
		a.secondDenominator(m)
	}
	a.unitsOfTrial()
	a.differenceTests()
	a.windows()
	return r
}

func (o Options) withDefaults() Options {
	if o.Seed == 0 {
		o.Seed = DefaultSeed
	}
	if o.Draws <= 0 {
		o.Draws = DefaultDraws
	}
	if !(o.Level > 0 && o.Level < 1) {
		o.Level = DefaultLevel
	}
	return o
}

// analysis is one run over a trial.
type analysis struct {
	t      *trial.Trial
	opt    Options
	out    *Result
	tables []*table  // one a measure, in the order of the result
	fitted []*fitted // measures that have a curve
}

// analyse analyses one measure and appends it to the result.
func (a *analysis) analyse(tb *table) {
	m := tb.measure
	out := &Measure{Name: m.Name, Kind: string(m.Kind), Unit: m.Unit.V, Blank: tb.obs.Blank, LeftOut: tb.obs.LeftOut,
		Observations: len(tb.rows), Tests: []Test{}, Arms: []Arm{}, Cells: []Arm{}, Levels: []Arm{}, Points: []Point{},
		Differences: []Difference{}, Curves: []Curve{}}
	if m.Kind == trial.ScaleScore || m.Kind == trial.JustRight || m.Kind == trial.Rank {
		out.Scale = []float64{m.Scale.Low, m.Scale.High}
	}
	a.out.Measures = append(a.out.Measures, out)
	a.tables = append(a.tables, tb)
	if len(tb.rows) == 0 {
		out.Cannot = append(out.Cannot, Cannot{What: "measure", Why: "nothing was recorded for it", Need: "at least one number for each cook"})
		return
	}
	out.Cooks = len(tb.groups[string(trial.ByCook)].Levels)
	out.Pieces = len(tb.groups[string(trial.ByPiece)].Levels)
	out.Assessors = len(tb.groups[byAssessor].Levels)
	out.Points = tb.points()
	if len(tb.factors) == 0 {
		out.Cannot = append(out.Cannot, Cannot{What: "comparison", Why: "nothing was varied among the cooks that have this measure",
			Need: "two set points or more"})
		out.Arms = append(out.Arms, tb.description(a.opt.Level))
		if !a.opt.Quick {
			a.people(tb, out)
		}
		return
	}
	tb.compare(out, a.opt, a.aimsOf(m.Name))
	a.curves(tb, out)
	if !a.opt.Quick {
		tb.treatments(out, a.opt)
		a.people(tb, out)
		a.sensitivity(tb, out)
	}
}

// people is everything about who scored: order of serving, panel, penalties.
func (a *analysis) people(tb *table, out *Measure) {
	tb.orderTests(out)
	tb.serving(out)
	a.panel(tb, out)
	a.penalty(tb, out)
}

// compare fills tests, means, differences and the line.
func (tb *table) compare(out *Measure, opt Options, aims []trial.Aim) {
	kind := sumsOfSquares(opt.Type)
	tests, strata := tb.headline(kind)
	out.Tests = append(out.Tests, tests...)
	layout, model, levels := tb.mixedModel(kind)
	out.Model = model
	tb.levels, tb.layout = levels, layout
	out.Tests = append(out.Tests, tb.mixedTests(layout, kind, levels)...)
	out.Warnings = append(out.Warnings, tb.tasters(strata)...)
	for _, f := range tb.factors {
		out.Tests = append(out.Tests, tb.assessorTests(f)...)
		panelMeans, panelDiffs := tb.panelComparison(f, opt.Level)
		out.PanelMeans = append(out.PanelMeans, panelMeans...)
		out.PanelDifferences = append(out.PanelDifferences, panelDiffs...)
		s := strata[tb.units[f.Name].By]
		fam := tb.levelMeans(f, s, opt.Level)
		if c := tooMany(f); c != nil {
			out.Cannot = append(out.Cannot, *c)
		}
		if s != nil && s.exact {
			out.Differences = append(out.Differences, fam.exactDifferences(f.Name, s.alike())...)
		} else {
			out.Differences = append(out.Differences, statedDifferences(compareLevels(&fam, f.Name, tb.controlLevel(f), opt.Level))...)
		}
		if f.Name == trial.SetPointFactor {
			out.Arms = fam.arms
			line, cannot := tb.line(s, aims, opt.Level)
			out.Line = line
			if cannot != nil {
				out.Cannot = append(out.Cannot, *cannot)
			}
		} else {
			out.Levels = append(out.Levels, fam.arms...)
		}
	}
	out.Cells = tb.cells(opt.Level)
	if !opt.Quick {
		out.Diagnostics = tb.diagnostics(strata)
	}
	for _, t := range out.Tests {
		if t.Role == RoleHeadline && t.Cannot != "" {
			out.Cannot = append(out.Cannot, Cannot{What: "test:" + t.Term, Why: t.Cannot, Need: t.Need})
		}
	}
}

// cells gives the means of set point × method, each method judged by its own
// cooks.
func (tb *table) cells(level float64) []Arm {
	out := []Arm{}
	if tb.arms == nil || len(tb.methods) < 2 {
		return out
	}
	for m := range tb.methods {
		sub := tb.subset(func(i int) bool { return tb.method[i] == m })
		if sub.arms == nil {
			continue
		}
		s := sub.fitStratum(sub.units[trial.SetPointFactor].By)
		for _, arm := range sub.levelMeans(*sub.arms, s, level).arms {
			arm.Method = tb.methods[m].Label
			arm.Term = "set_point × method"
			arm.Arm = strings.TrimSuffix(arm.Arm+", "+arm.Method, ", ")
			out = append(out, arm)
		}
	}
	return out
}

func (a *analysis) aimsOf(measure string) []trial.Aim {
	var out []trial.Aim
	for _, aim := range a.t.Aims {
		if aim.Measure == measure {
			out = append(out, aim)
		}
	}
	return out
}

// unitsOfTrial prints the unit of each factor once, as found over the measure
// in which the factor varies most finely, and the levels of variation of the
// first measure that has them all.
func (a *analysis) unitsOfTrial() {
	seen := map[string]int{}
	for _, tb := range a.tables {
		for _, f := range tb.factors {
			u := tb.units[f.Name]
			line := Unit{Factor: f.Name, Unit: string(u.By), N: u.N, Levels: f.Levels, PerLevel: make([]int, len(f.Levels)),
				MovesWith: tb.movesWith(f)}
			for l := range f.Levels {
				got := map[int]bool{}
				for i, c := range f.Code {
					if c == l {
						got[u.Groups.Code[i]] = true
					}
				}
				line.PerLevel[l] = len(got)
			}
			for _, g := range u.Crossed {
				line.Crossed = append(line.Crossed, string(g))
			}
			if i, ok := seen[f.Name]; !ok {
				seen[f.Name] = len(a.out.Units)
				a.out.Units = append(a.out.Units, line)
			} else if line.N > a.out.Units[i].N {
				a.out.Units[i] = line
			}
		}
		for _, v := range tb.levels {
			known := false
			for i, have := range a.out.Variance {
				known = known || have.Level == v.Level
				if have.Level == v.Level && have.MixedWith == theRest && v.Separable {
					a.out.Variance[i] = v // another measure tells it apart
				}
			}
			if !known {
				a.out.Variance = append(a.out.Variance, v)
			}
		}
	}
}

// UnitsOf finds the unit of each factor without analysing anything: from the
// tallies of the measures, or from the layout of cooks and pieces while nothing was
// measured. What was done to a piece is the same for every score of it, so each
// piece is looked at once, and measures of the same pieces are.
func UnitsOf(t *trial.Trial, tallies []trial.Tally) []Unit {
	a := &analysis{t: t, out: &Result{Units: []Unit{}}}
	add := func(rows []trial.Observation) {
		for _, tb := range a.tables {
			if slices.EqualFunc(tb.rows, rows, samePiece) {
				return
			}
		}
		tb := &table{t: t, rows: rows, units: map[string]trial.Unit{}}
		tb.findFactors()
		a.tables = append(a.tables, tb)
	}
	all := t.Places()
	first := make([]int, len(t.Cooks))
	for i := range all {
		if all[i].Piece < 0 {
			first[all[i].Cook] = i
		}
	}
	places := t.Sorted(all)
	for i := range tallies {
		if i == 0 || !slices.EqualFunc(tallies[i].Pieces, tallies[i-1].Pieces, samePiece) {
			add(among(places, tallies[i].Pieces, first))
		}
	}
	add(among(places, t.Layout(), first))
	a.unitsOfTrial()
	return a.out.Units
}

// among is the places that occur in rows, in their own order. first is where those of
// each cook begin, the whole before its pieces.
func among(places, rows []trial.Observation, first []int) []trial.Observation {
	if len(rows) == 0 {
		return nil
	}
	has := make([]bool, len(places))
	for i := range rows {
		has[first[rows[i].Cook]+1+rows[i].Piece] = true
	}
	out := make([]trial.Observation, 0, len(rows))
	for i := range places {
		if p := &places[i]; has[first[p.Cook]+1+p.Piece] {
			out = append(out, *p)
		}
	}
	return out
}

func samePiece(a, b trial.Observation) bool { return a.Cook == b.Cook && a.Piece == b.Piece }

// movesWith names the other factors that sort the observations exactly as f.
func (tb *table) movesWith(f trial.Varied) []string {
	var out []string
	for _, g := range tb.factors {
		if g.Name != f.Name && len(g.Levels) == len(f.Levels) {
			if _, ok := perUnit(g.Code, positive(f.Code), len(f.Levels)); ok {
				out = append(out, g.Name)
			}
		}
	}
	return out
}

// positive gives unknown codes a place, so that they can index.
func positive(code []int) []int {
	out := make([]int, len(code))
	for i, c := range code {
		out[i] = max(c, 0)
	}
	return out
}
