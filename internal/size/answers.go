package size

import (
	"errors"
	"fmt"
	"math"

	"tamis/internal/quantity"
	"tamis/internal/stats"
	"tamis/internal/stats/discrim"
)

// TestRequest asks for the size of a test in which people choose or sort
// samples, or of a comparison of two shares.
type TestRequest struct {
	Method discrim.Method
	// TwoSided is for 2-AFC: either sample may have more.
	TwoSided bool
	// Answers there are; 0 when the number is asked for only.
	Answers int
	// Distinguish is the share of people who truly tell the samples apart, from 0
	// to 1, or 0 when DPrime is given, or neither. In a similarity test it is the
	// largest share that would not matter.
	Distinguish float64
	DPrime      float64
	Alpha       float64 // risk of seeing a difference that is not there
	Power       float64
	// Similarity asks to show that the samples are alike, with the risk Alpha of
	// saying so wrongly, when truly nobody tells them apart.
	Similarity    bool
	PriceAssessor float64
}

// Answers is the size of such a test. Every answer comes from another person:
// answers of one person are not independent.
type Answers struct {
	Test       string          `json:"test"`
	Similarity bool            `json:"similarity"`
	TwoSided   bool            `json:"two_sided"`
	Chance     float64         `json:"guessing"` // share correct of who guesses
	Alpha      float64         `json:"alpha"`
	Target     float64         `json:"power"`
	Share      quantity.Number `json:"share_telling_apart"`
	DPrime     quantity.Number `json:"d_prime"`
	Correct    quantity.Number `json:"share_correct"`
	Now        *Count          `json:"now,omitempty"`
	Needed     *Count          `json:"needed,omitempty"`
	NeededNot  string          `json:"needed_not,omitempty"`
	// FirstReaching is the smallest number whose power reaches the target; a
	// slightly larger one may fall below it, and Needed never does.
	FirstReaching quantity.Number `json:"first_reaching"`
	Curve         []Count         `json:"curve"`
	Others        []Other         `json:"other_tests,omitempty"`
	Cost          quantity.Number `json:"cost"`
}

// Count is a number of answers with what it can show.
type Count struct {
	Answers int `json:"answers"`
	// Critical is the least number correct that shows a difference, or the largest
	// that shows similarity; absent when no number would.
	Critical quantity.Number `json:"critical_count"`
	Power    quantity.Number `json:"power"`
	Cannot   string          `json:"cannot,omitempty"`
}

// Other is another test for the same sensory distance.
type Other struct {
	Test    string          `json:"test"`
	Answers quantity.Number `json:"answers"`
}

// MostAnswers bounds the answers of a test.
const MostAnswers = 100_000

func (r TestRequest) check() error {
	switch {
	case r.Answers < 0 || r.Answers > MostAnswers:
		return problem("answers", fmt.Sprintf("%d: between 1 and %d", r.Answers, MostAnswers), "")
	case !(r.Alpha >= 1e-6 && r.Alpha <= 0.5):
		return problem("alpha", fmt.Sprintf("%v: a level, from 0.000001 to 0.5", r.Alpha), "write for example --alpha 0.05")
	case !(r.Power > r.Alpha && r.Power <= 0.9999):
		return problem("power", fmt.Sprintf("%v: a chance, above the level of %v and at most 0.9999", r.Power, r.Alpha), "write for example --power 0.8")
	case r.Distinguish != 0 && r.DPrime != 0:
		return problem("pd", "and --d-prime exclude each other", "both say how different the samples are")
	case !(r.Distinguish >= 0 && r.Distinguish <= 1):
		return problem("pd", fmt.Sprintf("%v: a share of people, above 0 and at most 100 %%", r.Distinguish), "write for example --pd 30%")
	case !(r.DPrime >= 0 && r.DPrime <= 50):
		return problem("d-prime", fmt.Sprintf("%v: a sensory distance, from 0 to 50", r.DPrime), "write for example --d-prime 1")
	case r.TwoSided && r.Method != discrim.TwoAFC:
		return problem("two-sided", "belongs to --test 2-afc", "in the other tests there is one right answer")
	case r.Similarity && r.TwoSided:
		return problem("similarity", "and --two-sided exclude each other", "")
	case r.Similarity && r.Distinguish == 0 && r.DPrime == 0:
		return problem("similarity", "needs the share of people that would still not matter", "write for example --pd 30%")
	case r.Similarity && r.Distinguish == 1:
		return problem("pd", "1: a limit of everybody shows nothing", "write for example --pd 30%")
	case r.Answers == 0 && r.Distinguish == 0 && r.DPrime == 0:
		return problem("test", "needs the number of answers, or how different the samples are", "write --answers 24, --pd 30% or --d-prime 1")
	case !(r.PriceAssessor >= 0 && r.PriceAssessor <= 1e9):
		return problem("price-assessor", fmt.Sprintf("%v: a price, from 0 to a billion", r.PriceAssessor), "")
	}
	return nil
}

