package linear

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

func TestNorris(t *testing.T) {
	t.Parallel()
	var want struct {
		Source     string
		Estimate   []float64
		SD         []float64
		ResidualSD float64 `json:"residual_sd"`
		R2         float64
		Anova      struct {
			SSReg float64 `json:"ss_reg"`
			SSRes float64 `json:"ss_res"`
			F     float64
		}
	}
	readJSON(t, "Norris.json", &want)
	d := readTable(t, "Norris.csv")
	fit := mustFit(t, d.frame("#x"), d.numbers("y"), frame.T("x"))
	poly, err := FitPolynomial(d.numbers("x"), d.numbers("y"), 1)
	if err != nil {
		t.Fatal(err)
	}
	overall, err := fit.Overall()
	if err != nil {
		t.Fatal(err)
	}
	for j := range want.Estimate {
		for name, c := range map[string]Coefficient{"matrix": fit.Coefficients[j], "polynomial": poly.Coefficients[j]} {
			reftest.Within(t, name+" estimate", c.Estimate, want.Estimate[j], 5e-14, want.Source)
			reftest.Within(t, name+" SE", c.SE, want.SD[j], 5e-14, want.Source)
		}
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"sigma", fit.Sigma, want.ResidualSD}, {"R²", fit.R2, want.R2}, {"RSS", fit.RSS, want.Anova.SSRes},
		{"model SS", overall.SS, want.Anova.SSReg}, {"F", overall.F, want.Anova.F},
		{"sigma of the polynomial", poly.Sigma, want.ResidualSD}, {"its R²", poly.R2, want.R2}, {"its model SS", poly.ModelSS, want.Anova.SSReg},
	} {
		reftest.Within(t, c.name, c.got, c.want, 5e-14, want.Source)
	}
}

// TestOneWay: the offsets of SmLs04 and SmLs07 are 1e6 and 1e12 with a spread of
// 0.1, so a double holds the data themselves only to 3e-10 and 3e-4 of their
// spread; the certified values are those of the decimals.
func TestOneWay(t *testing.T) {
	t.Parallel()
	for name, rel := range map[string]float64{"AtmWtAg": 1e-9, "SmLs01": 1e-13, "SmLs04": 1e-8, "SmLs07": 5e-3} {
		var want struct {
			Source          string
			Between, Within struct{ SS, MS, F float64 }
			R2              float64
			SD              float64 `json:"residual_sd"`
		}
		readJSON(t, name+".json", &want)
		d := readTable(t, name+".csv")
		for coding, model := range map[string]frame.Model{
			"contrasts":  {Intercept: true, Terms: []frame.Term{frame.T("treatment")}},
			"cell means": {Terms: []frame.Term{frame.T("treatment")}},
		} {
			fit := mustFitModel(t, d.frame("treatment"), d.numbers("y"), model, Options{})
			label := name + ", " + coding + ": "
			reftest.Within(t, label+"within", fit.RSS, want.Within.SS, rel, want.Source)
			reftest.Within(t, label+"R²", fit.R2, want.R2, rel, want.Source)
			reftest.Within(t, label+"sd", fit.Sigma, want.SD, rel, want.Source)
			overall, err := fit.Overall()
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, label+"F overall", overall.F, want.Between.F, 2*rel, want.Source)
			if !model.Intercept {
				continue
			}
			for _, kind := range []frame.SumsOfSquares{frame.TypeI, frame.TypeII, frame.TypeIII} {
				a, err := fit.Anova(kind)
				if err != nil {
					t.Fatal(err)
				}
				reftest.Within(t, label+fmt.Sprint("SS between, type ", kind), a.Rows[0].SS, want.Between.SS, rel, want.Source)
				reftest.Within(t, label+fmt.Sprint("F, type ", kind), a.Rows[0].F, want.Between.F, 2*rel, want.Source)
			}
		}
	}
}

const (
	nist = "NIST Statistical Reference Datasets, certified values"
	// The certified values have 15 digits; the last may differ.
	certified = 2e-14
)

