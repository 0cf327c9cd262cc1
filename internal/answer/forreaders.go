package answer

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/fairness"
	"tamis/internal/trial"
)

// ForReaders is what a write-up says to people who were not there, beside the
// prose of every page.
type ForReaders struct {
	Lead       []Sentence // the answer with its doubt in it; the first stands alone
	Sure       []Sentence // how sure, in at most three sentences
	Against    []Doubt    // what weakens it, worst first
	CannotTell []Sentence
	Method     []Sentence // the steps, without the cautions that come first; empty where none may be proposed
	Blocked    []Sentence // why it must not be published as it is; empty: it may
}

// ReadersOf says what a write-up says. t is the trial that r was computed from;
// neither is altered.
func ReadersOf(t *trial.Trial, r *Result) ForReaders {
	b := &builder{t: t, r: r, head: headOf(r)}
	out := ForReaders{Lead: b.lead(), Sure: b.howSure(), CannotTell: b.cannotTell(), Method: b.steps(), Blocked: BlockedFor(r)}
	out.Against = b.against()
	return out
}

// against lists what weakens the answer, worst first. What was found in the
// author's words weakens those words and stands beside them.
func (b *builder) against() (out []Doubt) {
	wording := map[string]bool{}
	for i := range b.r.Findings {
		if f := &b.r.Findings[i]; f.About == fairness.AboutWording {
			wording[f.Slug] = true
		}
	}
	for _, d := range b.r.Doubts.Roots {
		if d.Severity >= fairness.Weakens && !wording[d.Slug] {
			out = append(out, d)
		}
	}
	return out
}

// BlockedFor lists what stands against publishing: findings that block, and
// words of safety that the verdict does not carry, accepted or not.
func BlockedFor(r *Result) (out []Sentence) {
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Outcome != fairness.Fires || len(f.Text) == 0 {
			continue
		}
		if f.Slug == "safe-words" || f.Severity == fairness.Blocks && f.Under == "" && f.Accepted == nil {
			out = append(out, f.Text)
		}
	}
	return out
}

// onceEach reports whether the answer is only what came closest this once.
func (b *builder) onceEach() bool { return b.r.OneCookEach() && b.closestNamed() }

func (b *builder) closestNamed() bool {
	c := closestOf(b.r)
	return b.head != nil && c != nil && c.Ties == 0 && !b.refused() && b.r.Safety.Verdict != VerdictNone
}

// lead is the answer as somebody meets it who was not there.
func (b *builder) lead() []Sentence {
	if b.onceEach() {
		c := closestOf(b.r)
		return []Sentence{
			Say("This does not show which set point is best."),
			Say("Each was cooked once. ", Quantity{Kind: SetPoint, Value: c.SetPoint.Or(0), Digits: 1}, b.methodWords(c.Method, ", ", " for "),
				" came closest to the aim, and that may be the piece, the "+b.holder()+" or the day."),
		}
	}
	out := []Sentence{b.r.Text.Answer}
	if !b.refused() && len(b.r.Text.Doubt) > 0 {
		out = append(out, b.r.Text.Doubt[0])
	}
	return out
}

// howSure puts the claim in three sentences: how far it reaches, the chance, and
// what it rests on or what speaks loudest against it.
func (b *builder) howSure() (out []Sentence) {
	level := fairness.L0
	if b.r.Claim != nil {
		level = b.r.Claim.Level
	}
	tasted := len(b.t.AssessorIDs()) > 0
	reach := Say("Holds for: ", level.HoldsFor(), ". ")
	switch {
	case level == fairness.L0 && b.r.OneCookEach():
		reach = Say(reach, "Cooked again, it may come out the other way round.")
	case level == fairness.L0 && len(b.t.Cooks) == 1:
		reach = Say("Holds for: this cook. Whether the next one comes out alike was not shown", b.firstLack(), ".")
	case level == fairness.L0:
		reach = Say("Holds for: these cooks. Whether the next ones come out alike was not shown", b.firstLack(), ".")
	case level == fairness.L1 && tasted:
		reach = Say(reach, "The tasters could tell these pieces apart. Whether the next pieces differ as much was not shown.")
	case level == fairness.L1:
		reach = Say(reach, "These pieces differed. Whether the next ones differ as much was not shown.")
	case level == fairness.L2:
		reach = Say(reach, "Cooked again there, it should come out alike. What came from elsewhere was not tried.")
	case level == fairness.L3:
		reach = Say(reach, "It came out alike in every delivery that was tried.")
	default:
		reach = Say(reach, "Other guests were not asked.")
	}
	out = append(out, reach)
	if s := b.chance(); len(s) > 0 {
		out = append(out, s)
	}
	return append(out, b.restsOn())
}

