package mixed

import "sort"

// maxClasses is the largest number of distinct level sizes of the largest
// grouping for which it is eliminated by classes. Above it (fractional weights,
// say) each level is a class of its own, classes save nothing, and the grouping
// goes through the sparse factorisation with the others.
const maxClasses = 32

// A system holds every sum over the rows that the criterion needs: after it is
// built, rows are never touched again.
//
// Let Z₁ be the indicators of the largest grouping, M₁ the projection that
// centres within its levels and n_i the (weighted) size of level i. With
// γ = θ₁², for any two columns a, c of the remaining problem,
//
//	a'(I + γZ₁Z₁')⁻¹c = a'M₁c + Σ_i (Z₁'a)_i (Z₁'c)_i / (n_i (1 + γ n_i)),
//
// a sum of two non-negative parts: nothing cancels as γ grows. Levels of equal
// size share their factor, so the sums over i are gathered by size once.
type system struct {
	n, p int // rows, columns of the basis
	m    int // p + 1: the basis and the response
	k    int // groupings

	order []int // groupings by falling level count; order[0] is the eliminated one if classes exist
	// The classes of the eliminated grouping.
	size  []float64
	count []float64
	// The levels of the remaining groupings, one after another in order.
	nr     int
	factor []int // nr: the grouping (original number) of each level
	first  []int // by original grouping: where its levels start in the remainder, -1 if eliminated
	// Upper triangle of the remaining levels' cross products, by columns.
	colPtr, row []int
	within      []float64
	class       []float64 // entry × classes
	// Remaining levels × (basis, response).
	xWithin []float64
	xClass  []float64 // class-major
	// (basis, response) squared, full storage.
	sWithin []float64
	sClass  []float64 // class-major

	sym *symbolic
	wk  *work
}

type work struct {
	ax, b, s []jet
	ldl      *jetLDL
}

// newSystem gathers the sums. z is n × m (basis columns, then the response's
// residual), codes are dense level numbers, w the weights (nil for 1), sw their
// roots. With maxClasses 0 no grouping is eliminated beforehand.
func newSystem(z []float64, m int, codes [][]int, levels []int, w, sw []float64, maxClasses int) *system {
	n := 0
	if m > 0 {
		n = len(z) / m
	}
	s := &system{n: n, p: m - 1, m: m, k: len(codes)}
	s.order = make([]int, s.k)
	for i := range s.order {
		s.order[i] = i
	}
	sort.SliceStable(s.order, func(a, b int) bool { return levels[s.order[a]] > levels[s.order[b]] })
	wt := func(i int) float64 {
		if w == nil {
			return 1
		}
		return w[i]
	}
	rootWt := func(i int) float64 {
		if w == nil {
			return 1
		}
		return sw[i]
	}

	// Classes of the largest grouping.
	rest := s.order
	var lead []int      // codes of the eliminated grouping
	var nLead []float64 // size of each of its levels
	var classOf []int   // class of each of its levels
	var zLead []float64 // level × m sums
	centred := z        // rows centred within its levels
	if s.k > 0 {
		g := s.order[0]
		sizes := make([]float64, levels[g])
		for i, c := range codes[g] {
			sizes[c] += wt(i)
		}
		if size, class := classes(sizes); len(size) <= maxClasses {
			lead, nLead, classOf = codes[g], sizes, class
			s.size, s.count = size, make([]float64, len(size))
			for _, c := range class {
				s.count[c]++
			}
			rest = s.order[1:]
			zLead = make([]float64, levels[g]*m)
			for i, c := range lead {
				r := rootWt(i)
				for j := 0; j < m; j++ {
					zLead[c*m+j] += r * z[i*m+j]
				}
			}
			centred = make([]float64, len(z))
			for i, c := range lead {
				r := rootWt(i) / nLead[c]
				for j := 0; j < m; j++ {
					centred[i*m+j] = z[i*m+j] - r*zLead[c*m+j]
				}
			}
		}
	}
	nc := len(s.size)

	s.sWithin = make([]float64, m*m)
	gram(s.sWithin, centred, m)
	s.sClass = make([]float64, nc*m*m)
	for l, c := range classOf {
		gram(s.sClass[c*m*m:(c+1)*m*m], zLead[l*m:l*m+m], m)
	}

	s.first = make([]int, s.k)
	for i := range s.first {
		s.first[i] = -1
	}
	for _, g := range rest {
		s.first[g] = s.nr
		for l := 0; l < levels[g]; l++ {
			s.factor = append(s.factor, g)
		}
		s.nr += levels[g]
	}
	s.gatherRest(z, centred, codes, rest, wt, rootWt, lead, nLead, classOf, zLead)
	s.sym = analyse(s.nr, s.colPtr, s.row)
	return s.workspace()
}

