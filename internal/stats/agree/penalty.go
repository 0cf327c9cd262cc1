package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Side is one side of a just-about-right scale, against those who said "right".
type Side struct {
	People int
	Share  float64
	// Mean liking of this side; absent when nobody is on it.
	Mean Number
	// Drop = mean liking of "right" − Mean; Weighted = Drop × Share, what the side
	// costs the product as a whole. Above 0: liking is lost.
	Drop, Weighted Number
	// Interval and P (two-sided) of the drop by Welch's t; there when HasInterval.
	// DF are Welch's degrees of freedom. Why says what is missing otherwise.
	Interval    stats.Interval
	DF, P       float64
	HasInterval bool
	Why         Absence
}

// PenaltyResult is the answer of Penalty.
type PenaltyResult struct {
	People        int
	TooLittle     Side
	Right         Side // its drops are absent: it is what the others are set against
	TooMuch       Side
	NotRight      Side // both sides together
	Liking        float64
	WeightedTotal Number // TooLittle.Weighted + TooMuch.Weighted, of the sides that have people
}

// Penalty relates a just-about-right answer to liking, for the same people: judged
// is below 0 for too little, 0 for right and above 0 for too much. level is that of
// the intervals. The drops compare people who chose their group themselves, so a
// drop is a link and no proof that a change would win it back.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain (level). A side with fewer
// than two people has a mean but no interval.
func Penalty(judged []int, liking []float64, level float64) (PenaltyResult, error) {
	if err := stats.CheckLengths("judged", len(judged), "liking", len(liking)); err != nil {
		return PenaltyResult{}, err
	}
	if err := checkSample("liking", liking); err != nil {
		return PenaltyResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return PenaltyResult{}, err
	}
	var little, right, much, off []float64
	for i, j := range judged {
		switch {
		case j < 0:
			little = append(little, liking[i])
			off = append(off, liking[i])
		case j > 0:
			much = append(much, liking[i])
			off = append(off, liking[i])
		default:
			right = append(right, liking[i])
		}
	}
	res := PenaltyResult{People: len(liking), Liking: mean(liking)}
	var err error
	for _, s := range []struct {
		to   *Side
		from []float64
	}{{&res.TooLittle, little}, {&res.TooMuch, much}, {&res.NotRight, off}} {
		if *s.to, err = side(s.from, right, len(liking), level); err != nil {
			return PenaltyResult{}, err
		}
	}
	res.Right = Side{
		People: len(right), Share: float64(len(right)) / float64(len(liking)),
		Mean: none(NobodyInIt), Drop: none(NoOthers), Weighted: none(NoOthers), Why: NoOthers,
	}
	if len(right) > 0 {
		res.Right.Mean = some(mean(right))
	}
	total, any := 0.0, false
	for _, s := range []Side{res.TooLittle, res.TooMuch} {
		if s.Weighted.OK() {
			total += s.Weighted.Value
			any = true
		}
	}
	res.WeightedTotal = none(NobodyInIt)
	if any {
		res.WeightedTotal = some(total)
	}
	return res, nil
}

func side(group, right []float64, people int, level float64) (Side, error) {
	s := Side{
		People: len(group), Share: float64(len(group)) / float64(people),
		Mean: none(NobodyInIt), Drop: none(NobodyInIt), Weighted: none(NobodyInIt), Why: NobodyInIt,
	}
	if len(group) > 0 {
		s.Mean = some(mean(group))
	}
	if len(group) == 0 || len(right) == 0 {
		return s, nil
	}
	drop := mean(right) - mean(group)
	s.Drop, s.Weighted = some(drop), some(drop*s.Share)
	if len(group) < 2 || len(right) < 2 {
		s.Why = TooFewInIt
		return s, nil
	}
	// Welch: each mean with its own variance; v by Satterthwaite.
	n1, n2 := float64(len(right)), float64(len(group))
	v1, v2 := sumSquares(right)/(n1-1)/n1, sumSquares(group)/(n2-1)/n2
	if v1+v2 == 0 {
		s.Why = NoSpread
		return s, nil
	}
	// Divided by the larger first, so that tiny variances do not underflow.
	top := max(v1, v2)
	a, b := v1/top, v2/top
	s.DF = (a + b) * (a + b) / (a*a/(n1-1) + b*b/(n2-1))
	se := math.Sqrt(v1 + v2)
	q, err := dist.TQuantile((1-level)/2, s.DF)
	if err != nil {
		return Side{}, fmt.Errorf("interval of a drop: %w", err)
	}
	s.P, err = dist.TTwoSided(drop/se, s.DF)
	if err != nil {
		return Side{}, fmt.Errorf("test of a drop: %w", err)
	}
	s.Interval = stats.Interval{Low: drop + q*se, High: drop - q*se, Level: level}
	s.HasInterval, s.Why = true, ""
	return s, nil
}
