package report

import (
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// A triangle has a ballot with the codes, the consent and the question, and
// neither cook nor set point; one with a portion that must not be eaten has none.
func TestTriangleBallots(t *testing.T) {
	t.Parallel()
	page := func(kind string, warm float64) (ballots, labels string) {
		tr := &trial.Trial{Food: trial.Food{Name: trial.Some("supper"), Kind: trial.Some(kind), Thickness: trial.Some(quantity.Millimetres(20))}}
		for i, c := range []float64{64, warm} {
			id := []string{"cold-cook", "warm-cook"}[i]
			tr.Cooks = append(tr.Cooks, trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(c)), Time: trial.Some(quantity.FromMinutes(240)), Pieces: []trial.Piece{{ID: id + "-1"}}})
		}
		tr.Panel = trial.Some(trial.Panel{Key: []trial.KeyEntry{{Code: "357", Piece: "cold-cook-1"}, {Code: "482", Piece: "cold-cook-1"}, {Code: "731", Piece: "warm-cook-1"}},
			Triangles: []trial.TriangleSet{{Assessor: "taster", Set: 1, Codes: [3]string{"482", "731", "357"}}}})
		sheets, err := Sheets(tr, answer.SheetsOf(tr), OnClock{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range sheets {
			switch s.Name {
			case "ballots.html":
				ballots = string(s.HTML)
			case "labels.html":
				labels = string(s.HTML)
			}
		}
		return ballots, labels
	}
	ballots, labels := page("vegetable", 85)
	for _, want := range []string{">482</span><span class=\"box\">731</span><span class=\"box\">357<", "Which is the odd one", "Signed:", "allergic"} {
		if !strings.Contains(ballots, want) {
			t.Errorf("the ballot lacks %q", want)
		}
	}
	for _, tells := range []string{"cold-cook", "warm-cook", "64", "85 °C"} {
		if body := ballots[strings.Index(ballots, "Which is the odd one"):strings.Index(ballots, "<footer>")]; strings.Contains(body, tells) {
			t.Errorf("the ballot tells %q", tells)
		}
	}
	if !strings.Contains(labels, "Triangles: three portions a set") || !strings.Contains(labels, "cold-cook-1") {
		t.Error("whoever serves does not learn which portion is which")
	}
	ballots, labels = page("poultry", 40)
	if strings.Contains(ballots, "Which is the odd one") || !strings.Contains(labels, "do not serve") {
		t.Error("there is a ballot for what must not be eaten")
	}
}

// A name that is longer than three lines of large letters shows its ends, and all
// of it is there in small ones.
func TestShortened(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, short, full string }{
		{"C01", "C01", ""},
		{"carrot-old-shed-83", "carrot-old-shed-83", ""},
		{"the-bath-by-the-window-2", "the-ba…ndow-2", "the-bath-by-the-window-2"},
		{strings.Repeat("ä", 100), "ääääää…ääääää", strings.Repeat("ä", 100)},
	} {
		if short, full := shortened(c.name); short != c.short || full != c.full {
			t.Errorf("%s: %s, %s", c.name, short, full)
		}
	}
}
