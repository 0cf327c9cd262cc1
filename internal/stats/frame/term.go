package frame

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/stats"
)

// Basis is how a numeric variable enters a term.
type Basis int

const (
	// Plain is the variable as it is: one column, degree 1.
	Plain Basis = iota
	// Scaled are the powers 1 … degree of (x - centre)/half-width, where centre
	// and half-width are the middle and half the range of the data. The curve is
	// that of the plain powers, but °C and kelvin give the same matrix.
	Scaled
	// Orthogonal are polynomials that are orthonormal over the rows of the data,
	// with positive leading coefficients.
	Orthogonal
	// Powers are x, x², … themselves. Ill-conditioned away from 0; for
	// coefficients that must be those of the plain powers.
	Powers
)

// Variable is a column in a term. Degree and Basis concern numeric columns
// only; degree 0 counts as 1. In one model a numeric variable may be Plain and
// have one polynomial besides.
type Variable struct {
	Name   string
	Degree int
	Basis  Basis
}

// Term is a variable or the interaction of several. The order of the variables
// matters for names only: the first varies fastest.
type Term []Variable

// T is the term of the named variables: T("recipe"), T("recipe", "temp").
func T(names ...string) Term {
	t := make(Term, len(names))
	for i, n := range names {
		t[i] = Variable{Name: n}
	}
	return t
}

// Poly is a polynomial of a numeric variable as a term. Any basis spans the
// same curves.
func Poly(name string, degree int, basis Basis) Term {
	return Term{{Name: name, Degree: degree, Basis: basis}}
}

// Cross is the interaction of terms.
func Cross(terms ...Term) Term { return slices.Concat(terms...) }

// Crossed returns the terms and all their interactions, lower orders first, as
// in a full factorial model. More than 8 terms are cut to the main effects and
// interactions of the first 8.
func Crossed(terms ...Term) []Term {
	if len(terms) > 8 {
		terms = terms[:8]
	}
	var out []Term
	for order := 1; order <= len(terms); order++ {
		for set := 1; set < 1<<len(terms); set++ {
			var t Term
			size := 0
			for i := range terms {
				if set&(1<<i) != 0 {
					t = append(t, terms[i]...)
					size++
				}
			}
			if size == order {
				out = append(out, t)
			}
		}
	}
	return out
}

// String is the readable name: "recipe:temp", "temp^2" for a polynomial of
// degree 2. The empty term is "(intercept)".
func (t Term) String() string {
	if len(t) == 0 {
		return interceptName
	}
	parts := make([]string, len(t))
	for i, v := range t {
		parts[i] = v.String()
	}
	return strings.Join(parts, ":")
}

// String is the readable name of the variable.
func (v Variable) String() string {
	if v.Basis != Plain {
		return fmt.Sprintf("%s^%d", v.Name, max(v.Degree, 1))
	}
	return v.Name
}

const interceptName = "(intercept)"

// key identifies a term whatever the order of its variables.
func (t Term) key() string {
	parts := make([]string, len(t))
	for i, v := range t {
		parts[i] = v.key()
	}
	slices.Sort(parts)
	return strings.Join(parts, "\x00")
}

func (v Variable) key() string {
	return fmt.Sprintf("%s\x01%d\x01%d", v.Name, max(v.Degree, 1), v.Basis)
}

// without is the term less its i-th variable.
func (t Term) without(i int) Term { return slices.Concat(t[:i], t[i+1:]) }

// maxVariables bounds the size of an interaction, maxDegree that of a
// polynomial.
const (
	maxVariables = 8
	maxDegree    = 20
)

// check returns the errors of a term that do not depend on the data's values.
func (t Term) check(f *Frame) error {
	if len(t) == 0 {
		return fmt.Errorf("%w: a term without variables", stats.ErrDomain)
	}
	if len(t) > maxVariables {
		return fmt.Errorf("%w: a term of %d variables, at most %d", stats.ErrTooLarge, len(t), maxVariables)
	}
	seen := map[string]bool{}
	for _, v := range t {
		c, err := f.Column(v.Name)
		if err != nil {
			return err
		}
		if seen[v.Name] {
			return fmt.Errorf("%w: %s occurs twice in the term %s", stats.ErrDomain, v.Name, t)
		}
		seen[v.Name] = true
		if c.IsFactor() && (v.Degree > 1 || v.Basis != Plain) {
			return fmt.Errorf("%w: %s is a factor and has no powers; give it polynomial coding", stats.ErrDomain, v.Name)
		}
		if v.Degree < 0 || v.Degree > maxDegree {
			return fmt.Errorf("%w: degree %d of %s, 1 to %d wanted", stats.ErrDomain, v.Degree, v.Name, maxDegree)
		}
		if v.Basis < Plain || v.Basis > Powers || (v.Basis == Plain && v.Degree > 1) {
			return fmt.Errorf("%w: the basis of %s does not fit its degree", stats.ErrDomain, v.Name)
		}
	}
	return nil
}
