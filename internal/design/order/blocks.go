package order

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/design/search"
)

// Sitting is what one person tastes in a row: Size different samples out of Pool.
type Sitting struct {
	Pool []int
	Size int
	Who  int // the person, from 0
}

// Choose picks the samples of each sitting where there are more than one person
// can take: an incomplete block design, balanced as far as a seeded search gets.
//
// samples is how many there are in all; each of labels gives every sample a
// label from 0, such as its set point. In this order it wants: every sample
// tasted equally often; every person tasting every label equally often; every
// two samples, and every two labels, together in a sitting equally often, in
// proportion to how many samples have them; and of the last kind of label, every
// two tasted by as many people, and as equally many, as can be. Labels that nobody
// could compare, not even by a chain of people, are joined where that is possible.
func Choose(sittings []Sitting, samples int, labels [][]int, rng *rand.Rand) ([][]int, error) {
	if rng == nil || samples < 0 || samples > MostItems || len(sittings) > MostItems {
		return nil, fmt.Errorf("%w: %d samples in %d sittings", ErrArgument, samples, len(sittings))
	}
	people := 0
	for i, s := range sittings {
		seen := map[int]bool{}
		for _, x := range s.Pool {
			if x < 0 || x >= samples || seen[x] {
				return nil, fmt.Errorf("%w: sample %d in the pool of sitting %d", ErrArgument, x, i)
			}
			seen[x] = true
		}
		if s.Size < 0 || s.Size > len(s.Pool) || s.Who < 0 || s.Who >= MostItems {
			return nil, fmt.Errorf("%w: %d samples out of %d for person %d", ErrArgument, s.Size, len(s.Pool), s.Who)
		}
		people = max(people, s.Who+1)
	}
	own := make([]int, samples)
	for i := range own {
		own[i] = i
	}
	for _, l := range labels {
		if len(l) != samples {
			return nil, fmt.Errorf("%w: %d labels of %d samples", ErrArgument, len(l), samples)
		}
		for _, v := range l {
			if v < 0 || v >= MostItems {
				return nil, fmt.Errorf("%w: label %d", ErrArgument, v)
			}
		}
	}
	start := make([][]int, len(sittings))
	for i, s := range sittings {
		start[i] = slices.Clone(s.Pool)
		rng.Shuffle(len(start[i]), func(a, b int) { start[i][a], start[i][b] = start[i][b], start[i][a] })
	}
	var best [][]int
	var least float64
	for range tries {
		c, steps := newChoice(sittings, start, append([][]int{own}, labels...), people)
		var grew float64
		if len(c.open) > 0 {
			grew = search.Anneal(c, min(40_000+1_000*steps, 150_000), 4, 0.05, rng)
		}
		if best == nil || grew < least {
			best, least = c.in, grew
		}
		if len(c.open) == 0 {
			break
		}
	}
	join(sittings, best, labels)
	for _, in := range best {
		slices.Sort(in)
	}
	return best, nil
}

// newChoice sets up the counts for a start in which everybody takes what was used
// least so far, and of that what stands first in the pools given.
func newChoice(sittings []Sitting, pools, labels [][]int, people int) (c *choice, steps int) {
	c = &choice{sittings: sittings, uses: make([]float64, len(labels[0])), in: [][]int{}}
	for k, l := range labels {
		n := 0
		for _, v := range l {
			n = max(n, v+1)
		}
		v := expected(sittings, l, people, n)
		if k > 0 && k == len(labels)-1 {
			v.met = newMet(sittings, people, n)
		}
		c.levels = append(c.levels, v)
	}
	for i, s := range sittings {
		pool := slices.Clone(pools[i])
		slices.SortStableFunc(pool, func(a, b int) int { return cmp.Compare(c.uses[a], c.uses[b]) })
		c.in = append(c.in, nil)
		for _, x := range pool[:s.Size] {
			c.add(i, x, 1)
			c.in[i] = append(c.in[i], x)
		}
		c.out = append(c.out, slices.Clone(pool[s.Size:]))
		if s.Size < len(pool) {
			c.open = append(c.open, i)
			steps += s.Size
		}
	}
	return c, steps
}

// MostItems bounds samples, sittings, people and labels.
const MostItems = 100_000

// The weights of what Choose wants, in the order of its comment.
const (
	weighUses  = 16
	weighWho   = 6
	weighPairs = 1
	weighMet   = 2
)

