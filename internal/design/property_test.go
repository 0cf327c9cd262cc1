package design

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// all lets cmp look into every type.
func all(reflect.Type) bool { return true }

// Random designs: each is laid out soundly, or refused with a reason that holds,
// and the same seed gives the same plan. Kitchens are drawn from too small to
// ample: sources yield unequal numbers of pieces, some of them of unknown size.
func TestRandomDesigns(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(17, 1))
	n := 120
	if testing.Short() {
		n = 24
	}
	made, refused := 0, map[error]int{}
	for i := range n {
		tr := someDesign(rng)
		seed := 1 + rng.Uint64N(1000)
		p, err := Of(tr, Options{Seed: seed})
		var r *Refusal
		switch {
		case err == nil:
			made++
			sound(t, tr, p)
		case errors.As(err, &r):
			refused[r.Reason]++
			if text := r.Text.Text(quantity.Metric); text == "" || strings.Contains(text, "NaN") {
				t.Errorf("refused without a reason: %v", err)
			}
			justified(t, tr, r)
		default:
			t.Fatal(err)
		}
		if i%6 == 0 {
			again, err2 := Of(tr, Options{Seed: seed})
			if !cmp.Equal(p, again, cmp.Exporter(all)) || (err == nil) != (err2 == nil) || err != nil && err.Error() != err2.Error() {
				t.Errorf("design %d, seed %d gives two plans: %v, %v", i, seed, err, err2)
			}
		}
		if t.Failed() {
			t.Fatalf("design %d, seed %d: %+v", i, seed, tr.Design.V)
		}
	}
	if made < n/5 || len(refused) < 3 {
		t.Errorf("%d laid out, refused %v: this says too little", made, refused)
	}
}

// someDesign draws 1 to 8 set points, 0 to 3 brines, 0 to 4 baths, 0 to 14
// sources with 1 to 6 pieces, 0 to 14 assessors and 1 to 4 sessions.
func someDesign(rng *rand.Rand) *trial.Trial {
	sources := rng.IntN(15)
	return kitchen(1+rng.IntN(8), rng.IntN(4), sources, 6, func(tr *trial.Trial, d *trial.Design) {
		if sources == 0 { // without a source the freezing stands with the food
			tr.Food.Kind = trial.Some("vegetable")
		}
		most := 1 + rng.IntN(6)
		for i := range d.Sources { // unequal fish, and pieces that nobody measured
			s := &d.Sources[i]
			s.Pieces = s.Pieces[:most-rng.IntN(min(most, 3))]
			for k := range s.Pieces {
				if rng.IntN(12) == 0 {
					s.Pieces[k].Thickness, s.Pieces[k].Before = trial.Opt[quantity.Length]{}, trial.Opt[quantity.Mass]{}
				}
			}
		}
		if rng.IntN(4) > 0 {
			d.CooksEach = trial.Some(1 + rng.IntN(3))
		}
		if rng.IntN(4) > 0 {
			d.Sessions = trial.Some(1 + rng.IntN(4))
		}
		if rng.IntN(4) > 0 {
			d.PiecesPerCook = trial.Some(1 + rng.IntN(4))
		}
		d.Baths = []string{"north", "south", "east", "west"}[:rng.IntN(5)]
		d.Assessors = people(rng.IntN(15))
		if rng.IntN(3) == 0 {
			d.SamplesPerSitting = trial.Some(1 + rng.IntN(6))
		}
		if rng.IntN(3) == 0 {
			d.Factors = []trial.Factor{{Name: "recipe", Levels: []string{"A", "B"}}}
		}
		for range rng.IntN(3) {
			d.Fixed = append(d.Fixed, someFixed(rng, d))
		}
	})
}

