package linear

import (
	"fmt"
	"math"
	"testing"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// TestBeef: storage days of beef roasts in incomplete blocks of two. The book
// prints the adjusted means with two decimals, hence the tolerances.
func TestBeef(t *testing.T) {
	t.Parallel()
	const source = "Cochran & Cox 1957, section 11.51"
	d := readTable(t, "beef.csv")
	f, y := d.frame("block", "days"), d.numbers("score")
	days, block := frame.T("days"), frame.T("block")
	fit := mustFit(t, f, y, block, days)
	a, err := fit.Anova(frame.TypeII)
	if err != nil {
		t.Fatal(err)
	}
	row := a.Rows[1]
	reftest.Within(t, "adjusted SS", row.SS, 520.17, 1e-5, source)
	reftest.Within(t, "error SS", a.Residual.SS, 77.33, 5e-5, source)
	reftest.Within(t, "F", row.F, 13.45, 5e-4, source)
	reftest.Within(t, "p", row.P, 0.00036, 2e-2, source)
	if row.DF != 5 || a.Residual.DF != 10 {
		t.Errorf("%d and %d df", row.DF, a.Residual.DF)
	}
	means, err := fit.matrix.Means(frame.MeansSpec{By: []string{"days"}})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{14.63, 23.80, 26.97, 28.30, 30.80, 29.30} {
		e, err := fit.Estimate(means.L.RawRowView(i), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "mean at "+means.Labels[i], e.Value, want, 2.5e-4, source)
	}
	diff := make([]float64, len(fit.Coefficients))
	for j := range diff {
		diff[j] = means.L.At(0, j) - means.L.At(3, j)
	}
	e, err := fit.Estimate(diff, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "SED", e.SE, 2.271, 2.5e-4, source)
	alone := mustFit(t, f, y, days)
	b, err := alone.Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "F without blocks", b.Rows[0].F, 8.63, 1e-3, source)
	// Days lie in both strata: the blocks carry part of the information.
	s, err := Strata(f, frame.Model{Terms: []frame.Term{days}}, []frame.Term{block}, y)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Strata) != 2 || len(s.Warnings) != 1 || s.Warnings[0].ID != "several-strata" {
		t.Fatalf("strata %+v", s)
	}
	within := s.Strata[1]
	reftest.Within(t, "within blocks", within.Rows[0].SS, row.SS, 1e-12, "the adjusted sum of squares")
	reftest.Within(t, "F within blocks", within.Rows[0].F, row.F, 1e-12, "the adjusted F")
	if between := s.Strata[0]; between.DF != 14 || between.Rows[0].DF != 5 || between.Residual.DF != 9 {
		t.Errorf("between blocks: %+v", between)
	}
}

// TestWine: 9 judges × 4 products × 2 bottles. The right strata, and the two
// wrong answers for contrast.
func TestWine(t *testing.T) {
	t.Parallel()
	const source = "Randall 1989, hand computation printed with two decimals"
	d := readTable(t, "wine.csv")
	y := d.numbers("response")
	product := make([]string, len(y))
	for i := range product {
		product[i] = d.cols["temp"][i] + " " + d.cols["contact"][i]
	}
	c, err := frame.Factor("product", product)
	if err != nil {
		t.Fatal(err)
	}
	f, err := d.frame("judge", "bottle").With(c)
	if err != nil {
		t.Fatal(err)
	}
	judge, prod, both := frame.T("judge"), frame.T("product"), frame.T("judge", "product")
	fixed := mustFit(t, f, y, judge, prod, both)
	a, err := fixed.Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range []float64{5909.94, 12883.44, 4100.06} {
		reftest.Within(t, a.Rows[i].Term, a.Rows[i].SS, w, 2e-6, source)
	}
	reftest.Within(t, "error", a.Residual.SS, 5025, 1e-12, source)
	reftest.Within(t, "interaction F", a.Rows[2].F, 1.22, 5e-3, source)
	reftest.Within(t, "interaction p", a.Rows[2].P, 0.286, 2e-3, source)
	reftest.Within(t, "product, judges fixed", a.Rows[1].F, 30.77, 5e-4, source)

	s, err := Strata(f, frame.Model{Terms: []frame.Term{prod}}, []frame.Term{judge, both}, y)
	if err != nil {
		t.Fatal(err)
	}
	row := s.Strata[1].Rows[0]
	reftest.Within(t, "product against judge:product", row.F, 25.14, 2e-4, source)
	reftest.Within(t, "its p", row.P, 1.4e-7, 5e-2, source)
	alone, err := mustFit(t, f, y, prod).Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "judges ignored", alone.Rows[0].F, 19.42, 5e-4, source)

	bottle, err := Units(f, y, UnitModel{Unit: []string{"bottle"}, Terms: []frame.Term{prod}, Within: []frame.Term{judge}})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "bottle as the unit", bottle.Anova.Rows[0].F, 67.9, 1e-3, source)
	reftest.Within(t, "its p", bottle.Anova.Rows[0].P, 0.0007, 0.1, source)
	if bottle.Anova.Residual.DF != 4 || len(bottle.Means) != 8 {
		t.Errorf("%d bottles, %d df", len(bottle.Means), bottle.Anova.Residual.DF)
	}
}

// TestUnitsAdjust: an assessor who scores 10 higher and misses a unit must not
// shift that unit, and the adjusted means equal those of the two-way model.
func TestUnitsAdjust(t *testing.T) {
	t.Parallel()
	unit := []string{"1", "1", "2", "2", "3", "3", "4"}
	arm := []string{"a", "a", "a", "a", "b", "b", "b"}
	who := []string{"x", "y", "x", "y", "x", "y", "y"} // x missed unit 4
	level := map[string]float64{"1": 5, "2": 6, "3": 7, "4": 9}
	var y []float64
	for i := range unit {
		v := level[unit[i]]
		if who[i] == "x" {
			v += 10
		}
		y = append(y, v)
	}
	var cols []frame.Column
	for name, v := range map[string][]string{"cook": unit, "arm": arm, "assessor": who} {
		c, err := frame.Factor(name, v)
		if err != nil {
			t.Fatal(err)
		}
		cols = append(cols, c)
	}
	f, err := frame.New(cols...)
	if err != nil {
		t.Fatal(err)
	}
	m := UnitModel{Unit: []string{"cook"}, Terms: []frame.Term{frame.T("arm")}, Within: []frame.Term{frame.T("assessor")}}
	got, err := Units(f, y, m)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range got.Labels {
		reftest.Within(t, "unit "+l, got.Means[i], level[l]+5, 1e-13, "level plus the average assessor, by construction")
	}
	if fmt.Sprint(got.Counts) != "[2 2 2 1]" {
		t.Errorf("counts %v", got.Counts)
	}
	// Two units an arm: F is the square of Student's two-sample t on 5, 6 | 7, 9.
	tt := (8 - 5.5) / math.Sqrt((0.5+2)/2)
	reftest.Within(t, "F", got.Anova.Rows[0].F, tt*tt, 1e-12, "by hand")
	m.Within = nil
	plain, err := Units(f, y, m)
	if err != nil {
		t.Fatal(err)
	}
	if plain.Means[3] != 9 || plain.Means[2] != 12 {
		t.Errorf("plain means %v", plain.Means)
	}
	m.Weights = CountUnits
	counted, err := Units(f, y, m)
	if err != nil {
		t.Fatal(err)
	}
	// The mean of arm b with weights 2 and 1 is (2·12 + 9)/3 = 11.
	reftest.Within(t, "weighted difference", counted.Fit.Coefficients[1].Estimate, 11-10.5, 1e-12, "by hand")
}
