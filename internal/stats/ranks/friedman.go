package ranks

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// FTest is an F ratio with its degrees of freedom and upper tail. Infinite says
// that the denominator is 0 (the blocks agree perfectly); F is then 0 without
// meaning and P is 0.
type FTest struct {
	F, DF1, DF2, P float64
	Infinite       bool
}

// FriedmanResult is the answer of Friedman.
type FriedmanResult struct {
	Blocks, Treatments int
	// RankSums by treatment, in column order.
	RankSums []float64
	// ChiSquare is Friedman's statistic with the correction for ties;
	// Uncorrected is the textbook form without it. They are equal without ties.
	ChiSquare, Uncorrected float64
	DF                     float64
	// PChiSquare is the upper tail of χ² with DF degrees of freedom.
	PChiSquare float64
	// PExact is the exact conditional p; only meaningful when Exact is true.
	PExact float64
	Exact  bool
	// P is PExact where Exact, else PChiSquare.
	P float64
	// F is the Iman–Davenport form, usually closer to the truth than χ².
	F FTest
	// W is Kendall's concordance, ChiSquare / (n(k−1)), 0 to 1.
	W float64
	// Ties says that some block had equal values.
	Ties     bool
	Warnings []stats.Warning
}

// exactWork is the number of state × arrangement steps up to which the exact
// Friedman distribution is enumerated; about half a second.
const exactWork = 4_000_000

// Friedman tests whether k treatments (columns) rank alike in n blocks (rows,
// for instance people). table is n × k with n ≥ 2 and k ≥ 2, larger or smaller
// values are ranked inside each row.
//
//	χ² = (k−1)·Σ(R_j − n(k+1)/2)² / (Σ r_ij² − n·k(k+1)²/4)
//
// which is the form corrected for ties (Conover 1999, Practical Nonparametric
// Statistics, 5.8); F = (n−1)χ²/(n(k−1) − χ²) on k−1 and (n−1)(k−1) degrees of
// freedom (Iman & Davenport 1980). The exact p counts arrangements of the
// mid-ranks within each block whose ΣR_j² is at least the one seen.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew, and ErrNoVariation
// when every block is one single tie. It does not handle holes: see Incomplete.
func Friedman(table [][]float64) (FriedmanResult, error) {
	rt, err := rankTable(table, 2)
	if err != nil {
		return FriedmanResult{}, err
	}
	n, k := float64(rt.n), float64(rt.k)
	res := FriedmanResult{
		Blocks: rt.n, Treatments: rt.k, RankSums: halves(rt.sums),
		DF: k - 1, Ties: rt.ties > 0,
	}
	// Work with doubled ranks: the centre of a doubled sum is n(k+1), and all
	// quantities stay whole numbers until the one division.
	var between, within float64
	for _, s := range rt.sums {
		d := float64(s) - n*(k+1)
		between += d * d
	}
	for _, row := range rt.twice {
		for _, r := range row {
			d := float64(r) - (k + 1)
			within += d * d
		}
	}
	if within == 0 {
		return FriedmanResult{}, fmt.Errorf("%w: every row is one tie", stats.ErrNoVariation)
	}
	res.ChiSquare = (k - 1) * between / within
	// Σ(r − (k+1)/2)² of an untied block is k(k²−1)/12; doubled ranks give 4 ×.
	res.Uncorrected = (k - 1) * between / (n * k * (k*k - 1) / 3)
	res.PChiSquare = chiSquareUpper(res.ChiSquare, res.DF)
	res.W = res.ChiSquare / (n * (k - 1))
	res.F = imanDavenport(between, within, n, k)
	res.P = res.PChiSquare

	law, ok := friedmanLaw(rt.twice, exactWork)
	if ok {
		var target int64
		for _, s := range rt.sums {
			target += int64(s) * int64(s)
		}
		res.PExact, res.Exact = law.upper(target), true
		res.P = res.PExact
	} else if rt.n < 10 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "friedman-approximate",
			Text: "The table is too large for the exact p and has few rows, so the χ² p is rough; the F form is closer.",
			Need: 10,
		})
	}
	return res, nil
}

// imanDavenport is (n−1)χ²/(n(k−1) − χ²). With χ² = (k−1)·between/within it
// becomes (n−1)·between/(n·within − between), whose denominator is a difference
// of whole numbers: exactly 0 for perfect agreement, with no rounding.
func imanDavenport(between, within, n, k float64) FTest {
	f := FTest{DF1: k - 1, DF2: (n - 1) * (k - 1)}
	den := n*within - between
	if den <= 0 {
		f.Infinite = true
		return f
	}
	f.F = (n - 1) * between / den
	f.P = fUpper(f.F, f.DF1, f.DF2)
	return f
}

// FriedmanFromSums is Friedman for untied ranks when only the rank sums of n
// blocks were kept. There is no exact p and no tie correction; the statistic is
// 12/(n·k(k+1))·ΣR² − 3n(k+1). The sums must add up to n·k(k+1)/2, otherwise
// ErrDomain.
func FriedmanFromSums(sums []float64, n int) (FriedmanResult, error) {
	if err := stats.CheckSample("sums", sums); err != nil {
		return FriedmanResult{}, err
	}
	k, nn := float64(len(sums)), float64(n)
	if n < 2 || len(sums) < 2 {
		return FriedmanResult{}, fmt.Errorf("%w: %d blocks and %d treatments, 2 of each needed", stats.ErrTooFew, n, len(sums))
	}
	total, between := 0.0, 0.0
	for _, s := range sums {
		if s < nn || s > nn*k {
			return FriedmanResult{}, fmt.Errorf("%w: a rank sum of %v with %d blocks and %d treatments", stats.ErrDomain, s, n, len(sums))
		}
		total += s
		d := s - nn*(k+1)/2
		between += d * d
	}
	if want := nn * k * (k + 1) / 2; math.Abs(total-want) > 1e-9*want {
		return FriedmanResult{}, fmt.Errorf("%w: rank sums add up to %v, %v expected", stats.ErrDomain, total, want)
	}
	within := nn * k * (k*k - 1) / 12
	res := FriedmanResult{Blocks: n, Treatments: len(sums), RankSums: slices.Clone(sums), DF: k - 1}
	res.ChiSquare = (k - 1) * between / within
	res.Uncorrected = res.ChiSquare
	res.PChiSquare = chiSquareUpper(res.ChiSquare, res.DF)
	res.P = res.PChiSquare
	res.W = res.ChiSquare / (nn * (k - 1))
	res.F = imanDavenport(between, within, nn, k)
	return res, nil
}