func someFixed(rng *rand.Rand, d *trial.Design) trial.Fixed {
	var f trial.Fixed
	if len(d.Sources) > 0 && rng.IntN(2) == 0 {
		s := d.Sources[rng.IntN(len(d.Sources))]
		f.Source, f.Part = trial.Some(s.ID), trial.Some(s.Pieces[rng.IntN(len(s.Pieces))].Part)
	}
	if rng.IntN(2) == 0 || !f.Source.Known {
		f.SetPoint = trial.Some(d.SetPoints[rng.IntN(len(d.SetPoints))])
	}
	if len(d.Baths) > 0 && rng.IntN(2) == 0 {
		f.Bath = trial.Some(d.Baths[rng.IntN(len(d.Baths))])
	} else {
		f.Session = trial.Some("session-1")
	}
	return f
}

// justified checks a refusal by arithmetic of its own.
func justified(t *testing.T, tr *trial.Trial, r *Refusal) {
	t.Helper()
	d := tr.Design.V
	combos := len(d.SetPoints)
	for _, f := range d.Factors {
		combos *= len(f.Levels)
	}
	stock := 0
	for _, s := range d.Sources {
		stock += len(s.Pieces)
	}
	runs := combos * d.CooksEach.Or(1)
	switch r.Reason {
	case ErrPieces:
		if runs*d.PiecesPerCook.Or(1) <= stock {
			t.Errorf("%d runs, %d pieces: %v", runs, stock, r)
		}
	case ErrRuns:
		if len(d.Fixed) == 0 && runs*80 <= LongestSession*max(1, len(d.Baths))*d.Sessions.Or(1) {
			t.Errorf("%d runs fit: %v", runs, r)
		}
	case ErrFixed:
		if len(d.Fixed) == 0 {
			t.Errorf("nothing is fixed: %v", r)
		}
	case ErrHungry:
		if len(d.Assessors) < 7 { // six bites of 12 g come out of every piece of these
			t.Errorf("%d tasters: %v", len(d.Assessors), r)
		}
	case ErrDesign:
		if d.Sessions.Or(1) <= runs && d.CooksEach.Known {
			t.Errorf("%v", r)
		}
	default:
		t.Errorf("an unexpected reason: %v", r)
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		reason error
		says   string
		change func(tr *trial.Trial, d *trial.Design)
	}{
		{"too few pieces", ErrPieces, "20 runs of 4 pieces need 80 pieces, and the sources give 40", func(_ *trial.Trial, d *trial.Design) { d.CooksEach = trial.Some(4) }},
		{"too many runs", ErrRuns, "1 bath in 1 session of 12 h hold 9", func(_ *trial.Trial, d *trial.Design) {
			d.Baths, d.Sessions = []string{"north"}, trial.Some(1)
		}},
		{"long cooks", ErrRuns, "hold 2", func(_ *trial.Trial, d *trial.Design) {
			d.Baths, d.Times = []string{"north"}, []quantity.Duration{quantity.FromHours(10)}
		}},
		{"no time", ErrDesign, "no time", func(_ *trial.Trial, d *trial.Design) { d.Times = nil }},
		{"no set points", ErrDesign, "no set points", func(_ *trial.Trial, d *trial.Design) { d.SetPoints = nil }},
		{"a set point twice", ErrDesign, "are the same", func(_ *trial.Trial, d *trial.Design) {
			d.SetPoints = append(d.SetPoints, quantity.Celsius(46.02))
		}},
		{"a bath that is not listed", ErrDesign, "the bath south", func(tr *trial.Trial, d *trial.Design) { tr.Baths = []trial.Bath{{ID: "north"}, {ID: "east"}} }},
		{"more sessions than listed", ErrDesign, "lists 1", func(tr *trial.Trial, d *trial.Design) { tr.Sessions = []trial.Session{{ID: "mon"}} }},
		{"more sessions than runs", ErrDesign, "more than the 10 runs", func(_ *trial.Trial, d *trial.Design) { d.Sessions = trial.Some(11) }},
		{"a hungry panel", ErrHungry, "bites of 30 g", func(tr *trial.Trial, _ *trial.Design) { tr.Panel.V.Bite = trial.Some(quantity.Grams(30)) }},
		{"one piece at two set points", ErrFixed, "set_point: 46 °C} and {source: fish-1, part: head, set_point: 50 °C", func(_ *trial.Trial, d *trial.Design) {
			d.Fixed = []trial.Fixed{{Source: trial.Some("fish-1"), Part: trial.Some("head"), SetPoint: trial.Some(quantity.Celsius(46))},
				{Source: trial.Some("fish-2"), Part: trial.Some("head"), SetPoint: trial.Some(quantity.Celsius(46))},
				{Source: trial.Some("fish-1"), Part: trial.Some("head"), SetPoint: trial.Some(quantity.Celsius(50))}}
		}},
		{"a set point in two baths", ErrFixed, "cannot hold together", func(_ *trial.Trial, d *trial.Design) {
			d.Fixed = []trial.Fixed{{SetPoint: trial.Some(quantity.Celsius(46)), Bath: trial.Some("north")}, {SetPoint: trial.Some(quantity.Celsius(46)), Bath: trial.Some("east")}}
		}},
		{"a part that nothing else can be", ErrFixed, "no plan of this size can keep it", func(_ *trial.Trial, d *trial.Design) {
			d.Fixed = []trial.Fixed{{Part: trial.Some("head"), SetPoint: trial.Some(quantity.Celsius(46))}} // ten heads, all needed, eight places
		}},
		{"a cook at another set point", ErrFixed, "no plan of this size can keep it", func(_ *trial.Trial, d *trial.Design) {
			d.Fixed = []trial.Fixed{{Cook: trial.Some("C01"), SetPoint: trial.Some(quantity.Celsius(62))}}
		}},
		{"no such cook", ErrFixed, "there is no cook C99", func(_ *trial.Trial, d *trial.Design) { d.Fixed = []trial.Fixed{{Cook: trial.Some("C99")}} }},
		{"no such session", ErrFixed, "there is no session mon", func(_ *trial.Trial, d *trial.Design) { d.Fixed = []trial.Fixed{{Session: trial.Some("mon")}} }},
		{"no such piece", ErrFixed, "no such piece", func(_ *trial.Trial, d *trial.Design) { d.Fixed = []trial.Fixed{{Part: trial.Some("cheek")}} }},
		{"fish that nobody froze", ErrUnsafe, "must not be eaten", func(tr *trial.Trial, _ *trial.Design) { tr.Sources = nil }},
		{"minced", ErrUnsafe, "must not be eaten", func(tr *trial.Trial, _ *trial.Design) {
			tr.Food.Form, tr.Food.Kind = trial.Some(trial.Minced), trial.Some("poultry")
		}},
		{"cooked already", ErrPlanned, "never overwritten", func(tr *trial.Trial, _ *trial.Design) { tr.Status = trial.Some(trial.Cooked) }},
		{"has cooks", ErrPlanned, "has cooks", func(tr *trial.Trial, _ *trial.Design) { tr.Cooks = []trial.Cook{{ID: "A"}} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			tr := published()
			d := tr.Design.V
			c.change(tr, &d)
			tr.Design = trial.Some(d)
			_, err := Of(tr, Options{Seed: 1})
			var r *Refusal
			if !errors.As(err, &r) || !errors.Is(err, c.reason) {
				t.Fatalf("%v", err)
			}
			if text := r.Text.Text(quantity.Metric); !strings.Contains(text, c.says) {
				t.Errorf("it says %q, not %q", text, c.says)
			}
		})
	}
	if _, err := Of(&trial.Trial{}, Options{Seed: 1}); !errors.Is(err, ErrNoDesign) {
		t.Error(err)
	}
}

