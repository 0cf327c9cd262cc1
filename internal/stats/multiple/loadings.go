package multiple

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// exactCorrelation is how far λᵢλⱼ may be from a correlation and still count as
// exact: rounding in a covariance matrix, without effect on a p-value.
const exactCorrelation = 1e-9

// loadings finds λ with λᵢλⱼ ≈ corr[i][j] off the diagonal, and returns the
// largest misfit. Independent groups give an exact fit, λᵢ² = nᵢ/(nᵢ+n₀); so do
// any two comparisons.
func loadings(corr [][]float64, m int) ([]float64, float64, error) {
	if err := stats.CheckLengths("contrasts", m, "correlation", len(corr)); err != nil {
		return nil, 0, err
	}
	for i, row := range corr {
		name := fmt.Sprintf("correlation[%d]", i)
		if err := stats.CheckLengths("contrasts", m, name, len(row)); err != nil {
			return nil, 0, err
		}
		if err := stats.CheckFinite(name, row); err != nil {
			return nil, 0, err
		}
		for j, r := range row {
			if math.Abs(r) > 1+1e-12 || math.Abs(r-corr[j][i]) > 1e-9 {
				return nil, 0, fmt.Errorf("%w: correlation[%d][%d] = %v", stats.ErrDomain, i, j, r)
			}
		}
	}
	lambda := make([]float64, m)
	switch m {
	case 1:
		return lambda, 0, nil
	case 2:
		r := corr[0][1]
		lambda[0] = clampLoading(math.Sqrt(math.Abs(r)))
		lambda[1] = math.Copysign(lambda[0], r)
		return lambda, math.Abs(lambda[0]*lambda[1] - r), nil
	}
	if triads(corr, lambda); misfit(corr, lambda) > exactCorrelation {
		alternate(corr, lambda)
	}
	return lambda, misfit(corr, lambda), nil
}

// triads starts from λᵢ² = ρᵢⱼρᵢₖ/ρⱼₖ, taking for each i the pair with the largest
// |ρⱼₖ|, and signs from the comparison with the largest loading. It is exact
// when an exact answer exists and no correlation is 0.
func triads(corr [][]float64, lambda []float64) {
	m := len(lambda)
	lead := 0
	for i := range m {
		best, sq := 0.0, 0.0
		for j := range m {
			for k := j + 1; k < m; k++ {
				if j == i || k == i {
					continue
				}
				if r := math.Abs(corr[j][k]); r > best {
					best, sq = r, corr[i][j]*corr[i][k]/corr[j][k]
				}
			}
		}
		lambda[i] = clampLoading(math.Sqrt(math.Max(0, sq)))
		if lambda[i] > lambda[lead] {
			lead = i
		}
	}
	for i := range m {
		if i != lead && corr[i][lead] < 0 {
			lambda[i] = -lambda[i]
		}
	}
}

// alternate improves the fit by least squares, one loading at a time:
// λᵢ = Σⱼ ρᵢⱼλⱼ / Σⱼ λⱼ². Every step lowers the sum of squared misfits.
func alternate(corr [][]float64, lambda []float64) {
	for range 2000 {
		change := 0.0
		for i := range lambda {
			num, den := 0.0, 0.0
			for j, l := range lambda {
				if j != i {
					num += corr[i][j] * l
					den += l * l
				}
			}
			if den == 0 {
				continue
			}
			next := clampLoading(num / den)
			change = math.Max(change, math.Abs(next-lambda[i]))
			lambda[i] = next
		}
		if change < 1e-14 {
			return
		}
	}
}

func misfit(corr [][]float64, lambda []float64) float64 {
	worst := 0.0
	for i := range lambda {
		for j := range i {
			worst = math.Max(worst, math.Abs(lambda[i]*lambda[j]-corr[i][j]))
		}
	}
	return worst
}

// clampLoading keeps 1 − λ² where the integral still resolves it.
func clampLoading(l float64) float64 {
	const most = 0.99999
	return math.Max(-most, math.Min(most, l))
}
