// Package agree measures agreement: between raters who score the same targets
// (intraclass correlations, alpha, Kendall's W, weighted kappa, concordance), of
// each assessor with a panel, and between people about what they like (penalties,
// shares preferring, segments). It knows products, assessors and repeats only as
// whole-number labels.
//
// What it does not do: no mixed models for incomplete rating tables (package
// mixed), no more than two raters for kappa, no more than two segments.
//
// A quantity of a result that the data cannot give is a Number whose Absent names
// the reason; an argument that the method cannot use at all is an error that wraps
// a sentinel of package stats. Missing values are removed by the caller, except
// where a doc comment says that NaN marks a product not tasted (Preferences and
// Segments). Nothing panics and inputs are never altered.
package agree

// Absence is the reason why a Number is not there; empty when it is.
type Absence string

// The reasons for a missing number.
const (
	NoRepeats   Absence = "no-repeats"          // nothing was scored twice
	OneProduct  Absence = "one-product"         // fewer than two products in common
	TwoProducts Absence = "two-products"        // a correlation needs three
	NoSpread    Absence = "no-spread"           // all values equal where a spread divides
	NoError     Absence = "no-error"            // the error is exactly 0
	NoOthers    Absence = "no-others"           // nobody else scored the same products
	TooFewInIt  Absence = "too-few-in-group"    // fewer than two people in a group
	NobodyInIt  Absence = "nobody-in-group"     // no people in a group
	NoFreedom   Absence = "no-freedom"          // no degrees of freedom left
	NotJoined   Absence = "products-not-joined" // tables fall into parts that never met
)

// Number is a value or the reason why there is none (Value is then 0).
type Number struct {
	Value  float64
	Absent Absence
}

// OK reports whether the value is there.
func (n Number) OK() bool { return n.Absent == "" }

func some(v float64) Number   { return Number{Value: v} }
func none(why Absence) Number { return Number{Absent: why} }

// Ratio is an F test. Absent says why there is none; F, DF1, DF2 and P are then 0.
type Ratio struct {
	F, DF1, DF2, P float64
	Absent         Absence
}

// OK reports whether the test is there.
func (r Ratio) OK() bool { return r.Absent == "" }