// What must not be eaten may be weighed and sheared.
func TestOnlyWeighed(t *testing.T) {
	t.Parallel()
	tr := published()
	tr.Sources, tr.Panel = nil, trial.Opt[trial.Panel]{}
	tr.Measures = []trial.Measure{{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")}}
	tr.Design.V.Assessors = nil
	p, err := Of(tr, Options{Seed: 1})
	if err != nil || !p.NotTasted || p.Serving != nil {
		t.Fatal(p, err)
	}
	tr.Measures = append(tr.Measures, trial.Measure{Name: "firmness", Kind: trial.ScaleScore})
	if _, err := Of(tr, Options{Seed: 1}); !errors.Is(err, ErrUnsafe) {
		t.Error("a score is tasted:", err)
	}
}

// With all resources halved something gives: what does is said.
func TestConfoundedIsSaid(t *testing.T) {
	t.Parallel()
	slugs := func(tr *trial.Trial) string {
		p := plan(t, tr, 1)
		var out []string
		for _, r := range p.Confounded {
			out = append(out, r.Slug)
		}
		return strings.Join(out, " ")
	}
	once := kitchen(3, 1, 1, 6, func(_ *trial.Trial, d *trial.Design) { d.CooksEach = trial.Some(1) })
	if got := slugs(once); !strings.Contains(got, "cooked-once") || !strings.Contains(got, "one-session") || !strings.Contains(got, "one-source") {
		t.Error(got)
	}
	tied := kitchen(2, 1, 4, 2, func(_ *trial.Trial, d *trial.Design) {
		d.CooksEach, d.Baths = trial.Some(2), []string{"north", "south"}
		d.Fixed = []trial.Fixed{{SetPoint: trial.Some(quantity.Celsius(46)), Bath: trial.Some("north")}, {SetPoint: trial.Some(quantity.Celsius(50)), Bath: trial.Some("south")}}
	})
	if got := slugs(tied); !strings.Contains(got, "bath-tied") {
		t.Error(got)
	}
	pair := kitchen(2, 1, 4, 2, func(_ *trial.Trial, d *trial.Design) { d.CooksEach = trial.Some(1) })
	if got := slugs(pair); !strings.Contains(got, "order-follows") {
		t.Error(got)
	}
	many := kitchen(4, 2, 8, 4, func(_ *trial.Trial, d *trial.Design) {
		d.CooksEach, d.Assessors, d.SamplesPerSitting = trial.Some(2), people(5), trial.Some(3)
	})
	if got := slugs(many); !strings.Contains(got, "incomplete-sittings") {
		t.Error(got)
	}
	if got := slugs(published()); strings.Contains(got, "tied") || strings.Contains(got, "follows") || strings.Contains(got, "uneven") && !strings.Contains(got, "places-uneven") {
		t.Error(got)
	}
}

func TestCooked(t *testing.T) {
	t.Parallel()
	fresh := func() *trial.Trial {
		return plan(t, kitchen(2, 1, 4, 2, func(_ *trial.Trial, d *trial.Design) {
			d.CooksEach, d.Assessors = trial.Some(2), people(3)
		}), 1).Trial
	}
	for name, happen := range map[string]func(tr *trial.Trial){
		"a clock":     func(tr *trial.Trial) { tr.Cooks[3].Started = trial.Some(trial.Clock{}) },
		"a weight":    func(tr *trial.Trial) { tr.Cooks[3].Pieces[1].After = trial.Some(quantity.Grams(90)) },
		"a score":     func(tr *trial.Trial) { tr.Panel.V.Scores[2].Values.Set("firmness", trial.Reading{V: 4}) },
		"a log":       func(tr *trial.Trial) { tr.Cooks[0].LogFile = trial.Some("a.csv") },
		"its status":  func(tr *trial.Trial) { tr.Status = trial.Some(trial.Decided) },
		"a deviation": func(tr *trial.Trial) { tr.Deviations = []trial.Deviation{{}} },
	} {
		tr := fresh()
		if Cooked(tr) {
			t.Fatal("a plan is not cooked")
		}
		happen(tr)
		if _, err := Of(tr, Options{Seed: 2, Again: true}); !errors.Is(err, ErrPlanned) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Of(fresh(), Options{Seed: 2, Again: true}); err != nil {
		t.Error("drawn anew:", err)
	}
}
