package linear

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

var nan, inf = math.NaN(), math.Inf(1)

func line(xs ...float64) *mat.Dense {
	m := mat.NewDense(len(xs), 2, nil)
	for i, x := range xs {
		m.SetRow(i, []float64{1, x})
	}
	return m
}

func TestNewErrors(t *testing.T) {
	t.Parallel()
	x3, two := line(1, 2, 3), []string{"a", "b"}
	y3 := []float64{1, 2, 4}
	cov := func(d ...float64) *mat.SymDense {
		s := mat.NewSymDense(len(d), nil)
		for i, v := range d {
			s.SetSym(i, i, v)
		}
		return s
	}
	for _, c := range []struct {
		name  string
		x     mat.Matrix
		names []string
		y     []float64
		opt   Options
		want  error
	}{
		{"no matrix", nil, two, y3, Options{}, stats.ErrEmpty},
		{"no observations", x3, two, nil, Options{}, stats.ErrEmpty},
		{"empty matrix", &mat.Dense{}, nil, y3, Options{}, stats.ErrEmpty},
		{"y too short", x3, two, y3[:2], Options{}, stats.ErrLengths},
		{"names too short", x3, two[:1], y3, Options{}, stats.ErrLengths},
		{"NaN in y", x3, two, []float64{1, nan, 2}, Options{}, stats.ErrNonFinite},
		{"infinity in x", line(1, inf, 2), two, y3, Options{}, stats.ErrNonFinite},
		{"all columns 0", mat.NewDense(3, 2, nil), two, y3, Options{}, stats.ErrSingular},
		{"sum of squares overflows", x3, two, []float64{1e200, -1e200, 1e200}, Options{}, stats.ErrNonFinite},
		{"weights too short", x3, two, y3, Options{Weights: []float64{1}}, stats.ErrLengths},
		{"weight 0", x3, two, y3, Options{Weights: []float64{1, 0, 1}}, stats.ErrDomain},
		{"negative weight", x3, two, y3, Options{Weights: []float64{1, -1, 1}}, stats.ErrDomain},
		{"NaN weight", x3, two, y3, Options{Weights: []float64{1, nan, 1}}, stats.ErrNonFinite},
		{"weights overflow", line(1e300, 2, 3), two, y3, Options{Weights: []float64{1e300, 1, 1}}, stats.ErrNonFinite},
		{"weights and covariance", x3, two, y3, Options{Weights: []float64{1, 1, 1}, Covariance: cov(1, 1, 1)}, stats.ErrDomain},
		{"covariance too small", x3, two, y3, Options{Covariance: cov(1, 1)}, stats.ErrLengths},
		{"covariance singular", x3, two, y3, Options{Covariance: cov(1, 0, 1)}, stats.ErrSingular},
		{"covariance NaN", x3, two, y3, Options{Covariance: cov(1, nan, 1)}, stats.ErrNonFinite},
	} {
		if f, err := New(c.x, c.names, c.y, c.opt); !errors.Is(err, c.want) || f != nil {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := NewFrame(nil, y3, Options{}); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no model matrix: %v", err)
	}
}

// TestDegenerateFits: one observation, a saturated line, a constant response, a
// perfect line. The fit exists, everything that needs an error is refused.
func TestDegenerateFits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		x       *mat.Dense
		y       []float64
		df      int
		warning string
		want    error
	}{
		{"one observation", line(3), []float64{2}, 0, "saturated", stats.ErrTooFew},
		{"saturated", line(1, 2), []float64{2, 5}, 0, "saturated", stats.ErrTooFew},
		{"constant response", line(1, 2, 3, 4), []float64{7, 7, 7, 7}, 2, "perfect-fit", stats.ErrNoVariation},
		{"all 0", line(1, 2, 3, 4), []float64{0, 0, 0, 0}, 2, "perfect-fit", stats.ErrNoVariation},
		{"perfect line", line(1, 2, 3, 4), []float64{0.3, 0.6, 0.9, 1.2}, 2, "perfect-fit", stats.ErrNoVariation},
	} {
		f, err := New(c.x, names(2), c.y, Options{})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if f.DF != c.df || f.RSS != 0 || f.Sigma != 0 {
			t.Errorf("%s: df %d, RSS %v, sigma %v", c.name, f.DF, f.RSS, f.Sigma)
		}
		found := false
		for _, w := range f.Warnings {
			found = found || w.ID == c.warning
		}
		if !found {
			t.Errorf("%s: warnings %v, want %s", c.name, f.Warnings, c.warning)
		}
		for _, co := range f.Coefficients {
			if co.SE != 0 || co.T != 0 || co.P != 0 {
				t.Errorf("%s: %+v", c.name, co)
			}
		}
		_, e1 := f.Estimate(c.x.RawRowView(0), 0.95)
		_, e2 := f.Test(mat.NewDense(1, 2, c.x.RawRowView(0)), nil)
		_, e3 := f.Influence()
		for i, err := range []error{e1, e2, e3} {
			if !errors.Is(err, c.want) {
				t.Errorf("%s, question %d: %v, want %v", c.name, i, err, c.want)
			}
		}
		if _, err := f.LogLik(); !errors.Is(err, stats.ErrNoVariation) {
			t.Errorf("%s: log-likelihood: %v", c.name, err)
		}
		_, err = f.RestrictedLogLik()
		_, err2 := f.Covariance()
		if c.df == 0 && (!errors.Is(err, stats.ErrTooFew) || !errors.Is(err2, stats.ErrTooFew)) {
			t.Errorf("%s: %v, %v", c.name, err, err2)
		}
	}
}

