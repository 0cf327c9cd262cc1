package multiple

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Contrast is one difference, mean I minus mean J, with its standard error and
// the degrees of freedom of that standard error (math.Inf(1) when known).
type Contrast struct {
	I, J     int
	Estimate float64
	SE       float64
	DF       float64
}

// Pairs returns all differences of k means in the order (0,1), (0,2), …, (1,2),
// …: k(k−1)/2 contrasts. cov is the k × k covariance of the means; df holds one
// number for all, or one per contrast in that order. Errors: stats.ErrTooFew
// below two means, stats.ErrLengths, stats.ErrNonFinite, stats.ErrNoVariation
// when a difference has no variance.
func Pairs(means []float64, cov [][]float64, df []float64) ([]Contrast, error) {
	if err := checkMeans(means, cov); err != nil {
		return nil, err
	}
	k := len(means)
	n := k * (k - 1) / 2
	if len(df) != 1 && len(df) != n {
		return nil, fmt.Errorf("%w: %d degrees of freedom for %d pairs (or one for all)", stats.ErrLengths, len(df), n)
	}
	out := make([]Contrast, 0, n)
	for i := range k {
		for j := i + 1; j < k; j++ {
			c, err := difference(means, cov, i, j, pick(df, len(out)))
			if err != nil {
				return nil, err
			}
			out = append(out, c)
		}
	}
	return out, nil
}

// AgainstControl returns every other mean minus the control's, in order, and
// the correlation matrix of these differences, which Dunnett needs.
// Arguments and errors as for Pairs; df has one entry or k − 1.
func AgainstControl(means []float64, cov [][]float64, control int, df []float64) ([]Contrast, [][]float64, error) {
	if err := checkMeans(means, cov); err != nil {
		return nil, nil, err
	}
	k := len(means)
	if control < 0 || control >= k {
		return nil, nil, fmt.Errorf("%w: control %d of %d means", stats.ErrDomain, control, k)
	}
	if len(df) != 1 && len(df) != k-1 {
		return nil, nil, fmt.Errorf("%w: %d degrees of freedom for %d comparisons (or one for all)", stats.ErrLengths, len(df), k-1)
	}
	var out []Contrast
	for i := range k {
		if i == control {
			continue
		}
		c, err := difference(means, cov, i, control, pick(df, len(out)))
		if err != nil {
			return nil, nil, err
		}
		out = append(out, c)
	}
	corr := make([][]float64, len(out))
	for a := range out {
		corr[a] = make([]float64, len(out))
		for b := range out {
			i, j, c := out[a].I, out[b].I, control
			// Cov(mᵢ − m_c, mⱼ − m_c)
			v := cov[i][j] - cov[i][c] - cov[c][j] + cov[c][c]
			corr[a][b] = math.Max(-1, math.Min(1, v/(out[a].SE*out[b].SE)))
		}
		corr[a][a] = 1
	}
	return out, corr, nil
}

func difference(means []float64, cov [][]float64, i, j int, df float64) (Contrast, error) {
	v := cov[i][i] + cov[j][j] - cov[i][j] - cov[j][i]
	// A covariance from a fit misses 0 by rounding; below that it is no variance.
	if !(v > 1e-14*(math.Abs(cov[i][i])+math.Abs(cov[j][j]))) {
		return Contrast{}, fmt.Errorf("%w: the difference of means %d and %d has variance %v", stats.ErrNoVariation, i, j, v)
	}
	c := Contrast{I: i, J: j, Estimate: means[i] - means[j], SE: math.Sqrt(v), DF: df}
	if math.IsInf(c.SE, 0) || math.IsInf(c.Estimate, 0) {
		return Contrast{}, fmt.Errorf("%w: the difference of means %d and %d", stats.ErrNonFinite, i, j)
	}
	return c, nil
}

func pick(df []float64, i int) float64 {
	if len(df) == 1 {
		return df[0]
	}
	return df[i]
}

func checkMeans(means []float64, cov [][]float64) error {
	if err := stats.CheckSample("means", means); err != nil {
		return err
	}
	if len(means) < 2 {
		return fmt.Errorf("%w: one mean, 2 needed", stats.ErrTooFew)
	}
	if err := stats.CheckLengths("means", len(means), "cov", len(cov)); err != nil {
		return err
	}
	for i, row := range cov {
		name := fmt.Sprintf("cov[%d]", i)
		if err := stats.CheckLengths("means", len(means), name, len(row)); err != nil {
			return err
		}
		if err := stats.CheckFinite(name, row); err != nil {
			return err
		}
	}
	return nil
}

func checkContrasts(cs []Contrast) error {
	if len(cs) == 0 {
		return fmt.Errorf("%w: contrasts", stats.ErrEmpty)
	}
	for i, c := range cs {
		if err := stats.CheckFinite(fmt.Sprintf("contrast %d", i), []float64{c.Estimate, c.SE}); err != nil {
			return err
		}
		switch {
		case c.SE == 0:
			return fmt.Errorf("%w: contrast %d has a standard error of 0", stats.ErrNoVariation, i)
		case c.SE < 0:
			return fmt.Errorf("%w: contrast %d has a standard error of %v", stats.ErrDomain, i, c.SE)
		case math.IsNaN(c.DF):
			return fmt.Errorf("%w: contrast %d has NaN degrees of freedom", stats.ErrNonFinite, i)
		case c.DF <= 0:
			return fmt.Errorf("%w: contrast %d has %v degrees of freedom", stats.ErrDomain, i, c.DF)
		}
	}
	return nil
}
