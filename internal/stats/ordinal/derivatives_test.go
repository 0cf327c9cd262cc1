package ordinal

import (
	"math"
	"testing"

	"tamis/internal/stats/internal/reftest"
)

const byDifferences = "the same function, differenced numerically"

// Central differences with a step of 1e-5 are good for about 1e-9 of the size
// of the function.
func TestCellDerivatives(t *testing.T) {
	t.Parallel()
	inf := math.Inf(1)
	const h = 1e-5
	for _, link := range []Link{Logit, Probit, CLogLog} {
		for _, c := range [][2]float64{{0.3, -0.4}, {2, 1.9}, {-1, -3}, {-2, -2.05}, {3, 2}, {1, -inf}, {-4, -inf}, {inf, 0.5}, {inf, -3}, {2.5, 2.4}} {
			a, b := c[0], c[1]
			at := func(da, db float64) cell {
				v, ok := link.cell(a+da, b+db)
				if !ok {
					t.Fatalf("%v (%v, %v): no value", link, a+da, b+db)
				}
				return v
			}
			x := at(0, 0)
			check := func(name string, got float64, plus, minus float64) {
				t.Helper()
				want := (plus - minus) / (2 * h)
				scale := math.Abs(x.l) + math.Abs(x.la) + math.Abs(x.laa) + math.Abs(x.dda) + 1
				reftest.WithinAbs(t, name, got, want, 1e-5, 1e-7*scale, byDifferences)
			}
			if !math.IsInf(a, 0) {
				check("la", x.la, at(h, 0).l, at(-h, 0).l)
				check("laa", x.laa, at(h, 0).la, at(-h, 0).la)
				check("lab", x.lab, at(h, 0).lb, at(-h, 0).lb)
			}
			if !math.IsInf(b, 0) {
				check("lb", x.lb, at(0, h).l, at(0, -h).l)
				check("lbb", x.lbb, at(0, h).lb, at(0, -h).lb)
			}
			check("D la", x.da, at(h, h).la, at(-h, -h).la)
			check("D lb", x.db, at(h, h).lb, at(-h, -h).lb)
			check("DD la", x.dda, at(h, h).da, at(-h, -h).da)
			check("DD lb", x.ddb, at(h, h).db, at(-h, -h).db)
		}
	}
}

// The short path of the logit against the general one.
func TestLogitShortPath(t *testing.T) {
	t.Parallel()
	inf := math.Inf(1)
	for _, c := range [][2]float64{{0.3, -0.4}, {5, 4.999}, {-40, -41}, {40, 38}, {2, -inf}, {inf, -3}, {299, -299}, {1, 1 - 1e-9}} {
		a, b := c[0], c[1]
		x, ok := Logit.cell(a, b)
		if !ok {
			t.Fatalf("(%v, %v): no value", a, b)
		}
		const src = "log p and densities taken apart"
		l := 0.0 // the three logarithms of p = A (1 − B) E
		if !math.IsInf(a, 1) {
			l -= log1pexp(-a)
		}
		if !math.IsInf(b, -1) {
			l -= log1pexp(b)
		}
		if !math.IsInf(a, 1) && !math.IsInf(b, -1) {
			l += log1mexp(a - b)
		}
		reftest.WithinAbs(t, "log p", x.l, l, 1e-13, 1e-15, src)
		reftest.WithinAbs(t, "log p, value only", Logit.logDiff(a, b), l, 1e-13, 1e-15, src)
		if !math.IsInf(a, 1) {
			lf, _, _ := Logit.density(a)
			reftest.WithinAbs(t, "la", x.la, math.Exp(lf-l), 1e-12, 1e-300, src)
		}
		if !math.IsInf(b, -1) {
			lf, _, _ := Logit.density(b)
			reftest.WithinAbs(t, "lb", x.lb, -math.Exp(lf-l), 1e-12, 1e-300, src)
		}
	}
}

func TestLogDiffTails(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		link    Link
		a, b, w float64
		source  string
	}{
		{Probit, -30, math.Inf(-1), -454.3212439563432, "R 4.2.2 pnorm(-30, log.p = TRUE)"},
		{Probit, math.Inf(1), 40, -804.6084420137538, "R 4.2.2 pnorm(-40, log.p = TRUE)"},
		{Logit, 0, math.Inf(-1), -math.Ln2, "exact"},
		{Logit, math.Inf(1), 800, -800, "exact to 1e-300"},
		{CLogLog, math.Inf(1), 2, -math.Exp(2), "exact"},
		{Logit, math.Inf(1), math.Inf(-1), 0, "exact"},
		{Probit, math.Inf(1), math.Inf(-1), 0, "exact"},
		{CLogLog, math.Inf(1), math.Inf(-1), 0, "exact"},
	} {
		reftest.WithinAbs(t, c.link.String(), c.link.logDiff(c.a, c.b), c.w, 1e-13, 1e-300, c.source)
	}
	// Close bounds: log h + log f at the middle, to second order in h.
	for _, link := range []Link{Logit, Probit, CLogLog} {
		for _, x := range []float64{-5, -1, 0, 0.7, 2} {
			const h = 1e-9
			lf, _, _ := link.density(x)
			reftest.Within(t, "close bounds "+link.String(), link.logDiff(x+h/2, x-h/2), lf+math.Log((x+h/2)-(x-h/2)), 1e-12, "density times width")
		}
		if v := link.logDiff(1, 1); !math.IsInf(v, -1) {
			t.Errorf("%v: empty cell has log probability %v", link, v)
		}
	}
}

// The marginal likelihood's gradient and Hessian against differences of its
// value and gradient, for Laplace and for quadrature.
func TestMarginalDerivatives(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	for _, link := range []Link{Logit, Probit, CLogLog} {
		for _, points := range []int{1, 2, 7} {
			pr, err := newProblem(w.data("rating ~ temp + contact"), Options{Link: link})
			if err != nil {
				t.Fatal(err)
			}
			m := &marginal{model: &pr.model, members: make([][]int, 9), mode: make([]float64, 9), spread: make([]float64, 9)}
			for i, j := range w.Data.Judge {
				m.members[j-1] = append(m.members[j-1], i)
			}
			m.node, m.lnw = hermite(points)
			x := append(append([]float64(nil), pr.start...), 0.9)
			x[4], x[5] = 0.4, -0.2
			_, grad, ok := m.evaluate(x, true)
			if !ok {
				t.Fatal("no value")
			}
			value := func(j, k int, dj, dk float64) float64 {
				y := append([]float64(nil), x...)
				y[j] += dj
				y[k] += dk
				f, _, ok := m.evaluate(y, false)
				if !ok {
					t.Fatal("no value")
				}
				return f
			}
			for j := range x {
				const h = 1e-5
				reftest.WithinAbs(t, "gradient", grad[j], (value(j, j, h, 0)-value(j, j, -h, 0))/(2*h), 1e-7, 1e-7, byDifferences)
			}
			hess, ok := m.hessian(x, nil, true)
			if !ok {
				t.Fatal("no Hessian")
			}
			for j := range x {
				for k := range x {
					const h = 5e-4 // truncation h², rounding 1e-14·100/h²
					d := (value(j, k, h, h) - value(j, k, h, -h) - value(j, k, -h, h) + value(j, k, -h, -h)) / (4 * h * h)
					reftest.WithinAbs(t, "Hessian", hess.At(j, k), d, 3e-6, 2e-5, byDifferences)
				}
			}
		}
	}
}
