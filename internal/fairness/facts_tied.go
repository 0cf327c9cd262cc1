package fairness

// tie says how far a category takes the levels of the compared factor with it.
type tie struct {
	lost int     // comparisons of levels that the category leaves none of
	all  bool    // none is left
	part []int   // component of each level; levels of one component can be compared
	n    [][]int // rows at each level and category
	cats []int   // rows of each category
}

// tieOf finds which levels can still be compared when each category has an
// effect of its own. Levels and categories are the two sides of a graph whose
// edges are the cells with rows; the columns of both, with the constant, have rank
// levels + categories − parts, so each part of the graph beyond the first loses
// one comparison (the connectedness of a two-way layout, Bose 1949, from
// memory). Rows with a level or category below 0 are passed over.
func tieOf(levels, categories int, level, category []int) tie {
	t := tie{n: make([][]int, levels), part: make([]int, levels), cats: make([]int, categories)}
	for l := range t.n {
		t.n[l] = make([]int, categories)
	}
	parent := make([]int, levels+categories)
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	used := make([]bool, levels)
	for i, l := range level {
		if l < 0 || category[i] < 0 {
			continue
		}
		t.n[l][category[i]]++
		t.cats[category[i]]++
		used[l] = true
		parent[find(l)] = find(levels + category[i])
	}
	parts, there := map[int]int{}, 0
	for l := range levels {
		if !used[l] {
			t.part[l] = -1
			continue
		}
		there++
		root := find(l)
		if _, ok := parts[root]; !ok {
			parts[root] = len(parts)
		}
		t.part[l] = parts[root]
	}
	t.lost = max(0, len(parts)-1)
	t.all = there > 1 && len(parts) == there
	return t
}

// pairs lists the pairs of levels that cannot be compared.
func (t tie) pairs(c *Case) [][2]string {
	var out [][2]string
	for a := range t.part {
		for b := a + 1; b < len(t.part); b++ {
			if t.part[a] >= 0 && t.part[b] >= 0 && t.part[a] != t.part[b] {
				out = append(out, [2]string{c.label(a), c.label(b)})
			}
		}
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
