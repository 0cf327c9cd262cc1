package size

import (
	"errors"
	"math"
	"strings"
	"testing"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// withinDesigns are designs of a factor of pieces: with and without sources,
// tasters, an odd number of pieces, one set point, one cook; F, t and one-sided.
func withinDesigns() []struct {
	d      Design
	q      Question
	effect float64
} {
	f, t, side := Question{Alpha: 0.05, Power: 0.8}, Question{Alpha: 0.05, Power: 0.8, Pair: true}, Question{Alpha: 0.05, Power: 0.8, Pair: true, OneSided: true}
	type row = struct {
		d      Design
		q      Question
		effect float64
	}
	return []row{
		{Design{SetPoints: 3, Cooks: 3, Sessions: 3, Pieces: 4, Assessors: 3, Within: 2, Sources: 2}, f, 1},
		{Design{SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 2, Within: 2}, side, 1.5},
		{Design{SetPoints: 3, Cooks: 2, Sessions: 2, Pieces: 3, Within: 2}, f, 1.5},
		{Design{SetPoints: 1, Cooks: 4, Sessions: 1, Pieces: 4, Within: 3}, f, 2},
		{Design{SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 6, Assessors: 2, Within: 3, Sources: 2}, t, 1.5},
		{Design{SetPoints: 4, Cooks: 1, Sessions: 1, Pieces: 2, Within: 2}, f, 2}, // the interaction is the error
	}
}

// Degrees of freedom, noncentrality and power of a split plot's sub-plots are
// those that R finds from the model matrices.
func TestWithinReference(t *testing.T) {
	t.Parallel()
	var ref struct {
		Source string
		Rows   []struct {
			SetPoints                int `json:"set_points"`
			Cooks, Pieces, Sources   int
			Levels                   int
			Effect, SD               float64
			DF                       int
			Lambda, Power, Simulated float64
		}
	}
	load(t, "within.json", &ref)
	if len(ref.Rows) < 8 {
		t.Fatalf("%d rows", len(ref.Rows))
	}
	for _, r := range ref.Rows {
		d := Design{SetPoints: r.SetPoints, Cooks: r.Cooks, Sessions: 1, Pieces: r.Pieces, Sources: r.Sources, Within: r.Levels}
		q := Question{Alpha: 0.05, Power: 0.8, Effect: r.Effect}
		if r.Levels > 2 {
			q.Effect, q.Means = 0, []float64{-r.Effect / 2, r.Effect / 2, 0}
		}
		s := Spread{Cooks: 3, Pieces: r.SD}
		p := point(d, s, q)
		if p.DF != r.DF {
			t.Errorf("%+v: %d df, R has %d", d, p.DF, r.DF)
		}
		c, err := layOut(d, s)
		if err != nil {
			t.Fatal(err)
		}
		lambda, err := c.layout.Noncentrality(c.effects(q, r.Effect), c.sd)
		// The means that R was given have noise of 1e-10.
		if err != nil || math.Abs(lambda/r.Lambda-1) > 1e-8 {
			t.Errorf("%+v: lambda %v, R has %v (%v)", d, lambda, r.Lambda, err)
		}
		near(t, "power", p.Power, r.Power, 1e-7, ref.Source)
		if z := (r.Simulated - r.Power) / math.Sqrt(r.Power*(1-r.Power)/20000); math.Abs(z) > 3.5 {
			t.Errorf("%+v: the reference contradicts itself", d)
		}
	}
}

// The analysis of fit finds the difference as often as the closed form says, and
// raises false alarms at the level.
func TestWithinSimulationCoversTheClosedForm(t *testing.T) {
	t.Parallel()
	draws := 1200
	if testing.Short() {
		draws = 300
	}
	s := Spread{Cooks: 2, Pieces: 1, Scores: 0.8, AssessorArm: 0.5, Assessors: 1, Sessions: 2}
	for _, c := range withinDesigns() {
		for _, effect := range []float64{c.effect, 0} {
			got, err := simulate(t.Context(), c.d, s, c.q, effect, 7, draws)
			switch {
			case err != nil:
				t.Fatalf("%+v: %v", c.d, err)
			case got.NoTest > 0:
				t.Errorf("%+v: %d draws had no test", c.d, got.NoTest)
			case !got.Within:
				t.Errorf("%+v, %+v, effect %v: found in %.4f of %d draws, formula %.4f", c.d, c.q, effect, got.Share, got.Draws, got.Formula)
			}
		}
	}
}

// The check above can fail: with the cook as the unit of a brine, or the
// interaction forgotten, the formula lies far outside.
func TestWithinSimulationSeesAWrongUnit(t *testing.T) {
	t.Parallel()
	d := Design{SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 2, Within: 2}
	s, q := Spread{Cooks: 2, Pieces: 1}, Question{Effect: 1.5, Alpha: 0.05, Power: 0.8}
	got, err := simulate(t.Context(), d, s, q, 1.5, 3, 600)
	if err != nil {
		t.Fatal(err)
	}
	wrong := point(Design{SetPoints: 2, Cooks: 6, Sessions: 1, Pieces: 1}, s, q).Power.Or(0)
	if z := math.Abs(wrong-got.Share) / math.Sqrt(wrong*(1-wrong)/600); z < 10 {
		t.Errorf("cooks as units give %v, the simulation %v: only %.1f errors apart", wrong, got.Share, z)
	}
}

// What a trial's own pieces say is what fit tests its brine against.
func TestFromTrialOfPiecesIsWhatFitSees(t *testing.T) {
	t.Parallel()
	for file, measures := range map[string][]string{"trials/pollack/pollack.yaml": {"firmness", "surface_protein", "cook_loss"}} {
		tr := read(t, file)
		r := texture.Analyse(tr, texture.Options{Quick: true, Draws: 100, Measures: measures})
		for _, name := range measures {
			m, _ := tr.MeasureNamed(name)
			tk, err := FromTrial(tr, m, trial.BrineFactor)
			if err != nil {
				t.Fatal(err)
			}
			var test *texture.Test
			for i := range r.Measures.Named(name).Tests {
				if x := &r.Measures.Named(name).Tests[i]; x.Term == trial.BrineFactor && x.Role == texture.RoleHeadline {
					test = x
				}
			}
			mean := test.ErrorSumSq.Or(0) / test.DF2.Or(1)
			if got := math.Pow(tk.Design.PieceMeanSD(tk.Spread), 2); math.Abs(got/mean-1) > 1e-9 {
				t.Errorf("%s %s: a piece's mean has variance %v, fit tests against %v", file, name, got, mean)
			}
			p := point(tk.Design, tk.Spread, Question{Alpha: 0.05, Power: 0.8})
			if df := int(test.DF2.Or(0)); p.DF != df || tk.Words.SpreadDF != df {
				t.Errorf("%s %s: %d df, fit has %d", file, name, p.DF, df)
			}
		}
	}
	tr := read(t, "trials/pollack/pollack.yaml")
	m, _ := tr.MeasureNamed("firmness")
	var p *Problem
	if _, err := FromTrial(tr, m, "salt"); !errors.As(err, &p) || p.What != "factor" || !strings.Contains(p.Hint, "brine") {
		t.Errorf("a factor that nobody varied: %v", err)
	}
	next := read(t, "trials/pollack/next.yaml")
	tk, err := FromTrial(next, next.Measures[0], trial.BrineFactor)
	if err != nil || tk.Design.Within != 2 || tk.Words.From != FromNoPieces || tk.Words.Unit != "SD" {
		t.Errorf("the brine of a design: %+v, %v", tk, err)
	}
	if _, err := FromTrial(next, next.Measures[0], "recipe"); !errors.As(err, &p) {
		t.Errorf("a factor that the design has not: %v", err)
	}
}

func TestWithinProblems(t *testing.T) {
	t.Parallel()
	ok := func() Request {
		return Request{Design: Design{SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 2, Within: 2}, Spread: Spread{Pieces: 1},
			Question: Question{Effect: 1, Alpha: 0.05, Power: 0.8}, Words: Words{Unit: "points", Arm: "set point", From: FromFlags}}
	}
	if _, err := Of(t.Context(), ok()); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		what   string
		change func(*Request)
	}{
		"no levels":            {"within", func(r *Request) { r.Design.Within = 1 }},
		"many levels":          {"within", func(r *Request) { r.Design.Within = 99 }},
		"below none":           {"sources", func(r *Request) { r.Design.Sources = -1 }},
		"too few pieces":       {"pieces", func(r *Request) { r.Design.Within = 3 }},
		"sources do not split": {"pieces", func(r *Request) { r.Design.Pieces, r.Design.Sources = 5, 2 }},
		"part of the pieces":   {"tastes", func(r *Request) { r.Design.Assessors, r.Design.Tastes = 3, 1 }},
		"no spread":            {"spread-pieces", func(r *Request) { r.Spread = Spread{Cooks: 1} }},
		"means":                {"means", func(r *Request) { r.Question.Effect, r.Question.Means = 0, []float64{1, 2, 3} }},
		"search":               {"most-pieces", func(r *Request) { r.Prices, r.Bounds = &Prices{Cook: 1}, Bounds{8, 1, 1} }},
		"sources alone":        {"sources", func(r *Request) { r.Design.Within, r.Design.Sources = 0, 2 }},
	} {
		r := ok()
		c.change(&r)
		var p *Problem
		if _, err := Of(t.Context(), r); !errors.As(err, &p) || p.What != c.what {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// One of each level in one cook at one set point leaves nothing to judge by, and
// that is said with what to do; the search for the cheapest design looks only at
// pieces into which the levels fit, and finds what a search by hand finds.
func TestWithinCannotAndCheapest(t *testing.T) {
	t.Parallel()
	d := Design{SetPoints: 1, Cooks: 1, Sessions: 1, Pieces: 2, Within: 2}
	p := point(d, Spread{Pieces: 1}, Question{Effect: 1, Alpha: 0.05, Power: 0.8})
	if p.Cannot == "" || p.Need == "" || p.DF != 0 {
		t.Errorf("%+v", p)
	}
	r := Request{Design: Design{SetPoints: 2, Cooks: 2, Sessions: 1, Pieces: 3, Assessors: 2, Within: 3}, Spread: Spread{Pieces: 0.5, Scores: 1},
		Question: Question{Effect: 1, Alpha: 0.05, Power: 0.8}, Prices: &Prices{Cook: 10, Piece: 3, Assessor: 20}, Bounds: Bounds{12, 7, 8}}
	got := cheapest(r)
	best := math.Inf(1)
	for pieces := 3; pieces <= 7; pieces++ {
		for people := 1; people <= 8; people++ {
			for cooks := 1; cooks <= 12; cooks++ {
				d := r.Design
				d.Cooks, d.Pieces, d.Assessors = cooks, pieces, people
				if c := r.Prices.cost(d); c < best && point(d, r.Spread, r.Question).Power.Or(0) >= 0.8 {
					best = c
				}
			}
		}
	}
	if cost, ok := got.Cost.Get(); !ok || math.Abs(cost-best) > 1e-9 {
		t.Errorf("cheapest costs %v, by hand %v", got.Cost, best)
	}
	if got.Point.Design.Pieces < 3 {
		t.Errorf("%+v", got.Point.Design)
	}
	if v := floor(r.Design, Spread{Scores: 1}, r.Question); v.Known() {
		t.Errorf("a floor without a spread between pieces: %v", v)
	}
	if a, b := floor(r.Design, r.Spread, r.Question), point(r.Design, r.Spread, r.Question).Visible; !(a.Or(9) < b.Or(0)) {
		t.Errorf("tasters without end see %v, these see %v", a, b)
	}
}

// Where two in four score each piece, four have to be asked and paid.
func TestPeopleWhoScoreSomePieces(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		assessors int
		panel     float64
		want      int
	}{{4, 0, 4}, {4, 1, 4}, {4, 2, 8}, {3, 1.5, 5}, {1, 8.0 / 3, 3}, {0, 2, 0}} {
		d := Design{SetPoints: 2, Cooks: 3, Pieces: 4, Assessors: c.assessors, Panel: c.panel}
		if got := d.People(); got != c.want {
			t.Errorf("%d who score a piece, %v people for each: %d, want %d", c.assessors, c.panel, got, c.want)
		}
		if got, want := (Prices{Cook: 20, Piece: 5, Assessor: 10}).cost(d), float64(6*20+24*5+10*c.want); got != want {
			t.Errorf("%+v costs %v, want %v", d, got, want)
		}
	}
	r := Request{Design: Design{SetPoints: 2, Cooks: 2, Sessions: 1, Pieces: 4, Assessors: 2, Within: 2, Panel: 2}, Spread: Spread{Pieces: 0.5, Scores: 1},
		Question: Question{Effect: 1, Alpha: 0.05, Power: 0.8}, Prices: &Prices{Cook: 10, Piece: 3, Assessor: 0}, Bounds: Bounds{12, 8, 7}}
	if got := cheapest(r); got.Point.Design.People() > 7 {
		t.Errorf("%d people, with 7 allowed: %+v", got.Point.Design.People(), got.Point.Design)
	}
}
