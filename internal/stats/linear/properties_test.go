package linear

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// TestAgainstRationalArithmetic solves small systems of all conditions exactly.
// Whatever doubles go in, coefficients, standard errors and the residual sum of
// squares must be right to nearly all digits.
func TestAgainstRationalArithmetic(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 11))
	grid := func(n int, f func(i int) float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = f(i)
		}
		return out
	}
	hilbert := mat.NewDense(12, 7, nil)
	offset := mat.NewDense(15, 3, nil)
	random := mat.NewDense(20, 5, nil)
	for i := range 20 {
		for j := range 7 {
			if i < 12 {
				hilbert.Set(i, j, 1/float64(i+j+1))
			}
			if i < 15 && j < 3 {
				// Columns that agree in their first nine digits.
				offset.Set(i, j, 1e9+float64(rng.IntN(8)))
			}
			if j < 5 {
				random.Set(i, j, rng.NormFloat64()*math.Pow(10, float64(4*j-8)))
			}
		}
	}
	for name, x := range map[string]*mat.Dense{
		"random, columns of size 1e-8 to 1e8": random,
		"Hilbert, 7 columns":                  hilbert,
		"columns that differ by 1e-9":         offset,
		"quadratic in kelvin":                 powersOf(grid(12, func(i int) float64 { return 317.15 + float64(i) }), 2),
		"degree 4 on 19 to 20":                powersOf(grid(40, func(i int) float64 { return 0.01 * (1900 + 2.5*float64(i)) }), 4),
		"degree 9 on 0 to 1":                  powersOf(grid(30, func(i int) float64 { return float64(i) / 29 }), 9),
	} {
		n, p := x.Dims()
		y := grid(n, func(i int) float64 { return 100 + float64(i) + rng.NormFloat64() })
		fit, err := New(x, names(p), y, Options{})
		if err != nil {
			t.Fatal(name, err)
		}
		beta, diag, rss := exact(t, x, y)
		reftest.Within(t, name+" RSS", fit.RSS, rss, 1e-13, "rational arithmetic")
		for j, c := range fit.Coefficients {
			reftest.Within(t, fmt.Sprint(name, " coefficient ", j), c.Estimate, beta[j], 1e-12, "rational arithmetic")
			reftest.Within(t, fmt.Sprint(name, " SE ", j), c.SE, math.Sqrt(diag[j]*rss/float64(n-p)), 1e-10, "rational arithmetic; where the condition is low the SE comes from R⁻¹ unrefined")
		}
	}
}

// trial is a small unbalanced layout with a factor, a number and a response.
func trial(t testing.TB) (*frame.Frame, []float64) {
	d := readTable(t, "toothgrowth.csv")
	return d.frame("supp", "dose"), d.numbers("len")
}

func TestEquivariance(t *testing.T) {
	t.Parallel()
	f, y := trial(t)
	terms := frame.Crossed(frame.T("supp"), frame.T("dose"))
	base := mustFit(t, f, y, terms...)
	baseTable, err := base.Anova(frame.TypeIII)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name         string
		shift, scale float64
		tol          float64
	}{
		{"shift", 1e6, 1, 1e-9},
		{"scale", 0, -3.7, 1e-12},
		{"tiny", 0, 1e-120, 1e-12},
		{"huge", 0, 1e120, 1e-12},
		{"both", -40, 9. / 5, 1e-12},
	} {
		moved := make([]float64, len(y))
		for i, v := range y {
			moved[i] = c.shift + c.scale*v
		}
		got := mustFit(t, f, moved, terms...)
		for j, b := range base.Coefficients {
			want := c.scale * b.Estimate
			if j == 0 {
				want += c.shift
			}
			reftest.Within(t, c.name+" "+b.Name, got.Coefficients[j].Estimate, want, c.tol, "equivariance")
			reftest.Within(t, c.name+" SE "+b.Name, got.Coefficients[j].SE, math.Abs(c.scale)*b.SE, c.tol, "equivariance")
		}
		reftest.Within(t, c.name+" R²", got.R2, base.R2, c.tol, "invariance")
		a, err := got.Anova(frame.TypeIII)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range baseTable.Rows {
			reftest.Within(t, c.name+" F "+r.Term, a.Rows[i].F, r.F, c.tol, "invariance")
		}
	}
}

