package safety

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// drawn is a random trial: mostly sound, of one to three cooks.
func drawn(r *rand.Rand) *trial.Trial {
	kinds := food.Kinds()
	pick := func(p float64) bool { return r.Float64() < p }
	t := cooked(kinds[r.IntN(len(kinds))], 0, 0)
	t.Food.Thickness.V = quantity.Millimetres(2 + 60*r.Float64()*r.Float64())
	t.Food.Start.V = quantity.Celsius(-1 + 10*r.Float64())
	t.Food.Form.V = trial.Forms[max(0, r.IntN(12)-6)]
	t.Food.Composition.V.Fat = trial.Some(quantity.Percent(12 * r.Float64()))
	t.Food.Frozen = frozen(-15-25*r.Float64(), 10*r.Float64())
	t.Food.Frozen.Known = pick(0.9)
	t.Food.Start.Known, t.Food.Form.Known = pick(0.9), pick(0.95)
	t.Baths[0].Reads = trial.Some(quantity.Kelvins(r.NormFloat64() * 0.5))
	if pick(0.5) {
		t.Rules = trial.Some(trial.RuleSets[r.IntN(4)])
	}
	t.Cooks = nil
	for i := 0; i <= r.IntN(3); i++ {
		c := trial.Cook{ID: fmt.Sprint(i), SetPoint: trial.Some(quantity.Celsius(44 + 50*r.Float64()*r.Float64())), Bath: trial.Some("north")}
		minutes := trial.Some(quantity.FromMinutes(5 + 300*r.Float64()*r.Float64()))
		if pick(0.8) {
			c.Time = minutes
		} else {
			c.Hold = minutes
		}
		for j := 0; j < r.IntN(3); j++ {
			c.Pieces = append(c.Pieces, trial.Piece{ID: fmt.Sprint(i, j), Thickness: trial.Some(quantity.Millimetres(2 + 50*r.Float64()*r.Float64()))})
		}
		if pick(0.2) {
			c.Brine = trial.Some(trial.Brine{Kind: trial.DryBrine, For: trial.Some(quantity.FromMinutes(60 * r.Float64())), AtTmp: trial.Some(quantity.Celsius(10 * r.Float64()))})
		}
		if pick(0.5) {
			c.Started = trial.Some(trial.Clock{Minute: 600})
		}
		t.Cooks = append(t.Cooks, c)
	}
	if pick(0.3) {
		logged(t, r)
	}
	if pick(0.1) {
		t.Food.Histamine = trial.Some(true)
		t.Sources = []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(8 * r.Float64()))}}
	}
	if pick(0.1) {
		t.Cooks[0].Reheat = trial.Some(trial.Reheat{AtTmp: trial.Some(quantity.Celsius(50)), For: trial.Some(quantity.FromMinutes(60 * r.Float64()))})
	}
	if pick(0.1) {
		t.Deviations = []trial.Deviation{{Cook: trial.Some("0"), What: trial.Some("floated")}}
	}
	return t
}

// logged gives the first cook a probe that may speak, in its thickest piece, and
// a core that comes up faster than it is computed.
func logged(t *trial.Trial, r *rand.Rand) {
	c := &t.Cooks[0]
	c.Time, c.Hold = trial.Some(quantity.FromMinutes(5+300*r.Float64()*r.Float64())), trial.Opt[quantity.Duration]{}
	probe := trial.Probe{At: trial.Some(trial.ProbeCentre), Reads: trial.Some(quantity.Kelvins(0.2 * r.NormFloat64())), Checked: trial.Some(checkDay)}
	for i := range c.Pieces {
		if thick := c.Pieces[i].Thickness.V.Millimetres(); i == 0 || thick > 0 && thick > c.Pieces[0].Thickness.V.Millimetres() {
			probe.Piece = trial.Some(c.Pieces[i].ID)
		}
	}
	c.Probe = trial.Some(probe)
	up := 3 + 60*r.Float64()*r.Float64()
	for m := 0.0; m <= c.Time.V.Minutes()+4; m += 4 {
		core := c.SetPoint.V.Celsius() - (c.SetPoint.V.Celsius()-4)*math.Exp(-m/up)
		c.Log = append(c.Log, trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(core))})
	}
}

