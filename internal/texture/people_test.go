package texture

import (
	"fmt"
	"math"
	"testing"

	"tamis/internal/trial"
)

// sheet builds cooks and one answer of each person on each, rows people.
func sheet(t testing.TB, m trial.Measure, setPoints []float64, rows [][]float64) *trial.Trial {
	tr := &trial.Trial{Measures: []trial.Measure{m}}
	var p trial.Panel
	for c, sp := range setPoints {
		tr.Cooks = append(tr.Cooks, trial.Cook{ID: fmt.Sprint("C", c), SetPoint: celsius(t, sp)})
	}
	for a, r := range rows {
		for c, v := range r {
			p.Scores = append(p.Scores, trial.Score{Assessor: fmt.Sprint("person ", a), Cook: fmt.Sprint("C", c),
				Values: trial.ReadingOf(m.Name, trial.Reading{V: v})})
		}
	}
	tr.Panel = trial.Some(p)
	return tr
}

// 8 of 10 changed, 7 from no to yes.
func TestYesNoOfTwoLevels(t *testing.T) {
	t.Parallel()
	rows := [][]float64{{1, 1}, {0, 0}, {1, 0}}
	for i := 0; i < 7; i++ {
		rows = append(rows, []float64{0, 1})
	}
	m := Analyse(sheet(t, trial.Measure{Name: "again", Kind: trial.YesNo}, []float64{50, 56}, rows), Options{Draws: 50}).Measures[0]
	mc := testNamed(t, m, RoleL1, "set_point", "changed")
	within(t, "McNemar", mc.P, 2*(1.0+8)/256, 1e-12, "binomial, 1 of 8 at one half, two-sided, by hand")
	q := testNamed(t, m, RoleL1, "set_point", "chi2")
	within(t, "Cochran's Q", q.Value, 36.0/8, 1e-12, "(7-1)²/(7+1), McNemar's χ², by hand")
	if len(m.Warnings) == 0 {
		t.Error("no word on shares")
	}
}

// The worked example of Page's test in Page 1963 has no table, so sums: three
// people who agree on 1 2 3.
func TestPageAlongSetPoints(t *testing.T) {
	t.Parallel()
	m := Analyse(sheet(t, trial.Measure{Name: "order", Kind: trial.Rank, Scale: trial.Range{Low: 1, High: 3}}, []float64{50, 54, 58},
		[][]float64{{1, 2, 3}, {1, 2, 3}, {1, 2, 3}}), Options{Draws: 50}).Measures[0]
	l := testNamed(t, m, RoleL1, "set_point", "L")
	within(t, "L", l.Value, 3*(1+4+9), 1e-12, "Σ j·R_j, by hand")
	within(t, "p", l.P, 2.0/216, 1e-12, "one of 6³ arrangements reaches it, two-sided, by hand")
}

// 40 people: too soft 12 (5.5), right 20 (7.2), too firm 8 (6.4).
func TestPenalty(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Measures: []trial.Measure{
		{Name: "flake", Kind: trial.JustRight, Scale: trial.Range{Low: 1, High: 5}},
		{Name: "pleasure", Kind: trial.ScaleScore, Scale: trial.Range{Low: 1, High: 9}, Role: trial.Some("liking")}},
		Cooks: []trial.Cook{{ID: "C"}}}
	var p trial.Panel
	for i := 0; i < 40; i++ {
		jar, like := 2.0, 5.5
		switch {
		case i >= 32:
			jar, like = 4, 6.4
		case i >= 12:
			jar, like = 3, 7.2
		}
		like += 0.5 * float64(1-2*(i%2)) // spread about the mean, which stays
		p.Scores = append(p.Scores, trial.Score{Assessor: fmt.Sprint(i), Cook: "C",
			Values: trial.Readings{{Measure: "flake", Reading: trial.Reading{V: jar}}, {Measure: "pleasure", Reading: trial.Reading{V: like}}}})
	}
	tr.Panel = trial.Some(p)
	m := Analyse(tr, Options{}).Measures.Named("flake")
	if len(m.Penalty) != 1 {
		t.Fatalf("%+v %+v", m.Penalty, m.Cannot)
	}
	got := m.Penalty[0]
	const src = "worked by hand"
	within(t, "share too soft", got.TooLow.Share, 0.3, 1e-12, src)
	within(t, "drop", got.TooLow.Drop, 1.7, 1e-9, src)
	within(t, "weighted drop", got.TooLow.Weighted, 0.51, 1e-9, src)
	within(t, "drop", got.TooHigh.Drop, 0.8, 1e-9, src)
	within(t, "weighted drop", got.TooHigh.Weighted, 0.16, 1e-9, src)
	if !got.TooLow.Act || !got.TooHigh.Act || got.Right.Act || !got.TooLow.Low.Known() {
		t.Errorf("act %v %v %v, interval %v", got.TooLow.Act, got.TooHigh.Act, got.Right.Act, got.TooLow.Low)
	}
}

