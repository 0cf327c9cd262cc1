package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/safety"
)

// refusedNext stands in place of a fix that has somebody eat what the verdict
// calls do not eat.
const refusedNext = "First cook all of it so that it may be eaten: until then nobody tastes, and nothing is proposed here."

// keepFromEating takes out of a fix that has somebody eat what must not be eaten:
// the whole fix, where it concerns nothing else, and otherwise the cooks that must
// not be. They are named in any case: a fix is also read in a list, without its
// finding.
func (c *Case) keepFromEating(f *Finding) {
	bad := c.notToBeEaten()
	if len(bad) == 0 {
		return
	}
	concerns := slices.Clone(f.Where.Cooks)
	if len(concerns) == 0 {
		for l := range c.Levels() {
			if slices.Contains(f.Where.Arms, c.label(l)) {
				concerns = append(concerns, c.cooksWith(l)...)
			}
		}
	}
	if len(concerns) == 0 { // it names none, and so concerns all
		for i := range c.Trial.Cooks {
			concerns = append(concerns, c.Trial.Cooks[i].ID)
		}
	}
	if among(concerns, bad) || len(bad) == len(c.Trial.Cooks) {
		f.Next, f.Fix = prose.Say(refusedNext), "may-be-eaten"
		return
	}
	f.Next = prose.Say("Without ", prose.List(bad), ", which must not be eaten: ", f.Next)
}

// notToBeEaten lists the cooks of which the verdict is do not eat.
func (c *Case) notToBeEaten() []string {
	if c.Safety == nil {
		return nil
	}
	var out []string
	for i := range c.Safety.Cooks {
		if c.Safety.Cooks[i].Verdict == safety.DoNotEat && i < len(c.Trial.Cooks) {
			out = append(out, c.Trial.Cooks[i].ID)
		}
	}
	return out
}
