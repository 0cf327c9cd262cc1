package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

var carryOver = Check{
	Slug:   "carry-over",
	Short:  "the sample before",
	Family: Serving,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Does the sample before colour the one after?",
	Needs:  []string{"scores.position", "scores.session", "panel.rinse"},
	Finds: "The number of times each set point came right after each other one is counted. Once scored, the effect of the sample before is tested " +
		"within sittings with samples and places taken out: p < {carry-p} is a note, and p < 0.005 weakens where the counts differ by more than " +
		"one. A pair that follows twice as often as the average or more, while another never does, is a note by itself.",
	Clears:   "The counts are near even, and the test has p of {carry-p} or more with ten residual degrees of freedom.",
	Unjudged: "The position is missing, there are fewer than ten residual degrees of freedom and p is 0.005 or more, or only two set points, where what came before cannot be told from the order.",
	Why:      "After a rubbery bite a normal one seems tender. Where one set point always follows the rubbery one, it is scored for its neighbour.",
	Wording:  "What came before seems to have changed the score of {measure} (p {p}). {after} came right after {before} {n}, another pair {least}.",
	Others: map[string]string{
		"even":  "What came before seems to have changed the score of {measure} (p {p}). Each sample came about equally often after each other one, so the means are fair, but they are less sharp.",
		"order": "{after} came right after {before} {n}, another pair {least}. If a bite colours the next, that is not evened out.",
	},
	Hedge:   "the sample before may have coloured the next",
	Next:    "Let a plan balance what comes before, with water and a plain cracker and one to two minutes between bites.",
	Eats:    true,
	Fix:     "balance-order",
	Source:  "Williams 1949, Aust. J. Sci. Res. A 2:149, from memory; the limits are house rules.",
	Options: []string{"carry-p"},
	FiresOn: ordersExample("A B C", "A B C", "B C A"),
	ClearOn: ordersExample("A B C", "B C A", "C A B", "C B A", "A C B", "B A C"),
	Judge:   judgeCarryOver,
	Example: exampleCarryOver,
}

// mostFollows is how many times the average a pair must follow, while another never
// does, to be worth a note before there is an effect: orders that are balanced for
// place only, or long and drawn by lot, stay below it.
const mostFollows = 2

// leastCarry is the residual degrees of freedom needed to call carry-over absent.
const leastCarry = 10

func judgeCarryOver(c *Case) Judgement {
	p, ok := c.panel()
	if !ok || len(c.facts.scores) == 0 || !c.Compares() {
		return notApplicable("no serving order of what is compared")
	}
	all, lacks := c.sittings()
	switch {
	case len(lacks) > 0:
		return cannot("scores.position", c.persons(lacks)...)
	case largestSitting(all) < 2:
		return notApplicable("one sample a sitting has none before it")
	case c.Levels() < 3:
		return tooFew("set points, so that what came before differs from the order", c.Levels(), 3)
	}
	f := c.followers(all)
	uneven := f.most-f.least > 1
	fill := Fill{"after": c.levelWords(f.after), "before": c.levelWords(f.before), "n": times(f.most), "least": times(f.least)}
	where := Where{Measures: names(c.tastedMeasures()), At: p.Scores[0].At}
	few := -1
	if c.Stage == Scored {
		for _, m := range c.decidingMeasures() {
			t, ok := carryTest(c.fitted(m.Name))
			if !ok {
				continue
			}
			prob, df := t.P.Or(1), t.DF2.Or(0)
			few = max(few, min(int(df), leastCarry))
			// Few degrees of freedom cannot call it absent, and show it only where it is plain.
			if df < leastCarry && prob >= weakensBelow {
				continue
			}
			if prob >= c.set.number("carry-p") {
				continue
			}
			where.Measures = []string{m.Name}
			fill["measure"], fill["p"] = m.Name, pWords(prob)
			j := Judgement{Outcome: Fires, Severity: Note, Statistic: "p of the sample before", Value: quantity.Num(prob),
				Threshold: quantity.Num(c.set.number("carry-p")), Option: "carry-p", Where: where, Fill: fill}
			switch {
			case !uneven:
				j.Variant = "even"
			case prob < weakensBelow:
				j.Severity = Weakens
			}
			return j
		}
	}
	if uneven && f.least == 0 && float64(f.most) >= mostFollows*f.mean {
		return Judgement{Outcome: Fires, Severity: Note, Variant: "order", Statistic: "largest less smallest number of times one came after another",
			Value: quantity.Num(float64(f.most - f.least)), Threshold: quantity.Num(1), Where: where, Fill: fill}
	}
	if c.Stage == Scored && few < leastCarry {
		return tooFew("residual degrees of freedom of what came before", max(0, few), leastCarry)
	}
	return clear()
}

// times is "3 times", "never".
func times(n int) prose.Sentence {
	switch n {
	case 0:
		return prose.Say("never")
	case 1:
		return prose.Say("once")
	}
	return prose.Say(count(n), " times")
}

func carryTest(m *texture.Measure) (texture.Test, bool) {
	if m == nil {
		return texture.Test{}, false
	}
	for _, p := range m.Place {
		if p.Kind == "carry-over" && p.Absent == "" && p.Test.P.Known() {
			return p.Test, true
		}
	}
	return texture.Test{}, false
}

// following counts how often one level came right after another.
type following struct {
	most, least   int
	mean          float64
	before, after int // the pair with the most
}

// followers counts ordered pairs of different levels at places next to each other.
func (c *Case) followers(all []sitting) following {
	k := c.Levels()
	n := make([]int, k*k)
	for _, s := range all {
		for i := 1; i < len(s.rows); i++ {
			a, b := s.rows[i-1], s.rows[i]
			x, y := c.level(a.Cook, a.Piece), c.level(b.Cook, b.Piece)
			if x >= 0 && y >= 0 && x != y && b.S.Position.V-a.S.Position.V == 1 {
				n[x*k+y]++
			}
		}
	}
	out := following{least: -1}
	for x := range k {
		for y := range k {
			if x == y {
				continue
			}
			v := n[x*k+y]
			out.mean += float64(v) / float64(k*(k-1))
			if out.least < 0 || v < out.least {
				out.least = v
			}
			if v > out.most {
				out.most, out.before, out.after = v, x, y
			}
		}
	}
	return out
}