func TestPermutationAndRelabelling(t *testing.T) {
	t.Parallel()
	f, y := trial(t)
	terms := frame.Crossed(frame.T("supp"), frame.T("dose"))
	base := mustFit(t, f, y, terms...)
	order := rand.New(rand.NewPCG(3, 4)).Perm(len(y))
	moved := make([]float64, len(y))
	for i, r := range order {
		moved[i] = y[r]
	}
	g, err := f.Subset(order)
	if err != nil {
		t.Fatal(err)
	}
	permuted := mustFit(t, g, moved, terms...)
	for j, b := range base.Coefficients {
		reftest.Within(t, "permuted "+b.Name, permuted.Coefficients[j].Estimate, b.Estimate, 1e-12, "permutation of rows")
	}
	// The same factors with their levels in reverse order.
	var cols []frame.Column
	for _, name := range f.Names() {
		c, _ := f.Column(name)
		levels := c.Levels()
		back := make([]string, len(levels))
		values := make([]string, f.Rows())
		for i, l := range levels {
			back[len(levels)-1-i] = l
		}
		for i, k := range c.Codes() {
			values[i] = levels[k]
		}
		r, err := frame.FactorLevels(name, values, back)
		if err != nil {
			t.Fatal(err)
		}
		cols = append(cols, r)
	}
	h, err := frame.New(cols...)
	if err != nil {
		t.Fatal(err)
	}
	relabelled := mustFit(t, h, y, terms...)
	for _, kind := range []frame.SumsOfSquares{frame.TypeI, frame.TypeII, frame.TypeIII} {
		a, err := base.Anova(kind)
		if err != nil {
			t.Fatal(err)
		}
		b, err := relabelled.Anova(kind)
		if err != nil {
			t.Fatal(err)
		}
		for i := range a.Rows {
			reftest.Within(t, fmt.Sprint("type ", kind, " ", a.Rows[i].Term), b.Rows[i].SS, a.Rows[i].SS, 1e-11, "relabelling")
		}
	}
}