// firstLack is what the next step of the claim would have needed, if that can be
// counted.
func (b *builder) firstLack() Sentence {
	if b.r.Claim == nil || len(b.r.Claim.Lacks) == 0 {
		return nil
	}
	l := b.r.Claim.Lacks[0]
	if _, err := strconv.Atoi(l.Need); err != nil || l.Have == "" {
		return nil
	}
	return Say("; that takes ", l.Need, " ", strings.ReplaceAll(l.What, "assessors", "tasters"), ", and there were ", l.Have)
}

// chance says how likely the aims are to hold at the set point that is named.
func (b *builder) chance() Sentence {
	w := b.head
	what := "the aim holds"
	if len(b.r.Trial.Aims) > 1 {
		what = "all aims hold"
	}
	switch {
	case b.refused():
		return Say("It is not to be eaten, so no chance is given.")
	case b.r.OneCookEach():
		return Say("No chance can be given, because no set point was cooked twice.")
	case w == nil && len(b.r.Trial.Aims) == 0:
		return Say("No aim was stated, so nothing here is best; there are only differences.")
	case w == nil:
		return nil
	case w.Cannot != "":
		return Say("No chance can be given: ", w.Cannot, ".")
	}
	top, ok := w.Next.Top.Get()
	if !ok {
		return nil
	}
	if top >= 1-1e-9 { // never certain: it is a share of redrawn worlds
		return Say("Cooked once more at the set point of the answer, ", what, " more often than 9 times in 10.")
	}
	return Say("The chance that ", what, " in the next cook at the best set point is ", OutOfTen(top), ".")
}

// restsOn names the loudest doubt, or what the answer rests on.
func (b *builder) restsOn() Sentence {
	if against := b.against(); len(against) > 0 {
		return Say("What speaks most against it: ", against[0].Text)
	}
	s := Say("It rests on ", plural(len(b.t.Cooks), "cook"))
	if n := len(b.t.AssessorIDs()); n > 0 {
		s = Say(s, ", scored by ", plural(n, "taster"))
		if p := b.t.Panel; p.Known && p.V.Blind.Known && p.V.Blind.V {
			s = Say(s, " who did not know which was which")
		}
	}
	return Say(s, ". More bites of the same cooks would not make it surer; more cooks would.")
}

// cannotTell lists what the trial leaves open.
func (b *builder) cannotTell() (out []Sentence) {
	say := func(parts ...any) { out = append(out, Say(parts...)) }
	level := fairness.L0
	if b.r.Claim != nil {
		level = b.r.Claim.Level
		switch b.r.Claim.Subject {
		case fairness.SubjectTime:
			say("What the temperature did alone: the time changed along with it.")
		case fairness.SubjectMethod:
			say("What the temperature did alone: other things changed along with it.")
		}
	}
	if b.r.OneCookEach() {
		say("Whether it was the set point at all: each was cooked once.")
	}
	arms := b.t.Arms()
	if n := len(arms); n > 1 {
		say("What happens below ", tempAt(arms[0]), " and above ", tempAt(arms[n-1]), ": nothing was cooked there.")
	}
	food := b.t.Food.Name.Or("the food")
	if level < fairness.L3 {
		say("Whether another delivery of ", food, " comes out the same, or another kitchen gets the same.")
	} else {
		say("Whether another kitchen gets the same.")
	}
	switch n := len(b.t.AssessorIDs()); {
	case level >= fairness.L4:
	case n > 0:
		say("Whether guests would notice or like it: ", plural(n, "taster"), " of one kitchen cannot speak for them.")
	default:
		say("Whether guests would notice or like it: they were not asked.")
	}
	if low, high, ok := b.thicknesses(cooksOf(b.t)); ok {
		s := Say("How pieces turn out that are thinner or thicker than ", Quantity{Kind: Length, Value: low})
		if high-low >= 0.5 {
			s = Say("How pieces turn out that are thinner than ", Quantity{Kind: Length, Value: low}, " or thicker than ", Quantity{Kind: Length, Value: high})
		}
		out = append(out, Say(s, "."))
	}
	unjudged := 0
	for i := range b.r.Findings {
		if b.r.Findings[i].Outcome == fairness.CannotJudge {
			unjudged++
		}
	}
	if unjudged > 0 {
		say("What else may have differed: ", plural(unjudged, "question"), " about that could not be answered, because too little was written down.")
	}
	return out
}

func tempAt(a trial.Arm) Quantity {
	c := a.SetPoint.Celsius()
	return Quantity{Kind: Temperature, Value: c, Digits: tempDigits(c)}
}

func cooksOf(t *trial.Trial) []int {
	out := make([]int, len(t.Cooks))
	for i := range out {
		out[i] = i
	}
	return out
}

