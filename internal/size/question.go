package size

import (
	"fmt"
	"math"
)

// Limits of what is looked at. House rules: beyond them a kitchen has other
// problems, and the matrices stay small.
const (
	MostSetPoints = 60
	MostCooks     = 1000 // of a set point
	MostSessions  = 200
	MostPieces    = 100
	MostAssessors = 500
	MostLevels    = 20 // of a factor of pieces
)

// Question is what is to be seen.
type Question struct {
	// Effect is the difference between two set points that is worth seeing; 0
	// when none was named.
	Effect float64 `json:"effect"`
	// Means are the true means of the set points, instead of Effect. Effect is
	// then their range.
	Means []float64 `json:"means,omitempty"`
	Alpha float64   `json:"alpha"`
	Power float64   `json:"power"` // that is asked for
	// Pair asks for the t test of two set points named beforehand, in place of the
	// F test of all of them.
	Pair bool `json:"two_named_beforehand"`
	// OneSided looks in one direction, named beforehand; with Pair only.
	OneSided bool `json:"one_sided"`
}

// Prices are costs, in whatever currency.
type Prices struct {
	Cook     float64 `json:"cook"`
	Piece    float64 `json:"piece"`
	Assessor float64 `json:"assessor"` // once for the whole trial
}

// Bounds limit the search for the cheapest design.
type Bounds struct {
	Cooks     int `json:"cooks_per_set_point"`
	Pieces    int `json:"pieces_per_cook"`
	Assessors int `json:"assessors"`
}

// Problem is an argument that means nothing. What is the word of the argument
// ("cooks", "effect"), Why completes it to a sentence, Hint says what to write.
type Problem struct{ What, Why, Hint string }

func (p *Problem) Error() string { return p.What + " " + p.Why }

func problem(what, why, hint string) error { return &Problem{What: what, Why: why, Hint: hint} }

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprint(n, " ", what)
}

// check finds the first argument that means nothing.
func (r *Request) check() error {
	d, s, q := r.Design, r.Spread, r.Question
	least := 2
	if d.within() {
		least = 1
	}
	if d.Tastes > 0 && d.Assessors == 0 {
		return problem("tastes", "needs assessors", "add --assessors 8")
	}
	for _, c := range []struct {
		what           string
		v, least, most int
	}{
		{"set-points", d.SetPoints, least, MostSetPoints}, {"cooks", d.Cooks, 1, MostCooks}, {"sessions", d.Sessions, 1, MostSessions},
		{"pieces", d.Pieces, 1, MostPieces}, {"assessors", d.Assessors, 0, MostAssessors}, {"tastes", d.Tastes, 0, d.Pieces},
		{"df", d.OtherDF, 0, MostSetPoints * MostCooks},
	} {
		if c.v < c.least || c.v > c.most {
			why := fmt.Sprintf("%d: between %d and %d", c.v, c.least, c.most)
			if c.what == "set-points" && c.v == 1 {
				why = "1: one set point compares nothing"
			}
			return problem(c.what, why, fmt.Sprintf("write for example --%s %d", c.what, min(c.most, c.least+1)))
		}
	}
	if err := d.checkWithin(); err != nil {
		return err
	}
	for _, c := range []struct {
		what string
		v    float64
	}{
		{"spread-cooks", s.Cooks}, {"spread-pieces", s.Pieces}, {"spread-scores", s.Scores}, {"spread-assessors", s.AssessorArm},
	} {
		if !(c.v >= 0 && c.v <= 1e9) {
			return problem(c.what, fmt.Sprintf("%v: a standard deviation, from 0 to a billion", c.v), "write for example --"+c.what+" 0.5")
		}
	}
	sd, arms, of := d.unitSD(s), d.SetPoints, "set point"
	if d.within() {
		arms, of = d.Within, "level"
	}
	if !(sd > 0) && d.within() {
		return problem("spread-pieces", "0: pieces and scores that never differ need no trial", "write for example --spread-pieces 0.5")
	} else if !(sd > 0) {
		return problem("spread-cooks", "0: cooks, pieces and scores that never differ need no trial", "write for example --spread-cooks 0.5")
	} else if !(math.Abs(q.Effect) <= 1e4*sd) {
		return problem("effect", fmt.Sprintf("%v: that is more than 10000 times the spread of %.3g", q.Effect, sd), "give both in the same unit")
	}
	switch {
	case !(q.Effect >= 0):
		return problem("effect", fmt.Sprintf("%v: a difference, above 0", q.Effect), "write for example --effect 1")
	case !(q.Alpha >= 1e-6 && q.Alpha <= 0.5):
		return problem("alpha", fmt.Sprintf("%v: a level, from 0.000001 to 0.5", q.Alpha), "write for example --alpha 0.05")
	case !(q.Power > q.Alpha && q.Power <= 0.9999):
		return problem("power", fmt.Sprintf("%v: a chance, above the level of %v and at most 0.9999", q.Power, q.Alpha), "write for example --power 0.8")
	case q.OneSided && !q.Pair && arms > 2:
		return problem("one-sided", "needs two of them named beforehand", "add --pair")
	case r.Draws < 0 || r.Draws > 1_000_000 || (r.Draws > 0 && r.Draws < 100):
		return problem("draws", fmt.Sprintf("%d: 0 for none, or between 100 and 1000000", r.Draws), "write for example --draws 1000")
	}
	if len(q.Means) > 0 {
		if err := q.checkMeans(arms, of, sd); err != nil {
			return err
		}
	}
	return r.checkPrices()
}

