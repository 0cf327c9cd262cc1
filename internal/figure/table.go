package figure

import (
	"math"
	"slices"
	"sort"
)

// Table is the numbers of a figure as text: for readers who cannot see it, and
// for those who want the digits.
type Table struct {
	Header []string
	Rows   [][]string
}

// row is one line before empty columns are dropped.
type row struct{ what, x, y, low, high, n string }

// Table lists the numbers of the figure in the unit system, row for row the same
// in both: one row a named
// point, bar, box, field or span; points without a name share the row of their x, and
// where they are at more than manyPlaces those next to the ticks are listed;
// zones, windows and thresholds have their ends. Curves and bands are read off at the ticks of the horizontal
// axis in metric units, between drawn points by straight lines, because a table of every drawn
// point helps nobody; a band stands in the rows of the line that has its role
// and its x. Pieces come last. Columns that stay empty are left out. An invalid
// figure gives an empty table.
func (f Figure) Table(u Units) Table {
	if f.Validate() != nil {
		return Table{}
	}
	if h, ok := f.matrix(); ok {
		return f.fields(h, u)
	}
	var rows, last []row
	bands := f.bands()
	for i, l := range f.Layers {
		switch p, ok := l.(Points); {
		case ok && p.Size == Piece:
			last = append(last, f.rows(l, u)...)
		case bands[i] >= 0: // told with its line
		default:
			rows = append(rows, f.rows(l, u)...)
		}
	}
	rows = append(rows, last...)
	heads := row{"What", f.X.Title(u), f.Y.Title(u), "From", "To", "n"}
	if heads.x == "" {
		heads.x = "Across"
	}
	if heads.y == "" {
		heads.y = "Value"
	}
	var keep [6]bool
	for _, r := range rows {
		for i, s := range r.cells() {
			keep[i] = keep[i] || s != ""
		}
	}
	pick := func(r row) []string {
		var out []string
		for i, s := range r.cells() {
			if keep[i] {
				out = append(out, s)
			}
		}
		return out
	}
	t := Table{Header: pick(heads)}
	for _, r := range rows {
		t.Rows = append(t.Rows, pick(r))
	}
	return t
}

// matrix is the only layer of a figure that is a table of fields already.
func (f Figure) matrix() (Heat, bool) {
	if len(f.Layers) != 1 || len(f.X.Categories) == 0 || len(f.Y.Categories) == 0 {
		return Heat{}, false
	}
	h, ok := f.Layers[0].(Heat)
	return h, ok
}

// fields lists a table of fields as it is drawn: a column and a row a category. A
// field that is not there stays empty.
func (f Figure) fields(h Heat, u Units) Table {
	t := Table{Header: []string{f.Y.Title(u)}}
	for _, c := range f.X.Categories {
		t.Header = append(t.Header, c.In(u))
	}
	for i, c := range f.Y.Categories {
		t.Rows = append(t.Rows, make([]string, len(t.Header)))
		t.Rows[i][0] = c.In(u)
	}
	for _, c := range h.Cells {
		t.Rows[c.Row][c.Col+1] = c.text()
	}
	return t
}

// text is the number of a field as it reads.
func (c Cell) text() string {
	if c.Text == "" {
		return FormatNumber(c.Value, 2)
	}
	return c.Text
}

// bands gives for each layer the line in whose rows it is told, if it is a band
// with such a line, else −1.
func (f Figure) bands() []int {
	of := make([]int, len(f.Layers))
	for i, l := range f.Layers {
		of[i] = -1
		b, ok := l.(Band)
		if !ok {
			continue
		}
		for j, l := range f.Layers {
			if l, ok := l.(Line); ok && l.Style.Role == b.Role && slices.Equal(l.X, b.X) {
				of[i] = j
			}
		}
	}
	return of
}

// bandOf is the band that is told with a line.
func (f Figure) bandOf(l Line) (Band, bool) {
	for i, j := range f.bands() {
		if j < 0 {
			continue
		}
		if o := f.Layers[j].(Line); o.Style == l.Style && slices.Equal(o.X, l.X) && slices.Equal(o.Y, l.Y) {
			return f.Layers[i].(Band), true
		}
	}
	return Band{}, false
}

func (r row) cells() [6]string { return [6]string{r.what, r.x, r.y, r.low, r.high, r.n} }

// manyPlaces is how many places points without names may have for the table to
// list each: a log of a probe has hundreds.
const manyPlaces = 24

func places(x []float64) int {
	seen := map[float64]bool{}
	for _, v := range x {
		seen[v] = true
	}
	return len(seen)
}

// nearTicks are the points next to each tick of the horizontal axis, in its order.
func (f Figure) nearTicks(x []float64) (at []int) {
	for _, t := range f.X.TicksIn(Metric) {
		best := 0
		for i, v := range x {
			if math.Abs(v-t.At) < math.Abs(x[best]-t.At) {
				best = i
			}
		}
		if !slices.Contains(at, best) {
			at = append(at, best)
		}
	}
	return at
}

