package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Options choose the candidates.
type Options struct {
	// Scale, when not nil, is the bounded scale of Y; Logistic2 and Logistic3
	// need it.
	Scale *Scale
	// Families are the candidates; nil means Constant, Line, Quadratic,
	// Logistic4 and, on a bounded scale, Logistic2.
	Families []Family
}

// ErrorFrom says where the size of the cook error comes from.
type ErrorFrom string

// The two sources of the cook error.
const (
	FromRepeats ErrorFrom = "repeats"  // cooks repeated at the same set point
	FromCurve   ErrorFrom = "residual" // the scatter about the best curve
)

// minRepeatDF is the least number of degrees of freedom of repeated cooks that
// is used as the cook error; below it, the scatter about the curve. House rule:
// a single degree of freedom has the tails of a Cauchy distribution.
const minRepeatDF = 2

// Stage is the second stage, ready to fit: the data reduced to its saturated
// form. With whitened rows, blocks projected out and Q an orthonormal basis of
// the cell indicators, the sum of squares of any curve splits exactly into
//
//	RSS(f) = Pure + |t − C·f|²,  C = Q'X (k × cells),  t = Q'y,
//
// so that a fit touches k numbers instead of N, and a redraw of the data is a
// redraw of t and Pure. k is the number of cells unless blocks alias some.
type Stage struct {
	l     *layout
	opt   Options
	units units

	VCook      float64 // variance between cooks (0 when not separate)
	VResidual  float64 // variance of a cell where no covariance was given
	VRandom    []float64
	Covariance stats.Status // of the variance components
	RepeatDF   int          // cooks − arms − blocks
	BlockCols  int          // independent block columns

	v      *mat.SymDense // covariance of the rows, plug-in
	chol   *mat.TriDense // its lower Cholesky factor
	logDet float64
	cellSD []float64 // √diag of v, averaged by treatment

	k    int         // rows of C
	c    []sparseRow // k × cells
	t    []float64   // k
	pure float64
	qb   [][]float64 // orthonormal block directions, whitened
	q    [][]float64 // k orthonormal directions, whitened
}

// units maps x to the inner coordinate u = (x − centre)/half.
type units struct{ centre, half float64 }

func (s units) in(x float64) float64 { return (x - s.centre) / s.half }

// New checks d, estimates the covariance of its cells and reduces it.
//
// The covariance is V = Cov + σ²_cook·ZZ' + Σ τ²·BB' (+ σ²·I where Cov is nil
// and cooks hold several cells), by REML with a free mean for each cell; where
// cooks were not repeated the mean is a polynomial of degree ≤ 2 with a shift
// for each treatment. Block columns are centred, so that the curve belongs to
// the average block of the rows.
//
// Errors: as check; ErrTooFew when nothing is left to estimate the error with;
// ErrNoVariation when repeats are all equal; ErrDomain for a scale that is
// empty or a Y outside it by more than its length; ErrSingular.
func New(d Data, opt Options) (*Stage, error) {
	l, err := check(d)
	if err != nil {
		return nil, err
	}
	if s := opt.Scale; s != nil {
		if !(s.High > s.Low) || math.IsInf(s.High-s.Low, 0) {
			return nil, fmt.Errorf("%w: scale from %v to %v", stats.ErrDomain, s.Low, s.High)
		}
		for i, y := range d.Y {
			if y < 2*s.Low-s.High || y > 2*s.High-s.Low {
				return nil, fmt.Errorf("%w: y[%d] = %v on a scale from %v to %v", stats.ErrDomain, i, y, s.Low, s.High)
			}
		}
	}
	for _, f := range opt.Families {
		if f < Constant || f > Logistic4 {
			return nil, fmt.Errorf("%w: %v", stats.ErrDomain, f)
		}
		if opt.Scale == nil && (f == Logistic2 || f == Logistic3) {
			return nil, fmt.Errorf("%w: %v needs a bounded scale", stats.ErrDomain, f)
		}
	}
	s := &Stage{l: l, opt: opt}
	lo, hi := l.xs[0], l.xs[len(l.xs)-1]
	s.units = units{centre: lo + (hi-lo)/2, half: (hi - lo) / 2}
	if hi == lo {
		s.units.half = 1
	}

	blocks := centred(d.Blocks)
	s.BlockCols = len(orthonormal(nil, blocks))
	arm, arms := l.arms()
	s.RepeatDF = l.cooks - cookRank(l, arm, arms, blocks)

	if err := s.covariance(blocks); err != nil {
		return nil, err
	}
	return s, s.reduce(blocks)
}

