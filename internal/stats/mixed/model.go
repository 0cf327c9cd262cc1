package mixed

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// VarComp is an estimated variance. Theta is its standard deviation relative to
// the residual's. AtBound says that it is exactly 0 because the criterion has
// its best value there.
type VarComp struct {
	Grouping string
	Levels   int
	Variance float64
	SD       float64
	Theta    float64
	AtBound  bool
}

// A Model is a fitted model. It never changes after Fit and may be used from
// several goroutines.
type Model struct {
	N          int       // rows
	P          int       // independent fixed columns
	ML         bool      // fitted by ML, otherwise by REML
	Components []VarComp // in the order of Data.Groups
	Sigma2     float64   // residual variance
	Sigma      float64
	// Criterion is the REML criterion or, for ML, the deviance: -2·LogLik.
	Criterion float64
	LogLik    float64
	NPar      int // fixed coefficients and variances
	AIC, BIC  float64
	Status    stats.Status
	Warnings  []stats.Warning

	Names   []string // of all fixed columns
	Aliased []string // columns dropped because they depend on earlier ones

	data   Data
	b      *basis
	sys    *system
	codes  [][]int
	used   [][]int // compact code → level
	theta  []float64
	center float64 // taken from y before anything else, 0 if the columns span no constant
	coordC []float64
	gamma  []float64 // coordinates of β̂ in the basis, without the centre
	coord  []float64 // those of the least-squares fit
	z      []float64 // rows [basis, residual/scale]
	scale  float64
	cov    *mat.SymDense // of the coordinates, divided by σ²
	satt   *satterthwaite
	kr     krOnce
}

// Fit fits the model by REML, or by ML when the options say so.
//
// Errors: stats.ErrEmpty, stats.ErrLengths, stats.ErrNonFinite, stats.ErrDomain
// (codes, weights, names), stats.ErrTooLarge, stats.ErrTooFew when the rows do
// not outnumber the independent columns, stats.ErrNoVariation when y is constant
// or is explained without residual, *GroupingError, stats.ErrNotConverged when
// the criterion cannot be evaluated. A search that stops early gives a model
// whose Status says so.
func Fit(d Data, opt Options) (*Model, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	d = d.clone()
	n, cols := d.X.Dims()
	m := &Model{N: n, ML: opt.ML, Names: d.Names, data: d}
	sw := roots(d.Weights)
	m.b = newBasis(d.X, sw)
	m.P = m.b.p
	for j := 0; j < cols; j++ {
		if m.b.alias[j] != nil {
			m.Aliased = append(m.Aliased, d.Names[j])
		}
	}
	if m.P == 0 {
		return nil, fmt.Errorf("%w: every fixed column is 0", stats.ErrNoVariation)
	}
	if n <= m.P {
		return nil, fmt.Errorf("%w: %d rows for %d independent fixed columns, %d needed", stats.ErrTooFew, n, m.P, m.P+1)
	}
	if constant(d.Y) {
		return nil, fmt.Errorf("%w: every y is %v", stats.ErrNoVariation, d.Y[0])
	}
	levels := make([]int, len(d.Groups))
	for _, g := range d.Groups {
		codes, used := g.compact()
		m.codes, m.used = append(m.codes, codes), append(m.used, used)
		levels[len(m.codes)-1] = len(used)
	}
	if err := identifiable(d.Groups, m.codes, levels, m.b, sw); err != nil {
		return nil, err
	}
	z, coord, scale, err := m.residualise(sw)
	if err != nil {
		return nil, err
	}
	m.sys = newSystem(z, m.P+1, m.codes, levels, d.Weights, sw, maxClasses)
	best, ok := m.sys.optimise(roughTheta(z, m.P+1, m.codes, levels, d.Weights, sw), goal{ml: m.ML})
	if !ok {
		return nil, fmt.Errorf("%w: the criterion cannot be evaluated: no residual variation is left", stats.ErrNoVariation)
	}
	if best.runaway >= 0 {
		return nil, &GroupingError{Grouping: d.Groups[best.runaway].Name, Reason: NoResidualLeft, err: stats.ErrNoVariation}
	}
	if top := maxAbs(best.theta); top > largeTheta && m.sys.saturated(top) {
		g := m.sys.order[0]
		for a, t := range best.theta {
			if t > best.theta[g] {
				g = a
			}
		}
		return nil, &GroupingError{Grouping: d.Groups[g].Name, Reason: NoResidualLeft, err: stats.ErrNoVariation}
	}
	m.z, m.scale, m.coord = z, scale, coord
	m.finish(best, levels)
	return m, nil
}

