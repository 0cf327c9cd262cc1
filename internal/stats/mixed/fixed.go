package mixed

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Coef is a fixed coefficient. Aliased ones have no estimate: all their numbers
// are 0.
type Coef struct {
	Name     string
	Estimate float64
	SE       float64
	DF       float64
	T        float64
	P        float64
	Aliased  bool
}

// Estimate is an estimated linear function of the fixed coefficients with its
// standard error, degrees of freedom and the two-sided test that it is 0.
type Estimate struct {
	Estimate float64
	SE       float64
	DF       float64
	T        float64
	P        float64
}

// Interval is the t interval at the given level (0.95 …). stats.ErrDomain for a
// level outside (0, 1).
func (e Estimate) Interval(level float64) (stats.Interval, error) {
	if !(level > 0 && level < 1) {
		return stats.Interval{}, fmt.Errorf("%w: level %v, a number between 0 and 1 needed", stats.ErrDomain, level)
	}
	q, err := dist.TQuantile((1-level)/2, e.DF)
	if err != nil {
		return stats.Interval{}, err
	}
	h := -q * e.SE
	return stats.Interval{Low: e.Estimate - h, High: e.Estimate + h, Level: level}, nil
}

// Method chooses how standard errors and degrees of freedom are found.
type Method int

const (
	// Satterthwaite: the model's own covariance; degrees of freedom by the
	// method of moments (Kuznetsova, Brockhoff & Christensen 2017, J. Stat.
	// Softw. 82(13)).
	Satterthwaite Method = iota
	// KenwardRoger: the covariance adjusted for estimating the variances and
	// the degrees of freedom of Kenward & Roger 1997 (Biometrics 53:983). REML
	// only, at most MaxKenwardRows rows.
	KenwardRoger
)

func (m Method) String() string {
	if m == KenwardRoger {
		return "Kenward-Roger"
	}
	return "Satterthwaite"
}

// Coefficients are the fixed coefficients in the order of the columns.
func (m *Model) Coefficients(method Method) ([]Coef, error) {
	out := make([]Coef, len(m.Names))
	for j, name := range m.Names {
		out[j].Name = name
		if m.b.alias[j] != nil {
			out[j].Aliased = true
			continue
		}
		l := make([]float64, len(m.Names))
		l[j] = 1
		// A coefficient of a column is the function that is 1 there whatever the
		// dropped columns would add.
		e, err := m.estimate(m.reduce(l), method)
		if err != nil {
			return nil, err
		}
		out[j] = Coef{Name: name, Estimate: e.Estimate, SE: e.SE, DF: e.DF, T: e.T, P: e.P}
	}
	return out, nil
}

// Beta are the coefficients of all columns, 0 for the aliased ones.
func (m *Model) Beta() []float64 {
	v := append([]float64(nil), m.gamma...)
	for k := range v {
		v[k] += m.center * m.coordC[k]
	}
	m.b.backSolve(v)
	out := make([]float64, len(m.Names))
	for k, j := range m.b.kept {
		out[j] = v[k]
	}
	return out
}

// Covariance is the covariance of the coefficients of all columns, with rows
// and columns of 0 for the aliased ones.
func (m *Model) Covariance() *mat.SymDense {
	out := m.spread(m.cov)
	out.ScaleSym(m.Sigma2, out)
	return out
}

// spread turns a covariance in the basis into one of the coefficients.
func (m *Model) spread(c *mat.SymDense) *mat.SymDense {
	p := m.P
	half := mat.NewDense(p, p, nil) // r⁻¹c, then r⁻¹(r⁻¹c)'
	for pass := 0; pass < 2; pass++ {
		for j := 0; j < p; j++ {
			v := make([]float64, p)
			for i := range v {
				if pass == 0 {
					v[i] = c.At(i, j)
				} else {
					v[i] = half.At(j, i)
				}
			}
			m.b.backSolve(v)
			if pass == 0 {
				half.SetCol(j, v)
			} else {
				// row j of half is no longer needed once it has been used
				half.SetRow(j, v)
			}
		}
	}
	out := mat.NewSymDense(len(m.Names), nil)
	for a, i := range m.b.kept {
		for b, j := range m.b.kept {
			if b >= a {
				out.SetSym(i, j, (half.At(a, b)+half.At(b, a))/2)
			}
		}
	}
	return out
}

