package frame

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// unbalanced is a 2 × 3 layout with 1 to 4 rows per cell, a number x and a
// response y.
func unbalanced(t testing.TB) (*Frame, []float64) {
	rng := rand.New(rand.NewPCG(1, 2))
	var a, b []string
	var x, y []float64
	for i := range 2 {
		for j := range 3 {
			for range 1 + (i*2+j)%4 {
				a, b = append(a, fmt.Sprint("a", i)), append(b, fmt.Sprint("b", j))
				x = append(x, rng.NormFloat64())
				y = append(y, float64(3*i+j*j)+rng.NormFloat64())
			}
		}
	}
	return mustFrame(t, mustFactor(t, "a", a...), mustFactor(t, "b", b...), mustNumeric(t, "x", x...)), y
}

// sumOfSquares is the rise of the residual sum of squares under L·β = 0,
// (Lβ)ᵀ(L(XᵀX)⁻Lᵀ)⁻¹(Lβ), by plain normal equations: enough for these small
// full-rank layouts and independent of the code under test.
func sumOfSquares(t testing.TB, x *mat.Dense, y []float64, l *mat.Dense) float64 {
	t.Helper()
	var xtx, inv, xty, beta, lb, m, sol, ss mat.Dense
	xtx.Mul(x.T(), x)
	if err := inv.Inverse(&xtx); err != nil {
		t.Fatal(err)
	}
	xty.Mul(x.T(), mat.NewDense(len(y), 1, y))
	beta.Mul(&inv, &xty)
	lb.Mul(l, &beta)
	m.Product(l, &inv, l.T())
	if err := sol.Solve(&m, &lb); err != nil {
		t.Fatal(err)
	}
	ss.Mul(lb.T(), &sol)
	return ss.At(0, 0)
}

func residual(t testing.TB, f *Frame, y []float64, terms ...Term) float64 {
	t.Helper()
	m, err := Build(f, Model{Intercept: true, Terms: terms})
	if err != nil {
		t.Fatal(err)
	}
	var qr mat.QR
	qr.Factorize(m.X)
	var b, fit mat.Dense
	if err := qr.SolveTo(&b, false, mat.NewDense(len(y), 1, y)); err != nil {
		t.Fatal(err)
	}
	fit.Mul(m.X, &b)
	s := 0.0
	for i, v := range y {
		s += (v - fit.At(i, 0)) * (v - fit.At(i, 0))
	}
	return s
}

