package curve

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// cells makes cooks at the set points, repeats of each, with the treatments in
// every cook and a session per repeat.
func cells(seed uint64, xs []float64, repeats, treatments int, f func(x float64, t int) float64, sdCook, sdCell float64) Data {
	rng := rand.New(rand.NewPCG(seed, 1))
	var d Data
	d.Blocks = make([][]float64, repeats)
	for r := range repeats {
		for i, x := range xs {
			e := sdCook * rng.NormFloat64()
			for t := range treatments {
				d.X = append(d.X, x)
				d.Cook = append(d.Cook, r*len(xs)+i)
				d.Treatment = append(d.Treatment, t)
				d.Y = append(d.Y, f(x, t)+e+sdCell*rng.NormFloat64())
				for b := range repeats {
					v := 0.0
					if b == r {
						v = 1
					}
					d.Blocks[b] = append(d.Blocks[b], v)
				}
			}
		}
	}
	return d
}

var sixPoints = []float64{44, 47, 50, 53, 56, 60}

func mustFit(t testing.TB, d Data, o Options) *Fit {
	t.Helper()
	s, err := New(d, o)
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.Fit()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestVariances: with two treatments in every cook REML is the classical
// analysis of strata: residual mean square, and (cook − residual)/2.
func TestVariances(t *testing.T) {
	t.Parallel()
	d := cells(3, sixPoints, 3, 2, func(x float64, t int) float64 { return x/10 + float64(t) }, 0.8, 0.3)
	s, err := New(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	// Cook stratum: sums of the two cells about arm and session; residual:
	// differences of the two cells about their arm.
	var ssCook, ssDiff float64
	sum, diff := map[[2]int]float64{}, map[[2]int]float64{}
	for r := range 3 {
		for i := range 6 {
			k := (r*6 + i) * 2
			sum[[2]int{i, r}] = (d.Y[k] + d.Y[k+1]) / math.Sqrt2
			diff[[2]int{i, r}] = (d.Y[k] - d.Y[k+1]) / math.Sqrt2
		}
	}
	dfDiff := 0.0
	for _, c := range []struct {
		v       map[[2]int]float64
		blocked bool
		ss      *float64
	}{{sum, true, &ssCook}, {diff, false, &ssDiff}} {
		arm, block, all := [6]float64{}, [3]float64{}, 0.0
		for k, v := range c.v {
			arm[k[0]] += v / 3
			block[k[1]] += v / 6
			all += v / 18
		}
		for k, v := range c.v {
			e := v - arm[k[0]]
			if c.blocked {
				e -= block[k[1]] - all
			}
			*c.ss += e * e
		}
	}
	dfDiff = 12 // 18 differences about 6 arm means
	msCook, msDiff := ssCook/10, ssDiff/dfDiff
	const source = "strata computed by hand in this test"
	// Scoring stops when the predicted rise of the likelihood is below 1e-16.
	reftest.Within(t, "residual", s.VResidual, msDiff, 1e-7, source)
	reftest.Within(t, "cook", s.VCook, (msCook-msDiff)/2, 1e-7, source)
	if s.RepeatDF != 10 || s.BlockCols != 2 || !s.Covariance.Converged || s.Covariance.Boundary {
		t.Errorf("df %d, blocks %d, %+v", s.RepeatDF, s.BlockCols, s.Covariance)
	}
}

// TestGeneralised: coefficients are those of generalised least squares with the
// full matrices, for a given covariance, blocks and two treatments.
func TestGeneralised(t *testing.T) {
	t.Parallel()
	d := cells(5, sixPoints, 2, 2, func(x float64, t int) float64 { return 3 + 0.2*x - 0.5*float64(t) }, 0.4, 0.3)
	n := len(d.Y)
	d.Cov = make([][]float64, n)
	for i := range d.Cov {
		d.Cov[i] = make([]float64, n)
		d.Cov[i][i] = 0.05 + 0.01*float64(i%5)
		if i%2 == 1 {
			d.Cov[i][i-1], d.Cov[i-1][i] = 0.02, 0.02
		}
	}
	s, err := New(d, Options{Families: []Family{Line}})
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.Fit()
	if err != nil {
		t.Fatal(err)
	}
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			c := d.Cov[i][j]
			if d.Cook[i] == d.Cook[j] {
				c += s.VCook
			}
			v.SetSym(i, j, c)
		}
	}
	x := mat.NewDense(n, 4, nil) // two levels, slope, one block contrast
	for i := range n {
		x.Set(i, d.Treatment[i], 1)
		x.Set(i, 2, d.X[i])
		x.Set(i, 3, d.Blocks[0][i]-0.5)
	}
	var ch mat.Cholesky
	if !ch.Factorize(v) {
		t.Fatal("covariance")
	}
	var vx, xvx, inv mat.Dense
	var vy, xvy, beta mat.VecDense
	if ch.SolveTo(&vx, x) != nil || ch.SolveVecTo(&vy, mat.NewVecDense(n, d.Y)) != nil {
		t.Fatal("solve")
	}
	xvx.Mul(x.T(), &vx)
	xvy.MulVec(x.T(), &vy)
	if inv.Inverse(&xvx) != nil {
		t.Fatal("inverse")
	}
	beta.MulVec(&inv, &xvy)
	c := f.Candidates[0]
	const source = "generalised least squares with full matrices in this test"
	for i := range 3 {
		reftest.Within(t, c.Coef[i].Name, c.Coef[i].Value, beta.AtVec(i), 1e-9, source)
		reftest.Within(t, c.Coef[i].Name+" SE", c.Coef[i].SE, math.Sqrt(inv.At(i, i)), 1e-9, source)
	}
	var r mat.VecDense
	r.MulVec(x, &beta)
	rss := 0.0
	e := mat.NewVecDense(n, nil)
	for i := range n {
		e.SetVec(i, d.Y[i]-r.AtVec(i))
		reftest.WithinAbs(t, "residual", c.Residuals[i], e.AtVec(i), 0, 1e-9, source)
	}
	var ve mat.VecDense
	if ch.SolveVecTo(&ve, e) != nil {
		t.Fatal("solve")
	}
	rss = mat.Dot(e, &ve)
	reftest.Within(t, "RSS", c.RSS, rss, 1e-9, source)
	reftest.Within(t, "logLik", c.LogLik, -float64(n)/2*(math.Log(2*math.Pi*rss/float64(n))+1)-ch.LogDet()/2, 1e-9, source)
	reftest.Within(t, "AICc", c.AICc, -2*c.LogLik+2*5+2*5*6/float64(12-5-1), 1e-12, "K = 3 + 1 + 1, n = 12 cooks")
}

