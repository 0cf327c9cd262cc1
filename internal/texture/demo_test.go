package texture_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

func demo(t testing.TB, name string) *trial.Trial {
	t.Helper()
	tr, diags, err := trialfile.Read("../../trials/"+name+"/"+name+".yaml", trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err, diags)
	}
	return tr
}

// The demo trials were drawn with a panel that agrees: nobody may be accused.
func TestDemoTrials(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"pollack", "chicken", "carrot", "trout"} {
		r := texture.Analyse(demo(t, name), texture.Options{Draws: 50})
		b, err := json.Marshal(r)
		if err != nil || strings.Contains(string(b), "NaN") {
			t.Fatalf("%s: %v", name, err)
		}
		for _, m := range r.Measures {
			if m.Panel != nil && len(m.Panel.OutOfStep)+len(m.Panel.Flat) > 0 {
				t.Errorf("%s, %s: %v %v", name, m.Name, m.Panel.OutOfStep, m.Panel.Flat)
			}
			if strings.Contains(string(b), `"anna"`) {
				t.Errorf("%s: a name in the result", name)
			}
		}
	}
}

func TestPollackTreatments(t *testing.T) {
	t.Parallel()
	r := texture.Analyse(demo(t, "pollack"), texture.Options{Draws: 50})
	for _, name := range []string{"firmness", "surface_protein", "cook_loss", "cook_loss_on_brined"} {
		m := r.Measures.Named(name)
		if m == nil || len(m.Treatments) != 1 {
			t.Fatalf("%s has no treatment", name)
		}
		tr := m.Treatments[0]
		if !tr.Paired || tr.Unit != "piece" || len(tr.At) != 6 || !tr.Interaction.P.Known() {
			t.Errorf("%s: paired %v on the %s, %d set points, interaction %q", name, tr.Paired, tr.Unit, len(tr.At), tr.Interaction.Cannot)
		}
		if hasRatio := strings.HasPrefix(name, "cook_loss"); hasRatio != (tr.Ratio != nil) {
			t.Errorf("%s: ratio %v", name, tr.Ratio)
		}
		if m.Sensitivity == nil {
			t.Errorf("%s has no sensitivity: %v", name, m.Cannot)
		}
	}
	// R 4.2.2 on pieces.csv: lm(difference ~ set point) over the 36 pairs of a fish
	// in a cook, and anova of pair + brine against pair + brine:set_point.
	sp := r.Measures.Named("surface_protein").Treatments[0]
	for _, c := range []struct {
		what      string
		got       texture.Number
		want, rel float64
	}{
		{"difference", sp.Average.Estimate, 7.916667e-01, 1e-6}, // seven digits
		{"its SE", sp.Average.SE, 5.306937e-02, 1e-6},
		{"t", sp.Average.T, 14.91758, 1e-6},
		{"df", sp.Average.DF, 30, 0},
		{"interaction F", sp.Interaction.F, 28.89, 3e-4}, // four digits
		{"interaction df1", sp.Interaction.DF1, 5, 0},
		{"interaction df2", sp.Interaction.DF2, 30, 0},
	} {
		if v, ok := c.got.Get(); !ok || math.Abs(v-c.want) > c.rel*math.Abs(c.want) {
			t.Errorf("surface protein, %s: %v, want %v (R 4.2.2)", c.what, c.got, c.want)
		}
	}
	if len(r.Measures.Named("flake").Penalty) != 7 {
		t.Errorf("%d penalties, want all arms together and six", len(r.Measures.Named("flake").Penalty))
	}
	if s := r.Measures.Named("liking").Panel.Segments; s == nil || len(s.Shares) != 6 || s.P.Known() {
		t.Errorf("%+v: 8 people are too few for groups, not for shares", s)
	}
}

// One cook of each: no headline, so nothing to be sensitive.
func TestTroutHasNoSensitivity(t *testing.T) {
	t.Parallel()
	m := texture.Analyse(demo(t, "trout"), texture.Options{Draws: 50}).Measures.Named("firmness")
	if m.Sensitivity != nil {
		t.Error("an estimate without an error was varied")
	}
	found := false
	for _, c := range m.Cannot {
		found = found || (c.What == "sensitivity" && c.Need != "")
	}
	if !found {
		t.Errorf("%+v", m.Cannot)
	}
}