// A place effect that was put in is found; without positions it is a typed absence.
func TestServing(t *testing.T) {
	t.Parallel()
	k := kitchen{setPoints: []float64{50, 54, 58, 62}, cooks: 2, people: 6, value: usual}
	tr := k.trial(t)
	p := tr.Panel.V
	for i := range p.Scores {
		s := &p.Scores[i]
		a := i % 6 // a rotation for each person, so that place and sample are apart
		fmt.Sscanf(s.Assessor, "person %d", &a)
		place := (s.Position.V-1+3*a)%16 + 1
		s.Position = trial.Some(place)
		v := s.Values.Of("firmness").V
		if place == 1 {
			v += 6
		}
		s.Values.Set("firmness", trial.Reading{V: v})
	}
	tr.Panel = trial.Some(p)
	m := Analyse(tr, Options{Draws: 50}).Measures.Named("firmness")
	if len(m.Place) != 2 || m.Place[0].Kind != "place" {
		t.Fatalf("%+v", m.Place)
	}
	if got := m.Place[0].Test.P.Or(1); got > 1e-3 {
		t.Errorf("p of the place = %v with 6 points added at the first", got)
	}
	first := m.Place[0].Arms[0].Mean.Or(0)
	for _, a := range m.Place[0].Arms[1:] {
		if a.Mean.Or(math.Inf(1)) >= first {
			t.Errorf("%s has %v, the first %v", a.Arm, a.Mean, first)
		}
	}
	for i := range p.Scores {
		p.Scores[i].Position = trial.Opt[int]{}
	}
	tr.Panel = trial.Some(p)
	for _, e := range Analyse(tr, Options{Draws: 50}).Measures.Named("firmness").Place {
		if e.Absent == "" || e.Test.P.Known() {
			t.Errorf("%s: %+v", e.Kind, e)
		}
	}
}

// The brine that takes up water looks better on the raw mass and worse on the
// brined one.
func TestBothDenominators(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "cook_loss", Kind: trial.Amount, Unit: trial.Some("%"), From: trial.Some("weights")}}}
	for i := 0; i < 4; i++ {
		c := trial.Cook{ID: fmt.Sprint(i)}
		c.Pieces = []trial.Piece{
			{ID: "p", Before: grams(t, 100), After: grams(t, 85+float64(i)), Treatment: trial.Treatment{Brine: trial.Some(trial.Brine{Kind: trial.NoBrine})}},
			{ID: "b", Before: grams(t, 100), Brined: grams(t, 110), After: grams(t, 88+float64(i)), Treatment: trial.Treatment{Brine: trial.Some(trial.Brine{Kind: trial.WetBrine})}},
		}
		tr.Cooks = append(tr.Cooks, c)
	}
	r := Analyse(tr, Options{Draws: 50})
	raw, brined := r.Measures.Named("cook_loss"), r.Measures.Named("cook_loss_on_brined")
	if raw == nil || brined == nil || len(raw.Treatments) != 1 || len(brined.Treatments) != 1 {
		t.Fatalf("%d measures", len(r.Measures))
	}
	// Mean masses after: 86.5 and 89.5 g.
	within(t, "on the raw mass", raw.Treatments[0].Average.Estimate, 13.5-10.5, 1e-9, "by hand, plain minus brined")
	within(t, "on the brined mass", brined.Treatments[0].Average.Estimate, 13.5-100*20.5/110, 1e-9, "by hand")
	found := false
	for _, w := range raw.Warnings {
		found = found || w.ID == "denominator-changes-ranking"
	}
	if !found {
		t.Errorf("no word that the ranking changes: %+v", raw.Warnings)
	}
}

// Twelve people of whom half like it cold and half hot are two groups; twelve
// who like the same are not.
func TestSegments(t *testing.T) {
	t.Parallel()
	m := trial.Measure{Name: "liking", Kind: trial.ScaleScore, Scale: trial.Range{Low: 1, High: 9}}
	cold, hot := []float64{8, 7, 5, 3, 2}, []float64{2, 3, 5, 7, 8}
	table := func(split bool) (rows [][]float64) {
		for i := 0; i < 12; i++ {
			base := cold
			if split && i >= 6 {
				base = hot
			}
			row := make([]float64, 5)
			for j, v := range base {
				row[j] = v + float64((i*3+j*5)%4)/4 - 0.5
			}
			rows = append(rows, row)
		}
		return rows
	}
	sp := []float64{50, 52, 54, 56, 58}
	s := panelOf(t, sheet(t, m, sp, table(true))).Segments
	if s == nil || !s.Split || len(s.Groups) != 2 || len(s.Groups[0]) != 6 || s.P.Or(1) > 0.05 {
		t.Fatalf("%+v", s)
	}
	if s.Groups[0][0] != "P1" || s.Groups[1][0] != "P7" {
		t.Errorf("groups %v", s.Groups)
	}
	if s.Shares[0].Share != 0.5 || s.Shares[4].Share != 0.5 {
		t.Errorf("shares %v, half like each end best", s.Shares)
	}
	if s = panelOf(t, sheet(t, m, sp, table(false))).Segments; s == nil || s.Split {
		t.Errorf("one crowd was split: %+v", s)
	}
}

// A statistic that is no F never stands under that name.
func TestStatisticsUnderTheirOwnName(t *testing.T) {
	t.Parallel()
	for _, m := range Analyse(degenerate(4, 3, func(i, s int) float64 { return float64(i*i) + float64((i*7+s*5)%4) }), Options{Quick: true}).Measures {
		for _, x := range m.Tests {
			if x.Value.Known() != x.P.Known() {
				t.Errorf("%s %s: value %v, p %v", x.Term, x.Role, x.Value, x.P)
			}
			if x.F.Known() != (x.Stat == "F" && x.Value.Known()) {
				t.Errorf("%s: the statistic is %s, F is %v", x.Term, x.Stat, x.F)
			}
		}
	}
	x := Test{Stat: "chi2"}
	x.found(num(3), num(2), absent("none"), num(0.2))
	if x.F.Known() || x.Value.Or(0) != 3 {
		t.Errorf("F %v, value %v", x.F, x.Value)
	}
}