// TestGradients: the analytic gradient of each family is its difference
// quotient.
func TestGradients(t *testing.T) {
	t.Parallel()
	for fam := Constant; fam <= Logistic4; fam++ {
		for _, own := range []bool{false, true} {
			s := shape{family: fam, own: own && fam != Constant, t: 2, scale: Scale{1, 9}}
			b := make([]float64, s.params())
			for i := range b {
				b[i] = 0.3 + 0.4*float64(i)
			}
			for tr := range 2 {
				for _, u := range []float64{-1, -0.2, 0.7} {
					g := make([]float64, len(b))
					y := s.gradient(b, u, tr, g)
					reftest.Within(t, "mean", y, s.mean(b, u, tr), 1e-14, "the same family")
					for i := range b {
						h := 1e-5
						up, dn := slices.Clone(b), slices.Clone(b)
						up[i] += h
						dn[i] -= h
						// Central differences are good to about 1e-10 here.
						reftest.WithinAbs(t, fmt.Sprintf("%v own %v ∂%d", fam, own, i), g[i], (s.mean(up, u, tr)-s.mean(dn, u, tr))/(2*h), 1e-8, 1e-9, "difference quotient")
					}
				}
			}
		}
	}
}

// TestGridRecurrence: the fast evaluation on an even grid is the curve.
func TestGridRecurrence(t *testing.T) {
	t.Parallel()
	grid := make([]float64, 161)
	for i := range grid {
		grid[i] = -1 + float64(i)/80
	}
	for _, fam := range []Family{Constant, Line, Quadratic, Logistic2, Logistic3, Logistic4} {
		s := shape{family: fam, t: 1, scale: Scale{0, 10}}
		for _, b := range [][]float64{{2, -9, 0.1, 0.4}, {1, 40, -0.3, -3}, {-3, 500, 0.9, -6}} {
			b = b[:s.params()]
			fast, slow := make([]float64, len(grid)), make([]float64, len(grid))
			s.add(b, grid, true, 0, 0.7, fast)
			s.add(b, grid, false, 0, 0.7, slow)
			for i := range grid {
				reftest.WithinAbs(t, fam.String(), fast[i], slow[i], 1e-12, 1e-12, "point by point")
			}
		}
	}
}

