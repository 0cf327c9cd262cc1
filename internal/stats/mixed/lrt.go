package mixed

import (
	"fmt"

	"tamis/internal/stats"
)

// LRT is a likelihood-ratio test. P is from χ² on DF. For a variance, whose null
// value lies on the bound, that p-value is on the safe side; PBound is half of
// it, the limit for a single variance (Self & Liang 1987, JASA 82:605), and 0
// for tests of fixed effects, where it has no meaning.
type LRT struct {
	Name   string
	LogLik float64 // of the smaller model
	NPar   int     // of the smaller model
	AIC    float64 // of the smaller model
	Chi2   float64
	DF     int
	P      float64
	PBound float64
}

// Compare tests the model small within big, both fitted to the same responses.
// Fixed parts may differ only between ML fits. Errors: stats.ErrDomain when the
// models are not comparable: different rows or responses, REML with different
// columns, one ML and the other REML, or no difference in parameters. Whether
// small is a special case of big is for the caller to know.
func Compare(big, small *Model) (LRT, error) {
	if big == nil || small == nil {
		return LRT{}, fmt.Errorf("%w: two models are needed", stats.ErrEmpty)
	}
	switch {
	case big.ML != small.ML:
		return LRT{}, fmt.Errorf("%w: one model is fitted by ML and the other by REML", stats.ErrDomain)
	case big.N != small.N || !equalFloats(big.data.Y, small.data.Y) || !equalFloats(big.data.Weights, small.data.Weights):
		return LRT{}, fmt.Errorf("%w: the models have different data", stats.ErrDomain)
	case !big.ML && (big.P != small.P || !sameSpan(big.b, small.b)):
		return LRT{}, fmt.Errorf("%w: REML criteria of different fixed parts do not compare; fit by ML", stats.ErrDomain)
	case big.NPar <= small.NPar:
		return LRT{}, fmt.Errorf("%w: the first model has %d parameters, the second %d", stats.ErrDomain, big.NPar, small.NPar)
	}
	t := LRT{LogLik: small.LogLik, NPar: small.NPar, AIC: small.AIC,
		Chi2: 2 * (big.LogLik - small.LogLik), DF: big.NPar - small.NPar}
	if !big.ML {
		// Same columns in another scale change the REML criterion by a constant.
		t.Chi2 += big.b.logDet() - small.b.logDet()
	}
	if t.Chi2 < 0 {
		t.Chi2 = 0
	}
	t.P = chiTail(t.Chi2, float64(t.DF))
	if big.P == small.P && t.DF == 1 {
		t.PBound = t.P / 2
	}
	return t, nil
}

// RandomTests leaves out each grouping in turn, refits by the same criterion
// and tests its variance.
func (m *Model) RandomTests() ([]LRT, error) {
	out := make([]LRT, 0, len(m.data.Groups))
	for g := range m.data.Groups {
		d := m.data
		d.Groups = nil
		for o, gr := range m.data.Groups {
			if o != g {
				d.Groups = append(d.Groups, gr)
			}
		}
		small, err := Fit(d, Options{ML: m.ML})
		if err != nil {
			return nil, err
		}
		t, err := Compare(m, small)
		if err != nil {
			return nil, err
		}
		t.Name = m.data.Groups[g].Name
		out = append(out, t)
	}
	return out, nil
}

func equalFloats(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i, x := range a {
		if x != b[i] {
			return false
		}
	}
	return true
}

// sameSpan reports whether two orthonormal bases with equally many columns span
// the same space: projecting one on the other loses no length.
func sameSpan(a, b *basis) bool {
	col := make([]float64, a.n)
	for k := 0; k < a.p; k++ {
		for i := range col {
			col[i] = a.q[i*a.p+k]
		}
		b.subtract(col, b.project(col))
		if norm(col) > 1e-7 {
			return false
		}
	}
	return true
}
