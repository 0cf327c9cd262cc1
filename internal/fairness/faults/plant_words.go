package faults

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// wordFaults are faults of the conclusion.
var wordFaults = []Fault{
	{Slug: "ratio-on-ratings", Needs: Shape{Panel: true}, Scored: true, Design: conclusions(
		"At %[2]s it was twice as firm.", "The firmness doubled from %[1]s to %[2]s.", "Firmness rose by 60 %% from %[1]s to %[2]s.", "%[2]s: 1.8 times the firmness of %[1]s.", "It was half as firm at %[1]s.")},
	{Slug: "proves", Scored: true, Design: conclusions(
		"This proves that %[2]s is right.", "%[2]s is always the better one.", "Definitely %[2]s.", "There is no doubt about %[2]s.", "%[1]s is guaranteed to work.", "It never fails at %[2]s.")},
	{Slug: "optimum-from-two", Scored: true, Design: func(t *Trial, s Strength) {
		k := len(t.setPoints)
		t.keep(func(c *cook) bool { return c.arm == 0 || c.arm == k-1 })
		for _, c := range t.cooks {
			c.arm = boolInt(c.arm == k-1)
			c.place = (c.arm + c.session) % 2
		}
		t.setPoints = []float64{t.setPoints[0], t.setPoints[k-1]}
		conclusions("The optimum is %[2]s.", "%[1]s is the sweet spot.", "The ideal set point is %[2]s.", "It peaks at %[1]s.", "%[2]s is the best temperature.")(t, s)
	}},
	{Slug: "beyond-set-points", Scored: true, Design: func(t *Trial, s Strength) {
		low, high := t.setPoints[0], t.setPoints[len(t.setPoints)-1]
		far := by(s, 0.2, 0.5, 1.2) * (high - low)
		v := pick(t.r, low-far, high+far)
		t.head = append(t.head, "conclusion: "+strconv.Quote(fmt.Sprintf(pick(t.r, "At %s it is dry.", "Cook it at %s.", "%s is too much.", "It firms up to %s."), t.degrees(math.Round(v)))))
	}},
	{Slug: "same-without-margin", Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = 0
		conclusions("%[1]s and %[2]s are the same.", "There is no difference between %[1]s and %[2]s.", "%[1]s is just as firm as %[2]s.", "The set point does not matter.", "%[1]s and %[2]s cannot be told apart.")(t, s)
	}},
	{Slug: "wider-than-trial", Scored: true, Design: conclusions(
		"Guests prefer %[2]s.", "All fish firms at %[2]s.", "Everyone likes %[1]s.", "Meat is better at %[1]s.", "Lobster behaves like this at %[2]s.", "People want it at %[1]s.")},
	{Slug: "winner-within-noise", Needs: Shape{Panel: true, Order: true}, Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = 0
		t.aim = "{measure: firmness, best: highest}"
		conclusions("%[2]s is better than %[1]s.", "%[1]s wins over %[2]s.", "We prefer %[2]s to %[1]s.", "%[2]s beats %[1]s.", "It was firmer at %[2]s than at %[1]s.")(t, s)
	}},
	{Slug: "safe-words", Needs: Shape{Animal: true}, Design: func(t *Trial, s Strength) {
		// A quarter of the time: no core is pasteurised, so that the words are wrong.
		for _, c := range t.cooks {
			c.minutes = t.food.minutes / 4
		}
		t.write.logs = false
		conclusions("At %[1]s it is safe for everyone.", "Fine for children, at %[1]s.", "It can be given to pregnant women.", "Safe for the elderly.", "At %[1]s there is no risk for children.")(t, s)
	}},
}

func conclusions(list ...string) func(t *Trial, s Strength) {
	return func(t *Trial, s Strength) {
		// A set point in the text is one of the trial's.
		low, high := t.degrees(t.setPoints[0]), t.degrees(t.setPoints[len(t.setPoints)-1])
		text := strings.NewReplacer("%[1]s", low, "%[2]s", high, "%%", "%").Replace(pick(t.r, list...))
		t.head = append(t.head, "conclusion: "+strconv.Quote(text))
	}
}
