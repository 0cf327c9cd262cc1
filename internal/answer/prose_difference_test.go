package answer

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// A trial that has difference tests and no numbers is answered by them. By the
// binomial sum P(X >= 8) = 0.019 and P(X >= 7) = 0.066 for 12 guesses at 1/3, and
// P(X >= 9) = 0.073 for 12 at 1/2.
func TestAnswerOfDifferenceTests(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		test trial.DifferenceTest
		want string
		each int
	}{
		{trial.DifferenceTest{Kind: trial.Triangle, Between: []string{"A, A2", "B, B2"}, Answers: 12, Correct: 8}, "Tasters can tell what was cooked at 83 °C from what was cooked at 88 °C: 8 of 12 answers were right (triangle), and 8 would have been enough.", 2},
		{trial.DifferenceTest{Kind: trial.Triangle, Between: []string{"A", "B"}, Answers: 12, Correct: 8}, "They tasted one cook of each", 1},
		{trial.DifferenceTest{Kind: trial.Triangle, Between: []string{"A, A2", "B, B2"}, Answers: 12, Correct: 7}, "7 of 12 answers were right (triangle), and 8 would have been needed. That does not show that they are alike.", 2},
		{trial.DifferenceTest{Kind: trial.Triangle, Between: []string{"A", "B"}, Answers: 2, Correct: 2}, "cannot be said from so few answers", 2},
		{trial.DifferenceTest{Kind: trial.DuoTrio, Between: []string{"A", "A2"}, Answers: 12, Correct: 9}, "Nobody has shown that A and A2 can be told apart", 2},
	} {
		x := &trial.Trial{Title: trial.Some("T"), Food: trial.Food{Name: trial.Some("carrot"), Kind: trial.Some("vegetable")}, Tests: []trial.DifferenceTest{c.test}}
		for i, id := range []string{"A", "B", "A2", "B2"}[:2*c.each] {
			x.Cooks = append(x.Cooks, trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius([]float64{83, 88}[i%2])), Time: trial.Some(quantity.FromMinutes(45))})
		}
		r := Of(x, Options{Options: texture.Options{Draws: 10}})
		if got := r.Text.Answer.Text(quantity.Metric); !strings.Contains(got, c.want) {
			t.Errorf("%+v:\n%s\nwant %s", c.test, got, c.want)
		}
	}
}