// reduce drops the entries of l at aliased columns and expresses the function
// in the basis.
func (m *Model) reduce(l []float64) []float64 {
	out := make([]float64, m.P)
	for k, j := range m.b.kept {
		out[k] = l[j]
	}
	m.b.transSolve(out)
	return out
}

// estimable checks a function of all coefficients: on the dropped columns it
// must be what the same combination of kept columns gives.
func (m *Model) estimable(l []float64) error {
	if err := stats.CheckLengths("the contrast", len(l), "the fixed columns", len(m.Names)); err != nil {
		return err
	}
	if err := stats.CheckFinite("the contrast", l); err != nil {
		return err
	}
	for j, a := range m.b.alias {
		if a == nil {
			continue
		}
		want, size := 0.0, math.Abs(l[j])
		for k, c := range a {
			want += c * l[m.b.kept[k]]
			size = math.Max(size, math.Abs(c*l[m.b.kept[k]]))
		}
		if math.Abs(l[j]-want) > 1e-8*size {
			return fmt.Errorf("%w: the contrast needs the column %s, which depends on others", stats.ErrSingular, m.Names[j])
		}
	}
	return nil
}

// Contrast estimates Σ l_j β_j. Errors: stats.ErrLengths, stats.ErrNonFinite,
// stats.ErrSingular when it is not estimable, stats.ErrNoVariation when l is 0,
// and those of the method.
func (m *Model) Contrast(l []float64, method Method) (Estimate, error) {
	if err := m.estimable(l); err != nil {
		return Estimate{}, err
	}
	if maxAbs(l) == 0 {
		return Estimate{}, fmt.Errorf("%w: the contrast is 0 throughout", stats.ErrNoVariation)
	}
	return m.estimate(m.reduce(l), method)
}

// estimate works in the basis.
func (m *Model) estimate(l []float64, method Method) (Estimate, error) {
	c, err := m.covariance(method)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Estimate: m.value(l)}
	v := quad(c, l)
	if !(v > 0) {
		return Estimate{}, fmt.Errorf("%w: the variance of the contrast by %v is not positive", stats.ErrSingular, method)
	}
	e.SE = m.Sigma * math.Sqrt(v)
	if method == KenwardRoger {
		kr, err := m.kenward()
		if err != nil {
			return Estimate{}, err
		}
		e.DF, _ = kr.df([][]float64{l})
	} else {
		e.DF = m.satt.df(l)
	}
	if !(e.DF > 0) || math.IsInf(e.DF, 1) {
		return Estimate{}, fmt.Errorf("%w: no degrees of freedom by %v", stats.ErrSingular, method)
	}
	e.T = e.Estimate / e.SE
	e.P = tTwoSided(e.T, e.DF)
	return e, nil
}

// covariance is that of the coordinates in the basis, divided by σ².
func (m *Model) covariance(method Method) (*mat.SymDense, error) {
	switch method {
	case Satterthwaite:
		return m.cov, nil
	case KenwardRoger:
		kr, err := m.kenward()
		if err != nil {
			return nil, err
		}
		return kr.adjusted, nil
	}
	return nil, fmt.Errorf("%w: there is no method %d", stats.ErrDomain, method)
}

func quad(c *mat.SymDense, l []float64) float64 { return bilinear(c, l, l) }

func bilinear(c *mat.SymDense, a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		if x == 0 {
			continue
		}
		for j, y := range b {
			s += x * c.At(i, j) * y
		}
	}
	return s
}