// centred returns the columns with their means removed.
func centred(cols [][]float64) [][]float64 {
	out := make([][]float64, len(cols))
	for j, c := range cols {
		m := 0.0
		for _, v := range c {
			m += v
		}
		m /= float64(len(c))
		out[j] = make([]float64, len(c))
		for i, v := range c {
			out[j][i] = v - m
		}
	}
	return out
}

// orthonormal extends the orthonormal set base by the directions of cols that
// are not yet in it and returns the new directions only. Modified Gram–Schmidt
// run twice, which is as orthogonal as Householder (Giraud et al. 2005); a
// column whose remainder is below 1e-9 of its length counts as aliased.
func orthonormal(base, cols [][]float64) [][]float64 {
	all := append([][]float64(nil), base...)
	for _, c := range cols {
		v := append([]float64(nil), c...)
		before := norm(v)
		for range 2 {
			for _, q := range all {
				h := dot(q, v)
				for i := range v {
					v[i] -= h * q[i]
				}
			}
		}
		after := norm(v)
		if before == 0 || after <= 1e-9*before {
			continue
		}
		for i := range v {
			v[i] /= after
		}
		all = append(all, v)
	}
	return all[len(base):]
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

// cookRank is the rank of [arm indicators, block means] on the cooks.
func cookRank(l *layout, arm []int, arms int, blocks [][]float64) int {
	cols := make([][]float64, 0, arms+len(blocks))
	for a := range arms {
		c := make([]float64, l.cooks)
		for i := range c {
			if arm[i] == a {
				c[i] = 1
			}
		}
		cols = append(cols, c)
	}
	count := make([]float64, l.cooks)
	for i := range l.n {
		count[l.cook[i]]++
	}
	for _, b := range blocks {
		c := make([]float64, l.cooks)
		for i := range l.n {
			c[l.cook[i]] += b[i] / count[l.cook[i]]
		}
		cols = append(cols, c)
	}
	return len(orthonormal(nil, cols))
}

// indicators are the columns of the saturated mean, one a cell.
func (l *layout) indicators() [][]float64 {
	cols := make([][]float64, len(l.cells))
	for j := range cols {
		cols[j] = make([]float64, l.n)
	}
	for i, c := range l.cell {
		cols[c][i] = 1
	}
	return cols
}

// covariance fills v and its parts.
func (s *Stage) covariance(blocks [][]float64) error {
	l := s.l
	// The mean under which the variances are estimated.
	var mean [][]float64
	if s.RepeatDF >= minRepeatDF {
		mean = l.indicators()
	} else {
		for t := range l.treatments {
			c := make([]float64, l.n)
			for i := range c {
				if l.treatment[i] == t {
					c[i] = 1
				}
			}
			mean = append(mean, c)
		}
		for deg := 1; deg <= min(2, len(l.xs)-2) || deg == 1 && len(l.xs) == 2; deg++ {
			c := make([]float64, l.n)
			for i := range c {
				c[i] = math.Pow(s.units.in(l.d.X[i]), float64(deg))
			}
			mean = append(mean, c)
		}
	}
	basis := orthonormal(nil, append(mean, blocks...))
	if l.n <= len(basis) {
		return fmt.Errorf("%w: %d cells for %d means and blocks leave no scatter", stats.ErrTooFew, l.n, len(basis))
	}
	x := mat.NewDense(l.n, len(basis), nil)
	for j, c := range basis {
		for i, v := range c {
			x.Set(i, j, v)
		}
	}

	var fixed *mat.SymDense
	var ks [][]int
	if l.d.Cov != nil {
		fixed = mat.NewSymDense(l.n, nil)
		for i := range l.n {
			for j := i; j < l.n; j++ {
				a, b := l.d.Cov[i][j], l.d.Cov[j][i]
				if math.Abs(a-b) > 1e-8*math.Sqrt(math.Abs(l.d.Cov[i][i]*l.d.Cov[j][j])) {
					return fmt.Errorf("%w: cov is not symmetric at %d, %d", stats.ErrDomain, i, j)
				}
				fixed.SetSym(i, j, (a+b)/2)
			}
			if l.d.Cov[i][i] < 0 {
				return fmt.Errorf("%w: cov[%d][%d] is negative", stats.ErrDomain, i, i)
			}
		}
		ks = append(ks, l.cook)
	} else {
		ks = append(ks, nil)
		if l.cooks < l.n {
			ks = append(ks, l.cook)
		}
	}
	head := len(ks)
	ks = append(ks, l.d.Random...)
	comp, err := reml(l.d.Y, x, fixed, ks)
	if err != nil {
		return err
	}
	switch {
	case l.d.Cov != nil:
		s.VCook = comp.theta[0]
	case head == 2:
		s.VResidual, s.VCook = comp.theta[0], comp.theta[1]
	default:
		s.VResidual = comp.theta[0]
	}
	s.VRandom = comp.theta[head:]
	s.v, s.Covariance = comp.v, comp.status
	return nil
}

// same is the matrix with ones where two rows share a level; with nil levels
// the identity of the given size.
func same(levels []int, size ...int) *mat.SymDense {
	n := len(levels)
	if levels == nil {
		n = size[0]
	}
	k := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			if i == j || levels != nil && levels[i] == levels[j] {
				k.SetSym(i, j, 1)
			}
		}
	}
	return k
}

