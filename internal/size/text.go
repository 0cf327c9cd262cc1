package size

import (
	"fmt"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// text writes the sentences of the answer. Numbers in them are parts, taken from
// the result.
func (c *Cooks) text(r Request) Text {
	w := words{c: c, r: r}
	return Text{Answer: w.answer(), Why: w.why(), Cheap: w.cheap(), Assumed: w.assumed(), Checked: w.checked()}
}

type words struct {
	c *Cooks
	r Request
}

// by is " by brine", where that is what is compared.
func (w words) by() string {
	if w.c.Factor == "" {
		return ""
	}
	return " by " + w.c.Factor
}

// in is "in firmness", where the measure has a name.
func (w words) in() string {
	if w.r.Words.Measure == "" {
		return ""
	}
	return " in " + w.r.Words.Measure
}

func (w words) cooks(n int) prose.Sentence {
	return prose.Say(plural(n, "cook"), " per "+w.c.Arm)
}

func (w words) effect() prose.Quantity { return one(typed(w.c.Question.Effect, w.c.Unit)) }

func (w words) seen(n quantity.Number) prose.Quantity { return one(amount(n.Or(0), w.c.Unit)) }

// one turns "1 points" into "1 point".
func one(q prose.Quantity) prose.Quantity {
	if q.Unit == "points" && q.Value == 1 && q.Digits == 0 {
		q.Unit = "point"
	}
	return q
}

func (w words) answer() []prose.Sentence {
	c := w.c
	n := c.Now.Design.Cooks
	var out []prose.Sentence
	switch {
	case c.Now.Cannot != "":
		out = append(out, prose.Say("With ", w.cooks(n), " you cannot see any difference: "+c.Now.Cannot+"."),
			prose.Say(prose.Upper(c.Now.Need)+"."))
	default:
		out = append(out, prose.Say("With ", w.cooks(n), " you can see a difference of ", w.seen(c.Now.Visible), w.in()+w.by()+"."))
	}
	if c.Question.Effect == 0 {
		return out
	}
	switch {
	case c.NeededNot != "":
		out = append(out, prose.Say("For ", w.effect(), " you would need "+c.NeededNot+": look for a measure that spreads less."))
	case c.Needed.Design.Cooks == n:
		out = append(out, prose.Say("For ", w.effect(), " that is what you need."))
	case c.Needed.Design.Cooks > n:
		out = append(out, prose.Say("For ", w.effect(), " you need ", count(c.Needed.Design.Cooks), "."))
	default:
		out = append(out, prose.Say("For ", w.effect(), ", ", count(c.Needed.Design.Cooks), " would do."))
	}
	if p, ok := c.Now.Power.Get(); ok && p < c.Question.Power {
		out = append(out, prose.Say("As it stands, the chance to see ", w.effect(), " is ", share(p), "."))
	}
	return out
}

// why says what counts, and what cannot be bought with pieces and people.
func (w words) why() []prose.Sentence {
	c := w.c
	out := []prose.Sentence{prose.Say("To see a difference means that "+odds(c.Question.Power)+" find it, at a level of ", share(c.Question.Alpha), ".")}
	if h, ok := c.Now.HalfWidth.Get(); ok {
		two := "two " + c.Arm + "s"
		if c.Factor != "" {
			two = "two levels of " + c.Factor
		}
		out = append(out, prose.Say("The difference of "+two+" would be known to ± ", one(amount(h, c.Unit)), " (95 % interval)."))
	}
	if c.Factor != "" {
		return append(out, w.whyPieces()...)
	}
	more := "pieces"
	if c.Design.Assessors > 0 {
		more = "pieces and tasters"
	}
	switch f, ok := c.Floor.Get(); {
	case c.Spread.Cooks == 0 && w.r.Words.From == FromCooks:
		out = append(out, prose.Say("The cooks of this trial differ no more than their "+more+" explain, so "+more+" look as good as cooks. "+
			"With ", count(w.r.Words.SpreadDF), " df that may be luck: plan with a spread between cooks."))
	case c.Spread.Cooks == 0:
		out = append(out, prose.Say("Here cooks of one "+c.Arm+" are taken not to differ. They nearly always do: state the spread between cooks."))
	case !ok:
		out = append(out, prose.Say("A "+c.Arm+" is applied to a cook, so more "+more+" cannot stand in for cooks."))
	default:
		s := prose.Say("More "+more+" cannot stand in for cooks, because a "+c.Arm+" is applied to a cook: with ", w.cooks(c.Design.Cooks),
			" and "+more+" without end you would still see no less than ", w.seen(c.Floor), ".")
		if e := c.Question.Effect; e > 0 && f > e {
			s = prose.Say(s, " No number of them gets you to ", w.effect(), ".")
		}
		out = append(out, s)
	}
	return out
}

func (w words) assumed() []prose.Sentence {
	c, s := w.c, w.c.Spread
	out := []prose.Sentence{w.layout(c.Design)}
	level := func(v float64, what string) prose.Sentence {
		return prose.Say(one(prose.Quantity{Kind: prose.Amount, Value: v, Unit: "", Digits: digits(v)}), " "+what)
	}
	parts := []prose.Sentence{level(s.Cooks, "between cooks")}
	unit, sd := "cook", c.Now.SD
	if c.Factor != "" {
		parts, unit, sd = nil, "piece", c.Now.PieceSD
	}
	if s.Pieces > 0 || c.Factor != "" {
		parts = append(parts, level(s.Pieces, "between pieces"))
	}
	if s.Scores > 0 {
		what := "between scores"
		if c.Design.Assessors == 0 {
			what = "between readings"
		}
		parts = append(parts, level(s.Scores, what))
	}
	spread := prose.Say("Spread (SD): ", prose.And(parts...), ". A "+unit+"'s mean: ", prose.Quantity{Kind: prose.Amount, Value: sd, Digits: digits(sd)})
	if lo, ok := c.SpreadLow.Get(); ok {
		hi := c.SpreadHigh.Or(0)
		spread = prose.Say(spread, ", itself known only to ", prose.Quantity{Kind: prose.Amount, Value: lo, Digits: digits(lo)}, " to ",
			prose.Quantity{Kind: prose.Amount, Value: hi, Digits: digits(lo)}, " (95 %, ", count(w.r.Words.SpreadDF), " df)")
	}
	out = append(out, prose.Say(spread, "."))
	switch w.r.Words.From {
	case FromNowhere:
		out = append(out, prose.Say("Nobody stated how much cooks of one "+c.Arm+" differ, so differences count in standard deviations between cooks (SD). "+
			"To know it, cook one "+c.Arm+" three times, or name a trial that did."))
	case FromDeclared:
		out = append(out, prose.Say("The spread is what the trial file expects; nothing was measured yet."))
	case FromNoPieces:
		out = append(out, prose.Say("Nobody stated how much pieces of one cook differ, so differences count in standard deviations between pieces (SD). "+
			"To know it, cook three pieces alike in one bath, or name a trial that did."))
	case FromCooks:
		out = append(out, prose.Say("The spread is that of this trial's own cooks."))
	case FromPieces:
		out = append(out, prose.Say("The spread is that of this trial's own pieces, treated alike."))
	}
	if c.Design.OtherDF > 0 {
		out = append(out, prose.Say("What else this trial varied from cook to cook takes ", count(c.Design.OtherDF), " df again."))
	}
	return append(out, w.test())
}

func (w words) block() string {
	if w.r.Words.Block == "" {
		return "session"
	}
	return w.r.Words.Block
}

// layout words a design.
func (w words) layout(d Design) prose.Sentence {
	s := prose.Say(plural(d.SetPoints, w.c.Arm), ", ", plural(d.Cooks, "cook"), " of each")
	if d.Sessions > 1 {
		s = prose.Say(s, ", in ", plural(d.Sessions, w.block()))
	}
	s = prose.Say(s, "; ", plural(d.Pieces, "piece"), " a cook")
	if d.within() {
		if d.Sources > 1 {
			s = prose.Say(s, ", of ", plural(d.Sources, "source"))
		}
		s = prose.Say(s, "; ", plural(d.Within, "level"), " of "+w.c.Factor+" in every cook")
		if d.Sources > 1 {
			s = prose.Say(s, ", of every source")
		}
	}
	switch {
	case d.Assessors == 0:
		s = prose.Say(s, ", nobody tastes")
	case d.People() > d.Assessors:
		s = prose.Say(s, "; ", plural(d.People(), "taster"), ", of whom ", count(d.Assessors), " score each piece")
	case d.tasted() == d.Pieces && d.Pieces > 1:
		s = prose.Say(s, "; ", plural(d.Assessors, "taster"), ", everybody scores every piece")
	case d.Pieces > 1:
		s = prose.Say(s, "; ", plural(d.Assessors, "taster"), ", each scores ", count(d.tasted()), " of them")
	default:
		s = prose.Say(s, "; ", plural(d.Assessors, "taster"))
	}
	return prose.Say(s, ".")
}

// test words the test and the means it is asked about.
func (w words) test() prose.Sentence {
	c := w.c
	if c.Factor != "" {
		return w.testPieces()
	}
	arms := c.Arm + "s"
	removed := ""
	if c.Design.Sessions > 1 {
		removed = ", " + w.block() + "s removed"
	}
	df := ""
	if c.Now.DF > 0 {
		df = fmt.Sprintf(", %d df", c.Now.DF)
	}
	switch {
	case c.Question.Pair || c.Design.SetPoints == 2 && len(c.Question.Means) == 0:
		side := "two-sided"
		if c.Question.OneSided {
			side = "one-sided, the direction named beforehand"
		}
		which := "the two " + arms
		if c.Design.SetPoints > 2 {
			which = "two " + arms + " named beforehand"
		}
		return prose.Say("Test: t of " + which + " on cook means" + removed + df + "; " + side + ".")
	case len(c.Question.Means) > 0:
		return prose.Say("Test: F of all " + arms + " on cook means" + removed + df + "; the means are those you gave.")
	}
	return prose.Say("Test: F of all " + arms + " on cook means" + removed + df +
		". Two of them are that far apart and the others half-way between, which is the hardest case to see.")
}

func (w words) checked() []prose.Sentence {
	var out []prose.Sentence
	for _, s := range w.c.Simulated {
		n := w.cooks(s.Design.Cooks)
		err := prose.Quantity{Kind: prose.Share, Value: s.Error, Digits: 1}
		exact := prose.Quantity{Kind: prose.Share, Value: s.Share, Digits: 1}
		formula := prose.Quantity{Kind: prose.Share, Value: s.Formula, Digits: 1}
		if s.Effect == 0 {
			out = append(out, prose.Say("No difference, ", n, ": seen all the same in ", exact, " (± ", err, "), formula ", formula, "."))
		} else {
			e := one(amount(s.Effect, w.c.Unit))
			if s.Effect == w.c.Question.Effect {
				e = w.effect()
			}
			out = append(out, prose.Say(e, ", ", n, ": seen in ", exact, " (± ", err, "), formula ", formula, "."))
		}
		if s.NoTest > 0 {
			out = append(out, prose.Say("In ", count(s.NoTest), " of them the analysis gave no test."))
		}
	}
	if len(out) > 0 {
		s, unit := w.c.Simulated[0], "cook"
		if w.c.Factor != "" {
			unit = "piece"
		}
		first := prose.Say(count(s.Draws), " invented trials of each kind, analysed on "+unit+" means as fit does (± is one Monte Carlo error, seed ",
			prose.Quantity{Kind: prose.Count, Value: float64(w.c.Seed)}, "):")
		out = append([]prose.Sentence{first}, out...)
		return out
	}
	switch c := w.c; {
	case w.r.Draws == 0:
	case c.Design.OtherDF > 0:
		out = append(out, prose.Say("Not simulated, because other things vary from cook to cook as well: the formula stands alone."))
	case c.Now.Cannot != "" && c.Needed == nil:
		out = append(out, prose.Say("There is no test to simulate."))
	default:
		out = append(out, prose.Say("Not simulated, because so large a trial takes too long to analyse a thousand times: the formula stands alone."))
	}
	return out
}

func (w words) cheap() []prose.Sentence {
	ch := w.c.Cheapest
	if ch == nil {
		return nil
	}
	d := ch.Point.Design
	what := prose.Say(w.cooks(d.Cooks), ", ", plural(d.Pieces, "piece"), " a cook")
	upTo := prose.Say(w.cooks(ch.Bounds.Cooks), ", ", plural(ch.Bounds.Pieces, "piece"), " a cook")
	if d.Assessors > 0 {
		what = prose.Say(what, ", ", plural(d.People(), "taster"))
		if d.People() > d.Assessors {
			what = prose.Say(what, ", of whom ", count(d.Assessors), " score each piece")
		}
		upTo = prose.Say(upTo, ", ", plural(ch.Bounds.Assessors, "taster"))
	}
	p, _ := ch.Point.Power.Get()
	if !ch.Found {
		return []prose.Sentence{
			prose.Say("No design up to ", upTo, " reaches ", share(w.c.Question.Power), ". The best of them reaches ", share(p), "."),
			prose.Say("What limits it is the number of cooks: raise --most-cooks, or settle for a larger difference."),
		}
	}
	out := []prose.Sentence{
		prose.Say("The cheapest design that reaches ", share(w.c.Question.Power), ": ", what, "."),
		prose.Say("It costs ", typed(ch.Cost.Or(0), ""), " and reaches ", share(p), "; the design you gave costs ", typed(ch.NowCost, ""), "."),
		prose.Say("Searched up to ", upTo, "."),
	}
	for _, l := range ch.Limits {
		switch l {
		case "cooks_per_set_point":
			out = append(out, prose.Say("What limits it is the number of cooks: with --most-cooks raised, fewer pieces or tasters may do."))
		case "pieces_per_cook":
			out = append(out, prose.Say("What limits it is the number of pieces: with --most-pieces raised it may get cheaper."))
		case "assessors":
			out = append(out, prose.Say("What limits it is the number of tasters: with --most-assessors raised it may get cheaper."))
		}
	}
	if len(ch.Limits) == 0 {
		out = append(out, prose.Say("No bound of the search limits it: what limits it is the price of a cook against that of a piece and a taster."))
	}
	return out
}