func TestInputsUnchanged(t *testing.T) {
	t.Parallel()
	x := mat.NewDense(6, 2, []float64{1, 1, 1, 2, 1, 3, 1, 4, 1, 5, 1, 7})
	y := []float64{1, 3, 2, 5, 4, 8}
	w := []float64{1, 2, 3, 1, 2, 3}
	x0, y0, w0 := mat.DenseCopyOf(x), append([]float64{}, y...), append([]float64{}, w...)
	fit, err := New(x, names(2), y, Options{Weights: w})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fit.Influence(); err != nil {
		t.Fatal(err)
	}
	if _, err := fit.Test(x, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := FitPolynomial(y, w, 2); err != nil {
		t.Fatal(err)
	}
	if !mat.Equal(x, x0) || fmt.Sprint(y, w) != fmt.Sprint(y0, w0) {
		t.Error("an input was changed")
	}
	// Nor does a later change of the input reach the fit.
	before := fmt.Sprint(fit.Fitted)
	y[0], w[0] = 99, 99
	x.Set(0, 1, 99)
	if fmt.Sprint(fit.Fitted) != before {
		t.Error("the fit follows the caller's slices")
	}
}

// TestKelvin: a quadratic through cooks at 44 to 60 °C is the same curve when the
// set points are in kelvin, by the scaled basis and by the polynomial.
func TestKelvin(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 1))
	var celsius, kelvin, y []float64
	for i := range 18 {
		c := 44 + 3.2*float64(i/3)
		celsius, kelvin = append(celsius, c), append(kelvin, c+273.15)
		y = append(y, 5-0.02*(c-52)*(c-52)+0.3*rng.NormFloat64())
	}
	curve := func(x []float64) (*frame.Matrix, *Fit, *Polynomial) {
		col, err := frame.Numeric("x", x)
		if err != nil {
			t.Fatal(err)
		}
		f, err := frame.New(col)
		if err != nil {
			t.Fatal(err)
		}
		fit := mustFit(t, f, y, frame.Poly("x", 2, frame.Scaled))
		p, err := FitPolynomial(x, y, 2)
		if err != nil {
			t.Fatal(err)
		}
		return fit.matrix, fit, p
	}
	mc, fc, pc := curve(celsius)
	mk, fk, pk := curve(kelvin)
	for c := 44.0; c <= 60; c += 0.5 {
		at := func(m *frame.Matrix, f *Fit, x float64) Prediction {
			col, _ := frame.Numeric("x", []float64{x})
			point, _ := frame.New(col)
			row, err := m.Encode(point)
			if err != nil {
				t.Fatal(err)
			}
			p, err := f.Predict(row, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			return p[0]
		}
		want := at(mc, fc, c)
		k := at(mk, fk, c+273.15)
		p, _ := pc.At(c, 0.95)
		q, err := pk.At(c+273.15, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range map[string]Prediction{"kelvin": k, "polynomial": p, "polynomial in kelvin": q} {
			reftest.Within(t, fmt.Sprint(name, " at ", c), got.Mean, want.Mean, 1e-11, "the same curve")
			reftest.Within(t, fmt.Sprint(name, " SE at ", c), got.SE, want.SE, 1e-11, "the same curve")
		}
	}
	vertex := func(m *frame.Matrix, f *Fit) Fieller {
		v, err := f.Vertex([]float64{0, 1, 0}, []float64{0, 0, 1}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		c, w, _ := m.Scale("x")
		return v.Affine(c, w)
	}
	vc, vk := vertex(mc, fc), vertex(mk, fk)
	reftest.Within(t, "vertex", vk.Estimate-273.15, vc.Estimate, 1e-11, "the same curve")
	reftest.Within(t, "vertex, low", vk.Interval.Low-273.15, vc.Interval.Low, 1e-11, "the same curve")
	reftest.Within(t, "vertex, high", vk.Interval.High-273.15, vc.Interval.High, 1e-11, "the same curve")
}

// TestGeneralisedIsWeighted: a diagonal covariance is the inverse of weights.
func TestGeneralisedIsWeighted(t *testing.T) {
	t.Parallel()
	f, y := trial(t)
	w := make([]float64, len(y))
	cov := mat.NewSymDense(len(y), nil)
	for i := range w {
		w[i] = 1 + float64(i%4)
		cov.SetSym(i, i, 1/w[i])
	}
	model := frame.Model{Intercept: true, Terms: []frame.Term{frame.T("supp"), frame.T("dose")}}
	a := mustFitModel(t, f, y, model, Options{Weights: w})
	b := mustFitModel(t, f, y, model, Options{Covariance: cov})
	la, _ := a.LogLik()
	lb, _ := b.LogLik()
	reftest.Within(t, "log-likelihood", lb, la, 1e-12, "the same model")
	reftest.Within(t, "R²", b.R2, a.R2, 1e-12, "the same model")
	for j, c := range a.Coefficients {
		reftest.Within(t, c.Name, b.Coefficients[j].Estimate, c.Estimate, 1e-12, "the same model")
		reftest.Within(t, "SE "+c.Name, b.Coefficients[j].SE, c.SE, 1e-12, "the same model")
	}
	for i := range y {
		reftest.WithinAbs(t, fmt.Sprint("residual ", i), b.Residuals[i], a.Residuals[i], 1e-11, 1e-12, "the same model")
	}
}
