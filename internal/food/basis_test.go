package food

import (
	"math"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func pct(v float64) trial.Opt[quantity.Share] { return trial.Some(quantity.Percent(v)) }

func of3(kind string, c *trial.Composition) trial.Food {
	f := trial.Food{}
	if kind != "" {
		f.Kind = trial.Some(kind)
	}
	if c != nil {
		f.Composition = trial.Some(*c)
	}
	return f
}

func TestBasis(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		food   trial.Food
		origin Origin
		rest   float64
		water  float64
	}{
		{"kind alone", of3("lean fish", nil), Table, 0, 0.81 / 1.004},
		{"nothing", of3("", nil), Unknown, 0, middle().Water / middle().Sum()},
		{"other", of3("other", nil), Unknown, 0, middle().Water / middle().Sum()},
		{"whole", of3("lean fish", &trial.Composition{Water: pct(70), Protein: pct(20), Fat: pct(9), Ash: pct(1)}), Stated, 0, 0.70},
		{"ash left out", of3("lean fish", &trial.Composition{Water: pct(81), Protein: pct(17), Fat: pct(0.6)}), Stated, 0.014, 0.81},
		{"fat alone", of3("oily fish", &trial.Composition{Fat: pct(20)}), Filled, 0.80, 0.80 * 0.65 / 0.86},
		{"fat alone, no kind", of3("", &trial.Composition{Fat: pct(20)}), Filled, 0.80, -1},
		{"a little much", of3("lean fish", &trial.Composition{Water: pct(81), Protein: pct(19.2)}), Stated, -0.002, 0.81 / 1.002},
		{"salt is ash", of3("poultry", &trial.Composition{Water: pct(75), Protein: pct(22), Fat: pct(1), Salt: pct(2)}), Stated, 0, 0.75},
		{"nonsense", of3("poultry", &trial.Composition{Water: pct(90), Protein: pct(90)}), Table, 0, 0.75 / 1.002},
		{"negative", of3("poultry", &trial.Composition{Water: pct(-5)}), Table, 0, 0.75 / 1.002},
		{"nothing named", of3("poultry", &trial.Composition{}), Table, 0, 0.75 / 1.002},
		{"all named, a tenth lost", of3("fruit", &trial.Composition{Water: pct(80), Protein: pct(1), Fat: pct(1), Carbohydrate: pct(6), Fibre: pct(1), Ash: pct(1)}), Table, 0, 0.8393 / (0.8393 + 0.0019 + 0.0036 + 0.1255 + 0.027 + 0.0026)},
	} {
		b := BasisOf(c.food)
		if b.Origin != c.origin || math.Abs(b.Rest-c.rest) > 1e-12 || b.Source == "" {
			t.Errorf("%s: %+v", c.name, b)
		}
		if c.water >= 0 && math.Abs(b.Water-c.water) > 1e-12 {
			t.Errorf("%s: water %v, want %v", c.name, b.Water, c.water)
		}
		if math.Abs(b.Sum()-1) > 1e-12 || !(b.Freezing < 0) {
			t.Errorf("%s: %v in all, freezes at %v", c.name, b.Sum(), b.Freezing)
		}
		low, mid, high, err := b.Diffusivity(30)
		if err != nil || !(low <= (1-Spread)*mid+1e-20 && high >= (1+Spread)*mid-1e-20) {
			t.Errorf("%s: %v %v %v, %v", c.name, low, mid, high, err)
		}
	}
	if _, _, _, err := BasisOf(trial.Food{}).Diffusivity(math.NaN()); err == nil {
		t.Error("no temperature has a diffusivity")
	}
}

// Saying less never narrows the range.
func TestKnowingLessIsWider(t *testing.T) {
	t.Parallel()
	width := func(f trial.Food) float64 {
		low, _, high, err := BasisOf(f).Diffusivity(30)
		if err != nil {
			t.Fatal(err)
		}
		return high - low
	}
	all := width(of3("lean fish", &trial.Composition{Water: pct(81), Protein: pct(17), Fat: pct(0.6), Ash: pct(1.4)}))
	most := width(of3("lean fish", &trial.Composition{Water: pct(81), Protein: pct(17), Fat: pct(0.6)}))
	fat := width(of3("lean fish", &trial.Composition{Fat: pct(0.6)}))
	loose := width(of3("", &trial.Composition{Fat: pct(0.6)}))
	none := width(of3("", nil))
	if !(all < most && most < fat && fat <= loose*1.0001 && loose <= none) {
		t.Errorf("widths %.3g, %.3g, %.3g, %.3g, %.3g", all, most, fat, loose, none)
	}
}

// A trial is read and never changed, and the table cannot be changed from outside.
func TestBasisIsACopy(t *testing.T) {
	t.Parallel()
	b := BasisOf(of3("lean fish", nil))
	b.Water = 0
	if BasisOf(of3("lean fish", nil)).Water == 0 {
		t.Error("the table changed")
	}
}