func TestQuestionErrors(t *testing.T) {
	t.Parallel()
	x := mat.NewDense(5, 3, []float64{1, 0, 2, 1, 1, 3, 1, 2, 4, 1, 3, 5, 1, 4, 6}) // c = 2a + b
	f, err := New(x, []string{"a", "b", "c"}, []float64{1, 3, 2, 5, 4}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		l     []float64
		level float64
		want  error
	}{
		{"fine", []float64{1, 2, 4}, 0.95, nil},
		{"aliased", []float64{0, 0, 1}, 0.95, stats.ErrSingular},
		{"needs the aliased column", []float64{0, 1, 0}, 0.95, stats.ErrSingular},
		{"too short", []float64{1}, 0.95, stats.ErrLengths},
		{"NaN", []float64{1, nan, 0}, 0.95, stats.ErrNonFinite},
		{"nothing", []float64{0, 0, 0}, 0.95, stats.ErrNoVariation},
		{"level 1", []float64{1, 2, 4}, 1, stats.ErrDomain},
		{"level 0", []float64{1, 2, 4}, 0, stats.ErrDomain},
		{"level NaN", []float64{1, 2, 4}, nan, stats.ErrDomain},
	} {
		if _, err := f.Estimate(c.l, c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		estimable := c.want == nil || errors.Is(c.want, stats.ErrDomain) || errors.Is(c.want, stats.ErrNoVariation)
		if got := f.Estimable(c.l); got != estimable {
			t.Errorf("%s: estimable %v", c.name, got)
		}
	}
	for name, c := range map[string]struct {
		l    mat.Matrix
		rhs  []float64
		want error
	}{
		"none":             {nil, nil, stats.ErrEmpty},
		"wrong columns":    {mat.NewDense(1, 2, nil), nil, stats.ErrLengths},
		"wrong right side": {mat.NewDense(1, 3, []float64{1, 2, 4}), []float64{1, 2}, stats.ErrLengths},
		"NaN right side":   {mat.NewDense(1, 3, []float64{1, 2, 4}), []float64{nan}, stats.ErrNonFinite},
		"not estimable":    {mat.NewDense(1, 3, []float64{0, 1, 0}), nil, stats.ErrSingular},
		"zero row":         {mat.NewDense(1, 3, nil), nil, stats.ErrNoVariation},
		"contradiction":    {mat.NewDense(2, 3, []float64{1, 2, 4, 2, 4, 8}), []float64{1, 3}, stats.ErrSingular},
	} {
		if _, err := f.Test(c.l, c.rhs); !errors.Is(err, c.want) {
			t.Errorf("hypothesis, %s: %v, want %v", name, err, c.want)
		}
	}
	once, err := f.Test(mat.NewDense(1, 3, []float64{1, 2, 4}), []float64{1})
	if err != nil {
		t.Fatal(err)
	}
	twice, err := f.Test(mat.NewDense(2, 3, []float64{1, 2, 4, 2, 4, 8}), []float64{1, 2})
	if err != nil || twice.DF != 1 {
		t.Fatalf("a repeated row: %+v, %v", twice, err)
	}
	reftest.Within(t, "a repeated row", twice.SS, once.SS, 1e-12, "counts once")

	if _, err := f.Anova(frame.TypeI); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("anova without a frame: %v", err)
	}
	for name, c := range map[string]struct {
		x    mat.Matrix
		want error
	}{
		"none": {nil, stats.ErrEmpty}, "wrong columns": {mat.NewDense(1, 1, nil), stats.ErrLengths},
		"NaN": {mat.NewDense(1, 3, []float64{1, nan, 1}), stats.ErrNonFinite}, "not estimable": {mat.NewDense(1, 3, []float64{1, 1, 1}), stats.ErrSingular},
	} {
		if _, err := f.Predict(c.x, 0.95); !errors.Is(err, c.want) {
			t.Errorf("prediction, %s: %v, want %v", name, err, c.want)
		}
	}
}

