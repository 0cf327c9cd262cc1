package curve

import (
	"errors"
	"math"
	"reflect"
	"runtime"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// TestStudentWidth: for a single line the draws must give Student's interval of
// the mean and of the next cook, and Fieller's for a crossing.
func TestStudentWidth(t *testing.T) {
	t.Parallel()
	d := cells(31, []float64{44, 52, 60}, 2, 1, func(x float64, t int) float64 { return 0.3*x - 10 }, 0.5, 0)
	d.Blocks = nil
	f := mustFit(t, d, Options{Families: []Family{Line}})
	if f.DF != 3 {
		t.Fatalf("df = %d", f.DF)
	}
	s, err := NewSampler(f)
	if err != nil {
		t.Fatal(err)
	}
	band, err := NewBand(0, 0, 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	cross, err := NewCrossing(0, 0, 5.6, 0)
	if err != nil {
		t.Fatal(err)
	}
	grid, err := Grid(44, 60, 1)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Run(40_000, 5, grid, band, cross); err != nil {
		t.Fatal(err)
	}
	r, err := band.Result()
	if err != nil {
		t.Fatal(err)
	}
	q := studentT(0.95, 3)
	const source = "Student's interval on 3 degrees of freedom"
	for i, x := range r.X {
		y, se, err := f.Curve(0, x, 0)
		if err != nil {
			t.Fatal(err)
		}
		next := math.Hypot(se, f.CookSD[0])
		// 40 000 draws place the 2.5 % point of a t with 3 df to about 1.5 % of
		// the half-width; 5 % is above three Monte Carlo standard errors.
		reftest.WithinAbs(t, "low", r.Low[i], y-q*se, 0, 0.05*q*se, source)
		reftest.WithinAbs(t, "high", r.High[i], y+q*se, 0, 0.05*q*se, source)
		reftest.WithinAbs(t, "next low", r.NextLow[i], y-q*next, 0, 0.05*q*next, source)
		reftest.WithinAbs(t, "next high", r.NextHigh[i], y+q*next, 0, 0.05*q*next, source)
	}
	c, err := cross.Result(true)
	if err != nil {
		t.Fatal(err)
	}
	inv, err := f.Inverse(0, 0, 5.6, 0.95)
	if err != nil || len(inv) != 1 {
		t.Fatal(inv, err)
	}
	reftest.WithinAbs(t, "crossing", c.Estimate, inv[0].X, 0, 0.1, "the fitted line")
	iv := inv[0].Interval
	if c.Interval == nil || c.Interval.LowOpen != (iv.LowOpen || iv.Low < 44) || c.Interval.HighOpen != (iv.HighOpen || iv.High > 60) {
		t.Errorf("crossing %+v, Fieller %+v", c.Interval, iv)
	}
	if !c.Interval.LowOpen {
		reftest.WithinAbs(t, "crossing low", c.Interval.Low, iv.Low, 0, 0.07*(c.Estimate-iv.Low), "Fieller")
	}
}

// TestOpenCrossing: a value beyond what most draws reach has open ends.
func TestOpenCrossing(t *testing.T) {
	t.Parallel()
	d := cells(7, sixPoints, 3, 1, func(x float64, t int) float64 { return 0.1 * x }, 0.6, 0)
	f := mustFit(t, d, Options{Families: []Family{Line}})
	s, err := NewSampler(f)
	if err != nil {
		t.Fatal(err)
	}
	y, _, _ := f.At(59, 0)
	c, _ := NewCrossing(0, 0, y, 0)
	far, _ := NewCrossing(0, 0, y+30, 0)
	grid, _ := Grid(44, 60, 0.5)
	if err := s.Run(2000, 1, grid, c, far); err != nil {
		t.Fatal(err)
	}
	r, err := c.Result(true)
	if err != nil || r.Interval == nil || !r.Interval.HighOpen || r.Interval.LowOpen || r.Below < 0.2 {
		t.Errorf("%+v, %v", r, err)
	}
	if r, err = far.Result(true); err != nil || r.Interval != nil || r.Below != 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestCores: the same draws on one core and on several, and again.
func TestCores(t *testing.T) {
	fits := pollackLike(t)
	grid, err := Grid(44, 60, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	run := func(seed uint64) *WindowResult {
		s, err := NewSampler(fits...)
		if err != nil {
			t.Fatal(err)
		}
		w, err := NewWindow(1, []Aim{{Measure: 0, Low: 5, High: 6.5}, {Measure: 1, Low: math.Inf(-1), High: 2}}, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Run(300, seed, grid, w); err != nil {
			t.Fatal(err)
		}
		r, err := w.Result()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	a := run(1)
	old := runtime.GOMAXPROCS(1)
	b := run(1)
	runtime.GOMAXPROCS(old)
	if !reflect.DeepEqual(a, b) {
		t.Error("the result depends on the number of cores")
	}
	if reflect.DeepEqual(a, run(2)) {
		t.Error("the seed changes nothing")
	}
}

// TestCorrelation: measures that share their cook errors are drawn together;
// with too few degrees of freedom they are not, and a warning says so.
func TestCorrelation(t *testing.T) {
	t.Parallel()
	a := cells(41, sixPoints, 4, 1, func(x float64, t int) float64 { return 0.2 * x }, 0.5, 0)
	b := a
	b.Y = make([]float64, len(a.Y))
	for i, v := range a.Y {
		b.Y[i] = 20 - 3*(v-0.2*a.X[i]) - 0.1*a.X[i] // the same errors, mirrored
	}
	o := Options{Families: []Family{Line}}
	s, err := NewSampler(mustFit(t, a, o), mustFit(t, b, o))
	if err != nil {
		t.Fatal(err)
	}
	if c := s.Correlation(); c[0][1] > -0.98 || c[0][1] != c[1][0] || c[0][0] != 1 {
		t.Errorf("correlation %v", c)
	}
	if len(s.Warnings()) != 0 {
		t.Errorf("%v", s.Warnings())
	}
	few := cells(41, []float64{44, 52, 60}, 2, 1, func(x float64, t int) float64 { return 0.2 * x }, 0.5, 0)
	few2 := few
	few2.Y = make([]float64, len(few.Y))
	for i, v := range few.Y {
		few2.Y[i] = -v
	}
	if s, err = NewSampler(mustFit(t, few, o), mustFit(t, few2, o)); err != nil {
		t.Fatal(err)
	}
	if c := s.Correlation(); c[0][1] != 0 || len(s.Warnings()) != 1 {
		t.Errorf("correlation %v, %v", c, s.Warnings())
	}
	// A measure that misses a cook is still drawn beside the other.
	miss := Data{X: b.X[1:], Y: b.Y[1:], Cook: b.Cook[1:], Treatment: b.Treatment[1:]}
	if s, err = NewSampler(mustFit(t, a, o), mustFit(t, miss, o)); err != nil {
		t.Fatal(err)
	}
	w, _ := NewWindow(0, []Aim{{Measure: 0, Kind: Highest, Matters: 0.1}, {Measure: 1, Low: 0, High: 30}}, 0)
	if err := s.Run(200, 1, sixPoints, w); err != nil {
		t.Fatal(err)
	}
	if r, err := w.Result(); err != nil || r.Best < 56 {
		t.Errorf("best %v, %v", r.Best, err)
	}
}

// TestWindowNearTruth: with hardly any error the window is that of the truth:
// edges, limits, tolerance, both readings.
func TestWindowNearTruth(t *testing.T) {
	t.Parallel()
	firm := cells(51, sixPoints, 3, 1, func(x float64, t int) float64 { return 10 * logistic((x-49)/3) }, 0.01, 0)
	prot := cells(52, sixPoints, 3, 1, func(x float64, t int) float64 { return 5 * logistic((x-52)/3) }, 0.01, 0)
	s, err := NewSampler(mustFit(t, firm, Options{Scale: &Scale{0, 10}}), mustFit(t, prot, Options{Scale: &Scale{0, 5}}))
	if err != nil {
		t.Fatal(err)
	}
	w, _ := NewWindow(0, []Aim{{Measure: 0, Low: 5, High: 6.5}, {Measure: 1, Low: math.Inf(-1), High: 2}}, 0)
	none, _ := NewWindow(0, []Aim{{Measure: 0, Low: 9.9, High: 10}, {Measure: 1, Low: math.Inf(-1), High: 1}}, 0)
	grid, _ := Grid(44, 60, 0.1)
	if err := s.Run(500, 1, grid, w, none); err != nil {
		t.Fatal(err)
	}
	r, err := w.Result()
	if err != nil {
		t.Fatal(err)
	}
	// firmness 5 at 49; protein 2 at 52 − 3·ln 1.5 = 50.784.
	const source = "the curves that the data were made from"
	mid := (49 + 50.7836) / 2
	reftest.WithinAbs(t, "best", r.Best, mid, 0, 0.1, source)
	reftest.WithinAbs(t, "interval low", r.Interval.Low, mid, 0, 0.05, source)
	reftest.WithinAbs(t, "interval high", r.Interval.High, mid, 0, 0.05, source)
	reftest.WithinAbs(t, "range low", r.Mean.Range.Low, 49, 0, 0.11, source)
	reftest.WithinAbs(t, "range high", r.Mean.Range.High, 50.7836, 0, 0.11, source)
	if r.LimitLow.Aim != 0 || r.LimitHigh.Aim != 1 || r.LimitLow.Open || r.Without != 0 {
		t.Errorf("limits %+v %+v, %d without", r.LimitLow, r.LimitHigh, r.Without)
	}
	if r.Tolerance == nil || math.Abs(*r.Tolerance-0.85) > 0.15 || r.ToEdge {
		t.Errorf("tolerance %v, to edge %v", *r.Tolerance, r.ToEdge)
	}
	if !(r.Next.Range.Low >= r.Mean.Range.Low-0.1) || r.Mean.Likely == nil {
		t.Errorf("next %+v, mean %+v", r.Next.Range, r.Mean.Likely)
	}
	if r, err = none.Result(); err != nil || r.HasBest || r.Interval != nil || r.Without != 500 || r.LimitLow.Aim != -1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestOpenWindow: a window that goes on at the edge of what was cooked is open
// there.
func TestOpenWindow(t *testing.T) {
	t.Parallel()
	d := cells(61, sixPoints, 3, 1, func(x float64, t int) float64 { return 0.2 * x }, 0.1, 0)
	s, err := NewSampler(mustFit(t, d, Options{}))
	if err != nil {
		t.Fatal(err)
	}
	w, _ := NewWindow(0, []Aim{{Low: math.Inf(-1), High: 10}}, 0)
	grid, _ := Grid(44, 60, 0.1)
	if err := s.Run(500, 1, grid, w); err != nil {
		t.Fatal(err)
	}
	r, err := w.Result()
	if err != nil {
		t.Fatal(err)
	}
	if !r.Mean.Range.LowOpen || r.Mean.Range.HighOpen || !r.LimitLow.Open || r.AtLow != 1 || r.AtHigh != 0 {
		t.Errorf("%+v, limit %+v, at edges %v %v", r.Mean.Range, r.LimitLow, r.AtLow, r.AtHigh)
	}
}

func TestMiddle(t *testing.T) {
	t.Parallel()
	grid := []float64{0, 1, 2, 3, 4, 5, 6}
	up := []float64{0, 1, 2, 3, 4, 5, 6}
	hump := []float64{0, 4, 5, 4, 2, 4.5, 0}
	for name, c := range map[string]struct {
		curves  [][]float64
		aims    []Aim
		lo, hi  float64
		missing bool
	}{
		"inside":       {[][]float64{up}, []Aim{{Low: 1.5, High: 4.25}}, 1.5, 4.25, false},
		"open":         {[][]float64{up}, []Aim{{Low: 2.5, High: math.Inf(1)}}, 2.5, 6, false},
		"longest":      {[][]float64{hump}, []Aim{{Low: 4, High: 9}}, 1, 3, false},
		"two aims":     {[][]float64{up, hump}, []Aim{{Low: 2.5, High: 9}, {Measure: 1, Low: 3, High: 9}}, 2.5, 3.5, false},
		"highest":      {[][]float64{hump, up}, []Aim{{Kind: Highest, Matters: 0.5}, {Measure: 1, Low: 0, High: 3}}, 1.5, 2.5, false},
		"lowest":       {[][]float64{up}, []Aim{{Kind: Lowest, Matters: 0.5}}, 0, 0.5, false},
		"none":         {[][]float64{up}, []Aim{{Low: 7, High: 8}}, 0, 0, true},
		"highest none": {[][]float64{up}, []Aim{{Kind: Highest, Matters: 1}, {Low: 7, High: 8}}, 0, 0, true},
	} {
		lo, hi, ok, err := Middle(grid, c.curves, c.aims)
		if err != nil || ok == c.missing || math.Abs(lo-c.lo) > 1e-12 || math.Abs(hi-c.hi) > 1e-12 {
			t.Errorf("%s: %v to %v, %v, %v", name, lo, hi, ok, err)
		}
	}
}

func TestDrawEdges(t *testing.T) {
	t.Parallel()
	f := mustFit(t, cells(1, sixPoints, 2, 1, func(x float64, t int) float64 { return x }, 1, 0), Options{})
	g := mustFit(t, cells(1, sixPoints, 2, 2, func(x float64, t int) float64 { return x }, 1, 0.5), Options{})
	s, err := NewSampler(f)
	if err != nil {
		t.Fatal(err)
	}
	win := func(tr int, aims ...Aim) error {
		w, err := NewWindow(tr, aims, 0)
		if err != nil {
			return err
		}
		return s.Run(10, 1, sixPoints, w)
	}
	nan := math.NaN()
	for name, c := range map[string]struct {
		run  func() error
		want error
	}{
		"no measures":     {func() error { _, err := NewSampler(); return err }, stats.ErrEmpty},
		"nil":             {func() error { _, err := NewSampler(nil); return err }, stats.ErrEmpty},
		"treatments":      {func() error { _, err := NewSampler(f, g); return err }, stats.ErrDomain},
		"no draws":        {func() error { return s.Run(0, 1, sixPoints) }, stats.ErrEmpty},
		"no grid":         {func() error { return s.Run(10, 1, nil) }, stats.ErrEmpty},
		"too many":        {func() error { return s.Run(1<<30, 1, sixPoints) }, stats.ErrTooLarge},
		"far grid":        {func() error { return s.Run(10, 1, []float64{20}) }, stats.ErrDomain},
		"NaN grid":        {func() error { return s.Run(10, 1, []float64{nan}) }, stats.ErrNonFinite},
		"no aims":         {func() error { return win(0) }, stats.ErrEmpty},
		"measure":         {func() error { return win(0, Aim{Measure: 3, High: 1}) }, stats.ErrDomain},
		"treatment":       {func() error { return win(2, Aim{High: 1}) }, stats.ErrDomain},
		"negative":        {func() error { return win(-1, Aim{High: 1}) }, stats.ErrDomain},
		"upside down":     {func() error { return win(0, Aim{Low: 2, High: 1}) }, stats.ErrDomain},
		"NaN aim":         {func() error { return win(0, Aim{Low: nan, High: 1}) }, stats.ErrDomain},
		"matters":         {func() error { return win(0, Aim{Kind: Highest, Matters: -1}) }, stats.ErrDomain},
		"kind":            {func() error { return win(0, Aim{Kind: 9}) }, stats.ErrDomain},
		"window level":    {func() error { _, err := NewWindow(0, []Aim{{High: 1}}, 2); return err }, stats.ErrDomain},
		"band level":      {func() error { _, err := NewBand(0, 0, 1, 1); return err }, stats.ErrDomain},
		"band measure":    {func() error { b, _ := NewBand(5, 0, 1, 0); return s.Run(10, 1, sixPoints, b) }, stats.ErrDomain},
		"crossing NaN":    {func() error { _, err := NewCrossing(0, 0, nan, 0); return err }, stats.ErrNonFinite},
		"crossing level":  {func() error { _, err := NewCrossing(0, 0, 1, -1); return err }, stats.ErrDomain},
		"crossing where":  {func() error { c, _ := NewCrossing(0, 7, 1, 0); return s.Run(10, 1, sixPoints, c) }, stats.ErrDomain},
		"descending grid": {func() error { w, _ := NewWindow(0, []Aim{{High: 1}}, 0); return s.Run(10, 1, []float64{50, 45}, w) }, stats.ErrDomain},
		"early window":    {func() error { w, _ := NewWindow(0, []Aim{{High: 1}}, 0); _, err := w.Result(); return err }, stats.ErrEmpty},
		"early band":      {func() error { w, _ := NewBand(0, 0, 0, 0); _, err := w.Result(); return err }, stats.ErrEmpty},
		"early crossing":  {func() error { w, _ := NewCrossing(0, 0, 0, 0); _, err := w.Result(true); return err }, stats.ErrEmpty},
		"grid step":       {func() error { _, err := Grid(0, 1, 0); return err }, stats.ErrDomain},
		"grid size":       {func() error { _, err := Grid(0, 1, 1e-9); return err }, stats.ErrTooLarge},
		"grid NaN":        {func() error { _, err := Grid(0, nan, 1); return err }, stats.ErrNonFinite},
		"middle lengths":  {func() error { _, _, _, err := Middle([]float64{1, 2}, [][]float64{{1}}, []Aim{{High: 1}}); return err }, stats.ErrLengths},
		"middle NaN":      {func() error { _, _, _, err := Middle([]float64{1}, [][]float64{{nan}}, []Aim{{High: 1}}); return err }, stats.ErrNonFinite},
		"middle aims":     {func() error { _, _, _, err := Middle([]float64{1}, [][]float64{{1}}, nil); return err }, stats.ErrEmpty},
		"middle measure":  {func() error { _, _, _, err := Middle([]float64{1}, nil, []Aim{{High: 1}}); return err }, stats.ErrDomain},
	} {
		if err := c.run(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}
