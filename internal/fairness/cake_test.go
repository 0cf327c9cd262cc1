package fairness

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// In the cake data the batches fall in the order in which they are numbered, and a
// recipe belongs to a whole batch: whoever counts cakes holds it against the wrong
// error. The temperature belongs to the cake, and may be counted so.
func TestCake(t *testing.T) {
	t.Parallel()
	files := map[string]string{}
	for _, name := range []string{"cake.yaml", "cooks.csv"} {
		b, err := os.ReadFile(filepath.Join("../../testdata/cake", name))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = string(b)
	}
	yaml := strings.Replace(files["cake.yaml"], "tamis: 1\n", "tamis: 1\nanalysis: {unit: cook}\n", 1)
	tr := readText(t, yaml, map[string]string{"cooks.csv": files["cooks.csv"]})
	r, err := Run(Inputs{Trial: tr, Fit: texture.Analyse(tr, texture.Options{Draws: 2, Quick: true})})
	if err != nil {
		t.Fatal(err)
	}
	drift, wrong := false, false
	for _, f := range r.Findings {
		if f.Outcome != Fires {
			continue
		}
		text := f.Text.Text(quantity.Metric)
		drift = drift || f.Slug == "drift-over-runs" && f.Factor == "" && strings.Contains(text, "from the first block to the last")
		if f.Slug == "looks-counted-as-runs" {
			if f.Factor != "recipe" || f.Severity != Blocks || !strings.Contains(text, "recipe was given to a whole block. There are 45 blocks") {
				t.Errorf("%s %s: %s", f.Factor, f.Severity, text)
			}
			wrong = true
		}
	}
	if !drift || !wrong {
		t.Errorf("drift %v, wrong error %v", drift, wrong)
	}
}
