package linear

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"tamis/internal/stats/internal/vec"
)

// rankTolerance is the share of a column's length below which what is left of
// it after projection on earlier columns counts as rounding error. Exact
// dependence leaves about 1e-16·√n; the tenth power on NIST's Filip data still
// leaves 4e-8.
const rankTolerance = 1e-12

// qr is a Householder decomposition of columns taken in order. A column that
// depends on earlier ones is set aside.
type qr struct {
	n       int
	kept    []int       // original index of each pivot column
	dropped []int       // original index of each dependent column
	reflect [][]float64 // reflect[k] acts on rows k … n-1
	tau     []float64   // H = I - tau·v·vᵀ
	r       [][]float64 // r[k] is column k of R: k+1 entries
	alias   [][]float64 // for each dropped column, its first entries of Qᵀx
}

// decompose decomposes the columns, which it does not change. size, when not
// nil, gives the lengths against which dependence is judged instead of the
// columns' own: for columns that are projections of longer ones.
func decompose(cols [][]float64, n int, tolerance float64, size []float64) *qr {
	d := &qr{n: n}
	for j, c := range cols {
		a := append([]float64{}, c...)
		scale := vec.Norm(a)
		if size != nil {
			scale = size[j]
		}
		d.applyQT(a)
		k := len(d.kept)
		left := vec.Norm(a[min(k, n):])
		if k >= n || !(left > tolerance*scale) {
			d.dropped = append(d.dropped, j)
			d.alias = append(d.alias, a[:min(k, n)])
			continue
		}
		// The sign of alpha avoids cancellation in v[0] = a[k] - alpha.
		alpha := -math.Copysign(left, a[k])
		v := a[k:]
		r := append(append([]float64{}, a[:k]...), alpha)
		v[0] -= alpha
		d.kept = append(d.kept, j)
		d.reflect = append(d.reflect, v)
		d.tau = append(d.tau, -1/(alpha*v[0])) // 2/vᵀv, since vᵀv = -2·alpha·v[0]
		d.r = append(d.r, r)
	}
	return d
}

func (d *qr) rank() int { return len(d.kept) }

// applyQT overwrites y with Qᵀy for the reflections so far.
func (d *qr) applyQT(y []float64) {
	for k, v := range d.reflect {
		t := y[k:]
		floats.AddScaled(t, -d.tau[k]*floats.Dot(v, t), v)
	}
}

// applyQ overwrites y with Qy.
func (d *qr) applyQ(y []float64) {
	for k := len(d.reflect) - 1; k >= 0; k-- {
		v, t := d.reflect[k], y[k:]
		floats.AddScaled(t, -d.tau[k]*floats.Dot(v, t), v)
	}
}

// solveR overwrites c with R⁻¹c, by columns from the last.
func (d *qr) solveR(c []float64) {
	for k := len(d.r) - 1; k >= 0; k-- {
		c[k] /= d.r[k][k]
		floats.AddScaled(c[:k], -c[k], d.r[k][:k])
	}
}

// solveRT overwrites c with R⁻ᵀc.
func (d *qr) solveRT(c []float64) {
	for k, r := range d.r {
		c[k] = (c[k] - floats.Dot(r[:k], c[:k])) / r[k]
	}
}

// powerOfTwo is the power of two that brings x to [0.5, 1); 1 for x = 0.
// Multiplying by it is exact.
func powerOfTwo(x float64) float64 {
	if x == 0 {
		return 1
	}
	_, e := math.Frexp(x)
	return math.Ldexp(1, max(min(-e, 1000), -1000))
}
