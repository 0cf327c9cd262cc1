package texture

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// readCSV gives the rows of a table of testdata as maps.
func readCSV(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// cake is Cook 1938 as printed in Cochran & Cox 1957, p. 300.
func cake(t testing.TB) *trial.Trial {
	tr := &trial.Trial{
		Measures: []trial.Measure{{Name: "angle", Kind: trial.Amount, Unit: trial.Some("°")}},
		Factors:  []trial.Factor{{Name: "recipe", Levels: []string{"A", "B", "C"}}},
		Aims:     []trial.Aim{{Measure: "angle", AtLeast: trial.Some(32.0)}},
	}
	for _, r := range readCSV(t, "../../testdata/cake/cooks.csv") {
		sp, err := quantity.ParseTemperature(r["set_point"])
		if err != nil {
			t.Fatal(err)
		}
		c := trial.Cook{ID: r["id"], SetPoint: trial.Some(sp), Block: trial.Some(r["block"]),
			Values: trial.ReadingOf("angle", trial.Reading{V: number(t, r["angle"])})}
		c.With = []trial.Level{{Factor: "recipe", Level: r["with.recipe"]}}
		tr.Cooks = append(tr.Cooks, c)
	}
	return tr
}

// beef is Paul 1943 as printed in Cochran & Cox 1957, section 11.51.
func beef(t *testing.T) *trial.Trial {
	tr := &trial.Trial{
		Measures: []trial.Measure{{Name: "tenderness", Kind: trial.Amount, Unit: trial.Some("points")}},
		Factors:  []trial.Factor{{Name: "storage", Levels: []string{"0", "1", "2", "4", "9", "18"}}},
	}
	for _, r := range readCSV(t, "../../testdata/beef/cooks.csv") {
		c := trial.Cook{ID: r["id"], Block: trial.Some(r["block"]),
			Values: trial.ReadingOf("tenderness", trial.Reading{V: number(t, r["tenderness"])})}
		c.With = []trial.Level{{Factor: "storage", Level: r["with.storage"]}}
		tr.Cooks = append(tr.Cooks, c)
	}
	return tr
}

// wine is Randall 1989 as a trial: a bottle is a cook.
func wine(t *testing.T) *trial.Trial {
	tr := &trial.Trial{
		Measures: []trial.Measure{{Name: "bitterness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 100}}},
		Factors:  []trial.Factor{{Name: "product", Levels: []string{"cold-no", "cold-yes", "warm-no", "warm-yes"}}},
	}
	for _, r := range readCSV(t, "../../testdata/wine/cooks.csv") {
		c := trial.Cook{ID: r["id"]}
		c.With = []trial.Level{{Factor: "product", Level: r["with.product"]}}
		tr.Cooks = append(tr.Cooks, c)
	}
	var p trial.Panel
	for _, r := range readCSV(t, "../../testdata/wine/scores.csv") {
		p.Scores = append(p.Scores, trial.Score{Assessor: r["assessor"], Cook: r["cook"],
			Values: trial.ReadingOf("bitterness", trial.Reading{V: number(t, r["bitterness"])})})
	}
	tr.Panel = trial.Some(p)
	return tr
}

// within fails when got is not within rel of want; source says where want is from.
func within(t *testing.T, name string, got Number, want, rel float64, source string) {
	t.Helper()
	v, ok := got.Get()
	if !ok {
		t.Errorf("%s is absent (%s), want %v (%s)", name, got.Reason(), want, source)
		return
	}
	if !(math.Abs(v-want) <= rel*math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g within %g (%s)", name, v, want, rel, source)
	}
}

func testNamed(t *testing.T, m *Measure, role, term string, stat string) Test {
	t.Helper()
	for _, x := range m.Tests {
		if x.Role == role && x.Term == term && x.Stat == stat {
			return x
		}
	}
	t.Fatalf("no %s test of %s by %s", role, term, stat)
	return Test{}
}

const (
	rlm       = "R 4.2.2, lm on the data of Cook 1938 in Cochran & Cox 1957, p. 300"
	cakeWorks = "worked from the same table, R 4.2.2 aov"
)

func TestCake(t *testing.T) {
	t.Parallel()
	r := Analyse(cake(t), Options{Quick: true})
	m := r.Measures.Named("angle")
	// Three decimals are printed, so half a unit of the last one.
	for i, want := range []float64{27.978, 29.956, 31.422, 32.178, 35.844, 35.356} {
		within(t, "mean of "+m.Arms[i].Arm, m.Arms[i].Mean, want, 2e-5, rlm+", three decimals")
	}
	temp := testNamed(t, m, RoleHeadline, "set_point", "F")
	within(t, "F of the temperature", temp.F, 20.520, 3e-5, rlm+", five digits")
	within(t, "df1", temp.DF1, 5, 0, rlm)
	within(t, "df2", temp.DF2, 210, 0, rlm)
	inter := testNamed(t, m, RoleHeadline, "set_point:recipe", "F")
	within(t, "F of recipe × temperature", inter.F, 1.0062, 5e-5, rlm+", five digits")
	within(t, "p of recipe × temperature", inter.P, 0.4393, 2e-4, rlm+", four decimals")
	within(t, "df1", inter.DF1, 10, 0, rlm)
	within(t, "df2", inter.DF2, 210, 0, rlm)
	within(t, "slope", m.Line.SlopeF.Estimate, 0.1580317, 5e-7, rlm+", seven digits")
	within(t, "its SE", m.Line.SlopeF.SE, 0.01621577, 5e-7, rlm+", seven digits")
	within(t, "its df", m.Line.SlopeF.DF, 224, 0, rlm)
	lack := m.Line.LackOfLine
	within(t, "lack of linearity", lack.F, 1.6311, 5e-5, rlm+", five digits")
	within(t, "p", lack.P, 0.1674, 4e-4, rlm+", four decimals")
	within(t, "df2", lack.DF2, 220, 0, rlm)
	// Recipe belongs to the batches: 3 recipes on 45 batches.
	recipe := testNamed(t, m, RoleHeadline, "recipe", "F")
	if recipe.Unit != "block" {
		t.Errorf("recipe is tested on the %s, not on the block", recipe.Unit)
	}
	within(t, "F of recipe", recipe.F, 0.249, 2e-3, cakeWorks+", three decimals")
	within(t, "p of recipe", recipe.P, 0.781, 1e-3, cakeWorks+", three decimals")
	within(t, "df2 of recipe", recipe.DF2, 42, 0, cakeWorks)
}

func TestBeef(t *testing.T) {
	t.Parallel()
	r := Analyse(beef(t), Options{Quick: true})
	m := r.Measures.Named("tenderness")
	const src = "Cochran & Cox 1957, section 11.51, intra-block analysis"
	f := testNamed(t, m, RoleHeadline, "storage", "F")
	within(t, "F", f.F, 13.45, 4e-4, src+", four digits")
	within(t, "df2", f.DF2, 10, 0, src)
	within(t, "p", f.P, 0.00036, 2e-2, src+", two digits")
	within(t, "adjusted SS", *f.SumSq, 520.17, 1e-5, src+", two decimals")
	within(t, "error SS", *f.ErrorSumSq, 77.33, 5e-5, src+", two decimals")
	for i, want := range []float64{14.63, 23.80, 26.97, 28.30, 30.80, 29.30} {
		within(t, "adjusted mean "+m.Levels[i].Arm, m.Levels[i].Mean, want, 3e-4, src+", two decimals")
	}
	within(t, "SED", m.Differences[0].SE, 2.271, 2e-4, src+", three decimals")
}

func TestWine(t *testing.T) {
	t.Parallel()
	r := Analyse(wine(t), Options{Quick: true})
	m := r.Measures.Named("bitterness")
	const src = "Randall 1989, analysed in R 4.2.2"
	for i, want := range []float64{31.06, 40.56, 50.00, 67.28} {
		within(t, "mean "+m.Levels[i].Arm, m.Levels[i].Mean, want, 2e-4, src+", two decimals")
	}
	unit := testNamed(t, m, RoleHeadline, "product", "F")
	within(t, "F on bottles", unit.F, 67.9, 1e-3, src+", three digits")
	within(t, "df2 on bottles", unit.DF2, 4, 0, src)
	panel := testNamed(t, m, RoleL1, "product", "F")
	within(t, "F on judge × product", panel.F, 25.14, 3e-4, src+", four digits")
	within(t, "df2 on judge × product", panel.DF2, 24, 0, src)
	rank := testNamed(t, m, RoleL1, "product", "chi2")
	within(t, "Friedman", rank.Value, 23.53, 3e-4, src+", four digits")
	// Judged by judge × product on 24 degrees of freedom: Fisher's least
	// significant difference 8.99 tells all four apart, Tukey's 12.0 gives a ab b c.
	for i, want := range []string{"a", "ab", "b", "c"} {
		if got := m.PanelMeans[i].Letters; got != want {
			t.Errorf("letters of %s by Tukey: %q, want %q (%s)", m.PanelMeans[i].Arm, got, want, src)
		}
	}
	for i, want := range []string{"a", "b", "c", "d"} {
		if got := m.PanelMeans[i].LSD; got != want {
			t.Errorf("letters of %s by LSD: %q, want %q (%s)", m.PanelMeans[i].Arm, got, want, src)
		}
	}
	q, err := tQuantile(0.95, 24)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "LSD", num(q*m.PanelDifferences[0].SE.Or(0)), 8.99, 6e-4, src+", three digits")
	d := m.PanelDifferences[0]
	within(t, "HSD", num((d.High.Or(0)-d.Low.Or(0))/2), 12.0, 5e-3, src+", three digits")
	// The two answers that the wrong error term gives must appear nowhere.
	for _, x := range m.Tests {
		if v, ok := x.F.Get(); ok && (math.Abs(v-30.77) < 0.05 || math.Abs(v-19.42) < 0.05) {
			t.Errorf("%s %s: F = %v is a test against the wrong error", x.Role, x.Term, v)
		}
	}
}
