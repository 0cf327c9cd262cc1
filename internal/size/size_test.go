package size

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tamis/internal/quantity"
	"tamis/internal/stats/discrim"
	"tamis/internal/stats/power"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

func TestLayouts(t *testing.T) {
	t.Parallel()
	for k := 2; k <= 7; k++ {
		for cooks := 1; cooks <= 6; cooks++ {
			for sessions := 1; sessions <= k*cooks; sessions++ {
				d := Design{SetPoints: k, Cooks: cooks, Sessions: sessions, Pieces: 1}
				counts := d.counts()
				perSession := make([]int, sessions)
				for arm, row := range counts {
					n := 0
					for j, c := range row {
						n += c
						perSession[j] += c
						if cooks%sessions == 0 && c != cooks/sessions {
							t.Fatalf("%+v: %d cooks of set point %d in session %d: not complete", d, c, arm, j)
						}
					}
					if n != cooks {
						t.Fatalf("%+v: %d cooks of set point %d", d, n, arm)
					}
				}
				low, high := perSession[0], perSession[0]
				for _, n := range perSession {
					low, high = min(low, n), max(high, n)
				}
				if high-low > 1 {
					t.Fatalf("%+v: sessions of %d to %d cooks", d, low, high)
				}
				if !reflect.DeepEqual(counts, d.counts()) {
					t.Fatalf("%+v: two layouts of one design", d)
				}
				// With at least arms + sessions − 1 cooks and two of each set point a
				// connected layout exists; of sessions of two or more it is found.
				if cooks >= 3 && low >= 2 {
					if _, err := power.New(counts); err != nil {
						t.Errorf("%+v: %v", d, err)
					}
				}
			}
		}
	}
}

func TestBelow(t *testing.T) {
	t.Parallel()
	s := Spread{Pieces: 3, Scores: 4, AssessorArm: 100, Assessors: 100, Sessions: 100}
	for _, c := range []struct {
		d    Design
		want float64 // by hand: 9·Σn_p²/n² + 16/n
	}{
		{Design{Pieces: 1}, 9 + 16},
		{Design{Pieces: 4}, 9./4 + 16./4},
		{Design{Pieces: 2, Assessors: 8}, 9./2 + 16./16},
		{Design{Pieces: 4, Assessors: 8, Tastes: 2}, 9./4 + 16./16},
		{Design{Pieces: 4, Assessors: 2, Tastes: 1}, 9./2 + 16./2},          // two of the four pieces are tasted
		{Design{Pieces: 2, Assessors: 3, Tastes: 1}, 9.*(4+1)/9 + 16./3},    // one piece twice, the other once
		{Design{Pieces: 3, Assessors: 5, Tastes: 1}, 9.*(4+4+1)/25 + 16./5}, // 2, 2 and 1
	} {
		if got := c.d.Below(s); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%+v: %v, by hand %v", c.d, got, c.want)
		}
	}
}

func base() Request {
	return Request{Design: Design{SetPoints: 3, Cooks: 2, Sessions: 1, Pieces: 2, Assessors: 4},
		Spread:   Spread{Cooks: 0.5, Pieces: 0.4, Scores: 1},
		Question: Question{Effect: 1, Alpha: 0.05, Power: 0.8}, Words: Words{Unit: "points", Arm: "set point"}}
}