// chosenLevel counts one kind of label, less what a blind choice would give: a
// label that many samples have is met more often by right.
type chosenLevel struct {
	label []int
	who   [][]float64 // by person and label
	pair  [][]float64 // by two labels of one sitting, symmetric
	met   *met        // nil where it does not count
}

// expected sets up a level with the counts of a blind choice taken off: of the n
// samples of a pool each is taken with the chance size/n, and each two together
// with the chance size(size-1)/n(n-1).
func expected(sittings []Sitting, label []int, people, labels int) chosenLevel {
	v := chosenLevel{label: label, who: make([][]float64, people), pair: make([][]float64, labels)}
	for i := range v.who {
		v.who[i] = make([]float64, labels)
	}
	for i := range v.pair {
		v.pair[i] = make([]float64, labels)
	}
	for _, s := range sittings {
		n, size := float64(len(s.Pool)), float64(s.Size)
		held := map[int]float64{}
		var kinds []int // in the order in which they come, for the same sums every time
		for _, x := range s.Pool {
			if held[label[x]] == 0 {
				kinds = append(kinds, label[x])
			}
			held[label[x]]++
		}
		for _, a := range kinds {
			v.who[s.Who][a] -= held[a] * size / n
			for _, b := range kinds {
				switch together := size * (size - 1) / (n * (n - 1)); {
				case n < 2:
				case a == b:
					v.pair[a][a] -= held[a] * (held[a] - 1) / 2 * together
				default:
					v.pair[a][b] -= held[a] * held[b] * together
				}
			}
		}
	}
	return v
}

// choice is the state of the search.
type choice struct {
	sittings []Sitting
	in, out  [][]int
	open     []int // sittings with something to choose
	uses     []float64
	levels   []chosenLevel

	last             [][3]int // the swaps of the last change
	savedIn, savedOu [][]int
}

// add puts sample x into sitting s (by 1) or takes it out (by -1), and returns
// what that adds to the sum of squares. Sums of squares are smallest where
// counts lie evenly around what is expected, since their totals are fixed.
func (c *choice) add(s, x int, by float64) float64 {
	grow := func(n *float64) float64 {
		*n += by
		return by * (2**n - by) // n² - (n-by)²
	}
	d := weighUses * grow(&c.uses[x])
	for l := range c.levels {
		v := &c.levels[l]
		a := v.label[x]
		d += weighWho * grow(&v.who[c.sittings[s].Who][a])
		if v.met != nil {
			d += weighMet * v.met.add(c.sittings[s].Who, a, by)
		}
		for _, y := range c.in[s] {
			if y != x {
				b := v.label[y]
				if d += weighPairs * grow(&v.pair[a][b]); a != b {
					v.pair[b][a] += by
				}
			}
		}
	}
	return d
}

// Change makes two sittings exchange a sample each, which keeps every count of
// uses, or, one time in five, takes into a sitting a sample that it leaves out.
func (c *choice) Change(rng *rand.Rand) (float64, bool) {
	s := c.open[rng.IntN(len(c.open))]
	if len(c.in[s]) == 0 {
		return 0, false
	}
	c.last = c.last[:0]
	i := rng.IntN(len(c.in[s]))
	if rng.IntN(5) == 0 {
		return c.swap(s, i, rng.IntN(len(c.out[s]))), true
	}
	other := c.open[rng.IntN(len(c.open))]
	if other == s || len(c.in[other]) == 0 {
		return 0, false
	}
	j := rng.IntN(len(c.in[other]))
	o, p := slices.Index(c.out[s], c.in[other][j]), slices.Index(c.out[other], c.in[s][i])
	if o < 0 || p < 0 { // one of them has what the other would give, or may not take it
		return 0, false
	}
	return c.swap(s, i, o) + c.swap(other, j, p), true
}

// swap exchanges a sample inside a sitting for one outside.
func (c *choice) swap(s, i, o int) float64 {
	x, y := c.in[s][i], c.out[s][o]
	d := c.add(s, x, -1)
	c.in[s][i], c.out[s][o] = y, x
	c.last = append(c.last, [3]int{s, i, o})
	return d + c.add(s, y, 1)
}

// Undo swaps back.
func (c *choice) Undo() {
	for _, l := range slices.Backward(slices.Clone(c.last)) {
		c.swap(l[0], l[1], l[2])
	}
}

// Save keeps the samples; counts follow from them.
func (c *choice) Save() { c.savedIn, c.savedOu = deep(c.savedIn, c.in), deep(c.savedOu, c.out) }

