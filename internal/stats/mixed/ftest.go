package mixed

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// FTest is a test that several linear functions of the coefficients are all 0.
// NumDF is their rank. MeanSq is F·σ², F before the scaling of Kenward–Roger,
// and SumSq is MeanSq·NumDF, so that SumSq has the scale of a residual sum of
// squares.
type FTest struct {
	Name   string
	SumSq  float64
	MeanSq float64
	NumDF  int
	DenDF  float64
	F      float64
	P      float64
}

// Test tests that the rows of l (each over all columns) are all 0. Rows may
// depend on each other. Errors as Contrast.
//
// Satterthwaite: the rows are turned into uncorrelated ones by the eigenvectors
// of their covariance; F is the mean of the squared t statistics and its
// denominator combines their degrees of freedom. Kenward–Roger: the Wald
// statistic in the adjusted covariance, scaled.
func (m *Model) Test(l [][]float64, method Method) (FTest, error) {
	if len(l) == 0 {
		return FTest{}, fmt.Errorf("%w: no contrasts", stats.ErrEmpty)
	}
	rows := make([][]float64, len(l))
	any := false
	for i, r := range l {
		if err := m.estimable(r); err != nil {
			return FTest{}, err
		}
		any = any || maxAbs(r) > 0
		rows[i] = m.reduce(r)
	}
	if !any {
		return FTest{}, fmt.Errorf("%w: the contrasts are 0 throughout", stats.ErrNoVariation)
	}
	return m.test(rows, method)
}

// test works in the basis. The rows are used as given, because the degrees of
// freedom of Satterthwaite depend, for unbalanced data, on which set of rows
// spans the hypothesis.
func (m *Model) test(l [][]float64, method Method) (FTest, error) {
	q := len(independent(l))
	if method == KenwardRoger && q < len(l) {
		l = independent(l) // the statistic does not depend on the choice
	}
	cov, err := m.covariance(method)
	if err != nil {
		return FTest{}, err
	}
	lcl := mat.NewSymDense(len(l), nil)
	for i := range l {
		for j := i; j < len(l); j++ {
			lcl.SetSym(i, j, bilinear(cov, l[i], l[j]))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(lcl, true) {
		return FTest{}, fmt.Errorf("%w: the covariance of the contrasts", stats.ErrSingular)
	}
	val := eig.Values(nil)
	var vec mat.Dense
	eig.VectorsTo(&vec)
	f := 0.0
	var nu []float64
	for k := len(l) - 1; k >= len(l)-q; k-- { // the q largest
		r := make([]float64, m.P)
		for i := range l {
			for j, x := range l[i] {
				r[j] += vec.At(i, k) * x
			}
		}
		if !(val[k] > 0) {
			return FTest{}, fmt.Errorf("%w: the covariance of the contrasts", stats.ErrSingular)
		}
		est := m.value(r) / m.Sigma
		f += est * est / val[k]
		if method == Satterthwaite {
			nu = append(nu, m.satt.df(r))
		}
	}
	out := FTest{NumDF: q, F: f / float64(q)}
	out.MeanSq = out.F * m.Sigma2
	out.SumSq = out.MeanSq * float64(q)
	if method == KenwardRoger {
		kr, err := m.kenward()
		if err != nil {
			return FTest{}, err
		}
		var scale float64
		out.DenDF, scale = kr.df(l)
		out.F *= scale
	} else {
		out.DenDF = combine(nu)
	}
	if !(out.DenDF > 0) || math.IsInf(out.DenDF, 1) || !(out.F >= 0) {
		return FTest{}, fmt.Errorf("%w: no degrees of freedom by %v", stats.ErrSingular, method)
	}
	out.P = fTail(out.F, float64(q), out.DenDF)
	return out, nil
}

// value is the estimate of a function given in the basis. A function that does
// not see the constant, to rounding, does not see the centre either: otherwise
// the rounding of a large offset would enter.
func (m *Model) value(l []float64) float64 {
	v := dot(l, m.gamma)
	if c := dot(l, m.coordC); math.Abs(c) > 1e-12*norm(l)*norm(m.coordC) {
		v += m.center * c
	}
	return v
}

// independent returns an orthonormal set with the same span as the rows.
func independent(rows [][]float64) [][]float64 {
	var out [][]float64
	for _, r := range rows {
		v := append([]float64(nil), r...)
		length := norm(v)
		if length == 0 {
			continue
		}
		for pass := 0; pass < 2; pass++ {
			for _, o := range out {
				t := dot(o, v)
				for j := range v {
					v[j] -= t * o[j]
				}
			}
		}
		rest := norm(v)
		if rest <= 1e-9*length {
			continue
		}
		for j := range v {
			v[j] /= rest
		}
		out = append(out, v)
	}
	return out
}
