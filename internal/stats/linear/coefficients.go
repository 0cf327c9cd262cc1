package linear

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/dist"
)

// invertR returns the columns of R⁻¹.
func (f *Fit) invertR() [][]float64 {
	out := make([][]float64, f.Rank)
	for k := range out {
		c := make([]float64, k+1)
		c[k] = 1
		for i := k; i >= 0; i-- {
			c[i] /= f.sys.qr.r[i][i]
			for j := range i {
				c[j] -= c[i] * f.sys.qr.r[i][j]
			}
		}
		out[k] = c
	}
	return out
}

// tabulate fills the table of coefficients.
func (f *Fit) tabulate(names []string) {
	f.Coefficients = make([]Coefficient, len(names))
	for j, n := range names {
		f.Coefficients[j] = Coefficient{Name: n, Aliased: true}
	}
	variance := f.unscaledVariances()
	for k, j := range f.sys.qr.kept {
		c := &f.Coefficients[j]
		c.Aliased = false
		c.Estimate = f.z[k].float() * f.scale[j] / f.yscale
		se := f.s * math.Sqrt(variance[k])
		c.SE = se * f.scale[j] / f.yscale
		if se > 0 {
			c.T = f.z[k].float() / se
			c.P = twoSided(c.T, f.DF)
		}
	}
}

// Ill-conditioned systems of at most refinedColumns columns get variances by
// refinement as well, since R⁻¹ alone is only good to condition × 1e-16.
const (
	refinedColumns   = 40
	refinedCondition = 1e4
)

// unscaledVariances is the diagonal of (AᵀA)⁻¹.
func (f *Fit) unscaledVariances() []float64 {
	v := make([]float64, f.Rank)
	for _, c := range f.rinv {
		for i, x := range c {
			v[i] += x * x
		}
	}
	if f.Rank > refinedColumns || maxOf(v) < refinedCondition*refinedCondition {
		return v
	}
	zero, g := make([]float64, f.N), make([]float64, f.Rank)
	for k := range v {
		g[k] = -1
		if _, z := f.sys.solve(zero, g); z[k].hi > 0 {
			v[k] = z[k].float()
		}
		g[k] = 0
	}
	return v
}

func maxOf(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}

// Covariance is the covariance matrix of the coefficients; rows and columns of
// aliased ones are 0. It returns stats.ErrTooFew without residual degrees of
// freedom.
func (f *Fit) Covariance() (*mat.SymDense, error) {
	if err := f.needDF(); err != nil {
		return nil, err
	}
	out := mat.NewSymDense(len(f.Coefficients), nil)
	for i := range f.Rank {
		for j := i; j < f.Rank; j++ {
			v := 0.0
			for k := j; k < f.Rank; k++ { // R⁻¹ is upper triangular
				v += f.rinv[k][i] * f.rinv[k][j]
			}
			a, b := f.sys.qr.kept[i], f.sys.qr.kept[j]
			unit := f.s / f.yscale
			out.SetSym(a, b, v*(unit*f.scale[a])*(unit*f.scale[b]))
		}
	}
	return out, nil
}

// nameAliases says how the dropped columns follow from the kept ones.
func (f *Fit) nameAliases(names []string) {
	q := f.sys.qr
	for d, j := range q.dropped {
		c := make([]float64, f.Rank)
		copy(c, q.alias[d])
		// Only the columns kept before j have entries, and R is triangular.
		q.solveR(c)
		a := Alias{Name: names[j]}
		for k, w := range c {
			w *= f.scale[q.kept[k]] / f.scale[j]
			// Judged by contribution: weight × length of the kept column.
			if math.Abs(c[k]) > 1e-8 {
				a.Of = append(a.Of, names[q.kept[k]])
				a.Weights = append(a.Weights, w)
			}
		}
		f.Aliases = append(f.Aliases, a)
	}
}

// twoSided is the p-value of t; the arguments are known to be valid.
func twoSided(t float64, df int) float64 {
	p, err := dist.TTwoSided(t, float64(df))
	if err != nil {
		return 0
	}
	return p
}
