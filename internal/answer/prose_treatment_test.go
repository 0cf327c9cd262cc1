package answer

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

func brineEffect(m *texture.Measure, est, low, high float64, over Sentence) effect {
	return effect{gap: gap{m: m, est: est, low: low, high: high, bounded: true, digits: 1},
		t: texture.Treatment{Factor: trial.BrineFactor, A: "plain", B: "dry-brined"}, over: over}
}

func TestTreatmentWords(t *testing.T) {
	t.Parallel()
	firm := &texture.Measure{Name: "firmness", Scale: []float64{0, 10}}
	dry := &texture.Measure{Name: "dryness", Scale: []float64{0, 10}}
	shear := &texture.Measure{Name: "shear", Unit: "N"}
	average := Say(", averaged over the set points")
	for _, c := range []struct {
		group []effect
		want  string
	}{
		{[]effect{brineEffect(firm, -0.5, -0.8, -0.2, average)},
			"Dry-brined pieces scored 0.5 lower in firmness than plain ones (0.2 to 0.8), averaged over the set points."},
		{[]effect{brineEffect(shear, -0.8, -1.2, -0.4, nil)}, "Dry-brined pieces had 0.8 N less shear than plain ones (0.4 to 1.2)."},
		{[]effect{brineEffect(firm, -0.5, -0.8, -0.2, average), brineEffect(dry, 1, 0.5, 1.5, average), brineEffect(shear, -0.8, -1.2, -0.4, average)},
			"Dry-brined pieces scored 0.5 lower in firmness (0.2 to 0.8), 1.0 higher in dryness (0.5 to 1.5) and had 0.8 N less shear (0.4 to 1.2)" +
				" than plain ones, averaged over the set points."},
	} {
		if got := joined(c.group).Text(quantity.Metric); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
	// A difference that may go either way, or that rounds to nothing.
	if got := brineEffect(firm, -0.1, -0.5, 0.3, nil).alone().Text(quantity.Metric); got !=
		"Dry-brined and plain pieces did not differ measurably in firmness: dry-brined ones scored 0.1 lower in firmness (−0.3 to 0.5)." {
		t.Error(got)
	}
	if got := brineEffect(firm, 0.01, 0.005, 0.015, nil).alone().Text(quantity.Metric); got != "Dry-brined and plain pieces had the same firmness." {
		t.Error(got)
	}
	if brineEffect(firm, 1, 0.5, 1.5, average).goesWith(brineEffect(dry, 1, 0.5, 1.5, nil)) {
		t.Error("effects over different set points share a sentence")
	}
}

// Two ways of cooking one set point that do equally well are no tie of set
// points: the set point is named, and no method.
func TestTieWithinASetPoint(t *testing.T) {
	t.Parallel()
	tr := twoTimes()
	tr.Cooks[1].Values.Set("firmness", trial.Reading{V: 4.5})
	got := Of(tr, Options{}).Text.Answer.Text(quantity.Metric)
	if !strings.Contains(got, "54 °C") || strings.Contains(got, "Several set points") {
		t.Errorf("both times of 54 °C hit the aim: %s", got)
	}
	tr.Cooks[2].Values.Set("firmness", trial.Reading{V: 4.5})
	if got := Of(tr, Options{}).Text.Answer.Text(quantity.Metric); !strings.Contains(got, "Several set points") {
		t.Errorf("54 and 58 °C hit the aim: %s", got)
	}
}

// A whole degree is printed whole, any other to a tenth, in either system.
func TestOneWayOfPrintingASetPoint(t *testing.T) {
	t.Parallel()
	for celsius, want := range map[float64][2]string{
		(130. - 32) / 1.8: {"54.4 °C", "130 °F"}, 50: {"50 °C", "122 °F"}, 51: {"51 °C", "123.8 °F"},
	} {
		q := Quantity{Kind: Temperature, Value: celsius, Digits: 1}
		if m, us := q.Text(quantity.Metric), q.Text(quantity.US); m != want[0] || us != want[1] {
			t.Errorf("%v: %s and %s, want %v", celsius, m, us, want)
		}
	}
	if got := (Quantity{Kind: Temperature, Value: 49.97, Digits: 1}).Text(quantity.Metric); got != "50 °C" {
		t.Errorf("49.97 °C to a tenth: %s", got)
	}
}
