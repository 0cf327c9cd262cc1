package search

// Parts is into how many parts two lists of labels from 0 fall, of which those at one
// index belong together.
func Parts(a, b []int) int {
	n, m := 0, 0
	for i := range a {
		n, m = max(n, a[i]+1), max(m, b[i]+1)
	}
	root := make([]int, n+m)
	for i := range root {
		root[i] = -1
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	parts := 0
	for i := range a {
		x, y := a[i], n+b[i]
		for _, v := range [2]int{x, y} {
			if root[v] < 0 {
				root[v] = v
				parts++
			}
		}
		if x, y = find(x), find(y); x != y {
			root[x] = y
			parts--
		}
	}
	return parts
}
