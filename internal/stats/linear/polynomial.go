package linear

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// Polynomial is a polynomial in x fitted by least squares. Coefficients are
// those of 1, x, x², … .
type Polynomial struct {
	Coefficients []Coefficient
	N            int
	DF           int
	RSS          float64
	ModelSS      float64 // explained, about the mean
	Sigma        float64
	R2           float64
	Fitted       []float64
	Residuals    []float64
	Warnings     []stats.Warning

	alpha, norm, beta []dd // recurrence, squared lengths, coefficients
	centre            dd
	width             float64
}

// maxDegree bounds the degree of a polynomial.
const maxDegree = 20

// FitPolynomial fits a polynomial by orthogonal polynomials (Forsythe 1957,
// J. SIAM 5(2):74), all in double-double arithmetic, so the coefficients of the
// plain powers are right to nearly all digits of a double even where the powers
// are ill-conditioned (NIST Filip, degree 10). What remains is the rounding of
// the data themselves. Errors: stats.ErrLengths, stats.ErrEmpty,
// stats.ErrNonFinite, stats.ErrDomain for a degree outside 0 … 20,
// stats.ErrTooFew for fewer distinct x than coefficients.
func FitPolynomial(x, y []float64, degree int) (*Polynomial, error) {
	if err := stats.CheckSample("x", x); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("y", y); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return nil, err
	}
	if degree < 0 || degree > maxDegree {
		return nil, fmt.Errorf("%w: degree %d, 0 to %d wanted", stats.ErrDomain, degree, maxDegree)
	}
	distinct := slices.Clone(x)
	slices.Sort(distinct)
	if d := len(slices.Compact(distinct)); d <= degree {
		return nil, fmt.Errorf("%w: %d distinct values for degree %d, %d needed", stats.ErrTooFew, d, degree, degree+1)
	}
	p := &Polynomial{N: len(x), DF: len(x) - degree - 1}
	if err := p.fit(x, y, degree); err != nil {
		return nil, err
	}
	return p, nil
}

// fit runs the recurrence on z = (x - centre)/width, width a power of two, and
// collects the coefficients of the powers of x along the way.
func (p *Polynomial) fit(x, y []float64, degree int) error {
	lo, hi := slices.Min(x), slices.Max(x)
	p.centre = twoSum(lo/2, hi/2)
	p.width = 1 / powerOfTwo(hi/2-lo/2)
	n := len(x)
	z, cur, prev, rest := make([]dd, n), make([]dd, n), make([]dd, n), make([]dd, n)
	ymean := meanDD(y, nil)
	yscale := powerOfTwo(math.Max(math.Abs(slices.Max(y)), math.Abs(slices.Min(y))))
	for i := range z {
		z[i] = twoSum(x[i], 0).sub(p.centre).mulFloat(1 / p.width)
		cur[i] = dd{hi: 1}
		rest[i] = twoSum(y[i], 0).sub(ymean).mulFloat(yscale)
	}
	// powers[j] are the coefficients of orthogonal polynomial j in powers of x.
	powers := [][]dd{{{hi: 1}}}
	var total dd
	for _, r := range rest {
		total = total.add(r.mul(r))
	}
	for j := 0; j <= degree; j++ {
		var nn, a, c dd
		for i := range cur {
			sq := cur[i].mul(cur[i])
			nn = nn.add(sq)
			a = a.add(sq.mul(z[i]))
			c = c.add(cur[i].mul(rest[i]))
		}
		if !(nn.hi > 0) {
			return fmt.Errorf("%w: the values of x are too close for degree %d", stats.ErrSingular, degree)
		}
		alpha, coef, ratio := a.div(nn), c.div(nn), dd{}
		if j > 0 {
			ratio = nn.div(p.norm[j-1])
		}
		p.alpha, p.norm, p.beta = append(p.alpha, alpha), append(p.norm, nn), append(p.beta, coef)
		for i := range cur {
			rest[i] = rest[i].sub(coef.mul(cur[i])) // residuals of degree j
			next := z[i].sub(alpha).mul(cur[i]).sub(ratio.mul(prev[i]))
			cur[i], prev[i] = next, cur[i]
		}
		powers = append(powers, p.nextPowers(powers, alpha, ratio))
	}
	return p.summarise(y, rest, powers[:degree+1], total, ymean, yscale)
}

