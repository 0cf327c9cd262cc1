package answer_test

import (
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/trialfile"
)

func demo(t *testing.T, name string) *answer.Result {
	t.Helper()
	tr, diags, err := trialfile.Read(filepath.Join("..", "..", "trials", name, name+".yaml"), trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err, diags)
	}
	return answer.Of(tr, answer.Options{})
}

// From the thickness on that is too thick to be served, so is every thicker one,
// and in the same words: whoever may serve a thinner piece is told to cut.
func TestRunSheetEndsWhereItIsTooThick(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"pollack", "trout", "chicken"} {
		s := demo(t, name).RunSheet
		if s == nil {
			t.Fatalf("%s has no run sheet", name)
		}
		served, thick := false, false
		for _, row := range s.Rows {
			switch {
			case row.Word == answer.WordTooThick:
				thick = true
			case served && row.Word == answer.WordDoNotEat:
				t.Errorf("%s: %g mm is not to be eaten, and a thinner piece is", name, row.Thickness)
			case thick:
				t.Errorf("%s: %g mm may be served, and a thinner piece is too thick", name, row.Thickness)
			default:
				served = true
			}
		}
	}
}

// A plant is not probed, and what would change the author's words alone is not
// what to cook next.
func TestWhatToDoFitsTheFood(t *testing.T) {
	t.Parallel()
	carrot := demo(t, "carrot")
	if carrot.Safety.Verdict != answer.VerdictNotAsked {
		t.Fatal(carrot.Safety.Verdict)
	}
	if s := carrot.RunSheet; s != nil && strings.Contains(s.Note.Text(quantity.Metric), "probe") {
		t.Errorf("a carrot is probed: %s", s.Note.Text(quantity.Metric))
	}
	if carrot.Claim.HoldsFor != "these cooks" {
		t.Errorf("twelve cooks are %q", carrot.Claim.HoldsFor)
	}
	trout := demo(t, "trout")
	if trout.Claim.HoldsFor != "this cook" {
		t.Errorf("one cook each is %q", trout.Claim.HoldsFor)
	}
	said, fires := "", false
	for _, s := range trout.Doubts.Next {
		said += s.Text(quantity.Metric) + "\n"
	}
	for _, f := range trout.Findings {
		fires = fires || f.Slug == "ratio-on-ratings" && f.Outcome == "fires"
	}
	if !fires || said == "" || strings.Contains(said, "ratio") || strings.Contains(said, "sentence") {
		t.Errorf("fires: %v; next: %s", fires, said)
	}
}