func TestLongley(t *testing.T) {
	t.Parallel()
	d := readTable(t, "Longley.csv")
	fit := mustFit(t, d.frame("#x1", "#x2", "#x3", "#x4", "#x5", "#x6"), d.numbers("y"),
		frame.T("x1"), frame.T("x2"), frame.T("x3"), frame.T("x4"), frame.T("x5"), frame.T("x6"))
	want := [][2]float64{
		{-3482258.63459582, 890420.383607373}, {15.0618722713733, 84.9149257747669}, {-0.358191792925910e-01, 0.334910077722432e-01},
		{-2.02022980381683, 0.488399681651699}, {-1.03322686717359, 0.214274163161675}, {-0.511041056535807e-01, 0.226073200069370},
		{1829.15146461355, 455.478499142212},
	}
	for j, w := range want {
		c := fit.Coefficients[j]
		// 83.0, 88.5 … are rounded to doubles, and the system magnifies that.
		reftest.Within(t, c.Name, c.Estimate, w[0], 1e-11, nist)
		reftest.Within(t, "SE of "+c.Name, c.SE, w[1], 1e-11, nist)
	}
	reftest.Within(t, "R²", fit.R2, 0.995479004577296, certified, nist)
	reftest.Within(t, "sigma", fit.Sigma, 304.854073561965, certified, nist)
}

