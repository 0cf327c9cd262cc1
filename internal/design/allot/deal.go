package allot

import (
	"fmt"
	"math"
	"math/rand/v2"

	"tamis/internal/design/search"
)

// Pieces is what is to be dealt: things there are, and places for them.
type Pieces struct {
	// Kinds are what a piece is of, such as its source and its part: labels from
	// 0, by kind and piece. Sizes are numbers that should be alike, such as mass
	// and thickness, by size and piece; NaN where not known.
	Kinds [][]int
	Sizes [][]float64
	// Groups are what a place belongs to, such as its set point, run or brine:
	// labels from 0, by group and place.
	Groups [][]int
	// Even weighs how evenly each kind meets each group, by kind and group; Alike
	// how alike each size is in each group, by size and group. 0 leaves a pair out.
	Even, Alike [][]float64
	// Compared is how many of the groups, from the first, are compared: every kind
	// should join all of their labels.
	Compared int

	Stock, Places int
	Must          []bool              // pieces that are to be used
	May           func(i, j int) bool // may piece i go to place j; nil allows all
}

// Unplaced says which piece or which place was left over; it wraps ErrFixed or
// ErrNoPiece.
type Unplaced struct {
	Piece, Place int // -1 for the one that does not apply
	err          error
}

func (u *Unplaced) Error() string {
	if u.Piece >= 0 {
		return fmt.Sprintf("%s: piece %d has no place", u.err, u.Piece)
	}
	return fmt.Sprintf("%s: place %d has no piece", u.err, u.Place)
}

// Unwrap gives ErrFixed or ErrNoPiece.
func (u *Unplaced) Unwrap() error { return u.err }

// Deal gives each place a piece, by place. Pieces may be left over.
func Deal(p Pieces, rng *rand.Rand) ([]int, error) {
	if err := p.check(rng); err != nil {
		return nil, err
	}
	if p.May == nil {
		p.May = func(int, int) bool { return true }
	}
	if p.Places > p.Stock {
		return nil, &Unplaced{Piece: -1, Place: p.Stock, err: ErrNoPiece}
	}
	// A start by lot: what must be used, then a piece for every place.
	to, from := rng.Perm(p.Places), rng.Perm(p.Stock)
	m := newMatching(p.Stock, p.Places, func(i, j int) bool { return p.May(from[i], to[j]) })
	for i := range p.Stock {
		if p.Must[from[i]] && !m.left(i) {
			return nil, &Unplaced{Piece: from[i], Place: -1, err: ErrFixed}
		}
	}
	for j := range p.Places {
		if m.by[j] < 0 && !m.right(j) {
			return nil, &Unplaced{Piece: -1, Place: to[j], err: ErrNoPiece}
		}
	}
	start := make([]int, p.Places)
	for j, i := range m.by {
		start[to[j]] = from[i]
	}
	var best []int
	var least float64
	for range tries {
		d := newDeal(&p, start)
		if p.Places == 0 || p.Stock < 2 {
			return d.holds, nil
		}
		steps := min(30_000+2_000*p.Places, 150_000)
		grew := search.Anneal(d, steps, 10, 0.02, rng)
		// Once more from there: a cooler search settles what the first left.
		d.count()
		grew += search.Anneal(d, steps/2, 0.5, 0.01, rng)
		if best == nil || grew < least {
			best, least = d.holds, grew
		}
	}
	d := newDeal(&p, best)
	d.join(p.Compared)
	return d.holds, nil
}

// tries is how many searches start from the same deal; the best one counts.
const tries = 3

func newDeal(p *Pieces, holds []int) *deal {
	d := &deal{Pieces: p, at: make([]int, p.Stock), holds: append([]int{}, holds...)}
	for i := range d.at {
		d.at[i] = -1
	}
	for j, i := range d.holds {
		d.at[i] = j
	}
	d.count()
	return d
}

