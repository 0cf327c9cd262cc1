package size

import (
	"fmt"

	"tamis/internal/prose"
)

// whyPieces says what counts where levels of a factor of pieces are compared.
func (w words) whyPieces() []prose.Sentence {
	c := w.c
	name := c.Factor
	out := []prose.Sentence{prose.Say(prose.Upper(name) + " is varied from piece to piece and compared within each cook, so pieces are what counts, " +
		"and what differs between cooks cancels.")}
	if c.Design.Assessors == 0 {
		return out
	}
	f, ok := c.Floor.Get()
	switch {
	case !ok && w.r.Words.From == FromPieces:
		return append(out, prose.Say("The pieces of this trial differ no more than their scores explain, so tasters look as good as pieces. With ",
			count(w.r.Words.SpreadDF), " df that may be luck: plan with a spread between pieces."))
	case !ok:
		return append(out, prose.Say("Here pieces of one cook are taken not to differ. They nearly always do: state the spread between pieces."))
	}
	s := prose.Say("More tasters cannot stand in for pieces: with ", w.cooks(c.Design.Cooks), " and tasters without end you would still see no less than ",
		w.seen(c.Floor), ".")
	if e := c.Question.Effect; e > 0 && f > e {
		s = prose.Say(s, " No number of them gets you to ", w.effect(), ".")
	}
	return append(out, s)
}

// testPieces words the test of a factor of pieces.
func (w words) testPieces() prose.Sentence {
	c := w.c
	removed := "cooks removed"
	if c.Design.Sources > 1 {
		removed = "cooks and the sources in them removed"
	}
	if c.Now.DF > 0 {
		removed += fmt.Sprintf(", %d df", c.Now.DF)
	}
	k := c.Design.Within
	switch {
	case c.Question.pair(k):
		side := "two-sided"
		if c.Question.OneSided {
			side = "one-sided, the direction named beforehand"
		}
		which := "the two levels"
		if k > 2 {
			which = "two levels, named beforehand,"
		}
		return prose.Say("Test: t of " + which + " of " + c.Factor + " on piece means, " + removed + "; " + side + ".")
	case len(c.Question.Means) > 0:
		return prose.Say("Test: F of all levels of " + c.Factor + " on piece means, " + removed + "; the means are those you gave.")
	}
	return prose.Say("Test: F of all levels of " + c.Factor + " on piece means, " + removed +
		". Two of them are that far apart and the others half-way between, which is the hardest case to see.")
}
