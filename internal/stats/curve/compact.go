package curve

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// compact evaluates the restricted likelihood of V = θ₀I + ΣθⱼZⱼZⱼ', Zⱼ the
// indicators of groups, from matrices as large as the q groups; nil when V has
// another form or the groups are no fewer than the rows.
//
// With M = I − XX' and D the diagonal of θ over the groups, Woodbury's identity
// on the space orthogonal to X gives
//
//	Z'PZ = (A − A·D½·G⁻¹·D½·A)/θ₀,  G = θ₀I + D½·A·D½,  A = Z'MZ,
//
// and likewise Z'Py and y'Py. What belongs to the identity follows from
// PVP = P: tr P = (n − p − Σθⱼ tr PKⱼ)/θ₀, and so on for the products.
func compact(y []float64, x *mat.Dense, fixed *mat.SymDense, sets [][]int) func([]float64) (*likelihood, bool) {
	if fixed != nil || len(sets) == 0 || sets[0] != nil {
		return nil
	}
	n, p := x.Dims()
	group := make([][]int, len(sets)) // component → row → column of Z
	var of []int                      // column of Z → component
	for k := 1; k < len(sets); k++ {
		if sets[k] == nil {
			return nil
		}
		index := map[int]int{}
		group[k] = make([]int, n)
		for i, l := range sets[k] {
			c, ok := index[l]
			if !ok {
				c = len(of)
				index[l] = c
				of = append(of, k)
			}
			group[k][i] = c
		}
	}
	q := len(of)
	if q >= n {
		return nil
	}
	// The residual of y and the moments of Z about X.
	r := append([]float64(nil), y...)
	zx := make([][]float64, p)
	for c := range p {
		col := mat.Col(nil, c, x)
		h := dot(col, r)
		for i := range r {
			r[i] -= h * col[i]
		}
		zx[c] = make([]float64, q)
		for k := 1; k < len(sets); k++ {
			for i, g := range group[k] {
				zx[c][g] += col[i]
			}
		}
	}
	yy := dot(r, r)
	a := mat.NewDense(max(q, 1), max(q, 1), nil)
	b := make([]float64, q)
	for k := 1; k < len(sets); k++ {
		for i, g := range group[k] {
			b[g] += r[i]
			for l := 1; l < len(sets); l++ {
				a.Set(g, group[l][i], a.At(g, group[l][i])+1)
			}
		}
	}
	for i := range q {
		for j := range q {
			s := a.At(i, j)
			for c := range p {
				s -= zx[c][i] * zx[c][j]
			}
			a.Set(i, j, s)
		}
	}
	return func(theta []float64) (*likelihood, bool) {
		t0 := theta[0]
		if !(t0 > 0) {
			return nil, false
		}
		ypy, logDet := yy, 0.0
		s := mat.DenseCopyOf(a)
		zpy := append([]float64(nil), b...)
		if q > 0 {
			g := mat.NewSymDense(q, nil)
			w := mat.NewDense(q, q+1, nil) // D½·[A b]
			for i := range q {
				di := math.Sqrt(theta[of[i]])
				for j := range q {
					w.Set(i, j, di*a.At(i, j))
					if j >= i {
						g.SetSym(i, j, di*a.At(i, j)*math.Sqrt(theta[of[j]]))
					}
				}
				w.Set(i, q, di*b[i])
				g.SetSym(i, i, g.At(i, i)+t0)
			}
			var ch mat.Cholesky
			if !ch.Factorize(g) {
				return nil, false
			}
			logDet = ch.LogDet()
			var l mat.TriDense
			ch.LTo(&l)
			blas64.Trsm(blas.Left, blas.NoTrans, 1, l.RawTriangular(), w.RawMatrix()) // L⁻¹·D½·[A b]
			var ww mat.Dense
			ww.Mul(w.T(), w)
			for i := range q {
				for j := range q {
					s.Set(i, j, (a.At(i, j)-ww.At(i, j))/t0)
				}
				zpy[i] = (b[i] - ww.At(i, q)) / t0
			}
			ypy -= ww.At(q, q)
		}
		ypy /= t0
		ll := -0.5 * (float64(n-p-q)*math.Log(t0) + logDet + ypy)
		return &likelihood{ll, func() ([]float64, func(i, j int) float64) {
			m := len(sets)
			square, trace := make([]float64, m), make([]float64, m) // |Zⱼ'Py|², tr PKⱼ
			cross := make([][]float64, m)                           // tr PKᵢPKⱼ
			for k := range cross {
				cross[k] = make([]float64, m)
			}
			for i, k := range of {
				square[k] += zpy[i] * zpy[i]
				trace[k] += s.At(i, i)
				for j, l := range of {
					cross[k][l] += s.At(i, j) * s.At(i, j)
				}
			}
			square[0], trace[0] = ypy, float64(n-p)
			for k := 1; k < m; k++ {
				square[0] -= theta[k] * square[k]
				trace[0] -= theta[k] * trace[k]
			}
			square[0] /= t0
			trace[0] /= t0
			cross[0][0] = trace[0]
			for k := 1; k < m; k++ {
				v := trace[k]
				for l := 1; l < m; l++ {
					v -= theta[l] * cross[k][l]
				}
				cross[0][k], cross[k][0] = v/t0, v/t0
				cross[0][0] -= theta[k] * cross[0][k]
			}
			cross[0][0] /= t0
			score := make([]float64, m)
			for k := range score {
				score[k] = 0.5 * (square[k] - trace[k])
			}
			return score, func(i, j int) float64 { return cross[i][j] }
		}}, !math.IsNaN(ll)
	}
}
