package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// Coefficient is a parameter in the units of x and y. Treatment is −1 for a
// parameter that all treatments share.
type Coefficient struct {
	Name      string  `json:"name"` // level, slope, curvature, low, high, mid, scale
	Treatment int     `json:"treatment"`
	Value     float64 `json:"value"`
	SE        float64 `json:"se"`
}

// FTest is a ratio of mean squares with its upper tail.
type FTest struct {
	F   float64 `json:"F"`
	DF1 float64 `json:"df1"`
	DF2 float64 `json:"df2"`
	P   float64 `json:"p"`
}

// Candidate is one fitted family. A candidate that could not take part has
// Excluded set and everything below it zero.
type Candidate struct {
	Family   Family `json:"family"`
	OwnSlope bool   `json:"own_slope"`
	Excluded string `json:"excluded,omitempty"`
	// NotPreferred marks the variant (common or own slope) of a family that
	// AICc did not choose; its weight is 0.
	NotPreferred bool    `json:"not_preferred,omitempty"`
	Params       int     `json:"params"`
	K            int     `json:"k"`
	RSS          float64 `json:"rss"` // in units of the covariance of the cells
	LogLik       float64 `json:"log_lik"`
	AICc         float64 `json:"aicc"`
	Weight       float64 `json:"weight"`

	Coef []Coefficient `json:"coefficients"`
	// LackOfFit compares the curve with free means; nil without repeats.
	LackOfFit *FTest       `json:"lack_of_fit,omitempty"`
	Fitted    []float64    `json:"-"` // curve at each row, blocks not included
	Residuals []float64    `json:"-"` // Y − Fitted − block effects
	Offset    float64      `json:"relative_offset"`
	Status    stats.Status `json:"status"`

	beta []float64
	cov  *mat.SymDense // of beta, with the cook error of the fit
	kern *kernel
}

// Fit is the weighted set of candidates.
type Fit struct {
	Candidates []Candidate     `json:"candidates"`
	Best       int             `json:"best"` // index of the largest weight
	ErrorFrom  ErrorFrom       `json:"error_from"`
	DF         int             `json:"df"` // of the cook error
	CookSD     []float64       `json:"cook_sd"`
	Warnings   []stats.Warning `json:"warnings,omitempty"`

	stage *Stage
	scale float64 // the cook error is scale·V
}

// defaults is the list of candidates for the options.
func (o Options) defaults() []Family {
	if o.Families != nil {
		return o.Families
	}
	if o.Scale != nil {
		return []Family{Constant, Line, Quadratic, Logistic2, Logistic4}
	}
	return []Family{Constant, Line, Quadratic, Logistic4}
}

// Fit fits every candidate and weighs it.
//
// With d distinct set points a family takes part when its parameters for one
// treatment are at most d − 1 (with two set points: Constant and Line; with one:
// Constant). AICc is computed from the maximum likelihood with
// K = mean parameters + block columns + 1 and n = cooks, and needs
// n − K − 1 ≥ 1 (Hurvich & Tsai 1989). Of the variants with a common and an own
// slope the one with the smaller AICc is kept; weights are exp(−Δ/2), summing
// to 1 over the families (Burnham & Anderson 2002, §2.9).
//
// Where so few cooks are there that only Constant could be weighed although the
// set points differ, Line is used alone and a warning "unweighed" says so: a
// flat curve for want of cooks would claim knowledge that is not there.
//
// Errors: ErrTooFew when not even that is possible.
func (s *Stage) Fit() (*Fit, error) {
	f := &Fit{stage: s, scale: 1, ErrorFrom: FromRepeats, DF: s.RepeatDF, Best: -1}
	gap := 2.0
	for i := 1; i < len(s.l.xs); i++ {
		gap = math.Min(gap, s.units.in(s.l.xs[i])-s.units.in(s.l.xs[i-1]))
	}
	for _, fam := range s.opt.defaults() {
		variants := []bool{false}
		if s.l.treatments > 1 && fam != Constant {
			variants = append(variants, true)
		}
		for _, own := range variants {
			f.Candidates = append(f.Candidates, s.candidate(fam, own, gap))
		}
	}
	weighed, line := 0, -1
	for i := range f.Candidates {
		c := &f.Candidates[i]
		if c.Family == Line && !c.OwnSlope && c.kern != nil {
			line = i
		}
		if c.Excluded == "" && c.Family != Constant {
			weighed++
		}
	}
	if weighed == 0 && line >= 0 && s.l.n-f.Candidates[line].Params-s.BlockCols >= 1 {
		for i := range f.Candidates {
			f.Candidates[i].Weight = 0
			if i != line && f.Candidates[i].Excluded == "" {
				f.Candidates[i].Excluded = "too few cooks to weigh shapes against each other"
			}
		}
		f.Candidates[line].Excluded = ""
		f.Candidates[line].Weight = 1
		f.Best = line
		need := f.Candidates[line].K + 2
		f.Warnings = append(f.Warnings, stats.Warning{ID: "unweighed", Need: float64(need),
			Text: fmt.Sprintf("%d cooks are too few to weigh shapes against each other: a straight line is used; %d cooks would do.", s.l.cooks, need)})
	} else {
		s.weigh(f.Candidates)
		for i := range f.Candidates {
			if f.Candidates[i].Weight > 0 && (f.Best < 0 || f.Candidates[i].Weight > f.Candidates[f.Best].Weight) {
				f.Best = i
			}
		}
	}
	if f.Best < 0 {
		return nil, fmt.Errorf("%w: %d cooks, %d needed for a level and its error", stats.ErrTooFew, s.l.cooks, 4+s.BlockCols)
	}
	if s.RepeatDF < minRepeatDF {
		// No repeats: the scatter about the best curve, with its own degrees.
		b := &f.Candidates[f.Best]
		df := s.l.n - b.Params - s.BlockCols
		f.DF = s.l.cooks - b.Params - s.BlockCols
		if f.DF < 1 || df < 1 {
			return nil, fmt.Errorf("%w: no set point was repeated, and %d cooks leave no scatter about a curve", stats.ErrTooFew, s.l.cooks)
		}
		f.scale = b.RSS / float64(df)
		f.ErrorFrom = FromCurve
		f.Warnings = append(f.Warnings, stats.Warning{ID: "cook-error-from-curve", Need: 2,
			Text: "Set points were not repeated often enough: the error of a cook is the scatter about the curve, and what a cook adds cannot be told from the set point. Two cooks per set point would be enough."})
	}
	for _, sd := range s.cellSD {
		f.CookSD = append(f.CookSD, sd*math.Sqrt(f.scale))
	}
	for i := range f.Candidates {
		if f.Candidates[i].Excluded == "" {
			f.describe(&f.Candidates[i])
		}
	}
	return f, nil
}

