package texture

import (
	"math"
	"strconv"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

func celsius(t testing.TB, c float64) trial.Opt[quantity.Temperature] {
	t.Helper()
	sp, err := quantity.ParseTemperature(strconv.FormatFloat(c, 'g', -1, 64) + " °C")
	if err != nil {
		t.Fatal(err)
	}
	return trial.Some(sp)
}

// brined builds cooks of two pieces each, one plain and one brined, that share
// a source within the cook.
func brined(t testing.TB, setPoints []float64, plain, treated []float64) *trial.Trial {
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "loss", Kind: trial.Amount, Unit: trial.Some("%")}}}
	for i := range plain {
		c := trial.Cook{ID: "C" + strconv.Itoa(i+1), SetPoint: celsius(t, setPoints[i])}
		for k, v := range []float64{plain[i], treated[i]} {
			kind := []trial.BrineKind{trial.NoBrine, trial.DryBrine}[k]
			c.Pieces = append(c.Pieces, trial.Piece{ID: strconv.Itoa(k), Source: trial.Some("fish " + strconv.Itoa(i)),
				Treatment: trial.Treatment{Brine: trial.Some(trial.Brine{Kind: kind})},
				Values:    trial.ReadingOf("loss", trial.Reading{V: v})})
		}
		tr.Cooks = append(tr.Cooks, c)
	}
	return tr
}