// nextPowers applies the recurrence to coefficients: z = (x - centre)/width.
func (p *Polynomial) nextPowers(powers [][]dd, alpha, ratio dd) []dd {
	j := len(powers) - 1
	shift := p.centre.mulFloat(1 / p.width).add(alpha)
	out := make([]dd, j+2)
	for k, c := range powers[j] {
		out[k+1] = out[k+1].add(c.mulFloat(1 / p.width))
		out[k] = out[k].sub(shift.mul(c))
	}
	if j > 0 {
		for k, c := range powers[j-1] {
			out[k] = out[k].sub(ratio.mul(c))
		}
	}
	return out
}

func (p *Polynomial) summarise(y []float64, rest []dd, powers [][]dd, total, ymean dd, yscale float64) error {
	degree := len(powers) - 1
	var rss dd
	for _, r := range rest {
		rss = rss.add(r.mul(r))
	}
	largest := math.Max(math.Abs(slices.Max(y)), math.Abs(slices.Min(y))) * yscale
	if math.Sqrt(rss.hi) <= 4*0x1p-52*largest*math.Sqrt(float64(p.N)) || p.DF == 0 {
		rss = dd{}
		clear(rest)
		p.Warnings = append(p.Warnings, stats.Warning{ID: "perfect-fit",
			Text: "The curve reproduces the data to rounding error; no error can be estimated from it."})
	}
	s := 0.0
	if p.DF > 0 {
		s = math.Sqrt(rss.float() / float64(p.DF))
	}
	p.RSS, p.Sigma = rss.float()/yscale/yscale, s/yscale
	p.ModelSS = total.sub(rss).float() / yscale / yscale
	if total.hi > 0 {
		p.R2 = total.sub(rss).div(total).float()
	}
	p.Residuals, p.Fitted = make([]float64, p.N), make([]float64, p.N)
	for i, r := range rest {
		p.Residuals[i] = r.float() / yscale
		p.Fitted[i] = y[i] - p.Residuals[i]
	}
	for j := range p.beta {
		p.beta[j] = p.beta[j].mulFloat(1 / yscale)
	}
	p.beta[0] = p.beta[0].add(ymean)
	for k := 0; k <= degree; k++ {
		var b, v dd
		for j := k; j <= degree; j++ {
			b = b.add(p.beta[j].mul(powers[j][k]))
			v = v.add(powers[j][k].mul(powers[j][k]).div(p.norm[j]))
		}
		c := Coefficient{Name: fmt.Sprintf("x^%d", k), Estimate: b.float(), SE: p.Sigma * math.Sqrt(v.float())}
		if c.SE > 0 {
			c.T = c.Estimate / c.SE
			c.P = twoSided(c.T, p.DF)
		}
		if err := finite(c.Estimate, c.SE, c.T, p.RSS, p.ModelSS); err != nil {
			return err
		}
		p.Coefficients = append(p.Coefficients, c)
	}
	return nil
}

// At is the curve at x with its standard error, the confidence interval of the
// mean and the interval for a new observation. Errors: stats.ErrNonFinite,
// stats.ErrDomain for a level outside (0, 1), stats.ErrTooFew without residual
// degrees of freedom.
func (p *Polynomial) At(x, level float64) (Prediction, error) {
	if err := stats.CheckFinite("x", []float64{x}); err != nil {
		return Prediction{}, err
	}
	t, err := criticalT(level, float64(p.DF))
	if err != nil {
		return Prediction{}, err
	}
	z := twoSum(x, 0).sub(p.centre).mulFloat(1 / p.width)
	cur, prev := dd{hi: 1}, dd{}
	var mean, v dd
	for j := range p.beta {
		mean = mean.add(p.beta[j].mul(cur))
		v = v.add(cur.mul(cur).div(p.norm[j]))
		ratio := dd{}
		if j > 0 {
			ratio = p.norm[j].div(p.norm[j-1])
		}
		cur, prev = z.sub(p.alpha[j]).mul(cur).sub(ratio.mul(prev)), cur
	}
	out := Prediction{Mean: mean.float(), SE: p.Sigma * math.Sqrt(v.float())}
	half, wide := t*out.SE, t*math.Hypot(p.Sigma, out.SE)
	out.Interval = stats.Interval{Low: out.Mean - half, High: out.Mean + half, Level: level}
	out.New = stats.Interval{Low: out.Mean - wide, High: out.Mean + wide, Level: level}
	return out, finite(out.Mean, out.SE, out.New.Low, out.New.High)
}
