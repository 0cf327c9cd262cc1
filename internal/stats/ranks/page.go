package ranks

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

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

// PageCritical is the smallest L for n untied blocks and k treatments whose exact
// upper tail is at most alpha, with that tail. Errors: ErrDomain, ErrTooLarge,
// and ErrTooFew when even the largest L does not reach alpha.
func PageCritical(n, k int, alpha float64) (l int, p float64, err error) {
	if err := checkShare("alpha", alpha); err != nil {
		return 0, 0, err
	}
	if n < 1 || k < 3 {
		return 0, 0, fmt.Errorf("%w: %d blocks and %d treatments, 1 and 3 needed", stats.ErrDomain, n, k)
	}
	blocks := untiedBlocks(n, k, pageWork)
	lw, ok := pageLaw(blocks, pageWork)
	if !ok {
		return 0, 0, fmt.Errorf("%w: exact Page for %d blocks and %d treatments", stats.ErrTooLarge, n, k)
	}
	best, tail := -1, 0.0
	for i := len(lw.value) - 1; i >= 0; i-- {
		tail += lw.prob[i]
		if tail > alpha*(1+1e-12) {
			break
		}
		if lw.prob[i] > 0 {
			best, p = i, tail
		}
	}
	if best < 0 {
		return 0, 0, fmt.Errorf("%w: with %d blocks and %d treatments no result reaches %v", stats.ErrTooFew, n, k, alpha)
	}
	return int(lw.value[best] / 2), p, nil
}

// pageWork is the number of multiply-adds up to which Page's L is enumerated.
const pageWork = 200_000_000

// maxPageTreatments bounds the subset tables of one block (2^k rows).
const maxPageTreatments = 12

// untiedBlocks builds n blocks of doubled ranks 2, 4, …, 2k; nil when n alone is
// beyond any work limit.
func untiedBlocks(n, k, limit int) [][]int {
	if n > limit/100 || k > maxPageTreatments {
		return nil
	}
	one := make([]int, k)
	for j := range one {
		one[j] = 2 * (j + 1)
	}
	blocks := make([][]int, n)
	for i := range blocks {
		blocks[i] = one
	}
	return blocks
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

// pageLaw is the null distribution of 2L over the deals within all blocks.
// Blocks with the same pattern of ties share the distribution of one block.
func pageLaw(blocks [][]int, limit int) (law, bool) {
	if len(blocks) == 0 {
		return law{}, false
	}
	k := len(blocks[0])
	if k > maxPageTreatments {
		return law{}, false
	}
	// One pattern: k·2^k subset steps over at most Σj·2j sums. All blocks: the sum
	// of the products of lengths, about (n·span)²/2.
	span := float64(k*(k*k-1)) / 3
	most := float64(k*(k+1)*(2*k+1)) / 3
	one, all := float64(k)*float64(int(1)<<k)*most, float64(len(blocks))*span
	distinct := map[string]bool{}
	for _, b := range blocks {
		distinct[fmt.Sprint(sortedCopy(b))] = true
	}
	if one*float64(len(distinct))+all*all/2 > float64(limit) {
		return law{}, false
	}
	cache := map[string][]float64{}
	total, low := []float64{1}, 0
	for _, b := range blocks {
		sorted := sortedCopy(b)
		key := fmt.Sprint(sorted)
		pmf, ok := cache[key]
		lo := lowestL(sorted)
		if !ok {
			pmf = onePageBlock(sorted, lo)
			cache[key] = pmf
		}
		total = convolve(total, pmf)
		low += lo
	}
	l := law{value: make([]int64, len(total)), prob: total}
	for i := range total {
		l.value[i] = int64(low + i)
	}
	return l, true
}

// lowestL is Σ j·r with the largest ranks on the smallest weights, the least
// value of 2L in a block of sorted doubled ranks.
func lowestL(sorted []int) int {
	k, s := len(sorted), 0
	for j := range sorted {
		s += (j + 1) * sorted[k-1-j]
	}
	return s
}

// onePageBlock is the distribution of Σ j·r_π(j) − lo over all k! deals. It walks
// over the subsets of ranks already dealt: subset size = next weight − 1, so
// 2^k tables stand in for k! permutations.
func onePageBlock(sorted []int, lo int) []float64 {
	k := len(sorted)
	hi := 0
	for j, r := range sorted {
		hi += (j + 1) * r
	}
	tables := make([][]float64, 1<<k)
	tables[0] = []float64{1}
	for set := range 1<<k - 1 {
		w := bits.OnesCount(uint(set)) + 1
		from := tables[set]
		for i, r := range sorted {
			if set&(1<<i) != 0 {
				continue
			}
			to := set | 1<<i
			if tables[to] == nil {
				tables[to] = make([]float64, hi+1)
			}
			// Counts are whole numbers below 2^53 (12! ≈ 5e8), so no rounding.
			into := tables[to][w*r:]
			for s, c := range from {
				if c != 0 {
					into[s] += c
				}
			}
		}
		tables[set] = nil
	}
	total := 1.0
	for j := 2; j <= k; j++ {
		total *= float64(j)
	}
	pmf := make([]float64, hi-lo+1)
	for s, c := range tables[1<<k-1] {
		if c != 0 {
			pmf[s-lo] = c / total
		}
	}
	return pmf
}

func sortedCopy(xs []int) []int {
	out := slices.Clone(xs)
	slices.Sort(out)
	return out
}

// convolve is the distribution of the sum of two independent counts.
func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		if x == 0 {
			continue
		}
		for j, y := range b {
			out[i+j] += x * y
		}
	}
	return out
}
