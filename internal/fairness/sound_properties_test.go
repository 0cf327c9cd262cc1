package fairness

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// faulty is the sound trial with a fault for many of the checks at once.
func faulty(t testing.TB) *trial.Trial {
	tr := sound(t, "looks_masked: red light", "looks_masked: no", "anna: {kind: trained, cooked: no", "anna: {kind: trained, cooked: yes")
	warmer(38, 42, 46)(tr)
	servedAfter(3, 6, 9)(tr)
	tubs("t", "t", "u")(tr)
	for i := range tr.Panel.V.Scores {
		if s := &tr.Panel.V.Scores[i]; i%7 == 0 && s.Cook[2] == '1' {
			s.Values.Set("firmness", trial.Reading{Missing: true, At: s.At})
		}
	}
	return tr
}

func fairnessOf(t testing.TB, tr *trial.Trial) *Result {
	t.Helper()
	r, err := Run(Inputs{Trial: tr, Heat: heat.OfTrial(tr), Fit: texture.Analyse(tr, texture.Options{Draws: 2})})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The checks alter nothing, and say the same twice.
func TestChecksAlterNothing(t *testing.T) {
	t.Parallel()
	tr, twin := faulty(t), faulty(t)
	first, second := fairnessOf(t, tr), fairnessOf(t, tr)
	same := cmp.Options{cmpopts.IgnoreTypes(diag.Pos{}, trial.Origin{}), cmp.Exporter(func(reflect.Type) bool { return true })}
	if d := cmp.Diff(twin, tr, same); d != "" {
		t.Errorf("the trial was altered: %s", d)
	}
	a, err := json.Marshal(first)
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(second)
	if err != nil {
		t.Fatal(err)
	}
	if string(a) != string(b) {
		t.Error("two runs differ")
	}
}

// The order of the rows of the score sheet tells nothing.
func TestRowsInAnyOrder(t *testing.T) {
	t.Parallel()
	tr, mixed := faulty(t), faulty(t)
	s := mixed.Panel.V.Scores
	rand.New(rand.NewPCG(3, 3)).Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] })
	type said struct {
		Outcome  Outcome
		Severity Severity
		Value    float64
	}
	of := func(tr *trial.Trial) map[string]said {
		out := map[string]said{}
		for _, f := range fairnessOf(t, tr).Findings {
			switch f.Family {
			case Brining, Finishing, Serving, Assessors, Data:
				out[f.Slug+" "+f.Factor] = said{f.Outcome, f.Severity, f.Value.Or(-1)}
			}
		}
		return out
	}
	if d := cmp.Diff(of(tr), of(mixed), cmpopts.EquateApprox(1e-9, 1e-9)); d != "" {
		t.Errorf("the order of the rows matters: %s", d)
	}
}

// Half a trial is judged without a panic: each part of the sound trial is taken
// away in turn.
func TestPartsTakenAway(t *testing.T) {
	t.Parallel()
	for name, take := range map[string]func(*trial.Trial){
		"cooks":     func(tr *trial.Trial) { tr.Cooks = nil },
		"pieces":    func(tr *trial.Trial) { eachCook(tr, func(k *trial.Cook) { k.Pieces = nil }) },
		"measures":  func(tr *trial.Trial) { tr.Measures = nil },
		"aims":      func(tr *trial.Trial) { tr.Aims = nil },
		"scores":    func(tr *trial.Trial) { tr.Panel.V.Scores = nil },
		"panel":     func(tr *trial.Trial) { tr.Panel = trial.Opt[trial.Panel]{} },
		"assessors": func(tr *trial.Trial) { tr.Panel.V.Assessors = nil },
		"names":     func(tr *trial.Trial) { eachScore(tr, func(s *trial.Score) { s.Assessor = "" }) },
		"values":    func(tr *trial.Trial) { eachScore(tr, func(s *trial.Score) { s.Values = nil }) },
		"blank": func(tr *trial.Trial) {
			eachScore(tr, func(s *trial.Score) { s.Values.Set("firmness", trial.Reading{Missing: true}) })
		},
		"equal": func(tr *trial.Trial) {
			eachScore(tr, func(s *trial.Score) { s.Values.Set("firmness", trial.Reading{V: 5}) })
		},
		"places": func(tr *trial.Trial) { eachScore(tr, func(s *trial.Score) { s.Position = trial.Some(1) }) },
		"levels": func(tr *trial.Trial) { tr.Cooks[0].SetPoint = trial.Opt[trial.Cook]{}.V.SetPoint },
		"times": func(tr *trial.Trial) {
			eachCook(tr, func(k *trial.Cook) {
				k.Out, k.Served, k.Started = trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}
			})
		},
		"left out": func(tr *trial.Trial) { eachScore(tr, func(s *trial.Score) { s.LeftOut = trial.Some("odd") }) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tr := sound(t)
			take(tr)
			fairnessOf(t, tr)
		})
	}
}

func eachCook(tr *trial.Trial, f func(*trial.Cook)) {
	for i := range tr.Cooks {
		f(&tr.Cooks[i])
	}
}

func eachScore(tr *trial.Trial, f func(*trial.Score)) {
	for i := range tr.Panel.V.Scores {
		f(&tr.Panel.V.Scores[i])
	}
}
