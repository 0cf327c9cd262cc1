package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// AlphaResult is Cronbach's alpha of a targets × items table.
type AlphaResult struct {
	// Raw from the covariances, Standardised from the correlations (absent when
	// an item is constant).
	Raw          float64
	Standardised Number
}

// CronbachAlpha of n targets (rows, at least 2) by k items or raters (columns, at
// least 2): k/(k−1)·(1 − Σ var_j / var of the row sums), n−1 in both. Errors: those
// of ICC, and ErrNoVariation when the row sums do not vary.
func CronbachAlpha(table [][]float64) (AlphaResult, error) {
	if err := checkTable(table, 2); err != nil {
		return AlphaResult{}, err
	}
	cov := covariance(table)
	k := float64(len(cov))
	var trace, total, corr float64
	constant := false
	for i := range cov {
		trace += cov[i][i]
		constant = constant || cov[i][i] == 0
		for j := range cov {
			total += cov[i][j]
		}
	}
	if total <= 1e-15*trace || trace == 0 {
		return AlphaResult{}, fmt.Errorf("%w: the sums of the rows are all equal", stats.ErrNoVariation)
	}
	res := AlphaResult{Raw: k / (k - 1) * (1 - trace/total)}
	if constant {
		res.Standardised = none(NoSpread)
		return res, nil
	}
	for i := range cov {
		for j := range cov {
			if i != j {
				corr += cov[i][j] / math.Sqrt(cov[i][i]*cov[j][j])
			}
		}
	}
	r := corr / (k * (k - 1)) // mean correlation
	if 1+(k-1)*r <= 1e-15 {
		res.Standardised = none(NoSpread)
		return res, nil
	}
	res.Standardised = some(k * r / (1 + (k-1)*r))
	return res, nil
}