// gatherRest fills the parts of the system that concern the remaining groupings.
func (s *system) gatherRest(z, centred []float64, codes [][]int, rest []int, wt, rootWt func(int) float64,
	lead []int, nLead []float64, classOf []int, zLead []float64) {
	m, nc := s.m, len(s.size)
	s.colPtr = make([]int, s.nr+1)
	s.xWithin = make([]float64, s.nr*m)
	s.xClass = make([]float64, nc*s.nr*m)
	if s.nr == 0 {
		return
	}
	// Rows of each remaining level, by counting.
	rowsAt := make([]int, s.nr+1)
	for _, g := range rest {
		for _, c := range codes[g] {
			rowsAt[s.first[g]+c+1]++
		}
	}
	for j := 0; j < s.nr; j++ {
		rowsAt[j+1] += rowsAt[j]
	}
	rows := make([]int, rowsAt[s.nr])
	next := append([]int(nil), rowsAt[:s.nr]...)
	for _, g := range rest {
		for i, c := range codes[g] {
			j := s.first[g] + c
			rows[next[j]] = i
			next[j]++
		}
	}
	// For each level of the eliminated grouping, the remaining levels that it
	// meets and how much weight they share.
	type share struct {
		level  int
		weight float64
	}
	meets := make([][]share, len(nLead))
	if nc > 0 {
		acc := make([]float64, len(nLead))
		var seen []int
		for j := 0; j < s.nr; j++ {
			seen = seen[:0]
			for _, i := range rows[rowsAt[j]:rowsAt[j+1]] {
				c := lead[i]
				if acc[c] == 0 {
					seen = append(seen, c)
				}
				acc[c] += wt(i)
			}
			for _, c := range seen {
				meets[c] = append(meets[c], share{j, acc[c]})
				acc[c] = 0
			}
		}
	}
	mark := make([]int, s.nr) // position of entry (l, j) in the current column, plus one
	acc := make([]float64, len(nLead))
	for j := 0; j < s.nr; j++ {
		start := len(s.row)
		entry := func(l int) int {
			if mark[l] == 0 {
				s.row = append(s.row, l)
				s.within = append(s.within, 0)
				for c := 0; c < nc; c++ {
					s.class = append(s.class, 0)
				}
				mark[l] = len(s.row)
			}
			return mark[l] - 1
		}
		entry(j) // the diagonal always exists
		var seen []int
		for _, i := range rows[rowsAt[j]:rowsAt[j+1]] {
			for _, g := range rest {
				if l := s.first[g] + codes[g][i]; l <= j {
					s.within[entry(l)] += wt(i)
				}
			}
			r := rootWt(i)
			for a := 0; a < m; a++ {
				s.xWithin[j*m+a] += r * centred[i*m+a]
			}
			if nc > 0 {
				if acc[lead[i]] == 0 {
					seen = append(seen, lead[i])
				}
				acc[lead[i]] += wt(i)
			}
		}
		for _, c := range seen {
			cl := classOf[c]
			for _, o := range meets[c] {
				if o.level > j {
					break // meets is in rising order of level
				}
				e := entry(o.level)
				t := acc[c] * o.weight
				s.within[e] -= t / nLead[c]
				s.class[e*nc+cl] += t
			}
			x := s.xClass[cl*s.nr*m+j*m:]
			for a := 0; a < m; a++ {
				x[a] += acc[c] * zLead[c*m+a]
			}
			acc[c] = 0
		}
		for _, l := range s.row[start:] {
			mark[l] = 0
		}
		s.colPtr[j+1] = len(s.row)
	}
}

// classes groups equal sizes: the distinct sizes in rising order and the class
// of each level.
func classes(sizes []float64) (size []float64, class []int) {
	size = append(size, sizes...)
	sort.Float64s(size)
	u := 0
	for i, v := range size {
		if i == 0 || v != size[u-1] {
			size[u] = v
			u++
		}
	}
	size = size[:u]
	class = make([]int, len(sizes))
	for i, v := range sizes {
		class[i] = sort.SearchFloat64s(size, v)
	}
	return size, class
}

// gram adds a'a to dst (m × m) for a of m columns, row-major.
func gram(dst, a []float64, m int) {
	for i := 0; i+m <= len(a); i += m {
		r := a[i : i+m]
		for j, x := range r {
			if x == 0 {
				continue
			}
			d := dst[j*m : j*m+m]
			for k := j; k < m; k++ {
				d[k] += x * r[k]
			}
		}
	}
	for j := 0; j < m; j++ {
		for k := 0; k < j; k++ {
			dst[j*m+k] = dst[k*m+j]
		}
	}
}
