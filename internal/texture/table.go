package texture

import (
	"tamis/internal/stats/mixed"
	"tamis/internal/trial"
)

// table is one measure laid out for analysis: a row a number, with the codes of
// everything that the number belongs to. Rows that the file leaves out are not
// in it.
type table struct {
	t       *trial.Trial
	measure trial.Measure
	obs     trial.Observed
	rows    []trial.Observation
	y       []float64

	factors []trial.Varied          // varied on purpose, set point first
	units   map[string]trial.Unit   // by factor
	groups  map[string]trial.Groups // by name: session, block, source, cook, piece, assessor, repeat
	methods []trial.Method          // cells of the factors other than the set point
	method  []int                   // of each row
	arms    *trial.Varied           // the set point, nil when it is not varied
	levels  []VarianceLevel         // found by the mixed model
	layout  *mixed.Layout           // the mixed model, nil without one
}

// Names of the groupings that are not candidates for a unit.
const (
	byAssessor = "assessor"
	byRepeat   = "repeat"
)

func newTable(t *trial.Trial, m trial.Measure) *table { return tableOf(t, m, t.Observe(m)) }

// tableOf lays out observations that were made elsewhere.
func tableOf(t *trial.Trial, m trial.Measure, obs trial.Observed) *table {
	tb := &table{t: t, measure: m, obs: obs, units: map[string]trial.Unit{}, groups: map[string]trial.Groups{}}
	for _, r := range t.Sorted(tb.obs.Rows) { // the same numbers however the file is ordered
		if !r.LeftOut {
			tb.rows = append(tb.rows, r)
			tb.y = append(tb.y, r.Value)
		}
	}
	tb.derive()
	return tb
}

// derive finds factors, units, groups and methods from the rows.
func (tb *table) derive() {
	tb.findFactors()
	tb.findGroups()
}

// findFactors finds what was varied, and the unit of each factor.
func (tb *table) findFactors() {
	tb.factors = tb.t.VariedFactors(tb.rows)
	units := tb.t.UnitsOf(tb.factors, tb.rows)
	for i := range tb.factors {
		f := &tb.factors[i]
		tb.units[f.Name] = units[i]
		if f.Name == trial.SetPointFactor {
			tb.arms = &tb.factors[i]
		}
	}
}

// findGroups finds groups and methods.
func (tb *table) findGroups() {
	for _, g := range []trial.Grouping{trial.BySession, trial.ByBlock, trial.BySource, trial.ByCook, trial.ByPiece} {
		tb.groups[string(g)] = tb.t.GroupRows(g, tb.rows)
	}
	tb.groups[byAssessor] = groupBy(tb.rows, func(o trial.Observation) string { return o.Assessor })
	tb.groups[byRepeat] = groupBy(tb.rows, func(o trial.Observation) string {
		if o.Repeat != "" {
			return o.Repeat
		}
		return o.Sitting
	})
	tb.methods, tb.method = trial.Methods(tb.factors, len(tb.rows))
}

// subset is the table of some rows, with factors and units found anew.
func (tb *table) subset(keep func(i int) bool) *table {
	out := &table{t: tb.t, measure: tb.measure, obs: tb.obs, units: map[string]trial.Unit{}, groups: map[string]trial.Groups{}}
	for i, r := range tb.rows {
		if keep(i) {
			out.rows = append(out.rows, r)
			out.y = append(out.y, tb.y[i])
		}
	}
	out.derive()
	return out
}

// groupBy sorts rows by a key; an empty key is "not known".
func groupBy(rows []trial.Observation, key func(trial.Observation) string) trial.Groups {
	g := trial.Groups{Code: make([]int, len(rows)), Known: len(rows) > 0}
	index := map[string]int{}
	for i, r := range rows {
		k := key(r)
		if k == "" {
			g.Code[i], g.Known = -1, false
			continue
		}
		c, ok := index[k]
		if !ok {
			c = len(g.Levels)
			index[k] = c
			g.Levels = append(g.Levels, k)
		}
		g.Code[i] = c
	}
	return g
}

// usable reports whether a grouping is known throughout and has two or more
// groups.
func usable(g trial.Groups) bool { return g.Known && len(g.Levels) > 1 }

// factor finds a varied factor by name.
func (tb *table) factor(name string) *trial.Varied {
	for i := range tb.factors {
		if tb.factors[i].Name == name {
			return &tb.factors[i]
		}
	}
	return nil
}

// complete reports whether every row knows the level of every factor.
func (tb *table) complete() bool {
	for _, f := range tb.factors {
		for _, c := range f.Code {
			if c < 0 {
				return false
			}
		}
	}
	return true
}

// product sorts rows by several codes at once. Codes below 0 give -1.
func product(codes ...[]int) (code []int, cells int) {
	if len(codes) == 0 {
		return nil, 0
	}
	type key struct{ a, b int }
	code = append([]int(nil), codes[0]...)
	for _, next := range codes[1:] {
		index := map[key]int{}
		for i := range code {
			if code[i] < 0 || next[i] < 0 {
				code[i] = -1
				continue
			}
			k := key{code[i], next[i]}
			c, ok := index[k]
			if !ok {
				c = len(index)
				index[k] = c
			}
			code[i] = c
		}
	}
	seen := map[int]int{}
	for i, c := range code {
		if c < 0 {
			continue
		}
		n, ok := seen[c]
		if !ok {
			n = len(seen)
			seen[c] = n
		}
		code[i] = n
	}
	return code, len(seen)
}