// thicknesses are the thinnest and thickest piece of some cooks in mm, or what
// is said of all.
func (b *builder) thicknesses(cooks []int) (low, high float64, ok bool) {
	low = math.Inf(1)
	for _, i := range cooks {
		for _, p := range b.t.Cooks[i].Pieces {
			if p.Thickness.Known {
				v := p.Thickness.V.Millimetres()
				low, high, ok = math.Min(low, v), math.Max(high, v), true
			}
		}
	}
	if !ok && b.t.Food.Thickness.Known {
		v := b.t.Food.Thickness.V.Millimetres()
		return v, v, true
	}
	return low, high, ok
}

// steps is the method of the answer as it was cooked. The cautions come before
// it and are not repeated.
func (b *builder) steps() (out []Sentence) {
	_, method, ok := named(b.r, b.head)
	shown, _ := shownPoint(b.r, b.head)
	if !ok || b.refused() || b.r.OneCookEach() && !b.closestNamed() || b.r.Safety.Verdict == VerdictNone {
		return nil
	}
	cooks := cooksBy(b.t, method)
	if b.r.OneCookEach() { // of what was done once, only what was done
		cooks = slices.DeleteFunc(cooks, func(i int) bool {
			return math.Abs(b.t.Cooks[i].SetPoint.V.Celsius()-shown) > 0.01
		})
	}
	say := func(parts ...any) { out = append(out, Say(parts...)) }
	if b.r.OneCookEach() {
		say("Take this as a note of one cook, not as a recipe.")
	}
	take := Say("Take ", b.t.Food.Name.Or("the food"))
	if low, high, ok := b.thicknesses(cooks); ok {
		take = Say(take, ", ", Quantity{Kind: Length, Value: low})
		if high-low >= 0.5 {
			take = Say(take, " to ", Quantity{Kind: Length, Value: high})
		}
		take = Say(take, " thick")
	}
	if b.t.Food.Start.Known {
		take = Say(take, ", from ", Quantity{Kind: Temperature, Value: b.t.Food.Start.V.Celsius(), Digits: tempDigits(b.t.Food.Start.V.Celsius())})
	}
	out = append(out, Say(take, "."))
	like, piece, found := cookLike(b.t, method)
	var tr trial.Treatment
	if found {
		tr = b.t.Cooks[like].Treatments(piece)
	}
	if tr.Brine.Known && tr.Brine.V.Kind != trial.NoBrine {
		out = append(out, brineStep(tr.Brine.V))
	}
	at := Quantity{Kind: SetPoint, Value: shown, Digits: 1}
	cook := Say("Cook it by ", string(b.t.Medium.Or(trial.WaterBath)), " at ", at)
	if b.t.Medium.Or(trial.WaterBath) == trial.WaterBath {
		cook = Say("Hold the water bath at ", at)
		if s := b.r.RunSheet; s != nil {
			if tol, ok := s.Tolerance.Get(); ok && tol > 0 {
				cook = Say(cook, ", within ", Quantity{Kind: Tolerance, Value: tol})
			}
		}
	}
	out = append(out, Say(cook, "."))
	if minutes, ok := sharedTime(b.t, cooks); ok {
		leave := Say("Leave it in for ", Quantity{Kind: Duration, Value: minutes}, ".")
		if b.r.Safety.Verdict != VerdictNotAsked {
			leave = Say(leave, " Check the core of the thickest piece with a probe.")
		}
		out = append(out, leave)
	}
	if f := tr.Finish; f.Known && !f.V.None {
		say(upper(f.V.Label()), ".")
	}
	return out
}

func brineStep(b trial.Brine) Sentence {
	s := Say("Salt it")
	if b.Kind == trial.WetBrine {
		s = Say("Brine it")
	}
	if b.Salt.Known {
		share := Quantity{Kind: Share, Value: b.Salt.V.Fraction(), Digits: shareDigits(b.Salt.V.Fraction())}
		s = Say(s, " with ", share, " salt")
		if b.Of.Known {
			s = Say(s, " of the ", string(b.Of.V))
		}
	}
	if b.Sugar.Known {
		s = Say(s, " and ", Quantity{Kind: Share, Value: b.Sugar.V.Fraction(), Digits: shareDigits(b.Sugar.V.Fraction())}, " sugar")
	}
	if b.AtTmp.Known {
		s = Say(s, ", at ", Quantity{Kind: Temperature, Value: b.AtTmp.V.Celsius(), Digits: tempDigits(b.AtTmp.V.Celsius())})
	}
	if b.For.Known {
		s = Say(s, ", for ", Quantity{Kind: Duration, Value: b.For.V.Minutes()})
	}
	return Say(s, ".")
}

// shareDigits are the decimals of a percentage as it was typed, at most two.
func shareDigits(fraction float64) int {
	for d := range 2 {
		if v := 100 * fraction * math.Pow10(d); math.Abs(v-math.Round(v)) < 1e-6 {
			return d
		}
	}
	return 2
}