func (q Question) checkMeans(k int, of string, sd float64) error {
	if len(q.Means) != k {
		return problem("means", fmt.Sprintf("has %s for %s", counted(len(q.Means), "number"), counted(k, of)), "")
	}
	low, high := q.Means[0], q.Means[0]
	for _, m := range q.Means {
		if !(math.Abs(m) <= 1e9) {
			return problem("means", fmt.Sprintf("%v: at most a billion in size", m), "")
		}
		low, high = min(low, m), max(high, m)
	}
	switch {
	case low == high:
		return problem("means", "are all equal, so there is nothing to see", "write for example --means 4,5,7")
	case high-low > 1e4*sd:
		return problem("means", fmt.Sprintf("differ by more than 10000 times the spread of %.3g", sd), "give both in the same unit")
	case q.Pair:
		return problem("means", "are of all set points, and --pair asks about two", "use --effect with --pair")
	case q.Effect != 0:
		return problem("means", "and --effect exclude each other", "the effect is the range of the means")
	}
	return nil
}

func (r *Request) checkPrices() error {
	p := r.Prices
	if p == nil {
		return nil
	}
	for _, c := range []struct {
		what string
		v    float64
	}{{"price-cook", p.Cook}, {"price-piece", p.Piece}, {"price-assessor", p.Assessor}} {
		if !(c.v >= 0 && c.v <= 1e9) {
			return problem(c.what, fmt.Sprintf("%v: a price, from 0 to a billion", c.v), "write for example --"+c.what+" 12")
		}
	}
	b := r.Bounds
	if least := r.Design.Within * r.Design.blocksOfCook(); r.Design.within() && b.Pieces < least {
		return problem("most-pieces", fmt.Sprintf("%d: every cook needs %d pieces, one of each level", b.Pieces, least), fmt.Sprintf("write --most-pieces %d", 2*least))
	}
	for _, c := range []struct {
		what           string
		v, least, most int
	}{
		{"most-cooks", b.Cooks, 2, MostCooks}, {"most-pieces", b.Pieces, 1, MostPieces}, {"most-assessors", b.Assessors, 1, MostAssessors},
	} {
		if c.v < c.least || c.v > c.most {
			return problem(c.what, fmt.Sprintf("%d: between %d and %d", c.v, c.least, c.most), "")
		}
	}
	// One step of the search looks for the cooks of a pair of pieces and people.
	if b.Pieces*b.Assessors > 2000 {
		return problem("most-pieces", fmt.Sprintf("%d and --most-assessors %d: more combinations than are searched, 2000", b.Pieces, b.Assessors), "lower one of them")
	}
	if r.Question.Effect == 0 && len(r.Question.Means) == 0 {
		return problem("price-cook", "is for a difference that the design must show, and none is named", "add --effect 1")
	}
	return nil
}