func TestCompareAndLackErrors(t *testing.T) {
	t.Parallel()
	y := []float64{1, 3, 2, 5, 4, 7}
	fit := func(x *mat.Dense, y []float64, opt Options) *Fit {
		_, p := x.Dims()
		f, err := New(x, names(p), y, opt)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	straight := fit(line(1, 2, 3, 4, 5, 6), y, Options{})
	other := fit(line(1, 4, 9, 16, 25, 36), y, Options{})
	quad := fit(powersOf([]float64{1, 2, 3, 4, 5, 6}, 2), y, Options{})
	full := fit(powersOf([]float64{1, 2, 3, 4, 5, 6}, 5), y, Options{})
	weighted := fit(powersOf([]float64{1, 2, 3, 4, 5, 6}, 2), y, Options{Weights: []float64{1, 2, 1, 2, 1, 2}})
	elsewhere := fit(powersOf([]float64{1, 2, 3, 4, 5, 6}, 2), []float64{1, 3, 2, 5, 4, 8}, Options{})
	for name, c := range map[string]struct {
		small, large *Fit
		want         error
	}{
		"fine": {straight, quad, nil}, "none": {nil, quad, stats.ErrEmpty}, "same": {straight, straight, stats.ErrNoVariation},
		"not nested": {straight, other, stats.ErrDomain}, "reversed": {quad, straight, stats.ErrDomain},
		"other weights": {straight, weighted, stats.ErrDomain}, "other data": {straight, elsewhere, stats.ErrDomain},
		"nothing left": {straight, full, stats.ErrTooFew},
	} {
		if _, err := Compare(c.small, c.large); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	cov := mat.NewSymDense(6, nil)
	for i := range 6 {
		cov.SetSym(i, i, 1)
	}
	correlated := fit(line(1, 1, 2, 2, 3, 3), y, Options{Covariance: cov})
	for name, c := range map[string]struct {
		f    *Fit
		want error
	}{
		"no repeats":   {straight, stats.ErrTooFew},
		"two settings": {fit(line(1, 1, 1, 2, 2, 2), y, Options{}), stats.ErrTooFew},
		"equal":        {fit(line(1, 1, 2, 2, 3, 3), []float64{1, 1, 5, 5, 2, 2}, Options{}), stats.ErrNoVariation},
		"correlated":   {correlated, stats.ErrDomain},
	} {
		if _, err := c.f.LackOfFit(); !errors.Is(err, c.want) {
			t.Errorf("lack of fit, %s: %v, want %v", name, err, c.want)
		}
	}
	if _, err := correlated.Influence(); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("influence with a covariance: %v", err)
	}
}

// TestInfluenceOfADecidingPoint: the only observation at x = 9 has leverage 1.
func TestInfluenceOfADecidingPoint(t *testing.T) {
	t.Parallel()
	f, err := New(mat.NewDense(5, 2, []float64{1, 0, 1, 0, 1, 0, 1, 0, 1, 1}), names(2), []float64{1, 2, 4, 3, 9}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	in, err := f.Influence()
	if err != nil {
		t.Fatal(err)
	}
	if len(in.Exact) != 1 || in.Exact[0] != 4 || in.Leverage[4] < 1-1e-12 || len(in.Warnings) != 1 {
		t.Errorf("%+v", in)
	}
}

func TestStrataAndUnitErrors(t *testing.T) {
	t.Parallel()
	f, y := cakeFrame(t)
	bad := append([]float64{}, y...)
	bad[0] = nan
	for name, c := range map[string]struct {
		f      *frame.Frame
		blocks []frame.Term
		y      []float64
		want   error
	}{
		"no frame": {nil, []frame.Term{batch}, y, stats.ErrEmpty}, "no blocks": {f, nil, y, stats.ErrEmpty},
		"short y": {f, []frame.Term{batch}, y[:3], stats.ErrLengths}, "NaN": {f, []frame.Term{batch}, bad, stats.ErrNonFinite},
		"numeric block": {f, []frame.Term{frame.T("temp")}, y, stats.ErrDomain}, "unknown": {f, []frame.Term{frame.T("z")}, y, stats.ErrDomain},
	} {
		if _, err := Strata(c.f, frame.Model{Terms: []frame.Term{recipe}}, c.blocks, c.y); !errors.Is(err, c.want) {
			t.Errorf("strata, %s: %v, want %v", name, err, c.want)
		}
	}
	twice, err := Strata(f, frame.Model{Terms: []frame.Term{recipe}}, []frame.Term{batch, replicate}, y)
	if err != nil {
		t.Fatal(err)
	}
	if len(twice.Warnings) == 0 || twice.Warnings[0].ID != "empty-stratum" {
		t.Errorf("replicates after their batches: %v", twice.Warnings)
	}
	for name, c := range map[string]struct {
		m    UnitModel
		y    []float64
		want error
	}{
		"nothing":            {UnitModel{}, y, stats.ErrEmpty},
		"short y":            {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{recipe}}, y[:5], stats.ErrLengths},
		"NaN":                {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{recipe}}, bad, stats.ErrNonFinite},
		"unknown unit":       {UnitModel{Unit: []string{"z"}, Terms: []frame.Term{recipe}}, y, stats.ErrDomain},
		"unknown term":       {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{frame.T("z")}}, y, stats.ErrDomain},
		"varies within":      {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{temperature}}, y, stats.ErrDomain},
		"number varies":      {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{frame.T("temp")}}, y, stats.ErrDomain},
		"a unit an arm":      {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{recipe}}, y, stats.ErrTooFew},
		"bad within term":    {UnitModel{Unit: []string{"recipe"}, Terms: []frame.Term{recipe}, Within: []frame.Term{frame.T("z")}}, y, stats.ErrDomain},
		"within is the unit": {UnitModel{Unit: []string{"replicate", "recipe"}, Terms: []frame.Term{recipe}, Within: []frame.Term{replicate}}, y, stats.ErrSingular},
	} {
		if _, err := Units(f, c.y, c.m); !errors.Is(err, c.want) {
			t.Errorf("units, %s: %v, want %v", name, err, c.want)
		}
	}
}

