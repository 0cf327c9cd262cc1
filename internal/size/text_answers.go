package size

import (
	"math"

	"tamis/internal/prose"
)

// text writes the sentences of a difference or similarity test.
func (a *Answers) text(r TestRequest) Text {
	var t Text
	t.Answer = a.answerWords(r)
	t.Why = []prose.Sentence{
		prose.Say("Each answer comes from another person; answers of one person count once."),
		prose.Say("A panel judges the cooks it was served. With one cook of each sample the answer holds for those cooks, not for the set point, however many people answer."),
	}
	if !a.Similarity {
		t.Why = append(t.Why, prose.Say("A test that finds no difference shows no likeness: that is another test, with --similarity."))
	}
	guess := "1 in 2"
	if a.Chance < 0.4 {
		guess = "1 in 3"
	}
	s := prose.Say("Exact binomial test; who guesses is right "+guess+" times. Level ", share(a.Alpha), ", chance to succeed ", share(a.Target), ".")
	if a.TwoSided {
		s = prose.Say(s, " Two-sided: the larger of the two counts.")
	}
	t.Assumed = append(t.Assumed, s)
	if pd, ok := a.Share.Get(); ok {
		s := prose.Say(share(pd), " tell the samples apart, so ", share(a.Correct.Or(0)), " are right")
		if d, ok := a.DPrime.Get(); ok {
			s = prose.Say(s, " (d′ ", prose.Quantity{Kind: prose.Amount, Value: d, Digits: 2}, ")")
		}
		if a.Similarity {
			s = prose.Say("The limit: ", s, ". Truly nobody does")
		}
		t.Assumed = append(t.Assumed, prose.Say(s, "."))
	}
	if c, ok := a.Cost.Get(); ok {
		n := r.Answers
		if a.Needed != nil {
			n = a.Needed.Answers
		}
		t.Cheap = append(t.Cheap, prose.Say(plural(n, "answer"), " cost ", typed(c, ""), "."))
	}
	return t
}

func (a *Answers) answerWords(r TestRequest) []prose.Sentence {
	var out []prose.Sentence
	if n := a.Needed; n != nil {
		k := int(n.Critical.Or(0))
		if a.Similarity {
			out = append(out, prose.Say("To show that fewer than ", share(a.Share.Or(0)), " of people tell the samples apart you need ",
				plural(n.Answers, "answer"), "; they are alike if at most ", count(k), " are right."))
		} else {
			out = append(out, prose.Say("To see that ", share(a.Share.Or(0)), " of people tell the samples apart you need ",
				plural(n.Answers, "answer"), ", of which ", count(k), " must "+a.right()+"."))
		}
	}
	if a.NeededNot != "" {
		out = append(out, prose.Say("To see that you would need "+a.NeededNot+"."))
	}
	c := a.Now
	if c == nil {
		return out
	}
	if c.Cannot != "" {
		return append(out, prose.Say("With ", plural(c.Answers, "answer"), " nothing can be shown: "+c.Cannot+". You need at least ",
			count(a.least(r)), "."))
	}
	k := int(c.Critical.Or(0))
	s := prose.Say("With ", plural(c.Answers, "answer"), ", at least ", count(k), " must "+a.right())
	if a.Similarity {
		s = prose.Say("With ", plural(c.Answers, "answer"), ", at most ", count(k), " may be right")
	}
	if p, ok := c.Power.Get(); ok {
		s = prose.Say(s, "; the chance of that is ", share(p))
	}
	return append(out, prose.Say(s, "."))
}

func (a *Answers) right() string {
	if a.TwoSided {
		return "agree"
	}
	return "be right"
}

// least is the number of answers from which the best result shows something.
func (a *Answers) least(r TestRequest) int {
	if a.Similarity {
		return int(math.Ceil(math.Log(r.Alpha)/math.Log1p(-a.Correct.Or(0)) - 1e-9))
	}
	alpha := r.Alpha
	if a.TwoSided {
		alpha /= 2
	}
	return int(math.Ceil(math.Log(alpha)/math.Log(a.Chance) - 1e-9))
}
