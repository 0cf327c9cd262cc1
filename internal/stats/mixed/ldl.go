package mixed

// A symbolic holds the shape of the unit lower triangular factor of a sparse
// symmetric matrix in its given order. The matrix is stored by the columns of
// its upper triangle, diagonal included. The row-by-row method is that of Davis
// 2005 (ACM Trans. Math. Softw. 31:587): row k of L is the solution of a sparse
// triangular system whose pattern is read off the elimination tree.
//
// No reordering is done: groupings arrive by falling level count, and within a
// grouping the matrix starts diagonal, so that nested groupings give no fill at
// all and crossed ones fill only the block of the smaller grouping.
type symbolic struct {
	n      int
	lp     []int // column k of L occupies lp[k]:lp[k+1]
	li     []int // row numbers, ascending within a column
	rp, ri []int // row k of L has its non-zeros in the columns ri[rp[k]:rp[k+1]], ascending topologically
}

// analyse finds the shape of L for the upper triangle (colPtr, row) of n columns.
func analyse(n int, colPtr, row []int) *symbolic {
	s := &symbolic{n: n, lp: make([]int, n+1), rp: make([]int, n+1)}
	parent := make([]int, n)
	flag := make([]int, n)
	count := make([]int, n)
	stack := make([]int, n)
	for k := 0; k < n; k++ {
		parent[k], flag[k] = -1, k
		top := n
		for p := colPtr[k]; p < colPtr[k+1]; p++ {
			// Walk from each entry up the elimination tree until a node that
			// this row has met already; the path, reversed, precedes what was
			// found before.
			length := 0
			for i := row[p]; flag[i] != k; i = parent[i] {
				if parent[i] == -1 {
					parent[i] = k
				}
				stack[length] = i
				length++
				count[i]++
				flag[i] = k
			}
			for length > 0 {
				top--
				length--
				stack[top] = stack[length]
			}
		}
		s.ri = append(s.ri, stack[top:]...)
		s.rp[k+1] = len(s.ri)
	}
	for k := 0; k < n; k++ {
		s.lp[k+1] = s.lp[k] + count[k]
	}
	s.li = make([]int, s.lp[n])
	fill := append([]int(nil), s.lp[:n]...)
	for k := 0; k < n; k++ {
		for _, i := range s.ri[s.rp[k]:s.rp[k+1]] {
			s.li[fill[i]] = k
			fill[i]++
		}
	}
	return s
}

// jetLDL is the numeric factor in jets: A = L·diag(d)·L'.
type jetLDL struct {
	s    *symbolic
	lx   []jet
	d    []jet
	y    []jet // work, all zero between rows
	fill []int
}

func newJetLDL(s *symbolic) *jetLDL {
	return &jetLDL{s: s, lx: make([]jet, len(s.li)), d: make([]jet, s.n), y: make([]jet, s.n), fill: make([]int, s.n)}
}

// factor computes L and d for the upper triangle (colPtr, row, ax). It reports
// false when a pivot is not positive.
func (f *jetLDL) factor(colPtr, row []int, ax []jet) bool {
	s := f.s
	copy(f.fill, s.lp[:s.n])
	for k := 0; k < s.n; k++ {
		dk := jet{}
		for p := colPtr[k]; p < colPtr[k+1]; p++ {
			if i := row[p]; i == k {
				dk = ax[p]
			} else {
				f.y[i] = f.y[i].add(ax[p])
			}
		}
		for _, i := range s.ri[s.rp[k]:s.rp[k+1]] {
			yi := f.y[i]
			f.y[i] = jet{}
			end := f.fill[i]
			rows, lx := s.li[s.lp[i]:end], f.lx[s.lp[i]:end]
			for p, r := range rows {
				t, l := &f.y[r], &lx[p]
				t.v -= l.v * yi.v
				t.d -= l.v*yi.d + l.d*yi.v
				t.e -= l.v*yi.e + l.d*yi.d + l.e*yi.v
			}
			l := yi.mul(f.d[i].recip())
			t := l.mul(yi)
			dk = jet{dk.v - t.v, dk.d - t.d, dk.e - t.e}
			f.lx[end] = l
			f.fill[i]++
		}
		if !(dk.v > 0) {
			clear(f.y)
			return false
		}
		f.d[k] = dk
	}
	return true
}

// forward replaces the rows of b (n × m, row-major) by L⁻¹b.
func (f *jetLDL) forward(b []jet, m int) {
	s := f.s
	for i := 0; i < s.n; i++ {
		bi := b[i*m : i*m+m]
		for p := s.lp[i]; p < s.lp[i+1]; p++ {
			l := f.lx[p]
			bk := b[s.li[p]*m : s.li[p]*m+m]
			for j := range bi {
				x, t := &bi[j], &bk[j]
				t.v -= l.v * x.v
				t.d -= l.v*x.d + l.d*x.v
				t.e -= l.v*x.e + l.d*x.d + l.e*x.v
			}
		}
	}
}
