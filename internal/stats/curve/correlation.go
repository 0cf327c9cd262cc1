package curve

import (
	"math"

	"tamis/internal/stats"
)

// correlate estimates the correlation of whitened residuals within arms.
func (s *Sampler) correlate() {
	m := len(s.fits)
	res := make([][]float64, m)
	has := make([][]bool, m)
	df := math.Inf(1)
	for i, f := range s.fits {
		res[i], has[i] = make([]float64, s.n), make([]bool, s.n)
		for r, v := range f.stage.within() {
			res[i][s.slots[i][r]], has[i][s.slots[i][r]] = v, true
		}
		df = math.Min(df, s.df[i])
		if f.ErrorFrom != FromRepeats {
			df = 0 // no arms to be within
		}
	}
	s.corr = make([][]float64, m)
	for i := range s.corr {
		s.corr[i] = make([]float64, m)
		s.corr[i][i] = 1
	}
	if m > 1 && df >= 2*float64(m) {
		for i := range m {
			for j := range i {
				xy, xx, yy := 0.0, 0.0, 0.0
				for c := range s.n {
					if has[i][c] && has[j][c] {
						xy += res[i][c] * res[j][c]
						xx += res[i][c] * res[i][c]
						yy += res[j][c] * res[j][c]
					}
				}
				if xx > 0 && yy > 0 {
					s.corr[i][j] = xy / math.Sqrt(xx*yy)
					s.corr[j][i] = s.corr[i][j]
				}
			}
		}
	} else if m > 1 {
		s.warn = append(s.warn, stats.Warning{ID: "measures-independent", Need: 2 * float64(m),
			Text: "Too few repeated cooks to see how the measures move together: their errors are drawn independently. The need is in degrees of freedom of repeated cooks."})
	}
	// Pairwise sums over different cooks may leave the matrix slightly
	// indefinite, and two measures may be copies: shrink until it factors.
	for {
		if s.root = lowerRoot(s.corr); s.root != nil {
			return
		}
		for i := range m {
			for j := range m {
				if i != j {
					s.corr[i][j] *= 0.99
				}
			}
		}
	}
}

// lowerRoot is the Cholesky factor, or nil when a pivot is not clearly positive.
func lowerRoot(a [][]float64) [][]float64 {
	l := make([][]float64, len(a))
	for i := range a {
		l[i] = make([]float64, len(a))
		for j := 0; j <= i; j++ {
			v := a[i][j]
			for k := range j {
				v -= l[i][k] * l[j][k]
			}
			if i == j {
				if v < 1e-6 {
					return nil
				}
				l[i][i] = math.Sqrt(v)
			} else {
				l[i][j] = v / l[j][j]
			}
		}
	}
	return l
}

// within are the whitened residuals from free cell means and blocks.
func (s *Stage) within() []float64 {
	l := s.l
	r := s.whiten(l.d.Y)
	for _, set := range [][][]float64{s.qb, s.q} {
		for _, q := range set {
			h := dot(q, r)
			for i := range r {
				r[i] -= h * q[i]
			}
		}
	}
	return r
}
