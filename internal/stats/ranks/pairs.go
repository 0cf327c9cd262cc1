package ranks

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// LeastSignificantRankDifference is z·√(n·k(k+1)/6): two rank sums of n blocks
// that ranked k treatments differ at the two-sided level alpha when they are
// farther apart than this. It holds for a pair named beforehand; it makes no
// allowance for the number of pairs. The variance of a difference of two untied
// rank sums is n·k(k+1)/6 (Hollander & Wolfe, Nonparametric Statistical Methods,
// 7.2), with n the blocks and k the treatments.
//
// Errors: ErrDomain (alpha outside (0, 1), n < 1, k < 2).
func LeastSignificantRankDifference(n, k int, alpha float64) (float64, error) {
	if err := checkShare("alpha", alpha); err != nil {
		return 0, err
	}
	if n < 1 || k < 2 {
		return 0, fmt.Errorf("%w: %d blocks and %d treatments, 1 and 2 needed", stats.ErrDomain, n, k)
	}
	z, err := dist.NormalQuantile(alpha / 2)
	if err != nil {
		return 0, err
	}
	nn, kk := float64(n), float64(k)
	return -z * math.Sqrt(nn*kk*(kk+1)/6), nil
}

// RankPair compares the rank sums of columns I < J.
type RankPair struct {
	I, J int
	// Difference is R_I − R_J.
	Difference float64
	// T and P: Conover's t and its two-sided p, not adjusted for the number of
	// pairs. Z and PNormal: the plain normal form behind the least significant
	// difference, with ties in the variance.
	T, P, Z, PNormal float64
}

// ConoverResult is the answer of Conover.
type ConoverResult struct {
	Pairs []RankPair
	// DF of T: (n−1)(k−1).
	DF float64
	// LeastDifference is the rank-sum difference at which P reaches alpha.
	LeastDifference float64
	Alpha           float64
	Friedman        FriedmanResult
}

// Conover compares all pairs of columns after Friedman:
//
//	|R_i − R_j| > t_{1−α/2, (n−1)(k−1)} · √( 2(n·Σr² − ΣR_j²) / ((n−1)(k−1)) )
//
// (Conover 1999, Practical Nonparametric Statistics, 5.8). The pairs are meant
// to be read only when Friedman itself is below alpha. Errors as Friedman, and
// ErrNoVariation when the rows agree perfectly, because the spread that T divides
// by is then 0.
func Conover(table [][]float64, alpha float64) (ConoverResult, error) {
	if err := checkShare("alpha", alpha); err != nil {
		return ConoverResult{}, err
	}
	fr, err := Friedman(table)
	if err != nil {
		return ConoverResult{}, err
	}
	rt, err := rankTable(table, 2)
	if err != nil {
		return ConoverResult{}, err
	}
	n, k := float64(rt.n), float64(rt.k)
	// Whole numbers, so that perfect agreement is exactly 0. Ranks are doubled,
	// hence the division by 4.
	var squares, sums float64
	for _, row := range rt.twice {
		for _, r := range row {
			squares += float64(r) * float64(r)
		}
	}
	for _, s := range rt.sums {
		sums += float64(s) * float64(s)
	}
	spread := (n*squares - sums) / 4
	if spread <= 0 {
		return ConoverResult{}, fmt.Errorf("%w: all rows rank alike, so Conover's spread is 0", stats.ErrNoVariation)
	}
	res := ConoverResult{DF: (n - 1) * (k - 1), Alpha: alpha, Friedman: fr}
	se := math.Sqrt(2 * spread / res.DF)
	q, err := dist.TQuantile(alpha/2, res.DF)
	if err != nil {
		return ConoverResult{}, err
	}
	res.LeastDifference = -q * se
	// Var(R_i − R_j) under random deals: 2/(k−1)·Σ over blocks of Σ(r − r̄)².
	plain := math.Sqrt(2 / (k - 1) * (n*(k*k*k-k) - rt.ties) / 12)
	for i := range rt.k {
		for j := i + 1; j < rt.k; j++ {
			d := float64(rt.sums[i]-rt.sums[j]) / 2
			p := RankPair{I: i, J: j, Difference: d, T: d / se, Z: d / plain}
			p.P = tTwoSided(p.T, res.DF)
			p.PNormal = 2 * dist.NormalUpper(math.Abs(p.Z))
			res.Pairs = append(res.Pairs, p)
		}
	}
	return res, nil
}
