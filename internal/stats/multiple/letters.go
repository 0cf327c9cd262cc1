package multiple

import (
	"fmt"
	"math/bits"
	"sort"

	"tamis/internal/stats"
)

// Order says which end gets the letter a.
type Order int

const (
	// LowestFirst gives a to the lowest mean.
	LowestFirst Order = iota
	// HighestFirst gives a to the highest mean.
	HighestFirst
)

// Display is a compact letter display. Letters[i] are those of mean i, in
// alphabetical order. Groups[g] lists, in increasing order, the means that carry
// letter g (0 for a).
type Display struct {
	Letters []string
	Groups  [][]int
}

// Letters returns a compact letter display by insertion and absorption with a
// final sweep (Piepho 2004, J. Comput. Graph. Stat. 13:456): two means share a
// letter if and only if different[i][j] is false, and no letter could be left
// out. It holds for any symmetric matrix, also where the pattern is not one of
// overlapping intervals (unequal standard errors produce such).
//
// means orders the letters only; ties keep the order of the input. different is
// k × k, symmetric, false on the diagonal. Errors: stats.ErrEmpty,
// stats.ErrLengths, stats.ErrNonFinite, stats.ErrDomain for a matrix that is not
// symmetric, stats.ErrTooLarge when more than 52 letters would be needed.
func Letters(means []float64, different [][]bool, order Order) (Display, error) {
	if err := stats.CheckSample("means", means); err != nil {
		return Display{}, err
	}
	k := len(means)
	if err := stats.CheckLengths("means", k, "different", len(different)); err != nil {
		return Display{}, err
	}
	for i := range different {
		if err := stats.CheckLengths("means", k, fmt.Sprintf("different[%d]", i), len(different[i])); err != nil {
			return Display{}, err
		}
	}
	for i := range different {
		for j := range different {
			if different[i][j] != different[j][i] || (i == j && different[i][j]) {
				return Display{}, fmt.Errorf("%w: different[%d][%d] is not symmetric", stats.ErrDomain, i, j)
			}
		}
	}
	// rank[r] is the mean at place r of the display; sets hold places, so that
	// the answer does not depend on how the means were listed.
	rank := make([]int, k)
	for i := range rank {
		rank[i] = i
	}
	sort.SliceStable(rank, func(a, b int) bool {
		if order == HighestFirst {
			return means[rank[a]] > means[rank[b]]
		}
		return means[rank[a]] < means[rank[b]]
	})
	columns, err := insertAndAbsorb(k, func(a, b int) bool { return different[rank[a]][rank[b]] })
	if err != nil {
		return Display{}, err
	}
	columns = sweep(columns, k)
	if len(columns) > len(alphabet) {
		return Display{}, fmt.Errorf("%w: %d letters needed, the alphabet has %d", stats.ErrTooLarge, len(columns), len(alphabet))
	}
	d := Display{Letters: make([]string, k), Groups: make([][]int, len(columns))}
	for g, c := range columns {
		for r := range k {
			if c.has(r) {
				d.Letters[rank[r]] += string(alphabet[g])
				d.Groups[g] = append(d.Groups[g], rank[r])
			}
		}
		sort.Ints(d.Groups[g])
	}
	return d, nil
}

const alphabet = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

// maxColumns bounds the work on matrices far from any that means produce: the
// number of columns can grow as 3^(k/3).
const maxColumns = 4096

// insertAndAbsorb starts with one column holding everybody. Each significant
// pair splits every column that holds both into one without the first and one
// without the second; a column inside another is absorbed.
func insertAndAbsorb(k int, different func(a, b int) bool) ([]set, error) {
	all := newSet(k)
	for i := range k {
		all.add(i)
	}
	columns := []set{all}
	for a := range k {
		for b := a + 1; b < k; b++ {
			if !different(a, b) {
				continue
			}
			var keep, split []set
			for _, c := range columns {
				if c.has(a) && c.has(b) {
					split = append(split, c.without(a), c.without(b))
				} else {
					keep = append(keep, c)
				}
			}
			// An untouched column never lies inside a new one: it would have lain
			// inside the column that was split, and would be gone.
			for i, s := range split {
				absorbed := false
				for _, c := range keep {
					if s.within(c) {
						absorbed = true
						break
					}
				}
				for j, other := range split {
					if absorbed {
						break
					}
					// Of equal columns the first stays.
					if j != i && s.within(other) && (!other.within(s) || j < i) {
						absorbed = true
					}
				}
				if !absorbed {
					keep = append(keep, s)
				}
			}
			if columns = keep; len(columns) > maxColumns {
				return nil, fmt.Errorf("%w: the pattern of differences needs more than %d letters", stats.ErrTooLarge, maxColumns)
			}
		}
	}
	sort.Slice(columns, func(i, j int) bool { return columns[i].before(columns[j], k) })
	return columns, nil
}

// sweep drops every column all of whose pairs stand together in another column.
// It tries the last columns first, so that early letters stay.
func sweep(columns []set, k int) []set {
	together := make([]int, k*k) // how many columns hold both
	count := func(c set, by int) {
		for a := range k {
			for b := a; c.has(a) && b < k; b++ {
				if c.has(b) {
					together[a*k+b] += by
				}
			}
		}
	}
	for _, c := range columns {
		count(c, 1)
	}
	var kept []set
	for i := len(columns) - 1; i >= 0; i-- {
		c := columns[i]
		needed := false
		for a := range k {
			for b := a; c.has(a) && b < k && !needed; b++ {
				needed = c.has(b) && together[a*k+b] == 1
			}
		}
		if needed {
			kept = append(kept, c)
			continue
		}
		count(c, -1)
	}
	for i, j := 0, len(kept)-1; i < j; i, j = i+1, j-1 {
		kept[i], kept[j] = kept[j], kept[i]
	}
	return kept
}

// set is a bit set of places.
type set []uint64

func newSet(k int) set { return make(set, (k+63)/64) }

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }

func (s set) without(i int) set {
	out := append(set(nil), s...)
	out[i/64] &^= 1 << (i % 64)
	return out
}

func (s set) within(t set) bool {
	for i := range s {
		if s[i]&^t[i] != 0 {
			return false
		}
	}
	return true
}

// before orders columns by their first member, then the second, and so on.
func (s set) before(t set, k int) bool {
	for w := range s {
		if diff := s[w] ^ t[w]; diff != 0 {
			i := w*64 + bits.TrailingZeros64(diff)
			return i < k && s.has(i)
		}
	}
	return false
}
