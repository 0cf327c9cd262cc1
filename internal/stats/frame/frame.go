package frame

import (
	"fmt"
	"slices"

	"tamis/internal/stats"
)

// Frame is a table of columns of equal length with distinct names. It never
// changes after New.
type Frame struct {
	cols  []Column
	index map[string]int
	rows  int
}

// New makes a frame. It returns stats.ErrEmpty for no columns or no rows,
// stats.ErrLengths for columns of unequal length and stats.ErrDomain for a name
// that occurs twice.
func New(cols ...Column) (*Frame, error) {
	if len(cols) == 0 {
		return nil, fmt.Errorf("%w: no columns", stats.ErrEmpty)
	}
	f := &Frame{cols: slices.Clone(cols), index: make(map[string]int, len(cols)), rows: cols[0].Len()}
	for i, c := range cols {
		if err := checkName(c.name); err != nil {
			return nil, err
		}
		if _, twice := f.index[c.name]; twice {
			return nil, fmt.Errorf("%w: two columns are called %q", stats.ErrDomain, c.name)
		}
		f.index[c.name] = i
		if err := stats.CheckLengths(cols[0].name, f.rows, c.name, c.Len()); err != nil {
			return nil, err
		}
	}
	if f.rows == 0 {
		return nil, fmt.Errorf("%w: the columns have no rows", stats.ErrEmpty)
	}
	return f, nil
}

// Rows is the number of rows.
func (f *Frame) Rows() int { return f.rows }

// Names are the names of the columns in their order.
func (f *Frame) Names() []string {
	names := make([]string, len(f.cols))
	for i, c := range f.cols {
		names[i] = c.name
	}
	return names
}

// Column finds a column by name; stats.ErrDomain when there is none.
func (f *Frame) Column(name string) (Column, error) {
	i, ok := f.index[name]
	if !ok {
		return Column{}, fmt.Errorf("%w: there is no column %q", stats.ErrDomain, name)
	}
	return f.cols[i], nil
}

// With returns a frame with one more column; errors as New.
func (f *Frame) With(c Column) (*Frame, error) {
	return New(append(slices.Clone(f.cols), c)...)
}

// Subset returns the frame at the given rows, in that order; a row may occur
// several times. Factors keep all their levels. It returns stats.ErrEmpty for no
// rows and stats.ErrDomain for a row outside the frame.
func (f *Frame) Subset(rows []int) (*Frame, error) {
	for _, r := range rows {
		if r < 0 || r >= f.rows {
			return nil, fmt.Errorf("%w: row %d of a frame with %d rows", stats.ErrDomain, r, f.rows)
		}
	}
	cols := make([]Column, len(f.cols))
	for i, c := range f.cols {
		cols[i] = c.subset(rows)
	}
	return New(cols...)
}