// clone copies what the changes below touch.
func clone(t *trial.Trial) *trial.Trial {
	c := *t
	c.Cooks = append([]trial.Cook(nil), t.Cooks...)
	for i := range c.Cooks {
		c.Cooks[i].Pieces = append([]trial.Piece(nil), t.Cooks[i].Pieces...)
		c.Cooks[i].Log = append([]trial.LogPoint(nil), t.Cooks[i].Log...)
	}
	c.Baths = append([]trial.Bath(nil), t.Baths...)
	return &c
}

// For the worse: every change, and whether it can be made on a trial. A change
// to less known that forgets something harmful (that the meat was minced, that
// it was poultry) is not among them: what is not stated cannot be held against
// anybody, and the verdict then says that it does not know.
var worse = []struct {
	name string
	do   func(t *trial.Trial, r *rand.Rand) bool
}{
	{"thicker food", func(t *trial.Trial, r *rand.Rand) bool {
		t.Food.Thickness.V = quantity.Millimetres(t.Food.Thickness.V.Millimetres() + 40*r.Float64())
		return true
	}},
	{"thicker piece", func(t *trial.Trial, r *rand.Rand) bool {
		p := t.Cooks[0].Pieces
		if len(p) == 0 {
			return false
		}
		p[0].Thickness.V = quantity.Millimetres(p[0].Thickness.V.Millimetres() + 40*r.Float64())
		return true
	}},
	{"far thicker", func(t *trial.Trial, _ *rand.Rand) bool { t.Food.Thickness.V = quantity.Millimetres(900); return true }},
	{"colder set point", func(t *trial.Trial, r *rand.Rand) bool {
		c := &t.Cooks[r.IntN(len(t.Cooks))]
		c.SetPoint.V = quantity.Celsius(c.SetPoint.V.Celsius() - 15*r.Float64())
		return true
	}},
	{"colder start", func(t *trial.Trial, r *rand.Rand) bool {
		s := t.Food.Start.V.Celsius()
		t.Food.Start.V = quantity.Celsius(s - (s+1)*r.Float64())
		return true
	}},
	{"shorter", func(t *trial.Trial, r *rand.Rand) bool {
		// Less time in a bath that only warms the food is better: the growth clock.
		for i, v := range OfTrial(t, heat.OfTrial(t)).Cooks {
			if byClock(v) {
				return false
			}
			c := &t.Cooks[i]
			f := r.Float64()
			c.Time.V, c.Hold.V = quantity.FromMinutes(c.Time.V.Minutes()*f), quantity.FromMinutes(c.Hold.V.Minutes()*f)
		}
		return true
	}},
	{"out earlier", func(t *trial.Trial, r *rand.Rand) bool {
		c := &t.Cooks[0]
		if !c.Started.Known || len(c.Pieces) == 0 || byClock(OfTrial(t, heat.OfTrial(t)).Cooks[0]) {
			return false // as for "shorter"
		}
		c.Pieces[0].Out = trial.Some(trial.Clock{Minute: 600 + 1 + r.IntN(100)})
		return true
	}},
	{"bath reads higher", func(t *trial.Trial, r *rand.Rand) bool {
		t.Baths[0].Reads.V = quantity.Kelvins(t.Baths[0].Reads.V.Kelvin() + r.Float64())
		return true
	}},
	{"bath not checked", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Baths[0].Checked.Known = false
		return t.Baths[0].Reads.V.Kelvin() <= heat.Unchecked
	}},
	{"bath error not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		ok := t.Baths[0].Reads.V.Kelvin() <= heat.Unchecked
		t.Baths[0].Reads = trial.Opt[quantity.Difference]{}
		return ok
	}},
	{"bath not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Cooks[0].Bath.Known = false
		return t.Baths[0].Reads.V.Kelvin() <= heat.Unchecked
	}},
	{"start not stated", func(t *trial.Trial, _ *rand.Rand) bool { t.Food.Start.Known = false; return true }},
	{"form not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		whole := t.Food.Form.V == trial.Whole
		t.Food.Form.Known = false
		return whole
	}},
	{"fat not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		// More than the kind has slows the heat and shields germs.
		if k, ok := food.TypicalOf(t.Food.Kind.V); ok && t.Food.Composition.V.Fat.V.Fraction() > k.Fat {
			return false // forgets what is known to be bad
		}
		t.Food.Composition = trial.Opt[trial.Composition]{}
		return true
	}},
	{"fatter", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Food.Composition.V.Fat.V = quantity.Percent(t.Food.Composition.V.Fat.V.Percent() + 5)
		return true
	}},
	{"freezing not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		// Frozen too little is known to be too little; not stated is not known.
		ok := freezingMeets(t.Food.Frozen.V, t.Rules)
		t.Food.Frozen = trial.Opt[trial.Frozen]{}
		return ok
	}},
	{"frozen warmer and shorter", func(t *trial.Trial, r *rand.Rand) bool {
		if !t.Food.Frozen.Known {
			return false
		}
		f := t.Food.Frozen.V
		t.Food.Frozen = frozen(f.Tmp.V.Celsius()+10*r.Float64(), f.For.V.Days()*r.Float64())
		return true
	}},
	{"rules not stated", func(t *trial.Trial, _ *rand.Rand) bool { t.Rules = trial.Opt[trial.Rules]{}; return true }},
	{"no time", func(t *trial.Trial, _ *rand.Rand) bool {
		for _, v := range OfTrial(t, heat.OfTrial(t)).Cooks {
			if byClock(v) {
				return false // forgets what is known to be bad
			}
		}
		t.Cooks[0].Time.Known, t.Cooks[0].Hold.Known = false, false
		return true
	}},
	{"it leaked", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Deviations = append(t.Deviations, trial.Deviation{What: trial.Some("leaked")})
		return true
	}},
	{"chilled, who knows how", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Cooks[0].Chill = trial.Some(trial.Chill{Is: true})
		return true
	}},
	{"served late", func(t *trial.Trial, _ *rand.Rand) bool {
		t.Cooks[0].Served = trial.Some(trial.Clock{Minute: 599})
		return true
	}},
	{"nobody knows the probe", func(t *trial.Trial, _ *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe = trial.Opt[trial.Probe]{}
		return had
	}},
	{"probe not checked", func(t *trial.Trial, _ *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe.V.Checked.Known = false
		return had
	}},
	{"probe checked long ago", func(t *trial.Trial, _ *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe.V.Checked.V = trial.Date{Year: 2025, Month: 12, Day: 31}
		return had
	}},
	{"error of the probe not stated", func(t *trial.Trial, _ *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe.V.Reads.Known = false
		return had
	}},
	{"probe reads higher", func(t *trial.Trial, r *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe.V.Reads.V = quantity.Kelvins(t.Cooks[0].Probe.V.Reads.V.Kelvin() + 2*r.Float64())
		return had
	}},
	{"probe not at the centre", func(t *trial.Trial, _ *rand.Rand) bool {
		had := t.Cooks[0].Probe.Known
		t.Cooks[0].Probe.V.At = trial.Some(trial.ProbeElsewhere)
		return had
	}},
	{"probe in a thinner piece", func(t *trial.Trial, _ *rand.Rand) bool {
		c := &t.Cooks[0]
		if !c.Probe.Known || len(c.Pieces) < 2 {
			return false
		}
		for i := range c.Pieces {
			if c.Pieces[i].ID != c.Probe.V.Piece.V {
				c.Probe.V.Piece.V = c.Pieces[i].ID
				break
			}
		}
		return true
	}},
	{"log ends early", func(t *trial.Trial, _ *rand.Rand) bool {
		c := &t.Cooks[0]
		if len(c.Log) < 4 || !c.Probe.Known {
			return false
		}
		c.Log = c.Log[:len(c.Log)-3]
		return true
	}},
	{"colder log", func(t *trial.Trial, r *rand.Rand) bool {
		by := 3 * r.Float64() // all of it: a core that is later at 21.1 °C is later still at 52.3
		for i, l := range t.Cooks[0].Log {
			t.Cooks[0].Log[i].Core.V = quantity.Celsius(l.Core.V.Celsius() - by)
		}
		return len(t.Cooks[0].Log) > 0
	}},
	{"reheated", func(t *trial.Trial, r *rand.Rand) bool {
		if t.Cooks[0].Reheat.Known {
			return false
		}
		t.Cooks[0].Reheat = trial.Some(trial.Reheat{AtTmp: trial.Some(quantity.Celsius(50)), For: trial.Some(quantity.FromMinutes(90 * r.Float64()))})
		return true
	}},
	{"kept nobody knows how", func(t *trial.Trial, _ *rand.Rand) bool {
		for _, s := range t.Sources {
			if s.KeptAt.V.Celsius() > 5 {
				return false
			}
		}
		t.Food.Histamine, t.Sources = trial.Some(true), nil
		return true
	}},
	{"a probe log", func(t *trial.Trial, r *rand.Rand) bool {
		if t.Cooks[0].Probe.Known {
			return false // then a log may speak for it
		}
		for m := 0.0; m < 100; m += 10 {
			t.Cooks[0].Log = append(t.Cooks[0].Log, trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(100 * r.Float64())), Bath: trial.Some(quantity.Celsius(50 + 50*r.Float64()))})
		}
		return true
	}},
	{"only for vulnerable people", func(t *trial.Trial, _ *rand.Rand) bool { t.Serve = []trial.Group{trial.Vulnerable}; return true }},
}