// TestTypesAgainstNestedFits: types I and II are differences of residual sums of
// squares between nested models, whatever the coding.
func TestTypesAgainstNestedFits(t *testing.T) {
	t.Parallel()
	f, y := unbalanced(t)
	a, b, x, ab := T("a"), T("b"), T("x"), T("a", "b")
	r := func(terms ...Term) float64 { return residual(t, f, y, terms...) }
	want := map[SumsOfSquares][]float64{
		TypeI:  {r() - r(a), r(a) - r(a, b), r(a, b) - r(a, b, x), r(a, b, x) - r(a, b, x, ab)},
		TypeII: {r(b, x) - r(a, b, x), r(a, x) - r(a, b, x), r(a, b, ab) - r(a, b, x, ab), r(a, b, x) - r(a, b, x, ab)},
	}
	for _, coding := range []Contrast{Treatment, Sum, Helmert, Polynomial} {
		m, err := Build(f, Model{Intercept: true, Terms: []Term{a, b, x, ab},
			Coding: map[string]Coding{"a": {Contrast: coding}, "b": {Contrast: coding}}})
		if err != nil {
			t.Fatal(err)
		}
		for kind, ss := range want {
			hs, err := m.Hypotheses(kind, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i, h := range hs {
				reftest.Within(t, fmt.Sprintf("coding %d type %d %s", coding, kind, h.Term), sumOfSquares(t, m.X, y, h.L), ss[i], 1e-10, "difference of two fits")
			}
		}
	}
}

// TestTypeIIIIsCodingFree: dropping the term's columns under sum coding is the
// definition; every coding must give the same number.
func TestTypeIIIIsCodingFree(t *testing.T) {
	t.Parallel()
	f, y := unbalanced(t)
	for name, terms := range map[string][]Term{
		"crossed":         {T("a"), T("b"), T("a", "b")},
		"with slopes":     {T("a"), T("b"), T("x"), T("a", "x")},
		"three way":       {T("a"), T("b"), T("x"), T("a", "b"), T("b", "x")},
		"poly by a":       {T("a"), Poly("x", 2, Scaled), Cross(T("a"), Poly("x", 2, Scaled))},
		"nested":          {T("a"), T("a", "b")},
		"slopes, no main": {T("a"), T("b"), T("a", "x")},
	} {
		var want []float64
		for _, coding := range []Contrast{Sum, Treatment, Helmert, Polynomial} {
			m, err := Build(f, Model{Intercept: true, Terms: terms, Coding: map[string]Coding{"a": {Contrast: coding}, "b": {Contrast: coding}}})
			if err != nil {
				t.Fatal(err)
			}
			hs, err := m.Hypotheses(TypeIII, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i, h := range hs {
				got := sumOfSquares(t, m.X, y, h.L)
				if coding == Sum {
					want = append(want, got)
					if name == "nested" || name == "slopes, no main" {
						continue // indicator coding: the columns are not the hypothesis
					}
					cols := m.columns(i)
					own := mat.NewDense(len(cols), len(m.Names), nil)
					for r, c := range cols {
						own.Set(r, c, 1)
					}
					reftest.Within(t, name+" "+h.Term, got, sumOfSquares(t, m.X, y, own), 1e-10, "the term's columns under sum coding")
					continue
				}
				reftest.Within(t, fmt.Sprintf("%s %s coding %d", name, h.Term, coding), got, want[i], 1e-10, "sum coding")
			}
		}
	}
}

func TestContainment(t *testing.T) {
	t.Parallel()
	f, _ := unbalanced(t)
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("x"), T("a", "x"), T("a", "b"), T("b", "a", "x")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s, t             int
		byVars, byCovars bool
	}{
		{2, 0, true, false}, {2, 1, true, true}, {3, 0, true, true}, {0, 2, false, false},
		{4, 2, true, true}, {4, 3, true, false}, {4, 4, false, false}, {9, 0, false, false}, {0, -1, false, false},
	} {
		if got := m.Contains(c.s, c.t, TypeII); got != c.byVars {
			t.Errorf("%d contains %d: %v", c.s, c.t, got)
		}
		if got := m.Contains(c.s, c.t, TypeIIByCovariates); got != c.byCovars {
			t.Errorf("%d contains %d by covariates: %v", c.s, c.t, got)
		}
	}
}

func TestHypothesesEdges(t *testing.T) {
	t.Parallel()
	f, _ := unbalanced(t)
	a, _ := f.Column("a")
	twin, err := FactorCodes("twin of a", a.Codes(), a.Levels())
	if err != nil {
		t.Fatal(err)
	}
	both, err := f.With(twin)
	if err != nil {
		t.Fatal(err)
	}
	m, err := Build(both, Model{Intercept: true, Terms: []Term{T("a"), T("b"), T("twin of a")}})
	if err != nil {
		t.Fatal(err)
	}
	hs, err := m.Hypotheses(TypeI, nil)
	if err != nil {
		t.Fatal(err)
	}
	if hs[2].L != nil {
		t.Error("a twin adds nothing after its original, but has a hypothesis")
	}
	if _, err := m.Hypotheses(7, nil); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("unknown type: %v", err)
	}
	if _, err := m.Hypotheses(TypeI, mat.NewDense(2, 1, nil)); !errors.Is(err, stats.ErrLengths) {
		t.Errorf("wrong matrix: %v", err)
	}
	bad := mat.DenseCopyOf(m.X)
	bad.Set(0, 0, math.NaN())
	if _, err := m.Hypotheses(TypeII, bad); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("NaN: %v", err)
	}
}