func repeated(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// Student's sleep data (1908): two drugs on the same ten people.
var (
	sleepA = []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	sleepB = []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
)

func TestPairedTreatment(t *testing.T) {
	t.Parallel()
	r := Analyse(brined(t, repeated(50, 10), sleepA, sleepB), Options{Draws: 200})
	m := r.Measures.Named("loss")
	if len(m.Treatments) != 1 {
		t.Fatalf("%d treatments", len(m.Treatments))
	}
	tr := m.Treatments[0]
	const src = "R 4.2.2, t.test(extra ~ group, sleep, paired = TRUE)"
	if !tr.Paired || tr.Unit != "piece" || tr.A != "plain" {
		t.Errorf("paired %v on the %s against %s", tr.Paired, tr.Unit, tr.A)
	}
	within(t, "difference", tr.Average.Estimate, -1.58, 1e-9, src)
	within(t, "t", tr.Average.T, -4.0621, 1e-5, src+", five digits")
	within(t, "df", tr.Average.DF, 9, 0, src)
	within(t, "p", tr.Average.P, 0.002833, 1e-4, src+", four digits")
	within(t, "low", tr.Average.Low, -2.4598858, 1e-7, src+", eight digits")
	within(t, "high", tr.Average.High, -0.7001142, 1e-7, src+", eight digits")
	if tr.Ratio != nil {
		t.Error("a ratio of values below 0")
	}
}

// The ends of Fieller's interval are where the paired t statistic of
// b - ratio × a is exactly critical.
func TestRatioOfAmounts(t *testing.T) {
	t.Parallel()
	a := []float64{10.2, 11.0, 9.6, 10.8, 12.1, 13.0, 12.4, 12.9}
	b := []float64{8.1, 9.5, 7.7, 9.0, 10.0, 11.9, 10.1, 11.2}
	sp := []float64{50, 50, 50, 50, 56, 56, 56, 56}
	tr := Analyse(brined(t, sp, a, b), Options{Draws: 200}).Measures.Named("loss").Treatments[0]
	if tr.Ratio == nil {
		t.Fatal("no ratio of an amount")
	}
	q, err := dist.TQuantile(0.975, 6)
	if err != nil {
		t.Fatal(err)
	}
	at := func(ratio float64) float64 {
		var est, v float64
		for g := 0; g < 2; g++ {
			d := make([]float64, 4)
			var mean float64
			for i := range d {
				d[i] = b[4*g+i] - ratio*a[4*g+i]
				mean += d[i] / 4
			}
			est += mean / 2
			for i := range d {
				v += (d[i] - mean) * (d[i] - mean) / 6
			}
		}
		return math.Abs(est) / math.Sqrt(v/8)
	}
	for _, end := range []Number{tr.Ratio.Low, tr.Ratio.High} {
		x, ok := end.Get()
		if !ok || math.Abs(at(x)-q) > 1e-9*q {
			t.Errorf("end %v: t = %v, want %v by the definition of Fieller 1954", end, at(x), q)
		}
	}
	if len(tr.At) != 2 || len(tr.SetPoints) != 2 || !tr.Interaction.P.Known() {
		t.Errorf("%d differences at %d set points, interaction %q", len(tr.At), len(tr.SetPoints), tr.Interaction.Cannot)
	}
	// Two groups of paired differences: the interaction is the two-sample t test
	// of the differences, squared.
	var m [2]float64
	var ss float64
	for g := range m {
		for i := 0; i < 4; i++ {
			m[g] += (a[4*g+i] - b[4*g+i]) / 4
		}
		for i := 0; i < 4; i++ {
			d := a[4*g+i] - b[4*g+i] - m[g]
			ss += d * d
		}
	}
	within(t, "interaction", tr.Interaction.F, (m[0]-m[1])*(m[0]-m[1])/(ss/6/2), 1e-9, "two-sample t, squared, by its definition")
}

// A score has no ratio, however the treatments differ.
func TestNoRatioOfScores(t *testing.T) {
	t.Parallel()
	tr := brined(t, repeated(50, 10), sleepB, sleepA)
	for i := range tr.Cooks {
		for k := range tr.Cooks[i].Pieces {
			v := &tr.Cooks[i].Pieces[k].Values
			v.Set("loss", trial.Reading{V: math.Abs(v.Of("loss").V)})
		}
	}
	tr.Measures[0].Kind = trial.ScaleScore
	tr.Measures[0].Scale = trial.Range{Low: 0, High: 10}
	m := Analyse(tr, Options{Draws: 200}).Measures.Named("loss")
	if len(m.Treatments) == 0 || m.Treatments[0].Ratio != nil {
		t.Error("a rating scale has a ratio")
	}
}

// Without a shared source the pieces are compared within the cook.
func TestTreatmentWithinCook(t *testing.T) {
	t.Parallel()
	tr := brined(t, repeated(50, 10), sleepA, sleepB)
	for i := range tr.Cooks {
		for k := range tr.Cooks[i].Pieces {
			tr.Cooks[i].Pieces[k].Source = trial.Some(strconv.Itoa(2*i + k))
		}
	}
	m := Analyse(tr, Options{Draws: 200}).Measures.Named("loss")
	if len(m.Treatments) != 1 || m.Treatments[0].Paired {
		t.Fatalf("%+v", m.Treatments)
	}
	within(t, "t", m.Treatments[0].Average.T, -4.0621, 1e-5, "one plain and one brined piece a cook: the paired t of Student's sleep data")
}

// Helmert contrasts keep sums of squares within blocks.
func TestWithinBlocks(t *testing.T) {
	t.Parallel()
	y := []float64{1, 4, 2, 1e9, 1e9 + 3, 7}
	got := withinBlocks([]int{0, 0, 0, 1, 1, -1}, [][]float64{y})[0]
	if len(got) != 3 {
		t.Fatalf("%d rows, want 2 + 1", len(got))
	}
	ss := func(v ...float64) (s float64) {
		for _, x := range v {
			s += x * x
		}
		return s
	}
	if a := ss(got[0], got[1]); math.Abs(a-14.0/3) > 1e-12 {
		t.Errorf("first block %v, want 14/3 by hand", a)
	}
	if b := ss(got[2]); math.Abs(b-4.5) > 1e-12 {
		t.Errorf("second block %v, want 4.5 by hand", b)
	}
}

// One contrast, one answer: the average of a treatment is the row of the
// differences, estimate, error and degrees of freedom, whether the factor was
// given to cooks or to pieces, and with pieces missing.
func TestTreatmentIsTheDifference(t *testing.T) {
	t.Parallel()
	byCook := degenerate(3, 4, func(i, s int) float64 { return float64(2*i) + float64((5*i+3*s)%7)/3 })
	byCook.Factors = []trial.Factor{{Name: "recipe", Levels: []string{"A", "B"}}}
	for i := range byCook.Cooks {
		byCook.Cooks[i].With = []trial.Level{{Factor: "recipe", Level: []string{"A", "B"}[(i/4+i)%2]}}
	}
	lost := brined(t, []float64{50, 50, 50, 56, 56, 56}, []float64{10, 11, 9, 14, 12, 13}, []float64{8, 10, 8, 11, 12, 10})
	lost.Cooks[1].Pieces = lost.Cooks[1].Pieces[:1]
	balanced := brined(t, []float64{50, 50, 50, 56, 56, 56}, []float64{10, 11, 9, 14, 12, 13}, []float64{8, 10, 8, 11, 12, 10})
	for name, tr := range map[string]*trial.Trial{"by cook": byCook, "by piece": balanced, "a piece lost": lost} {
		m := Analyse(tr, Options{Draws: 100}).Measures[0]
		if len(m.Treatments) != 1 {
			t.Errorf("%s: %d treatments (%+v)", name, len(m.Treatments), m.Cannot)
			continue
		}
		tr := m.Treatments[0]
		if tr.From != FromStratum {
			t.Errorf("%s: average from %q", name, tr.From)
		}
		found := false
		for _, d := range m.Differences {
			if d.Term != tr.Factor {
				continue
			}
			found = true
			if d.A != tr.A {
				d = d.turned()
			}
			within(t, name+": estimate", tr.Average.Estimate, d.Estimate.Or(0), 0, "differences")
			within(t, name+": SE", tr.Average.SE, d.SE.Or(0), 0, "differences")
			within(t, name+": df", tr.Average.DF, d.DF.Or(0), 0, "differences")
			within(t, name+": low", tr.Average.Low, d.Low.Or(0), 0, "differences")
		}
		if !found {
			t.Errorf("%s: no difference", name)
		}
	}
	// In balanced data the average over the set points is the same number.
	m := Analyse(balanced, Options{Draws: 100}).Measures[0].Treatments[0]
	var mean float64
	for _, d := range m.At {
		mean += d.Estimate.Or(math.NaN()) / float64(len(m.At))
	}
	within(t, "average of the set points", m.Average.Estimate, mean, 1e-12, "by hand")
}

// What is not stated is no treatment. One line says what to write down.
func TestNotStatedIsNoTreatment(t *testing.T) {
	t.Parallel()
	tr := brined(t, []float64{50, 50, 56, 56}, []float64{10, 11, 14, 12}, []float64{8, 10, 11, 12})
	for i := range tr.Cooks {
		tr.Cooks[i].Pieces[0].Brine = trial.Opt[trial.Brine]{}
	}
	m := Analyse(tr, Options{Draws: 100}).Measures[0]
	if len(m.Treatments) != 0 {
		t.Errorf("treatments %+v", m.Treatments)
	}
	for _, d := range m.Differences {
		if d.Term == trial.BrineFactor {
			t.Errorf("difference %s − %s", d.A, d.B)
		}
	}
	n := 0
	for _, c := range m.Cannot {
		if c.What == "treatment:brine" {
			n++
			if c.Need != "write down the brine of each piece, none for a plain one" {
				t.Errorf("need %q", c.Need)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d lines about the brine, want 1", n)
	}
}

// Three levels or more are compared with a declared control, else in the
// differences alone; and no factor has more than one line of what cannot be.
func TestManyLevels(t *testing.T) {
	t.Parallel()
	tr := degenerate(3, 3, func(i, s int) float64 { return float64(2*i) + float64((5*i+3*s)%7)/3 })
	tr.Factors = []trial.Factor{{Name: "recipe", Levels: []string{"A", "B", "C"}}}
	for i := range tr.Cooks {
		tr.Cooks[i].With = []trial.Level{{Factor: "recipe", Level: []string{"A", "B", "C"}[(i/3+i)%3]}}
	}
	m := Analyse(tr, Options{Draws: 100}).Measures[0]
	if len(m.Treatments) != 0 {
		t.Errorf("%d treatments without a control", len(m.Treatments))
	}
	tr.Compare = trial.Some(trial.Compare{Against: trial.Some("B")})
	m = Analyse(tr, Options{Draws: 100}).Measures[0]
	if len(m.Treatments) != 2 {
		t.Fatalf("%d treatments, want 2 (%+v)", len(m.Treatments), m.Cannot)
	}
	for _, x := range m.Treatments {
		if x.A != "B" || x.Average.Adjust != "dunnett" || x.From != FromStratum {
			t.Errorf("%+v", x.Average)
		}
	}
	for i := range tr.Cooks { // a time of its own for each cook
		tr.Cooks[i].With = []trial.Level{{Factor: "recipe", Level: tr.Cooks[i].ID}}
	}
	tr.Compare.V.Against = trial.Some("c0s0")
	seen := map[string]int{}
	for _, c := range Analyse(tr, Options{Draws: 100}).Measures[0].Cannot {
		if seen[c.What]++; seen[c.What] > 1 {
			t.Errorf("%s twice", c.What)
		}
	}
}
