package texture

import (
	"sort"

	"tamis/internal/trial"
)

// unitTable has one row a unit: its mean, adjusted where the units were not
// looked at alike, the levels of the factors that the unit has one of, and the
// blocks it lies in.
type unitTable struct {
	unit     trial.Groups
	y        []float64
	obs      []int // numbers behind each mean
	factors  []trial.Varied
	blocks   []trial.Groups
	within   []trial.Varied // factors that vary inside a unit and were averaged over
	adjusted bool           // the means are adjusted estimates, not plain means
	unlinked bool           // adjustment was needed and impossible: plain means after all
}

// unitTableOf averages the rows of each group of unit. blocks lists, by name,
// the groupings to remove; those in which a unit does not lie as a whole are
// passed over.
func (tb *table) unitTableOf(unit trial.Groups, blocks []trial.Groups) unitTable {
	n := len(unit.Levels)
	ut := unitTable{unit: unit, obs: make([]int, n)}
	for _, c := range unit.Code {
		ut.obs[c]++
	}
	for _, f := range tb.factors {
		if codes, ok := perUnit(f.Code, unit.Code, n); ok {
			g := f
			g.Code = codes
			ut.factors = append(ut.factors, g)
		} else {
			ut.within = append(ut.within, f)
		}
	}
	for _, b := range blocks {
		if !usable(b) {
			continue
		}
		if codes, ok := perUnit(b.Code, unit.Code, n); ok && len(b.Levels) < n {
			b.Code = codes
			ut.blocks = append(ut.blocks, b)
		}
	}
	ut.blocks = dropRepeats(ut.blocks)
	ut.y, ut.adjusted, ut.unlinked = tb.unitMeans(unit, ut.within)
	return ut
}

// perUnit is the one code of each unit, and false when a unit has two.
func perUnit(code, unit []int, n int) ([]int, bool) {
	out := make([]int, n)
	for i := range out {
		out[i] = -2
	}
	for i, c := range code {
		u := unit[i]
		if out[u] == -2 {
			out[u] = c
		} else if out[u] != c {
			return nil, false
		}
	}
	return out, true
}

// dropRepeats leaves out a block that another one of the list refines: once the
// finer is removed, the coarser is as well.
func dropRepeats(blocks []trial.Groups) []trial.Groups {
	var out []trial.Groups
	for i, b := range blocks {
		covered := false
		for j, c := range blocks {
			if i == j {
				continue
			}
			if trial.Nested(c, b) && (!trial.Nested(b, c) || j < i) {
				covered = true
			}
		}
		if !covered {
			out = append(out, b)
		}
	}
	return out
}

// unitMeans is the mean of each unit over what varies inside it. When every
// unit was looked at alike (the same mix of inner levels and of assessors), that
// is the plain mean. Otherwise units, inner levels and assessors enter a least
// squares fit as additive effects, and the mean of a unit is its estimate
// averaged over all inner levels and assessors equally.
func (tb *table) unitMeans(unit trial.Groups, within []trial.Varied) (y []float64, adjusted, unlinked bool) {
	n := len(unit.Levels)
	var inner [][]int
	for _, f := range within {
		inner = append(inner, f.Code)
	}
	if a := tb.groups[byAssessor]; usable(a) {
		inner = append(inner, a.Code)
	}
	even := true
	for _, codes := range inner {
		even = even && alike(codes, unit.Code, n)
	}
	if cells, _ := product(inner...); even && len(inner) > 1 {
		even = alike(cells, unit.Code, n)
	}
	plain := make([]float64, n)
	count := make([]int, n)
	for i, v := range tb.y {
		plain[unit.Code[i]] += v
		count[unit.Code[i]]++
	}
	for u := range plain {
		plain[u] /= float64(count[u])
	}
	if even {
		return plain, false, false
	}
	est, err := adjustedMeans(tb.y, unit.Code, n, inner)
	if err != nil {
		return plain, false, true
	}
	return est, true, false
}

// alike reports whether each unit has every code in the same proportion.
func alike(code, unit []int, n int) bool {
	k := 0
	for _, c := range code {
		if c < 0 {
			return false
		}
		k = max(k, c+1)
	}
	count := make([]int, n*k)
	total := make([]int, n)
	for i, c := range code {
		count[unit[i]*k+c]++
		total[unit[i]]++
	}
	for u := 1; u < n; u++ {
		for c := 0; c < k; c++ {
			if count[u*k+c]*total[0] != count[c]*total[u] {
				return false
			}
		}
	}
	return true
}

// strata lists the units of the factors, coarsest first, each once.
func (tb *table) strata() []trial.Grouping {
	rank := map[trial.Grouping]int{trial.BySession: 0, trial.ByBlock: 1, trial.BySource: 2, trial.ByTub: 3,
		trial.ByCook: 4, trial.ByPiece: 5, trial.ByScore: 6}
	var out []trial.Grouping
	seen := map[trial.Grouping]bool{}
	for _, f := range tb.factors {
		if by := tb.units[f.Name].By; !seen[by] {
			seen[by] = true
			out = append(out, by)
		}
	}
	sort.Slice(out, func(i, j int) bool { return rank[out[i]] < rank[out[j]] })
	return out
}

// blocksOf lists what is removed before a factor is tested on its unit: session
// and declared block for a cook, the cook (and the source within it) for a
// piece, the cook for a source or tub that lies in one. Sources that only lie
// below a cook are not blocks of cooks: they stay random.
func (tb *table) blocksOf(unit trial.Grouping) []trial.Groups {
	session, block := tb.groups[string(trial.BySession)], tb.groups[string(trial.ByBlock)]
	switch unit {
	case trial.BySession:
		return []trial.Groups{block}
	case trial.ByBlock:
		return []trial.Groups{session}
	case trial.ByCook:
		return []trial.Groups{session, block}
	}
	cook, source := tb.groups[string(trial.ByCook)], tb.groups[string(trial.BySource)]
	if unit == trial.BySource || unit == trial.ByTub {
		// Each cook with sources of its own: they are compared within it.
		return []trial.Groups{cook, session, block}
	}
	if usable(source) {
		code, cells := product(cook.Code, source.Code)
		pair := trial.Groups{By: "cook and source", Code: code, Known: true, Levels: make([]string, cells)}
		return []trial.Groups{pair, cook, session, block}
	}
	return []trial.Groups{cook, session, block}
}
