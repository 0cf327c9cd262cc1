package curve

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func TestSolveEdges(t *testing.T) {
	t.Parallel()
	x, y := []float64{1, 2, 3, 4, 5}, []float64{1, 3, 4, 7, 8}
	line := func(x float64, b []float64) float64 { return b[0] + b[1]*x }
	p := problemOf(x, y, line)
	nan := math.NaN()
	with := func(f func(*Problem)) Problem { q := p; f(&q); return q }
	solve := func(p Problem, start ...float64) func() error {
		return func() error { _, err := Solve(p, start, SolveOptions{}); return err }
	}
	for name, c := range map[string]struct {
		run  func() error
		want error
	}{
		"no data":          {solve(Problem{Mean: p.Mean}, 1), stats.ErrEmpty},
		"no parameters":    {solve(p), stats.ErrEmpty},
		"no model":         {solve(Problem{Y: y}, 1), stats.ErrEmpty},
		"NaN in y":         {solve(with(func(q *Problem) { q.Y = []float64{1, nan, 2, 3, 4} }), 1, 1), stats.ErrNonFinite},
		"NaN start":        {solve(p, nan, 1), stats.ErrNonFinite},
		"weights short":    {solve(with(func(q *Problem) { q.Weights = y[:2] }), 1, 1), stats.ErrLengths},
		"negative weight":  {solve(with(func(q *Problem) { q.Weights = []float64{1, 1, -1, 1, 1} }), 1, 1), stats.ErrDomain},
		"infinite weight":  {solve(with(func(q *Problem) { q.Weights = []float64{1, 1, math.Inf(1), 1, 1} }), 1, 1), stats.ErrNonFinite},
		"names short":      {solve(with(func(q *Problem) { q.Names = []string{"a"} }), 1, 1), stats.ErrLengths},
		"too few":          {solve(with(func(q *Problem) { q.Weights = []float64{1, 1, 0, 0, 0} }), 1, 1), stats.ErrTooFew},
		"outside":          {solve(problemOf(x, y, func(x float64, b []float64) float64 { return math.Log(b[0]) * x }), -1), stats.ErrNonFinite},
		"not separable":    {solve(problemOf(x, y, func(x float64, b []float64) float64 { return (b[0] + b[1]) * x }), 1, 1), stats.ErrSingular},
		"isotonic empty":   {func() error { _, err := Isotonic(nil, nil, nil, false); return err }, stats.ErrEmpty},
		"isotonic lengths": {func() error { _, err := Isotonic(x[:2], y, nil, false); return err }, stats.ErrLengths},
		"isotonic NaN":     {func() error { _, err := Isotonic([]float64{nan}, []float64{1}, nil, false); return err }, stats.ErrNonFinite},
		"isotonic weight":  {func() error { _, err := Isotonic(x, y, []float64{1, 1, 0, 1, 1}, false); return err }, stats.ErrDomain},
		"family":           {func() error { _, err := FitFamily(77, x, y, nil, nil); return err }, stats.ErrDomain},
		"family no scale":  {func() error { _, err := FitFamily(Logistic2, x, y, nil, nil); return err }, stats.ErrDomain},
		"family empty":     {func() error { _, err := FitFamily(Line, nil, nil, nil, nil); return err }, stats.ErrEmpty},
		"family lengths":   {func() error { _, err := FitFamily(Line, x[:1], y, nil, nil); return err }, stats.ErrLengths},
		"family one x":     {func() error { _, err := FitFamily(Line, []float64{1, 1, 1}, y[:3], nil, nil); return err }, stats.ErrTooFew},
	} {
		if err := c.run(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	s, err := Solve(p, []float64{0, 0}, SolveOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"wald":    second(s.Wald(9, 0.95)),
		"profile": second(s.Profile(0, 1.5)),
		"nested":  second(ExtraSS(s, s)),
		"nil":     second(ExtraSS(nil, s)),
	} {
		if !errors.Is(err, stats.ErrDomain) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.LackOfFit(x); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("no repeats: %v", err)
	}
	if _, _, err := s.Predict(func([]float64) float64 { return nan }); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("predict: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

// TestHonest: a minimum at infinity is not reported as a fit, and a limit of
// iterations is named.
func TestHonest(t *testing.T) {
	t.Parallel()
	// A straight line has no best exponential a·e^(bx) + c: the sum of squares
	// falls for ever as b tends to 0 with a growing.
	var x, y []float64
	for i := range 12 {
		x, y = append(x, float64(i)), append(y, 3+2*float64(i))
	}
	s, err := Solve(problemOf(x, y, func(x float64, b []float64) float64 { return b[0]*math.Exp(b[1]*x) + b[2] }), []float64{1, 0.5, 1}, SolveOptions{})
	switch {
	case errors.Is(err, stats.ErrSingular):
	case err != nil:
		t.Errorf("unexpected %v", err)
	case s.Status.Converged && s.Sigma > 1e-6:
		t.Errorf("converged to %v with sigma %v", s.Coef, s.Sigma)
	}
	// Rosenbrock's valley in three iterations.
	rosen := Problem{Y: []float64{0, 0, 0}, Mean: func(b, out []float64) {
		out[0], out[1], out[2] = 10*(b[1]-b[0]*b[0]), 1-b[0], 0.3*math.Sin(b[0])
	}}
	s, err = Solve(rosen, []float64{-1.2, 1}, SolveOptions{MaxIter: 3, OneStart: true})
	if err != nil {
		t.Fatal(err)
	}
	if s.Status.Converged || s.Status.Message == "" || s.Status.Iterations != 3 {
		t.Errorf("%+v", s.Status)
	}
	if _, err := s.Profile(0, 0.95); !errors.Is(err, stats.ErrNotConverged) {
		t.Errorf("profile of an unfinished fit: %v", err)
	}
	if s, err = Solve(rosen, []float64{-1.2, 1}, SolveOptions{}); err != nil || !s.Status.Converged {
		t.Errorf("%+v, %v", s, err)
	}
}

// TestSolveProperties: estimates follow a change of units of x, y and the
// parameters; weights of 2 are rows twice; the order of rows does not matter;
// inputs stay as they were; an analytic Jacobian changes nothing.
func TestSolveProperties(t *testing.T) {
	t.Parallel()
	x := []float64{1, 2, 3, 5, 7, 10, 12}
	y := []float64{10.9, 14.9, 14.7, 19.1, 21.3, 22.4, 21.9}
	f := func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) }
	start := []float64{10, 0.2}
	keep := fmt.Sprint(x, y, start)
	base, err := Solve(problemOf(x, y, f), start, SolveOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(x, y, start) != keep {
		t.Error("inputs were altered")
	}
	const source = "the fit before the change"
	sx, sy := make([]float64, len(x)), make([]float64, len(x))
	for i := range x {
		sx[i], sy[i] = 1000*x[i], 1e-6*y[i]
	}
	s, err := Solve(problemOf(sx, sy, f), []float64{1e-5, 2e-4}, SolveOptions{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "scaled b1", s.Coef[0], 1e-6*base.Coef[0], 1e-8, source)
	reftest.Within(t, "scaled b2", s.Coef[1], base.Coef[1]/1000, 1e-8, source)
	reftest.Within(t, "scaled SE", s.SE[1], base.SE[1]/1000, 1e-7, source)

	p := problemOf(x, y, f)
	p.Jacobian = func(b, jac []float64) {
		for i, v := range x {
			e := math.Exp(-b[1] * v)
			jac[2*i], jac[2*i+1] = 1-e, b[0]*v*e
		}
	}
	if s, err = Solve(p, start, SolveOptions{}); err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "analytic", s.Coef[1], base.Coef[1], 1e-9, source)
	reftest.Within(t, "analytic SE", s.SE[1], base.SE[1], 1e-9, source)

	rx, ry := slices.Clone(x), slices.Clone(y)
	slices.Reverse(rx)
	slices.Reverse(ry)
	if s, err = Solve(problemOf(rx, ry, f), start, SolveOptions{}); err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "reversed", s.Coef[1], base.Coef[1], 1e-9, source)

	w := problemOf(x, y, f)
	w.Weights = []float64{2, 1, 2, 1, 1, 0, 1}
	a, err := Solve(w, start, SolveOptions{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Solve(problemOf([]float64{1, 1, 2, 3, 3, 5, 7, 12}, []float64{10.9, 10.9, 14.9, 14.7, 14.7, 19.1, 21.3, 21.9}, f), start, SolveOptions{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "weighted", a.Coef[0], b.Coef[0], 1e-9, "rows written twice")
	reftest.Within(t, "weighted RSS", a.RSS, b.RSS, 1e-9, "rows written twice")
	if a.DF != 4 || b.DF != 6 {
		t.Errorf("df %d and %d", a.DF, b.DF)
	}
}

func TestIsotonicProperties(t *testing.T) {
	t.Parallel()
	x := []float64{3, 1, 2, 2, 5, 4}
	y := []float64{2, 3, 1, 2, 5, 4.5}
	w := []float64{1, 2, 1, 3, 1, 1}
	f, err := Isotonic(x, y, w, false)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.IsSorted(f.Fitted) {
		t.Errorf("not monotone: %v", f.Fitted)
	}
	// The fit keeps the weighted mean, and pooled 1, 2, 3 by hand:
	// (2·3 + (1 + 3·2) + 1·2)/7 = 15/7.
	for i := range 3 {
		reftest.Within(t, "pool", f.Fitted[i], 15.0/7, 1e-14, "by hand")
	}
	neg := make([]float64, len(y))
	for i, v := range y {
		neg[i] = -v
	}
	g, err := Isotonic(x, neg, w, true)
	if err != nil {
		t.Fatal(err)
	}
	for i := range f.Fitted {
		if g.Fitted[i] != -f.Fitted[i] {
			t.Errorf("mirrored %v, %v", g.Fitted, f.Fitted)
		}
	}
	if one, err := Isotonic([]float64{1}, []float64{7}, nil, true); err != nil || one.Fitted[0] != 7 || one.Levels != 1 || one.RSS != 0 {
		t.Errorf("%+v, %v", one, err)
	}
	if flat, err := Isotonic(x, []float64{4, 4, 4, 4, 4, 4}, nil, false); err != nil || flat.Levels != 1 {
		t.Errorf("%+v, %v", flat, err)
	}
}

func FuzzSolve(f *testing.F) {
	f.Add(1.0, 0.2, 3.0, 1.0)
	f.Add(-50.0, 1e-9, 1e9, 0.0)
	f.Fuzz(func(t *testing.T, a, b, y0, noise float64) {
		var x, y []float64
		for i := range 8 {
			x = append(x, float64(i))
			y = append(y, y0+noise*math.Sin(7*float64(i)))
		}
		s, err := Solve(problemOf(x, y, michaelisShifted), []float64{a, b}, SolveOptions{MaxIter: 50})
		if err != nil {
			return
		}
		if err := stats.CheckFinite("result", append(append([]float64{s.RSS, s.Sigma, s.LogLik}, s.Coef...), s.SE...)); err != nil {
			t.Error(err)
		}
	})
}

func michaelisShifted(x float64, b []float64) float64 { return b[0] * x / (math.Abs(b[1]) + x + 0.1) }