func (d Data) clone() Data {
	d.Y = append([]float64(nil), d.Y...)
	d.X = mat.DenseCopyOf(d.X)
	if d.Names == nil {
		_, m := d.X.Dims()
		d.Names = make([]string, m)
		for j := range d.Names {
			d.Names[j] = fmt.Sprintf("x%d", j+1)
		}
	} else {
		d.Names = append([]string(nil), d.Names...)
	}
	gs := make([]Grouping, len(d.Groups))
	for i, g := range d.Groups {
		gs[i] = Grouping{g.Name, append([]int(nil), g.Codes...), append([]string(nil), g.Levels...)}
	}
	d.Groups = gs
	if d.Weights != nil {
		d.Weights = append([]float64(nil), d.Weights...)
	}
	return d
}

func constant(y []float64) bool {
	for _, v := range y {
		if v != y[0] {
			return false
		}
	}
	return true
}

// residualise returns the rows [q, r/scale], where r is what least squares
// leaves of √w·y, and the coordinates of the fitted part. The mean is taken off
// first where the columns span a constant: for values near their mean that
// subtraction is exact, so an offset of 1e12 costs no digits. Dividing by scale
// keeps the squares of very large or very small responses in range.
func (m *Model) residualise(sw []float64) (z, coord []float64, scale float64, err error) {
	n, p := m.N, m.P
	one := make([]float64, n)
	for i := range one {
		one[i] = 1
		if sw != nil {
			one[i] = sw[i]
		}
	}
	m.coordC = m.b.project(one)
	left := append([]float64(nil), one...)
	m.b.subtract(left, m.coordC)
	if norm(left) <= 1e-8*norm(one) {
		mean := 0.0
		for _, v := range m.data.Y {
			mean += v / float64(n)
		}
		m.center = mean
	}
	r := make([]float64, n)
	size := 0.0
	for i, v := range m.data.Y {
		r[i] = (v - m.center) * one[i]
		size = math.Max(size, math.Abs(r[i]))
	}
	if math.IsInf(size, 0) {
		return nil, nil, 0, fmt.Errorf("%w: the range of y overflows", stats.ErrNonFinite)
	}
	if size == 0 {
		return nil, nil, 0, fmt.Errorf("%w: y is constant", stats.ErrNoVariation)
	}
	for i := range r {
		r[i] /= size
	}
	coord = make([]float64, p)
	for pass := 0; pass < 2; pass++ { // the second pass removes what rounding left
		c := m.b.project(r)
		m.b.subtract(r, c)
		for k := range coord {
			coord[k] += c[k]
		}
	}
	left2 := norm(r) / math.Sqrt(float64(n))
	if left2 <= 1e-13 {
		return nil, nil, 0, fmt.Errorf("%w: the fixed columns reproduce y exactly; no residual variance", stats.ErrNoVariation)
	}
	if s := size * left2; s < 1e-150 || s > 1e150 {
		return nil, nil, 0, fmt.Errorf("%w: the variance of y (its root is about %g) cannot be held", stats.ErrNonFinite, s)
	}
	z = make([]float64, n*(p+1))
	for i := 0; i < n; i++ {
		copy(z[i*(p+1):], m.b.q[i*p:i*p+p])
		z[i*(p+1)+p] = r[i] / left2
	}
	for k := range coord {
		coord[k] *= size
	}
	return z, coord, size * left2, nil
}