// No change towards thicker, colder, shorter, less known or less checked ever
// improves a verdict: of a cook, of the trial, or of a set point to be named.
func TestNothingWorseIsBetter(t *testing.T) {
	t.Parallel()
	n := 250
	if testing.Short() {
		n = 65
	}
	r := rand.New(rand.NewPCG(7, 11))
	tried := map[string]int{}
	seen := map[Verdict]int{}
	cases := 0
	kinds := food.Kinds()
	for i := range n {
		tr := drawn(r)
		tr.Food.Kind.V = kinds[i%len(kinds)] // each of them, even in a short run
		celsius := 44 + 40*r.Float64()
		before, named := OfTrial(tr, heat.OfTrial(tr)), For(tr, celsius, nil)
		for _, w := range worse {
			changed := clone(tr)
			if !w.do(changed, r) {
				continue
			}
			tried[w.name]++
			after := OfTrial(changed, heat.OfTrial(changed))
			for i := range before.Cooks {
				seen[before.Cooks[i].Verdict]++
				cases++
				holdsOrWorse(t, w.name, changed, before.Cooks[i], after.Cooks[i])
			}
			holdsOrWorse(t, w.name+" (trial)", changed, before.Overall, after.Overall)
			if (w.name == "shorter" || w.name == "no time") && byClock(named) {
				continue
			}
			holdsOrWorse(t, w.name+" (named)", changed, named, For(changed, celsius, nil))
			holdsOrWorse(t, w.name+" (named colder)", changed, named, For(changed, celsius-r.Float64(), nil))
			if t.Failed() {
				return
			}
		}
	}
	if cases < 2000 {
		t.Errorf("only %d cases", cases)
	}
	for _, w := range worse {
		if tried[w.name] == 0 {
			t.Errorf("%q was tried %d times only", w.name, tried[w.name])
		}
	}
	for v := DoNotEat; v <= NotAsked; v++ {
		if seen[v] == 0 {
			t.Errorf("no trial was drawn with the verdict %q", v)
		}
	}
}

