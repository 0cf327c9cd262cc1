package texture

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/trialfile"
)

// Where a covariate goes along with the set point, adjusting for it changes the
// estimate. Here most of what the set point seems to do is the thickness.
//
// Reference: R 4.2.2, lm(y ~ session + arm) and lm(y ~ session + arm + x), the row
// of the last arm with confint; the robustness values by the formula of Cinelli and
// Hazlett 2020 from R's t and df.
func TestAdjustedForThickness(t *testing.T) {
	t.Parallel()
	mm := []float64{20, 23, 25, 21, 22, 26, 19, 24, 24}
	shear := []float64{30.2, 36.9, 41.5, 31.8, 34.7, 44.1, 28.4, 38.6, 40.0}
	var b strings.Builder
	b.WriteString("tamis: 1\ntitle: x\ndisclosure: Invented data.\nfood: {name: carrot, kind: vegetable, form: whole, shape: slab, thickness: 22 mm, start: 5 °C}\n" +
		"aim: {measure: shear, at_most: 38}\nmeasures: {shear: {unit: N}}\ncooks:\n")
	for i := range mm {
		fmt.Fprintf(&b, "  - {id: C%d, set_point: %d °C, time: 60 min, session: s%d, pieces: [{id: p%d, thickness: %g mm, shear: %g}]}\n", i+1, 80+4*(i%3), i/3+1, i+1, mm[i], shear[i])
	}
	path := filepath.Join(t.TempDir(), "x.yaml")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
	if err != nil || tr == nil || messages.HasErrors() {
		t.Fatal(err, messages)
	}
	s := Analyse(tr, Options{Draws: 20}).Measures.Named("shear").Sensitivity
	if s == nil {
		t.Fatal("no sensitivity")
	}
	const r = "R 4.2.2, lm and confint"
	raw, adjusted := &s.Analyses[0], named(s, "with the thickness")
	if adjusted == nil || !raw.Headline {
		t.Fatalf("%+v", s.Analyses)
	}
	within(t, "raw", raw.Estimate, 11.73333333333333, 1e-9, r)
	within(t, "raw, low", raw.Low, 6.68062136445868, 1e-9, r)
	within(t, "raw, high", raw.High, 16.78604530220799, 1e-9, r)
	within(t, "raw, p", raw.P, 0.00297837999049, 1e-9, r)
	within(t, "adjusted", adjusted.Estimate, 2.1708333333333, 1e-9, r)
	within(t, "adjusted, low", adjusted.Low, -0.3928535028702, 1e-9, r)
	within(t, "adjusted, high", adjusted.High, 4.7345201695368, 1e-9, r)
	within(t, "adjusted, p", adjusted.P, 0.0741133755911, 1e-9, r)
	within(t, "robustness value", s.Robustness.Value, 0.9187723468, 1e-9, r)
	within(t, "robustness value of significance", s.Robustness.ValueP, 0.615882142489, 1e-9, r+"; (f² − f*²)/(1 + f²), the case f > 1/f* of Cinelli and Hazlett")
}
