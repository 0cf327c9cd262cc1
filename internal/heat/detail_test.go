package heat

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// served is a cook of an hour at 55 °C that was eaten so many minutes after it
// came out.
func served(after int) *trial.Trial {
	tr := one()
	c := &tr.Cooks[0]
	c.Started, c.Served = trial.Some(trial.Clock{Minute: 600}), trial.Some(trial.Clock{Minute: 660 + after})
	return tr
}

func TestBite(t *testing.T) {
	t.Parallel()
	bite := func(tr *trial.Trial) Bite {
		t.Helper()
		c := OfTrial(tr).Cooks[0]
		b, ok := BiteOf(tr, 0, &c)
		if !ok {
			t.Fatal("no bite")
		}
		return b
	}
	at0, at10, at30 := bite(served(0)), bite(served(10)), bite(served(30))
	// At once it is what the series says for the end of the bath, which has one
	// diffusivity for all temperatures.
	c := OfTrial(served(0)).Cooks[0]
	near(t, "core at the end of the bath", at0.Core, c.Trace([]float64{60})[0].Mid, 0.15)
	if !(at0.Surface > at10.Surface && at10.Surface > at30.Surface && at0.Mean > at10.Mean && at10.Mean > at30.Mean) {
		t.Errorf("a plate cools: %+v, %+v, %+v", at0, at10, at30)
	}
	if !(at10.Core > at10.Surface && at0.Core-at10.Core < at0.Surface-at10.Surface) {
		t.Errorf("the core cools last: %+v after %+v", at10, at0)
	}
	seared := served(10)
	seared.Cooks[0].Finish = trial.Some(trial.Finish{Sear: trial.Some(quantity.FromSeconds(60)), PerSide: true})
	if s := bite(seared); !(s.Surface > 95 && s.Core-at10.Core < 5 && s.Stages[len(s.Stages)-1] == Seared) {
		t.Errorf("seared: %+v", s)
	}
	chilled := served(40)
	chilled.Cooks[0].Chill = trial.Some(trial.Chill{Is: true, Into: trial.Some(trial.Clock{Minute: 660}), AtTime: trial.Some(trial.Clock{Minute: 690})})
	if s := bite(chilled); !(s.Core < 35 && s.Core > 1) {
		t.Errorf("after half an hour in ice water: %+v", s)
	}
	for name, change := range map[string]func(*trial.Trial){
		"not served":  func(t *trial.Trial) { t.Cooks[0].Served.Known = false },
		"no start":    func(t *trial.Trial) { t.Cooks[0].Started.Known = false },
		"no time":     func(t *trial.Trial) { t.Cooks[0].Time.Known = false },
		"another day": func(t *trial.Trial) { t.Cooks[0].Served.V.Minute = 599 },
		"thickness":   func(t *trial.Trial) { t.Food.Thickness.Known = false },
	} {
		tr := served(10)
		change(tr)
		c := OfTrial(tr).Cooks[0]
		if b, ok := BiteOf(tr, 0, &c); ok {
			t.Errorf("%s: %+v", name, b)
		}
	}
	if _, ok := BiteOf(served(0), 3, &c); ok {
		t.Error("a cook that does not exist")
	}
}

func TestFromFrozen(t *testing.T) {
	t.Parallel()
	tr := one()
	thawed := OfTrial(tr).Cooks[0].ComeUp()
	last := thawed
	for _, start := range []float64{-5, -18, -30} {
		tr.Food.Start = trial.Some(quantity.Celsius(start))
		c := OfTrial(tr).Cooks[0]
		if c.ComeUp().Known || !has(c.Limits(), Frozen) {
			t.Errorf("%v °C: %v, %v", start, c.ComeUp(), c.Limits())
		}
		r := FromFrozen(tr, 0, &c)
		if !r.Known || !(r.Low < r.Mid && r.Mid < r.High) || !(r.Low > last.Low && r.Mid > last.Mid && r.High > last.High) {
			t.Errorf("%v °C: %v after %v", start, r, last)
		}
		last = r
	}
	// Melting 0.7 kg/kg of water takes about as much heat as warming by 55 K does
	// once thawed, so it takes about half as long again to twice as long.
	if ratio := last.Mid / thawed.Mid; ratio < 1.2 || ratio > 2.2 {
		t.Errorf("frozen takes %v times as long", ratio)
	}
	tr = one()
	c := OfTrial(tr).Cooks[0]
	if r := FromFrozen(tr, 0, &c); r.Known {
		t.Errorf("not frozen: %v", r)
	}
}

func BenchmarkBite(b *testing.B) {
	tr := served(10)
	c := OfTrial(tr).Cooks[0]
	for b.Loop() {
		if _, ok := BiteOf(tr, 0, &c); !ok {
			b.Fatal("no bite")
		}
	}
}
