package fairness

import (
	"slices"

	"tamis/internal/stats/alias"
)

// tie is what a category takes away from the comparison of the levels, with the
// rows at each.
type tie struct {
	*alias.Tie
	part []int   // component of each level; levels of one component can be compared; -1 without rows
	n    [][]int // rows at each level and category
	cats []int   // rows of each category
}

// tieOf finds which levels can still be compared when each category has an
// effect of its own. Rows with a level or category below 0 are passed over.
func tieOf(levels, categories int, level, category []int) tie {
	t := tie{Tie: &alias.Tie{}, n: make([][]int, levels), part: make([]int, levels), cats: make([]int, categories)}
	for l := range t.n {
		t.n[l], t.part[l] = make([]int, categories), -1
	}
	for i, l := range level {
		if l >= 0 && category[i] >= 0 {
			t.n[l][category[i]]++
			t.cats[category[i]]++
		}
	}
	lost, err := alias.Lost(level, levels, alias.Category(category))
	if err != nil { // no rows
		return t
	}
	t.Tie = lost
	parts := 0
	for l := range t.part {
		if slices.Contains(t.Absent, l) {
			continue
		}
		for k := range l {
			if t.part[k] >= 0 && !slices.Contains(t.Pairs, [2]int{k, l}) {
				t.part[l] = t.part[k]
				break
			}
		}
		if t.part[l] < 0 {
			t.part[l] = parts
			parts++
		}
	}
	return t
}

// labels lists the pairs of levels that cannot be compared.
func (t tie) labels(c *Case) [][2]string {
	var out [][2]string
	for _, p := range t.Pairs {
		out = append(out, [2]string{c.label(p[0]), c.label(p[1])})
	}
	return out
}

// empty counts the cells without rows, of the categories and levels that occur.
func (t tie) empty() int {
	n := 0
	for l := range t.n {
		if t.part[l] < 0 {
			continue
		}
		for cat, k := range t.n[l] {
			if t.cats[cat] > 0 && k == 0 {
				n++
			}
		}
	}
	return n
}

// have lists the levels that occur with a category.
func (t tie) have(category int) []int {
	var out []int
	for l := range t.n {
		if t.n[l][category] > 0 {
			out = append(out, l)
		}
	}
	return out
}
