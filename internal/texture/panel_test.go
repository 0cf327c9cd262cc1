package texture

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"tamis/internal/stats/agree"
	"tamis/internal/trial"
)

// panelPlan is a generated panel: every assessor tastes every cook once.
type panelPlan struct {
	setPoints, cooks, people int
	span                     float64 // of the true means, over the set points
	noise, taste, cookSD     float64 // SD of a score, of assessor × set point, of a cook
	reversed, flat           int     // assessor, -1 for none
	seed                     uint64
}

func (p panelPlan) trial(t testing.TB) *trial.Trial {
	rng := rand.New(rand.NewPCG(p.seed, 7))
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: -100, High: 100}}}}
	var panel trial.Panel
	taste := make([][]float64, p.people)
	bias := make([]float64, p.people)
	for a := range taste {
		bias[a] = rng.NormFloat64()
		for s := 0; s < p.setPoints; s++ {
			taste[a] = append(taste[a], p.taste*rng.NormFloat64())
		}
	}
	for s := 0; s < p.setPoints; s++ {
		truth := p.span * (float64(s)/float64(p.setPoints-1) - 0.5)
		for c := 0; c < p.cooks; c++ {
			id := fmt.Sprintf("S%dC%d", s, c)
			tr.Cooks = append(tr.Cooks, trial.Cook{ID: id, SetPoint: celsius(t, float64(50+2*s))})
			m := truth + p.cookSD*rng.NormFloat64()
			for a := 0; a < p.people; a++ {
				slope := 1.0
				switch a {
				case p.reversed:
					slope = -1
				case p.flat:
					slope = 0
				}
				v := bias[a] + slope*m + taste[a][s] + p.noise*rng.NormFloat64()
				panel.Scores = append(panel.Scores, trial.Score{Assessor: fmt.Sprintf("person %d", a), Cook: id,
					Values: trial.ReadingOf("firmness", trial.Reading{V: v})})
			}
		}
	}
	tr.Panel = trial.Some(panel)
	return tr
}

// scores are those of the plan, without a trial around them.
func (p panelPlan) scores() []agree.Score {
	rng := rand.New(rand.NewPCG(p.seed, 7))
	var out []agree.Score
	slope := make([]float64, p.people)
	for a := range slope {
		// Assessors differ in how much of the scale they use.
		slope[a] = 0.7 + 0.6*rng.Float64()
		switch a {
		case p.reversed:
			slope[a] = -1
		case p.flat:
			slope[a] = 0
		}
	}
	for s := 0; s < p.setPoints; s++ {
		taste := make([]float64, p.people)
		for a := range taste {
			taste[a] = p.taste * rng.NormFloat64()
		}
		for c := 0; c < p.cooks; c++ {
			m := p.span*(float64(s)/float64(p.setPoints-1)-0.5) + p.cookSD*rng.NormFloat64()
			for a := 0; a < p.people; a++ {
				out = append(out, agree.Score{Product: s, Assessor: a, Repeat: c, Value: slope[a]*m + taste[a] + p.noise*rng.NormFloat64()})
			}
		}
	}
	return out
}

// verdicts lists who gets which verdict.
func (p panelPlan) verdicts() (reversed, flat []int) {
	v := judge(p.scores(), p.people)
	for a := 0; a < p.people; a++ {
		switch v[a] {
		case verdictReversed:
			reversed = append(reversed, a)
		case verdictFlat:
			flat = append(flat, a)
		}
	}
	return reversed, flat
}

// panelOf runs the panel part alone.
func panelOf(t testing.TB, tr *trial.Trial) *Panel {
	t.Helper()
	a := &analysis{t: tr, opt: Options{}.withDefaults(), out: &Result{}}
	tb := newTable(tr, tr.Measures[0])
	out := &Measure{Name: tr.Measures[0].Name}
	a.panel(tb, out)
	return out.Panel
}

func names(codes []int) (out []string) {
	for _, c := range codes {
		out = append(out, fmt.Sprint(c))
	}
	return out
}

