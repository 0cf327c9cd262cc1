package answer

import (
	"slices"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// twoTimes is beef at 54 and 58 °C, each for 60 and for 100 min, with one aim
// that 54 °C for 60 min hits.
func twoTimes() *trial.Trial {
	t := &trial.Trial{
		Food: trial.Food{Name: trial.Some("beef"), Kind: trial.Some("beef pork lamb"), Form: trial.Some(trial.Whole),
			Thickness: trial.Some(quantity.Millimetres(20)), Start: trial.Some(quantity.Celsius(4))},
		Aims:     []trial.Aim{{Measure: "firmness", Target: trial.Some(trial.Range{Low: 4, High: 5})}},
		Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}},
		Baths: []trial.Bath{{ID: "north", Reads: trial.Some(quantity.Kelvins(0)),
			Checked: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 9})}},
	}
	for i, c := range []struct{ celsius, minutes, firm float64 }{{54, 60, 4.5}, {54, 100, 6}, {58, 60, 7}, {58, 100, 9}} {
		t.Cooks = append(t.Cooks, trial.Cook{ID: string(rune('A' + i)), SetPoint: trial.Some(quantity.Celsius(c.celsius)), Bath: trial.Some("north"),
			Time: trial.Some(quantity.FromMinutes(c.minutes)), Values: trial.ReadingOf("firmness", trial.Reading{V: c.firm})})
	}
	return t
}

func TestCooksByMethod(t *testing.T) {
	t.Parallel()
	tr := twoTimes()
	for label, want := range map[string][]int{"60 min": {0, 2}, "100 min": {1, 3}, "two hours": nil} {
		if got := cooksBy(tr, label); !slices.Equal(got, want) {
			t.Errorf("%s: cooks %v, want %v", label, got, want)
		}
	}
	if got := cooksBy(&trial.Trial{}, ""); got != nil {
		t.Errorf("no cooks: %v", got)
	}
}

// The verdict is that of the coldest temperature that a reader may take from
// the page: to half a degree Celsius, to a whole degree Fahrenheit, or as it is.
func TestColdestReading(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ celsius, want float64 }{
		{54, 53.888888888888886}, {54.2, 54}, {55, 55}, {60.2, 60}, {58.4, (137 - 32) / 1.8}, {(128.0 - 32) / 1.8, 53.3},
	} {
		if got := coldestReading(c.celsius); got > c.celsius || got-c.want > 1e-9 || c.want-got > 1e-9 {
			t.Errorf("%v °C is read as %v at the coldest, want %v", c.celsius, got, c.want)
		}
	}
}

// An answer that names a set point has its verdict, and food that is not to be
// eaten has no answer.
func TestVerdictStandsBesideTheAnswer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		change  func(*trial.Trial)
		verdict string
		refused bool
	}{
		{"whole beef", func(*trial.Trial) {}, VerdictNotPasteurised, false},
		{"minced", func(t *trial.Trial) { t.Food.Form.V = trial.Minced }, VerdictDoNotEat, true},
		{"poultry", func(t *trial.Trial) { t.Food.Kind.V = "poultry" }, VerdictDoNotEat, true},
		{"fish, not frozen", func(t *trial.Trial) { t.Food.Kind.V = "lean fish" }, VerdictDoNotEat, true},
		{"form not stated", func(t *trial.Trial) { t.Food.Form.Known = false }, VerdictNone, false},
		{"vegetable", func(t *trial.Trial) { t.Food.Kind.V = "vegetable" }, VerdictNotAsked, false},
	} {
		tr := twoTimes()
		c.change(tr)
		r := Of(tr, Options{})
		if r.Safety.Verdict != c.verdict || r.Safety.Why == "" || len(r.Safety.Lead) == 0 {
			t.Errorf("%s: %q because %q, %d sentences", c.name, r.Safety.Verdict, r.Safety.Why, len(r.Safety.Lead))
		}
		said := r.Text.Answer.Text(quantity.Metric)
		if got := strings.HasPrefix(said, "No set point is proposed"); got != c.refused {
			t.Errorf("%s: refused %v: %s", c.name, got, said)
		}
		for _, s := range append(append([]Sentence{}, r.Safety.Lead...), r.Safety.Cautions...) {
			metric, us := s.Text(quantity.Metric), s.Text(quantity.US)
			if strings.Contains(us, "°C") || strings.Contains(metric, "°F") {
				t.Errorf("%s: a temperature in the wrong unit: %q, %q", c.name, metric, us)
			}
		}
	}
}
