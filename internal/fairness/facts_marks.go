package fairness

import (
	"math"
	"slices"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// mark is a number of one piece, or of a cook whose pieces are not listed, with
// the level of the compared factor that it belongs to.
type mark struct {
	cook, piece, level int // piece -1: the cook as a whole
	v                  float64
}

// marks reads one number from every piece at a compared level, or from a cook
// without pieces (of is then given nil for the piece). lacks lists the cooks for
// which it is not known of every piece.
func (c *Case) marks(of func(k *trial.Cook, p *trial.Piece, cook, piece int) (float64, bool)) (marks []mark, lacks []string) {
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		known := true
		one := func(p *trial.Piece, pi int) {
			level := c.level(ci, pi)
			if level < 0 {
				return
			}
			if v, ok := of(k, p, ci, pi); ok {
				if marks == nil {
					marks = make([]mark, 0, len(c.facts.pieces)+len(c.Trial.Cooks)-ci)
				}
				marks = append(marks, mark{ci, pi, level, v})
			} else {
				known = false
			}
		}
		for pi := range k.Pieces {
			one(&k.Pieces[pi], pi)
		}
		if len(k.Pieces) == 0 {
			one(nil, -1)
		}
		if !known {
			lacks = append(lacks, k.ID)
		}
	}
	return marks, lacks
}

// cookMeans averages marks by cook, and lists the means of the cooks at each level
// of the compared factor: the cook is what was served and waited as one.
func (c *Case) cookMeans(marks []mark) [][]float64 {
	means := make([][]float64, c.Levels())
	sum, n := make([]float64, c.Levels()), make([]int, c.Levels())
	for i := 0; i < len(marks); {
		// Marks come in the order of the cooks; a cook may hold several levels.
		j := i
		for level := range n {
			sum[level], n[level] = 0, 0
		}
		for ; j < len(marks) && marks[j].cook == marks[i].cook; j++ {
			sum[marks[j].level] += marks[j].v
			n[marks[j].level]++
		}
		for level, k := range n {
			if k > 0 {
				means[level] = append(means[level], sum[level]/float64(k))
			}
		}
		i = j
	}
	return means
}

// levelMeans averages marks at each level of the compared factor: pieces within
// their cook first, then the cooks. cooks counts them; a level with none has the
// mean 0.
func (c *Case) levelMeans(marks []mark) (mean []float64, cooks []int) {
	mean, cooks = make([]float64, c.Levels()), make([]int, c.Levels())
	for level, g := range c.cookMeans(marks) {
		cooks[level] = len(g)
		for _, v := range g {
			mean[level] += v
		}
		mean[level] /= math.Max(1, float64(len(g)))
	}
	return mean, cooks
}

// gap is the range of level means, with the levels at its ends.
type gap struct {
	size      float64
	low, high int
	least     int // fewest cooks behind a level
}

// gapOf finds the range of the means of the compared levels.
func (c *Case) gapOf(marks []mark) gap {
	mean, n := c.levelMeans(marks)
	g := gap{low: -1, high: -1, least: slices.Min(n)}
	for level := range mean {
		if n[level] == 0 {
			continue
		}
		if g.low < 0 || mean[level] < mean[g.low] {
			g.low = level
		}
		if g.high < 0 || mean[level] > mean[g.high] {
			g.high = level
		}
	}
	if g.low >= 0 {
		g.size = mean[g.high] - mean[g.low]
	}
	return g
}

// where names the arms at the ends of the gap, their cooks and the place of the
// first.
func (c *Case) whereGap(g gap) Where {
	return c.whereLevels(g.low, g.high)
}

// whereLevels names levels, their cooks and the place of the first cook.
func (c *Case) whereLevels(levels ...int) Where {
	slices.Sort(levels)
	levels = slices.Compact(levels)
	w := Where{Cooks: c.cooksWith(levels...)}
	for _, l := range levels {
		w.Arms = append(w.Arms, c.label(l))
	}
	w.At = c.cookPlace(w.Cooks)
	return w
}

// cooksWith lists the cooks that have a piece, or are, at one of the levels.
func (c *Case) cooksWith(levels ...int) []string {
	var out []string
	for ci := range c.Trial.Cooks {
		has := slices.Contains(levels, c.Factor.Cook[ci])
		for _, l := range c.Factor.Piece[ci] {
			has = has || slices.Contains(levels, l)
		}
		if has {
			out = append(out, c.Trial.Cooks[ci].ID)
		}
	}
	return out
}

// cookPlace is the place in the file of the first of some cooks.
func (c *Case) cookPlace(ids []string) diag.Pos {
	if len(ids) > 0 {
		if ci, ok := c.facts.cookAt[ids[0]]; ok {
			return c.Trial.Cooks[ci].At
		}
	}
	return diag.Pos{}
}

// smallestStep is the smallest step between neighbouring levels of a set point
// or another number, and false for a category.
func (c *Case) smallestStep() (float64, bool) {
	if len(c.Factor.Values) < 2 {
		return 0, false
	}
	v := slices.Clone(c.Factor.Values)
	slices.Sort(v)
	step := math.Inf(1)
	for i := 1; i < len(v); i++ {
		step = math.Min(step, v[i]-v[i-1])
	}
	return step, true
}