// reduce whitens the rows and splits them into blocks, cells and pure error.
func (s *Stage) reduce(blocks [][]float64) error {
	l := s.l
	var ch mat.Cholesky
	if !ch.Factorize(s.v) {
		return fmt.Errorf("%w: the covariance of the cells", stats.ErrSingular)
	}
	s.chol = new(mat.TriDense)
	ch.LTo(s.chol)
	s.logDet = ch.LogDet()
	white := s.whiten
	var wb [][]float64
	for _, b := range blocks {
		wb = append(wb, white(b))
	}
	s.qb = orthonormal(nil, wb)
	var wx [][]float64
	for _, c := range l.indicators() {
		wx = append(wx, white(c))
	}
	s.q = orthonormal(s.qb, wx)
	s.k = len(s.q)
	s.c = make([]sparseRow, s.k)
	for i, q := range s.q {
		row := make([]float64, len(wx))
		for j, c := range wx {
			row[j] = dot(q, c)
		}
		s.c[i] = trim(row)
	}
	y := white(l.d.Y)
	s.t, s.pure = s.project(y)

	s.cellSD = make([]float64, l.treatments)
	count := make([]float64, l.treatments)
	for i := range l.n {
		s.cellSD[l.treatment[i]] += s.v.At(i, i)
		count[l.treatment[i]]++
	}
	for t := range s.cellSD {
		s.cellSD[t] = math.Sqrt(s.cellSD[t] / count[t])
	}
	return nil
}

// whiten is L⁻¹c. Most of a row of L is zero where groups are small: the rows
// start at their first entry.
func (s *Stage) whiten(c []float64) []float64 {
	raw := s.chol.RawTriangular()
	out := make([]float64, len(c))
	for i := range out {
		row := raw.Data[i*raw.Stride : i*raw.Stride+i+1]
		from := 0
		for from < i && row[from] == 0 {
			from++
		}
		out[i] = (c[i] - dot(row[from:i], out[from:i])) / row[i]
	}
	return out
}

// project splits a whitened vector into t = Q'y and the pure sum of squares.
func (s *Stage) project(y []float64) (t []float64, pure float64) {
	r := append([]float64(nil), y...)
	take := func(q []float64) float64 {
		h := dot(q, r)
		for i := range r {
			r[i] -= h * q[i]
		}
		return h
	}
	for _, q := range s.qb {
		take(q)
	}
	t = make([]float64, s.k)
	for i, q := range s.q {
		t[i] = take(q)
	}
	return t, dot(r, r)
}

// Cooks is the number of units.
func (s *Stage) Cooks() int { return s.l.cooks }

// Treatments is the number of treatments.
func (s *Stage) Treatments() int { return s.l.treatments }

// SetPoints are the distinct values of x, ascending.
func (s *Stage) SetPoints() []float64 { return append([]float64(nil), s.l.xs...) }
