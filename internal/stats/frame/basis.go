package frame

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// basis turns a number into the columns of its polynomial.
type basis struct {
	kind          Basis
	degree        int
	centre, width float64   // Scaled and Orthogonal work on (x - centre)/width
	alpha, norm   []float64 // Orthogonal: the recurrence
}

// newBasis fits the basis of v to the data x.
func newBasis(v Variable, x []float64) (basis, error) {
	b := basis{kind: v.Basis, degree: max(v.Degree, 1), width: 1}
	switch v.Basis {
	case Scaled:
		lo, hi := slices.Min(x), slices.Max(x)
		// Halves first: lo + hi may overflow.
		b.centre, b.width = lo/2+hi/2, hi/2-lo/2
		if !(b.width > 0) {
			return b, fmt.Errorf("%w: %s has one value only", stats.ErrNoVariation, v.Name)
		}
	case Orthogonal:
		return newOrthogonal(v.Name, x, b.degree)
	}
	return b, nil
}

// newOrthogonal builds orthonormal polynomials over x by the three-term
// recurrence of Forsythe (1957, J. SIAM 5(2):74): p(j+1) = (z - alpha_j)·p(j) -
// (n_j/n_(j-1))·p(j-1), alpha_j = Σ z·p_j²/n_j, n_j = Σ p_j². It needs no powers
// of z, so it loses few digits; the recurrence also evaluates the polynomials
// at new points.
func newOrthogonal(name string, x []float64, degree int) (basis, error) {
	b, err := newBasis(Variable{Name: name, Basis: Scaled}, x)
	if err != nil {
		return b, err
	}
	distinct := slices.Clone(x)
	slices.Sort(distinct)
	if d := len(slices.Compact(distinct)); d <= degree {
		return b, fmt.Errorf("%w: %s has %d distinct values, degree %d needs %d", stats.ErrTooFew, name, d, degree, degree+1)
	}
	b.kind, b.degree = Orthogonal, degree
	z := make([]float64, len(x))
	for i, xi := range x {
		z[i] = (xi - b.centre) / b.width
	}
	prev, cur := make([]float64, len(z)), make([]float64, len(z))
	for i := range cur {
		cur[i] = 1
	}
	for j := 0; j <= degree; j++ {
		var n, a float64
		for i, p := range cur {
			n += p * p
			a += z[i] * p * p
		}
		if !(n > 0) || math.IsInf(n, 0) {
			return b, fmt.Errorf("%w: the values of %s are too close for degree %d", stats.ErrSingular, name, degree)
		}
		b.alpha, b.norm = append(b.alpha, a/n), append(b.norm, n)
		ratio := 0.0
		if j > 0 {
			ratio = n / b.norm[j-1]
		}
		for i := range cur {
			cur[i], prev[i] = (z[i]-b.alpha[j])*cur[i]-ratio*prev[i], cur[i]
		}
	}
	return b, nil
}

// eval returns the columns at x.
func (b basis) eval(x float64) []float64 {
	out := make([]float64, b.degree)
	z := (x - b.centre) / b.width
	if b.kind == Orthogonal {
		prev, cur := 0.0, 1.0
		for j := range b.degree {
			ratio := 0.0
			if j > 0 {
				ratio = b.norm[j] / b.norm[j-1]
			}
			cur, prev = (z-b.alpha[j])*cur-ratio*prev, cur
			out[j] = cur / math.Sqrt(b.norm[j+1])
		}
		return out
	}
	p := 1.0
	for j := range out {
		p *= z
		out[j] = p
	}
	return out
}

// names are the names of the columns.
func (b basis) names(variable string) []string {
	if b.kind == Plain {
		return []string{variable}
	}
	out := make([]string, b.degree)
	for j := range out {
		if b.kind == Orthogonal {
			out[j] = fmt.Sprintf("%s[%s]", variable, degreeName(j+1))
		} else {
			out[j] = fmt.Sprintf("%s^%d", variable, j+1)
		}
	}
	return out
}
