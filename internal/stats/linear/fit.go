package linear

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/vec"
)

// Options are the weights of a fit. At most one field may be set.
//
// Weights are positive, one per observation: the variance of observation i is
// sigma²/Weights[i]. Covariance is the covariance matrix of the observations up
// to the factor sigma², positive definite.
type Options struct {
	Weights    []float64
	Covariance *mat.SymDense
}

// Coefficient is one row of the table of coefficients. SE, T and P are 0 for an
// aliased coefficient, and where there are no residual degrees of freedom or no
// residual variation; P is two-sided on Fit.DF degrees of freedom.
type Coefficient struct {
	Name     string
	Estimate float64
	SE       float64
	T        float64
	P        float64
	Aliased  bool
}

// Alias says how an aliased column depends on the columns kept: the column is
// the sum of Weights[i] times the column Of[i]; terms of no weight are left out.
type Alias struct {
	Name    string
	Of      []string
	Weights []float64
}

// Fit is a fitted model. Residuals are y - fitted in the units of y, whatever
// the weights; RSS is the weighted sum of their squares and Sigma² = RSS/DF. R2
// is about the mean where a constant is in the span of the columns, about 0
// otherwise, and 0 when there is no variation to explain.
type Fit struct {
	Coefficients []Coefficient
	Aliases      []Alias
	N            int
	Rank         int
	DF           int
	RSS          float64
	Sigma        float64
	R2           float64
	AdjustedR2   float64
	Fitted       []float64
	Residuals    []float64
	Warnings     []stats.Warning

	x      *mat.Dense
	y      []float64
	white  whitener
	sys    system
	scale  []float64 // of each column of x
	yscale float64
	z      []dd        // coefficients of the kept, scaled columns and scaled y
	rw     []float64   // whitened, scaled residuals
	rinv   [][]float64 // column k of R⁻¹: k+1 entries
	s      float64     // sigma in scaled units
	mss    float64     // explained sum of squares, scaled units
	centre bool        // the constant is in the span of the columns
	matrix *frame.Matrix
}

// maxCells bounds rows × columns.
const maxCells = 100_000_000

// New fits y on the columns of x, which are named by names. Errors:
// stats.ErrEmpty, stats.ErrLengths, stats.ErrNonFinite (also when sums of squares
// overflow), stats.ErrDomain for weights that are not positive,
// stats.ErrSingular for a covariance that is not positive definite and for
// columns that are all 0, stats.ErrTooLarge. A model with as many coefficients
// as observations is fitted, with the warning "saturated"; one whose residuals
// are rounding error has the warning "perfect-fit" and residuals of exactly 0.
func New(x mat.Matrix, names []string, y []float64, opt Options) (*Fit, error) {
	if x == nil || len(y) == 0 {
		return nil, fmt.Errorf("%w: a fit needs columns and observations", stats.ErrEmpty)
	}
	n, p := x.Dims()
	if p == 0 {
		return nil, fmt.Errorf("%w: no columns", stats.ErrEmpty)
	}
	if n > maxCells/p {
		return nil, fmt.Errorf("%w: %d rows by %d columns", stats.ErrTooLarge, n, p)
	}
	if err := stats.CheckLengths("y", len(y), "the model matrix", n); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("names", len(names), "columns", p); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("y", y); err != nil {
		return nil, err
	}
	white, err := newWhitener(opt, n)
	if err != nil {
		return nil, err
	}
	f := &Fit{N: n, x: mat.DenseCopyOf(x), y: append([]float64{}, y...), white: white}
	cols := make([][]float64, p)
	f.scale = make([]float64, p)
	for j := range cols {
		c := mat.Col(nil, j, f.x)
		if err := stats.CheckFinite(names[j], c); err != nil {
			return nil, err
		}
		white.apply(c)
		if err := stats.CheckFinite("weighted "+names[j], c); err != nil {
			return nil, err
		}
		f.scale[j] = scaleColumn(c)
		cols[j] = c
	}
	yw := append([]float64{}, y...)
	white.apply(yw)
	if err := stats.CheckFinite("weighted y", yw); err != nil {
		return nil, err
	}
	f.yscale = scaleColumn(yw)

	f.sys.qr = decompose(cols, n, rankTolerance, nil)
	f.Rank = f.sys.qr.rank()
	if f.Rank == 0 {
		return nil, fmt.Errorf("%w: every column is 0", stats.ErrSingular)
	}
	f.DF = n - f.Rank
	for _, j := range f.sys.qr.kept {
		f.sys.a = append(f.sys.a, cols[j])
	}
	f.rw, f.z = f.sys.solve(yw, make([]float64, f.Rank))
	f.rinv = f.invertR()
	f.summarise(yw)
	f.tabulate(names)
	f.nameAliases(names)
	for _, v := range append([]float64{f.RSS, f.Sigma}, f.Fitted...) {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return nil, fmt.Errorf("%w: the sums of squares overflow; use larger units", stats.ErrNonFinite)
		}
	}
	for _, c := range f.Coefficients {
		if v := c.Estimate + c.SE; math.IsInf(v, 0) || math.IsNaN(v) {
			return nil, fmt.Errorf("%w: the coefficient of %s overflows; use other units", stats.ErrNonFinite, c.Name)
		}
	}
	return f, nil
}