// finish turns the best θ into estimates.
func (m *Model) finish(best search, levels []int) {
	coord, scale := m.coord, m.scale
	n, p, k := float64(m.N), m.P, m.sys.k
	nu := n - float64(p)
	if m.ML {
		nu = n
	}
	pc := best.axis[0]
	m.theta = best.theta
	r2 := pc.r2.v * scale * scale
	m.Sigma2 = r2 / nu
	m.Sigma = math.Sqrt(m.Sigma2)

	m.Criterion = pc.logL.v + nu*(1+math.Log(2*math.Pi*m.Sigma2))
	if !m.ML {
		m.Criterion += pc.logX.v + m.b.logDet()
	}
	for _, w := range m.data.Weights {
		m.Criterion -= math.Log(w)
	}
	m.LogLik = -m.Criterion / 2
	m.NPar = p + k + 1
	m.AIC = m.Criterion + 2*float64(m.NPar)
	m.BIC = m.Criterion + math.Log(n)*float64(m.NPar)

	m.Status = stats.Status{Converged: best.converged, Iterations: best.iterations,
		GradientNorm: maxAbs(best.g), Message: best.message}
	for a, t := range m.theta {
		v := VarComp{Grouping: m.data.Groups[a].Name, Levels: levels[a], Theta: t,
			SD: t * m.Sigma, Variance: t * t * m.Sigma2, AtBound: t == 0}
		m.Components = append(m.Components, v)
		if v.AtBound {
			m.Status.Boundary = true
			m.Warnings = append(m.Warnings, stats.Warning{ID: "boundary",
				Text: fmt.Sprintf("The variance of %s is estimated as 0.", v.Grouping)})
		}
	}
	if !best.converged {
		m.Warnings = append(m.Warnings, stats.Warning{ID: "not-converged", Text: "The search for the variances did not converge."})
	}
	if names := m.inseparable(best.point); len(names) > 1 {
		m.Warnings = append(m.Warnings, stats.Warning{ID: "not-separable",
			Text: fmt.Sprintf("The data determine only a sum of the variances of %s, not each of them.", strings.Join(names, " and "))})
	}
	for _, a := range m.Aliased {
		m.Warnings = append(m.Warnings, stats.Warning{ID: "aliased",
			Text: fmt.Sprintf("The column %s depends on earlier columns and was dropped.", a)})
	}

	// Fixed part: s₁₁·γ = s₁₂ in units of the scaled residual, on top of the
	// least-squares coordinates.
	mm := p + 1
	s11 := mat.NewSymDense(p, nil)
	s12 := mat.NewVecDense(p, nil)
	for i := 0; i < p; i++ {
		for j := i; j < p; j++ {
			s11.SetSym(i, j, pc.s[i*mm+j].v)
		}
		s12.SetVec(i, pc.s[i*mm+p].v)
	}
	var ch mat.Cholesky
	m.cov = mat.NewSymDense(p, nil)
	m.gamma = append([]float64(nil), coord...)
	if ch.Factorize(s11) { // it has just been factored in eval; it cannot fail here
		var g mat.VecDense
		_ = ch.SolveVecTo(&g, s12)
		for i := range m.gamma {
			m.gamma[i] += g.AtVec(i) * scale
		}
		_ = ch.InverseTo(m.cov)
	}
	m.satt = newSatterthwaite(m, best.point)
}

// inseparable names the groupings along a direction in which the criterion is
// flat: the eigenvectors of its curvature, scaled to a diagonal of 1, with an
// eigenvalue that is 0 to rounding.
func (m *Model) inseparable(pt *point) []string {
	var in []int
	for a, t := range pt.theta {
		if t > 0 && pt.h.At(a, a) > 0 {
			in = append(in, a)
		}
	}
	if len(in) < 2 {
		return nil
	}
	h := mat.NewSymDense(len(in), nil)
	for i, a := range in {
		for j, b := range in {
			h.SetSym(i, j, pt.h.At(a, b)/math.Sqrt(pt.h.At(a, a)*pt.h.At(b, b)))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(h, true) || eig.Values(nil)[0] > 1e-7 {
		return nil
	}
	var vec mat.Dense
	eig.VectorsTo(&vec)
	var names []string
	for i, a := range in {
		if math.Abs(vec.At(i, 0)) > 1e-3 {
			names = append(names, m.data.Groups[a].Name)
		}
	}
	return names
}
