package linear

import (
	"encoding/binary"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// FuzzNew fits whatever numbers the bytes spell: an error, or a fit without a NaN
// or an infinity whose residuals are orthogonal to nothing less than it claims.
func FuzzNew(f *testing.F) {
	seed := func(xs ...float64) []byte {
		var b []byte
		for _, x := range xs {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		return b
	}
	f.Add(seed(1, 1, 2, 1, 2, 3, 1, 3, 5, 1, 4, 4), uint8(2))
	f.Add(seed(1, 1e300, 1e300, 1, -1e300, 1e-300, 1, 0, 5e-324), uint8(2))
	f.Add(seed(math.NaN(), 1, math.Inf(1), 2), uint8(1))
	f.Add(seed(0, 0, 0, 0, 0, 0), uint8(1))
	f.Add(seed(1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, width uint8) {
		p := 1 + int(width%4)
		n := len(data) / 8 / (p + 1)
		if n == 0 || n > 12 {
			return
		}
		x, y := mat.NewDense(n, p, nil), make([]float64, n)
		for i := range n {
			for j := range p + 1 {
				v := math.Float64frombits(binary.LittleEndian.Uint64(data[8*(i*(p+1)+j):]))
				if j < p {
					x.Set(i, j, v)
				} else {
					y[i] = v
				}
			}
		}
		fit, err := New(x, names(p), y, Options{})
		if err != nil {
			return
		}
		var all []float64
		for _, c := range fit.Coefficients {
			all = append(all, c.Estimate, c.SE, c.T, c.P)
		}
		all = append(all, fit.RSS, fit.Sigma, fit.R2, fit.AdjustedR2)
		all = append(append(all, fit.Fitted...), fit.Residuals...)
		for _, v := range all {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("not finite: %+v", fit)
			}
		}
		if len(fit.Aliases)+fit.Rank != p || fit.DF != n-fit.Rank || fit.R2 < 0 || fit.R2 > 1 {
			t.Fatalf("%+v", fit)
		}
		_, _ = fit.LackOfFit()
		_, _ = fit.Influence()
		_, _ = fit.Predict(x, 0.9)
		_, _ = fit.Test(x, nil)
		_, _ = fit.Covariance()
		_, _ = FitPolynomial(mat.Col(nil, 0, x), y, p)
	})
}
