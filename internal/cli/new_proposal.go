package cli

import (
	"math"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// ladders are set points in °C that cooks of a kind of food compare, gentlest
// first. They are common practice, without a source, and only ever proposed where
// the verdict allows it.
var ladders = map[string][][3]float64{
	"lean fish":      {{46, 50, 54}, {62, 65, 68}, {72, 75, 78}},
	"oily fish":      {{44, 48, 52}, {62, 65, 68}, {72, 75, 78}},
	"poultry":        {{60, 64, 68}, {64, 68, 72}, {72, 75, 78}},
	"beef pork lamb": {{54, 57, 60}, {58, 62, 66}, {72, 75, 78}},
	"game":           {{58, 62, 66}, {72, 75, 78}},
	"shell egg":      {{62, 64, 66}, {72, 75, 78}},
	"bivalve":        {{92, 94, 96}},
	"crustacean":     {{60, 65, 70}, {75, 80, 85}},
	"cephalopod":     {{60, 70, 80}, {75, 82, 89}},
	"vegetable":      {{82, 85, 88}},
	"fruit":          {{70, 76, 82}},
	"pulse":          {{92, 95, 98}},
	"":               {{48, 52, 56}},
	"other":          {{62, 68, 74}, {75, 80, 85}},
}

// timesProposed are the times that are tried, the shortest first.
var timesProposed = []quantity.Duration{quantity.FromMinutes(60), quantity.FromMinutes(90), quantity.FromHours(2), quantity.FromHours(3), quantity.FromHours(4),
	quantity.FromHours(6)}

// proposal is the answer that Enter stands for: the gentlest ladder, and the
// shortest time, at which the core arrives and the verdict does not forbid to
// eat it. It is "" where there is none.
func (n *newTrial) proposal(cmd *cobra.Command) string {
	points, time, ok := n.proposed(cmd, false)
	if !ok {
		return ""
	}
	return strings.Join(points, ", ") + " for " + time
}

// proposed is the gentlest ladder and the shortest time, or with keep the time
// that is there, at which nothing is called not to be eaten.
func (n *newTrial) proposed(cmd *cobra.Command, keep bool) (set []string, minutes string, ok bool) {
	times := timesProposed
	if keep {
		d, err := quantity.ParseDuration(n.time)
		if err != nil {
			return nil, "", false
		}
		times = []quantity.Duration{d}
	}
	for _, ladder := range ladders[n.kind] {
		points := n.ladder(ladder)
		for _, time := range times {
			d := *n
			d.setPoints, d.time = points, time.String()
			t, err := d.draft(cmd)
			if err == nil && edible(t) && arrives(t, time) {
				return points, d.time, true
			}
		}
	}
	return nil, "", false
}

// ladder is set points as they are written, whole in the unit that is shown.
func (n *newTrial) ladder(celsius [3]float64) (points []string) {
	for _, c := range celsius {
		p := quantity.Celsius(c)
		if n.system() == quantity.US {
			p = quantity.Fahrenheit(math.Ceil(p.Fahrenheit())) // never colder
		}
		points = append(points, p.String())
	}
	return points
}

// edible reports whether no set point of a design is called not to be eaten.
func edible(t *trial.Trial) bool {
	for _, v := range answer.Summarise(t, nil).Verdicts {
		if v.Verdict == answer.VerdictDoNotEat {
			return false
		}
	}
	return true
}

// arrives reports whether the core of every cook arrives within a time even
// if everything is unfavourable, as far as that can be computed.
func arrives(t *trial.Trial, time quantity.Duration) bool {
	laid := *t
	for _, p := range t.Design.V.SetPoints {
		laid.Cooks = append(laid.Cooks, trial.Cook{SetPoint: trial.Some(p), Time: trial.Some(time)})
	}
	for _, c := range heat.OfTrial(&laid).Cooks {
		if c.ComeUp().Known && c.ComeUp().High > time.Minutes() {
			return false
		}
	}
	return true
}