func of(t *testing.T, r Request) *Result {
	t.Helper()
	out, err := Of(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestEquivariance(t *testing.T) {
	t.Parallel()
	a := of(t, base()).Cooks
	r := base()
	r.Spread = Spread{Cooks: 50, Pieces: 40, Scores: 100}
	r.Question.Effect = 100
	b := of(t, r).Cooks
	for i := range a.Curve {
		if a.Curve[i].Cannot != "" {
			continue
		}
		near(t, "power", b.Curve[i].Power, a.Curve[i].Power.Or(0), 1e-10, "units of the measure do not matter")
		near(t, "visible", b.Curve[i].Visible, 100*a.Curve[i].Visible.Or(0), 1e-10, "units of the measure do not matter")
	}
	if a.Needed.Design != b.Needed.Design {
		t.Errorf("%+v and %+v", a.Needed.Design, b.Needed.Design)
	}
	// The visible effect has the power that was asked for.
	r = base()
	r.Question.Effect = a.Now.Visible.Or(0)
	near(t, "power of the visible effect", of(t, r).Cooks.Now.Power, 0.8, 1e-9, "definition")
}

// More of anything is never worse; pieces and tasters never pass the floor.
func TestMoreIsNeverWorse(t *testing.T) {
	t.Parallel()
	at := func(change func(*Design)) float64 {
		r := base()
		change(&r.Design)
		return of(t, r).Cooks.Now.Visible.Or(math.Inf(1))
	}
	floor := of(t, base()).Cooks.Floor.Or(0)
	for what, change := range map[string]func(*Design, int){
		"cooks": func(d *Design, n int) { d.Cooks = n }, "pieces": func(d *Design, n int) { d.Pieces = n }, "assessors": func(d *Design, n int) { d.Assessors = n },
	} {
		last := math.Inf(1)
		for n := 2; n <= 12; n++ {
			v := at(func(d *Design) { change(d, n) })
			if v >= last {
				t.Errorf("%d %s see %v, one less sees %v", n, what, v, last)
			}
			last = v
		}
		if what != "cooks" && last <= floor {
			t.Errorf("%s pass the floor: %v below %v", what, last, floor)
		}
	}
	if many := at(func(d *Design) { d.Pieces, d.Assessors = 100, 500 }); many < floor || many > floor*1.01 {
		t.Errorf("100 pieces and 500 tasters see %v, the floor is %v", many, floor)
	}
}

// The search equals one that looks at everything.
func TestCheapestIsTheCheapest(t *testing.T) {
	t.Parallel()
	for _, prices := range []Prices{{12, 3, 20}, {1, 30, 20}, {100, 1, 1}, {0, 0, 1}} {
		r := base()
		r.Prices, r.Bounds = &prices, Bounds{Cooks: 12, Pieces: 4, Assessors: 6}
		got := of(t, r).Cooks.Cheapest
		best := math.Inf(1)
		for cooks := 2; cooks <= 12; cooks++ {
			for pieces := 1; pieces <= 4; pieces++ {
				for a := 1; a <= 6; a++ {
					d := Design{SetPoints: 3, Cooks: cooks, Sessions: 1, Pieces: pieces, Assessors: a}
					if p := point(d, r.Spread, r.Question); p.Power.Or(0) >= 0.8 {
						best = min(best, prices.Cook*3*float64(cooks)+prices.Piece*3*float64(cooks*pieces)+prices.Assessor*float64(a))
					}
				}
			}
		}
		if !got.Found || got.Cost.Or(0) != best || got.Point.Power.Or(0) < 0.8 || got.Looked != 12*4*6 {
			t.Errorf("%+v: %+v, the cheapest of all costs %v", prices, got, best)
		}
	}
	// Cooks for nothing and tasters dear: one taster and many cooks, more than were
	// searched, would be cheaper.
	r := base()
	r.Prices, r.Bounds = &Prices{0, 0, 10}, Bounds{Cooks: 8, Pieces: 4, Assessors: 6}
	if got := of(t, r).Cooks.Cheapest; !got.Found || len(got.Limits) == 0 || got.Limits[0] != "cooks_per_set_point" {
		t.Errorf("the bound of cooks limits it: %+v", got)
	}
	r = base()
	r.Question.Effect = 0.2
	r.Prices, r.Bounds = &Prices{1, 1, 1}, Bounds{Cooks: 4, Pieces: 2, Assessors: 2}
	got := of(t, r).Cooks.Cheapest
	if got.Found || got.Cost.Known() || got.Point.Design.Cooks != 4 || got.Point.Design.Pieces != 2 || got.Point.Design.Assessors != 2 {
		t.Errorf("nothing reaches 80 %%, and the strongest is the largest: %+v", got)
	}
}

// One cook each, and sessions that leave nothing: the answer is "cannot", with
// what to do.
func TestCannot(t *testing.T) {
	t.Parallel()
	for name, d := range map[string]Design{
		"one cook each":            {SetPoints: 3, Cooks: 1, Sessions: 1, Pieces: 9, Assessors: 9},
		"one cook each, two days":  {SetPoints: 3, Cooks: 1, Sessions: 2, Pieces: 1},
		"a session for every cook": {SetPoints: 2, Cooks: 2, Sessions: 4, Pieces: 1},
		"no df":                    {SetPoints: 3, Cooks: 2, Sessions: 4, Pieces: 1},
	} {
		r := base()
		r.Design, r.Draws = d, 100
		c := of(t, r).Cooks
		if c.Now.Cannot == "" || c.Now.Need == "" || c.Now.Power.Known() || c.Now.Visible.Known() || c.Now.HalfWidth.Known() {
			t.Errorf("%s: %+v", name, c.Now)
		}
	}
}

func TestProblems(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for want, change := range map[string]func(*Request){
		"set-points":     func(r *Request) { r.Design.SetPoints = 1 },
		"cooks":          func(r *Request) { r.Design.Cooks = 0 },
		"sessions":       func(r *Request) { r.Design.Sessions = -1 },
		"pieces":         func(r *Request) { r.Design.Pieces = 1 << 40 },
		"assessors":      func(r *Request) { r.Design.Assessors = -3 },
		"tastes":         func(r *Request) { r.Design.Tastes = 3 },
		"spread-cooks":   func(r *Request) { r.Spread = Spread{} },
		"spread-pieces":  func(r *Request) { r.Spread.Pieces = nan },
		"spread-scores":  func(r *Request) { r.Spread.Scores = -1 },
		"effect":         func(r *Request) { r.Question.Effect = inf },
		"alpha":          func(r *Request) { r.Question.Alpha = nan },
		"power":          func(r *Request) { r.Question.Power = 1 },
		"means":          func(r *Request) { r.Question.Effect, r.Question.Means = 0, []float64{1, 2, nan} },
		"one-sided":      func(r *Request) { r.Question.OneSided = true },
		"draws":          func(r *Request) { r.Draws = 5 },
		"price-cook":     func(r *Request) { r.Prices = &Prices{Cook: nan}; r.Bounds = Bounds{8, 4, 4} },
		"most-cooks":     func(r *Request) { r.Prices = &Prices{Cook: 1} },
		"most-pieces":    func(r *Request) { r.Prices = &Prices{Cook: 1}; r.Bounds = Bounds{8, 100, 500} },
		"price-assessor": func(r *Request) { r.Prices = &Prices{Assessor: -1}; r.Bounds = Bounds{8, 4, 4} },
	} {
		r := base()
		change(&r)
		var p *Problem
		if _, err := Of(t.Context(), r); !errors.As(err, &p) || p.What != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	ok := TestRequest{Method: discrim.Triangle, Answers: 24, Alpha: 0.05, Power: 0.8}
	for want, change := range map[string]func(*TestRequest){
		"answers":    func(r *TestRequest) { r.Answers = -1 },
		"alpha":      func(r *TestRequest) { r.Alpha = 0 },
		"power":      func(r *TestRequest) { r.Power = nan },
		"pd":         func(r *TestRequest) { r.Distinguish = 1.2 },
		"d-prime":    func(r *TestRequest) { r.DPrime = nan },
		"two-sided":  func(r *TestRequest) { r.TwoSided = true },
		"similarity": func(r *TestRequest) { r.Similarity = true },
		"test":       func(r *TestRequest) { r.Answers = 0 },
	} {
		r := ok
		change(&r)
		var p *Problem
		if _, err := OfTest(r); !errors.As(err, &p) || p.What != want {
			t.Errorf("%s: %v", want, err)
		}
	}
}

func read(t *testing.T, file string) *trial.Trial {
	t.Helper()
	tr, _, err := trialfile.Read("../../"+file, trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err)
	}
	return tr
}

// The spread taken from a trial gives, at the trial's own size, the variance that
// its headline test is made against, wherever cooks differ more than pieces and
// scores explain; and the same degrees of freedom.
func TestFromTrialIsWhatFitSees(t *testing.T) {
	t.Parallel()
	equal := 0
	for file, measures := range map[string][]string{"trials/pollack/pollack.yaml": {"firmness", "cook_loss"}, "trials/carrot/carrot.yaml": {"bite"},
		"trials/chicken/chicken.yaml": {"cook_loss"}, "testdata/wine/wine.yaml": {"bitterness"}, "testdata/beef/beef.yaml": {"tenderness"}} {
		tr := read(t, file)
		r := texture.Analyse(tr, texture.Options{Quick: true, Draws: 100, Measures: measures})
		for _, name := range measures {
			m, ok := tr.MeasureNamed(name)
			if !ok {
				t.Fatalf("%s has no %s", file, name)
			}
			test := headline(r, r.Measures.Named(m.Name))
			tk, err := FromTrial(tr, m, "")
			if test == nil || test.ErrorSumSq == nil {
				t.Fatalf("%s %s: fit has no test", file, m.Name)
			}
			if err != nil {
				t.Errorf("%s %s: %v", file, m.Name, err)
				continue
			}
			mean := test.ErrorSumSq.Or(0) / test.DF2.Or(1)
			got := math.Pow(tk.Design.CookMeanSD(tk.Spread), 2)
			switch {
			case tk.Spread.Cooks > 0 && math.Abs(got/mean-1) > 1e-9:
				t.Errorf("%s %s: a cook's mean has variance %v, fit tests against %v", file, m.Name, got, mean)
			case got < mean*(1-1e-9):
				t.Errorf("%s %s: variance %v lies below what fit tests against, %v", file, m.Name, got, mean)
			case tk.Spread.Cooks > 0:
				equal++
			}
			p := point(tk.Design, tk.Spread, Question{Alpha: 0.05, Power: 0.8})
			if df := int(test.DF2.Or(0)); p.DF != df || tk.Words.SpreadDF != df {
				t.Errorf("%s %s: %d df, fit has %d", file, m.Name, p.DF, df)
			}
		}
	}
	if equal < 4 {
		t.Errorf("only %d measures have a spread between cooks", equal)
	}
}

func TestFromTrialWithoutData(t *testing.T) {
	t.Parallel()
	tr := read(t, "trials/trout/trout.yaml")
	m, err := MeasureOf(tr, "")
	if err != nil || m.Name != "firmness" {
		t.Fatal(m.Name, err)
	}
	tk, err := FromTrial(tr, m, "")
	if err != nil {
		t.Fatal(err)
	}
	if tk.Words.From != FromNowhere || tk.Words.Unit != "SD" || tk.Design.Cooks != 1 || tk.Design.SetPoints != 3 {
		t.Errorf("%+v", tk)
	}
	m.Spread = trial.Some(0.4)
	if tk, err = FromTrial(tr, m, ""); err != nil || tk.Words.From != FromDeclared || tk.Spread.Cooks != 0.4 || tk.Words.Unit != "points" {
		t.Errorf("%+v %v", tk, err)
	}
	plan := &trial.Trial{Measures: []trial.Measure{m}, Design: trial.Some(trial.Design{
		SetPoints: []quantity.Temperature{quantity.Celsius(44), quantity.Celsius(48)}, CooksEach: trial.Some(3), Sessions: trial.Some(3),
		PiecesPerCook: trial.Some(2), Assessors: []string{"a", "b"}})}
	if tk, err = FromTrial(plan, m, ""); err != nil || (tk.Design != Design{SetPoints: 2, Cooks: 3, Sessions: 3, Pieces: 2, Assessors: 2}) {
		t.Errorf("%+v %v", tk, err)
	}
	// Two recipes: each is cooked three times at each set point, and in fit recipe and
	// interaction take two of the twelve cooks' degrees of freedom.
	crossed := plan.Design.V
	crossed.Factors = []trial.Factor{{Name: "recipe", Levels: []string{"A", "B"}}}
	plan.Design = trial.Some(crossed)
	if tk, err = FromTrial(plan, m, ""); err != nil || tk.Design.Cooks != 6 || tk.Design.OtherDF != 2 {
		t.Errorf("two recipes: %+v %v", tk, err)
	}
	crossed.CooksEach = trial.Some(1) // the interaction is the error
	crossed.Sessions = trial.Some(1)
	plan.Design = trial.Some(crossed)
	if tk, err = FromTrial(plan, m, ""); err != nil || tk.Design.Cooks != 2 || tk.Design.OtherDF != 1 {
		t.Errorf("two recipes once: %+v %v", tk, err)
	}
	var p *Problem
	if _, err := FromTrial(&trial.Trial{Measures: []trial.Measure{m}}, m, ""); !errors.As(err, &p) {
		t.Errorf("an empty trial: %v", err)
	}
	if _, err := MeasureOf(tr, "salt"); !errors.As(err, &p) || p.What != "measure" {
		t.Errorf("%v", err)
	}
	if _, err := MeasureOf(&trial.Trial{}, ""); !errors.As(err, &p) {
		t.Errorf("%v", err)
	}
}

func TestResultsFollowTheSchema(t *testing.T) {
	t.Parallel()
	text, err := JSONSchema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	valid := func(v any) error {
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		x, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		return schema.Validate(x)
	}
	cooks := base()
	cooks.Draws, cooks.Prices, cooks.Bounds, cooks.Words.From = 100, &Prices{1, 1, 1}, Bounds{8, 3, 3}, FromFlags
	answers, err := OfTest(TestRequest{Method: discrim.Triangle, Answers: 24, Distinguish: 0.3, Alpha: 0.05, Power: 0.8})
	if err != nil {
		t.Fatal(err)
	}
	good := of(t, cooks)
	for _, r := range []*Result{good, answers} {
		if err := valid(r); err != nil {
			t.Error(err)
		}
	}
	both := *good
	both.Answers = answers.Answers
	older := *good
	older.Tamis = "size/0"
	for name, r := range map[string]any{"both": both, "neither": Result{Tamis: Schema}, "another version": older} {
		if valid(r) == nil {
			t.Errorf("the schema takes %s", name)
		}
	}
}

func TestRoundUp(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]string{1.81: "1.9", 1.9: "1.9", 0.995: "1.0", 0.3: "0.30", 12.3: "13", 99.5: "100", 0.00123: "0.0013", 0: "0"} {
		if got := amount(v, "").Text(quantity.Metric); got != want {
			t.Errorf("%v is shown as %s, want %s", v, got, want)
		}
		if r, _ := RoundUp(v); r < v*(1-1e-9) {
			t.Errorf("%v is rounded down to %v", v, r)
		}
	}
}

// No request makes the package panic or hold a number that is none.
func FuzzOf(f *testing.F) {
	f.Add(3, 2, 1, 1, 0, 0, 0.5, 0.0, 0.0, 1.0, 0.05, 0.8, false)
	f.Add(2, 1, 1, 4, 8, 2, 1.0, 0.3, 1.2, 0.0, 0.01, 0.9, true)
	f.Add(6, 3, 40, 2, 3, 1, 1e-300, 0.0, 1e9, 1e9, 0.5, 0.9999, true)
	f.Add(5, 2, 9, 1, 0, 0, 0.0, 0.0, 1e-9, 1e-5, 1e-6, 0.5, false)
	f.Fuzz(func(t *testing.T, k, cooks, sessions, pieces, assessors, tastes int, sc, sp, ss, effect, alpha, target float64, pair bool) {
		if k > 12 || cooks > 30 || sessions > 30 || pieces > 30 || assessors > 30 { // larger ones only take longer
			return
		}
		r, err := Of(t.Context(), Request{Design: Design{SetPoints: k, Cooks: cooks, Sessions: sessions, Pieces: pieces, Assessors: assessors, Tastes: tastes}, Spread: Spread{Cooks: sc, Pieces: sp, Scores: ss},
			Question: Question{Effect: effect, Alpha: alpha, Power: target, Pair: pair}, Words: Words{Arm: "set point"}})
		if err != nil {
			var p *Problem
			if !errors.As(err, &p) {
				t.Fatalf("an error without its argument: %v", err)
			}
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
	})
}