func moderate(seed uint64) panelPlan {
	return panelPlan{setPoints: 5, cooks: 3, people: 8, span: 4, noise: 1, taste: 0.3, cookSD: 0.3, reversed: -1, flat: -1, seed: seed}
}

func TestReversedAndIndifferentAreFound(t *testing.T) {
	t.Parallel()
	p := moderate(4)
	p.reversed, p.flat = 2, 5
	tr := p.trial(t)
	r := Analyse(tr, Options{Draws: 200})
	got := r.Measures[0].Panel
	if !reflect.DeepEqual(got.OutOfStep, []string{"P3"}) || !reflect.DeepEqual(got.Flat, []string{"P6"}) {
		t.Errorf("out of step %v, indifferent %v; generated: P3 reversed, P6 indifferent", got.OutOfStep, got.Flat)
	}
	if r.Names["P3"] != "person 2" {
		t.Errorf("P3 is %q", r.Names["P3"])
	}
	if !got.Complete || len(got.ICC) != 6 || !got.Concord.Known() {
		t.Errorf("complete %v, %d ICC forms, W %v", got.Complete, len(got.ICC), got.Concord)
	}
	for _, l := range got.Assessors {
		slope, r := l.Slope.Or(math.NaN()), l.Agreement.Or(math.NaN())
		switch l.Verdict {
		case verdictReversed:
			if !(slope < 0 && r < 0) {
				t.Errorf("%s reversed with slope %v and r %v", l.Assessor, slope, r)
			}
		case verdictInStep:
			if !(slope > 0 && r > 0) {
				t.Errorf("%s in step with slope %v and r %v", l.Assessor, slope, r)
			}
		}
	}
	// Against the same panel without the two: agreement falls, assessors differ in
	// what they find, and the products are told apart with less certainty.
	p.reversed, p.flat = -1, -1
	good := Analyse(p.trial(t), Options{Draws: 200}).Measures[0].Panel
	if !(got.Concord.Or(1) < good.Concord.Or(0)) || !(got.Product.F.Or(1e9) < good.Product.F.Or(0)) || !(got.ICC[1].R.Or(1) < good.ICC[1].R.Or(0)) {
		t.Errorf("W %v and %v, product F %v and %v", got.Concord, good.Concord, got.Product.F, good.Product.F)
	}
	if len(good.OutOfStep)+len(good.Flat) != 0 {
		t.Errorf("accused without reason: %v %v", good.OutOfStep, good.Flat)
	}
}

// Of panels of 8 in which nobody is out of step fewer than 5 % accuse anybody,
// with moderate differences, with tastes of their own, and with none at all.
func TestVerdictsDoNotAccuseByChance(t *testing.T) {
	t.Parallel()
	panels := 1000
	if testing.Short() {
		panels = 200
	}
	plans := map[string]func(*panelPlan){
		"moderate":         func(*panelPlan) {},
		"small":            func(p *panelPlan) { p.span = 1 },
		"none":             func(p *panelPlan) { p.span, p.cookSD = 0, 0 },
		"tastes differ":    func(p *panelPlan) { p.taste = 0.8 },
		"one cook":         func(p *panelPlan) { p.cooks = 1 },
		"three set points": func(p *panelPlan) { p.setPoints = 3 },
	}
	for name, change := range plans {
		accused, asReversed := 0, 0
		for i := 0; i < panels; i++ {
			p := moderate(uint64(i + 1))
			change(&p)
			if r, f := p.verdicts(); len(r)+len(f) > 0 {
				accused++
				if len(r) > 0 {
					asReversed++
				}
			}
		}
		// Three standard errors of a rate of 5 % are allowed on top.
		limit := 0.05*float64(panels) + 3*math.Sqrt(0.05*0.95*float64(panels))
		if float64(accused) > limit {
			t.Errorf("%s: %d of %d panels accuse somebody", name, accused, panels)
		}
		t.Logf("%s: %d of %d, %d as reversed", name, accused, panels, asReversed)
	}
}

