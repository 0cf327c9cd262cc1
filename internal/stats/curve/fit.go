package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

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
	return k.levenberg(beta, t, pure, df, stop{tol: tol, maxIter: maxIter}, w)
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
