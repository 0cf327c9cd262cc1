package texture

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/internal/trial"
)

// kitchen builds a trial of cooks × two pieces (plain, brined) × assessors, with
// a score, a liking, a just-right answer, a rank, a yes or no, an amount and
// weights.
type kitchen struct {
	setPoints []float64
	cooks     int // of each set point
	people    int
	value     func(rng *rand.Rand, setPoint float64, person int) float64 // on 0 to 10; NaN is a blank
	noSetting bool
}

func (k kitchen) trial(t testing.TB) *trial.Trial {
	rng := rand.New(rand.NewPCG(11, 5))
	tr := &trial.Trial{
		Measures: []trial.Measure{
			{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}},
			{Name: "liking", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}, Role: trial.Some("liking")},
			{Name: "flake", Kind: trial.JustRight, Scale: trial.Range{Low: 1, High: 5}},
			{Name: "place", Kind: trial.Rank, Scale: trial.Range{Low: 1, High: 4}},
			{Name: "again", Kind: trial.YesNo},
			{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")},
			{Name: "cook_loss", Kind: trial.Amount, Unit: trial.Some("%"), From: trial.Some("weights")},
		},
		Aims: []trial.Aim{{Measure: "firmness", Target: trial.Some(trial.Range{Low: 4, High: 6})}},
		Tests: []trial.DifferenceTest{{Kind: trial.Triangle, Answers: 12, Correct: 12, Between: []string{"a", "b"}},
			{Kind: trial.Triangle, Answers: 3, Correct: 9}},
	}
	put := func(m *trial.Readings, name string, v float64) {
		if math.IsNaN(v) {
			m.Set(name, trial.Reading{Missing: true})
			return
		}
		m.Set(name, trial.Reading{V: v})
	}
	var p trial.Panel
	for s, sp := range k.setPoints {
		for c := 0; c < k.cooks; c++ {
			ck := trial.Cook{ID: fmt.Sprintf("S%dC%d", s, c), Session: trial.Some(fmt.Sprint("day ", c))}
			if !k.noSetting {
				ck.SetPoint = celsius(t, sp)
			}
			for b, kind := range []trial.BrineKind{trial.NoBrine, trial.DryBrine} {
				pc := trial.Piece{ID: fmt.Sprint(b), Source: trial.Some(fmt.Sprint("fish ", c)), Values: trial.Readings{},
					Treatment: trial.Treatment{Brine: trial.Some(trial.Brine{Kind: kind})}}
				put(&pc.Values, "shear", k.value(rng, sp, b)+1)
				pc.Before, pc.After = grams(t, 100), grams(t, 90-0.5*(sp-50))
				if kind == trial.DryBrine {
					pc.Brined = grams(t, 96)
				}
				ck.Pieces = append(ck.Pieces, pc)
			}
			tr.Cooks = append(tr.Cooks, ck)
			for a := 0; a < k.people; a++ {
				for b := range ck.Pieces {
					sc := trial.Score{Assessor: fmt.Sprint("person ", a), Cook: ck.ID, Piece: trial.Some(fmt.Sprint(b)),
						Session: trial.Some("tasting"), Position: trial.Some(2*(s*k.cooks+c) + b + 1), Values: trial.Readings{}}
					v := k.value(rng, sp, a)
					put(&sc.Values, "firmness", v)
					put(&sc.Values, "liking", 10-v)
					put(&sc.Values, "flake", 1+math.Round(v/2.5))
					put(&sc.Values, "place", 1+math.Mod(math.Round(v), 4))
					put(&sc.Values, "again", math.Mod(math.Round(v), 2))
					p.Scores = append(p.Scores, sc)
				}
			}
		}
	}
	tr.Panel = trial.Some(p)
	return tr
}

func usual(rng *rand.Rand, sp float64, _ int) float64 {
	return math.Max(0, math.Min(10, math.Round(5+0.5*(sp-54)+rng.NormFloat64())))
}

