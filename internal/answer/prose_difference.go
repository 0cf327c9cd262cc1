package answer

import (
	"math"
	"slices"
	"strings"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// toldApart is the answer of a trial that has difference tests and no numbers: the
// first of them that was answered; nil where there is none. It speaks of what was
// cooked and no further.
func (b *builder) toldApart() Sentence {
	for i := range b.r.Tests {
		if d := &b.r.Tests[i]; d.Cannot == "" && d.Answers > 0 {
			return b.difference(d)
		}
	}
	if len(b.t.Panel.V.Triangles) > 0 {
		return Say("There is nothing to answer yet: the triangles are laid out, and none has an answer.")
	}
	return nil
}

func (b *builder) difference(d *texture.DiffTest) Sentence {
	right := Say(counted(d.Correct), " of ", counted(d.Answers), " answers were right ("+d.Kind+")")
	one, other := b.sides(d)
	switch {
	case d.Least == 0:
		return Say("Whether ", one, " and ", other, " can be told apart cannot be said from so few answers: ", right, ", and not even all of them right would have shown it.")
	case d.TwoSided && d.P.Or(1) > 1-b.r.Level, !d.TwoSided && d.Correct < d.Least:
		return Say("Nobody has shown that ", one, " and ", other, " can be told apart: ", right, ", and ", counted(d.Least), " would have been needed. That does not show that they are alike.")
	}
	s := Say("Tasters can tell ", one, " from ", other, ": ", right, ", and ", counted(d.Least), " would have been enough.")
	isCook := func(id string) bool {
		return slices.ContainsFunc(b.t.Cooks, func(c trial.Cook) bool { return c.ID == id })
	}
	if len(d.Between) == 2 && isCook(d.Between[0]) && isCook(d.Between[1]) {
		s = Say(s, " They tasted one cook of each, so anything peculiar to that cook may be what they noticed.")
	}
	return s
}

// sides name what a difference test is between: set points where the cooks of
// either side have one and they differ, else what the file calls them.
func (b *builder) sides(d *texture.DiffTest) (one, other Sentence) {
	if len(d.Between) != 2 {
		return Say("the one"), Say("the other")
	}
	at := func(ids string) (float64, bool) {
		point, any := 0.0, false
		for _, id := range strings.Split(ids, ", ") {
			found := false
			for i := range b.t.Cooks {
				if c := &b.t.Cooks[i]; c.ID == id && c.SetPoint.Known {
					v := c.SetPoint.V.Celsius()
					if any && math.Abs(v-point) > trial.ArmTolerance {
						return 0, false
					}
					point, any, found = v, true, true
				}
			}
			if !found {
				return 0, false
			}
		}
		return point, any
	}
	x, ok := at(d.Between[0])
	y, both := at(d.Between[1])
	if ok && both && math.Abs(x-y) > trial.ArmTolerance {
		return Say("what was cooked at ", Quantity{Kind: SetPoint, Value: x, Digits: 1}), Say("what was cooked at ", Quantity{Kind: SetPoint, Value: y, Digits: 1})
	}
	return Say(d.Between[0]), Say(d.Between[1])
}

func counted(n int) Quantity { return Quantity{Kind: Count, Value: float64(n)} }
