package texture

import (
	"tamis/internal/stats/curve"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/mixed"
	"tamis/internal/trial"
)

// blocksAtRandom is how many groups a block needs before it enters the curve as
// random rather than fixed: a house rule.
const blocksAtRandom = 5

// cells is the first stage: one estimate for each unit × method, with the
// covariance that comes from below the units. The unit is that of the set point:
// a cook, or what is coarser where the set point never varies within it.
type cells struct {
	data  curve.Data
	exact bool // plain means of complete equal data
}

// stageOne estimates the cells of a measure. In complete equal data these are
// the plain means and no covariance is needed: the scatter between cooks
// carries it all. Otherwise a mixed model with a fixed mean for each cell and
// what lies below or crosses the units at random gives estimates and covariance.
func (tb *table) stageOne() (*cells, error) {
	unit := tb.units[trial.SetPointFactor]
	code, n := product(unit.Groups.Code, tb.method)
	out := &cells{}
	label := tb.unitLabels(unit.Groups)
	d := &out.data
	d.X, d.Treatment, d.Cook = make([]float64, n), make([]int, n), make([]int, n)
	first := make([]int, n)
	for i := range first {
		first[i] = -1
	}
	for i, c := range code {
		if first[c] >= 0 {
			continue
		}
		first[c] = i
		d.Cook[c] = label[unit.Groups.Code[i]]
		d.Treatment[c] = tb.method[i]
		d.X[c] = tb.arms.Values[tb.arms.Code[i]]
	}
	even := true
	if a := tb.groups[byAssessor]; usable(a) {
		even = alike(a.Code, code, n)
	}
	if even && sameCount(code, n) {
		out.exact = true
		d.Y = cellMeans(tb.y, code, n)
	} else if err := tb.modelCells(d, code, n); err != nil {
		// Where no model fits, plain means stand, and the scatter between cooks
		// has to carry the imbalance.
		d.Y, d.Cov = cellMeans(tb.y, code, n), nil
	}
	tb.addBlocks(d, first, unit.By)
	return out, nil
}

// unitLabels gives each unit a number that other measures of the same trial
// give it as well: the rank of its first cook.
func (tb *table) unitLabels(g trial.Groups) []int {
	out := make([]int, len(g.Levels))
	for i := range out {
		out[i] = -1
	}
	rank := tb.t.CookRank()
	for i, c := range g.Code {
		if k := rank[tb.rows[i].Cook]; out[c] < 0 || k < out[c] {
			out[c] = k
		}
	}
	return out
}

func sameCount(code []int, n int) bool {
	count := make([]int, n)
	for _, c := range code {
		count[c]++
	}
	for _, k := range count[1:] {
		if k != count[0] {
			return false
		}
	}
	return true
}

func cellMeans(y []float64, code []int, n int) []float64 {
	mean, count := make([]float64, n), make([]float64, n)
	for i, c := range code {
		mean[c] += y[i]
		count[c]++
	}
	for c := range mean {
		mean[c] /= count[c]
	}
	return mean
}

// modelCells fits fixed cells and random sources, pieces and assessors.
func (tb *table) modelCells(d *curve.Data, code []int, n int) error {
	c, err := frame.FactorCodes("cell", code, numbered(n))
	if err != nil {
		return err
	}
	fr, err := frame.New(c)
	if err != nil {
		return err
	}
	// Without an intercept each column is the mean of a cell.
	m, err := frame.Build(fr, frame.Model{Terms: []frame.Term{frame.T("cell")}})
	if err != nil {
		return err
	}
	var groups []mixed.Grouping
	for _, name := range []string{string(trial.BySource), string(trial.ByPiece), byAssessor} {
		g := tb.groups[name]
		if usable(g) && len(g.Levels) < len(tb.rows) {
			groups = append(groups, mixed.Grouping{Name: name, Codes: g.Code, Levels: g.Levels})
		}
	}
	for {
		fit, err := mixed.FitMatrix(tb.y, m, groups, nil, mixed.Options{})
		if ge, ok := mixed.AsGroupingError(err); ok {
			if i := groupNamed(groups, ge.Grouping); i >= 0 {
				groups = append(groups[:i:i], groups[i+1:]...)
				continue
			}
		}
		if err != nil {
			return err
		}
		d.Y = fit.Beta()
		cov := fit.Covariance()
		d.Cov = make([][]float64, n)
		for i := range d.Cov {
			d.Cov[i] = make([]float64, n)
			for j := range d.Cov[i] {
				d.Cov[i][j] = cov.At(i, j)
			}
		}
		return nil
	}
}

// addBlocks puts session and declared block into the second stage: fixed
// columns, or at random from five groups on.
func (tb *table) addBlocks(d *curve.Data, first []int, unit trial.Grouping) {
	var blocks []trial.Groups
	for _, g := range tb.blocksOf(unit) {
		if !usable(g) {
			continue
		}
		per := g
		per.Code = make([]int, len(first))
		for c, i := range first {
			per.Code[c] = g.Code[i]
		}
		blocks = append(blocks, per)
	}
	for _, g := range dropRepeats(blocks) {
		if len(g.Levels) >= len(first) {
			continue
		}
		if len(g.Levels) >= blocksAtRandom {
			d.Random = append(d.Random, g.Code)
			continue
		}
		for l := 1; l < len(g.Levels); l++ {
			col := make([]float64, len(first))
			for c, code := range g.Code {
				if code == l {
					col[c] = 1
				}
			}
			d.Blocks = append(d.Blocks, col)
		}
	}
}
