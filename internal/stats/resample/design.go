package resample

import (
	"math"
	"slices"
)

// design is labels within blocks, as an odometer of multiset permutations.
type design struct {
	n      int
	units  [][]int // by block: unit numbers
	labels [][]int // by block: the current arrangement, at first ascending
	done   bool
}

func newDesign(labels, blocks []int) *design {
	d := &design{n: len(labels)}
	index := map[int]int{}
	for u := range labels {
		b := 0
		if blocks != nil {
			b = blocks[u]
		}
		k, ok := index[b]
		if !ok {
			k = len(d.units)
			index[b] = k
			d.units, d.labels = append(d.units, nil), append(d.labels, nil)
		}
		d.units[k] = append(d.units[k], u)
		d.labels[k] = append(d.labels[k], labels[u])
	}
	for _, l := range d.labels {
		slices.Sort(l)
	}
	return d
}

// count is the number of distinct arrangements: the product over blocks of
// n!/(n₁!·n₂!…), each built from binomials that stay whole numbers. Above 2^53
// it is rounded, and an infinity becomes the largest float.
func (d *design) count() float64 {
	total := 1.0
	for _, l := range d.labels {
		placed := 0
		for i := 0; i < len(l); {
			j := i
			for j < len(l) && l[j] == l[i] {
				j++
			}
			c := 1.0
			for k := 1; k <= j-i; k++ {
				c = c * float64(placed+k) / float64(k)
			}
			placed += j - i
			total *= math.Round(c)
			i = j
		}
	}
	return math.Min(total, math.MaxFloat64)
}

// fill writes the next arrangements and returns how many there were.
func (d *design) fill(out [][]int) int {
	k := 0
	for ; k < len(out) && !d.done; k++ {
		d.write(out[k])
		d.done = true
		for _, l := range d.labels {
			if next(l) {
				d.done = false
				break
			}
			// This block has come round; the next one moves on by one.
		}
	}
	return k
}

func (d *design) write(out []int) {
	for b, units := range d.units {
		for i, u := range units {
			out[u] = d.labels[b][i]
		}
	}
}

// next is the following arrangement in lexicographic order (Knuth, TAOCP 4A,
// algorithm 7.2.1.2 L); after the last it starts anew and returns false.
func next(a []int) bool {
	j := len(a) - 2
	for j >= 0 && a[j] >= a[j+1] {
		j--
	}
	if j < 0 {
		slices.Reverse(a)
		return false
	}
	l := len(a) - 1
	for a[j] >= a[l] {
		l--
	}
	a[j], a[l] = a[l], a[j]
	slices.Reverse(a[j+1:])
	return true
}

// shuffled gives what writes random arrangement i: the first arrangement, with the
// labels of each block shuffled.
func (d *design) shuffled(seed uint64) func(rng *stream, i int, out []int) {
	first := make([]int, d.n)
	d.write(first)
	return func(rng *stream, i int, out []int) {
		rng.at(seed, i)
		copy(out, first)
		var room []int // of a block that lies scattered
		for b, units := range d.units {
			if from, n := units[0], len(units); units[n-1]-from == n-1 { // side by side, as most are
				rng.shuffle(out[from : from+n])
				continue
			}
			room = append(room[:0], d.labels[b]...)
			rng.shuffle(room)
			for k, u := range units {
				out[u] = room[k]
			}
		}
	}
}