// byClock reports whether the growth clock speaks against it.
func byClock(v CookVerdict) bool {
	return slices.ContainsFunc(v.Why, func(r Reason) bool {
		return r.Slug == "growth-clock" || r.Slug == "reheat-clock" || r.Slug == "served-late"
	})
}

func holdsOrWorse(t *testing.T, name string, tr *trial.Trial, before, after CookVerdict) {
	t.Helper()
	holds := false
	for i := range tr.Cooks {
		holds = holds || tr.Cooks[i].Hold.Known
	}
	// A hold is counted from the arrival, so what arrives later stays in the bath
	// for longer, and the growth clock and the discard time move with it.
	if holds && byClock(before) {
		return
	}
	if after.Verdict > before.Verdict || after.Parasites > before.Parasites || (after.Vulnerable && !before.Vulnerable) {
		t.Errorf("%s made it better: %v, %v, %v (%v) became %v, %v, %v (%v)\n%+v", name, before.Verdict, before.Parasites, before.Vulnerable, before.Why,
			after.Verdict, after.Parasites, after.Vulnerable, after.Why, tr.Food)
	}
	if !holds && after.Verdict > DoNotEat && after.Verdict == before.Verdict && before.Discard > 0 && after.Discard > before.Discard {
		t.Errorf("%s put off the discard time from %v to %v min (%v, %v; %v, %v)", name, before.Discard, after.Discard, before.Verdict, before.Why, after.Why, tr.Food.Kind.V)
	}
}

