package figure

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// The faults of a figure.
var (
	ErrEmpty        = errors.New("nothing to draw")
	ErrLengths      = errors.New("unequal lengths")
	ErrNonFinite    = errors.New("a value is not a finite number")
	ErrRange        = errors.New("a range is empty or reversed")
	ErrUnknownLayer = errors.New("unknown layer")
	ErrID           = errors.New("an id holds more than letters, digits and hyphens")
)

// Validate returns nil for a figure that every backend can draw, and otherwise
// all its faults joined, each wrapping one of the sentinels of this package.
func (f Figure) Validate() error {
	var v faults
	if f.ID == "" || strings.Trim(f.ID, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") != "" {
		v.add("id %q: %w", f.ID, ErrID)
	}
	v.axis("horizontal axis", f.X)
	v.axis("vertical axis", f.Y)
	if len(f.Layers) == 0 {
		v.add("figure %s: %w", f.ID, ErrEmpty)
	}
	for i, l := range f.Layers {
		if l == nil {
			v.add("layer %d: %w: none given", i, ErrUnknownLayer)
			continue
		}
		v.where = fmt.Sprintf("layer %d (%s)", i, l.Kind())
		v.layer(l, f)
	}
	return errors.Join(v.errs...)
}

type faults struct {
	where string
	errs  []error
}

func (v *faults) add(format string, args ...any) {
	v.errs = append(v.errs, fmt.Errorf(format, args...))
}

func (v *faults) axis(name string, a Axis) {
	if len(a.Categories) > 0 {
		return
	}
	v.where = name
	v.finite(a.Min, a.Max)
	if !(a.Min < a.Max) {
		v.add("%s: %w: %v to %v", name, ErrRange, a.Min, a.Max)
	}
	for _, ts := range [][]Tick{a.Metric, a.US} {
		for _, t := range ts {
			v.finite(t.At)
		}
	}
}

// lists checks lists that belong together: some values, equal lengths, finite.
func (v *faults) lists(lists ...[]float64) {
	n := len(lists[0])
	if n == 0 {
		v.add("%s: %w", v.where, ErrEmpty)
	}
	for _, l := range lists {
		if len(l) != n {
			v.add("%s: %w: %d and %d", v.where, ErrLengths, n, len(l))
		}
		v.finite(l...)
	}
}

// optional checks a list that may be absent.
func (v *faults) optional(n int, l []float64) {
	if l == nil {
		return
	}
	if len(l) != n {
		v.add("%s: %w: %d and %d", v.where, ErrLengths, n, len(l))
	}
	v.finite(l...)
}

func (v *faults) finite(xs ...float64) {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			v.add("%s: %w: %v", v.where, ErrNonFinite, x)
			return
		}
	}
}

func (v *faults) ordered(lo, hi float64) {
	if lo > hi {
		v.add("%s: %w: %v to %v", v.where, ErrRange, lo, hi)
	}
}

func (v *faults) increasing(x []float64) {
	for i := 1; i < len(x); i++ {
		if x[i] < x[i-1] {
			v.add("%s: %w: x goes back from %v to %v", v.where, ErrRange, x[i-1], x[i])
			return
		}
	}
}

func (v *faults) within(name string, i, n int) {
	if i < 0 || i >= n {
		v.add("%s: %w: %s %d of %d", v.where, ErrRange, name, i, n)
	}
}

func (v *faults) layer(l Layer, f Figure) {
	switch l := l.(type) {
	case Line:
		v.lists(l.X, l.Y)
		v.increasing(l.X)
	case Band:
		v.lists(l.X, l.Low, l.High)
		v.increasing(l.X)
		v.pairs(l.Low, l.High)
	case Points:
		v.lists(l.X, l.Y)
		v.optional(len(l.X), l.Offset)
		if l.Names != nil && len(l.Names) != len(l.X) {
			v.add("%s: %w: %d and %d", v.where, ErrLengths, len(l.X), len(l.Names))
		}
	case ErrorBars:
		v.lists(l.At, l.Low, l.High)
		v.optional(len(l.At), l.Offset)
		v.pairs(l.Low, l.High)
	case Zone:
		if !l.LowOpen {
			v.finite(l.Low)
		}
		if !l.HighOpen {
			v.finite(l.High)
		}
		if !l.LowOpen && !l.HighOpen {
			v.ordered(l.Low, l.High)
		}
	case Window:
		v.finite(l.Low, l.High, l.Best)
		v.ordered(l.Low, l.High)
	case Threshold:
		v.finite(l.At)
	case Strip:
		v.lists(l.X, l.Chance)
		v.increasing(l.X)
		for _, c := range l.Chance {
			if c < 0 || c > 1 {
				v.add("%s: %w: a chance of %v", v.where, ErrRange, c)
				break
			}
		}
		for _, e := range l.Levels {
			v.finite(e.At)
		}
	case Bars:
		v.lists(l.At, l.Value)
		v.width(l.Width)
	case Boxes:
		if len(l.Boxes) == 0 {
			v.add("%s: %w", v.where, ErrEmpty)
		}
		v.width(l.Width)
		for _, b := range l.Boxes {
			v.finite(b.At, b.Low, b.Q1, b.Median, b.Q3, b.Top)
			for _, p := range [][2]float64{{b.Low, b.Q1}, {b.Q1, b.Median}, {b.Median, b.Q3}, {b.Q3, b.Top}} {
				v.ordered(p[0], p[1])
			}
		}
	case Heat:
		if len(l.Cells) == 0 {
			v.add("%s: %w", v.where, ErrEmpty)
		}
		v.finite(l.Low, l.High)
		v.ordered(l.Low, l.High)
		for _, c := range l.Cells {
			v.finite(c.Value)
			v.within("column", c.Col, len(f.X.Categories))
			v.within("row", c.Row, len(f.Y.Categories))
		}
	case Spans:
		if len(l.Items) == 0 {
			v.add("%s: %w", v.where, ErrEmpty)
		}
		for _, s := range l.Items {
			v.finite(s.From, s.To)
			v.ordered(s.From, s.To)
			v.within("row", s.Row, len(f.Y.Categories))
		}
	case Note:
		v.finite(l.X, l.Y)
	default:
		v.add("%s: %w: %T", v.where, ErrUnknownLayer, l)
	}
}

func (v *faults) pairs(low, high []float64) {
	for i := range min(len(low), len(high)) {
		if low[i] > high[i] {
			v.ordered(low[i], high[i])
			return
		}
	}
}

func (v *faults) width(w float64) {
	v.finite(w)
	if !(w > 0) {
		v.add("%s: %w: a width of %v", v.where, ErrRange, w)
	}
}
