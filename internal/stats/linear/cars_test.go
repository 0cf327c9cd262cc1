package linear

import (
	"fmt"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

type lmRef struct {
	Coef []struct{ Estimate, SE, T, P float64 }
	CI   []struct {
		Low  float64 `json:"2_5_%"`
		High float64 `json:"97_5_%"`
	} `json:"confint"`
	Sigma, RSS, R2, LogLik, Press, FP float64
	AdjR2                             float64 `json:"adj_r2"`
	DF                                int     `json:"df_resid"`
	F                                 struct{ Value float64 }
	Vcov                              struct{ Values [][]float64 }
	Hat, Rstandard, Rstudent, DFFits  []float64
	Cook                              []float64 `json:"cooks_distance"`
}

type fiellerRef struct {
	Ratio, G float64
	Type     string
	CI       []float64
}

type carsRef struct {
	Source            string
	Linear, Quadratic lmRef
	Weighted          lmRef `json:"wls_inverse_speed"`
	PredictLinear     []struct {
		Speed, Fit, SE float64
		CILow          float64 `json:"ci_lower"`
		CIHigh         float64 `json:"ci_upper"`
		PILow          float64 `json:"pi_lower"`
		PIHigh         float64 `json:"pi_upper"`
	} `json:"predict_linear"`
	LackLinear    lackRef                  `json:"lack_of_fit_linear"`
	LackQuadratic lackRef                  `json:"lack_of_fit_quadratic"`
	InverseMean   fiellerRef               `json:"inverse_y50_mean"`
	InverseNew    fiellerRef               `json:"inverse_y50_single_new_obs"`
	Vertex        fiellerRef               `json:"vertex_quadratic_fieller"`
	Compare       []struct{ F, P float64 } `json:"anova_lin_vs_quad"`
}

type lackRef struct {
	DF   int     `json:"df_lof"`
	SS   float64 `json:"ss_lof"`
	DFPE int     `json:"df_pe"`
	SSPE float64 `json:"ss_pe"`
	F, P float64
}

// rel is the digits of the printed reference values.
const rel = 1e-11

func checkLM(t *testing.T, name string, fit *Fit, want lmRef, source string) {
	t.Helper()
	in := func(what string, got, w float64) {
		t.Helper()
		reftest.WithinAbs(t, name+" "+what, got, w, rel, 1e-14, source)
	}
	cov, err := fit.Covariance()
	if err != nil {
		t.Fatal(err)
	}
	for j, w := range want.Coef {
		c := fit.Coefficients[j]
		in(c.Name, c.Estimate, w.Estimate)
		in("SE of "+c.Name, c.SE, w.SE)
		in("t of "+c.Name, c.T, w.T)
		in("p of "+c.Name, c.P, w.P)
		unit := make([]float64, len(want.Coef))
		unit[j] = 1
		e, err := fit.Estimate(unit, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if want.CI != nil {
			in("low end of "+c.Name, e.Interval.Low, want.CI[j].Low)
			in("high end of "+c.Name, e.Interval.High, want.CI[j].High)
		}
		for k := range want.Vcov.Values {
			in(fmt.Sprint("covariance ", j, k), cov.At(j, k), want.Vcov.Values[j][k])
		}
	}
	in("sigma", fit.Sigma, want.Sigma)
	in("RSS", fit.RSS, want.RSS)
	in("R²", fit.R2, want.R2)
	if want.AdjR2 != 0 {
		in("adjusted R²", fit.AdjustedR2, want.AdjR2)
	}
	l, err := fit.LogLik()
	if err != nil {
		t.Fatal(err)
	}
	in("log-likelihood", l, want.LogLik)
	if want.F.Value != 0 {
		o, err := fit.Overall()
		if err != nil {
			t.Fatal(err)
		}
		in("F", o.F, want.F.Value)
	}
	if fit.DF != want.DF {
		t.Errorf("%s: %d degrees of freedom, want %d", name, fit.DF, want.DF)
	}
	if want.Hat == nil {
		return
	}
	inf, err := fit.Influence()
	if err != nil {
		t.Fatal(err)
	}
	for i := range want.Hat {
		in(fmt.Sprint("leverage ", i), inf.Leverage[i], want.Hat[i])
		in(fmt.Sprint("standardised ", i), inf.Standardised[i], want.Rstandard[i])
		in(fmt.Sprint("studentised ", i), inf.Studentised[i], want.Rstudent[i])
		in(fmt.Sprint("Cook ", i), inf.Cook[i], want.Cook[i])
		in(fmt.Sprint("DFFITS ", i), inf.DFFits[i], want.DFFits[i])
	}
	in("PRESS", inf.PRESS, want.Press)
}

func TestCars(t *testing.T) {
	t.Parallel()
	var want carsRef
	readJSON(t, "cars.json", &want)
	d := readTable(t, "cars.csv")
	f, y := d.frame("#speed"), d.numbers("dist")
	line := mustFit(t, f, y, frame.T("speed"))
	quad := mustFit(t, f, y, frame.Poly("speed", 2, frame.Powers))
	weights := make([]float64, len(y))
	for i, s := range d.numbers("speed") {
		weights[i] = 1 / s
	}
	weighted := mustFitModel(t, f, y, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("speed")}}, Options{Weights: weights})
	checkLM(t, "line", line, want.Linear, want.Source)
	checkLM(t, "quadratic", quad, want.Quadratic, want.Source)
	checkLM(t, "weighted", weighted, want.Weighted, want.Source)

	for _, w := range want.PredictLinear {
		p, err := line.Predict(mat.NewDense(1, 2, []float64{1, w.Speed}), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		poly, err := FitPolynomial(d.numbers("speed"), y, 1)
		if err != nil {
			t.Fatal(err)
		}
		at, err := poly.At(w.Speed, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for _, got := range []Prediction{p[0], at} {
			reftest.Within(t, "fit", got.Mean, w.Fit, rel, want.Source)
			reftest.Within(t, "SE", got.SE, w.SE, rel, want.Source)
			reftest.Within(t, "low", got.Interval.Low, w.CILow, rel, want.Source)
			reftest.Within(t, "high", got.Interval.High, w.CIHigh, rel, want.Source)
			reftest.Within(t, "new, low", got.New.Low, w.PILow, rel, want.Source)
			reftest.Within(t, "new, high", got.New.High, w.PIHigh, rel, want.Source)
		}
	}
	for name, c := range map[string]struct {
		fit  *Fit
		want lackRef
	}{"line": {line, want.LackLinear}, "quadratic": {quad, want.LackQuadratic}} {
		l, err := c.fit.LackOfFit()
		if err != nil {
			t.Fatal(err)
		}
		if l.DF != c.want.DF || l.ResidualDF != c.want.DFPE {
			t.Errorf("%s: lack of fit on %d and %d df", name, l.DF, l.ResidualDF)
		}
		reftest.Within(t, name+" lack of fit", l.SS, c.want.SS, rel, want.Source)
		reftest.Within(t, name+" pure error", l.PureErrorSS, c.want.SSPE, rel, want.Source)
		reftest.Within(t, name+" F", l.F, c.want.F, rel, want.Source)
		reftest.Within(t, name+" p", l.P, c.want.P, rel, want.Source)
	}
	c, err := Compare(line, quad)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "line against quadratic, F", c.F, want.Compare[1].F, rel, want.Source)
	reftest.Within(t, "line against quadratic, p", c.P, want.Compare[1].P, rel, want.Source)

	mean, err := line.Inverse([]float64{1, 0}, []float64{0, 1}, 50, 0, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	single, err := line.Inverse([]float64{1, 0}, []float64{0, 1}, 50, 1, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	vertex, err := quad.Vertex([]float64{0, 1, 0}, []float64{0, 0, 1}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		got   Fieller
		iv    stats.Interval
		want  fiellerRef
		shape Shape
	}{
		{"inverse, mean", mean, mean.Interval, want.InverseMean, Bounded},
		{"inverse, new observation", single, single.Interval, want.InverseNew, Bounded},
		{"vertex", vertex, vertex.Gap, want.Vertex, Outside},
	} {
		if c.got.Shape != c.shape {
			t.Errorf("%s: shape %d, want %d (%s)", c.name, c.got.Shape, c.shape, c.want.Type)
		}
		reftest.Within(t, c.name, c.got.Estimate, c.want.Ratio, rel, want.Source)
		reftest.Within(t, c.name+" g", c.got.G, c.want.G, rel, want.Source)
		reftest.Within(t, c.name+" low", c.iv.Low, c.want.CI[0], rel, want.Source)
		reftest.Within(t, c.name+" high", c.iv.High, c.want.CI[1], rel, want.Source)
	}
	if !vertex.Interval.LowOpen || !vertex.Interval.HighOpen || vertex.Contains(20) || !vertex.Contains(vertex.Estimate) || !vertex.Contains(1e9) {
		t.Error("the vertex lies outside the gap, with both ends open")
	}
}

// TestInfluenceMore: R 4.2.2, lm(dist ~ speed, cars, weights = 1/speed), rows
// 1, 23 and 49, and dfbetas of the unweighted line.
func TestInfluenceMore(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2 hatvalues, rstandard, rstudent, cooks.distance, dffits, dfbetas"
	d := readTable(t, "cars.csv")
	f, y := d.frame("#speed"), d.numbers("dist")
	weights := make([]float64, len(y))
	for i, s := range d.numbers("speed") {
		weights[i] = 1 / s
	}
	weighted := mustFitModel(t, f, y, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("speed")}}, Options{Weights: weights})
	inf, err := weighted.Influence()
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range map[int][7]float64{
		0:  {0.229478114606800787, 0.065062186592720520, 0.064383727419398601, 0.000630352687007786, 0.035136157342953812, 0.0347361838374048, -0.0297640146514078},
		22: {0.019148259034932353, 2.979987409788209085, 3.266372713513110870, 0.086681174939317304, 0.456382204954818571, 0.1025301742181103, 0.0828994511226752},
		48: {0.052442035185594128, 2.517508614072968331, 2.673923961989479903, 0.175382269589935441, 0.629051103693457403, -0.4006476617412119, 0.5605385718349017},
	} {
		got := [7]float64{inf.Leverage[i], inf.Standardised[i], inf.Studentised[i], inf.Cook[i], inf.DFFits[i], inf.DFBetas[i][0], inf.DFBetas[i][1]}
		for k := range w {
			reftest.Within(t, fmt.Sprint("row ", i, " value ", k), got[k], w[k], rel, source)
		}
	}
	plain, err := mustFit(t, f, y, frame.T("speed")).Influence()
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range map[int][2]float64{0: {0.0944018761281774, -0.0862456329045908}, 22: {0.2485059421335203, -0.1155807465476384}, 48: {-0.5774732643840893, 0.7690201357454058}} {
		for j := range w {
			reftest.Within(t, fmt.Sprint("DFBETAS ", i, j), plain.DFBetas[i][j], w[j], rel, source)
		}
	}
}

func TestPressure(t *testing.T) {
	t.Parallel()
	var want struct {
		Source    string
		Quadratic lmRef
		Cubic     lmRef                        `json:"orthogonal_cubic"`
		Basis     struct{ Values [][]float64 } `json:"poly_basis"`
	}
	readJSON(t, "pressure.json", &want)
	d := readTable(t, "pressure.csv")
	y := logs(d.numbers("pressure"))
	f := d.frame("#temperature")
	checkLM(t, "quadratic", mustFit(t, f, y, frame.Poly("temperature", 2, frame.Powers)), want.Quadratic, want.Source)
	cubic := mustFit(t, f, y, frame.Poly("temperature", 3, frame.Orthogonal))
	checkLM(t, "orthogonal cubic", cubic, want.Cubic, want.Source)
	for i, row := range want.Basis.Values {
		for j, w := range row {
			reftest.WithinAbs(t, fmt.Sprint("basis ", i, j), cubic.x.At(i, j+1), w, rel, 1e-14, want.Source)
		}
	}
}

// TestGeneralised: R 4.2.2, least squares of L⁻¹y on L⁻¹X with L·Lᵀ = 0.6^|i-j|.
func TestGeneralised(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2, lm.fit on the whitened data"
	y := []float64{2.1, 3.9, 6.2, 7.8, 10.1, 12.2, 13.8, 16.1}
	x, cov := mat.NewDense(8, 2, nil), mat.NewSymDense(8, nil)
	for i := range 8 {
		x.SetRow(i, []float64{1, float64(i + 1)})
		v := 1.0
		for j := i; j < 8; j++ {
			cov.SetSym(i, j, v)
			v *= 0.6
		}
	}
	fit, err := New(x, []string{"a", "b"}, y, Options{Covariance: cov})
	if err != nil {
		t.Fatal(err)
	}
	l, err := fit.LogLik()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ got, want float64 }{
		{fit.Coefficients[0].Estimate, 0.0497402597402565}, {fit.Coefficients[1].Estimate, 1.9990476190476194},
		{fit.Coefficients[0].SE, 0.3511478645964792}, {fit.Coefficients[1].SE, 0.0643302181478378},
		{fit.Sigma * fit.Sigma, 0.108632395382396}, {l, 0.240367347140601},
	} {
		reftest.Within(t, "generalised", c.got, c.want, rel, source)
	}
	for i, r := range fit.Residuals {
		want := y[i] - fit.Coefficients[0].Estimate - fit.Coefficients[1].Estimate*float64(i+1)
		reftest.WithinAbs(t, fmt.Sprint("residual ", i), r, want, 0, 1e-14, "y - Xβ")
	}
}