// shapeOK says why a family may not take part, or "".
func (s *Stage) shapeOK(fam Family, own bool) string {
	d := len(s.l.xs)
	switch {
	case fam == Constant:
		return ""
	case d == 1:
		return "one set point gives a description, no curve"
	case d == 2 && fam != Line:
		return "two set points give a line and no shape"
	case d > 2 && fam.Params() > d-1:
		return fmt.Sprintf("%d set points carry at most %d parameters", d, d-1)
	}
	if own {
		// A slope of its own needs a treatment that was seen to slope.
		seen := make(map[int]int)
		for _, c := range s.l.cells {
			seen[c.t]++
		}
		for t := range s.l.treatments {
			if seen[t] < min(d, 3) {
				return fmt.Sprintf("treatment %d was cooked at %d set points", t, seen[t])
			}
		}
	}
	return ""
}

// candidate fits one family by least squares on the reduced data.
func (s *Stage) candidate(fam Family, own bool, gap float64) Candidate {
	c := Candidate{Family: fam, OwnSlope: own}
	if c.Excluded = s.shapeOK(fam, own); c.Excluded != "" {
		return c
	}
	k := &kernel{shape: shape{family: fam, own: own, t: s.l.treatments}, c: s.c, k: s.k}
	if s.opt.Scale != nil {
		k.shape.scale = *s.opt.Scale
	}
	k.p = k.params()
	for _, cell := range s.l.cells {
		k.u = append(k.u, s.units.in(cell.x))
		k.tr = append(k.tr, cell.t)
	}
	if k.p > s.k || !k.prepare(gap) {
		c.Excluded = "blocks and treatments leave it without a unique solution"
		return c
	}
	c.Params, c.K, c.kern = k.p, k.p+s.BlockCols+1, k
	w := newScratch(k.p, k.k, len(k.u))
	c.beta = make([]float64, k.p)
	df := float64(s.l.n - s.BlockCols - k.p)
	if k.linear() {
		for a := range c.beta {
			c.beta[a] = dot(k.hat[a], s.t)
		}
		c.RSS = s.pure + k.residual(c.beta, s.t, w, w.r)
		c.Status = stats.Status{Converged: true, Iterations: 1}
	} else {
		o := k.search(c.beta, s.t, s.pure, math.Max(df, 1), 1e-9, 200, w)
		c.RSS, c.Offset = s.pure+o.rss, o.offset
		if math.IsInf(c.Offset, 0) {
			c.Offset = 0
		}
		c.Status = stats.Status{Converged: o.converged, Iterations: o.iterations, Boundary: o.onBound}
		if o.onBound {
			c.Status.Message = "a parameter stands on its bound: the data do not show both ends of the curve"
		}
		if !o.converged {
			c.Status.Message = "the curve did not settle"
		}
	}
	n := float64(s.l.n)
	c.LogLik = -n/2*(math.Log(2*math.Pi*math.Max(c.RSS, 1e-300)/n)+1) - s.logDet/2
	if s.l.cooks-c.K-1 < 1 {
		c.Excluded = fmt.Sprintf("%d cooks for %d parameters with blocks and error; %d needed", s.l.cooks, c.K, c.K+2)
		return c
	}
	c.AICc = -2*c.LogLik + penalty(c.K, s.l.cooks)
	return c
}

