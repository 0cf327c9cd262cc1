package answer

import (
	"tamis/internal/fairness"
	"tamis/internal/texture"
)

// said puts the difference between two set points in words, as wide as the claim
// may be.
func (b *builder) said(m *texture.Measure, g gap, cold, hot texture.Arm, first bool) Sentence {
	name, at, than := measureWords(m.Name), b.armWords(hot), b.armWords(cold)
	switch {
	case g.unclear():
		return Say("No difference in ", name, " was seen between ", than, " and ", at, ": ", g.pick("higher", "lower"), " at the hotter by ", g.size(), ".")
	case g.zero():
		return Say("Mean ", name, " was the same at ", than, " and ", at, ".")
	}
	level := b.level(m.Name, cold.Arm, hot.Arm)
	if b.r.Claim != nil && level > b.r.Claim.Level && b.r.Claim.Level >= fairness.L1 {
		level = b.r.Claim.Level // a sentence is never wider than the trial
	}
	who := "In our trial "
	if !first {
		who = "Here "
	}
	switch level {
	case fairness.L0:
		return Say(who, "the ", at, " pieces ", scored(m), " ", b.value(m, hot.Mean, hot.SE), " in ", name, " and the ", than, " pieces ", b.value(m, cold.Mean, cold.SE), ".")
	case fairness.L1:
		if m.Assessors == 0 {
			return b.hedged(Say("The ", at, " pieces had ", g.pick("higher ", "lower "), name, " than the ", than, " pieces, by ", g.size(), "."))
		}
		return b.hedged(Say(panelOf(m), " scored the ", at, " pieces ", g.pick("higher", "lower"), " in ", name, " than the ", than, " pieces, by ", g.size(), "."))
	case fairness.L2:
		return b.hedged(Say("In our kitchen ", at, " tended to give ", g.pick("higher ", "lower "), name, " than ", than, ": by ", g.size(), "."))
	case fairness.L3:
		return b.hedged(Say("With this food, as we buy it, ", at, " gives ", g.pick("higher ", "lower "), name, " than ", than, ": by ", g.size(), "."))
	}
	return b.hedged(Say("Guests like those we asked give ", at, " ", g.pick("higher ", "lower "), name, " than ", than, ": by ", g.size(), "."))
}

// armWords names a set point, and says where it cannot stand alone.
func (b *builder) armWords(a texture.Arm) Sentence {
	s := tempOf(a.SetPoint)
	if b.r.Claim == nil {
		return s
	}
	switch b.r.Claim.Subject {
	case fairness.SubjectTime:
		return Say(s, " with its time")
	case fairness.SubjectMethod:
		return Say(s, " with all that went with it")
	}
	return s
}

func scored(m *texture.Measure) string {
	if m.Assessors > 0 {
		return "scored"
	}
	return "had"
}

func panelOf(m *texture.Measure) string {
	if m.Assessors == 1 {
		return "Our taster"
	}
	return "Our panel"
}
