package ordinal

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func column(xs ...float64) *mat.Dense { return mat.NewDense(len(xs), 1, xs) }

func hasWarning(r *Result, id string) bool {
	return slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return w.ID == id })
}

// checkClean fails when anything in the result is not a finite number.
func checkClean(t *testing.T, name string, r *Result) {
	t.Helper()
	bad := func(xs ...float64) {
		if err := stats.CheckFinite(name, xs); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	bad(r.LogLik, r.AIC, r.BIC, r.N, r.Status.GradientNorm)
	for _, c := range r.Coefficients {
		bad(c.Estimate, c.SE, c.Z, c.P)
	}
	for _, row := range r.Covariance {
		bad(row...)
	}
	if r.Random != nil {
		bad(r.Random.SD, r.Random.SE)
		bad(r.Random.Mode...)
		bad(r.Random.Variance...)
	}
}

func TestSeparation(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		y      []int
		x      *mat.Dense
		signs  []int   // thresholds, then columns
		logLik float64 // supremum, by hand
	}{
		{"complete, two categories", []int{1, 1, 1, 2, 2, 2}, column(1, 2, 3, 4, 5, 6), []int{1, 1}, 0},
		{"complete, three categories", []int{1, 1, 2, 2, 3, 3}, column(1, 2, 3, 4, 5, 6), []int{1, 1, 1}, 0},
		{"complete, falling", []int{3, 3, 2, 2, 1, 1}, column(1, 2, 3, 4, 5, 6), []int{-1, -1, -1}, 0},
		// Two rows share x = 3 and differ: half a bit each remains.
		{"quasi-complete", []int{1, 1, 1, 2, 2, 2}, column(1, 2, 3, 3, 5, 6), []int{1, 1}, 2 * math.Log(0.5)},
		// A group that gave only the top mark, beside one that gave all three:
		// the effect is infinite, the thresholds of the other group are not.
		{"one group all at the top", []int{1, 2, 3, 1, 2, 3, 3, 3, 3}, column(0, 0, 0, 0, 0, 0, 1, 1, 1), []int{0, 0, 1}, 6 * math.Log(1.0/3)},
		{"one group all at the bottom", []int{1, 2, 3, 1, 2, 3, 1, 1}, column(0, 0, 0, 0, 0, 0, 1, 1), []int{0, 0, -1}, 6 * math.Log(1.0/3)},
	} {
		for _, link := range []Link{Logit, Probit, CLogLog} {
			r, err := Fit(Data{Y: c.y, X: c.x}, Options{Link: link})
			name := c.name + ", " + link.String()
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			checkClean(t, name, r)
			if r.Outcome != Infinite || !hasWarning(r, "separation") || r.Status.Converged {
				t.Errorf("%s: outcome %v, warnings %v", name, r.Outcome, r.Warnings)
				continue
			}
			for j, s := range c.signs {
				if got := r.Coefficients[j].Infinite; got != s {
					t.Errorf("%s: %s has sign of infinity %d, want %d", name, r.Coefficients[j].Name, got, s)
				}
			}
			reftest.WithinAbs(t, name+" log likelihood", r.LogLik, c.logLik, 1e-8, 1e-7, "limit worked by hand")
		}
	}
	// The finite part of a separated fit is that of the rest of the rows.
	full, err := Fit(Data{Y: []int{1, 2, 3, 1, 2, 3, 3, 3, 3, 1, 2}, X: mat.NewDense(11, 2, []float64{
		0, 1, 0, 2, 0, 3, 0, 2.5, 0, 1.5, 0, 2.2, 1, 1, 1, 2, 1, 3, 0, 0.7, 0, 2.9})}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rest, err := Fit(Data{Y: []int{1, 2, 3, 1, 2, 3, 1, 2}, X: column(1, 2, 3, 2.5, 1.5, 2.2, 0.7, 2.9)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	const src = "the fit without the separated rows"
	for j, k := range map[int]int{0: 0, 1: 1, 3: 2} {
		// Reached up to what the separated rows still add: e^-20.
		reftest.Within(t, "finite estimate", full.Coefficients[j].Estimate, rest.Coefficients[k].Estimate, 1e-6, src)
		reftest.Within(t, "finite SE", full.Coefficients[j].SE, rest.Coefficients[k].SE, 1e-6, src)
	}
	if full.Coefficients[2].Infinite != 1 {
		t.Errorf("the separated column: %+v", full.Coefficients[2])
	}
	p, err := full.Predict(Point{X: []float64{1, 2}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "predicted mean at the separated level", p.Mean, 3, 1e-6, "limit")
	if p.HasSE {
		t.Error("a separated fit has no standard error of a mean")
	}
}

// Near-separated data have large but finite estimates and must not be called
// infinite: one row in a thousand is on the other side.
func TestNearlySeparated(t *testing.T) {
	t.Parallel()
	d := Data{Y: []int{1, 2, 1, 2}, X: column(0, 0, 1, 1), Weights: []float64{1e6, 1, 1, 1e6}}
	for _, link := range []Link{Logit, Probit, CLogLog} {
		r, err := Fit(d, Options{Link: link})
		if err != nil {
			t.Fatal(err)
		}
		if r.Outcome != Estimated {
			t.Errorf("%v: %v (%s)", link, r.Outcome, r.Status.Message)
		}
		if link == Logit {
			reftest.Within(t, "log odds ratio", r.Coefficients[1].Estimate, 2*math.Log(1e6), 1e-9, "saturated 2 × 2 table")
			reftest.Within(t, "its SE", r.Coefficients[1].SE, math.Sqrt(2+2e-6), 1e-6, "Woolf's formula")
		}
	}
}

func TestMixedSeparationAndBoundary(t *testing.T) {
	t.Parallel()
	// One product always at the top: infinite with judges, too.
	y := []int{1, 3, 2, 3, 3, 3, 2, 3, 1, 3, 2, 3}
	x := column(0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1)
	judges := []int{1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3}
	for _, points := range []int{1, 9} {
		r, err := FitMixed(Data{Y: y, X: x}, judges, points, Options{})
		if err != nil {
			t.Fatal(err)
		}
		checkClean(t, "mixed separation", r)
		if r.Outcome != Infinite || r.Coefficients[2].Infinite != 1 || r.Coefficients[0].Infinite != 0 {
			t.Errorf("outcome %v, %+v", r.Outcome, r.Coefficients)
		}
	}
	// Judges that agree completely: no variance between them.
	y = []int{1, 2, 3, 2, 1, 2, 3, 2, 1, 2, 3, 2}
	x = column(1, 3, 2, 1, 1, 3, 2, 1, 1, 3, 2, 1)
	r, err := FitMixed(Data{Y: y, X: x}, judges, 10, Options{})
	if err != nil {
		t.Fatal(err)
	}
	plain, err := Fit(Data{Y: y, X: x}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkClean(t, "boundary", r)
	if r.Random.SD != 0 || !r.Status.Boundary || !hasWarning(r, "boundary") || r.Outcome != Estimated {
		t.Errorf("boundary: SD %v, %+v, %v", r.Random.SD, r.Status, r.Warnings)
	}
	reftest.Within(t, "log likelihood at the boundary", r.LogLik, plain.LogLik, 1e-12, "fit without the effect")
	lr, err := LikelihoodRatio(plain, r)
	if err != nil {
		t.Fatal(err)
	}
	if lr.Statistic != 0 || lr.P != 1 || !lr.Mixture {
		t.Errorf("test of nothing: %+v", lr)
	}
	// Judges that never overlap: the standard deviation has no finite estimate.
	y = []int{1, 1, 1, 1, 2, 2, 2, 2, 1, 1, 1, 1}
	r, err = FitMixed(Data{Y: y, X: x}, judges, 10, Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkClean(t, "unbounded", r)
	if !hasWarning(r, "unbounded-variance") {
		t.Errorf("unbounded variance: %+v, SD %v", r.Status, r.Random.SD)
	}
}

// With one column there is an exact rule: an infinite direction exists if and
// only if the categories, in order, occupy ranges of the column that at most
// touch, rising or falling (and the column varies).
func TestSeparationRule(t *testing.T) {
	t.Parallel()
	counts := map[Outcome]int{}
	for seed := range uint64(600) {
		rng := rand.New(rand.NewPCG(seed, 77))
		n, k := 4+rng.IntN(12), 2+rng.IntN(4)
		slope := float64(rng.IntN(9)) - 4
		y, x := make([]int, n), make([]float64, n)
		for i := range n {
			x[i] = float64(rng.IntN(7))
			y[i] = min(max(int(slope*(x[i]-3)/2+1.5*rng.NormFloat64())+k/2, 0), k-1)
		}
		codes := slices.Clone(y)
		slices.Sort(codes)
		codes = slices.Compact(codes)
		if len(codes) < 2 || slices.Min(x) == slices.Max(x) {
			continue
		}
		rising, falling := true, true
		for j := 1; j < len(codes); j++ {
			var low, high []float64
			for i := range n {
				switch y[i] {
				case codes[j-1]:
					low = append(low, x[i])
				case codes[j]:
					high = append(high, x[i])
				}
			}
			rising = rising && slices.Max(low) <= slices.Min(high)
			falling = falling && slices.Min(low) >= slices.Max(high)
		}
		want := Estimated
		if rising || falling {
			want = Infinite
		}
		for _, link := range []Link{Logit, Probit, CLogLog} {
			r, err := Fit(Data{Y: y, X: column(x...)}, Options{Link: link})
			if err != nil {
				t.Fatal(err)
			}
			counts[r.Outcome]++
			if r.Outcome != want {
				t.Errorf("seed %d, %v: %v (%s), want %v: y %v, x %v", seed, link, r.Outcome, r.Status.Message, want, y, x)
			}
		}
	}
	if counts[Infinite] < 100 || counts[Estimated] < 500 {
		t.Errorf("the draws have lost their point: %v", counts)
	}
}