// penalty is 2K + 2K(K+1)/(n−K−1).
func penalty(k, n int) float64 {
	return 2*float64(k) + 2*float64(k*(k+1))/float64(n-k-1)
}

// search minimises from the best grid start; beta on entry is ignored.
func (k *kernel) search(beta, t []float64, pure, df, tol float64, maxIter int, w *scratch) outcome {
	k.begin(t, beta, w)
	return k.levenberg(beta, t, pure, df, tol, maxIter, w)
}

// weigh chooses the variant of each family and sets the weights.
func (s *Stage) weigh(cs []Candidate) {
	best := map[Family]int{}
	low := math.Inf(1)
	for i := range cs {
		if cs[i].Excluded != "" {
			continue
		}
		low = math.Min(low, cs[i].AICc)
		if j, ok := best[cs[i].Family]; !ok || cs[i].AICc < cs[j].AICc {
			best[cs[i].Family] = i
		}
	}
	sum := 0.0
	for i := range cs {
		if cs[i].Excluded != "" {
			continue
		}
		if best[cs[i].Family] != i {
			cs[i].NotPreferred = true
			continue
		}
		cs[i].Weight = math.Exp(-(cs[i].AICc - low) / 2)
		sum += cs[i].Weight
	}
	for i := range cs {
		cs[i].Weight /= sum
	}
}

// describe fills what a reader wants of a candidate: coefficients in the units
// of x, residuals and lack of fit.
func (f *Fit) describe(c *Candidate) {
	s, k := f.stage, c.kern
	w := newScratch(k.p, k.k, len(k.u))
	k.jacobian(c.beta, w)
	n := mat.NewSymDense(k.p, nil)
	for a := range k.p {
		for b := a; b < k.p; b++ {
			n.SetSym(a, b, dot(w.cj[a], w.cj[b]))
		}
	}
	var ch mat.Cholesky
	if ch.Factorize(n) && ch.Cond() < 1e14 {
		c.cov = new(mat.SymDense)
		if ch.InverseTo(c.cov) != nil {
			c.cov = nil
		} else {
			c.cov.ScaleSym(f.scale, c.cov)
		}
	}
	c.Coef = c.coefficients(s.units)

	// Residuals: whitened, with the block directions taken out, brought back.
	cell := make([]float64, len(k.u))
	for j, u := range k.u {
		cell[j] = k.mean(c.beta, u, k.tr[j])
	}
	l := s.l
	c.Fitted = make([]float64, l.n)
	white := make([]float64, l.n)
	for i := range l.n {
		c.Fitted[i] = cell[l.cell[i]]
		v := l.d.Y[i] - c.Fitted[i]
		for j := range i {
			v -= s.chol.At(i, j) * white[j]
		}
		white[i] = v / s.chol.At(i, i)
	}
	for _, q := range s.qb {
		h := dot(q, white)
		for i := range white {
			white[i] -= h * q[i]
		}
	}
	c.Residuals = make([]float64, l.n)
	for i := range l.n {
		for j := 0; j <= i; j++ {
			c.Residuals[i] += s.chol.At(i, j) * white[j]
		}
	}

	d1 := s.k - k.p
	d2 := l.n - s.BlockCols - s.k
	if f.ErrorFrom == FromRepeats && d1 > 0 && d2 > 0 && s.pure > 0 {
		df2 := d2
		if l.cooks < l.n {
			df2 = s.RepeatDF // the cook stratum decides about set points
		}
		lof := math.Max(0, c.RSS-s.pure) / float64(d1)
		ft := &FTest{F: lof / (s.pure / float64(d2)), DF1: float64(d1), DF2: float64(df2)}
		ft.P = distuv.F{D1: ft.DF1, D2: ft.DF2}.Survival(ft.F)
		c.LackOfFit = ft
	}
}