func TestFilip(t *testing.T) {
	t.Parallel()
	want := [][2]float64{
		{-1467.48961422980, 298.084530995537}, {-2772.17959193342, 559.779865474950}, {-2316.37108160893, 466.477572127796},
		{-1127.97394098372, 227.204274477751}, {-354.478233703349, 71.6478660875927}, {-75.1242017393757, 15.2897178747400},
		{-10.8753180355343, 2.23691159816033}, {-1.06221498588947, 0.221624321934227}, {-0.670191154593408e-01, 0.142363763154724e-01},
		{-0.246781078275479e-02, 0.535617408889821e-03}, {-0.402962525080404e-04, 0.896632837373868e-05},
	}
	d := readTable(t, "Filip.csv")
	x, y := d.numbers("x"), d.numbers("y")
	p, err := FitPolynomial(x, y, 10)
	if err != nil {
		t.Fatal(err)
	}
	for j, w := range want {
		reftest.Within(t, p.Coefficients[j].Name, p.Coefficients[j].Estimate, w[0], 1e-13, nist)
		reftest.Within(t, "SE of "+p.Coefficients[j].Name, p.Coefficients[j].SE, w[1], 1e-13, nist)
	}
	reftest.Within(t, "sigma", p.Sigma, 0.334801051324544e-02, certified, nist)
	reftest.Within(t, "R²", p.R2, 0.996727416185620, certified, nist)
	reftest.Within(t, "RSS", p.RSS, 0.795851382172941e-03, certified, nist)
	reftest.Within(t, "model SS", p.ModelSS, 0.242391619837339, certified, nist+" (from memory)")

	// The same through a matrix of powers in doubles. Those powers are rounded,
	// which alone moves the coefficients in the 8th digit; what the fit must do
	// is solve the rounded system exactly.
	m := powersOf(x, 10)
	fit, err := New(m, names(11), y, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if fit.Rank != 11 {
		t.Fatalf("rank %d, 11 wanted", fit.Rank)
	}
	beta, diag, rss := exact(t, m, y)
	for j, c := range fit.Coefficients {
		reftest.Within(t, c.Name, c.Estimate, want[j][0], 1e-6, nist+"; powers in doubles")
		reftest.Within(t, c.Name, c.Estimate, beta[j], 1e-13, "rational arithmetic")
		reftest.Within(t, "SE of "+c.Name, c.SE, math.Sqrt(diag[j]*rss/71), 1e-13, "rational arithmetic")
	}
}

// TestWampler: y is a polynomial of degree 5 with coefficients 1 plus a known
// disturbance, orthogonal to all of them, of three sizes.
func TestWampler(t *testing.T) {
	t.Parallel()
	delta := []float64{759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 759}
	se := []float64{2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752, 0.112324854679312}
	x := make([]float64, 21)
	for i := range x {
		x[i] = float64(i)
	}
	m := powersOf(x, 5)
	for name, size := range map[string]float64{"Wampler1": 0, "Wampler3": 1, "Wampler4": 100, "Wampler5": 10000} {
		y := make([]float64, 21)
		for i := range y {
			for j := range 6 {
				y[i] += m.At(i, j)
			}
			y[i] += size * delta[i]
		}
		fit, err := New(m, names(6), y, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := FitPolynomial(x, y, 5)
		if err != nil {
			t.Fatal(err)
		}
		for j := range 6 {
			for how, c := range map[string]Coefficient{"matrix": fit.Coefficients[j], "polynomial": p.Coefficients[j]} {
				reftest.Within(t, fmt.Sprint(name, " ", how, " ", j), c.Estimate, 1, 1e-12, nist)
				reftest.Within(t, fmt.Sprint(name, " ", how, " SE ", j), c.SE, size*se[j], 1e-13, nist)
			}
		}
		reftest.Within(t, name+" RSS", fit.RSS, size*size*83554268, 1e-13, nist)
	}
	// Wampler2: coefficients 1, 0.1, 0.01 … without disturbance.
	y := make([]float64, 21)
	for i := range y {
		y[i] = math.Round(1e5*(1+.1*m.At(i, 1)+.01*m.At(i, 2)+.001*m.At(i, 3)+.0001*m.At(i, 4)+.00001*m.At(i, 5))) / 1e5
	}
	fit, err := New(m, names(6), y, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for j, c := range fit.Coefficients {
		reftest.Within(t, fmt.Sprint("Wampler2 ", j), c.Estimate, math.Pow(10, -float64(j)), 1e-9, nist+"; the decimals of y are rounded to doubles and the powers magnify that")
	}
	if fit.RSS != 0 || len(fit.Warnings) != 1 || fit.Warnings[0].ID != "perfect-fit" {
		t.Errorf("Wampler2: RSS %v, warnings %v; a perfect fit has 0 and says so", fit.RSS, fit.Warnings)
	}
}

// TestNoIntercept: NIST NoInt1 and NoInt2, a line through the origin; R² is then
// about 0.
func TestNoIntercept(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                     string
		x, y                     []float64
		slope, se, sigma, r2, ss float64
	}{
		{"NoInt1", []float64{60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70}, []float64{130, 131, 132, 133, 134, 135, 136, 137, 138, 139, 140},
			2.07438016528926, 0.165289256198347e-01, 3.56753034006338, 0.999365492298663, 127.272727272727},
		{"NoInt2", []float64{4, 5, 6}, []float64{3, 4, 4}, 0.727272727272727, 0.420827318078432e-01, 0.369274472937998, 0.993348115299335, 0.272727272727273},
	} {
		fit, err := New(mat.NewDense(len(c.x), 1, c.x), []string{"x"}, c.y, Options{})
		if err != nil {
			t.Fatal(err)
		}
		source := nist + " (from memory; the slope is Σxy/Σx²)"
		reftest.Within(t, c.name+" slope", fit.Coefficients[0].Estimate, c.slope, certified, source)
		reftest.Within(t, c.name+" SE", fit.Coefficients[0].SE, c.se, certified, source)
		reftest.Within(t, c.name+" sigma", fit.Sigma, c.sigma, certified, source)
		reftest.Within(t, c.name+" R²", fit.R2, c.r2, certified, source)
		reftest.Within(t, c.name+" RSS", fit.RSS, c.ss, 1e-14, source)
	}
}

// TestFilipThroughFrame: the scaled and the orthogonal basis carry degree 10
// without the loss that powers in doubles have.
func TestFilipThroughFrame(t *testing.T) {
	t.Parallel()
	d := readTable(t, "Filip.csv")
	for _, basis := range []frame.Basis{frame.Scaled, frame.Orthogonal} {
		fit := mustFit(t, d.frame("#x"), d.numbers("y"), frame.Poly("x", 10, basis))
		reftest.Within(t, fmt.Sprint("RSS, basis ", basis), fit.RSS, 0.795851382172941e-03, certified, nist)
		reftest.Within(t, fmt.Sprint("R², basis ", basis), fit.R2, 0.996727416185620, certified, nist)
	}
}