func TestVerdictsFindThem(t *testing.T) {
	t.Parallel()
	panels := 400
	if testing.Short() {
		panels = 100
	}
	for _, c := range []struct {
		cooks          int
		reversed, flat float64 // share to be found, of 15 and of 30 scores a person
	}{{3, 0.75, 0.55}, {6, 0.95, 0.85}} {
		reversed, flat := 0, 0
		for i := 0; i < panels; i++ {
			p := moderate(uint64(i + 1))
			p.cooks, p.reversed, p.flat = c.cooks, 2, 5
			r, f := p.verdicts()
			if contains(names(r), "2") {
				reversed++
			}
			if contains(names(f), "5") {
				flat++
			}
		}
		t.Logf("%d cooks: reversed found in %d, indifferent in %d of %d panels", c.cooks, reversed, flat, panels)
		if float64(reversed) < c.reversed*float64(panels) || float64(flat) < c.flat*float64(panels) {
			t.Errorf("%d cooks: reversed found in %d, indifferent in %d of %d panels", c.cooks, reversed, flat, panels)
		}
	}
}

// Wine: the panel's product F is the one with assessors random.
func TestPanelOfWine(t *testing.T) {
	t.Parallel()
	m := Analyse(wine(t), Options{Draws: 200}).Measures.Named("bitterness")
	const src = "Randall 1989, analysed in R 4.2.2"
	within(t, "product F", m.Panel.Product.F, 25.14, 3e-4, src+", four digits")
	within(t, "product × judge F", m.Panel.Crossover.F, 1.22, 4e-3, src+", three digits")
	within(t, "p", m.Panel.Crossover.P, 0.286, 2e-3, src+", three digits")
	within(t, "Kendall's W", m.Panel.Concord, 23.53/(9*3), 3e-4, "W = χ²/(m(k-1)) with Friedman 23.53, "+src)
}

func twoScorers(first, second []float64) *trial.Trial {
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "protein", Kind: trial.ScaleScore, Scale: trial.Range{Low: 1, High: 3}}}}
	var p trial.Panel
	for i := range first {
		id := fmt.Sprint("C", i)
		tr.Cooks = append(tr.Cooks, trial.Cook{ID: id})
		for k, v := range []float64{first[i], second[i]} {
			p.Scores = append(p.Scores, trial.Score{Assessor: []string{"x", "y"}[k], Cook: id,
				Values: trial.ReadingOf("protein", trial.Reading{V: v})})
		}
	}
	tr.Panel = trial.Some(p)
	return tr
}

// A table of counts by hand: linear weights 1, ½, 0.
func TestKappaOfTwoScorers(t *testing.T) {
	t.Parallel()
	first := []float64{1, 1, 1, 1, 2, 2, 2, 3, 3, 3}
	second := []float64{1, 1, 1, 2, 2, 2, 3, 3, 3, 1}
	p := panelOf(t, twoScorers(first, second))
	if len(p.Kappa) != 2 || p.Kappa[0].Weighted != "linear" {
		t.Fatalf("%+v", p.Kappa)
	}
	// Observed: 7 agree, 2 miss by one, 1 by two: 0.7 + 0.1 = 0.8. Shares .4 .3 .3
	// for both: expected = .16+.09+.09 + ½·(2·.12 + 2·.09) = .34 + .21 = .55.
	within(t, "weighted kappa", p.Kappa[0].K, (0.8-0.55)/(1-0.55), 1e-12, "by hand, Cohen 1968")
}

func TestPeopleAreListedByNumber(t *testing.T) {
	t.Parallel()
	p := &Panel{Assessors: []AssessorLine{{Assessor: "P10"}, {Assessor: "P2"}, {Assessor: "P1"}}, OutOfStep: []string{"P11", "P3"}}
	p.inOrder()
	for i, want := range []string{"P1", "P2", "P10"} {
		if p.Assessors[i].Assessor != want {
			t.Errorf("line %d is %s, want %s", i, p.Assessors[i].Assessor, want)
		}
	}
	if p.OutOfStep[0] != "P3" {
		t.Errorf("out of step: %v", p.OutOfStep)
	}
}