func (p *Pieces) check(rng *rand.Rand) error {
	bad := func(what string) error { return fmt.Errorf("%w: %s", ErrArgument, what) }
	const most = 10_000
	if rng == nil || p.Stock < 0 || p.Places < 0 || p.Stock > most || p.Places > most || len(p.Must) != p.Stock {
		return bad("sizes")
	}
	if p.Compared < 0 || p.Compared > len(p.Groups) || len(p.Even) != len(p.Kinds) || len(p.Alike) != len(p.Sizes) {
		return bad("weights")
	}
	for i, k := range p.Kinds {
		if len(k) != p.Stock || len(p.Even[i]) != len(p.Groups) {
			return bad("kinds")
		}
		for _, v := range k {
			if v < 0 || v > most {
				return bad("kinds")
			}
		}
	}
	for i, s := range p.Sizes {
		if len(s) != p.Stock || len(p.Alike[i]) != len(p.Groups) {
			return bad("sizes")
		}
	}
	for _, g := range p.Groups {
		if len(g) != p.Places {
			return bad("groups")
		}
		for _, v := range g {
			if v < 0 || v > most {
				return bad("groups")
			}
		}
	}
	return nil
}

// cell counts one kind in one group against an even deal; heap sums one size.
//
// Where pieces are left over, how many of a kind are used is open, and an even
// deal can be meant in two ways. Against its share of what there is, a source that
// gives one piece costs as much as one that gives a piece to each of two set
// points; but only the second lets them be compared. So the first group counts
// against what is used of the kind (row), and the other groups, against the share,
// keep the use of the kinds even.
type cell struct {
	weight      float64
	kind, group []int
	excess      [][]float64
	rows        []row     // of a kind; nil where the share counts
	share       []float64 // of the places, by group; with rows only
	square      float64   // the sum of its squares
}

// row is what is used of one kind: the count n, and the sum of share times count.
// With counts x by group the cost is Σ(x - n·share)² = Σx² - 2n·Σ(share·x) + n²·Σshare².
type row struct{ n, dot float64 }

type heap struct {
	weight float64
	size   []float64 // in standard deviations from the mean; 0 where not known
	group  []int
	sum    []float64 // of a group
	n      []float64
}

// deal is the state of the search.
type deal struct {
	*Pieces
	at, holds, saved []int // the place of a piece (-1: left over), the piece at a place
	cells            []cell
	heaps            []heap
	last             [2]int // a place and a piece that was swapped into it
}

// count sets up all counts for the present deal.
func (d *deal) count() {
	d.cells, d.heaps = d.cells[:0], d.heaps[:0]
	for k, kind := range d.Kinds {
		// Each kind should be used as often as its share of what there is.
		used := make([]float64, top(kind))
		for _, a := range kind {
			used[a] += float64(d.Places) / float64(d.Stock)
		}
		for g, group := range d.Groups {
			if d.Even[k][g] <= 0 {
				continue
			}
			c := cell{weight: d.Even[k][g], kind: kind, group: group, excess: make([][]float64, len(used))}
			size := make([]float64, top(group))
			for _, v := range group {
				size[v]++
			}
			if g == 0 && d.Places < d.Stock {
				c.weight *= 2 // no size may outweigh a comparison that is lost
				c.rows = make([]row, len(used))
				for _, v := range size {
					c.share = append(c.share, v/float64(max(1, d.Places)))
					c.square += v * v / float64(max(1, d.Places*d.Places))
				}
			}
			for a := range c.excess {
				c.excess[a] = make([]float64, len(size))
				for b := range size {
					if c.rows != nil {
						continue // a plain count
					}
					c.excess[a][b] = -used[a] * size[b] / float64(max(1, d.Places))
				}
			}
			for j, i := range d.holds {
				c.excess[kind[i]][group[j]]++
				if c.rows != nil {
					c.rows[kind[i]].n++
					c.rows[kind[i]].dot += c.share[group[j]]
				}
			}
			d.cells = append(d.cells, c)
		}
	}
	for s, size := range d.Sizes {
		z := standard(size)
		for g, group := range d.Groups {
			if d.Alike[s][g] <= 0 {
				continue
			}
			n := top(group)
			h := heap{weight: d.Alike[s][g], size: z, group: group, sum: make([]float64, n), n: make([]float64, n)}
			for j, i := range d.holds {
				h.sum[group[j]] += z[i]
				h.n[group[j]]++
			}
			d.heaps = append(d.heaps, h)
		}
	}
}