func TestPolynomialErrors(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		x, y   []float64
		degree int
		want   error
	}{
		"empty": {nil, nil, 1, stats.ErrEmpty}, "lengths": {[]float64{1, 2}, []float64{1}, 1, stats.ErrLengths},
		"NaN x": {[]float64{1, nan}, []float64{1, 2}, 1, stats.ErrNonFinite}, "infinite y": {[]float64{1, 2}, []float64{1, inf}, 1, stats.ErrNonFinite},
		"degree": {[]float64{1, 2}, []float64{1, 2}, -1, stats.ErrDomain}, "degree 21": {[]float64{1, 2}, []float64{1, 2}, 21, stats.ErrDomain},
		"one value": {[]float64{1, 1, 1}, []float64{1, 2, 3}, 1, stats.ErrTooFew},
		"overflow":  {[]float64{1, 2, 3}, []float64{1e200, -1e200, 1e200}, 1, stats.ErrNonFinite},
	} {
		if p, err := FitPolynomial(c.x, c.y, c.degree); !errors.Is(err, c.want) || p != nil {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	mean, err := FitPolynomial([]float64{5, 5, 5}, []float64{1, 2, 3}, 0)
	if err != nil || mean.Coefficients[0].Estimate != 2 || mean.Sigma != 1 {
		t.Errorf("degree 0: %+v, %v", mean, err)
	}
	exactly, err := FitPolynomial([]float64{1, 2}, []float64{1, 3}, 1)
	if err != nil || exactly.RSS != 0 {
		t.Fatalf("two points: %+v, %v", exactly, err)
	}
	if _, err := exactly.At(1, 0.95); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("interval without df: %v", err)
	}
	if _, err := mean.At(nan, 0.95); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("at NaN: %v", err)
	}
	if _, err := mean.At(1, 2); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("level 2: %v", err)
	}
}

// TestEmptyCell: the interaction of a 2 × 3 layout without one cell has one
// degree of freedom; type III says that it tests part of the hypothesis.
func TestEmptyCell(t *testing.T) {
	t.Parallel()
	f, y := trial(t)
	var rows []int
	var kept []float64
	supp, _ := f.Column("supp")
	dose, _ := f.Column("dose")
	for i := range y {
		if supp.Codes()[i] != 1 || dose.Codes()[i] != 2 {
			rows, kept = append(rows, i), append(kept, y[i])
		}
	}
	g, err := f.Subset(rows)
	if err != nil {
		t.Fatal(err)
	}
	fit := mustFit(t, g, kept, frame.Crossed(frame.T("supp"), frame.T("dose"))...)
	if len(fit.Aliases) != 1 || fit.Rank != 5 {
		t.Fatalf("rank %d, aliases %v", fit.Rank, fit.Aliases)
	}
	one, err := fit.Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	three, err := fit.Anova(frame.TypeIII)
	if err != nil {
		t.Fatal(err)
	}
	if three.Rows[2].DF != 1 || len(three.Warnings) == 0 || three.Warnings[0].ID != "not-estimable" {
		t.Errorf("interaction %+v, warnings %v", three.Rows[2], three.Warnings)
	}
	reftest.Within(t, "interaction", three.Rows[2].SS, one.Rows[2].SS, 1e-10, "the last term is the same in types I and III")
}
