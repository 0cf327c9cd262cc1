package fairness

import (
	"fmt"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/safety"
)

// No sentence about what to do next sends anybody to a temperature that is not to
// be eaten: whatever temperature a fix names is either one that the verdict lets
// pass for that food and those people, or the sentence says not to.
func TestNoDangerousFix(t *testing.T) {
	t.Parallel()
	for _, food := range []string{
		"food: {name: chicken breast, kind: poultry, form: whole, shape: slab, thickness: 25 mm, start: 4 °C}\n",
		"food: {name: minced pork, kind: beef pork lamb, form: minced, shape: slab, thickness: 20 mm, start: 4 °C}\n",
		"food: {name: pollack loin, kind: lean fish, form: whole, shape: slab, thickness: 15 mm, start: 4 °C}\n",
	} {
		for _, serve := range []string{"[public]", "[vulnerable]"} {
			for _, arms := range [][2]int{{40, 52}, {48, 60}, {56, 68}} {
				name := fmt.Sprintf("%s %s %v", food[13:20], serve, arms)
				t.Run(name, func(t *testing.T) {
					t.Parallel()
					about := &spoken{text: food + fmt.Sprintf("serve: %s\nrules: eu\nparts: ~\naim: {measure: firmness, target: 4.4 to 4.6}\ncooks: [{set_point: %d °C, chilled: yes, reheat: {at: %d °C, for: 20 min}, served_at: 30 °C}, {set_point: %d °C, served_at: 45 °C, chilled: no}]",
						serve, arms[0], arms[0]+2, arms[1])}
					tr := about.inputs(t).Trial
					for _, conclusion := range []string{"", fmt.Sprintf("Cook it at %d °C.", arms[0]-5), fmt.Sprintf("At %d °C it is right.", (arms[0]+arms[1])/2), "At 30 °C it is tender."} {
						r := about.run(t, conclusion)
						for _, f := range r.Findings {
							said := f.Next.Text(quantity.Metric)
							for _, m := range temperaturesIn(said) {
								if denied(said[:m.start]) {
									continue
								}
								served := nearWords(said, m.start, m.end, phrasesOf("ice", "cool", "chill*", "fridge", "below", "reheat*", "serve*", "bring", "above", "warm"))
								if !served && safety.For(tr, m.celsius, nil).Verdict == safety.DoNotEat {
									t.Errorf("%s: %s", f.Slug, said)
								}
							}
						}
					}
				})
			}
		}
	}
}