// coefficients translates inner parameters by the linear map of each family,
// with standard errors by the delta method (exact for the linear families).
func (c *Candidate) coefficients(un units) []Coefficient {
	k := c.kern
	p := k.p
	var out []Coefficient
	add := func(name string, t int, value float64, row []float64) {
		se := 0.0
		if c.cov != nil {
			for a := range p {
				for b := range p {
					se += row[a] * row[b] * c.cov.At(a, b)
				}
			}
		}
		out = append(out, Coefficient{name, t, value, math.Sqrt(math.Max(0, se))})
	}
	unit := func(at ...float64) []float64 { // pairs index, value
		r := make([]float64, p)
		for i := 0; i+1 < len(at); i += 2 {
			r[int(at[i])] += at[i+1]
		}
		return r
	}
	slopeOwner := func(t int) int {
		if k.own {
			return t
		}
		return -1
	}
	m, h := un.centre, un.half
	b := c.beta
	switch k.family {
	case Constant, Line, Quadratic, Logistic2:
		// η = level + slope·(x−m)/h + curvature·((x−m)/h)².
		q := p - 1
		curv := 0.0
		if k.family == Quadratic {
			curv = b[q]
		}
		for t := range k.t {
			row := unit(float64(t), 1)
			v := b[t]
			if k.family != Constant {
				v -= b[k.slopeAt(t)] * m / h
				row[k.slopeAt(t)] -= m / h
			}
			if k.family == Quadratic {
				v += curv * m * m / h / h
				row[q] += m * m / h / h
			}
			add("level", t, v, row)
		}
		if k.family != Constant {
			for i := range k.slopes() {
				at := k.slopeAt(i)
				row := unit(float64(at), 1/h)
				v := b[at] / h
				if k.family == Quadratic {
					v -= 2 * curv * m / h / h
					row[q] -= 2 * m / h / h
				}
				add("slope", slopeOwner(i), v, row)
			}
		}
		if k.family == Quadratic {
			add("curvature", -1, curv/h/h, unit(float64(q), 1/h/h))
		}
	default:
		e := k.ends()
		if e == 2 {
			add("low", -1, b[0], unit(0, 1))
		}
		add("high", -1, b[e-1], unit(float64(e-1), 1))
		for t := range k.t {
			add("mid", t, m+h*b[e+t], unit(float64(e+t), h))
		}
		for i := range k.slopes() {
			at := k.slopeAt(i)
			sc := h * math.Exp(b[at])
			add("scale", slopeOwner(i), sc, unit(float64(at), sc))
		}
	}
	return out
}

// margin is how far outside the cooked set points a curve may be read, as a
// share of their range. House rule.
const margin = 0.1

// At is the weighted mean curve of treatment t at x. outside is true beyond the
// cooked set points.
//
// Errors: ErrDomain for an unknown treatment, or x more than a tenth of the
// range outside; ErrNonFinite.
func (f *Fit) At(x float64, t int) (y float64, outside bool, err error) {
	outside, err = f.stage.inside(x, t)
	if err != nil {
		return 0, outside, err
	}
	u := f.stage.units.in(x)
	for i := range f.Candidates {
		if c := &f.Candidates[i]; c.Weight > 0 {
			y += c.Weight * c.kern.mean(c.beta, u, t)
		}
	}
	return y, outside, nil
}

func (s *Stage) inside(x float64, t int) (outside bool, err error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return false, fmt.Errorf("%w: x = %v", stats.ErrNonFinite, x)
	}
	if t < 0 || t >= s.l.treatments {
		return false, fmt.Errorf("%w: treatment %d of %d", stats.ErrDomain, t, s.l.treatments)
	}
	lo, hi := s.l.xs[0], s.l.xs[len(s.l.xs)-1]
	tol := 1e-9 * (1 + math.Abs(lo) + math.Abs(hi))
	outside = x < lo-tol || x > hi+tol
	if x < lo-margin*(hi-lo)-tol || x > hi+margin*(hi-lo)+tol {
		return outside, fmt.Errorf("%w: x = %v lies too far outside %v to %v", stats.ErrDomain, x, lo, hi)
	}
	return outside, nil
}

// Curve is candidate i at x for treatment t, with its standard error.
//
// Errors: as At; ErrSingular when the candidate has no covariance.
func (f *Fit) Curve(i int, x float64, t int) (y, se float64, err error) {
	if i < 0 || i >= len(f.Candidates) || f.Candidates[i].Excluded != "" {
		return 0, 0, fmt.Errorf("%w: no candidate %d", stats.ErrDomain, i)
	}
	if _, err := f.stage.inside(x, t); err != nil {
		return 0, 0, err
	}
	c := &f.Candidates[i]
	g := make([]float64, c.kern.p)
	y = c.kern.gradient(c.beta, f.stage.units.in(x), t, g)
	if c.cov == nil {
		return y, 0, fmt.Errorf("%w: parameters of %v", stats.ErrSingular, c.Family)
	}
	v := 0.0
	for a := range g {
		for b := range g {
			v += g[a] * g[b] * c.cov.At(a, b)
		}
	}
	return y, math.Sqrt(math.Max(0, v)), nil
}
