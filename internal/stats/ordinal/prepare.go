package ordinal

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// problem is a checked data set with its model and the way back from internal
// coordinates to the caller's: ψ = back·ψ_internal.
type problem struct {
	model
	opt                       Options
	codes, empty              []int
	kept, place               []int // rows of the caller's data that count, and their categories
	basis                     [][]float64
	names                     []string // of ψ in order
	nAlpha, nNominal          int
	nominal, location, spread columns
	back                      *mat.Dense
	start                     []float64
	aliased                   []string
	warnings                  []stats.Warning
	total                     float64 // sum of the weights
}

func newProblem(d Data, opt Options) (*problem, error) {
	if err := opt.Link.check(); err != nil {
		return nil, err
	}
	if opt.Thresholds < Flexible || opt.Thresholds > Symmetric {
		return nil, fmt.Errorf("%w: thresholds %d", stats.ErrDomain, int(opt.Thresholds))
	}
	kept, w, err := readWeights(d)
	if err != nil {
		return nil, err
	}
	pr := &problem{opt: opt, kept: kept}
	n := len(d.Y)
	if pr.nominal, err = readColumns("Nominal", d.Nominal, d.NominalNames, n, kept, "nominal"); err != nil {
		return nil, err
	}
	if pr.location, err = readColumns("X", d.X, d.Names, n, kept, "x"); err != nil {
		return nil, err
	}
	if pr.spread, err = readColumns("Spread", d.Spread, d.SpreadNames, n, kept, "spread"); err != nil {
		return nil, err
	}
	if pr.nominal.width() > 0 && opt.Thresholds != Flexible {
		return nil, fmt.Errorf("%w: nominal effects need flexible thresholds", stats.ErrDomain)
	}
	if pr.codes, pr.place, pr.empty, err = categories(pick(d.Y, kept), d.Scale); err != nil {
		return nil, err
	}
	if len(pr.empty) > 0 {
		pr.warnings = append(pr.warnings, stats.Warning{ID: "empty-category",
			Text: fmt.Sprintf("Nobody used %s; the scale was closed up over the gap.", joinInts(pr.empty))})
	}

	// Location columns are centred: a mean far from 0 would otherwise tie them
	// to the thresholds. Spread columns are not, because their centre would
	// change all other estimates by a factor.
	pr.nominal.standardise(true)
	pr.location.standardise(true)
	pr.spread.standardise(false)
	pr.aliased = append(pr.aliased, pr.nominal.dropAliased()...)
	pr.aliased = append(pr.aliased, pr.location.dropAliased(pr.nominal)...)
	pr.aliased = append(pr.aliased, pr.spread.dropAliased()...)
	if len(pr.aliased) > 0 {
		pr.warnings = append(pr.warnings, stats.Warning{ID: "aliased",
			Text: "Not separable from the thresholds or the columns before, and left out: " + strings.Join(pr.aliased, ", ") + "."})
	}

	var alphaNames []string
	var shift []float64
	pr.basis, alphaNames, shift = opt.Thresholds.basis(pr.codes)
	k := len(pr.codes) - 1
	pr.nAlpha, pr.nNominal = len(alphaNames), k*pr.nominal.width()
	pr.p = pr.nAlpha + pr.nNominal + pr.location.width()
	pr.q = pr.spread.width()
	pr.link, pr.w, pr.z = opt.Link, w, pr.spread.rows
	pr.names = append(pr.names, alphaNames...)
	for _, name := range pr.nominal.names {
		for j := range k {
			pr.names = append(pr.names, fmt.Sprintf("%d|%d.%s", pr.codes[j], pr.codes[j+1], name))
		}
	}
	pr.names = append(pr.names, pr.location.names...)
	pr.names = append(pr.names, pr.spread.names...)

	pr.upper, pr.lower = make([][]float64, len(w)), make([][]float64, len(w))
	for i, c := range pr.place {
		if c < k {
			pr.upper[i] = pr.row(c, pr.nominal.rows[i], pr.location.rows[i])
		}
		if c > 0 {
			pr.lower[i] = pr.row(c-1, pr.nominal.rows[i], pr.location.rows[i])
		}
		pr.total += w[i]
	}
	pr.back = pr.wayBack(shift)
	if pr.start, err = pr.startValues(); err != nil {
		return nil, err
	}
	return pr, nil
}