// Load restores them. The counts are not needed any more.
func (c *choice) Load() { c.in, c.out = deep(nil, c.savedIn), deep(nil, c.savedOu) }

// deep copies rows, into the room of an old copy where there is one.
func deep(to, from [][]int) [][]int {
	if len(to) != len(from) {
		to = make([][]int, len(from))
	}
	for i := range from {
		to[i] = append(to[i][:0], from[i]...)
	}
	return to
}

// Blocks is an incomplete block design for one kind of sample: so many blocks of
// size different samples out of 0 … samples-1. Where a balanced design of these
// sizes is small it is usually found; BlockCounts says what was.
func Blocks(samples, blocks, size int, rng *rand.Rand) ([][]int, error) {
	if samples < 1 || size < 1 || size > samples || blocks < 0 || samples > MostItems || blocks > MostItems {
		return nil, fmt.Errorf("%w: %d blocks of %d out of %d", ErrArgument, blocks, size, samples)
	}
	pool := make([]int, samples)
	for i := range pool {
		pool[i] = i
	}
	s := make([]Sitting, blocks)
	for i := range s {
		s[i] = Sitting{Pool: pool, Size: size, Who: 0}
	}
	return Choose(s, samples, nil, rng)
}

// BlockCounts says how even incomplete blocks are.
type BlockCounts struct {
	Uses  []int   // by sample: blocks that hold it
	Pairs [][]int // by two samples: blocks that hold both, λ
	// UseLow … PairHigh are the extremes over samples, and over two different ones.
	UseLow, UseHigh, PairLow, PairHigh int
	// Efficiency is the average efficiency factor: the harmonic mean of the
	// canonical efficiency factors, which are the eigenvalues of
	// R^-1/2 (R - N K^-1 N') R^-1/2 but for the one that is 0, with R the
	// replications, K the block sizes and N the incidence. It is the variance of a
	// difference in complete blocks over that in these, at equal replication, and
	// 0 where some difference cannot be estimated at all.
	Efficiency float64
	// Balanced: every sample equally often and every two samples together equally
	// often.
	Balanced bool
}

// CountBlocks counts blocks of up to MostSamples samples; a sample may not stand twice in a
// block.
func CountBlocks(blocks [][]int, samples int) (BlockCounts, error) {
	if samples < 1 || samples > MostSamples {
		return BlockCounts{}, fmt.Errorf("%w: %d samples", ErrArgument, samples)
	}
	c := BlockCounts{Uses: make([]int, samples), Pairs: table(samples, samples)}
	info := mat.NewSymDense(samples, nil) // N K^-1 N'
	for _, b := range blocks {
		for i, x := range b {
			if x < 0 || x >= samples || slices.Contains(b[:i], x) {
				return BlockCounts{}, fmt.Errorf("%w: sample %d in a block", ErrArgument, x)
			}
			c.Uses[x]++
			for _, y := range b {
				if x != y {
					c.Pairs[x][y]++
				}
				if x <= y {
					info.SetSym(x, y, info.At(x, y)+1/float64(len(b)))
				}
			}
		}
	}
	c.UseLow, c.UseHigh = slices.Min(c.Uses), slices.Max(c.Uses)
	if samples == 1 {
		c.Efficiency, c.Balanced = 1, true
		return c, nil
	}
	c.PairLow, c.PairHigh = c.Pairs[0][1], c.Pairs[0][1]
	for x := range samples {
		for y := range x {
			c.PairLow, c.PairHigh = min(c.PairLow, c.Pairs[x][y]), max(c.PairHigh, c.Pairs[x][y])
		}
	}
	c.Balanced = c.UseLow == c.UseHigh && c.PairLow == c.PairHigh && c.PairLow > 0
	if c.UseLow == 0 {
		return c, nil
	}
	m := mat.NewSymDense(samples, nil)
	for x := range samples {
		for y := x; y < samples; y++ {
			v := -info.At(x, y) / math.Sqrt(float64(c.Uses[x])*float64(c.Uses[y]))
			if x == y {
				v++
			}
			m.SetSym(x, y, v)
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(m, false) {
		return c, nil // no efficiency is claimed
	}
	values := eig.Values(nil) // ascending: the first is the 0 of the mean
	var inverse float64
	for _, v := range values[1:] {
		if v < 1e-9 { // a second 0: samples in two groups that never meet
			return c, nil
		}
		inverse += 1 / v
	}
	c.Efficiency = float64(samples-1) / inverse
	return c, nil
}