// TestEquivariance: weights do not change when x or y are shifted and scaled,
// rows are reordered, cooks are renumbered or treatments swap names; curves
// follow.
func TestEquivariance(t *testing.T) {
	t.Parallel()
	d := cells(11, sixPoints, 3, 2, func(x float64, t int) float64 { return 2 + 6*logistic((x-51+float64(t))/2) }, 0.3, 0.2)
	keep := fmt.Sprint(d)
	base := mustFit(t, d, Options{})
	if fmt.Sprint(d) != keep {
		t.Error("inputs were altered")
	}
	at := func(f *Fit, x float64, tr int) float64 {
		y, _, err := f.At(x, tr)
		if err != nil {
			t.Fatal(err)
		}
		return y
	}
	shift := func(v []float64, a, b float64) []float64 {
		out := slices.Clone(v)
		for i := range out {
			out[i] = a + b*out[i]
		}
		return out
	}
	for name, c := range map[string]struct {
		change func(Data) Data
		back   func(f *Fit, tr int) float64
	}{
		"y": {func(d Data) Data { d.Y = shift(d.Y, -300, 40); return d }, func(f *Fit, tr int) float64 { return (at(f, 52, tr) + 300) / 40 }},
		"x": {func(d Data) Data { d.X = shift(d.X, 32, 1.8); return d }, func(f *Fit, tr int) float64 { return at(f, 32+1.8*52, tr) }},
		"rows": {func(d Data) Data {
			rng := rand.New(rand.NewPCG(4, 4))
			order := rng.Perm(len(d.Y))
			var e Data
			e.Blocks = make([][]float64, len(d.Blocks))
			for _, i := range order {
				e.X, e.Y = append(e.X, d.X[i]), append(e.Y, d.Y[i])
				e.Cook, e.Treatment = append(e.Cook, 100-d.Cook[i]), append(e.Treatment, d.Treatment[i])
				for b := range d.Blocks {
					e.Blocks[b] = append(e.Blocks[b], d.Blocks[b][i])
				}
			}
			return e
		}, func(f *Fit, tr int) float64 { return at(f, 52, tr) }},
		"treatments": {func(d Data) Data {
			d.Treatment = slices.Clone(d.Treatment)
			for i := range d.Treatment {
				d.Treatment[i] = 1 - d.Treatment[i]
			}
			return d
		}, func(f *Fit, tr int) float64 { return at(f, 52, 1-tr) }},
	} {
		f := mustFit(t, c.change(d), Options{})
		for i := range base.Candidates {
			a, b := base.Candidates[i], f.Candidates[i]
			// The logistic is iterated to a relative offset of 1e-9, and the
			// variances to 1e-8: so are the weights.
			reftest.WithinAbs(t, name+" weight of "+a.Family.String(), b.Weight, a.Weight, 1e-5, 1e-7, "the data before the change")
		}
		for tr := range 2 {
			reftest.Within(t, name, c.back(f, tr), at(base, 52, tr), 1e-6, "the data before the change")
		}
	}
}

// TestFewSetPoints: one gives a description, two a line and no shape.
func TestFewSetPoints(t *testing.T) {
	t.Parallel()
	flat := func(x float64, t int) float64 { return x / 10 }
	for _, c := range []struct {
		xs      []float64
		repeats int
		want    string
	}{
		{[]float64{50}, 6, "constant"},
		{[]float64{46, 54}, 4, "constant line"},
		{[]float64{46, 50, 54}, 3, "constant line logistic-2"},
		{[]float64{46, 50, 54, 58}, 3, "constant line quadratic logistic-2"},
		{sixPoints, 3, "constant line quadratic logistic-2 logistic-4"},
	} {
		d := cells(1, c.xs, c.repeats, 1, flat, 0.3, 0)
		d.Blocks = nil
		f := mustFit(t, d, Options{Scale: &Scale{0, 10}})
		var got []string
		for _, k := range f.Candidates {
			if k.Excluded == "" {
				got = append(got, k.Family.String())
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v: %s, want %s", c.xs, s, c.want)
		}
	}
	// Two cooks at each of two set points: too few to weigh, and not flat.
	d := Data{X: []float64{46, 46, 54, 54}, Y: []float64{1, 1.2, 4, 4.2}}
	f := mustFit(t, d, Options{})
	if f.Candidates[f.Best].Family != Line || len(f.Warnings) == 0 || f.Warnings[0].ID != "unweighed" {
		t.Errorf("best %v, warnings %v", f.Candidates[f.Best].Family, f.Warnings)
	}
	if _, outside, err := f.At(54.5, 0); err != nil || !outside {
		t.Errorf("a little outside: %v, %v", outside, err)
	}
	if _, _, err := f.At(60, 0); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("far outside: %v", err)
	}
}