// top is one more than the largest label.
func top(labels []int) int {
	n := 0
	for _, v := range labels {
		n = max(n, v+1)
	}
	return n
}

// standard gives sizes in standard deviations from their mean, and 0 for what is
// not known or does not vary.
func standard(x []float64) []float64 {
	var n, sum, ss float64
	for _, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			n, sum = n+1, sum+v
		}
	}
	for _, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			ss += (v - sum/n) * (v - sum/n)
		}
	}
	sd := math.Sqrt(ss / (n - 1))
	out := make([]float64, len(x))
	for i, v := range x {
		if z := (v - sum/n) / sd; !math.IsNaN(z) && !math.IsInf(z, 0) {
			out[i] = z
		}
	}
	return out
}

// Change swaps the pieces of two places, or a piece for one that is left over.
func (d *deal) Change(rng *rand.Rand) (float64, bool) {
	j, i := rng.IntN(d.Places), rng.IntN(d.Stock)
	old, from := d.holds[j], d.at[i]
	switch {
	case i == old, !d.May(i, j):
		return 0, false
	case from < 0 && d.Must[old], from >= 0 && !d.May(old, from):
		return 0, false
	}
	d.last = [2]int{j, old}
	return d.swap(j, i), true
}

// swap puts piece i at place j; who was there goes where i was.
func (d *deal) swap(j, i int) float64 {
	old, from := d.holds[j], d.at[i]
	var cost float64
	for c := range d.cells {
		v := &d.cells[c]
		a, b := v.kind[old], v.kind[i]
		if a == b {
			continue
		}
		cost += v.add(a, v.group[j], -1) + v.add(b, v.group[j], 1)
		if from >= 0 {
			cost += v.add(b, v.group[from], -1) + v.add(a, v.group[from], 1)
		}
	}
	for h := range d.heaps {
		v := &d.heaps[h]
		step := v.size[i] - v.size[old]
		cost += v.add(v.group[j], step)
		if from >= 0 {
			cost += v.add(v.group[from], -step)
		}
	}
	d.holds[j], d.at[i], d.at[old] = i, j, from
	if from >= 0 {
		d.holds[from] = old
	}
	return cost
}

func (c *cell) add(kind, group int, by float64) float64 {
	v := &c.excess[kind][group]
	*v += by
	grew := by * (2**v - by)
	if c.rows != nil {
		r := &c.rows[kind]
		before := r.n * (r.n*c.square - 2*r.dot)
		r.n, r.dot = r.n+by, r.dot+by*c.share[group]
		grew += r.n*(r.n*c.square-2*r.dot) - before
	}
	return c.weight * grew
}

// add moves the mean of a group; its square, times the size of the group, counts.
func (h *heap) add(group int, step float64) float64 {
	before := h.sum[group]
	h.sum[group] += step
	return h.weight * (h.sum[group]*h.sum[group] - before*before) / h.n[group]
}

// Undo swaps back: whoever was at the place before is taken there again.
func (d *deal) Undo() { d.swap(d.last[0], d.last[1]) }

// Save keeps who is where.
func (d *deal) Save() { d.saved = append(d.saved[:0], d.holds...) }

// Load restores it; counts have to be set up anew.
func (d *deal) Load() {
	copy(d.holds, d.saved)
	for i := range d.at {
		d.at[i] = -1
	}
	for j, i := range d.holds {
		d.at[i] = j
	}
}
