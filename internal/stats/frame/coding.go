package frame

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Contrast is the kind of coding of a factor with k levels in k-1 columns.
type Contrast int

const (
	// Treatment compares each level with the base (the first unless Base says
	// otherwise): columns of indicators.
	Treatment Contrast = iota
	// Sum has columns that add up to 0; the last level is -1 throughout (or the
	// one named as Base).
	Sum
	// Helmert compares each level with the mean of those before it: the column
	// for level j is -1 above, j-1 at the level.
	Helmert
	// Polynomial has the orthonormal polynomials over the scores of the levels.
	Polynomial
	// User has the columns of Matrix.
	User
)

// Coding is the coding of one factor. Base is a level for Treatment and Sum,
// empty for the default. Scores, for Polynomial, override those of the column.
// Matrix, for User, has a row per level and at least one column; its columns
// should be independent of each other and of a constant, which is not checked
// here (package linear reports what is aliased); Names name its columns.
type Coding struct {
	Contrast Contrast
	Base     string
	Scores   []float64
	Matrix   *mat.Dense
	Names    []string
}

// table is the coding as a table: a row per level, a name per column.
func (k Coding) table(c Column) (rows [][]float64, names []string, err error) {
	n := len(c.levels)
	if n < 2 {
		return nil, nil, fmt.Errorf("%w: the factor %s has %d level, 2 needed", stats.ErrNoVariation, c.name, n)
	}
	base := 0
	if k.Contrast == Sum {
		base = n - 1
	}
	if k.Base != "" {
		if base = slices.Index(c.levels, k.Base); base < 0 {
			return nil, nil, fmt.Errorf("%w: the base %q is no level of %s", stats.ErrDomain, k.Base, c.name)
		}
	}
	switch k.Contrast {
	case Treatment, Sum:
		rows, names = indicators(c)
		for i := range rows {
			rows[i] = slices.Delete(rows[i], base, base+1)
			if i == base && k.Contrast == Sum {
				for j := range rows[i] {
					rows[i][j] = -1
				}
			}
		}
		return rows, slices.Delete(names, base, base+1), nil
	case Helmert:
		for i := range n {
			row := make([]float64, n-1)
			for j := range row {
				switch {
				case i <= j:
					row[j] = -1
				case i == j+1:
					row[j] = float64(j + 1)
				}
			}
			rows = append(rows, row)
		}
		for j := 1; j < n; j++ {
			names = append(names, c.levels[j]+" against before")
		}
		return rows, names, nil
	case Polynomial:
		scores := c.Scores()
		if k.Scores != nil {
			if err := checkScores(c.name, k.Scores, n); err != nil {
				return nil, nil, err
			}
			scores = k.Scores
		}
		return polynomialTable(c.name, scores)
	case User:
		return userTable(k, c)
	}
	return nil, nil, fmt.Errorf("%w: there is no contrast %d", stats.ErrDomain, k.Contrast)
}

// indicators is full coding: one column per level.
func indicators(c Column) (rows [][]float64, names []string) {
	for i := range c.levels {
		row := make([]float64, len(c.levels))
		row[i] = 1
		rows = append(rows, row)
	}
	return rows, slices.Clone(c.levels)
}

func userTable(k Coding, c Column) (rows [][]float64, names []string, err error) {
	if k.Matrix == nil || k.Matrix.IsEmpty() {
		return nil, nil, fmt.Errorf("%w: the coding matrix of %s", stats.ErrEmpty, c.name)
	}
	r, p := k.Matrix.Dims()
	if err := stats.CheckLengths("coding matrix of "+c.name, r, "levels", len(c.levels)); err != nil {
		return nil, nil, err
	}
	names = slices.Clone(k.Names)
	if names == nil {
		for j := range p {
			names = append(names, fmt.Sprintf("contrast %d", j+1))
		}
	}
	if err := stats.CheckLengths("names of the coding of "+c.name, len(names), "its columns", p); err != nil {
		return nil, nil, err
	}
	for i := range r {
		row := slices.Clone(k.Matrix.RawRowView(i))
		if err := stats.CheckFinite("coding matrix of "+c.name, row); err != nil {
			return nil, nil, err
		}
		rows = append(rows, row)
	}
	return rows, names, nil
}

// polynomialTable has the orthonormal polynomials of degree 1 … k-1 over the
// scores. Above 20 levels only the first 20 degrees would be trustworthy, and
// the coding is refused.
func polynomialTable(name string, scores []float64) (rows [][]float64, names []string, err error) {
	n := len(scores)
	if n-1 > maxDegree {
		return nil, nil, fmt.Errorf("%w: polynomial coding of %s with %d levels, at most %d", stats.ErrTooLarge, name, n, maxDegree+1)
	}
	b, err := newOrthogonal(name, scores, n-1)
	if err != nil {
		return nil, nil, err
	}
	for _, x := range scores {
		rows = append(rows, b.eval(x))
	}
	for d := 1; d < n; d++ {
		names = append(names, degreeName(d))
	}
	return rows, names, nil
}

func degreeName(d int) string {
	switch d {
	case 1:
		return "linear"
	case 2:
		return "quadratic"
	case 3:
		return "cubic"
	}
	return fmt.Sprintf("degree %d", d)
}

// PolynomialContrasts returns the orthonormal polynomial contrasts of degree
// 1 … k-1 over k scores, a row per score, a column per degree (k at most 21).
// Errors: stats.ErrTooFew below 2 scores, stats.ErrDomain for equal scores,
// stats.ErrNonFinite, stats.ErrTooLarge.
func PolynomialContrasts(scores []float64) (*mat.Dense, error) {
	if len(scores) < 2 {
		return nil, fmt.Errorf("%w: %d scores, 2 needed", stats.ErrTooFew, len(scores))
	}
	if err := checkScores("the scores", scores, len(scores)); err != nil {
		return nil, err
	}
	rows, _, err := polynomialTable("the scores", scores)
	if err != nil {
		return nil, err
	}
	out := mat.NewDense(len(rows), len(rows)-1, nil)
	for i, r := range rows {
		out.SetRow(i, r)
	}
	return out, nil
}
