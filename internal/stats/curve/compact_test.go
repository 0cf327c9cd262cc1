package curve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// TestCompact: the likelihood, score and information from the groups are those
// of the N × N matrices, up to the constant of the likelihood, which is 0 here.
// Tolerance 1e-8: both subtract numbers of the order of tr V⁻¹.
func TestCompact(t *testing.T) {
	t.Parallel()
	const n = 24
	rng := rand.New(rand.NewPCG(5, 6))
	y := make([]float64, n)
	var cols [][]float64
	for range 4 {
		c := make([]float64, n)
		for i := range c {
			c[i] = rng.NormFloat64()
		}
		cols = append(cols, c)
	}
	basis := orthonormal(nil, cols)
	x := mat.NewDense(n, len(basis), nil)
	sets := [][]int{nil, make([]int, n), make([]int, n)}
	for i := range n {
		y[i] = 10 + rng.NormFloat64()
		sets[1][i], sets[2][i] = i/3, (i*7)%5+40
		for j, c := range basis {
			x.Set(i, j, c[i])
		}
	}
	small, big := compact(y, x, nil, sets), dense(mat.NewVecDense(n, y), x, nil, sets)
	for _, theta := range [][]float64{{1, 0.5, 0.2}, {0.1, 3, 0}, {2, 0, 0}, {0.5, 0, 4}} {
		a, ok1 := small(theta)
		b, ok2 := big(theta)
		if !ok1 || !ok2 {
			t.Fatalf("%v: %v %v", theta, ok1, ok2)
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
				t.Errorf("θ = %v: %s = %v, dense %v", theta, what, got, want)
			}
		}
		near("log likelihood", a.ll, b.ll)
		sa, ta := a.derivatives()
		sb, tb := b.derivatives()
		for i := range sa {
			near("score", sa[i], sb[i])
			for j := range sa {
				near("trace", ta(i, j), tb(i, j))
			}
		}
	}
	if compact(y, x, mat.NewSymDense(n, nil), sets) != nil || compact(y, x, nil, sets[1:]) != nil {
		t.Error("compact took a covariance that it has no form for")
	}
}

// TestDrawStop: descents that end early, and curves that are given up, move no
// chance by more than a hundredth and no window by a tenth of a grid step,
// against descents to the minimum.
func TestDrawStop(t *testing.T) {
	t.Parallel()
	const draws = 400
	fits := pollackLike(t)
	grid, err := Grid(44, 60, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	aims := []Aim{{Measure: 0, Low: 5, High: 6.5}, {Measure: 1, Low: math.Inf(-1), High: 2}}
	results := make([]*WindowResult, 2)
	for i, end := range []stop{drawStop, {tol: 1e-8, maxIter: 500}} {
		s, err := NewSampler(fits...)
		if err != nil {
			t.Fatal(err)
		}
		s.stop = end
		w, err := NewWindow(0, aims, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Run(draws, 1, grid, w); err != nil {
			t.Fatal(err)
		}
		if results[i], err = w.Result(); err != nil {
			t.Fatal(err)
		}
	}
	a, b := results[0], results[1]
	for g := range grid {
		if d := math.Abs(a.Mean.Chance[g] - b.Mean.Chance[g]); d > 0.01 {
			t.Errorf("chance at %.1f is %v, exact %v", grid[g], a.Mean.Chance[g], b.Mean.Chance[g])
		}
	}
	if d := math.Max(math.Abs(a.Interval.Low-b.Interval.Low), math.Abs(a.Interval.High-b.Interval.High)); d > 0.01 {
		t.Errorf("interval of the best point %v, exact %v", *a.Interval, *b.Interval)
	}
}
