package ranks

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// PageResult is the answer of Page.
type PageResult struct {
	Blocks, Treatments int
	// RankSums in column order.
	RankSums []float64
	// L is Σ y_j·R_j with y_j the predicted rank of column j.
	L float64
	// Mean and SD of L when the ranks of each block are dealt at random; SD takes
	// the ties of the table into account.
	Mean, SD float64
	// Z = (L − Mean)/SD, without continuity correction. PNormal is its upper tail.
	Z, PNormal float64
	// ZUntied uses the SD of a table without ties, as the printed tables do.
	ZUntied float64
	// PExact is P(L ≥ seen) given the ties; only meaningful when Exact is true.
	PExact float64
	Exact  bool
	// P is PExact where Exact, else PNormal. One-sided: for the predicted order.
	P        float64
	Ties     bool
	Warnings []stats.Warning
}

// Page tests an order of k treatments (columns) that was named before the data
// were seen, in n blocks (rows); table is n × k, n ≥ 2, k ≥ 3. predicted[j] is the
// predicted rank of column j, a permutation of 1…k; nil means columns stand in
// the predicted order, smallest first.
//
// L, mean n·k(k+1)²/4 and variance as in Page 1963, J. Am. Stat. Assoc. 58:216.
// The exact p is the share of all arrangements within blocks with an L at least
// as large; ties stay tied, so with ties it is conditional on them and differs a
// little from tables made for untied ranks (a warning says so).
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew, ErrDomain (predicted is
// no permutation), ErrNoVariation (every block is one tie).
func Page(table [][]float64, predicted []int) (PageResult, error) {
	rt, err := rankTable(table, 3)
	if err != nil {
		return PageResult{}, err
	}
	y, err := predictedRanks(predicted, rt.k)
	if err != nil {
		return PageResult{}, err
	}
	n, k := float64(rt.n), float64(rt.k)
	res := PageResult{Blocks: rt.n, Treatments: rt.k, RankSums: halves(rt.sums), Ties: rt.ties > 0}
	twiceL := 0
	for j, s := range rt.sums {
		twiceL += y[j] * s
	}
	res.L = float64(twiceL) / 2
	res.Mean = n * k * (k + 1) * (k + 1) / 4
	// One block: Var Σ y_j r_j = Σ(y−ȳ)²·Σ(r−r̄)²/(k−1), with Σ(y−ȳ)² = k(k²−1)/12
	// and Σ(r−r̄)² = (k³ − k − Σ(t³−t))/12.
	yss := k * (k*k - 1) / 12
	untied := n * yss * (k*k*k - k) / 12 / (k - 1)
	variance := untied - yss*rt.ties/12/(k-1)
	if rt.ties >= n*(k*k*k-k) {
		return PageResult{}, fmt.Errorf("%w: every row is one tie", stats.ErrNoVariation)
	}
	res.SD = math.Sqrt(variance)
	res.Z = (res.L - res.Mean) / res.SD
	res.ZUntied = (res.L - res.Mean) / math.Sqrt(untied)
	res.PNormal = dist.NormalUpper(res.Z)
	res.P = res.PNormal
	if law, ok := pageLaw(rt.twice, pageWork); ok {
		res.Exact, res.PExact = true, law.upper(int64(twiceL))
		res.P = res.PExact
	}
	if res.Ties {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "page-ties",
			Text: "Some people gave equal ranks; p is computed for exactly these ties and is not that of the printed tables.",
		})
	}
	return res, nil
}

// PageFromSums is Page when only the rank sums were kept: column order is the
// predicted order, the variance is that of untied ranks, and there is no exact p
// unless all sums are whole numbers, when the table is taken as untied.
// Errors as FriedmanFromSums.
func PageFromSums(sums []float64, n int) (PageResult, error) {
	fr, err := FriedmanFromSums(sums, n)
	if err != nil {
		return PageResult{}, err
	}
	if fr.Treatments < 3 {
		return PageResult{}, fmt.Errorf("%w: 2 treatments, 3 needed", stats.ErrTooFew)
	}
	nn, k := float64(n), float64(fr.Treatments)
	res := PageResult{Blocks: n, Treatments: fr.Treatments, RankSums: fr.RankSums}
	whole := true
	for j, s := range sums {
		res.L += float64(j+1) * s
		whole = whole && s == math.Trunc(s)
	}
	res.Ties = !whole
	res.Mean = nn * k * (k + 1) * (k + 1) / 4
	res.SD = math.Sqrt(nn*(k-1)) * k * (k + 1) / 12
	res.Z = (res.L - res.Mean) / res.SD
	res.ZUntied = res.Z
	res.PNormal = dist.NormalUpper(res.Z)
	res.P = res.PNormal
	if whole {
		if law, ok := pageLaw(untiedBlocks(n, fr.Treatments, pageWork), pageWork); ok {
			res.Exact, res.PExact = true, law.upper(int64(math.Round(2*res.L)))
			res.P = res.PExact
		}
	}
	return res, nil
}

func predictedRanks(predicted []int, k int) ([]int, error) {
	y := make([]int, k)
	if predicted == nil {
		for j := range y {
			y[j] = j + 1
		}
		return y, nil
	}
	if err := stats.CheckLengths("columns", k, "predicted", len(predicted)); err != nil {
		return nil, err
	}
	seen := make([]bool, k)
	for j, r := range predicted {
		if r < 1 || r > k || seen[r-1] {
			return nil, fmt.Errorf("%w: predicted must hold each of 1 … %d once", stats.ErrDomain, k)
		}
		seen[r-1] = true
		y[j] = r
	}
	return y, nil
}