// OfTest sizes a difference or a similarity test by the exact binomial
// distribution. A difference test finds a difference when the chance of so many
// correct answers by guessing is at most Alpha; its power is the chance of that
// when the share correct is c + (1 − c)·pd, with c the share of guessing. A
// similarity test calls samples alike when so few correct answers have a chance
// of at most Alpha under a share pd; its power is for nobody telling them apart.
// Errors: *Problem.
func OfTest(r TestRequest) (*Result, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	m := r.Method
	a := &Answers{Test: m.String(), Similarity: r.Similarity, TwoSided: r.TwoSided, Chance: m.Chance(), Alpha: r.Alpha, Target: r.Power}
	const unnamed = "no difference was named"
	a.Share, a.DPrime, a.Correct = quantity.Absent(unnamed), quantity.Absent(unnamed), quantity.Absent(unnamed)
	a.FirstReaching, a.Cost = quantity.Absent(unnamed), quantity.Absent("no price was named")
	pd := r.Distinguish
	if r.DPrime > 0 {
		pc, err := m.ProbCorrect(r.DPrime)
		if err != nil {
			return nil, err
		}
		pd = m.ShareFromPC(pc)
	}
	if pd > 0 {
		pc := m.PCFromShare(pd)
		a.Share, a.Correct = quantity.Num(pd), quantity.Num(pc)
		a.DPrime = quantity.Absent("everybody tells them apart")
		if pc < 1 {
			a.DPrime = number(m.DPrime(pc))
		}
		if err := a.size(r, pd); err != nil {
			return nil, err
		}
	}
	if r.Answers > 0 {
		c := a.count(r, r.Answers, pd)
		a.Now = &c
	}
	a.curve(r, pd)
	if r.PriceAssessor > 0 {
		n := r.Answers
		if a.Needed != nil {
			n = a.Needed.Answers
		}
		a.Cost = quantity.Num(r.PriceAssessor * float64(n))
	}
	out := &Result{Tamis: Schema, Answers: a}
	out.Text = a.text(r)
	return out, nil
}

// size finds the number of answers, for this test and, for the same distance, for
// the others.
func (a *Answers) size(r TestRequest, pd float64) error {
	res, err := sizeOf(r.Method, r, pd)
	switch {
	case errors.Is(err, stats.ErrTooLarge) || errors.Is(err, stats.ErrNotConverged):
		a.NeededNot = fmt.Sprintf("more than %d answers", MostAnswers)
		a.FirstReaching = quantity.Absent(a.NeededNot)
		return nil
	case err != nil:
		return err
	}
	a.Needed = &Count{Answers: res.Stays, Critical: quantity.Num(float64(res.Count)), Power: quantity.Num(res.StaysPower)}
	a.FirstReaching = quantity.Num(float64(res.First))
	d, ok := a.DPrime.Get()
	if !ok || r.Similarity || r.TwoSided {
		return nil
	}
	for _, m := range []discrim.Method{discrim.Triangle, discrim.DuoTrio, discrim.TwoAFC, discrim.ThreeAFC, discrim.Tetrad} {
		if m == r.Method {
			continue
		}
		pc, err := m.ProbCorrect(d)
		if err != nil {
			return err
		}
		other, err := sizeOf(m, r, m.ShareFromPC(pc))
		a.Others = append(a.Others, Other{Test: m.String(), Answers: number(float64(other.Stays), err)})
	}
	return nil
}

func sizeOf(m discrim.Method, r TestRequest, pd float64) (discrim.SizeResult, error) {
	if r.Similarity {
		return m.SimilaritySize(pd, r.Alpha, 0, r.Power)
	}
	return m.Size(r.Alpha, m.PCFromShare(pd), r.Power, r.TwoSided)
}

// count is what n answers can show.
func (a *Answers) count(r TestRequest, n int, pd float64) Count {
	c := Count{Answers: n, Power: quantity.Absent("no difference was named")}
	var k int
	var err error
	if r.Similarity {
		k, err = r.Method.MostCorrect(n, pd, r.Alpha)
	} else {
		k, err = r.Method.LeastCorrect(n, r.Alpha, r.TwoSided)
	}
	if err != nil {
		c.Cannot = "not even the best result would be significant"
		c.Critical, c.Power = quantity.Absent(c.Cannot), quantity.Absent(c.Cannot)
		return c
	}
	c.Critical = quantity.Num(float64(k))
	switch {
	case r.Similarity:
		c.Power = number(r.Method.SimilarityPower(n, pd, r.Alpha, 0))
	case pd > 0:
		c.Power = number(r.Method.Power(n, r.Alpha, r.Method.PCFromShare(pd), r.TwoSided))
	}
	return c
}

// curve lists round numbers of answers around those that matter.
func (a *Answers) curve(r TestRequest, pd float64) {
	want := map[int]bool{}
	top := max(r.Answers, 24)
	if r.Answers > 0 {
		want[r.Answers] = true
	}
	if a.Needed != nil {
		want[a.Needed.Answers] = true
		top = max(r.Answers, a.Needed.Answers, 12)
	}
	for _, n := range rungs(6, top*3/2, 9) {
		want[n] = true
	}
	for _, n := range ordered(want) {
		a.Curve = append(a.Curve, a.count(r, n, pd))
	}
}

// rungs are at most n whole numbers from low to high, evenly apart in proportion.
func rungs(low, high, n int) []int {
	var out []int
	if high < low {
		return out
	}
	step := math.Pow(float64(high)/float64(low), 1/float64(n-1))
	for i := range n {
		v := int(math.Round(float64(low) * math.Pow(step, float64(i))))
		if len(out) == 0 || v > out[len(out)-1] {
			out = append(out, v)
		}
	}
	return out
}
