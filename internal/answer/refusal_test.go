package answer

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/internal/design"
	"tamis/internal/food"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// drawnTrial is a trial of any kind of food, form and rules, with cooks at a few
// set points and scores that give it something to propose.
func drawnTrial(r *rand.Rand) *trial.Trial {
	kinds := food.Kinds()
	t := twoTimes()
	t.Food.Kind.V = kinds[r.IntN(len(kinds))]
	t.Food.Form.V = trial.Forms[max(0, r.IntN(12)-6)]
	t.Food.Thickness.V = quantity.Millimetres(5 + 45*r.Float64())
	t.Food.Frozen = trial.Opt[trial.Frozen]{Known: r.Float64() < 0.7, V: trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-15 - 10*r.Float64())),
		For: trial.Some(quantity.FromDays(14 * r.Float64())), By: trial.Some("supplier")}}
	minutes := quantity.FromMinutes(30 + 200*r.Float64()*r.Float64())
	low, step := 44+30*r.Float64(), 1+5*r.Float64()
	t.Cooks = nil
	for i := range 9 {
		firm := 2 + float64(i%3)*2 + 0.3*r.NormFloat64()
		t.Cooks = append(t.Cooks, trial.Cook{ID: fmt.Sprint("C", i), SetPoint: trial.Some(quantity.Celsius(low + step*float64(i%3))), Bath: trial.Some("north"),
			Time: trial.Some(minutes), Values: trial.ReadingOf("firmness", trial.Reading{V: firm})})
	}
	return t
}

// Nothing that safety calls do not eat is ever proposed, by an answer or as a
// next trial, whatever the food, the form and the scores.
func TestNothingDangerousIsProposed(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(51, 52))
	n := 60
	if testing.Short() {
		n = 30
	}
	refused, proposed := 0, 0
	for range n {
		tr := drawnTrial(r)
		res := Of(tr, Options{Options: texture.Options{Draws: 200}})
		next, err := NextTrial(tr, res)
		if res.Safety.Verdict == VerdictDoNotEat {
			refused++
			if said := res.Text.Answer.Text(quantity.Metric); !strings.HasPrefix(said, "No set point is proposed") || !errors.Is(err, ErrNotToBeEaten) {
				t.Errorf("%s %s: %q, %v", tr.Food.Kind.V, tr.Food.Form.V, said, err)
			}
			continue
		}
		if err != nil {
			continue
		}
		proposed++
		plan, err := design.Of(next, design.Options{Seed: 1})
		if err != nil {
			t.Errorf("%s %s: what is proposed cannot be laid out: %v", tr.Food.Kind.V, tr.Food.Form.V, err)
			continue
		}
		next = plan.Trial
		for i := range next.Cooks {
			if v := safety.For(next, next.Cooks[i].SetPoint.V.Celsius(), []int{i}); v.Verdict == safety.DoNotEat {
				t.Errorf("%s %s: %v is proposed, and is %v (%v)", tr.Food.Kind.V, tr.Food.Form.V, next.Cooks[i].SetPoint.V, v.Verdict, v.Why)
			}
		}
	}
	if refused == 0 || proposed == 0 {
		t.Errorf("%d refused, %d proposed: one of the two was not tried", refused, proposed)
	}
}
