package texture

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// The order of cooks, pieces and score rows in the file changes no number and
// no draw.
func TestOrderOfTheFileDoesNotMatter(t *testing.T) {
	t.Parallel()
	w := world{setPoints: []float64{44, 50, 56}, sessions: 3, middle: 49, proteinAt: 55}
	first := w.draw(rand.New(rand.NewPCG(7, 7)))
	// The same trial again, so that what is permuted shares nothing with it.
	second := w.draw(rand.New(rand.NewPCG(7, 7)))
	r := rand.New(rand.NewPCG(1, 2))
	r.Shuffle(len(second.Cooks), func(i, j int) { second.Cooks[i], second.Cooks[j] = second.Cooks[j], second.Cooks[i] })
	for i := range second.Cooks {
		p := second.Cooks[i].Pieces
		r.Shuffle(len(p), func(i, j int) { p[i], p[j] = p[j], p[i] })
	}
	s := second.Panel.V.Scores
	r.Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] })
	text := func(tr *trial.Trial) string {
		b, err := json.MarshalIndent(Analyse(tr, Options{Draws: 200}), "", " ")
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	if a, b := text(first), text(second); a != b {
		i := 0
		for i < min(len(a), len(b)) && a[i] == b[i] {
			i++
		}
		t.Errorf("results part here:\n%s\n— and —\n%s", a[max(0, i-300):min(len(a), i+100)], b[max(0, i-300):min(len(b), i+100)])
	}
}

// A set point that was typed in °F is named as it was typed.
func TestFahrenheitIsNamedAsTyped(t *testing.T) {
	t.Parallel()
	tr := degenerate(2, 2, func(i, s int) float64 { return float64(i + s*s*i) })
	for i := range tr.Cooks {
		tr.Cooks[i].SetPoint = trial.Some(quantity.Fahrenheit(float64(125 + 5*(i/2))))
	}
	var got []string
	for _, a := range Analyse(tr, Options{Quick: true}).Measures[0].Arms {
		got = append(got, a.Arm)
	}
	if want := []string{"125 °F", "130 °F"}; !slices.Equal(got, want) {
		t.Errorf("arms %q, want %q", got, want)
	}
	for i := range tr.Cooks {
		tr.Cooks[i].SetPoint = trial.Some(quantity.Celsius((float64(125+5*(i/2)) - 32) * 5 / 9))
	}
	if got, want := Analyse(tr, Options{Quick: true}).Measures[0].Arms[0].Arm, "51.67 °C"; got != want {
		t.Errorf("arm %q, want %q", got, want)
	}
}

// Above sixty levels nobody reads all pairs, and the time that they take is
// not spent.
func TestTooManyLevelsForAllPairs(t *testing.T) {
	t.Parallel()
	tr := degenerate(61, 2, func(i, s int) float64 { return float64(i%5) + float64((3*i+s)%7)/5 })
	m := Analyse(tr, Options{Quick: true, Draws: 100}).Measures[0]
	if len(m.Differences) != 0 {
		t.Errorf("%d differences", len(m.Differences))
	}
	want := Cannot{What: "differences:set_point", Why: "61 levels are too many for all pairs", Need: "declare a control to compare with"}
	if !slices.Contains(m.Cannot, want) {
		t.Errorf("%+v", m.Cannot)
	}
	if !m.Arms[60].Mean.Known() {
		t.Error("the means are gone as well")
	}
	// A tie of the nearest set points is said.
	same := Analyse(degenerate(4, 3, func(int, int) float64 { return 5.1 }), Options{Quick: true, Draws: 100}).Windows
	if len(same) == 0 || same[0].Closest == nil || same[0].Closest.Ties != 3 {
		t.Errorf("windows %+v", same)
	}
}
