package ranks

import (
	"fmt"

	"tamis/internal/stats"
)

// KruskalResult is the answer of KruskalWallis.
type KruskalResult struct {
	// H with the correction for ties, its degrees of freedom and χ² tail.
	H, DF, P  float64
	N         []int     // values by group
	RankMeans []float64 // mean rank by group
	Ties      bool
	Warnings  []stats.Warning
}

// KruskalWallis compares two or more independent groups, each with at least one
// value: H = Σ n_i(r̄_i − (N+1)/2)² · (N−1)/Σ(r − (N+1)/2)², the form that needs no
// separate tie correction (Kruskal & Wallis 1952). P is the χ² approximation, with
// a warning when a group has fewer than 5 values. Errors: ErrEmpty, ErrNonFinite,
// ErrTooFew, ErrNoVariation.
func KruskalWallis(groups [][]float64) (KruskalResult, error) {
	if len(groups) < 2 {
		return KruskalResult{}, fmt.Errorf("%w: %d groups, 2 needed", stats.ErrTooFew, len(groups))
	}
	var all []float64
	res := KruskalResult{DF: float64(len(groups) - 1)}
	least := len(groups[0])
	for i, g := range groups {
		if err := stats.CheckSample(fmt.Sprintf("group %d", i), g); err != nil {
			return KruskalResult{}, err
		}
		all = append(all, g...)
		res.N = append(res.N, len(g))
		least = min(least, len(g))
	}
	if len(all) < 3 {
		return KruskalResult{}, fmt.Errorf("%w: %d values, 3 needed", stats.ErrTooFew, len(all))
	}
	twice, ties := twiceMidranks(all)
	res.Ties = ties > 0
	centre := float64(len(all) + 1) // of the doubled ranks
	var within, between float64
	at := 0
	for _, n := range res.N {
		sum := 0
		for _, r := range twice[at : at+n] {
			sum += r
			within += (float64(r) - centre) * (float64(r) - centre)
		}
		at += n
		res.RankMeans = append(res.RankMeans, float64(sum)/2/float64(n))
		d := float64(sum)/float64(n) - centre
		between += float64(n) * d * d
	}
	if within == 0 {
		return KruskalResult{}, fmt.Errorf("%w: all %d values are equal", stats.ErrNoVariation, len(all))
	}
	res.H = float64(len(all)-1) * between / within
	res.P = chiSquareUpper(res.H, res.DF)
	if least < 5 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "kruskal-small-groups",
			Text: "A group has fewer than 5 values, so the χ² p is rough.",
			Need: 5,
		})
	}
	return res, nil
}