// TestUnrepeated: with one cook per set point the error comes from the scatter
// about the curve and says so.
func TestUnrepeated(t *testing.T) {
	t.Parallel()
	d := cells(2, []float64{44, 46, 48, 50, 52, 54, 56, 58}, 1, 1, func(x float64, t int) float64 { return 10 * logistic((x-50)/3) }, 0.3, 0)
	d.Blocks = nil
	f := mustFit(t, d, Options{Scale: &Scale{0, 10}})
	if f.ErrorFrom != FromCurve || len(f.Warnings) == 0 || f.Warnings[0].ID != "cook-error-from-curve" {
		t.Errorf("%v, %v", f.ErrorFrom, f.Warnings)
	}
	b := f.Candidates[f.Best]
	if b.LackOfFit != nil {
		t.Error("lack of fit without repeats")
	}
	ss := 0.0
	for _, r := range b.Residuals {
		ss += r * r
	}
	reftest.Within(t, "cook SD", f.CookSD[0], math.Sqrt(ss/float64(8-b.Params)), 1e-9, "residual mean square")
	if f.DF != 8-b.Params {
		t.Errorf("df = %d", f.DF)
	}
}

func TestBadData(t *testing.T) {
	t.Parallel()
	x, y := []float64{1, 2, 3, 1, 2, 3}, []float64{1, 2, 3, 2, 3, 5}
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		d    Data
		o    Options
		want error
	}{
		"empty":           {Data{}, Options{}, stats.ErrEmpty},
		"one":             {Data{X: []float64{1}, Y: []float64{1}}, Options{}, stats.ErrTooFew},
		"two":             {Data{X: []float64{1, 2}, Y: []float64{1, 3}}, Options{}, stats.ErrTooFew},
		"lengths":         {Data{X: x, Y: y[:3]}, Options{}, stats.ErrLengths},
		"NaN":             {Data{X: x, Y: []float64{1, 2, nan, 2, 3, 5}}, Options{}, stats.ErrNonFinite},
		"infinite x":      {Data{X: []float64{1, 2, inf, 1, 2, 3}, Y: y}, Options{}, stats.ErrNonFinite},
		"treatment":       {Data{X: x, Y: y, Treatment: []int{0}}, Options{}, stats.ErrLengths},
		"treatment gap":   {Data{X: x, Y: y, Treatment: []int{0, 0, 0, 2, 2, 2}}, Options{}, stats.ErrDomain},
		"negative":        {Data{X: x, Y: y, Treatment: []int{0, 0, 0, -1, 0, 0}}, Options{}, stats.ErrDomain},
		"cook twice":      {Data{X: x, Y: y, Cook: []int{0, 1, 2, 0, 1, 2}}, Options{}, stats.ErrDomain},
		"cook moves":      {Data{X: x, Y: y, Cook: []int{0, 0, 2, 3, 4, 5}}, Options{}, stats.ErrDomain},
		"cook short":      {Data{X: x, Y: y, Cook: []int{0}}, Options{}, stats.ErrLengths},
		"blocks short":    {Data{X: x, Y: y, Blocks: [][]float64{{1}}}, Options{}, stats.ErrLengths},
		"blocks NaN":      {Data{X: x, Y: y, Blocks: [][]float64{{1, nan, 0, 0, 0, 0}}}, Options{}, stats.ErrNonFinite},
		"random short":    {Data{X: x, Y: y, Random: [][]int{{1}}}, Options{}, stats.ErrLengths},
		"cov short":       {Data{X: x, Y: y, Cov: [][]float64{{1}}}, Options{}, stats.ErrLengths},
		"constant":        {Data{X: x, Y: []float64{4, 4, 4, 4, 4, 4}}, Options{}, stats.ErrNoVariation},
		"equal repeats":   {Data{X: x, Y: []float64{1, 2, 3, 1, 2, 3}}, Options{}, stats.ErrNoVariation},
		"empty scale":     {Data{X: x, Y: y}, Options{Scale: &Scale{3, 3}}, stats.ErrDomain},
		"off the scale":   {Data{X: x, Y: y}, Options{Scale: &Scale{0, 1}}, stats.ErrDomain},
		"no scale":        {Data{X: x, Y: y}, Options{Families: []Family{Logistic2}}, stats.ErrDomain},
		"unknown family":  {Data{X: x, Y: y}, Options{Families: []Family{99}}, stats.ErrDomain},
		"too many":        {Data{X: make([]float64, 3000), Y: make([]float64, 3000)}, Options{}, stats.ErrTooLarge},
		"blocks take all": {Data{X: x[:3], Y: y[:3], Blocks: [][]float64{{1, 0, 0}, {0, 1, 0}}}, Options{}, stats.ErrTooFew},
	} {
		s, err := New(c.d, c.o)
		if err == nil {
			_, err = s.Fit()
		}
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// TestTiedBlocks: a set point that a block takes along leaves fewer candidates,
// not a panic or a made-up slope.
func TestTiedBlocks(t *testing.T) {
	t.Parallel()
	d := Data{X: []float64{1, 1, 1, 2, 2, 2, 3, 3, 3}, Y: []float64{1, 1.1, 1.3, 2, 2.2, 2.1, 3.3, 3.1, 3},
		Blocks: [][]float64{{1, 1, 1, 0, 0, 0, 0, 0, 0}, {0, 0, 0, 1, 1, 1, 0, 0, 0}, {0, 0, 0, 0, 0, 0, 1, 1, 1}}}
	f := mustFit(t, d, Options{})
	for _, c := range f.Candidates {
		if c.Family == Line && c.Excluded == "" {
			t.Error("a line was fitted although blocks carry the set points")
		}
	}
}

func TestFamilyText(t *testing.T) {
	t.Parallel()
	for f := Constant; f <= Logistic4; f++ {
		b, err := f.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var g Family
		if err := g.UnmarshalText(b); err != nil || g != f {
			t.Errorf("%s came back as %v: %v", b, g, err)
		}
	}
	var g Family
	if err := g.UnmarshalText([]byte("spline")); !errors.Is(err, stats.ErrDomain) {
		t.Error(err)
	}
	if _, err := Family(-1).MarshalText(); !errors.Is(err, stats.ErrDomain) || Family(-1).String() == "" {
		t.Error(err)
	}
}

// TestInverse: Fieller for the line against its textbook formula; the profile
// of a nearly linear logistic is close to Fieller; ends that the data do not
// bound stay open.
func TestInverse(t *testing.T) {
	t.Parallel()
	d := cells(21, sixPoints, 3, 1, func(x float64, t int) float64 { return 0.3*x - 10 }, 0.4, 0)
	d.Blocks = nil
	f := mustFit(t, d, Options{Families: []Family{Line, Quadratic}})
	inv, err := f.Inverse(0, 0, 5, 0.95)
	if err != nil || len(inv) != 1 {
		t.Fatalf("%v, %v", inv, err)
	}
	c := f.Candidates[0]
	n, mx, sxx := 18.0, 0.0, 0.0
	for _, x := range d.X {
		mx += x / n
	}
	for _, x := range d.X {
		sxx += (x - mx) * (x - mx)
	}
	b := c.Coef[1].Value
	s2 := f.CookSD[0] * f.CookSD[0]
	q := studentT(0.95, 12)
	x0 := (5 - c.Coef[0].Value) / b
	g := q * q * s2 / (b * b * sxx)
	half := q * math.Sqrt(s2) / math.Abs(b) * math.Sqrt((x0-mx)*(x0-mx)/sxx+(1-g)/n)
	const source = "Fieller's limits for a calibration line, Draper & Smith form"
	reftest.Within(t, "x", inv[0].X, x0, 1e-9, source)
	reftest.Within(t, "low", inv[0].Interval.Low, mx+((x0-mx)-half)/(1-g), 1e-9, source)
	reftest.Within(t, "high", inv[0].Interval.High, mx+((x0-mx)+half)/(1-g), 1e-9, source)

	// A profile of a line is Fieller's set; the quadratic kernel is linear, so
	// its profile must meet the F limit exactly at the ends.
	quad, err := f.Inverse(1, 0, 5, 0.95)
	if err != nil || len(quad) != 1 || quad[0].Method != "profile" {
		t.Fatalf("%v, %v", quad, err)
	}
	for _, x := range []float64{quad[0].Interval.Low, quad[0].Interval.High} {
		y, se, err := f.Curve(1, x, 0)
		if err != nil {
			t.Fatal(err)
		}
		// The bend is by an observation of weight 1e8: 1e-6 remains.
		reftest.Within(t, "|y − 5|/se", math.Abs(y-5)/se, q, 1e-5, "the set where the linear model's band holds the value")
	}

	// Nothing that far up: no crossing, no error.
	if inv, err := f.Inverse(0, 0, 99, 0.95); err != nil || len(inv) != 0 {
		t.Errorf("%v, %v", inv, err)
	}
	// A flat noisy curve: both ends open.
	flat := mustFit(t, cells(22, sixPoints, 2, 1, func(x float64, t int) float64 { return 0.01 * x }, 1, 0), Options{Families: []Family{Line}})
	y, _, _ := flat.At(52, 0)
	inv, err = flat.Inverse(0, 0, y, 0.95)
	if err != nil || len(inv) != 1 || !inv[0].Interval.LowOpen || !inv[0].Interval.HighOpen {
		t.Errorf("%+v, %v", inv, err)
	}
	if !reflect.DeepEqual(flat.stage.SetPoints(), sixPoints) {
		t.Errorf("set points %v", flat.stage.SetPoints())
	}
}

func FuzzNew(f *testing.F) {
	f.Add([]byte{1, 2, 3, 1, 2, 3}, []byte{10, 20, 30, 12, 22, 35}, []byte{0, 0, 0, 0, 0, 0}, false)
	f.Add([]byte{1, 1, 2, 2}, []byte{1, 2, 3, 4}, []byte{0, 1, 0, 1}, true)
	f.Fuzz(func(t *testing.T, x, y, tr []byte, scaled bool) {
		if len(y) > 24 {
			return
		}
		var d Data
		for _, v := range x {
			d.X = append(d.X, float64(v))
		}
		for _, v := range y {
			d.Y = append(d.Y, float64(v))
		}
		for _, v := range tr {
			d.Treatment = append(d.Treatment, int(v)%4)
		}
		var o Options
		if scaled {
			o.Scale = &Scale{0, 255}
		}
		s, err := New(d, o)
		if err != nil {
			return
		}
		fit, err := s.Fit()
		if err != nil {
			return
		}
		sum := 0.0
		for _, c := range fit.Candidates {
			sum += c.Weight
			if math.IsNaN(c.AICc) || math.IsNaN(c.RSS) {
				t.Errorf("%+v", c)
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("weights sum to %v", sum)
		}
		if v, _, err := fit.At(s.SetPoints()[0], 0); err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("curve %v: %v", v, err)
		}
		sm, err := NewSampler(fit)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := NewBand(0, 0, 1, 0)
		if err := sm.Run(20, 1, s.SetPoints(), b); err != nil {
			t.Fatal(err)
		}
		r, err := b.Result()
		if err != nil || stats.CheckFinite("low", r.Low) != nil || stats.CheckFinite("high", r.High) != nil {
			t.Errorf("%+v, %v", r, err)
		}
	})
}

// TestRandomBlocks: sessions as a random factor in a complete layout give the
// classical components: the residual mean square, and (session − residual) over
// the cooks of a session.
func TestRandomBlocks(t *testing.T) {
	t.Parallel()
	d := cells(9, sixPoints, 5, 1, func(x float64, t int) float64 { return x / 10 }, 0.4, 0)
	levels := make([]int, len(d.Y))
	for i := range levels {
		levels[i] = i / 6
		d.Y[i] += []float64{-1, 0.5, 0.9, -0.6, 0.4}[i/6]
	}
	d.Blocks, d.Random = nil, [][]int{levels}
	s, err := New(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var arm [6]float64
	var session [5]float64
	all := 0.0
	for i, y := range d.Y {
		arm[i%6] += y / 5
		session[i/6] += y / 6
		all += y / 30
	}
	ssr, sss := 0.0, 0.0
	for i, y := range d.Y {
		e := y - arm[i%6] - session[i/6] + all
		ssr += e * e
	}
	for _, m := range session {
		sss += 6 * (m - all) * (m - all)
	}
	msr, mss := ssr/20, sss/4
	const source = "two-way layout by hand in this test"
	// Scoring stops when the predicted rise of the likelihood is below 1e-16.
	reftest.Within(t, "residual", s.VResidual, msr, 1e-6, source)
	reftest.Within(t, "session", s.VRandom[0], (mss-msr)/6, 1e-6, source)
}
