package mixed

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// A Grouping is a factor whose levels have random intercepts. Codes has one
// entry per row, an index into Levels. Levels without rows are left out of the
// model. A nested grouping is given by codes that are distinct for each
// combination (see Interaction).
type Grouping struct {
	Name   string
	Codes  []int
	Levels []string
}

// Interaction is the grouping whose levels are the combinations of a and b that
// occur, in order of a, then b: a:b. Errors: stats.ErrLengths, stats.ErrDomain
// for a code outside its levels.
func Interaction(a, b Grouping) (Grouping, error) {
	if err := stats.CheckLengths(a.Name, len(a.Codes), b.Name, len(b.Codes)); err != nil {
		return Grouping{}, err
	}
	for _, g := range []Grouping{a, b} {
		if err := g.checkCodes(); err != nil {
			return Grouping{}, err
		}
	}
	out := Grouping{Name: a.Name + ":" + b.Name, Codes: make([]int, len(a.Codes))}
	// Sorting by counting twice would need tables of both sizes; a map from the
	// pair to its rank, filled by passing over the rows of each level of a, needs
	// none larger than the data.
	rows := make([][]int, len(a.Levels))
	for i, c := range a.Codes {
		rows[c] = append(rows[c], i)
	}
	at := make([]int, len(b.Levels))
	for l, rs := range rows {
		for _, i := range rs {
			at[b.Codes[i]] = -1
		}
		for c := range b.Levels {
			if at[c] == -1 {
				at[c] = len(out.Levels)
				out.Levels = append(out.Levels, a.Levels[l]+":"+b.Levels[c])
			}
		}
		for _, i := range rs {
			out.Codes[i] = at[b.Codes[i]]
		}
	}
	return out, nil
}

func (g Grouping) checkCodes() error {
	for i, c := range g.Codes {
		if c < 0 || c >= len(g.Levels) {
			return fmt.Errorf("%w: %s[%d] = %d, but there are %d levels", stats.ErrDomain, g.Name, i, c, len(g.Levels))
		}
	}
	return nil
}

// Data is what a model is fitted to: n responses, n × m fixed columns with
// their names (nil for x1, x2 …), the random groupings (none is a linear model)
// and, optionally, n positive weights: the residual variance of row i is σ²/w_i.
type Data struct {
	Y       []float64
	X       *mat.Dense
	Names   []string
	Groups  []Grouping
	Weights []float64
}

// Options choose the criterion. The zero value is REML. ML is for comparing
// models with different fixed parts.
type Options struct {
	ML bool
}

// Why a grouping cannot have a variance of its own.
const (
	OneLevel       = "has a single level"
	OnePerRow      = "has one row per level: it is the residual"
	SameAsOther    = "groups the rows exactly as another grouping does"
	WithinFixed    = "is a function of the fixed columns"
	NoResidualLeft = "takes up all of the residual variation"
)

// A GroupingError says which grouping cannot be told from another part of the
// model, and why. It wraps stats.ErrSingular, or stats.ErrNoVariation where the
// data leave no residual variance.
type GroupingError struct {
	Grouping string
	Other    string // the other grouping, for SameAsOther
	Reason   string // one of the constants above
	err      error
}

func (e *GroupingError) Error() string {
	if e.Other != "" {
		return fmt.Sprintf("%v: grouping %q %s (%q)", e.err, e.Grouping, e.Reason, e.Other)
	}
	return fmt.Sprintf("%v: grouping %q %s", e.err, e.Grouping, e.Reason)
}

func (e *GroupingError) Unwrap() error { return e.err }

func singular(g, other, reason string) error {
	return &GroupingError{Grouping: g, Other: other, Reason: reason, err: stats.ErrSingular}
}

// maxCells bounds n × columns.
const maxCells = 200_000_000