func TestDegenerateInput(t *testing.T) {
	t.Parallel()
	four := []float64{50, 52, 56, 60}
	plan := kitchen{setPoints: four, cooks: 3, people: 4, value: usual}
	change := func(f func(*kitchen)) *trial.Trial {
		k := plan
		f(&k)
		return k.trial(t)
	}
	edit := func(f func(*trial.Trial)) *trial.Trial {
		tr := plan.trial(t)
		f(tr)
		return tr
	}
	cases := map[string]*trial.Trial{
		"usual":             plan.trial(t),
		"nothing at all":    {},
		"measures only":     {Measures: plan.trial(t).Measures},
		"all scores equal":  change(func(k *kitchen) { k.value = func(*rand.Rand, float64, int) float64 { return 5 } }),
		"one assessor":      change(func(k *kitchen) { k.people = 1 }),
		"no assessor":       change(func(k *kitchen) { k.people = 0 }),
		"one cook":          change(func(k *kitchen) { k.setPoints, k.cooks = four[:1], 1 }),
		"one cook each":     change(func(k *kitchen) { k.cooks = 1 }),
		"one set point":     change(func(k *kitchen) { k.setPoints = four[:1] }),
		"two set points":    change(func(k *kitchen) { k.setPoints = four[:2] }),
		"no set point":      change(func(k *kitchen) { k.noSetting = true }),
		"two cooks in all":  change(func(k *kitchen) { k.setPoints, k.cooks = four[:2], 1 }),
		"values at the end": change(func(k *kitchen) { k.value = func(*rand.Rand, float64, int) float64 { return 10 } }),
		"40 % blank": change(func(k *kitchen) {
			k.value = func(rng *rand.Rand, sp float64, a int) float64 {
				if rng.Float64() < 0.4 {
					return math.NaN()
				}
				return usual(rng, sp, a)
			}
		}),
		"all blank": change(func(k *kitchen) { k.value = func(*rand.Rand, float64, int) float64 { return math.NaN() } }),
		"ties everywhere": change(func(k *kitchen) {
			k.value = func(_ *rand.Rand, sp float64, _ int) float64 { return math.Round((sp - 50) / 4) }
		}),
		"set point explains all": change(func(k *kitchen) { k.value = func(_ *rand.Rand, sp float64, _ int) float64 { return sp - 50 } }),
		"huge offset": change(func(k *kitchen) {
			k.value = func(rng *rand.Rand, sp float64, a int) float64 { return 1e12 + usual(rng, sp, a) }
		}),
		"an arm without scores": edit(func(tr *trial.Trial) {
			p := tr.Panel.V
			var kept []trial.Score
			for _, s := range p.Scores {
				if !strings.HasPrefix(s.Cook, "S1") {
					kept = append(kept, s)
				}
			}
			p.Scores = kept
			tr.Panel = trial.Some(p)
		}),
		"an assessor with one score": edit(func(tr *trial.Trial) {
			p := tr.Panel.V
			p.Scores = append(p.Scores, trial.Score{Assessor: "late", Cook: "S0C0", Values: trial.ReadingOf("firmness", trial.Reading{V: 3})})
			tr.Panel = trial.Some(p)
		}),
		"everything left out": edit(func(tr *trial.Trial) {
			p := tr.Panel.V
			for i := range p.Scores {
				p.Scores[i].LeftOut = trial.Some("spilt")
			}
			tr.Panel = trial.Some(p)
		}),
		"scores of no cook": edit(func(tr *trial.Trial) {
			p := tr.Panel.V
			for i := range p.Scores {
				p.Scores[i].Cook = "elsewhere"
			}
			tr.Panel = trial.Some(p)
		}),
		"a scale of no width": edit(func(tr *trial.Trial) { tr.Measures[0].Scale = trial.Range{} }),
	}
	for name, tr := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := Analyse(tr, Options{Draws: 100})
			b, err := json.Marshal(r)
			if err != nil {
				t.Fatal(err)
			}
			for _, bad := range []string{"NaN", "Inf", "null,null"} {
				if strings.Contains(string(b), bad) {
					t.Errorf("%s in the result", bad)
				}
			}
			if len(tr.Measures) > 0 && len(r.Measures) < len(tr.Measures) {
				t.Errorf("%d measures in, %d out", len(tr.Measures), len(r.Measures))
			}
			for _, m := range r.Measures {
				// An answer or a reason: a measure never stays silent.
				if len(m.Tests)+len(m.Cannot) == 0 {
					t.Errorf("%s has neither a test nor a reason", m.Name)
				}
				for _, x := range m.Tests {
					if !x.P.Known() && x.Cannot == "" {
						t.Errorf("%s: %s test of %s has neither p nor a reason", m.Name, x.Role, x.Term)
					}
				}
				if p := m.Panel; p != nil {
					for _, l := range p.Assessors {
						if l.Verdict == "" {
							t.Errorf("%s: %s has no verdict", m.Name, l.Assessor)
						}
					}
				}
			}
		})
	}
}

// The same trial gives the same bytes, and is not altered.
func TestDeterministic(t *testing.T) {
	t.Parallel()
	k := kitchen{setPoints: []float64{50, 54, 58}, cooks: 2, people: 3, value: usual}
	tr := k.trial(t)
	before := fmt.Sprintf("%+v", tr)
	var first string
	for i := 0; i < 3; i++ {
		b, err := json.Marshal(Analyse(tr, Options{Draws: 100}))
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = string(b)
		} else if string(b) != first {
			t.Fatal("two runs differ")
		}
	}
	if fmt.Sprintf("%+v", tr) != before {
		t.Error("the trial was altered")
	}
}
