package allot

import (
	"math/rand/v2"
	"slices"
)

// The weights of evenness: the set point before the other factors, and these before
// everything else.
const (
	weighArm      = 4.0
	weighCompared = 3.0
	weighClass    = 1.0
)

// weighed are the classes of the runs with their weights, the set point first.
func (p *Runs) weighed() (classes [][]int, weights []float64) {
	classes, weights = [][]int{p.Arm}, []float64{weighArm}
	for _, c := range p.Compared {
		classes, weights = append(classes, c), append(weights, weighCompared)
	}
	for _, c := range p.Classes {
		classes, weights = append(classes, c), append(weights, weighClass)
	}
	return classes, weights
}

// spread is how runs lie in groups, which are sessions or baths.
type spread struct {
	at     []int // the group of each run; changed in place
	levels []level
	may    func(a, b int) bool // may two runs swap their groups
	moved  func(a, b int)      // told after they did
	last   [2]int
	saved  []int
}

// level counts one class by group, less what an even spread would have.
type level struct {
	weight float64
	class  []int
	excess [][]float64
}

func newSpread(p *Runs, at []int, groups int) *spread {
	c := &spread{at: at}
	classes, weights := p.weighed()
	classes, weights = append(classes, make([]int, len(at))), append(weights, weighClass) // groups of equal size
	for i, class := range classes {
		l := level{weight: weights[i], class: class}
		n := slices.Max(class) + 1
		l.excess = make([][]float64, n)
		for k := range l.excess {
			l.excess[k] = make([]float64, groups)
		}
		for run, k := range class {
			for g := range groups {
				l.excess[k][g] -= 1 / float64(groups)
			}
			l.excess[k][at[run]]++
		}
		c.levels = append(c.levels, l)
	}
	return c
}

func (c *spread) total() float64 {
	var sum float64
	for _, l := range c.levels {
		for _, row := range l.excess {
			for _, v := range row {
				sum += l.weight * v * v
			}
		}
	}
	return sum
}

// move takes a run to a group and returns the growth of the cost.
func (c *spread) move(run, to int) float64 {
	from := c.at[run]
	if from == to {
		return 0
	}
	c.at[run] = to
	var d float64
	for i := range c.levels {
		l := &c.levels[i]
		row := l.excess[l.class[run]]
		d += l.weight * (1 - 2*row[from] + 1 + 2*row[to]) // (x-1)² - x² and (y+1)² - y²
		row[from]--
		row[to]++
	}
	return d
}

// tryBath moves one run or two and moves them back unless that is better.
func (c *spread) tryBath(i, to, j, back int) bool {
	fromI := c.at[i]
	fromJ := 0
	d := c.move(i, to)
	if j >= 0 {
		fromJ = c.at[j]
		d += c.move(j, back)
	}
	if d < -1e-9 {
		return true
	}
	c.move(i, fromI)
	if j >= 0 {
		c.move(j, fromJ)
	}
	return false
}

// Change swaps the groups of two runs.
func (c *spread) Change(rng *rand.Rand) (float64, bool) {
	a, b := rng.IntN(len(c.at)), rng.IntN(len(c.at))
	if c.at[a] == c.at[b] || !c.may(a, b) {
		return 0, false
	}
	c.last = [2]int{a, b}
	return c.swap(), true
}

func (c *spread) swap() float64 {
	a, b := c.last[0], c.last[1]
	x, y := c.at[a], c.at[b]
	d := c.move(a, y) + c.move(b, x)
	c.moved(a, b)
	return d
}

// Undo swaps back.
func (c *spread) Undo() { c.swap() }

// Save keeps the groups.
func (c *spread) Save() { c.saved = append(c.saved[:0], c.at...) }

// Load restores them; the counts are not needed any more.
func (c *spread) Load() { copy(c.at, c.saved) }
