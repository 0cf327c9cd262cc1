package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/ranks"
)

// ConcordanceResult is Kendall's coefficient of concordance.
type ConcordanceResult struct {
	Raters, Targets int
	// W with the correction for ties, 0 to 1; Uncorrected without it.
	W, Uncorrected float64
	// ChiSquare = m(n−1)W on DF = n−1, upper tail P. For few raters or targets
	// PExact (when Exact) is the one to read.
	ChiSquare, DF, P float64
	PExact           float64
	Exact            bool
	// MeanSpearman is the mean rank correlation of all pairs of raters,
	// (mW − 1)/(m − 1); with ties of unequal size it is that value by definition.
	MeanSpearman float64
	Ties         bool
}

// KendallW measures how far m raters (columns, at least 2) rank n targets (rows,
// at least 2) alike (Kendall & Babington Smith 1939). It is Friedman's test with
// raters as blocks. Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew,
// ErrNoVariation when every rater gave one single tie.
func KendallW(table [][]float64) (ConcordanceResult, error) {
	if err := checkTable(table, 2); err != nil {
		return ConcordanceResult{}, err
	}
	n, m := len(table), len(table[0])
	blocks := make([][]float64, m)
	for j := range blocks {
		blocks[j] = make([]float64, n)
		for i := range table {
			blocks[j][i] = table[i][j]
		}
	}
	fr, err := ranks.Friedman(blocks)
	if err != nil {
		return ConcordanceResult{}, err
	}
	fm := float64(m)
	return ConcordanceResult{
		Raters: m, Targets: n, W: fr.W, Uncorrected: fr.Uncorrected / (fm * fr.DF),
		ChiSquare: fr.ChiSquare, DF: fr.DF, P: fr.PChiSquare, PExact: fr.PExact, Exact: fr.Exact,
		MeanSpearman: (fm*fr.W - 1) / (fm - 1), Ties: fr.Ties,
	}, nil
}

// LinResult is Lin's concordance correlation.
type LinResult struct {
	// Value = 2s_xy/(s_x² + s_y² + (x̄ − ȳ)²), with divisor n; Pearson the plain
	// correlation, Accuracy = Value/Pearson what location and scale cost.
	Value, Pearson, Accuracy float64
	// Interval by Fisher's z, absent (ok false) for perfect or too little data.
	Interval    stats.Interval
	HasInterval bool
}

// LinConcordance measures how near the pairs (x, y) lie to the line y = x (Lin
// 1989, Biometrics 45:255), for two instruments or scorers. The interval uses
// Lin's asymptotic variance of z, with n − 2. Errors: ErrEmpty, ErrLengths,
// ErrNonFinite, ErrTooFew (3 pairs), ErrDomain, ErrNoVariation when x or y does
// not vary.
func LinConcordance(x, y []float64, level float64) (LinResult, error) {
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return LinResult{}, err
	}
	if err := checkSample("x", x); err != nil {
		return LinResult{}, err
	}
	if err := checkSample("y", y); err != nil {
		return LinResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return LinResult{}, err
	}
	if len(x) < 3 {
		return LinResult{}, fmt.Errorf("%w: %d pairs, 3 needed", stats.ErrTooFew, len(x))
	}
	_, r := line(x, y)
	_, back := line(y, x)
	if !r.OK() || !back.OK() {
		return LinResult{}, fmt.Errorf("%w: one of the two series is constant", stats.ErrNoVariation)
	}
	n := float64(len(x))
	sx2, sy2 := sumSquares(x)/n, sumSquares(y)/n
	d := mean(x) - mean(y)
	res := LinResult{Pearson: r.Value}
	res.Value = 2 * r.Value * math.Sqrt(sx2*sy2) / (sx2 + sy2 + d*d)
	res.Accuracy = 2 * math.Sqrt(sx2*sy2) / (sx2 + sy2 + d*d)
	c2, r2 := res.Value*res.Value, r.Value*r.Value
	if r2 < 1e-12 || c2 >= 1-1e-12 {
		return res, nil
	}
	u2 := d * d / math.Sqrt(sx2*sy2)
	v := ((1-r2)*c2/((1-c2)*r2) + 2*c2*res.Value*(1-res.Value)*u2/(r.Value*(1-c2)*(1-c2)) -
		c2*c2*u2*u2/(2*r2*(1-c2)*(1-c2))) / (n - 2)
	if !(v > 0) {
		return res, nil
	}
	q, err := dist.NormalQuantile((1 - level) / 2)
	if err != nil {
		return LinResult{}, err
	}
	z := math.Atanh(res.Value)
	res.Interval = stats.Interval{Low: math.Tanh(z + q*math.Sqrt(v)), High: math.Tanh(z - q*math.Sqrt(v)), Level: level}
	res.HasInterval = true
	return res, nil
}