// NewFrame fits y on a model matrix; Anova needs a fit made here. Errors as New.
func NewFrame(m *frame.Matrix, y []float64, opt Options) (*Fit, error) {
	if m == nil || m.X == nil {
		return nil, fmt.Errorf("%w: no model matrix", stats.ErrEmpty)
	}
	f, err := New(m.X, m.Names, y, opt)
	if err != nil {
		return nil, err
	}
	f.matrix = m
	return f, nil
}

// scaleColumn brings the length of c to [0.5, 1) by a power of two and returns
// that power.
func scaleColumn(c []float64) float64 {
	s := powerOfTwo(vec.Norm(c))
	for i := range c {
		c[i] *= s
	}
	return s
}

// summarise fills residuals, sums of squares and R².
func (f *Fit) summarise(yw []float64) {
	// Residuals within a few units in the last place of y are rounding error of
	// the data, not variation.
	if vec.Norm(f.rw) <= 4*0x1p-52*vec.Norm(yw) {
		clear(f.rw)
		f.Warnings = append(f.Warnings, stats.Warning{ID: "perfect-fit",
			Text: "The model reproduces the data to rounding error; no error can be estimated from it."})
	}
	if f.DF == 0 {
		clear(f.rw)
		f.Warnings = append(f.Warnings, stats.Warning{ID: "saturated",
			Text: "As many coefficients as observations: no residual is left to judge them by.", Need: float64(f.N + 1)})
	}
	rss := dotDD(f.rw, f.rw)
	if f.DF > 0 {
		f.s = math.Sqrt(rss / float64(f.DF))
	}
	f.RSS = rss / f.yscale / f.yscale
	f.Sigma = f.s / f.yscale
	f.Residuals = make([]float64, f.N)
	for i, r := range f.rw {
		f.Residuals[i] = r / f.yscale
	}
	f.white.undo(f.Residuals)
	f.Fitted = make([]float64, f.N)
	for i, r := range f.Residuals {
		f.Fitted[i] = f.y[i] - r
	}
	// Is the (whitened) constant in the span of the columns?
	one := make([]float64, f.N)
	for i := range one {
		one[i] = 1
	}
	f.white.apply(one)
	projected := append([]float64{}, one...)
	f.sys.qr.applyQT(projected)
	f.centre = vec.Norm(projected[f.Rank:]) <= 1e-9*vec.Norm(one)
	// The whitened total about the mean, from which the residuals are taken to
	// get the explained part without cancellation.
	mean := dd{}
	if f.centre {
		mean = weightedMean(yw, one)
	}
	var explained float64
	for i, v := range yw {
		d := twoSum(v, 0).sub(mean.mulFloat(one[i])).addFloat(-f.rw[i]).float()
		explained += d * d
	}
	f.mss = explained
	if total := f.mss + rss; total > 0 {
		f.R2 = f.mss / total
		if c := f.constants(); f.DF > 0 {
			f.AdjustedR2 = 1 - rss/total*float64(f.N-c)/float64(f.DF)
		}
	}
}

// constants is 1 when the model spans a constant.
func (f *Fit) constants() int {
	if f.centre {
		return 1
	}
	return 0
}

// weightedMean is the coefficient of y on the single column one.
func weightedMean(y, one []float64) dd {
	var num, den dd
	for i, v := range y {
		num = num.add(twoProd(v, one[i]))
		den = den.add(twoProd(one[i], one[i]))
	}
	return num.div(den)
}

func (f *Fit) needDF() error {
	if f.DF == 0 {
		return fmt.Errorf("%w: %d observations for %d coefficients leave none to judge them by", stats.ErrTooFew, f.N, f.Rank)
	}
	return nil
}