// Judging leaves the trial as it was, and gives the same twice.
func TestInputsStayAndAnswersRepeat(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		tr := drawn(r)
		copied := clone(tr)
		a, b := OfTrial(tr, heat.OfTrial(tr)), OfTrial(tr, heat.OfTrial(tr))
		if !reflect.DeepEqual(a, b) {
			t.Error("two answers to one question")
		}
		For(tr, 55, []int{0})
		if !reflect.DeepEqual(tr, copied) {
			t.Error("the trial was changed")
		}
	}
}

// The overall verdict is no better than any cook's, and naming a cooked set
// point is no better than the best of the cooks it stands for.
func TestOverallIsTheWorst(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		tr := drawn(r)
		res := OfTrial(tr, heat.OfTrial(tr))
		for _, c := range res.Cooks {
			if res.Overall.Verdict > c.Verdict || res.Overall.Parasites > c.Parasites || (res.Overall.Vulnerable && !c.Vulnerable) {
				t.Fatalf("overall %+v is better than %+v", res.Overall, c)
			}
		}
		for i, c := range res.Cooks {
			v := For(tr, tr.Cooks[i].SetPoint.V.Celsius(), []int{i})
			if v.Verdict > c.Verdict && len(tr.Deviations) == 0 {
				t.Fatalf("cook %d is %v, naming its set point is %v", i, c.Verdict, v.Verdict)
			}
		}
	}
}

func TestNothingPanics(t *testing.T) {
	t.Parallel()
	if got := OfTrial(&trial.Trial{}, nil); got.Overall.Verdict != NoVerdict || len(got.Lead) == 0 {
		t.Errorf("an empty trial: %+v", got.Overall)
	}
	for _, kind := range append(food.Kinds(), "", "cod") {
		tr := &trial.Trial{Food: trial.Food{Kind: trial.Some(kind)}, Cooks: []trial.Cook{{}, {SetPoint: trial.Some(quantity.Celsius(60))}}}
		for _, h := range []*heat.Trial{nil, {}, heat.OfTrial(tr)} {
			if got := OfTrial(tr, h); got.Overall.Verdict == NotPasteurised || got.Overall.Verdict == Pasteurised {
				t.Errorf("%s: a verdict from nothing: %+v", kind, got.Overall)
			}
		}
		For(tr, 60, nil)
		if v := For(tr, 60, []int{-1, 7}); v.Verdict != NoVerdict && v.Verdict != NotAsked {
			t.Errorf("no such cooks: %+v", v)
		}
		tr.Cooks = nil
		if v := For(tr, 60, nil); v.Verdict != NoVerdict && v.Verdict != NotAsked {
			t.Errorf("no cooks: %+v", v)
		}
	}
}
