package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Weights says how much a disagreement by so many categories still counts.
type Weights int

const (
	// Unweighted: only equal categories agree (Cohen 1960).
	Unweighted Weights = iota
	// Linear: 1 − |i − j|/(c − 1).
	Linear
	// Quadratic: 1 − (i − j)²/(c − 1)².
	Quadratic
)

func (w Weights) of(i, j, c int) float64 {
	d := math.Abs(float64(i-j)) / float64(c-1)
	switch w {
	case Linear:
		return 1 - d
	case Quadratic:
		return 1 - d*d
	}
	if i == j {
		return 1
	}
	return 0
}

// KappaResult is the answer of Kappa.
type KappaResult struct {
	N          int
	Categories int
	// Kappa = (Observed − Expected)/(1 − Expected), the weighted agreements.
	Kappa, Observed, Expected float64
	// SE belongs to the interval, NullSE to the test of no agreement.
	SE, NullSE float64
	Interval   stats.Interval
	// Z = Kappa/NullSE with its two-sided P; HasTest is false when NullSE is 0.
	Z, P     float64
	HasTest  bool
	Warnings []stats.Warning
}

// maxCategories bounds the square table.
const maxCategories = 1000

// Kappa is the chance-corrected agreement of two raters on the same n things, as
// categories 0 … categories−1 in their order (weights need the order). Standard
// errors for large samples by Fleiss, Cohen & Everitt 1969, Psychol. Bull. 72:323.
//
// Errors: ErrEmpty, ErrLengths, ErrDomain (a category outside, fewer than two
// categories, unknown weights, level), ErrTooLarge (above 1000 categories), and
// ErrNoVariation when both raters used one single category throughout: agreement
// is then expected in full and kappa is 0/0. When one rater only did so, kappa is 0
// whatever the other says, with the warning "one-rater-constant".
func Kappa(first, second []int, categories int, w Weights, level float64) (KappaResult, error) {
	if err := stats.CheckLengths("first", len(first), "second", len(second)); err != nil {
		return KappaResult{}, err
	}
	if len(first) == 0 {
		return KappaResult{}, fmt.Errorf("%w: pairs of ratings", stats.ErrEmpty)
	}
	if err := checkCategories(categories); err != nil {
		return KappaResult{}, err
	}
	table := make([][]int, categories)
	for i := range table {
		table[i] = make([]int, categories)
	}
	for i := range first {
		if first[i] < 0 || first[i] >= categories || second[i] < 0 || second[i] >= categories {
			return KappaResult{}, fmt.Errorf("%w: pair %d has categories %d and %d of %d", stats.ErrDomain, i, first[i], second[i], categories)
		}
		table[first[i]][second[i]]++
	}
	return KappaTable(table, w, level)
}

func checkCategories(c int) error {
	if c < 2 {
		return fmt.Errorf("%w: %d categories, 2 needed", stats.ErrDomain, c)
	}
	if c > maxCategories {
		return fmt.Errorf("%w: %d categories, at most %d", stats.ErrTooLarge, c, maxCategories)
	}
	return nil
}

// KappaTable is Kappa from a square table of counts, first rater in rows.
func KappaTable(table [][]int, w Weights, level float64) (KappaResult, error) {
	if len(table) == 0 {
		return KappaResult{}, fmt.Errorf("%w: the table is empty", stats.ErrEmpty)
	}
	c := len(table)
	if err := checkCategories(c); err != nil {
		return KappaResult{}, err
	}
	if w != Unweighted && w != Linear && w != Quadratic {
		return KappaResult{}, fmt.Errorf("%w: weights %d", stats.ErrDomain, int(w))
	}
	if err := checkShare("level", level); err != nil {
		return KappaResult{}, err
	}
	total := 0.0
	row, col := make([]float64, c), make([]float64, c)
	for i, r := range table {
		if err := stats.CheckLengths("rows", c, fmt.Sprintf("row %d", i), len(r)); err != nil {
			return KappaResult{}, err
		}
		for j, v := range r {
			if v < 0 {
				return KappaResult{}, fmt.Errorf("%w: count %d", stats.ErrDomain, v)
			}
			total += float64(v)
			row[i] += float64(v)
			col[j] += float64(v)
		}
	}
	if total == 0 {
		return KappaResult{}, fmt.Errorf("%w: no counts", stats.ErrEmpty)
	}
	usedRow, usedCol, one := 0, 0, true
	for i := range c {
		if row[i] > 0 {
			usedRow++
		}
		if col[i] > 0 {
			usedCol++
		}
		one = one && (row[i] > 0) == (col[i] > 0)
		row[i] /= total
		col[i] /= total
	}
	if usedRow == 1 && usedCol == 1 && one {
		return KappaResult{}, fmt.Errorf("%w: both raters used one and the same category", stats.ErrNoVariation)
	}
	res := KappaResult{N: int(total), Categories: c}
	// meanRow[i] = Σ_j w_ij·p_.j and meanCol[j] = Σ_i w_ij·p_i., the mean weights.
	meanRow, meanCol := make([]float64, c), make([]float64, c)
	for i := range c {
		for j := range c {
			wij := w.of(i, j, c)
			res.Observed += wij * float64(table[i][j]) / total
			meanRow[i] += wij * col[j]
			meanCol[j] += wij * row[i]
		}
	}
	for i := range c {
		res.Expected += row[i] * meanRow[i]
	}
	po, pe := res.Observed, res.Expected
	res.Kappa = (po - pe) / (1 - pe)
	if usedRow == 1 || usedCol == 1 {
		res.Kappa = 0 // exactly: observed and expected agreement are the same sum
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "one-rater-constant",
			Text: "One rater used one single category, so agreement beyond chance cannot be seen.",
		})
	}
	// Non-null: Σ p_ij[w_ij(1−pe) − (w̄_i. + w̄_.j)(1−po)]² − (po·pe − 2pe + po)²,
	// over n(1−pe)⁴. Null: Σ p_i.p_.j[w_ij − (w̄_i. + w̄_.j)]² − pe², over n(1−pe)².
	// Both are variances of the bracket, so they are summed about its mean, which
	// does not cancel.
	meanA := po*(1-pe) - 2*pe*(1-po)
	var va, v0 float64
	for i := range c {
		for j := range c {
			wij, m := w.of(i, j, c), meanRow[i]+meanCol[j]
			a := wij*(1-pe) - m*(1-po) - meanA
			va += float64(table[i][j]) / total * a * a
			b := wij - m + pe
			v0 += row[i] * col[j] * b * b
		}
	}
	res.SE = math.Sqrt(va/total) / ((1 - pe) * (1 - pe))
	res.NullSE = math.Sqrt(v0/total) / (1 - pe)
	z, err := dist.NormalQuantile((1 - level) / 2)
	if err != nil {
		return KappaResult{}, err
	}
	res.Interval = stats.Interval{Low: max(-1, res.Kappa+z*res.SE), High: min(1, res.Kappa-z*res.SE), Level: level}
	if res.NullSE > 1e-12 {
		res.Z, res.HasTest = res.Kappa/res.NullSE, true
		res.P = 2 * dist.NormalUpper(math.Abs(res.Z))
	}
	if total < 30 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "kappa-few-pairs",
			Text: "The standard errors of kappa are for large samples, and there are fewer than 30 pairs.",
			Need: 30,
		})
	}
	return res, nil
}
