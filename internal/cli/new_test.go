package cli

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/diag"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

func TestRunOrder(t *testing.T) {
	t.Parallel()
	for n := 1; n <= 40; n++ {
		place := make([]float64, n)
		for repeat := 0; repeat < 2*n; repeat++ {
			seen := make([]bool, n)
			for at, k := range runOrder(n, repeat) {
				if k < 0 || k >= n || seen[k] {
					t.Fatalf("n %d, repeat %d: %v is no order", n, repeat, runOrder(n, repeat))
				}
				seen[k] = true
				place[k] += float64(at) - float64(n-1)/2
			}
			if repeat%2 == 0 {
				continue
			}
			// After each pair of repeats every set point was in the middle on average.
			for k, p := range place {
				if math.Abs(p) > 1e-9 {
					t.Fatalf("n %d: set point %d is %v off the middle after %d repeats", n, k, p, repeat+1)
				}
			}
		}
		if n < 3 {
			continue
		}
		// A single repeat does not follow the set point either: the correlation of
		// place and set point stays at or below 0.5, the bound for drawn orders.
		var xy, xx float64
		for at, k := range runOrder(n, 0) {
			a, b := float64(at)-float64(n-1)/2, float64(k)-float64(n-1)/2
			xy, xx = xy+a*b, xx+b*b
		}
		if r := math.Abs(xy / xx); r > 0.5+1e-9 {
			t.Errorf("n %d: the order follows the set point, r = %.2f", n, r)
		}
	}
}

func TestParseAim(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		want trial.Aim
	}{
		{"firmness 5 to 6.5", trial.Aim{Measure: "firmness", Target: trial.Some(trial.Range{Low: 5, High: 6.5})}},
		{"  surface protein  at most 2 ", trial.Aim{Measure: "surface_protein", AtMost: trial.Some(2.0)}},
		{"dryness at_most 3", trial.Aim{Measure: "dryness", AtMost: trial.Some(3.0)}},
		{"juiciness at_least -1.5", trial.Aim{Measure: "juiciness", AtLeast: trial.Some(-1.5)}},
		{"liking highest", trial.Aim{Measure: "liking", Best: trial.Some(trial.Highest)}},
		{"cook loss lowest", trial.Aim{Measure: "cook_loss", Best: trial.Some(trial.Lowest)}},
	} {
		if got, err := parseAim(c.in); err != nil || got != c.want {
			t.Errorf("%q: %+v, %v", c.in, got, err)
		}
	}
	for _, bad := range []string{"", "firmness", "highest", "firmness 5", "firmness 5 6", "5 to 6", "firmness 6 to 5", "firmness a to 6", "firmness 5 to NaN",
		"firmness 5 to Inf", "firmness at most", "at most 3", "firmness at best 3", "firmness 5 – 6"} {
		if got, err := parseAim(bad); err == nil {
			t.Errorf("%q is taken as %+v", bad, got)
		}
	}
}

// Whatever the flags say, what new writes is read back without an error and
// with the same words.
func TestNewRoundTrip(t *testing.T) {
	t.Parallel()
	for _, word := range []string{"plain", "a: b", "# no comment", "- item", "'single' \"double\"", "{flow} [list]", "&anchor *alias", "!!tag", "null", "~", "yes",
		"1e3", "007", "2026-02-30", "trailing: ", "</script>", "back\\slash", "%percent", "@at", "`tick`", "| pipe", "> fold", "é 鱈 🐟", "\u202eright to left",
		"tab\tinside", "two\nlines", strings.Repeat("long ", 200)} {
		code, out, errs := run(t.Context(), "new", "--title", word, "--food", word, "--by", word, "--question", word, "--aim", "bite 4 to 6")
		if code != ExitDone {
			t.Errorf("%q: code %d, %s", word, code, errs)
			continue
		}
		path := filepath.Join(t.TempDir(), "t.yaml")
		if err := os.WriteFile(path, []byte(out), 0o600); err != nil {
			t.Fatal(err)
		}
		tr, messages, err := trialfile.Read(path, vocabulary())
		if err != nil || messages.HasErrors() {
			t.Errorf("%q: %v %v", word, err, messages)
			continue
		}
		want := strings.TrimSpace(word)
		for what, got := range map[string]string{"title": tr.Title.V, "food": tr.Food.Name.V, "by": tr.By.V, "question": tr.Question.V} {
			if strings.TrimSpace(got) != want && diag.Clean(got) != diag.Clean(want) {
				t.Errorf("%s %q came back as %q", what, want, got)
			}
		}
		if len(tr.Design.V.SetPoints) != 3 || len(tr.Aims) != 1 {
			t.Errorf("%q: %d set points, %d aims", word, len(tr.Design.V.SetPoints), len(tr.Aims))
		}
	}
}
