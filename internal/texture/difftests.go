package texture

import (
	"fmt"

	"tamis/internal/stats"
	"tamis/internal/stats/discrim"
	"tamis/internal/trial"
)

// discrimMethod maps the word of the file to the arithmetic. A paired test
// without a named side is two-sided: somebody may find either sample stronger.
func discrimMethod(k trial.TestKind) (m discrim.Method, twoSided, ok bool) {
	switch k {
	case trial.Triangle:
		return discrim.Triangle, false, true
	case trial.DuoTrio:
		return discrim.DuoTrio, false, true
	case trial.TwoAFC:
		return discrim.TwoAFC, false, true
	case trial.ThreeAFC:
		return discrim.ThreeAFC, false, true
	case trial.PairedTwoWay:
		return discrim.TwoAFC, true, true
	}
	return 0, false, false
}

// differenceTests evaluates the counts of the difference tests of the file, and
// its triangles that were answered, counted by the key. A
// count that cannot be (more correct answers than answers) is a test without
// numbers that says so.
func (a *analysis) differenceTests() {
	for _, t := range a.t.Tests {
		a.out.Tests = append(a.out.Tests, differenceTest(t, a.opt.Level))
	}
	for _, c := range a.t.CountTriangles() {
		if c.Answers == 0 {
			continue // laid out and not tasted yet
		}
		d := differenceTest(trial.DifferenceTest{Kind: trial.Triangle, Between: c.Between, Answers: c.Answers, Correct: c.Correct}, a.opt.Level)
		if c.Most > 1 {
			// Guesses are independent whoever makes them, so p holds; how well people
			// can tell is not, so the intervals hold for these people.
			d.Warnings = append(d.Warnings, stats.Warning{ID: "same-people", Text: fmt.Sprintf("%d tasters gave %d answers: p holds all the same, the intervals speak of these tasters and not of others", c.Assessors, c.Answers)})
		}
		a.out.Tests = append(a.out.Tests, d)
	}
}

func differenceTest(t trial.DifferenceTest, level float64) DiffTest {
	out := DiffTest{Kind: string(t.Kind), Between: append([]string{}, t.Between...), Answers: t.Answers, Correct: t.Correct}
	m, twoSided, ok := discrimMethod(t.Kind)
	if !ok {
		return out.without("this kind of test is not known")
	}
	if t.Answers > 0 && (t.Correct < 0 || t.Correct > t.Answers) {
		return out.without("there cannot be more correct answers than answers, or fewer than none")
	}
	r, err := m.Analyse(t.Correct, t.Answers, twoSided, 1-level, level)
	if err != nil {
		return out.without(plain(err))
	}
	out.TwoSided = twoSided
	out.P = num(r.P)
	if r.CanReach {
		out.Least = r.LeastCorrect
	}
	out.PD, out.PDLow, out.PDHigh = num(r.PD), num(r.PDInterval.Low), num(r.PDInterval.High)
	out.Warnings = r.Warnings
	d := r.DPrime
	const unbounded = "no bound: everybody was correct"
	switch d.Place {
	case discrim.Inside:
		out.DPrime, out.SE = num(d.Value), num(d.SE)
	case discrim.AtOrBelowGuessing:
		out.DPrime, out.SE = num(0), absent("at or below guessing there is no standard error")
	default:
		out.DPrime, out.SE = absent(unbounded), absent(unbounded)
	}
	// The likelihood interval holds at the ends as well, where the standard
	// error does not exist.
	out.Low, out.High = num(d.Likelihood.Low), num(d.Likelihood.High)
	if d.Likelihood.LowOpen {
		out.Low = absent("open")
	}
	if d.Likelihood.HighOpen {
		out.High = absent("open")
	}
	if t.Similarity.Known && !twoSided {
		out.similarity(m, t.Similarity.V)
	}
	return out
}

// similarity asks whether fewer than the stated share can tell them apart. That
// a difference was not significant does not show it.
func (d *DiffTest) similarity(m discrim.Method, s trial.Similarity) {
	r, err := m.Similarity(d.Correct, d.Answers, s.PD.Fraction(), s.Beta.Fraction())
	if err != nil {
		d.SimilarCannot = plain(err)
		return
	}
	if !r.CanReach {
		d.SimilarCannot = "not even 0 correct of so few answers would show it"
	}
	d.Similar, d.MostAllow = &r.Similar, r.MostCorrect
	d.SimilarUpper = ptr(num(r.Upper))
	d.Warnings = append(d.Warnings, r.Warnings...)
}

func (d DiffTest) without(why string) DiffTest {
	d.Cannot = why
	n := absent(why)
	d.P, d.DPrime, d.SE, d.Low, d.High, d.PD, d.PDLow, d.PDHigh = n, n, n, n, n, n, n, n
	return d
}