// check looks at everything that can be seen before arithmetic.
func (d Data) check() error {
	if err := stats.CheckSample("y", d.Y); err != nil {
		return err
	}
	if d.X == nil || d.X.IsEmpty() {
		return fmt.Errorf("%w: no fixed columns", stats.ErrEmpty)
	}
	n, m := d.X.Dims()
	if err := stats.CheckLengths("y", len(d.Y), "the fixed columns", n); err != nil {
		return err
	}
	if m > maxCells/n {
		return fmt.Errorf("%w: %d rows by %d columns", stats.ErrTooLarge, n, m)
	}
	if d.Names != nil {
		if err := stats.CheckLengths("names", len(d.Names), "the fixed columns", m); err != nil {
			return err
		}
	}
	for i := 0; i < n; i++ {
		if stats.CheckFinite("", d.X.RawRowView(i)) != nil {
			return stats.CheckFinite(fmt.Sprintf("row %d of the fixed columns", i), d.X.RawRowView(i))
		}
	}
	if d.Weights != nil {
		if err := stats.CheckLengths("y", len(d.Y), "weights", len(d.Weights)); err != nil {
			return err
		}
		if err := stats.CheckFinite("weights", d.Weights); err != nil {
			return err
		}
		for i, w := range d.Weights {
			if w <= 0 {
				return fmt.Errorf("%w: weights[%d] = %v, weights are above 0", stats.ErrDomain, i, w)
			}
		}
	}
	seen := map[string]bool{}
	for _, g := range d.Groups {
		if err := stats.CheckLengths("y", len(d.Y), "codes of "+g.Name, len(g.Codes)); err != nil {
			return err
		}
		if err := g.checkCodes(); err != nil {
			return err
		}
		if seen[g.Name] {
			return fmt.Errorf("%w: two groupings are called %q", stats.ErrDomain, g.Name)
		}
		seen[g.Name] = true
	}
	return nil
}

// compact numbers the levels that occur 0, 1, … in the order of the levels; used
// maps back.
func (g Grouping) compact() (codes, used []int) {
	at := make([]int, len(g.Levels))
	for i := range at {
		at[i] = -1
	}
	for _, c := range g.Codes {
		at[c] = 0
	}
	for l, a := range at {
		if a == 0 {
			at[l] = len(used)
			used = append(used, l)
		}
	}
	codes = make([]int, len(g.Codes))
	for i, c := range g.Codes {
		codes[i] = at[c]
	}
	return codes, used
}

// identifiable refuses groupings that cannot have a variance of their own.
func identifiable(groups []Grouping, codes [][]int, levels []int, b *basis, sw []float64) error {
	n := b.n
	for g, gr := range groups {
		switch levels[g] {
		case 1:
			return singular(gr.Name, "", OneLevel)
		case n:
			return singular(gr.Name, "", OnePerRow)
		}
		for o := 0; o < g; o++ {
			if levels[o] == levels[g] && samePartition(codes[o], codes[g], levels[g]) {
				return singular(gr.Name, groups[o].Name, SameAsOther)
			}
		}
		// |Z|² against the part of it that lies in the fixed columns.
		all := 0.0
		sums := make([]float64, levels[g]*b.p)
		for i, c := range codes[g] {
			r := 1.0
			if sw != nil {
				r = sw[i]
			}
			all += r * r
			for k := 0; k < b.p; k++ {
				sums[c*b.p+k] += r * b.q[i*b.p+k]
			}
		}
		if l := norm(sums); all-l*l <= 1e-9*all {
			return singular(gr.Name, "", WithinFixed)
		}
	}
	return nil
}

// samePartition reports whether two codings with equally many levels put the
// same rows together.
func samePartition(a, b []int, levels int) bool {
	to := make([]int, levels)
	for i := range to {
		to[i] = -1
	}
	for i, c := range a {
		if to[c] == -1 {
			to[c] = b[i]
		}
		if to[c] != b[i] {
			return false
		}
	}
	return true
}

// AsGroupingError finds a *GroupingError in err.
func AsGroupingError(err error) (*GroupingError, bool) {
	var e *GroupingError
	ok := errors.As(err, &e)
	return e, ok
}

// roots returns the square roots of the weights, or nil.
func roots(w []float64) []float64 {
	if w == nil {
		return nil
	}
	out := make([]float64, len(w))
	for i, x := range w {
		out[i] = math.Sqrt(x)
	}
	return out
}