// row is the linear form of threshold j for standardised columns.
func (pr *problem) row(j int, nominal, location []float64) []float64 {
	r := make([]float64, pr.p)
	copy(r, pr.basis[j])
	k := len(pr.codes) - 1
	for t, v := range nominal {
		r[pr.nAlpha+t*k+j] = v
	}
	for t, v := range location {
		r[pr.nAlpha+pr.nNominal+t] = -v
	}
	return r
}

// wayBack builds ψ = back·ψ_internal. With column x = mean + scale·x', the
// effect is β = γ/scale, and θ moves by +γ·mean/scale (nominal: −, at its own
// threshold), because θ' − γx' = θ' + γ·mean/scale − βx.
func (pr *problem) wayBack(shift []float64) *mat.Dense {
	n := pr.size()
	back := mat.NewDense(n, n, nil)
	for j := range pr.nAlpha {
		back.Set(j, j, 1)
	}
	k := len(pr.codes) - 1
	for t := range pr.nominal.names {
		for j := range k {
			c := pr.nAlpha + t*k + j
			back.Set(c, c, 1/pr.nominal.scale[t])
			back.Set(j, c, -pr.nominal.mean[t]/pr.nominal.scale[t])
		}
	}
	for t := range pr.location.names {
		c := pr.nAlpha + pr.nNominal + t
		back.Set(c, c, 1/pr.location.scale[t])
		for j := range pr.nAlpha {
			back.Set(j, c, shift[j]*pr.location.mean[t]/pr.location.scale[t])
		}
	}
	for t := range pr.spread.names {
		back.Set(pr.p+t, pr.p+t, 1/pr.spread.scale[t])
	}
	return back
}

// startValues are the thresholds that fit the plain shares of the categories,
// projected on the threshold structure by least squares; all effects are 0.
func (pr *problem) startValues() ([]float64, error) {
	k := len(pr.codes) - 1
	counts := make([]float64, k+1)
	for i, c := range pr.place {
		counts[c] += pr.w[i]
	}
	theta := mat.NewVecDense(k, nil)
	below := 0.0
	for j := range k {
		below += counts[j]
		share := below / pr.total
		// Extreme weights can round a share to 0 or 1.
		share = math.Min(math.Max(share, 1e-12), 1-1e-12)
		theta.SetVec(j, pr.link.quantile(share))
	}
	start := make([]float64, pr.size())
	if pr.opt.Thresholds == Flexible {
		copy(start, theta.RawVector().Data)
		return start, nil
	}
	T := mat.NewDense(k, pr.nAlpha, nil)
	for j, r := range pr.basis {
		T.SetRow(j, r)
	}
	var alpha mat.VecDense
	if err := alpha.SolveVec(T, theta); err != nil {
		return nil, fmt.Errorf("%w: threshold structure: %v", stats.ErrSingular, err)
	}
	copy(start, alpha.RawVector().Data)
	// Projected thresholds may touch; then equal steps of the same span serve.
	for j := 1; j < k; j++ {
		if dot(pr.basis[j], start) <= dot(pr.basis[j-1], start) {
			step := math.Max((theta.AtVec(k-1)-theta.AtVec(0))/float64(k-1), 0.1)
			for i := range k {
				theta.SetVec(i, (float64(i)-float64(k-1)/2)*step)
			}
			if err := alpha.SolveVec(T, theta); err != nil {
				return nil, fmt.Errorf("%w: threshold structure: %v", stats.ErrSingular, err)
			}
			copy(start, alpha.RawVector().Data)
			break
		}
	}
	return start, nil
}

// recession reports whether moving along d never lowers the probability of any
// row and raises at least one: the upper bounds rise or stay, the lower bounds
// fall or stay. Then the likelihood has no finite maximum (Albert & Anderson
// 1984 for two categories; the same argument holds for cumulative models).
func (pr *problem) recession(d []float64) bool {
	const still, moves = 1e-4, 1e-2 // d has largest entry 1
	strict := false
	for i := range pr.w {
		if r := pr.upper[i]; r != nil {
			v := dot(r, d)
			if v < -still {
				return false
			}
			strict = strict || v > moves
		}
		if r := pr.lower[i]; r != nil {
			v := dot(r, d)
			if v > still {
				return false
			}
			strict = strict || v < -moves
		}
	}
	return strict
}

func joinInts(xs []int) string {
	parts := make([]string, len(xs))
	for i, x := range xs {
		parts[i] = fmt.Sprint(x)
	}
	return strings.Join(parts, ", ")
}
