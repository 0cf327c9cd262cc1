package answer_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trialfile"
)

// ofText answers a trial file.
func ofText(t *testing.T, text string) *answer.Result {
	t.Helper()
	path := filepath.Join(t.TempDir(), "trial.yaml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
	if err != nil || tr == nil || messages.HasErrors() {
		t.Fatalf("%v %v", err, messages)
	}
	return answer.Of(tr, answer.Options{Options: texture.Options{Draws: 40}})
}

const carrots = "tamis: 1\ntitle: Carrots\ndisclosure: Invented data.\nfood: {name: carrot, kind: vegetable, form: whole, shape: slab, thickness: 20 mm, start: 5 °C}\nmeasures: {firmness: {scale: 0 to 10}}\n"

// What was cooked at one set point is not the best of anything.
func TestOneSetPointIsNotTheBest(t *testing.T) {
	t.Parallel()
	for _, x := range []struct{ name, text, says string }{
		{"an aim", "aim: {measure: firmness, target: 4 to 6}\ncooks: [{id: A, set_point: 85 °C, time: 60 min, pieces: [{id: a, firmness: 5}, {id: b, firmness: 6}]}]\n",
			"Only 85 °C for 60 min was cooked, so there is nothing to compare it with."},
		{"no aim", "cooks: [{id: A, set_point: 85 °C, time: 60 min, pieces: [{id: a, firmness: 5}, {id: b, firmness: 6}]}]\n",
			"Only set point 85 °C has a mean firmness: 5.5"},
		{"two", "cooks: [{id: A, set_point: 85 °C, time: 60 min, firmness: 5}, {id: B, set_point: 90 °C, time: 60 min, firmness: 4}]\n", "The highest mean firmness had set point 85 °C"},
	} {
		said := ofText(t, carrots+x.text).Text.Answer.Text(quantity.Metric)
		if !strings.Contains(said, x.says) {
			t.Errorf("%s: %s", x.name, said)
		}
	}
}

// A test that was not made says what would have to be cooked for it.
func TestWhatATestNeeds(t *testing.T) {
	t.Parallel()
	for _, x := range []struct{ cooks, says string }{
		{"cooks: [{id: A, set_point: 85 °C, time: 60 min, firmness: 5}, {id: B, set_point: 90 °C, time: 60 min, firmness: 4}]\n", "cook each set point at least twice"},
		{"cooks: [{id: A, set_point: 85 °C, time: 60 min, firmness: 5}, {id: B, set_point: 85 °C, time: 90 min, firmness: 4}]\n", "cook each time at least twice"},
		{"cooks: [{id: A, set_point: 85 °C, time: 60 min, firmness: 5}, {id: B, set_point: 85 °C, time: 90 min, firmness: 4}, {id: C, set_point: 90 °C, time: 60 min, firmness: 5}, {id: D, set_point: 90 °C, time: 90 min, firmness: 3}]\n",
			"cook each combination of set point and time at least twice"},
	} {
		var needs []string
		for _, m := range ofText(t, carrots+x.cooks).Measures {
			for _, test := range m.Tests {
				needs = append(needs, test.Need)
			}
		}
		if all := strings.Join(needs, "; "); !strings.Contains(all, x.says) {
			t.Errorf("%s\nsays %q, not %q", x.cooks, all, x.says)
		}
	}
}