func (f Figure) rows(l Layer, u Units) (rows []row) {
	fx := func(v float64) string { return f.X.Format(v, u) }
	fy := func(v float64) string { return f.Y.Format(v, u) }
	add := func(r row) { rows = append(rows, r) }
	switch l := l.(type) {
	case Line:
		b, banded := f.bandOf(l)
		for _, x := range f.readAt(l.X) {
			r := row{what: named(l.Label, "curve", u), x: fx(x), y: fy(at(l.X, l.Y, x))}
			if banded {
				r.low, r.high = fy(at(b.X, b.Low, x)), fy(at(b.X, b.High, x))
			}
			add(r)
		}
	case Band:
		for _, x := range f.readAt(l.X) {
			add(row{what: named(l.Label, "band", u), x: fx(x), low: fy(at(l.X, l.Low, x)), high: fy(at(l.X, l.High, x))})
		}
	case Points:
		name := "cook"
		if l.Size == Piece {
			name = "piece"
		}
		what := named(l.Label, name, u)
		place := map[float64]int{} // the row of an x
		if l.Names == nil && places(l.X) > manyPlaces {
			for _, i := range f.nearTicks(l.X) {
				add(row{what: what, x: fx(l.X[i]), y: fy(l.Y[i])})
			}
			return rows
		}
		for i := range l.X {
			if l.Names != nil {
				add(row{what: named(l.Names[i], what, u), x: fx(l.X[i]), y: fy(l.Y[i])})
				continue
			}
			k, seen := place[l.X[i]]
			if !seen {
				place[l.X[i]] = len(rows)
				add(row{what: what, x: fx(l.X[i]), y: fy(l.Y[i])})
				continue
			}
			rows[k].y += "; " + fy(l.Y[i])
		}
	case ErrorBars:
		for i := range l.At {
			r := row{what: named(l.Label, "interval", u), x: fx(l.At[i]), low: fy(l.Low[i]), high: fy(l.High[i])}
			if l.Along == AlongX {
				r.x, r.y, r.low, r.high = "", fy(l.At[i]), fx(l.Low[i]), fx(l.High[i])
			}
			add(r)
		}
	case Zone:
		format := fy
		if l.Along == AlongX {
			format = fx
		}
		r := row{what: named(l.Label, "zone", u)}
		if !l.LowOpen {
			r.low = format(l.Low)
		}
		if !l.HighOpen {
			r.high = format(l.High)
		}
		add(r)
	case Window:
		r := row{what: named(l.Label, "window", u), low: fx(l.Low), high: fx(l.High)}
		if l.HasBest {
			r.x = fx(l.Best)
		}
		add(r)
	case Threshold:
		r := row{what: named(l.Label, "limit", u)}
		if l.Along == AlongX {
			r.x = fx(l.At)
		} else {
			r.y = fy(l.At)
		}
		add(r)
	case Strip:
		for _, x := range f.readAt(l.X) {
			add(row{what: named(l.Label, "chance", u), x: fx(x), y: FormatNumber(at(l.X, l.Chance, x), 2)})
		}
	case Bars:
		for i := range l.At {
			r := row{what: named(l.Label, "bar", u), x: fx(l.At[i]), y: fy(l.Value[i])}
			if l.Along == AlongX {
				r.x, r.y = fx(l.Value[i]), fy(l.At[i])
			}
			add(r)
		}
	case Boxes:
		for _, b := range l.Boxes {
			for _, q := range []struct {
				name   string
				lo, hi float64
			}{{"whiskers", b.Low, b.Top}, {"middle half", b.Q1, b.Q3}} {
				add(row{what: named(l.Label, "box", u) + ", " + q.name, x: fx(b.At), low: fy(q.lo), high: fy(q.hi), n: count(b.N)})
			}
			add(row{what: named(l.Label, "box", u) + ", median", x: fx(b.At), y: fy(b.Median), n: count(b.N)})
		}
	case Heat:
		for _, c := range l.Cells {
			// The value has no axis of its own: it goes into the first column
			// of numbers beside the two names.
			add(row{what: named(l.Label, "value", u) + ": " + c.text(), x: fx(float64(c.Col)), y: fy(float64(c.Row))})
		}
	case Spans:
		for _, s := range l.Items {
			add(row{what: named(s.Label, "span", u), y: fy(float64(s.Row)), low: fx(s.From), high: fx(s.To)})
		}
	case Note:
		add(row{what: l.Text.In(u), x: fx(l.X), y: fy(l.Y)})
	}
	return rows
}

// Format prints a value of the axis in the unit system, without its unit; a
// category by its name.
func (a Axis) Format(v float64, u Units) string {
	if n := len(a.Categories); n > 0 {
		i := int(math.Round(v))
		if i < 0 || i >= n {
			return FormatNumber(v, 2)
		}
		return a.Categories[i].In(u)
	}
	if u == US {
		v = a.Convert.Apply(v)
	}
	return FormatNumber(v, a.Digits)
}

func named(t Text, otherwise string, u Units) string {
	if s := t.In(u); s != "" {
		return s
	}
	return otherwise
}

func count(n int) string {
	if n <= 0 {
		return ""
	}
	return FormatNumber(float64(n), 0)
}

// readAt is the ticks of the horizontal axis inside the x of a curve, and the
// ends of the curve when no tick falls inside.
func (f Figure) readAt(x []float64) (at []float64) {
	lo, hi := x[0], x[len(x)-1]
	for _, t := range f.X.TicksIn(Metric) {
		if t.At >= lo && t.At <= hi {
			at = append(at, t.At)
		}
	}
	switch {
	case len(at) == 0 && lo == hi:
		at = []float64{lo}
	case len(at) == 0:
		at = []float64{lo, hi}
	}
	return at
}

// at reads y at v by straight lines between the points (x increasing); outside
// it is the nearest end.
func at(x, y []float64, v float64) float64 {
	i := sort.SearchFloat64s(x, v)
	switch {
	case i == 0:
		return y[0]
	case i == len(x):
		return y[len(y)-1]
	}
	w := (v - x[i-1]) / (x[i] - x[i-1])
	return y[i-1] + w*(y[i]-y[i-1])
}
